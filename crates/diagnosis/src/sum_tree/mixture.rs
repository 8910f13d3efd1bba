//! Posteriors under conditions, put together.

use super::{Posterior, SumPosterior, SumTree, conditions::Conditions, ln_sum::LnSum, pass};

/// Posteriors under the conditions, weighted by their evidence.
#[derive(Default)]
pub(super) struct Mixture {
    ln_top: Option<LnSum>,
    total: f64,
    sum: Option<Posterior>,
}

impl Mixture {
    pub(super) fn add(
        &mut self,
        problem: &SumTree<'_>,
        plan: &Conditions,
        choice: &[usize],
        solved: pass::Solved,
    ) {
        let top = self.ln_top.unwrap_or(solved.ln_evidence);
        let above = solved.ln_evidence.above(top);
        let weight = if above > 0.0 {
            self.rescale((-above).exp());
            self.ln_top = Some(solved.ln_evidence);
            1.0
        } else {
            self.ln_top = Some(top);
            above.exp()
        };
        self.total += weight;
        let part = expand(problem, plan, choice, solved);
        if plan.cut.is_empty() {
            // The only condition there is.
            self.sum = Some(part);
            return;
        }
        match &mut self.sum {
            Some(sum) => sum.add_scaled(&part, weight),
            None => {
                let mut part = part;
                part.scale(weight);
                self.sum = Some(part);
            }
        }
    }

    pub(super) fn rescale(&mut self, by: f64) {
        self.total *= by;
        if let Some(sum) = &mut self.sum {
            sum.scale(by);
        }
    }

    pub(super) fn finish(mut self) -> Posterior {
        let (total, top) = (self.total, self.ln_top.unwrap_or(LnSum::IMPOSSIBLE));
        if total != 1.0 {
            self.rescale(1.0 / total);
        }
        let mut sum = self.sum.unwrap_or_default();
        [sum.ln_evidence, sum.ln_evidence_lost] = top.plus(total.ln()).pair();
        sum
    }
}

impl Posterior {
    /// Every probability times a factor.
    fn scale(&mut self, by: f64) {
        for x in self
            .p_fault
            .iter_mut()
            .chain(self.levels.iter_mut().flatten())
            .chain(&mut self.hidden)
            .chain(&mut self.means)
        {
            *x *= by;
        }
        for s in &mut self.sums {
            s.pmf.iter_mut().chain(&mut s.quiet).for_each(|x| *x *= by);
            s.over *= by;
            s.p_fault *= by;
        }
    }

    /// Adds the probabilities of another posterior over the same sets, times a factor.
    fn add_scaled(&mut self, part: &Self, by: f64) {
        add_scaled(&mut self.p_fault, &part.p_fault, by);
        add_scaled(&mut self.hidden, &part.hidden, by);
        add_scaled(&mut self.means, &part.means, by);
        for (to, from) in self.levels.iter_mut().zip(&part.levels) {
            add_scaled(to, from, by);
        }
        for (to, from) in self.sums.iter_mut().zip(&part.sums) {
            add_scaled(&mut to.pmf, &from.pmf, by);
            add_scaled(&mut to.quiet, &from.quiet, by);
            to.over += by * from.over;
            to.p_fault += by * from.p_fault;
        }
    }
}

/// A nested posterior in terms of the whole problem: fixed leaves put back.
pub(super) fn expand(
    problem: &SumTree<'_>,
    plan: &Conditions,
    choice: &[usize],
    solved: pass::Solved,
) -> Posterior {
    let mut levels = solved.levels;
    for (&leaf, &at) in plan.cut.iter().zip(choice) {
        levels[leaf] = vec![0.0; problem.leaves[leaf].at.len()];
        levels[leaf][at] = 1.0;
    }
    let mut sums = Vec::with_capacity(problem.queries.len());
    for (set, sum) in plan.sets.iter().skip(plan.asked_from).zip(solved.sums) {
        let fixed = plan.cut.iter().filter(|&&leaf| set.contains(leaf));
        // Given its position, a fixed leaf's state is independent of the rest.
        let healthy: f64 = fixed.map(|&leaf| 1.0 - solved.p_fault[leaf]).product();
        let shift = plan.shift(problem, choice, set);
        let (pmf, over) = shifted(sum.pmf, sum.over, shift, problem.cap);
        let (mut quiet, mut quiet_over) = shifted(sum.quiet, sum.quiet_over, shift, problem.cap);
        quiet.iter_mut().for_each(|x| *x *= healthy);
        quiet_over *= healthy;
        let p_fault = (1.0 - quiet.iter().sum::<f64>() - quiet_over).clamp(0.0, 1.0);
        sums.push(SumPosterior {
            pmf,
            over,
            p_fault,
            quiet,
        });
    }
    Posterior {
        ln_evidence: solved.ln_evidence.rounded(),
        ln_evidence_lost: 0.0,
        p_fault: solved.p_fault,
        levels,
        sums,
        hidden: solved.hidden,
        means: solved.means,
    }
}

pub(super) fn shifted(
    pmf: Vec<f64>,
    mut over: f64,
    shift: f64,
    cap: Option<usize>,
) -> (Vec<f64>, f64) {
    if shift == 0.0 {
        return (pmf, over);
    }
    let (cell, share) = (shift.floor() as usize, shift.fract());
    let len = (pmf.len() + cell + usize::from(share > 0.0)).min(cap.unwrap_or(usize::MAX));
    let mut out = vec![0.0; len];
    for (k, p) in pmf.into_iter().enumerate() {
        for (at, part) in [(k + cell, 1.0 - share), (k + cell + 1, share)] {
            if part > 0.0 {
                *out.get_mut(at).unwrap_or(&mut over) += p * part;
            }
        }
    }
    (out, over)
}

pub(super) fn add_scaled(to: &mut Vec<f64>, from: &[f64], by: f64) {
    if to.len() < from.len() {
        to.resize(from.len(), 0.0);
    }
    for (t, f) in to.iter_mut().zip(from) {
        *t += by * f;
    }
}
