//! Exact clustering of levels on a line.
//!
//! Minimises `Σ weight (value − centre)² + penalty × clusters` over all partitions. In
//! one dimension clusters of an optimum are runs of the sorted values (W. Fisher, "On grouping for maximum
//! homogeneity", JASA 53, 1958), so a dynamic programme over the sorted values is exact. The cost of a run
//! satisfies the quadrangle inequality; the best previous cut therefore moves only forward and
//! the programme takes O(m log m) (Z. Galil, K. Park, "Dynamic programming with convexity,
//! concavity and sparsity", Theoretical Computer Science 92, 1992).

/// Clusters of `values` (any order): for each value the index of its cluster, clusters numbered by rising value.
pub(crate) fn cluster(values: &[f64], weights: &[f64], penalty: f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]).then(a.cmp(&b)));
    let sums = Sums::of(values, weights, &order);
    let cuts = optimal_cuts(&sums, order.len(), penalty);
    let mut out = vec![0; values.len()];
    for (index, run) in cuts.windows(2).enumerate() {
        for &item in &order[run[0]..run[1]] {
            out[item] = index;
        }
    }
    out
}

/// Running sums of weight, weight × value, weight × value², about the smallest value.
struct Sums(Vec<[f64; 3]>);

impl Sums {
    fn of(values: &[f64], weights: &[f64], order: &[usize]) -> Self {
        let origin = order.get(order.len() / 2).map_or(0.0, |&i| values[i]);
        let mut total = [0.0; 3];
        let mut sums = vec![total];
        for &i in order {
            let x = values[i] - origin;
            total = [
                total[0] + weights[i],
                total[1] + weights[i] * x,
                total[2] + weights[i] * x * x,
            ];
            sums.push(total);
        }
        Self(sums)
    }

    fn cost(&self, from: usize, to: usize) -> f64 {
        let [w, x, xx] = std::array::from_fn(|k| self.0[to][k] - self.0[from][k]);
        if w > 0.0 {
            (xx - x * x / w).max(0.0)
        } else {
            0.0
        }
    }
}

/// Borders of the optimal runs of `count` sorted values: 0 first, `count` last.
fn optimal_cuts(sums: &Sums, count: usize, penalty: f64) -> Vec<usize> {
    let mut best = vec![0.0; count + 1];
    let mut from = vec![0usize; count + 1];
    // (cut, first end for which this cut is best), in order of both.
    let mut queue = std::collections::VecDeque::from([(0usize, 1usize)]);
    for end in 1..=count {
        while queue.get(1).is_some_and(|next| next.1 <= end) {
            queue.pop_front();
        }
        let cut = queue.front().map_or(0, |head| head.0);
        best[end] = best[cut] + sums.cost(cut, end) + penalty;
        from[end] = cut;
        let with = |cut: usize, to: usize| best[cut] + sums.cost(cut, to);
        let mut first = count + 1;
        loop {
            let Some(&(rival, since)) = queue.back() else {
                first = end + 1;
                break;
            };
            let since = since.max(end + 1);
            if since <= count && with(end, since) < with(rival, since) {
                first = since;
                queue.pop_back();
                continue;
            }
            // The rival is better at `since`; look for the first end where `end` is.
            let (mut low, mut high) = (since, first.min(count + 1));
            while low < high {
                let middle = low + (high - low) / 2;
                if middle <= count && with(end, middle) >= with(rival, middle) {
                    low = middle + 1
                } else {
                    high = middle
                }
            }
            first = low;
            break;
        }
        if first <= count {
            queue.push_back((end, first));
        }
    }
    let mut cuts = vec![count];
    let mut end = count;
    while end > 0 {
        end = from[end];
        cuts.push(end);
    }
    cuts.reverse();
    cuts
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn cost_of(values: &[f64], weights: &[f64], penalty: f64, clusters: &[usize]) -> f64 {
        let count = clusters.iter().max().map_or(0, |m| m + 1);
        (0..count)
            .map(|c| {
                let members = || (0..values.len()).filter(|&i| clusters[i] == c);
                let w: f64 = members().map(|i| weights[i]).sum();
                let centre = members().map(|i| weights[i] * values[i]).sum::<f64>() / w;
                members()
                    .map(|i| weights[i] * (values[i] - centre).powi(2))
                    .sum::<f64>()
                    + penalty
            })
            .sum()
    }

    proptest! {
        /// Against every way to cut the sorted values.
        #[test]
        fn as_cheap_as_any_partition(items in prop::collection::vec((0.0..4.0, 0.1..3.0), 1..11), penalty in 0.01..3.0) {
            let (mut values, weights): (Vec<f64>, Vec<f64>) = items.into_iter().unzip();
            values.iter_mut().for_each(|v| *v = (*v * 4.0_f64).round() / 4.0);
            let got = cost_of(&values, &weights, penalty, &cluster(&values, &weights, penalty));
            let mut order: Vec<usize> = (0..values.len()).collect();
            order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
            let mut least = f64::INFINITY;
            for mask in 0u32..1 << (values.len() - 1) {
                let mut clusters = vec![0; values.len()];
                let mut at = 0;
                for (place, &item) in order.iter().enumerate() {
                    if place > 0 && mask >> (place - 1) & 1 == 1 { at += 1; }
                    clusters[item] = at;
                }
                least = least.min(cost_of(&values, &weights, penalty, &clusters));
            }
            prop_assert!((got - least).abs() < 1e-9 * (1.0 + least), "{got} {least}");
        }
    }

    #[test]
    fn nothing_and_one() {
        assert!(cluster(&[], &[], 1.0).is_empty());
        assert_eq!(cluster(&[3.0], &[1.0], 1.0), [0]);
    }
}
