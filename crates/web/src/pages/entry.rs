//! Taking an entry.

use axum::{
    extract::State,
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Redirect, Response},
};
use jiff::{SignedDuration, Timestamp};
use job::{Entry, EntryId, EntryKind, Job, file::FieldErrors};
use measure::quantity::Ampere;
use tongue::say;

use super::{Id, job::render};
use crate::{
    form::{Typed, Wrong, sentence},
    parts::{readings::Returned, step},
    problem::Problem,
    reading::kind,
    state::AppState,
    theme::Look,
};

/// Appends the entry and goes back to the job, or shows what is wrong with it.
pub(crate) async fn append(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| take(state, id, typed, look, false))
        .await
}

/// Appends what was typed; `by_van` when the virtual van typed it.
pub(super) fn take(
    state: &AppState,
    id: i64,
    typed: Typed,
    look: Look,
    by_van: bool,
) -> Result<Response, Problem> {
    let known = state.known(id)?;
    let word = typed.get("kind").to_owned();
    let outcome =
        understood(&word, &typed, &known.job).and_then(|entry| match odd(&entry, &known.job) {
            Some(question) if !typed.ticked("sure") => {
                Err((Wrong::one("value", question.clone()), Some(question)))
            }
            _ => Ok(entry),
        });
    match outcome {
        Ok(entry) => {
            let number = state.append(id, &entry, &typed.key())?;
            let told = match entry.kind {
                EntryKind::Strike { .. } => String::new(),
                _ if by_van => format!("?entered={number}&by=van"),
                _ => format!("?entered={number}"),
            };
            Ok(Redirect::to(&format!("/jobs/{id}{told}")).into_response())
        }
        Err((wrong, _)) if kind(&word).is_none() => {
            let message = wrong.0.first().map_or_else(
                || say::web::no_entry().to_string(),
                |(_, message)| message.clone(),
            );
            Err(Problem::refused(say::web::not_entered(), message).back_to_job(id))
        }
        Err((wrong, question)) => {
            let in_step = typed.get("form") == step::PREFIX;
            let returned = Returned {
                word,
                in_step,
                typed,
                wrong,
                question,
            };
            Ok((
                StatusCode::UNPROCESSABLE_ENTITY,
                render(
                    &known,
                    state.streams().of(id).as_ref(),
                    look,
                    Some(&returned),
                    None,
                ),
            )
                .into_response())
        }
    }
}

/// Longest that a form is believed to have waited on a device for the bench to answer. From memory: a fortnight.
const WAITED: SignedDuration = SignedDuration::from_hours(14 * 24);

/// When the form was made. One that could not be sent says how long it has
/// waited, by the clock of the device alone, so that no two clocks need agree.
fn made(typed: &Typed) -> Timestamp {
    let waited = typed.get("waited").parse().unwrap_or(0);
    let waited = SignedDuration::from_millis(waited).clamp(SignedDuration::ZERO, WAITED);
    let now = Timestamp::now();
    now.checked_sub(waited).unwrap_or(now)
}

/// What was typed as an entry.
fn understood(word: &str, typed: &Typed, job: &Job) -> Result<Entry, (Wrong, Option<String>)> {
    if word == "strike" {
        // The store checks it, after looking whether this tap was there before:
        // the second tap would otherwise find the entry struck out already.
        let entry = typed
            .get("entry")
            .parse()
            .ok()
            .and_then(EntryId::from_number);
        let entry = entry.ok_or_else(|| (Wrong::one("", say::web::no_such_entry()), None))?;
        return Ok(Entry {
            at: made(typed),
            instrument: None,
            kind: EntryKind::Strike { entry },
        });
    }
    let fields = kind(word)
        .map(|kind| kind.fields(typed))
        .unwrap_or_default();
    job::file::entry_from_fields(word, &fields, made(typed), job)
        .map_err(|errors| (problems(&errors), None))
}

fn problems(errors: &FieldErrors) -> Wrong {
    let mut wrong = Wrong::default();
    for error in &errors.0 {
        let text = if error.hint.is_empty() {
            error.message.to_string()
        } else {
            format!("{}; {}", error.message, error.hint)
        };
        wrong.add(&error.field, sentence(&text));
    }
    wrong
}

/// A question about a current that is far from the last one read at the same
/// place in the same state.
fn odd(entry: &Entry, job: &Job) -> Option<String> {
    let last_a = job::advice::oddly_far_from(entry, job)?;
    let (_, current_a, _) = job::advice::current_of(entry)?;
    let amount = |a: f64| tongue::amount(Ampere(a).to_string());
    Some(say::web::oddly_far(amount(last_a), amount(current_a)).to_string())
}
