//! A draw that goes by itself while it is searched.
//!
//! A total was too much, a later one is within the limit, and nothing was repaired or is out in between: the draw comes and goes, or
//! the first total was read before the vehicle slept. Either way what is read while it is away tells nothing of what draws while it
//! is there, and is set apart; so is what was read of a branch since it was last seen, and a pull at which the total fell and since which nobody has seen it, for it may have gone just then. Where
//! three totals in a row find it away, the ones that found it are set apart instead.

use std::collections::BTreeSet;

use measure::{Uncertain, quantity::Ampere};
use tongue::{Message, say};

use super::{SURE, warnings::Warnings};
use crate::EntryId;

/// One-sided 95 % quantile of the standard normal (JCGM 100:2008, table G.1).
const WITHIN: f64 = 1.645;
/// Totals are different from this many standard uncertainties on (common practice: three, where a slip is costly).
const APART: f64 = 3.0;
/// Totals in a row that outweigh one (common practice: three readings that agree).
const AGREE: usize = 3;
/// Minutes to wait for a draw that has gone (from memory).
pub(super) const PAUSE_MIN: f64 = 30.0;

/// A reading in its turn, as far as it tells whether the draw is there.
#[derive(Debug)]
pub(super) struct Seen {
    pub(super) id: EntryId,
    /// What it shows, what is out added.
    pub(super) current: Uncertain,
    /// Whether that is the whole vehicle's draw.
    pub(super) whole: bool,
    /// What it was taken for.
    pub(super) sight: Sight,
}

/// What a reading was taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sight {
    /// The total, or a branch.
    Asked,
    /// The total beside something pulled, unplugged or put back.
    Beside,
    /// The total before a pull that it fell at.
    BeforeFall,
    /// None: something was repaired, so that no total from before says what to expect.
    Repaired,
}

/// What is set apart, and whether the draw is away now.
#[derive(Debug, Default)]
pub(super) struct Away {
    /// Entries that do not count.
    pub(super) apart: BTreeSet<EntryId>,
    /// The draw that has gone, ampere, where the newest reading found it away.
    pub(super) now_a: Option<f64>,
    /// The draw that was seen to go, ampere, whether or not it is back.
    pub(super) went_a: Option<f64>,
    /// What to say about it.
    told: Option<Message>,
}

impl Away {
    /// Goes through the readings of one epoch in their order.
    pub(super) fn of(seen: &[Seen], limit_a: f64) -> Self {
        let mut out = Self::default();
        // The totals that found it since it was last away, and those that then did not.
        let mut there: Vec<&Seen> = Vec::new();
        let mut gone: Vec<EntryId> = Vec::new();
        // Branches read since something was last seen to draw too much.
        let mut unsure: Vec<EntryId> = Vec::new();
        // What was set apart since it was last there.
        let mut meanwhile: Vec<EntryId> = Vec::new();
        for one in seen {
            if one.sight == Sight::Repaired {
                (there, gone, unsure, meanwhile) = Default::default();
                out.now_a = None;
                continue;
            }
            let known = there.last().map(|seen| seen.current);
            let too_much = |total: Uncertain| total.value - limit_a > SURE * total.u;
            let lost = |total: Uncertain| {
                let within = total.value + WITHIN * total.u <= limit_a;
                within && known.is_some_and(|known| apart(known, total))
            };
            let total = one.current;
            match one.whole {
                // A branch that draws too much shows that it is there.
                false if too_much(total) => unsure.clear(),
                true if too_much(total) => {
                    unsure.clear();
                    meanwhile.clear();
                    if out.now_a.take().is_some() {
                        there.clear();
                    }
                    gone.clear();
                    there.push(one);
                }
                true if lost(total) => {
                    let known_a = known.map_or(0.0, |known| known.value);
                    if out.now_a.is_none() {
                        let unseen = there.last().filter(|last| last.sight == Sight::BeforeFall);
                        out.apart.extend(unseen.map(|last| last.id));
                        meanwhile.append(&mut unsure);
                        out.apart.extend(meanwhile.iter().copied());
                        out.told = Some(say::job::gone_by_itself(
                            Ampere(total.value),
                            Ampere(known_a),
                            there.first().unwrap_or(&one).id.to_string(),
                        ));
                    }
                    out.now_a = Some(known_a);
                    out.went_a = Some(known_a);
                    out.apart.insert(one.id);
                    meanwhile.push(one.id);
                    gone.extend((one.sight == Sight::Asked).then_some(one.id));
                    if gone.len() == AGREE {
                        out.apart.extend(there.drain(..).map(|seen| seen.id));
                        gone.clear();
                        // They agree with what counts now.
                        for id in meanwhile.drain(..) {
                            out.apart.remove(&id);
                        }
                        out.told = Some(say::job::gone_for_good(
                            Ampere(total.value),
                            Ampere(known_a),
                        ));
                        (out.now_a, out.went_a) = (None, None);
                    }
                }
                _ if out.now_a.is_some() => {
                    out.apart.insert(one.id);
                    meanwhile.push(one.id);
                }
                false => unsure.push(one.id),
                true => {}
            }
        }
        out
    }

    /// Says what was set apart, and why.
    pub(super) fn warn(&self, warnings: &mut Warnings) {
        if let Some(told) = &self.told {
            warnings.add("comes-and-goes", told.clone(), self.apart.iter().copied());
        }
    }
}

fn apart(one: Uncertain, other: Uncertain) -> bool {
    let apart = one.minus(other);
    apart.value.abs() > APART * apart.u
}
