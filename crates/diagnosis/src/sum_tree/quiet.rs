//! The part of every sum in which nothing is at fault, where the hidden cause has a say: worked
//! out only for the values that turn out to matter.

use super::{
    arith::{Arith, Spectra},
    family::Join,
    message::{Message, add_up},
    pass::{Passes, Place},
};

impl Place {
    /// Weighs the part without faults and puts it on the scale of the whole, so that their
    /// ratio is a probability.
    pub(super) fn finish_quiet<A: Arith>(&self, quiet: &mut Message) {
        if let Some(weights) = &self.weights {
            quiet.weigh::<A>(weights);
            quiet.ln_scale = quiet.ln_scale.plus(weights.ln_scale);
        }
        quiet.scale::<A>(quiet.ln_scale.above(self.up.ln_scale));
    }
}

impl<A: Arith> Passes<'_, '_, A> {
    /// The parts without faults at the places that vary, for a value whose share is worth it.
    pub(super) fn quiet_upward(&mut self, turn: usize) {
        let value = self.tried.values[turn];
        let asked = |place: &usize| self.family.varies[*place] && self.asked_above[*place];
        for place in (0..self.family.joins.len())
            .filter(asked)
            .collect::<Vec<_>>()
        {
            let quiet = match self.family.joins[place] {
                Join::Leaf(leaf) => {
                    let [mut healthy, _] = self.leaf_up(place, leaf, value);
                    // Kept already.
                    self.leaf_weights[leaf].pop();
                    healthy.trim::<A>();
                    Some((healthy, None))
                }
                Join::Sum(a, b) => self.quiet_sum(place, [a, b], turn),
            };
            if let (Some(here), Some((mut quiet, spectra))) =
                (self.places[place].get_mut(turn), quiet)
            {
                here.finish_quiet::<A>(&mut quiet);
                here.quiet = Some(quiet);
                here.quiet_spectra = spectra;
            }
        }
    }

    /// The sum of two parts without faults, before its own likelihood.
    fn quiet_sum(
        &mut self,
        place: usize,
        parts: [usize; 2],
        turn: usize,
    ) -> Option<(Message, Option<Spectra>)> {
        let [a, b] = parts.map(|part| {
            let entries = &self.places[part];
            entries.get(turn).or(entries.last())
        });
        let (a, b) = (a?.quiet.as_ref()?, b?.quiet.as_ref()?);
        // What does not vary was transformed for the first value that needed it.
        let earlier = self.places[place].iter();
        let earlier = earlier
            .filter_map(|here| here.quiet_spectra.as_ref())
            .next();
        let known = |part: usize| {
            earlier
                .map(|spectra| spectra[part].clone())
                .filter(|_| !self.family.varies[parts[part]])
        };
        let known = [known(0), known(1)];
        let known = known.each_ref().map(Option::as_ref);
        let (quiet, spectra) = add_up(&mut self.arith, [a, b], known, self.nested.cap);
        let reused = parts.iter().any(|&part| !self.family.varies[part]);
        Some((quiet, spectra.filter(|_| reused)))
    }
}
