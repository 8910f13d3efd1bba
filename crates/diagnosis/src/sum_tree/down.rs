//! The downward pass: what the outside says about every place, and the answers.

use super::{
    arith::Arith,
    family::Join,
    hidden::Values,
    ln_sum::LnSum,
    message::{Message, get, pass_down},
    mixture::add_scaled,
    pass::{Failed, Passes, Place, Solved, SolvedSum},
};

/// Values of the hidden cause that hold less than this part of the rounding promised are
/// left out on the way down, where no share that may be left out was given.
const FORGOTTEN: f64 = 1e-3;

impl<A: Arith> Passes<'_, '_, A> {
    /// Hands every place what the outside says, and reads the answers off on the way.
    pub(super) fn downward(
        mut self,
        tolerance: f64,
        ln_evidence: LnSum,
        shares: &[f64],
    ) -> Result<Solved, Failed> {
        let count = self.family.joins.len();
        let leaves = self.nested.leaves.len();
        let mut solved = Solved {
            ln_evidence,
            p_fault: vec![0.0; leaves],
            levels: vec![Vec::new(); leaves],
            sums: vec![SolvedSum::of_nothing(); self.nested.sets.len() - self.nested.asked_from],
            hidden: Vec::new(),
            means: Vec::new(),
        };
        if let Some(hidden) = &self.nested.hidden {
            solved.hidden = vec![0.0; hidden.cause.ln_weights.len()];
            for (&value, share) in self.tried.values.iter().zip(shares) {
                solved.hidden[value] = *share;
            }
            solved.means = vec![0.0; hidden.shifts.len()];
        }
        let mut down: Vec<Vec<Option<Message>>> = (0..count).map(|_| Vec::new()).collect();
        if let (Some(top), Some(root)) = (down.last_mut(), self.places.last()) {
            *top = root
                .iter()
                .map(|root| Some(Message::one::<A>(root.up.v.len())))
                .collect();
        }
        for place in (0..count).rev() {
            // Taken out, so that the room they fill is free for the next ones.
            let here = std::mem::take(&mut self.places[place]);
            let outsides = std::mem::take(&mut down[place]);
            if self.family.varies[place] {
                for &asked in &self.asked_at[place] {
                    solved.sums[asked] = SolvedSum::empty();
                }
            }
            for (turn, (here, outside)) in here.iter().zip(outsides).enumerate() {
                let share = if self.family.varies[place] {
                    shares[turn]
                } else {
                    1.0
                };
                if share == 0.0 {
                    continue;
                }
                let outside = outside.ok_or(Failed::Impossible)?;
                Self::check(here, &outside, tolerance, share)?;
                self.answer(&mut solved, place, here, &outside, turn, share);
                if let Join::Sum(a, b) = self.family.joins[place] {
                    let parts = self.hand_down([a, b], turn, here, outside)?;
                    for (part, message) in [a, b].into_iter().zip(parts) {
                        self.keep(
                            &mut down,
                            part,
                            turn,
                            message,
                            share,
                            self.family.varies[place],
                        )?;
                    }
                }
            }
        }
        Ok(solved)
    }

    /// The share of each value tried; the smallest are 0 and the rest made up for it.
    pub(super) fn shares(&self, ln_evidence: LnSum, tolerance: f64) -> Vec<f64> {
        let values = self
            .nested
            .hidden
            .as_ref()
            .map(|hidden| &hidden.cause.values);
        let forgotten = match values {
            Some(Values::Bounded { left_out, .. }) => *left_out / 4.0,
            Some(Values::Lattice { share, .. }) => *share,
            Some(Values::All | Values::These(_)) | None => tolerance * FORGOTTEN,
        };
        let turns = 0..self.tried.values.len();
        let mut shares: Vec<f64> = turns
            .clone()
            .map(|t| self.tried.share(t, ln_evidence))
            .collect();
        let mut order: Vec<usize> = turns.collect();
        order.sort_by(|&a, &b| shares[a].total_cmp(&shares[b]));
        let mut left_out = 0.0;
        for turn in order {
            left_out += shares[turn];
            if left_out > forgotten {
                break;
            }
            shares[turn] = 0.0;
        }
        let total: f64 = shares.iter().sum();
        shares.iter_mut().for_each(|share| *share /= total);
        shares
    }

    fn hand_down(
        &mut self,
        [a, b]: [usize; 2],
        turn: usize,
        here: &Place,
        mut outside: Message,
    ) -> Result<[Message; 2], Failed> {
        if let Some(weights) = &here.weights {
            outside.weigh::<A>(weights);
            outside.rescale::<A>();
        }
        let entry = |part: usize| {
            let entries: &Vec<Place> = &self.places[part];
            entries.get(turn).or(entries.last())
        };
        let (Some(left), Some(right)) = (entry(a), entry(b)) else {
            return Err(Failed::Impossible);
        };
        Ok(pass_down(
            &mut self.arith,
            &outside,
            [&left.up, &right.up],
            here.spectra.as_ref(),
            self.nested.cap,
        ))
    }

    /// Keeps a message for a part: by value where it varies itself, else all values mixed.
    fn keep(
        &self,
        down: &mut [Vec<Option<Message>>],
        part: usize,
        turn: usize,
        mut message: Message,
        share: f64,
        from_varying: bool,
    ) -> Result<(), Failed> {
        let slots = &mut down[part];
        if self.family.varies[part] {
            slots.resize_with(slots.len().max(turn + 1), || None);
            slots[turn] = Some(message);
            return Ok(());
        }
        if from_varying && self.tried.values.len() > 1 {
            // Each value counts by its share of the posterior here.
            let Some(here) = self.at(part, 0) else {
                return Err(Failed::Impossible);
            };
            let joint = A::ln(here.up.dot::<A>(&message));
            if !joint.is_finite() {
                return Err(Failed::Rounding);
            }
            message.scale::<A>(share.ln() - joint);
        }
        match slots.first_mut() {
            Some(Some(sum)) => sum.add::<A>(&message),
            _ => *slots = vec![Some(message)],
        }
        Ok(())
    }

    fn answer(
        &self,
        solved: &mut Solved,
        place: usize,
        here: &Place,
        outside: &Message,
        turn: usize,
        share: f64,
    ) {
        self.means(solved, place, here, outside, turn, share);
        for &asked in &self.asked_at[place] {
            let sum = sum_posterior::<A>(here, outside);
            if self.family.varies[place] {
                solved.sums[asked].add_scaled(&sum, share);
            } else {
                solved.sums[asked] = sum;
            }
        }
        if let Join::Leaf(leaf) = self.family.joins[place] {
            let weights = &self.leaf_weights[leaf];
            let weights = weights.get(turn).or(weights.last());
            let weights = weights.and_then(Option::as_deref);
            let (fault, level) = self.leaf_posterior(leaf, outside, weights);
            solved.p_fault[leaf] += share * fault;
            if self.family.varies[place] {
                add_scaled(&mut solved.levels[leaf], &level, share);
            } else {
                solved.levels[leaf] = level;
            }
        }
    }

    /// Adds a value's share of the means asked for at a place.
    fn means(
        &self,
        solved: &mut Solved,
        place: usize,
        here: &Place,
        outside: &Message,
        turn: usize,
        share: f64,
    ) {
        let Some(hidden) = &self.nested.hidden else {
            return;
        };
        let value = self.tried.values[turn.min(self.tried.values.len() - 1)];
        let observed = self.nested.observations.len();
        for i in self.at_place[place]
            .iter()
            .filter_map(|i| i.checked_sub(observed))
        {
            if let Some(mean_of) = &hidden.cause.observations[i].mean_of {
                if let Join::Leaf(leaf) = self.family.joins[place] {
                    // A leaf has positions of its own.
                    let weights = &self.leaf_weights[leaf];
                    let weights = weights.get(turn).or(weights.last());
                    let weights = weights.and_then(Option::as_deref);
                    let (_, level) = self.leaf_posterior(leaf, outside, weights);
                    let cells = level.iter().zip(&*self.nested.leaves[leaf].at);
                    let cells = cells.filter(|(p, _)| **p > 1e-12);
                    let of = |at: f64| mean_of(value, at + hidden.shifts[i]);
                    solved.means[i] += share * cells.map(|(p, &at)| p * of(at)).sum::<f64>();
                    continue;
                }
                let sum = sum_posterior::<A>(here, outside);
                let of = |at: usize| mean_of(value, at as f64 + hidden.shifts[i]);
                // What is less likely moves no digit that is shown.
                let cells = sum.pmf.iter().enumerate().filter(|(_, p)| **p > 1e-12);
                let mean: f64 = cells.map(|(at, p)| p * of(at)).sum();
                solved.means[i] += share * (mean + sum.over * of(self.nested.cap));
            }
        }
    }

    /// Refuses when the error bounds allow a probability to be off by more than `tolerance`.
    fn check(here: &Place, down: &Message, tolerance: f64, share: f64) -> Result<(), Failed> {
        let up = &here.up;
        let up_err = here.quiet.as_ref().map_or(up.err, |q| q.err.max(up.err));
        let joint = A::linear(up.dot::<A>(down), 0.0);
        let err =
            up_err * A::linear(down.total::<A>(), 0.0) + down.err * A::linear(up.total::<A>(), 0.0);
        // Written so that a NaN is refused too. Logarithms carry no bound: the
        // plain numbers above may overflow there, and need not be looked at.
        if (err == 0.0 && down.err == 0.0 && up.err == 0.0) || err * share <= tolerance * joint {
            Ok(())
        } else {
            Err(Failed::Rounding)
        }
    }

    fn leaf_posterior(
        &self,
        leaf: usize,
        down: &Message,
        weights: Option<&[f64]>,
    ) -> (f64, Vec<f64>) {
        let cap = self.nested.cap;
        let cells = &self.nested.leaves[leaf];
        let whole = cells.whole(cap).min(down.v.len());
        // One plain pass after the other: the compiler makes each of them wide.
        let mut outside = Vec::with_capacity(cells.at.len());
        outside.extend_from_slice(&down.v[..whole]);
        let rest = cells.at[whole..].iter();
        outside.extend(rest.map(|&at| get::<A>(down, at, cap)));
        if let Some(weights) = weights {
            for (outside, &weight) in outside.iter_mut().zip(weights) {
                *outside = A::mul(*outside, weight);
            }
        }
        let masses = |table: &[f64], share: f64| -> Vec<f64> {
            let pairs = table.iter().zip(&outside);
            pairs
                .map(|(&mass, &outside)| A::mul(A::of(share * mass), outside))
                .collect()
        };
        let mut level = masses(&cells.healthy, cells.share[0]);
        let faulty = masses(&cells.faulty, cells.share[1]);
        for (level, &fault) in level.iter_mut().zip(&faulty) {
            *level = A::add(*level, fault);
        }
        let unit = A::ln(A::sum(&level));
        (A::linear(A::sum(&faulty), unit), A::all_linear(level, unit))
    }
}

impl SolvedSum {
    fn empty() -> Self {
        Self {
            pmf: Vec::new(),
            over: 0.0,
            quiet: Vec::new(),
            quiet_over: 0.0,
        }
    }

    fn add_scaled(&mut self, part: &Self, by: f64) {
        add_scaled(&mut self.pmf, &part.pmf, by);
        add_scaled(&mut self.quiet, &part.quiet, by);
        self.over += by * part.over;
        self.quiet_over += by * part.quiet_over;
    }
}

fn sum_posterior<A: Arith>(here: &Place, down: &Message) -> SolvedSum {
    let unit = A::ln(here.up.dot::<A>(down));
    let joint = |message: &Message| -> (Vec<f64>, f64) {
        let pairs = message.v.iter().zip(&down.v);
        let v = A::all_linear(pairs.map(|(&m, &d)| A::mul(m, d)).collect(), unit);
        (v, A::linear(A::mul(message.over, down.over), unit))
    };
    let (pmf, over) = joint(&here.up);
    let (quiet, quiet_over) = here.quiet.as_ref().map_or((Vec::new(), 0.0), joint);
    SolvedSum {
        pmf,
        over,
        quiet,
        quiet_over,
    }
}
