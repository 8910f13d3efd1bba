//! One fault among candidates, found by tests that say inside or outside.
//!
//! The knowledge is the set of candidates left and whether the vehicle is awake.
//! The expected minutes to the end obey
//! V(S) = 0 when no test splits S, else the minimum over tests t that split S of
//! c_t + wait owed + P(in) V(S∩t) + P(out) V(S−t).
//! Small sets are solved exactly by dynamic programming over the sets that can
//! be reached; larger ones by rollout: each first test is followed by the
//! greedy rule (information per effective minute) until the set is small.
//!
//! Where what is pulled stays out, a pull that finds the fault inside its set
//! leaves every candidate out, and from then on putting some back asks for less.

use std::{
    collections::HashMap,
    hash::{BuildHasherDefault, Hash, Hasher},
};

use super::score::entropy;

/// Largest number of candidates solved exactly unless told otherwise: at most
/// 2¹² sets, awake and asleep.
pub const EXACT: usize = 12;

/// Tests that are looked at two steps far, and those tried as the second step: so many of the
/// fastest and so many of the most telling (chosen for answers within some hundredths of a second).
const FIRSTS: usize = 8;
const SECONDS: usize = 6;

/// A set of candidates, one bit each.
pub type Candidates = u128;

/// A test that tells whether the fault lies inside its set.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SplitTest {
    /// The candidates inside.
    pub inside: Candidates,
    /// Minutes, without waiting for sleep.
    pub minutes: f64,
    /// Chance that it leaves the vehicle awake.
    pub wake_chance: f64,
    /// Of a pull after which its set stays out: minutes to put the set back, and the chance that
    /// this leaves the vehicle awake.
    pub back: Option<(f64, f64)>,
}

/// What is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Knowledge {
    /// Candidates left.
    pub left: Candidates,
    /// Whether the next test has to wait for sleep first.
    pub awake: bool,
    /// Whether all candidates left are out, so that only putting some back tells.
    pub out: bool,
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
    second: Known<f64>,
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
            second: Known::default(),
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
            ..Knowledge::default()
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
            // What a pull found is out; what was found by putting it back is in.
            out: if inside {
                !now.out && self.tests[test].back.is_some()
            } else {
                now.out
            },
        }
    }

    /// Minutes of a test and its chance to wake, with all candidates out or in.
    fn price(&self, test: usize, out: bool) -> (f64, f64) {
        let test = &self.tests[test];
        let pull = (test.minutes, test.wake_chance);
        test.back.filter(|_| out).unwrap_or(pull)
    }

    /// Cost of one test and of what follows it, by `then`.
    ///
    /// Waiting for sleep is owed whatever comes next, so that it changes no choice: what
    /// follows is asked for the sleeping vehicle, and the wait added where a test follows.
    fn step(
        &mut self,
        now: Knowledge,
        test: usize,
        then: &mut dyn FnMut(&mut Self, Knowledge) -> f64,
    ) -> f64 {
        let (minutes, wake_chance) = self.price(test, now.out);
        let owed = if now.awake { self.wait_min } else { 0.0 };
        let mut cost = minutes + owed;
        let total = self.mass(now.left);
        for inside in [true, false] {
            let next = self.after(now, test, inside, false);
            let p = self.mass(next.left) / total;
            if p > 0.0 {
                let follows = then(self, next);
                let wait = if follows > 0.0 {
                    wake_chance * self.wait_min
                } else {
                    0.0
                };
                cost += p * (follows + wait);
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
                let possible = !now.out || self.tests[t].back.is_some();
                possible && inside != 0 && inside != now.left
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

    /// First test that is best when a rollout of the greedy rule chooses the second: the best
    /// few by the greedy rule itself are looked at so.
    fn rollout(&mut self, now: Knowledge) -> Option<usize> {
        let mut firsts: Vec<(f64, usize)> = Vec::new();
        for test in self.splits(now) {
            firsts.push((self.step(now, test, &mut Self::greedy_minutes), test));
        }
        firsts.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        firsts.truncate(FIRSTS);
        let mut best: Option<(f64, usize)> = None;
        for (_, test) in firsts {
            let cost = self.step(now, test, &mut Self::second_minutes);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, test));
            }
        }
        best.map(|(_, test)| test)
    }

    /// Expected minutes when the next test is the best of the promising ones and the greedy
    /// rule goes on.
    fn second_minutes(&mut self, now: Knowledge) -> f64 {
        if now.left.count_ones() as usize <= self.exact_up_to {
            return self.solve(now).0;
        }
        if let Some(&known) = self.second.get(&now) {
            return known;
        }
        let mut best = f64::INFINITY;
        for test in self.promising(now) {
            best = best.min(self.step(now, test, &mut Self::greedy_minutes));
        }
        let cost = if best.is_finite() { best } else { 0.0 };
        self.second.insert(now, cost);
        cost
    }

    /// The tests that tell most in their time, and those that tell most.
    fn promising(&self, now: Knowledge) -> Vec<usize> {
        let total = self.mass(now.left);
        let mut rated: Vec<(f64, f64, usize)> = self
            .splits(now)
            .into_iter()
            .map(|test| {
                let bits = entropy(self.mass(now.left & self.tests[test].inside) / total);
                (bits / self.effective_min(now, test), bits, test)
            })
            .collect();
        rated.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.2.cmp(&b.2)));
        let mut chosen: Vec<usize> = rated.iter().take(SECONDS).map(|r| r.2).collect();
        rated.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.2.cmp(&b.2)));
        let most = rated.iter().take(SECONDS).map(|r| r.2);
        for test in most {
            if !chosen.contains(&test) {
                chosen.push(test);
            }
        }
        chosen
    }

    /// Minutes of a test with what it owes and what it makes wait.
    fn effective_min(&self, now: Knowledge, test: usize) -> f64 {
        let (minutes, wake_chance) = self.price(test, now.out);
        let owed = if now.awake { self.wait_min } else { 0.0 };
        (minutes + owed + self.wait_min * wake_chance).max(1e-9)
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
            let rate = entropy(p) / self.effective_min(now, test);
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
        let same = one.inside == other.inside && one.back == other.back;
        same && no_worse && (!equal || a < b)
    };
    (0..tests.len())
        .filter(|&b| tests[b].inside != 0 && !(0..tests.len()).any(|a| betters(a, b)))
        .collect()
}
