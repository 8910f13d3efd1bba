//! Seeded noise of the kinds that meters have, with unit scatter. Invented.
#![allow(dead_code)]

pub(crate) mod short;

/// A small generator (Knuth's MMIX constants); seeded, the same everywhere.
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        let mut random = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x1234_5678_9abc_def1);
        random.uniform();
        random.uniform();
        random
    }

    pub(crate) fn uniform(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        // The high bits, mixed: the low ones of such a generator are poor.
        let x = self.0 ^ (self.0 >> 33);
        ((x.wrapping_mul(0xff51_afd7_ed55_8ccd) >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// A Poisson count.
    pub(crate) fn count(&mut self, mean: f64) -> f64 {
        let (mut count, mut product) = (0.0, self.uniform());
        while product > (-mean).exp() {
            product *= self.uniform();
            count += 1.0;
        }
        count
    }

    pub(crate) fn normal(&mut self) -> f64 {
        (-2.0 * self.uniform().ln()).sqrt() * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

pub(crate) const KINDS: [&str; 12] = [
    "white",
    "ar 0.5",
    "ar 0.7",
    "ar 0.9",
    "ar 0.95",
    "digit 1",
    "digit 5",
    "ar 0.7 digit",
    "spikes",
    "ramp",
    "wander",
    "all",
];

/// `count` samples of noise of one kind without any change.
pub(crate) fn noise(kind: &str, count: usize, seed: u64) -> Vec<f64> {
    noise_on(kind, count, seed, |_| 0.0)
}

/// What a meter of one kind rounds to, in standard deviations; zero if it does not.
pub(crate) fn digit(kind: &str) -> f64 {
    match kind {
        "digit 1" | "ar 0.7 digit" | "all" => 1.0,
        "digit 5" => 5.0,
        _ => 0.0,
    }
}

/// The same on given levels.
pub(crate) fn noise_on(
    kind: &str,
    count: usize,
    seed: u64,
    level: impl Fn(usize) -> f64,
) -> Vec<f64> {
    let mut random = Random::new(seed);
    let rho = match kind {
        "ar 0.5" => 0.5,
        "ar 0.7" | "ar 0.7 digit" | "all" => 0.7,
        "ar 0.9" => 0.9,
        "ar 0.95" => 0.95,
        _ => 0.0,
    };
    let digit = digit(kind);
    // Where the level lies between two digits.
    let offset = random.uniform() * 10.0;
    let (mut state, mut wander) = (random.normal(), 0.0);
    // A clamp's zero that creeps by five standard deviations over the record, straight or as a random walk.
    let slope = if matches!(kind, "ramp" | "all") {
        5.0 / count as f64
    } else {
        0.0
    };
    let step = if kind == "wander" {
        2.5 / (count as f64).sqrt()
    } else {
        0.0
    };
    (0..count)
        .map(|i| {
            let fresh = random.normal();
            state = rho * state + (1.0 - rho * rho).sqrt() * fresh;
            wander += step * random.normal();
            let mut y = level(i) + offset + state + slope * i as f64 + wander;
            if matches!(kind, "spikes" | "all") && random.uniform() < 0.01 {
                y += 20.0 * random.normal();
            }
            if digit > 0.0 {
                (y / digit).round() * digit
            } else {
                y
            }
        })
        .collect()
}
