//! Sets of leaves: which nest, which cross, and the binary tree that joins them.

/// A set of leaves.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Set(Vec<u64>);

impl Set {
    pub(super) fn new(leaves: &[usize], count: usize) -> Self {
        let mut bits = vec![0; count.div_ceil(64)];
        for &leaf in leaves {
            bits[leaf / 64] |= 1 << (leaf % 64);
        }
        Self(bits)
    }

    pub(super) fn contains(&self, leaf: usize) -> bool {
        self.0[leaf / 64] >> (leaf % 64) & 1 == 1
    }

    pub(super) fn without(&self, leaves: &[usize]) -> Self {
        let mut bits = self.0.clone();
        for &leaf in leaves {
            bits[leaf / 64] &= !(1 << (leaf % 64));
        }
        Self(bits)
    }

    pub(super) fn len(&self) -> usize {
        self.0.iter().map(|word| word.count_ones() as usize).sum()
    }

    pub(super) fn leaves(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.0.len() * 64).filter(|&leaf| self.contains(leaf))
    }

    fn minus(&self, other: &Self) -> Self {
        Self(self.0.iter().zip(&other.0).map(|(a, b)| a & !b).collect())
    }

    fn and(&self, other: &Self) -> Self {
        Self(self.0.iter().zip(&other.0).map(|(a, b)| a & b).collect())
    }

    /// Whether they overlap without one holding the other.
    pub(super) fn crosses(&self, other: &Self) -> bool {
        let words = || self.0.iter().zip(&other.0);
        words().any(|(a, b)| a & b != 0)
            && words().any(|(a, b)| a & !b != 0)
            && words().any(|(a, b)| b & !a != 0)
    }
}

/// One place of the binary tree.
#[derive(Debug, Clone, Copy)]
pub(super) enum Join {
    /// A leaf.
    Leaf(usize),
    /// The sum of two earlier places.
    Sum(usize, usize),
}

/// Nested sets as a binary tree; children come before parents, the root is last.
#[derive(Debug)]
pub(super) struct Family {
    pub(super) joins: Vec<Join>,
    /// For each set given, its place; `None` for an empty set.
    pub(super) place: Vec<Option<usize>>,
    /// Whether a varying set lies at or below a place.
    pub(super) varies: Vec<bool>,
}

impl Family {
    /// Joins `count` leaves (at least one) so that each of `sets`, which must not cross, is a place.
    /// Sets of the given numbers vary: few places are to lie above them.
    pub(super) fn build(count: usize, sets: &[Set], varying: std::ops::Range<usize>) -> Self {
        let mut family = Self {
            joins: (0..count).map(Join::Leaf).collect(),
            place: vec![None; sets.len()],
            varies: vec![false; count],
        };
        let mut top: Vec<usize> = (0..count).collect();
        let mut order: Vec<usize> = (0..sets.len()).collect();
        order.sort_by_key(|&set| sets[set].len());
        for set in order {
            let leaves: Vec<usize> = sets[set].leaves().collect();
            family.place[set] = family.join(&leaves, &mut top);
            if let (Some(place), true) = (family.place[set], varying.contains(&set)) {
                family.varies[place] = true;
            }
        }
        let all: Vec<usize> = (0..count).collect();
        family.join(&all, &mut top);
        // A set may have been marked after others were built upon its place.
        for place in 0..family.joins.len() {
            if let Join::Sum(a, b) = family.joins[place] {
                family.varies[place] |= family.varies[a] || family.varies[b];
            }
        }
        family
    }

    /// Joins the present tops of `leaves`: first those below which nothing varies.
    fn join(&mut self, leaves: &[usize], top: &mut [usize]) -> Option<usize> {
        let mut known = vec![false; self.joins.len()];
        let mut tops: [Vec<usize>; 2] = Default::default();
        for &leaf in leaves {
            let at = top[leaf];
            if !std::mem::replace(&mut known[at], true) {
                tops[usize::from(self.varies[at])].push(at);
            }
        }
        let [still, varying] = tops;
        let still = self.pairwise(still);
        let place = self.pairwise(still.into_iter().chain(varying).collect())?;
        for &leaf in leaves {
            top[leaf] = place;
        }
        Some(place)
    }

    /// Joins pairwise, so that the tree stays low.
    fn pairwise(&mut self, tops: Vec<usize>) -> Option<usize> {
        let mut queue = std::collections::VecDeque::from(tops);
        while queue.len() > 1 {
            if let (Some(a), Some(b)) = (queue.pop_front(), queue.pop_front()) {
                self.joins.push(Join::Sum(a, b));
                self.varies.push(self.varies[a] || self.varies[b]);
                queue.push_back(self.joins.len() - 1);
            }
        }
        queue.pop_front()
    }
}

/// Leaves after whose removal no two of `sets` cross, chosen greedily: first
/// the one that leaves fewest crossings, then the one with fewest cells.
pub(super) fn cut(sets: &[Set], cells: &[usize]) -> Vec<usize> {
    let mut sets: Vec<Set> = sets.to_vec();
    sets.sort();
    sets.dedup();
    let mut removed = Vec::new();
    loop {
        let pairs = crossings(&sets);
        let Some(&(a, b)) = pairs.first() else {
            removed.sort_unstable();
            return removed;
        };
        let involved = |leaf: &usize| {
            pairs
                .iter()
                .any(|&(a, b)| sets[a].contains(*leaf) || sets[b].contains(*leaf))
        };
        let best = (0..cells.len())
            .filter(|leaf| !removed.contains(leaf))
            .filter(involved)
            .map(|leaf| {
                let left = pairs
                    .iter()
                    .filter(|&&(a, b)| sets[a].without(&[leaf]).crosses(&sets[b].without(&[leaf])))
                    .count();
                (left, cells[leaf], leaf)
            })
            .min();
        // Where no single leaf helps, begin with the smallest of the three parts.
        let leaf = match best {
            Some((left, _, leaf)) if left < pairs.len() => Some(leaf),
            _ => {
                let parts = [
                    sets[a].and(&sets[b]),
                    sets[a].minus(&sets[b]),
                    sets[b].minus(&sets[a]),
                ];
                parts
                    .iter()
                    .min_by_key(|part| part.len())
                    .and_then(|part| part.leaves().next())
            }
        };
        let Some(leaf) = leaf else {
            return removed;
        };
        removed.push(leaf);
        for set in &mut sets {
            *set = set.without(&[leaf]);
        }
    }
}

fn crossings(sets: &[Set]) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    for a in 0..sets.len() {
        for b in a + 1..sets.len() {
            if sets[a].crosses(&sets[b]) {
                pairs.push((a, b));
            }
        }
    }
    pairs
}
