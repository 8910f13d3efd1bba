//! Stated 95 % intervals on virtual nights contain the truth as often as they say. All 2,000 nights: `cargo test --release
//! -p trace --test calibration -- --ignored`, or `cargo run --release -p trace --example calibration`.

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

#[test]
fn intervals_hold_on_150_nights() {
    check(150, 3.5, 1.0);
}

/// Reached: settled draw 96.9 %, average 96.6 %, long-run average 94.7 %, time to sleep 94.7 %, wake-up period 95.3 %,
/// step size 95.1 %, draw before a pull 96.4 %; 1,893 verdicts sure, none wrong.
#[test]
#[ignore = "a minute"]
fn intervals_hold_on_2000_nights() {
    check(2000, 4.0, 0.97);
}
