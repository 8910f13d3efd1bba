//! When the whole record is analysed again.
//!
//! An analysis takes time in proportion to the record. Each sample that comes pays for a fixed number of analysed samples, so
//! that the work is bounded however long the record grows: some of them are spent whenever the record has grown by a fixed share, the
//! others are saved for when something has happened. That depends on the samples alone. Beside it, what has not been looked at for some
//! time is looked at, so that a slow or silent stream is up to date as well.

/// Analysed samples that one sample pays for, at regular times and when something has happened, in a record of up to …
const SHORT_SHARES: (u64, u64) = (32, 32);
/// … so many samples, analysed in some milliseconds, …
const SHORT: u64 = 1 << 16;
/// … and in a longer one. Choices.
const LONG_SHARES: (u64, u64) = (8, 24);
/// Fewest samples between two looks. A choice.
const LEAST: u64 = 4;
/// When something has happened, the record first grows by one in so many: a level of a few samples is not yet one. From memory.
const SEE_FIRST: u64 = 512;
/// A record that has grown is looked at after so many seconds …
const STALE_S: f64 = 2.0;
/// … or so many for each of its samples, if that is more: some 25 times what an analysis takes. Choices.
const STALE_S_A_SAMPLE: f64 = 4e-6;

/// Says when the record is to be looked at.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Pace {
    samples: u64,
    /// Samples at the last look, and its time.
    looked_at: u64,
    looked_s: f64,
    /// Analysed samples that have been paid for and not used.
    saved: u64,
    /// Samples when something happened, since the last look.
    wanted_at: Option<u64>,
}

impl Pace {
    fn shares(&self) -> (u64, u64) {
        if self.samples <= SHORT {
            SHORT_SHARES
        } else {
            LONG_SHARES
        }
    }

    /// Whether the record has grown by its share.
    fn regular(&self) -> bool {
        self.samples - self.looked_at >= LEAST.max(self.looked_at / self.shares().0)
    }

    /// A sample has come.
    pub(crate) fn sample(&mut self) {
        self.samples += 1;
        // Enough for two looks, so that something which happens right after another thing is seen too.
        self.saved = (self.saved + self.shares().1).min(2 * self.samples);
    }

    /// Something has happened.
    pub(crate) fn wanted(&mut self) {
        self.wanted_at.get_or_insert(self.samples);
    }

    pub(crate) fn due(&self) -> bool {
        let seen = |at: u64| self.samples - at >= LEAST.max(self.samples / SEE_FIRST);
        self.regular() || (self.wanted_at.is_some_and(seen) && self.saved >= self.samples)
    }

    pub(crate) fn stale(&self, now_s: f64) -> bool {
        let pause_s = STALE_S.max(STALE_S_A_SAMPLE * self.samples as f64);
        self.samples > self.looked_at && now_s - self.looked_s >= pause_s
    }

    /// A record of so many samples was looked at: more than came since a part was read anew, where older parts stand before it.
    pub(crate) fn looked(&mut self, now_s: f64, samples: usize) {
        self.samples = self.samples.max(samples as u64);
        if !self.regular() {
            self.saved = self.saved.saturating_sub(self.samples);
        }
        self.looked_at = self.samples;
        self.looked_s = now_s;
        self.wanted_at = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// However often something happens, no sample costs more than it pays for.
    #[test]
    fn the_work_is_bounded_and_the_record_is_never_long_unseen() {
        for wanted in [false, true] {
            let mut pace = Pace::default();
            let (mut work, mut looks) = (0u64, 0u64);
            for n in 1..=2_000_000u64 {
                if wanted {
                    pace.wanted();
                }
                pace.sample();
                if pace.due() {
                    pace.looked(0.0, n as usize);
                    (work, looks) = (work + n, looks + 1);
                }
                // What they paid, and a look under way.
                let (short, long) = (n.min(SHORT), n.saturating_sub(SHORT));
                let of = |(regular, saved): (u64, u64)| regular + saved;
                let paid = of(SHORT_SHARES) * short + of(LONG_SHARES) * long;
                assert!(work <= paid + 3 * n, "{work} at {n}");
                assert!(n - pace.looked_at <= LEAST.max(n / LONG_SHARES.0), "{n}");
            }
            assert!(looks > 200, "{looks}");
        }
    }

    #[test]
    fn what_has_happened_is_looked_at_soon() {
        let mut pace = Pace::default();
        for _ in 0..1_000_000 {
            pace.sample();
            if pace.due() {
                pace.looked(0.0, 0);
            }
        }
        // Twice in a row, but not a third time.
        for soon in [true, true, false] {
            pace.wanted();
            let waited = (0..20_000).take_while(|_| {
                pace.sample();
                !pace.due()
            });
            let waited = waited.count() as u64;
            assert_eq!(waited <= pace.samples / SEE_FIRST, soon, "{waited}");
            pace.looked(0.0, 0);
        }
    }

    /// Older parts that a look reads are paid for, though they came before a part was read anew.
    #[test]
    fn old_parts_slow_a_part_read_anew_down() {
        let mut pace = Pace::default();
        let (mut work, old, new) = (0u64, 5_000_000u64, 10_000u64);
        for n in 1..=new {
            pace.wanted();
            pace.sample();
            if pace.due() {
                pace.looked(0.0, (old + n) as usize);
                work += old + n;
            }
        }
        // The first look finds out how long the record is.
        assert!(work <= 2 * (old + new), "{work}");
    }

    #[test]
    fn time_makes_a_record_stale_only_if_it_has_grown() {
        let mut pace = Pace::default();
        assert!(!pace.stale(100.0));
        pace.sample();
        assert!(pace.stale(2.0) && !pace.stale(1.9));
        pace.looked(2.0, 0);
        assert!(!pace.stale(100.0));
        (0..2_000_000).for_each(|_| pace.sample());
        assert!(pace.stale(10.1) && !pace.stale(9.9));
    }
}
