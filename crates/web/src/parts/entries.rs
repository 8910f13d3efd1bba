//! What was entered, with strike-out and undo.

use job::{EntryId, EntryKind, Job, describe};
use maud::{Markup, html};
use tongue::say;

use super::scope::Scope;
use crate::{form::fresh_key, state::Known, words};

/// Entries in sight; older ones are folded away, for a long job's page is long.
const NEWEST: usize = 20;

/// All entries, newest first. Strikes are shown at what they strike.
pub(crate) fn entries(known: &Known) -> Markup {
    let job = &known.job;
    let struck = job.struck();
    let said = |index: &usize| !matches!(job.entries[*index].kind, EntryKind::Strike { .. });
    let all: Vec<usize> = (0..job.entries.len()).rev().filter(said).collect();
    let (newest, older) = all.split_at(all.len().min(NEWEST));
    html! {
        section class="block" aria-labelledby="entries" {
            h2 id="entries" { (say::bench::everything()) }
            @if job.entries.is_empty() { p class="soft" { (say::bench::nothing_yet()) } }
            (list(known, &struck, newest))
            @if !older.is_empty() {
                details id="older-entries" {
                    summary { (say::bench::older_entries(older.len())) }
                    (list(known, &struck, older))
                }
            }
        }
    }
}

fn list(known: &Known, struck: &[bool], shown: &[usize]) -> Markup {
    let job = &known.job;
    html! {
            ol class="entries" {
                @for &index in shown {
                    @if let Some(entry) = job.entries.get(index) {
                        @let id = EntryId::from_index(index);
                        li id=(format!("entry-{id}")) class=[struck[index].then_some("gone")] {
                            span class="no" aria-label=(say::bench::entry_number(id.to_string())) { (id) }
                            div class="what" {
                                span class="said" { (describe(entry)) }
                                @if struck[index] { strong { " " (say::bench::struck()) } }
                                br; span class="small soft" { (words::moment(entry.at)) }
                                @if let Some(scope) = Scope::of(known, id) { " " a href=(scope.address()) { (say::bench::look_at_it()) } }
                            }
                            (button(known, id, struck[index]))
                        }
                    }
                }
            }
    }
}

/// Strikes an entry out, or strikes the strike.
fn button(known: &Known, id: EntryId, gone: bool) -> Markup {
    let target = if gone {
        standing_strike(&known.job, id)
    } else {
        Some(id)
    };
    html! {
        @if let Some(target) = target {
            form method="post" action=(format!("/jobs/{}/entries", known.id)) data-keep=(format!("/jobs/{}", known.id)) {
                input type="hidden" name="kind" value="strike";
                input type="hidden" name="entry" value=(target);
                input type="hidden" name="key" value=(fresh_key());
                button type="submit" class="row-press" {
                    @if gone { (say::bench::restore()) } @else { (say::bench::strike()) }
                    span class="hidden" { " " (say::bench::the_entry(id.to_string())) }
                }
            }
        }
    }
}

/// The strike that keeps an entry struck.
pub(crate) fn standing_strike(job: &Job, target: EntryId) -> Option<EntryId> {
    let struck = job.struck();
    job.entries
        .iter()
        .enumerate()
        .rev()
        .find(|(index, entry)| !struck[*index] && entry.kind == EntryKind::Strike { entry: target })
        .map(|(index, _)| EntryId::from_index(index))
}
