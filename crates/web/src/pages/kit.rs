//! Every part in every state, for whoever looks at the page's looks.
//! Only there with the feature `kit`, and not linked.

use axum::http::HeaderMap;
use maud::{Markup, html};

use super::{
    job::{Entered, body},
    kit_sample,
};
use crate::{
    form::{Typed, Wrong},
    parts::{
        field::{Field, Filling, Input, Named},
        layout::{Page, page, wrong_summary},
    },
    state::Known,
    theme::Look,
};

/// The page.
pub(crate) async fn show(headers: HeaderMap) -> Markup {
    let sample = Known::of(0, 0, kit_sample::job(), kit_sample::assessment());
    let markup = html! {
        (body(&sample, None, None, Some(Entered { number: 3, by_van: false })))
        hr;
        section aria-labelledby="kit-fields" {
            h2 id="kit-fields" { "Fields with something wrong" }
            (fields())
        }
        section aria-labelledby="kit-presses" {
            h2 id="kit-presses" { "Things to press" }
            div class="presses" {
                button type="button" class="main-press" { "The one next thing" }
                button type="button" { "Another thing" }
                button type="button" class="row-press" { "In a row" }
                button type="button" aria-pressed="true" { "Chosen" }
                button type="button" disabled { "Sent" }
            }
        }
        section aria-labelledby="kit-told" {
            h2 id="kit-told" { "What the page may say" }
            @for class in ["calm", "care", "alarm"] { div class=(format!("told {class}")) { p { strong { (class) ": " } "a sentence with a " a href="/kit" { "link" } "." } } }
        }
    };
    page(
        &Page {
            title: "Kit",
            look: Look::from_headers(&headers),
            here: "/kit",
            follow: None,
        },
        &markup,
    )
}

/// The page of a finished job, and of one without a forecast; for tests.
#[cfg(test)]
pub(crate) fn states() -> Vec<(&'static str, Markup)> {
    let mut found = kit_sample::assessment();
    found.done = true;
    found.done_because = "The tracker accounts for the excess.".into();
    found.culprits = vec![job::Culprit {
        node: harness::NodeId("F13".into()),
        p_fault: 0.97,
        part: None,
    }];
    found.next = None;
    let mut empty = kit_sample::assessment();
    (empty.total, empty.long_run, empty.forecast, empty.next) = (None, None, None, None);
    empty.forecast_missing = Some("Neither capacity nor cranking current is known.".into());
    empty.nodes.truncate(1);
    let known = |assessment| Known::of(1, 1, kit_sample::job(), assessment);
    vec![
        (
            "next step",
            body(&known(kit_sample::assessment()), None, None, None),
        ),
        ("found", body(&known(found), None, None, None)),
        ("nothing known", body(&known(empty), None, None, None)),
    ]
}

fn fields() -> Markup {
    let typed = Typed::filled([("kit-amount", "12x".into()), ("kit-text", String::new())]);
    let wrong = Wrong(vec![
        (
            "kit-amount".into(),
            "'12x' is not a current; write it such as 420mA.".into(),
        ),
        ("kit-text".into(), "Say what to call the vehicle.".into()),
    ]);
    let filling = Filling {
        prefix: "",
        typed: &typed,
        wrong: &wrong,
    };
    let amount = Input::Amount {
        units: &["mA", "A"],
        signed: false,
    };
    html! {
        (wrong_summary(&wrong, ""))
        (Field { name: "kit-amount", label: || "An amount".into(), hint: Some(|| "With a hint.".into()), input: amount }.markup(filling))
        (Field { name: "kit-text", label: || "A text".into(), hint: None, input: Input::Text }.markup(filling))
        (Field { name: "kit-tick", label: || "A tick".into(), hint: Some(|| "With a hint.".into()), input: Input::Tick }.markup(filling))
        (Field { name: "kit-lines", label: || "Lines".into(), hint: None, input: Input::Lines }.markup(filling))
        (Field { name: "kit-choice", label: || "A choice".into(), hint: None, input: Input::OneOf(&[("a", Named::Plain("one")), ("b", Named::Plain("another"))]) }.markup(filling))
    }
}
