//! Stamps of rows in little memory, to the last bit.
//!
//! Most logs are even: their stamps are whole multiples of a power of ten, or were computed as so many steps, each as much later
//! than the one before. Such a run is kept as its first number, its step and its length; everything else as it is.

/// Shortest run that is kept as such; so many stamps are kept as they are before the next is looked for. A choice.
const SHORTEST: usize = 64;
/// Most decimals that are tried; powers of ten up to 10^22 are exact in binary, more than nine is no clock.
const MOST_DECIMALS: i32 = 9;
/// A column of stamps that only grows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stamps {
    runs: Vec<Run>,
    count: usize,
}

#[derive(Debug, Clone, PartialEq)]
enum Run {
    Even(Even),
    Plain(Vec<f64>),
}

/// `(first + k × step) / power` for k below `count`, as rounded.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Even {
    first: f64,
    step: f64,
    power: f64,
    count: usize,
}

impl Even {
    fn at(&self, k: usize) -> f64 {
        (self.first + k as f64 * self.step) / self.power
    }

    /// How many of `values` go on with it.
    fn fitting(&self, values: &[f64]) -> usize {
        let same =
            |(k, value): &(usize, &f64)| self.at(self.count + k).to_bits() == value.to_bits();
        values.iter().enumerate().take_while(same).count()
    }

    /// The longest such run that `values` begin with, in whole steps over `power`; `None` if it is short.
    fn whole(values: &[f64], power: f64) -> Option<Self> {
        let whole = |value: f64| (value * power).round();
        let first = whole(*values.first()?);
        Self::start_of(values, first, whole(*values.get(1)?) - first, power)
    }

    /// The same for stamps that were computed as so many steps.
    fn computed(values: &[f64]) -> Option<Self> {
        let first = *values.first()?;
        Self::start_of(values, first, values.get(1)? - first, 1.0)
    }

    fn start_of(values: &[f64], first: f64, step: f64, power: f64) -> Option<Self> {
        let mut run = Self {
            first,
            step,
            power,
            count: 0,
        };
        run.count = run.fitting(values);
        (run.count >= SHORTEST).then_some(run)
    }
}

impl Stamps {
    /// Appends `values`.
    pub fn extend(&mut self, values: &[f64]) {
        self.count += values.len();
        let mut rest = values;
        while !rest.is_empty() {
            let taken = self.go_on(rest);
            rest = &rest[taken..];
        }
    }

    /// Appends some of `values`; says how many.
    fn go_on(&mut self, values: &[f64]) -> usize {
        let mut power = None;
        if let Some(Run::Even(last)) = self.runs.last_mut() {
            let count = last.fitting(values);
            if count > 0 {
                last.count += count;
                return count;
            }
            power = Some(last.power);
        }
        let powers = (0..=MOST_DECIMALS).map(|decimals| 10.0_f64.powi(decimals));
        let even = power
            .into_iter()
            .chain(powers)
            .find_map(|power| Even::whole(values, power))
            .or_else(|| Even::computed(values));
        if let Some(even) = even {
            self.runs.push(Run::Even(even));
            return even.count;
        }
        let count = SHORTEST.min(values.len());
        match self.runs.last_mut() {
            Some(Run::Plain(last)) => last.extend_from_slice(&values[..count]),
            _ => self.runs.push(Run::Plain(values[..count].to_vec())),
        }
        count
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// The first.
    pub fn first(&self) -> Option<f64> {
        match self.runs.first()? {
            Run::Even(run) => Some(run.at(0)),
            Run::Plain(values) => values.first().copied(),
        }
    }

    /// The last.
    pub fn last(&self) -> Option<f64> {
        match self.runs.last()? {
            Run::Even(run) => Some(run.at(run.count - 1)),
            Run::Plain(values) => values.last().copied(),
        }
    }

    /// Whether they are a single even run.
    pub(super) fn is_one_run(&self) -> bool {
        matches!(self.runs.as_slice(), [Run::Even(_)])
    }

    /// Whether `of` holds for each, with its place.
    pub(super) fn all(&self, mut of: impl FnMut(usize, f64) -> bool) -> bool {
        let mut before = 0;
        self.runs.iter().all(|run| {
            let start = before;
            match run {
                Run::Even(run) => {
                    before += run.count;
                    (0..run.count).all(|k| of(start + k, run.at(k)))
                }
                Run::Plain(values) => {
                    before += values.len();
                    (start..).zip(values).all(|(k, value)| of(k, *value))
                }
            }
        })
    }

    /// All of them, as they came.
    pub fn into_vec(mut self) -> Vec<f64> {
        if let [Run::Plain(values)] = self.runs.as_mut_slice() {
            return std::mem::take(values);
        }
        let mut out = Vec::with_capacity(self.count);
        for run in self.runs {
            match run {
                Run::Even(run) => out.extend((0..run.count).map(|k| run.at(k))),
                Run::Plain(values) => out.extend_from_slice(&values),
            }
        }
        out
    }
}

impl From<Vec<f64>> for Stamps {
    fn from(values: Vec<f64>) -> Self {
        let mut out = Self::default();
        out.extend(&values);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(parts: &[Vec<f64>]) -> Stamps {
        let mut stamps = Stamps::default();
        parts.iter().for_each(|part| stamps.extend(part));
        let all: Vec<u64> = parts.iter().flatten().map(|v| v.to_bits()).collect();
        assert_eq!(stamps.len(), all.len());
        assert!(stamps.all(|k, value| value.to_bits() == all[k]));
        assert_eq!(stamps.first().map(f64::to_bits), all.first().copied());
        assert_eq!(stamps.last().map(f64::to_bits), all.last().copied());
        let back: Vec<u64> = stamps
            .clone()
            .into_vec()
            .iter()
            .map(|v| v.to_bits())
            .collect();
        assert_eq!(back, all);
        stamps
    }

    #[test]
    fn an_even_log_takes_one_run() {
        let part = |from: u32| (from..from + 1000).map(|k| f64::from(k) / 10.0).collect();
        assert!(check(&[part(0), part(1000), part(2000)]).is_one_run());
        let computed = |from: u32| (from..from + 1000).map(|k| f64::from(k) * 0.1).collect();
        assert!(check(&[computed(0), computed(1000)]).is_one_run());
        // With a gap there are two, or three where the gap leaves a stamp alone.
        assert!(check(&[part(0), part(5000)]).runs.len() <= 3);
    }

    #[test]
    fn odd_stamps_come_back_too() {
        check(&[vec![-0.0; 200], vec![f64::MAX; 200], vec![0.0; 200]]);
        check(&[(0..300).map(|k| f64::from(k).sqrt()).collect()]);
        check(&[(0..300).map(|k| 9.1e15 + f64::from(k)).collect()]);
        check(&[(0..300).map(|k| 1e300 * f64::from(k)).collect()]);
        check(&[vec![f64::NAN], vec![1.0], vec![]]);
        check(&[(0..300).map(|k| 8.9e15 * f64::from(k % 2)).collect()]);
    }

    proptest! {
        #[test]
        fn whatever_comes_comes_back(parts in prop::collection::vec((0u32..300, -1e6..1e6f64, 0u32..2000, 0i32..4), 0..6)) {
            let parts: Vec<Vec<f64>> = parts
                .into_iter()
                .map(|(count, from, step, decimals)| {
                    let power = 10.0_f64.powi(decimals);
                    (0..count).map(|k| (from + f64::from(k * step)).round() / power).collect()
                })
                .collect();
            check(&parts);
        }
    }
}
