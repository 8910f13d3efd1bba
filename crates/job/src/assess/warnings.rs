//! Warnings: what the person should know about the entries, in one place.

use diagnosis::Belief;
use harness::FeedTree;
use measure::{How, Uncertain, quantity::Ampere};
use tongue::{Message, percent, say};

use crate::{EntryId, Warning, describe::by_id};

/// A settled total above this is no parked vehicle at rest (common practice).
const IMPLAUSIBLE_A: f64 = 10.0;

/// Warnings in the order in which they were found.
#[derive(Debug, Default)]
pub(super) struct Warnings(pub(super) Vec<Warning>);

impl Warnings {
    pub(super) fn add(
        &mut self,
        code: &str,
        message: Message,
        entries: impl IntoIterator<Item = EntryId>,
    ) {
        let mut entries: Vec<EntryId> = entries.into_iter().collect();
        entries.sort_unstable();
        entries.dedup();
        self.0.push(Warning {
            code: code.into(),
            message,
            entries,
        });
    }

    /// What one reading by itself gives to think about.
    pub(super) fn of_draw(
        &mut self,
        tree: &FeedTree,
        id: EntryId,
        node: usize,
        how: How,
        current: Uncertain,
        asleep: bool,
    ) {
        if current.value < -2.0 * current.u {
            let message = match how {
                How::Clamp => say::job::clamp_zero(),
                _ => say::job::reversed(),
            };
            self.add(
                if how == How::Clamp {
                    "clamp-zero"
                } else {
                    "reversed"
                },
                message,
                [id],
            );
        }
        let limit_a = match tree.node(node).rating_a {
            Some(rating_a) if node != FeedTree::ROOT => rating_a.min(IMPLAUSIBLE_A),
            _ => IMPLAUSIBLE_A,
        };
        if asleep && current.value > limit_a {
            let place = by_id(&tree.node(node).id);
            let message = say::job::implausible(Ampere(current.value), place);
            self.add("implausible", message, [id]);
        }
    }

    /// What the readings together give to think about.
    pub(super) fn of_belief(&mut self, belief: &Belief) {
        let entries = |tags: &[usize]| -> Vec<EntryId> {
            tags.iter()
                .filter_map(|&tag| EntryId::from_number(tag))
                .collect()
        };
        if let Some(disagreement) = &belief.disagreement {
            let tags: Vec<usize> = disagreement.doubts.iter().map(|(tag, _)| *tag).collect();
            let message = match disagreement.doubts.first() {
                Some(&(tag, chance)) => {
                    say::job::disagree_doubtful(tag.to_string(), percent(chance))
                }
                None => say::job::disagree(),
            };
            self.add("readings-disagree", message, entries(&tags));
        }
        if !belief.set_apart.is_empty() {
            let message = say::job::awake_reading();
            self.add("awake-reading", message, entries(&belief.set_apart));
        }
        if !belief.approximated.is_empty() {
            let message = say::job::groups_cross();
            self.add("groups-cross", message, entries(&belief.approximated));
        }
        if !belief.unused.is_empty() {
            self.add("unusable", say::job::unusable(), entries(&belief.unused));
        }
    }
}
