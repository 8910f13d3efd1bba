//! Short records of many kinds with known changes; scatter is one unless said otherwise. Invented.

use super::Random;

/// What is recorded. Those that begin with "none" have no change; the others one to four, of 1.5 to 6 standard deviations.
pub(crate) const KINDS: [&str; 17] = [
    "steps",
    "steps ar 0.5",
    "steps ar 0.8",
    "counts",
    "proportional",
    "digits",
    "spikes",
    "trend and steps",
    "season and steps",
    "staircase",
    "returns",
    "none",
    "none ar 0.8",
    "none trend",
    "none walk",
    "none season",
    "kinks",
];

/// `count` samples (at least 20) and the first samples of new segments.
pub(crate) fn record(kind: &str, count: usize, seed: u64) -> (Vec<f64>, Vec<usize>) {
    let name = kind
        .bytes()
        .map(u64::from)
        .fold(0u64, |a, b| a.wrapping_mul(31).wrapping_add(b));
    let mut random = Random::new(seed.wrapping_mul(7919) + count as u64 * 31 + name % 100_003);
    let at = changes(kind, count, &mut random);
    let levels = levels(kind, at.len(), &mut random);
    let maker = Maker::new(kind, count, at.len(), &mut random);
    let samples = maker.samples(&at, &levels, random);
    (samples, at)
}

fn changes(kind: &str, count: usize, random: &mut Random) -> Vec<usize> {
    let wanted = if kind.starts_with("none") {
        0
    } else {
        1 + (4.0 * random.uniform()) as usize
    };
    let apart = (count / 12).max(6);
    let mut at: Vec<usize> = Vec::new();
    for _ in 0..200 {
        if at.len() == wanted {
            break;
        }
        let t = apart + (random.uniform() * (count - 2 * apart) as f64) as usize;
        if at.iter().all(|a| a.abs_diff(t) >= apart) {
            at.push(t);
        }
    }
    at.sort_unstable();
    at
}

fn levels(kind: &str, changes: usize, random: &mut Random) -> Vec<f64> {
    let mut level: f64 = 0.0;
    let mut levels = vec![level];
    for i in 0..changes {
        let size = 1.5 + 4.5 * random.uniform();
        level = match kind {
            "staircase" => level - 12.0 * 0.5_f64.powi(i as i32) * (0.7 + 0.6 * random.uniform()),
            "returns" if i % 2 == 0 => size,
            "returns" => 0.0,
            _ => level + size * (random.uniform() - 0.5).signum(),
        };
        levels.push(level);
    }
    levels
}

/// What one record is made with.
struct Maker<'a> {
    kind: &'a str,
    count: usize,
    rho: f64,
    slope: f64,
    season: [f64; 3],
    mean_count: f64,
    offset: f64,
    slopes: Vec<f64>,
}

impl<'a> Maker<'a> {
    fn new(kind: &'a str, count: usize, changes: usize, random: &mut Random) -> Self {
        let length = count as f64;
        Self {
            kind,
            count,
            rho: match kind {
                "steps ar 0.5" => 0.5,
                "steps ar 0.8" | "none ar 0.8" => 0.8,
                _ => 0.0,
            },
            // Up to eight over the record.
            slope: 16.0 * (random.uniform() - 0.5) / length,
            season: [
                0.7 + 1.3 * random.uniform(),
                7.0 + 20.0 * random.uniform(),
                random.uniform(),
            ],
            mean_count: 4.0 + 16.0 * random.uniform(),
            offset: random.uniform(),
            slopes: (0..=changes)
                .map(|_| 60.0 * (random.uniform() - 0.5) / length)
                .collect(),
        }
    }

    fn samples(&self, at: &[usize], levels: &[f64], mut random: Random) -> Vec<f64> {
        let low = levels.iter().copied().fold(f64::INFINITY, f64::min);
        let [size, period, phase] = self.season;
        let (mut state, mut walk, mut line) = (random.normal(), 0.0, 0.0);
        let mut sample = |i: usize| {
            let segment = at.partition_point(|a| *a <= i);
            let level = levels[segment];
            let fresh = (1.0 - self.rho * self.rho).sqrt() * random.normal();
            state = self.rho * state + fresh;
            let noisy = level + state;
            match self.kind {
                // Scatter is the root of the mean.
                "counts" => random.count(self.mean_count + (level - low) * self.mean_count.sqrt()),
                // 15 % of the level.
                "proportional" => (3.0 + level - low) * (1.0 + 0.15 * state),
                "digits" => ((noisy + self.offset) / 2.0).round() * 2.0,
                "spikes" if random.uniform() < 0.03 => noisy + 15.0 * random.normal(),
                "trend and steps" | "none trend" => noisy + self.slope * i as f64,
                "season and steps" | "none season" => {
                    noisy + size * (std::f64::consts::TAU * (i as f64 / period + phase)).sin()
                }
                "none walk" => {
                    walk += 0.3 * random.normal();
                    walk + state
                }
                "kinks" => {
                    line += self.slopes[segment];
                    line + 0.5 * state
                }
                _ => noisy,
            }
        };
        (0..self.count).map(&mut sample).collect()
    }
}
