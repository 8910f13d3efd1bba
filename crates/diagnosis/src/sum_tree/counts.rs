//! The upward pass with the number of leaves at fault kept apart.

use super::{
    arith::Arith,
    family::Join,
    ln_sum::LnSum,
    message::{Message, add_up},
    pass::Passes,
};

impl<A: Arith> Passes<'_, '_, A> {
    /// ln P(observations, c leaves at fault) for c = 0 … `most`, the last entry
    /// being "that many or more", the hidden cause having the given value; `None` when
    /// rounding may have decided.
    pub(super) fn ln_counts(mut self, most: usize, value: usize) -> Option<Vec<LnSum>> {
        let mut layers: Vec<Vec<Message>> = Vec::with_capacity(self.family.joins.len());
        for place in 0..self.family.joins.len() {
            let here = match self.family.joins[place] {
                Join::Leaf(leaf) => {
                    let parts = self.leaf_up(place, leaf, value);
                    let len = parts[0].v.len();
                    parts
                        .into_iter()
                        .enumerate()
                        .fold(Vec::new(), |sum, (c, part)| {
                            add_layer::<A>(sum, c.min(most), part, len)
                        })
                }
                Join::Sum(a, b) => self.sum_layers(place, &layers[a], &layers[b], [most, value]),
            };
            layers.push(here);
        }
        let root = layers.pop()?;
        let totals: Vec<f64> = root.iter().map(Message::total::<A>).collect();
        let total = A::linear(A::sum(&totals), 0.0);
        let err: f64 = root.iter().map(|m| m.err * (m.v.len() + 1) as f64).sum();
        // Written so that a NaN, from numbers too small to scale, is refused too.
        let sound = err <= super::TOLERANCE * total;
        if A::sum(&totals) == A::ZERO || !sound {
            return None;
        }
        let ln = |c: usize| match (root.get(c), totals.get(c)) {
            (Some(layer), Some(&t)) if t != A::ZERO => {
                layer.ln_scale.and(self.ln_constant(value)).plus(A::ln(t))
            }
            _ => LnSum::IMPOSSIBLE,
        };
        Some((0..=most).map(ln).collect())
    }

    fn sum_layers(
        &mut self,
        place: usize,
        a: &[Message],
        b: &[Message],
        [most, value]: [usize; 2],
    ) -> Vec<Message> {
        let cap = self.cap();
        let mut sum = Vec::new();
        for (i, x) in a.iter().enumerate() {
            for (j, y) in b.iter().enumerate() {
                let (part, _) = add_up(&mut self.arith, [x, y], [None, None], cap);
                let len = part.v.len();
                sum = add_layer::<A>(sum, (i + j).min(most), part, len);
            }
        }
        // All layers together tell which sums there are.
        let mut all = Message {
            v: Vec::new(),
            over: A::ZERO,
            ln_scale: LnSum::default(),
            err: 0.0,
        };
        for layer in &sum {
            all.v.resize(all.v.len().max(layer.v.len()), A::ZERO);
            all.over = A::add(all.over, layer.over);
        }
        if let Some(weights) = self.weights_at(place, &all, value) {
            for layer in &mut sum {
                layer.weigh::<A>(&weights);
                layer.ln_scale = layer.ln_scale.plus(weights.ln_scale);
            }
        }
        let tops = sum.iter().map(Message::ln_top::<A>);
        let top = tops.fold(f64::NEG_INFINITY, f64::max);
        if top.is_finite() {
            for layer in &mut sum {
                layer.scale::<A>(-top);
            }
        }
        sum
    }
}

/// Adds a part, of the same scale as the others, to the layer of its number of faults.
fn add_layer<A: Arith>(
    mut layers: Vec<Message>,
    count: usize,
    part: Message,
    len: usize,
) -> Vec<Message> {
    while layers.len() <= count {
        layers.push(Message {
            v: vec![A::ZERO; len],
            over: A::ZERO,
            ln_scale: part.ln_scale,
            err: 0.0,
        });
    }
    let layer = &mut layers[count];
    for (x, &y) in layer.v.iter_mut().zip(&part.v) {
        *x = A::add(*x, y);
    }
    layer.over = A::add(layer.over, part.over);
    layer.err += part.err;
    layers
}
