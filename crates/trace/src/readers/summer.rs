//! Local clocks that are put back and forward at the ends of summer time.
//!
//! A logger that stamps local time without a zone repeats an hour one night a year and leaves one out in another. Both are
//! told from other trouble by their size, which is one hour, and by their time, which is between midnight and four in the morning
//! (common practice of those who legislate it); anything else that runs backwards stays an error.

/// One hour, seconds.
const HOUR_S: f64 = 3600.0;
/// Until when in the morning clocks are changed, seconds of the day.
const UNTIL_S: f64 = 4.0 * HOUR_S;
/// Longest sampling interval with which a jump can be told from a gap, seconds. A choice.
const LONGEST_S: f64 = 600.0;

fn of_day(seconds: f64) -> f64 {
    seconds.rem_euclid(86_400.0)
}

/// Whether a stamp `by_s` earlier than the one before it, at `at_s` (local seconds since any midnight), is a clock put back. Samples are at most
/// ten minutes apart, so that the hour is short of by no more than that.
pub(super) fn put_back(by_s: f64, at_s: f64) -> bool {
    (HOUR_S - LONGEST_S..=HOUR_S).contains(&by_s) && of_day(at_s) < UNTIL_S
}

/// The index of the first sample after a clock was put forward, in stamps that do not decrease; `origin_s` is the local second
/// that they count from. `None` unless there is exactly one jump of an hour and the usual interval, at a full hour of the night.
pub(super) fn put_forward(stamps: &[f64], origin_s: f64) -> Option<usize> {
    let mut steps: Vec<f64> = stamps
        .windows(2)
        .take(1000)
        .map(|w| w[1] - w[0])
        .filter(|d| *d > 0.0)
        .collect();
    steps.sort_by(f64::total_cmp);
    let usual = *steps.get(steps.len().saturating_sub(1) / 2)?;
    if usual > LONGEST_S {
        return None;
    }
    let jump = |w: &[f64]| {
        let (before, after) = (w[0] + origin_s, w[1] + origin_s);
        let step = after - before - HOUR_S;
        // The last sample of the old hour is less than two intervals before its end.
        let left = HOUR_S - of_day(before).rem_euclid(HOUR_S);
        step > 0.0 && step <= 2.0 * usual && left <= 2.0 * usual && of_day(before) < UNTIL_S
    };
    let mut jumps = stamps
        .windows(2)
        .enumerate()
        .filter(|(_, w)| jump(w))
        .map(|(i, _)| i + 1);
    let found = jumps.next()?;
    jumps.next().is_none().then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_hour_of_the_night() {
        assert!(put_back(3599.0, 2.0 * HOUR_S));
        assert!(!put_back(3599.0, 12.0 * HOUR_S));
        assert!(!put_back(60.0, 2.0 * HOUR_S) && !put_back(7199.0, 2.0 * HOUR_S));
    }

    #[test]
    fn a_gap_of_an_hour_is_none() {
        // From 1:00, every 10 s; 2:00 to 3:00 is missing.
        let jumped = |from: usize| -> Vec<f64> {
            (0..720)
                .map(|i| 10.0 * i as f64 + if i >= from { HOUR_S } else { 0.0 })
                .collect()
        };
        assert_eq!(put_forward(&jumped(360), HOUR_S), Some(360));
        // A quarter past two, or at noon, or half an hour.
        assert_eq!(put_forward(&jumped(450), HOUR_S), None);
        assert_eq!(put_forward(&jumped(360), 11.0 * HOUR_S), None);
        let even: Vec<f64> = (0..720).map(|i| 10.0 * f64::from(i)).collect();
        assert_eq!(put_forward(&even, HOUR_S), None);
        assert_eq!(put_forward(&[], 0.0), None);
    }
}
