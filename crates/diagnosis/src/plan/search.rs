//! One fault among candidates, found by tests that say inside or outside.
//!
//! The knowledge is the set of candidates left and whether the vehicle is awake.
//! The expected minutes to the end obey
//! V(S) = 0 when no test splits S, else the minimum over tests t that split S of
//! c_t + wait owed + P(in) V(S∩t) + P(out) V(S−t).
//! Small sets are solved exactly by dynamic programming over the sets that can
//! be reached; larger ones by rollout: each first test is followed by the
//! greedy rule (information per effective minute) until the set is small.

use std::{
    collections::HashMap,
    hash::{BuildHasherDefault, Hash, Hasher},
};

use super::score::entropy;

/// Largest number of candidates solved exactly unless told otherwise: at most
/// 2¹² sets, awake and asleep.
pub const EXACT: usize = 12;

/// A set of candidates, one bit each.
pub type Candidates = u128;

/// A test that tells whether the fault lies inside its set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitTest {
    /// The candidates inside.
    pub inside: Candidates,
    /// Minutes, without waiting for sleep.
    pub minutes: f64,
    /// Chance that it leaves the vehicle awake.
    pub wake_chance: f64,
}

/// What is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Knowledge {
    /// Candidates left.
    pub left: Candidates,
    /// Whether the next test has to wait for sleep first.
    pub awake: bool,
}

/// The problem, with what was worked out so far.
#[derive(Debug, Clone)]
pub struct Search {
    candidates: usize,
    /// By byte of a set and value of that byte: weight of what it holds.
    weights: Vec<[f64; 256]>,
    tests: Vec<SplitTest>,
    /// Tests that no other with the same set beats.
    useful: Vec<usize>,
    wait_min: f64,
    exact_up_to: usize,
    exact: Known<(f64, Option<usize>)>,
    greedy: Known<f64>,
}

type Known<T> = HashMap<Knowledge, T, BuildHasherDefault<Mixed>>;

/// Mixes the words of a set: looking up what is known already is most of the work, and
/// nobody chooses these keys to do harm. Multiplier: 2^64 over the golden ratio, odd.
#[derive(Debug, Clone, Default)]
struct Mixed(u64);

impl Hasher for Mixed {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 32)
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u64(u64::from(*byte));
        }
    }

    fn write_u8(&mut self, word: u8) {
        self.write_u64(u64::from(word));
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(23) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }

    fn write_u128(&mut self, word: u128) {
        self.write_u64(word as u64);
        self.write_u64((word >> 64) as u64);
    }
}

impl Search {
    /// A search among candidates with these relative weights (at most 128; more
    /// are left out) by these tests; a test after a waking one first waits `wait_min`.
    pub fn new(weights: &[f64], tests: &[SplitTest], wait_min: f64) -> Self {
        let weights: Vec<f64> = weights.iter().take(128).map(|w| w.max(0.0)).collect();
        let of_byte = |chunk: &[f64]| {
            let mut sums = [0.0; 256];
            for (value, sum) in sums.iter_mut().enumerate() {
                let held = chunk.iter().enumerate();
                *sum = held
                    .filter(|(bit, _)| value >> bit & 1 == 1)
                    .map(|(_, w)| w)
                    .sum();
            }
            sums
        };
        Self {
            candidates: weights.len(),
            weights: weights.chunks(8).map(of_byte).collect(),
            useful: useful(tests),
            tests: tests.to_vec(),
            wait_min,
            exact_up_to: EXACT,
            exact: Known::default(),
            greedy: Known::default(),
        }
    }

    /// The same search, solved exactly only for up to this many candidates.
    pub fn exact_up_to(mut self, candidates: usize) -> Self {
        self.exact_up_to = candidates;
        self
    }

    /// All candidates, asleep.
    pub fn start(&self) -> Knowledge {
        let all = (0..self.candidates).fold(0, |set, i| set | 1 << i);
        Knowledge {
            left: all,
            awake: false,
        }
    }

    /// The test to do now, by its number; `None` when none splits what is left.
    pub fn choose(&mut self, now: Knowledge) -> Option<usize> {
        if now.left.count_ones() as usize <= self.exact_up_to {
            self.solve(now).1
        } else {
            self.rollout(now)
        }
    }

    /// Expected minutes, outcomes weighted, when [`choose`](Self::choose) picks every test.
    pub fn expected_minutes(&mut self, now: Knowledge) -> f64 {
        match self.choose(now) {
            None => 0.0,
            Some(test) => self.step(now, test, &mut Self::expected_minutes),
        }
    }

    /// What is known after a test found the fault inside or outside its set.
    pub fn after(&self, now: Knowledge, test: usize, inside: bool, awake: bool) -> Knowledge {
        let set = self.tests[test].inside;
        Knowledge {
            left: if inside {
                now.left & set
            } else {
                now.left & !set
            },
            awake,
        }
    }

    /// Cost of one test and of what follows it, by `then`.
    fn step(
        &mut self,
        now: Knowledge,
        test: usize,
        then: &mut dyn FnMut(&mut Self, Knowledge) -> f64,
    ) -> f64 {
        let SplitTest {
            minutes,
            wake_chance,
            ..
        } = self.tests[test];
        let owed = if now.awake { self.wait_min } else { 0.0 };
        let mut cost = minutes + owed;
        let total = self.mass(now.left);
        for inside in [true, false] {
            for (awake, chance) in [(true, wake_chance), (false, 1.0 - wake_chance)] {
                let next = self.after(now, test, inside, awake);
                let p = self.mass(next.left) / total * chance;
                if p > 0.0 {
                    cost += p * then(self, next);
                }
            }
        }
        cost
    }

    fn mass(&self, set: Candidates) -> f64 {
        let mut rest = set;
        let mut sum = 0.0;
        for sums in &self.weights {
            sum += sums[(rest & 0xff) as usize];
            rest >>= 8;
        }
        sum
    }

    fn splits(&self, now: Knowledge) -> Vec<usize> {
        let tests = self.useful.iter().copied();
        tests
            .filter(|&t| {
                let inside = self.tests[t].inside & now.left;
                inside != 0 && inside != now.left
            })
            .collect()
    }

    /// Exact expected minutes and best test.
    fn solve(&mut self, now: Knowledge) -> (f64, Option<usize>) {
        if now.left.count_ones() <= 1 || self.mass(now.left) <= 0.0 {
            return (0.0, None);
        }
        if let Some(&known) = self.exact.get(&now) {
            return known;
        }
        let mut best = (0.0, None);
        for test in self.splits(now) {
            let cost = self.step(now, test, &mut |search, next| search.solve(next).0);
            if best.1.is_none() || cost < best.0 {
                best = (cost, Some(test));
            }
        }
        self.exact.insert(now, best);
        best
    }

    /// First test that is best when the greedy rule goes on.
    fn rollout(&mut self, now: Knowledge) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for test in self.splits(now) {
            let cost = self.step(now, test, &mut Self::greedy_minutes);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, test));
            }
        }
        best.map(|(_, test)| test)
    }

    /// Expected minutes of the greedy rule, exact once the set is small.
    fn greedy_minutes(&mut self, now: Knowledge) -> f64 {
        if now.left.count_ones() as usize <= self.exact_up_to {
            return self.solve(now).0;
        }
        if let Some(&known) = self.greedy.get(&now) {
            return known;
        }
        let total = self.mass(now.left);
        let mut best: Option<(f64, usize)> = None;
        for test in self.splits(now) {
            let p = self.mass(now.left & self.tests[test].inside) / total;
            let t = &self.tests[test];
            let owed = if now.awake { self.wait_min } else { 0.0 };
            let effective = t.minutes + owed + self.wait_min * t.wake_chance;
            let rate = entropy(p) / effective.max(1e-9);
            if best.is_none_or(|(most, _)| rate > most) {
                best = Some((rate, test));
            }
        }
        let cost = match best {
            None => 0.0,
            Some((_, test)) => self.step(now, test, &mut Self::greedy_minutes),
        };
        self.greedy.insert(now, cost);
        cost
    }
}

/// Numbers of the tests worth considering: of those that ask for the same set, the ones that
/// none betters in minutes and in peace. Of equals the first.
fn useful(tests: &[SplitTest]) -> Vec<usize> {
    let betters = |a: usize, b: usize| {
        let (one, other) = (&tests[a], &tests[b]);
        let no_worse = one.minutes <= other.minutes && one.wake_chance <= other.wake_chance;
        let equal = one.minutes >= other.minutes && one.wake_chance >= other.wake_chance;
        one.inside == other.inside && no_worse && (!equal || a < b)
    };
    (0..tests.len())
        .filter(|&b| tests[b].inside != 0 && !(0..tests.len()).any(|a| betters(a, b)))
        .collect()
}
