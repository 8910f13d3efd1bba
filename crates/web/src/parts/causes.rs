//! What may be behind the complaint: the odds, what speaks for and against each,
//! and the cheap check that moves them most.

use job::{Assessment, Odds};
use maud::{Markup, html};
use tongue::say;

use crate::{figures::Figures, form::sentence, words};

/// The picture of the odds with its reasons, the first cause's open.
pub(crate) fn causes(assessment: &Assessment, figures: &Figures) -> Markup {
    html! {
        section class="picture" aria-labelledby="odds" {
            h2 id="odds" { (say::bench::odds()) }
            (figures.odds.markup())
            @if let Some(odds) = assessment.most_worthwhile_check() { (most_worthwhile(odds)) }
            @for (at, odds) in assessment.cause.iter().enumerate() {
                @if has_reasons(odds) {
                    details id=(format!("odds-{}", odds.hypothesis)) open[at == 0] {
                        summary { span { (name(odds)) ", " span class="num" { (words::percent(odds.p)) } } }
                        (reasons(odds))
                    }
                }
            }
            p class="small" { (say::bench::odds_source()) }
        }
    }
}

fn most_worthwhile(odds: &Odds) -> Markup {
    html! {
        div class="told calm" {
            p {
                strong { (say::bench::moves_most()) } @if let Some(check) = &odds.cheap_check { " " (check) }
                @if let Some(worth) = odds.check_worth { " " (sentence(&say::bench::worth(words::minutes(worth.saves_min), words::minutes(worth.minutes)).to_string())) }
            }
        }
    }
}

fn has_reasons(odds: &Odds) -> bool {
    !odds.speaks_for.is_empty() || !odds.speaks_against.is_empty() || odds.cheap_check.is_some()
}

fn name(odds: &Odds) -> String {
    sentence(&words::cause(&odds.hypothesis))
        .trim_end_matches('.')
        .to_owned()
}

fn reasons(odds: &Odds) -> Markup {
    html! {
        ul class="reasons" {
            @for reason in &odds.speaks_for { li { strong { (say::bench::for_it()) } " " (reason) } }
            @for reason in &odds.speaks_against { li { strong { (say::bench::against()) } " " (reason) } }
            @if odds.speaks_for.is_empty() && odds.speaks_against.is_empty() { li { (say::bench::neither()) } }
            @if let Some(check) = &odds.cheap_check { li { strong { (say::bench::quick_check()) } " " (check) } }
        }
    }
}
