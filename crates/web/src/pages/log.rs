//! Taking a log file.

use std::io::{Seek, SeekFrom, Write};

use axum::{
    extract::{
        Multipart, Path, State,
        multipart::{Field as Part, MultipartError},
    },
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Redirect, Response},
};
use harness::NodeId;
use jiff::Timestamp;
use job::{Entry, EntryKind, Job, Recording};
use maud::{Markup, html};
use tongue::say;

use super::Id;
use crate::{
    LOG_LIMIT_MB,
    form::{Typed, Wrong, fresh_key},
    logs::{self, Answers, Trouble},
    parts::{
        field::{
            Choice, Field, Filling, Input,
            Named::{Plain, Said},
        },
        layout::{Page, page},
    },
    problem::Problem,
    state::{AppState, Known, WaitingLog},
    theme::Look,
};

/// Longest file name kept.
const NAME: usize = 80;

/// Takes the file onto the disk and reads it.
pub(crate) async fn upload(
    State(state): State<AppState>,
    Id(id): Id,
    headers: HeaderMap,
    form: Multipart,
) -> Result<Response, Problem> {
    let look = Look::from_headers(&headers);
    let (log, key) = received(form, id).await?;
    state
        .run(move |state| take(state, log, &Answers::default(), &key, look))
        .await
}

/// Reads a file that was put aside, with the answers to its questions.
pub(crate) async fn answer(
    State(state): State<AppState>,
    Path((id, token)): Path<(i64, String)>,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, Problem> {
    let look = Look::from_headers(&headers);
    state
        .run(move |state| {
            let log = state.take_back(id, &token).ok_or_else(|| {
                Problem::refused(say::web::file_gone(), say::web::file_once_more()).back_to_job(id)
            })?;
            match Answers::from_typed(&typed) {
                Ok(answers) => take(state, log, &answers, &typed.key(), look),
                Err(message) => {
                    let trouble = Trouble {
                        message,
                        columns: Vec::new(),
                        ask_unit: false,
                        ask_interval: true,
                    };
                    Ok(ask(state, log, &trouble, look))
                }
            }
        })
        .await
}

/// The file, written to the disk piece by piece so that memory stays small.
async fn received(mut form: Multipart, job: i64) -> Result<(WaitingLog, String), Problem> {
    let cannot_keep = |error: std::io::Error| {
        Problem::ours(say::web::file_not_kept(error.to_string())).back_to_job(job)
    };
    let mut file = tempfile::tempfile().map_err(cannot_keep)?;
    let (mut name, mut node, mut key, mut length) =
        (String::new(), NodeId::battery().0, fresh_key(), 0);
    let mut zero = Vec::new();
    while let Some(mut field) = form
        .next_field()
        .await
        .map_err(|error| not_received(&error, job))?
    {
        match field.name() {
            Some("file") => {
                name = tidy_name(field.file_name().unwrap_or_default());
                while let Some(piece) = field
                    .chunk()
                    .await
                    .map_err(|error| not_received(&error, job))?
                {
                    length += piece.len();
                    // Pieces are small and go to the page cache; no need for another thread.
                    file.write_all(&piece).map_err(cannot_keep)?;
                }
            }
            Some("node") => node = text(field, job).await?,
            Some("key") => key = text(field, job).await?,
            Some("zero") => zero = spans(&text(field, job).await?),
            _ => {}
        }
    }
    if length == 0 {
        return Err(
            Problem::refused(say::web::file_none(), say::web::file_empty()).back_to_job(job),
        );
    }
    if key.is_empty() || key.len() > 64 {
        key = fresh_key();
    }
    Ok((
        WaitingLog {
            token: fresh_key(),
            job,
            name,
            node,
            zero,
            file,
        },
        key,
    ))
}

/// Intervals as typed, with spaces, commas or line ends between.
fn spans(text: &str) -> Vec<String> {
    let parts = text.split([',', ';', ' ', '\n', '\r']);
    let parts = parts.map(str::trim).filter(|part| !part.is_empty());
    parts.map(str::to_owned).collect()
}

/// A field of text.
async fn text(field: Part<'_>, job: i64) -> Result<String, Problem> {
    field
        .text()
        .await
        .map_err(|error| not_received(&error, job))
}

fn not_received(error: &MultipartError, job: i64) -> Problem {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => Problem::too_large(LOG_LIMIT_MB),
        status => Problem::unreadable_form(status),
    }
    .back_to_job(job)
}

/// Reads the file and appends the entry, or asks.
fn take(
    state: &AppState,
    mut log: WaitingLog,
    answers: &Answers,
    key: &str,
    look: Look,
) -> Result<Response, Problem> {
    let id = log.job;
    let known = state.known(id)?;
    log.file
        .seek(SeekFrom::Start(0))
        .map_err(|error| Problem::ours(say::web::file_not_back(error.to_string())))?;
    let trace = match logs::read(&log.file, answers) {
        Ok(trace) => trace,
        Err(trouble) => return Ok(ask(state, log, &trouble, look)),
    };
    let node = NodeId(log.node);
    let place = (node, log.zero);
    keep(state, &known, &log.name, place, trace, key, false)
}

/// Keeps a recording and appends its entry; `by_van` when the virtual van made it.
pub(super) fn keep(
    state: &AppState,
    known: &Known,
    name: &str,
    (node, zero): (NodeId, Vec<String>),
    trace: trace::Trace,
    key: &str,
    by_van: bool,
) -> Result<Response, Problem> {
    let id = known.id;
    let file = free_name(name, &known.job);
    let spans: Result<Vec<_>, _> = zero.iter().map(|text| trace.span("zero", text)).collect();
    let off = spans.map_err(|error| error.to_string()).and_then(|spans| {
        let none = spans.is_empty();
        let taken = (!none).then(|| trace.without_zero(&spans));
        taken.transpose().map_err(|error| error.to_string())
    });
    if let Err(message) = off {
        return Err(
            Problem::refused(say::web::zero_not_taken(), say::web::zero_times(message))
                .back_to_job(id),
        );
    }
    let entry = Entry {
        at: Timestamp::now(),
        instrument: None,
        kind: EntryKind::Trace {
            file: file.clone(),
            node,
            zero,
        },
    };
    known.job.check(&entry).map_err(|errors| {
        Problem::refused(say::web::not_entered(), errors.to_string()).back_to_job(id)
    })?;
    state.add_recording(id, &file, &Recording::new(trace))?;
    let number = state.append(id, &entry, key)?;
    let by = if by_van { "&by=van" } else { "" };
    Ok(Redirect::to(&format!("/jobs/{id}?entered={number}{by}")).into_response())
}

/// Shows what is wrong with the file, and asks where an answer would help.
fn ask(state: &AppState, log: WaitingLog, trouble: &Trouble, look: Look) -> Response {
    let body = question(&log, trouble);
    let here = format!("/jobs/{}", log.job);
    let shown = page(
        &Page {
            title: &say::web::file_about().to_string(),
            look,
            here: &here,
            follow: None,
        },
        &body,
    );
    if trouble.is_a_question() {
        state.put_aside(log);
    }
    (StatusCode::UNPROCESSABLE_ENTITY, shown).into_response()
}

fn question(log: &WaitingLog, trouble: &Trouble) -> Markup {
    let columns: Vec<Choice<'_>> = trouble
        .columns
        .iter()
        .map(|name| (name.as_str(), Plain(name)))
        .collect();
    let current = Field {
        name: "current",
        label: say::web::file_column,
        hint: None,
        input: Input::OneOf(&columns),
    };
    let unit = Field {
        name: "unit",
        label: say::web::file_unit,
        hint: None,
        input: Input::OneOf(&[
            ("", Said(say::web::file_unit_own)),
            ("mA", Plain("mA")),
            ("A", Plain("A")),
            ("uA", Plain("µA")),
        ]),
    };
    let interval = Field {
        name: "interval",
        label: say::web::file_interval,
        hint: None,
        input: Input::Amount {
            units: &["s", "ms", "min"],
            signed: false,
        },
    };
    let (typed, wrong) = (Typed::default(), Wrong::default());
    let filling = Filling {
        prefix: "log-",
        typed: &typed,
        wrong: &wrong,
    };
    html! {
        h1 { (say::web::file_about()) }
        div class="told alarm" role="alert" { p { strong { (log.name) ": " } (trouble.message) } }
        @if trouble.is_a_question() {
            form class="modest" method="post" action=(format!("/jobs/{}/log/{}", log.job, log.token)) {
                input type="hidden" name="key" value=(fresh_key());
                @if !trouble.columns.is_empty() { (current.markup(filling)) }
                @if trouble.ask_unit || !trouble.columns.is_empty() { (unit.markup(filling)) }
                @if trouble.ask_interval { (interval.markup(filling)) }
                button type="submit" class="main-press" { (say::web::file_read_so()) }
            }
        }
        p { a class="press" href=(format!("/jobs/{}", log.job)) { (say::web::back_to_job()) } }
    }
}

/// The bare name of a file, of plain letters only: it becomes a key in the job file.
fn tidy_name(name: &str) -> String {
    let bare = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let tidy: String = bare
        .chars()
        .map(|c| {
            if c.is_alphanumeric() || matches!(c, '.' | '-' | '_' | ' ') {
                c
            } else {
                '_'
            }
        })
        .take(NAME)
        .collect();
    let tidy = tidy.trim().trim_start_matches('.');
    if tidy.is_empty() {
        "recording".into()
    } else {
        tidy.into()
    }
}

/// A name that no recording of the job has yet.
fn free_name(name: &str, job: &Job) -> String {
    let mut free = name.to_owned();
    let mut number = 2;
    while job.recordings.contains_key(&free) {
        free = match name.rsplit_once('.') {
            Some((stem, end)) => format!("{stem}-{number}.{end}"),
            None => format!("{name}-{number}"),
        };
        number += 1;
    }
    free
}

#[cfg(test)]
mod tests {
    use super::tidy_name;

    #[test]
    fn names_lead_nowhere() {
        assert_eq!(tidy_name("../../etc/passwd"), "passwd");
        assert_eq!(tidy_name("C:\\logs\\night 1.csv"), "night 1.csv");
        assert_eq!(tidy_name("..."), "recording");
        assert_eq!(tidy_name("a<b>\"c\".csv"), "a_b__c_.csv");
        assert_eq!(tidy_name(&"x".repeat(200)).len(), 80);
    }
}
