//! Warnings: what the person should know about the entries, in one place.

use diagnosis::Belief;
use harness::FeedTree;
use measure::{How, Uncertain, quantity::Ampere};

use crate::{EntryId, Warning};

/// A settled total above this is no parked vehicle at rest (common practice).
const IMPLAUSIBLE_A: f64 = 10.0;

/// Warnings in the order in which they were found.
#[derive(Debug, Default)]
pub(super) struct Warnings(pub(super) Vec<Warning>);

impl Warnings {
    pub(super) fn add(
        &mut self,
        code: &str,
        message: impl Into<String>,
        entries: impl IntoIterator<Item = EntryId>,
    ) {
        let mut entries: Vec<EntryId> = entries.into_iter().collect();
        entries.sort_unstable();
        entries.dedup();
        self.0.push(Warning {
            code: code.into(),
            message: message.into(),
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
                How::Clamp => {
                    "The clamp shows a current into the battery; set its zero at the cable and turn it round."
                }
                _ => {
                    "The reading shows a current into the battery; check the leads, and that no charger is connected."
                }
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
            let message = format!(
                "{} at {} of a sleeping vehicle is implausible; check the unit, and that everything is off.",
                Ampere(current.value),
                tree.node(node).id
            );
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
            let doubtful = disagreement.doubts.first().map(|&(tag, chance)| {
                format!(
                    " Entry {tag} is the most doubtful ({:.0} %).",
                    chance * 100.0
                )
            });
            let tags: Vec<usize> = disagreement.doubts.iter().map(|(tag, _)| *tag).collect();
            let message = format!(
                "These readings cannot all be right.{} Read it again, or strike it out.",
                doubtful.unwrap_or_default()
            );
            self.add("readings-disagree", message, entries(&tags));
        }
        if !belief.set_apart.is_empty() {
            let message = "Read while the vehicle was awake, and therefore kept apart from the readings taken asleep.";
            self.add("awake-reading", message, entries(&belief.set_apart));
        }
        if !belief.approximated.is_empty() {
            let message =
                "Fuses pulled together cross another group; their step is only partly used.";
            self.add("groups-cross", message, entries(&belief.approximated));
        }
        if !belief.unused.is_empty() {
            self.add(
                "unusable",
                "These readings say nothing that can be used.",
                entries(&belief.unused),
            );
        }
    }
}
