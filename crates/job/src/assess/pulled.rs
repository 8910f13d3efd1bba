//! Fuses that were pulled, and whether they are still out when a later reading
//! is taken.
//!
//! A pull's two readings complete it: its fuse counts as put back (common
//! practice: one fuse out at a time), unless a later reading shows that it is
//! not. A total nearer to the pull's second reading than to its first shows
//! it; so does a branch that reads too little to hold what the pull took away.
//! Where the job says that what is pulled stays out, it does so until an entry
//! puts it back; a load that was unplugged does not. What is out is then added to readings above it. Where the pull changed next
//! to nothing the question does not matter, and is not asked.

use harness::FeedTree;
use measure::Uncertain;

/// How many standard uncertainties apart count as different (common practice:
/// coverage factor 2, about 95 %).
pub(super) const APART: f64 = 2.0;

/// The pulls since whose second reading nothing said that their fuses are back.
#[derive(Debug, Default)]
pub(super) struct Pulled {
    pulls: Vec<Pull>,
    /// Whether what is pulled stays out until an entry puts it back.
    stay: bool,
}

#[derive(Debug)]
struct Pull {
    /// What lost its supply.
    nodes: Vec<usize>,
    /// What the entry named, where a load was unplugged: it counts as plugged in again, whatever stays out.
    unplugged: Option<Vec<usize>>,
    /// What the total fell by.
    step: Uncertain,
    before_a: f64,
    after_a: f64,
    /// A later reading showed that the fuses are out.
    seen_out: bool,
}

impl Pull {
    fn new(nodes: Vec<usize>, step: Uncertain, totals: (f64, f64), seen_out: bool) -> Self {
        Self {
            nodes,
            unplugged: None,
            step,
            before_a: totals.0,
            after_a: totals.1,
            seen_out,
        }
    }

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
        let out = self.pulls.iter();
        let out = out.filter(|pull| self.stay && pull.unplugged.is_none());
        out.flat_map(|pull| pull.nodes.iter().copied()).collect()
    }

    /// A pull with its totals before and after; the first also tells of the pulls before.
    pub(super) fn pull(&mut self, nodes: Vec<usize>, step: Uncertain, totals: (f64, f64)) {
        self.judge(totals.0);
        self.pulls
            .retain(|pull| pull.unplugged.is_some() || pull.nodes != nodes);
        self.pulls.push(Pull::new(nodes, step, totals, self.stay));
    }

    /// What `named` feeds was unplugged, so that `nodes` lost their supply.
    pub(super) fn unplug(
        &mut self,
        named: Vec<usize>,
        nodes: Vec<usize>,
        step: Uncertain,
        totals: (f64, f64),
    ) {
        self.judge(totals.0);
        self.pulls
            .retain(|pull| pull.unplugged.as_ref() != Some(&named));
        self.pulls.push(Pull {
            unplugged: Some(named),
            ..Pull::new(nodes, step, totals, false)
        });
    }

    /// What lost its supply when these were unplugged, if they were and are not known to be back.
    pub(super) fn unplugged(&self, named: &[usize]) -> Option<Vec<usize>> {
        let those = |pull: &&Pull| pull.unplugged.as_deref() == Some(named);
        self.pulls.iter().find(those).map(|pull| pull.nodes.clone())
    }

    /// An entry says that these are back.
    pub(super) fn refit(&mut self, nodes: &[usize], rise: Option<Uncertain>) {
        let back = |of: &[usize]| of.iter().any(|node| nodes.contains(node));
        self.pulls.retain(|pull| match &pull.unplugged {
            Some(named) => !back(named),
            None => self.stay || !back(&pull.nodes),
        });
        for pull in &mut self.pulls {
            if pull.unplugged.is_none() && back(&pull.nodes) {
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

    /// What a total says of the last pull that does not stay out by agreement: out, or back. Earlier ones that were
    /// seen out stay so until an entry or a total from before them says otherwise.
    fn judge(&mut self, total_a: f64) {
        let stay = self.stay;
        let stays = |pull: &Pull| stay && pull.unplugged.is_none();
        self.pulls.retain(|pull| stays(pull) || pull.matters());
        let Some(last) = self.pulls.iter().rposition(|pull| !stays(pull)) else {
            return;
        };
        if self.pulls[last].fits_out(total_a) {
            self.pulls[last].seen_out = true;
            return;
        }
        // Nearer to the total before the pull: that fuse is evidently back,
        // and all others that were in at that time.
        self.pulls.remove(last);
        self.pulls
            .retain(|pull| stays(pull) || pull.seen_out && pull.fits_out(total_a));
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
