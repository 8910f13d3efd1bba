//! How the best segmentation of each prefix ends, as far as anything can still lead back to it.
//!
//! The dynamic programme looks back from a prefix to where its last segment starts, from there to the prefix that ends there, and so on.
//! Only starts that a live piece stands for can become part of a later answer. So every few thousand samples the others are
//! forgotten: what is kept is a short run of recent prefixes and the tree behind the live starts, about as large as
//! the number of changes, instead of twelve bytes for every sample.

/// Prefixes after which the unreachable ones are forgotten, at least. A choice: small enough for a processor's nearest memory.
const ROOM: usize = 2048;
/// No prefix: the way back ends here.
const NOWHERE: u32 = u32::MAX;

/// A prefix that was kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    /// Samples in it.
    pub(super) length: u32,
    /// First sample of its last segment.
    pub(super) first: u32,
    /// Level of its last segment.
    pub(super) level: f64,
    /// Where the prefix that ends before `first` is kept.
    before: u32,
}

/// Last segments of prefixes.
#[derive(Debug, Clone, Default)]
pub(super) struct Path {
    /// In order of length.
    kept: Vec<Node>,
    /// How many of them are a chain that every live start leads back to: nothing of it will be forgotten.
    settled: usize,
    /// Samples before the recent prefixes.
    base: u32,
    /// First sample and level of the last segment of each prefix since.
    recent: Vec<(u32, f64)>,
}

impl PartialEq for Path {
    fn eq(&self, other: &Self) -> bool {
        self.parts() == other.parts()
    }
}

impl Path {
    /// From what [`Path::parts`] gave; `None` if that is no path.
    pub(super) fn of(
        kept: Vec<(u32, u32, f64)>,
        base: u32,
        recent: Vec<(u32, f64)>,
    ) -> Option<Self> {
        let mut path = Self {
            kept: Vec::with_capacity(kept.len()),
            base,
            recent,
            settled: 0,
        };
        let mut longest = 0;
        for (length, first, level) in kept {
            if length <= longest || length > base || first >= length {
                return None;
            }
            longest = length;
            let before = path.index_of(first);
            if first > 0 && before.is_none() {
                return None;
            }
            path.kept.push(Node {
                length,
                first,
                level,
                before: before.map_or(NOWHERE, |at| at as u32),
            });
        }
        u32::try_from(path.recent.len()).ok()?.checked_add(base)?;
        let known = |(first, length): (u32, u32)| {
            first < length && (first == 0 || path.last_of(first).is_some())
        };
        let sound = path
            .recent
            .iter()
            .map(|last| last.0)
            .zip(base + 1..)
            .all(known);
        // A path without recent prefixes ends with a kept one.
        let ends = !path.recent.is_empty() || longest == base;
        (sound && ends).then_some(path)
    }

    /// Kept prefixes, samples before the recent ones, and these.
    pub(super) fn parts(&self) -> (&[Node], u32, &[(u32, f64)]) {
        (&self.kept, self.base, &self.recent)
    }

    /// Length of the longest prefix.
    #[inline(always)]
    pub(super) fn len(&self) -> u32 {
        self.base + self.recent.len() as u32
    }

    /// Appends the last segment of the next prefix.
    #[inline(always)]
    pub(super) fn push(&mut self, first: u32, level: f64) {
        self.recent.push((first, level));
    }

    /// Whether it is time to forget.
    #[inline(always)]
    pub(super) fn full(&self) -> bool {
        self.recent.len() >= ROOM && self.recent.len() >= self.kept.len() - self.settled
    }

    /// First sample and level of the last segment of the prefix of `length` samples, if it is still known.
    pub(super) fn last_of(&self, length: u32) -> Option<(u32, f64)> {
        match length.checked_sub(self.base + 1) {
            Some(recent) => self.recent.get(recent as usize).copied(),
            None => self
                .index_of(length)
                .map(|at| (self.kept[at].first, self.kept[at].level)),
        }
    }

    /// First samples and levels of the segments of the prefix of `length` samples, as far back as they are known.
    pub(super) fn segments(&self, length: u32) -> Vec<(usize, f64)> {
        let mut out = Vec::new();
        let mut end = length;
        while let Some((first, level)) = self.last_of(end).filter(|_| end > 0) {
            out.push((first as usize, level));
            end = first;
        }
        out.reverse();
        out
    }

    /// Where the prefix of `length` samples is, of all that is kept and recent.
    fn place(&self, length: u32) -> Option<usize> {
        match length.checked_sub(self.base + 1) {
            Some(recent) => Some(self.kept.len() + recent as usize),
            None => self.index_of(length),
        }
    }

    /// What the prefix at a place leads back to.
    fn before(&self, at: usize) -> Option<usize> {
        match at.checked_sub(self.kept.len()) {
            Some(recent) => self.place(self.recent[recent].0),
            None => Some(self.kept[at].before as usize).filter(|_| self.kept[at].first > 0),
        }
    }

    /// A mark for each place from the first that may go: whether a prefix of a length in `live`, or the longest, leads back to it.
    fn marked(&self, live: impl Iterator<Item = u32>) -> Vec<u32> {
        let settled = self.settled;
        let total = self.kept.len() + self.recent.len();
        let mut marks = vec![0; total - settled];
        for length in live.chain([self.len()]) {
            let at = self.place(length).and_then(|at| at.checked_sub(settled));
            if let Some(mark) = at.and_then(|at| marks.get_mut(at)) {
                *mark = 1;
            }
        }
        // A prefix is always longer than the one it leads back to.
        for at in (settled..total).rev() {
            if marks[at - settled] > 0
                && let Some(earlier) = self.before(at)
                && let Some(earlier) = earlier.checked_sub(settled)
            {
                marks[earlier] = 1;
            }
        }
        marks
    }

    /// Forgets what no prefix of a length in `live`, nor the longest, leads back to.
    #[inline(never)]
    pub(super) fn forget(&mut self, live: impl Iterator<Item = u32>) {
        let (settled, kept) = (self.settled, self.kept.len());
        // Marks become one more than the new places.
        let mut places = self.marked(live);
        let mut nodes = Vec::with_capacity(places.iter().filter(|mark| **mark > 0).count());
        for at in settled..settled + places.len() {
            if places[at - settled] == 0 {
                continue;
            }
            let before = self.before(at).map_or(NOWHERE, |earlier| {
                let moved = earlier.checked_sub(settled).map(|at| places[at] - 1);
                moved.unwrap_or(earlier as u32)
            });
            let node = match at.checked_sub(kept) {
                Some(recent) => {
                    let (first, level) = self.recent[recent];
                    Node {
                        length: self.base + 1 + recent as u32,
                        first,
                        level,
                        before,
                    }
                }
                None => Node {
                    before,
                    ..self.kept[at]
                },
            };
            nodes.push(node);
            places[at - settled] = (settled + nodes.len()) as u32;
        }
        self.base = self.len();
        self.kept.truncate(settled);
        self.kept.append(&mut nodes);
        self.recent.clear();
        self.settle();
    }

    /// Finds how far all that is kept leads back to one and the same chain.
    fn settle(&mut self) {
        let leads = |at: &usize| {
            let before = self.kept[*at].before;
            if *at == 0 {
                before == NOWHERE
            } else {
                before as usize == at - 1
            }
        };
        let chain = (self.settled..self.kept.len()).take_while(leads).count();
        let chain = self.settled + chain;
        // The earliest that anything from some place on leads back to.
        let mut earliest = self.kept.len();
        for at in (self.settled + 1..self.kept.len()).rev() {
            let before = self.kept[at].before;
            earliest = earliest.min(if before == NOWHERE {
                0
            } else {
                before as usize
            });
            if at <= chain && earliest == at - 1 {
                self.settled = at;
                return;
            }
        }
    }

    /// Where the kept prefix of `length` samples is.
    fn index_of(&self, length: u32) -> Option<usize> {
        self.kept
            .binary_search_by_key(&length, |node| node.length)
            .ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Whatever is still asked for comes back as if nothing had been forgotten.
        #[test]
        fn the_way_back_is_kept(firsts in prop::collection::vec(any::<prop::sample::Index>(), 1..300), often in 1usize..40) {
            let mut path = Path::default();
            let mut live: Vec<u32> = Vec::new();
            let mut all: Vec<(u32, f64)> = Vec::new();
            for (place, pick) in firsts.iter().enumerate() {
                live.push(place as u32);
                // One of the live starts, and some of them die.
                let first = live[pick.index(live.len())];
                live.retain(|start| start % 7 != place as u32 % 7 || *start == first);
                path.push(first, place as f64);
                all.push((first, place as f64));
                if place % often == 0 {
                    path.forget(live.iter().copied());
                }
                let (kept, base, recent) = path.parts();
                let kept = kept.iter().map(|node| (node.length, node.first, node.level));
                let again = Path::of(kept.collect(), base, recent.to_vec());
                prop_assert_eq!(again.as_ref(), Some(&path));
                for &length in live.iter().chain([&(place as u32 + 1)]) {
                    let mut want = Vec::new();
                    let mut end = length;
                    while end > 0 {
                        let (first, level) = all[end as usize - 1];
                        want.push((first as usize, level));
                        end = first;
                    }
                    want.reverse();
                    prop_assert_eq!(path.segments(length), want);
                }
            }
        }
    }
}
