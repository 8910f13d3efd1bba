//! Fuses that were pulled, and whether they are still out when a later reading
//! is taken.
//!
//! A pull's two readings complete it: its fuse counts as put back (common
//! practice: one fuse out at a time), unless a later reading shows that it is
//! not. A total nearer to the pull's second reading than to its first shows
//! it; so does a branch that reads too little to hold what the pull took away.
//! Where the job says that what is pulled stays out, it does so until an entry
//! puts it back. What is out is then added to readings above it. Where the pull changed next
//! to nothing the question does not matter, and is not asked.

use harness::FeedTree;
use measure::Uncertain;

/// How many standard uncertainties apart count as different (common practice:
/// coverage factor 2, about 95 %).
const APART: f64 = 2.0;

/// The pulls since whose second reading nothing said that their fuses are back.
#[derive(Debug, Default)]
pub(super) struct Pulled {
    pulls: Vec<Pull>,
    /// Whether what is pulled stays out until an entry puts it back.
    stay: bool,
}

#[derive(Debug)]
struct Pull {
    nodes: Vec<usize>,
    /// What the total fell by.
    step: Uncertain,
    before_a: f64,
    after_a: f64,
    /// A later reading showed that the fuses are out.
    seen_out: bool,
}

impl Pull {
    /// Whether the total changed by more than its reading can tell.
    fn matters(&self) -> bool {
        self.step.value.abs() > APART * self.step.u
    }

    /// Whether a total fits the one after the pull better than the one before.
    fn fits_out(&self, total_a: f64) -> bool {
        (total_a - self.after_a).abs() < (total_a - self.before_a).abs()
    }
}

impl Pulled {
    /// Nothing is out yet; whether what is pulled stays out is said by the job.
    pub(super) fn new(stay: bool) -> Self {
        Self {
            pulls: Vec::new(),
            stay,
        }
    }

    /// What is out and stays out until an entry puts it back.
    pub(super) fn staying(&self) -> Vec<usize> {
        let out = self.pulls.iter().filter(|_| self.stay);
        out.flat_map(|pull| pull.nodes.iter().copied()).collect()
    }

    /// A pull with its two totals; the first also tells of the pulls before.
    pub(super) fn pull(&mut self, nodes: Vec<usize>, step: Uncertain, before_a: f64, after_a: f64) {
        self.judge(before_a);
        self.pulls.retain(|pull| pull.nodes != nodes);
        self.pulls.push(Pull {
            nodes,
            step,
            before_a,
            after_a,
            seen_out: self.stay,
        });
    }

    /// An entry says that these are back.
    pub(super) fn refit(&mut self, nodes: &[usize], rise: Option<Uncertain>) {
        if !self.stay {
            self.pulls
                .retain(|pull| !pull.nodes.iter().any(|node| nodes.contains(node)));
            return;
        }
        for pull in &mut self.pulls {
            if pull.nodes.iter().any(|node| nodes.contains(node)) {
                pull.nodes.retain(|node| !nodes.contains(node));
                // What is still out of those takes the rest.
                pull.step = rise.map_or(pull.step, |rise| pull.step.minus(rise));
            }
        }
        self.pulls.retain(|pull| !pull.nodes.is_empty());
    }

    /// A reading of the total, with what is out added.
    pub(super) fn total(&mut self, current: Uncertain) -> Uncertain {
        self.judge(current.value);
        self.pulls
            .iter()
            .filter(|pull| pull.seen_out)
            .fold(current, |sum, pull| sum.plus(pull.step))
    }

    /// What a total says of the last pull: out, or back. Earlier ones that were
    /// seen out stay so until an entry or a total from before them says otherwise.
    fn judge(&mut self, total_a: f64) {
        if self.stay {
            return;
        }
        self.pulls.retain(Pull::matters);
        let back = match self.pulls.last_mut() {
            Some(last) if last.fits_out(total_a) => {
                last.seen_out = true;
                false
            }
            Some(_) => true,
            None => return,
        };
        if back {
            // Nearer to the total before the pull: that fuse is evidently back,
            // and all others that were in at that time.
            self.pulls.pop();
            self.pulls
                .retain(|pull| pull.seen_out && pull.fits_out(total_a));
        }
    }

    /// A reading at a branch, with what is out below it added.
    ///
    /// # Errors
    ///
    /// The fuses that are out at or above the branch: it reads nothing then,
    /// which says nothing.
    pub(super) fn branch(
        &self,
        tree: &FeedTree,
        node: usize,
        current: Uncertain,
    ) -> Result<Uncertain, Vec<usize>> {
        let mut whole = current;
        for pull in self.pulls.iter().filter(|pull| pull.matters()) {
            let cut = pull.nodes.iter().any(|&out| tree.is_at_or_below(node, out));
            let below = pull.nodes.iter().any(|&out| tree.is_at_or_below(out, node));
            if cut {
                // Nothing at the only place that was pulled contradicts what its
                // pull took away; at one of several it may well be sound.
                let nothing = current.value <= APART * current.u;
                if pull.seen_out || nothing && pull.nodes.len() == 1 {
                    return Err(pull.nodes.clone());
                }
            } else if below {
                let room = current.u.hypot(pull.step.u) * APART;
                let too_little = current.value + room < pull.step.value;
                if pull.seen_out || too_little {
                    whole = whole.plus(pull.step);
                }
            }
        }
        Ok(whole)
    }
}
