//! Stated 95 % intervals on virtual nights contain the truth as often as they say. All 2,000 nights: `cargo test --release
//! -p trace --test calibration -- --ignored`, or `cargo run --release -p trace --example calibration`.

use trace::{AnalyseOptions, TimeAxis, analyse};

mod nights;

/// Under 95 % by more than `sigmas` standard deviations of a binomial count is a miss.
fn check(nights: u64, sigmas: f64, most: f64) {
    let (figures, verdicts) = nights::tally(0..nights, false);
    for (name, tally) in nights::FIGURES.iter().zip(figures) {
        let n = f64::from(tally.said);
        assert!(
            n > 0.9 * f64::from(tally.asked),
            "{name}: said in {n} of {}",
            tally.asked
        );
        let least = 0.95 - sigmas * (0.95 * 0.05 / n).sqrt();
        let share = tally.share();
        assert!(
            (least..=most).contains(&share),
            "{name}: inside in {share:.3} of {n}"
        );
    }
    let wrong = verdicts.said - verdicts.inside;
    assert!(
        f64::from(wrong) < 0.01 * f64::from(verdicts.asked).max(100.0),
        "{wrong} verdicts wrong"
    );
    assert!(verdicts.said * 10 > verdicts.asked * 8, "too often unsure");
}

/// The regularity of returns from sleep is that of the vehicle: a clock's is small, that of 20 % lies near 20 %.
#[test]
fn regularity_of_wake_ups_is_the_vehicles() {
    let (mut said, mut right) = (0, 0);
    for seed in 0..120 {
        let night = nights::night(seed, false);
        let found = analyse(&night.trace, &AnalyseOptions::default()).wake_ups;
        let (Some(_), Some(scatter)) = (night.period_s, found.period_scatter) else {
            continue;
        };
        if found.count < 8 {
            continue;
        }
        said += 1;
        right += if night.jitter < 0.1 {
            u32::from(scatter < night.jitter + 0.05)
        } else {
            u32::from((0.4..1.8).contains(&(scatter / night.jitter)))
        };
    }
    assert!(said > 20 && right * 10 >= said * 9, "{right} of {said}");
}

/// Five minutes after the last step down, sleep is expected at a time: just before it, it is not settled, just after it, it is.
#[test]
fn sleep_comes_when_it_is_expected() {
    let (mut asked, mut right) = (0, 0);
    for seed in 0..60 {
        let night = nights::night(seed, false);
        let until = |end_s: f64| {
            let mut cut = night.trace.clone();
            let count = (0..cut.len())
                .take_while(|i| cut.time_s(*i) <= end_s)
                .count();
            cut.current_a.truncate(count);
            if let TimeAxis::Stamps(stamps) = &mut cut.axis {
                stamps.truncate(count);
            }
            analyse(&cut, &AnalyseOptions::default())
        };
        let why = until(night.sleeps_at_s + 300.0).not_settled;
        let Some(at_s) = why.and_then(|why| why.expected_at_s) else {
            continue;
        };
        if at_s + 60.0 > night.trace.time_s(night.trace.len() - 1) {
            continue;
        }
        asked += 1;
        let early = until(at_s - 60.0).settled.is_none();
        right += u32::from(early && until(at_s + 60.0).settled.is_some());
    }
    assert!(asked > 40 && right * 10 >= asked * 8, "{right} of {asked}");
}

#[test]
fn intervals_hold_on_150_nights() {
    check(150, 3.5, 1.0);
}

/// Reached: settled draw 96.7 %, average 96.5 %, long-run average 94.5 %, time to sleep 94.7 %, wake-up period 95.3 %,
/// step size 95.1 %, draw before a pull 96.0 %; 1,893 verdicts sure, none wrong.
#[test]
#[ignore = "a minute"]
fn intervals_hold_on_2000_nights() {
    check(2000, 4.0, 0.97);
}
