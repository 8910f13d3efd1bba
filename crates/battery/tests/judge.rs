//! Verdicts over the health tests.

use battery::{Cranking, CrankingStandard, HealthTest, Judgement, Label, Verdict, judge};
use measure::Uncertain;
use proptest::prelude::*;

const EN: CrankingStandard = CrankingStandard::En;

fn label() -> Label {
    Label {
        capacity_ah: Some(60.0),
        cranking: Some(Cranking {
            current_a: 540.0,
            standard: EN,
        }),
        ..Label::default()
    }
}

fn rest(volt: f64) -> HealthTest {
    HealthTest::RestVoltage {
        voltage: Uncertain::new(volt, 0.01),
        rested_h: Some(8.0),
        temperature_c: Some(20.0),
    }
}

fn analyser(current_a: f64, standard: CrankingStandard) -> HealthTest {
    HealthTest::Analyser {
        result: Cranking {
            current_a,
            standard,
        },
    }
}

fn load(volt: f64) -> HealthTest {
    HealthTest::LoadTest {
        voltage: Uncertain::new(volt, 0.02),
        load_a: Some(290.0),
        after_s: Some(15.0),
        temperature_c: Some(21.0),
    }
}

fn verdict(tests: &[HealthTest]) -> Verdict {
    checked(tests).verdict
}

fn checked(tests: &[HealthTest]) -> Judgement {
    let judgement = judge(&label(), tests);
    assert!(!judgement.because.is_empty());
    assert!(
        judgement.because.iter().all(|s| s.ends_with('.')),
        "{:?}",
        judgement.because
    );
    judgement
}

#[test]
fn good_weak_replace() {
    assert_eq!(verdict(&[rest(12.6), analyser(530.0, EN)]), Verdict::Good);
    assert_eq!(verdict(&[rest(12.6), analyser(380.0, EN)]), Verdict::Weak);
    assert_eq!(
        verdict(&[rest(12.6), analyser(250.0, EN)]),
        Verdict::Replace
    );
    assert_eq!(verdict(&[rest(12.6), load(10.6)]), Verdict::Good);
    assert_eq!(verdict(&[rest(12.6), load(8.9)]), Verdict::Replace);
}

#[test]
fn untested_is_unknown() {
    assert_eq!(verdict(&[]), Verdict::Unknown);
    assert_eq!(verdict(&[rest(12.6)]), Verdict::Unknown);
}

/// Workshop manuals: at least 75 % charge before a load test.
#[test]
fn an_empty_battery_is_not_condemned() {
    assert_eq!(verdict(&[rest(12.0)]), Verdict::RechargeAndRetest);
    assert_eq!(
        verdict(&[rest(12.0), analyser(250.0, EN)]),
        Verdict::RechargeAndRetest
    );
    assert_eq!(
        verdict(&[rest(12.0), load(8.9)]),
        Verdict::RechargeAndRetest
    );
    assert_eq!(verdict(&[analyser(250.0, EN)]), Verdict::RechargeAndRetest);
    assert_eq!(verdict(&[rest(10.4)]), Verdict::RechargeAndRetest);
}

#[test]
fn after_recharging_the_retest_decides() {
    let tests = [
        rest(12.0),
        analyser(250.0, EN),
        rest(12.65),
        analyser(520.0, EN),
    ];
    assert_eq!(verdict(&tests), Verdict::Good);
    let tests = [
        rest(12.0),
        analyser(250.0, EN),
        rest(12.65),
        analyser(260.0, EN),
    ];
    assert_eq!(verdict(&tests), Verdict::Replace);
}

#[test]
fn contradiction_is_shown() {
    let judgement = checked(&[rest(12.6), analyser(530.0, EN), load(8.8)]);
    assert!(judgement.contradicting);
    assert_eq!(judgement.verdict, Verdict::RechargeAndRetest);
    assert!(judgement.because.iter().any(|s| s.contains("contradict")));
    assert!(!checked(&[rest(12.6), analyser(530.0, EN), load(10.6)]).contradicting);
}

#[test]
fn other_standards_never_condemn() {
    // 540 A EN is about 587 A SAE; 300 A SAE is 51 %.
    let judgement = checked(&[rest(12.6), analyser(300.0, CrankingStandard::Sae)]);
    assert_eq!(judgement.verdict, Verdict::Weak);
    let health = judgement.health.unwrap();
    assert!(health.u / health.value > 0.10, "{health:?}");
    // 318 A DIN is the same battery as 540 A SAE: about 92 %.
    assert_eq!(
        verdict(&[rest(12.6), analyser(318.0, CrankingStandard::Din)]),
        Verdict::Good
    );
}

#[test]
fn losing_charge_alone_condemns_but_does_not_contradict() {
    let alone = HealthTest::StandAlone {
        before: Uncertain::new(12.60, 0.005),
        after: Uncertain::new(12.40, 0.005),
        hours: 14.0,
        temperature_c: Some(15.0),
    };
    let judgement = checked(&[rest(12.6), analyser(530.0, EN), alone]);
    assert_eq!(judgement.verdict, Verdict::Replace);
    assert!(!judgement.contradicting);
}

#[test]
fn a_load_test_without_temperature_or_at_an_odd_load_says_so() {
    let odd = HealthTest::LoadTest {
        voltage: Uncertain::new(9.0, 0.02),
        load_a: Some(100.0),
        after_s: Some(15.0),
        temperature_c: Some(20.0),
    };
    assert_eq!(verdict(&[rest(12.6), odd]), Verdict::Unknown);
    let no_temperature = HealthTest::LoadTest {
        voltage: Uncertain::new(9.2, 0.02),
        load_a: None,
        after_s: None,
        temperature_c: None,
    };
    let judgement = checked(&[rest(12.6), no_temperature]);
    assert_eq!(judgement.verdict, Verdict::Unknown);
    assert!(
        judgement
            .because
            .iter()
            .any(|s| s.contains("with the temperature"))
    );
}

/// TM 9-6140-200-14, Lead-Acid Storage Batteries (US Army, 1998): cells of a
/// charged battery differing by more than 0.025; other manuals 0.050.
#[test]
fn cells_that_differ_condemn_a_charged_battery() {
    let cells = |lowest, highest| HealthTest::Gravity {
        lowest,
        highest,
        temperature_c: Some(26.7),
    };
    assert_eq!(
        verdict(&[rest(12.6), analyser(530.0, EN), cells(1.255, 1.265)]),
        Verdict::Good
    );
    assert_eq!(verdict(&[rest(12.6), cells(1.230, 1.265)]), Verdict::Weak);
    assert_eq!(
        verdict(&[rest(12.6), cells(1.200, 1.265)]),
        Verdict::Replace
    );
    assert_eq!(verdict(&[cells(1.150, 1.160)]), Verdict::RechargeAndRetest);
}

#[test]
fn resistance_supports_but_never_decides() {
    let resistance = |milliohm: f64| HealthTest::Resistance {
        ohm: Uncertain::new(milliohm / 1000.0, 0.0002),
        temperature_c: Some(20.0),
    };
    let judgement = checked(&[rest(12.6), resistance(3.8)]);
    assert_eq!(judgement.verdict, Verdict::Unknown);
    let health = judgement.health.unwrap();
    assert!(health.value > 0.8 && health.u > 0.2, "{health:?}");
    let worse = checked(&[rest(12.6), resistance(8.0)]).health.unwrap();
    assert!(worse.value < 0.6);
}

proptest! {
    #[test]
    fn a_higher_reading_is_never_a_worse_verdict(a in 100.0..700.0_f64, more in 0.0..200.0_f64) {
        let rank = |v: Verdict| match v {
            Verdict::Good => 2,
            Verdict::Weak => 1,
            _ => 0,
        };
        let low = verdict(&[rest(12.6), analyser(a, EN)]);
        let high = verdict(&[rest(12.6), analyser(a + more, EN)]);
        prop_assert!(rank(high) >= rank(low));
    }

    #[test]
    fn odd_numbers_never_panic(v in prop::num::f64::ANY, u in prop::num::f64::ANY, t in prop::num::f64::ANY) {
        let voltage = Uncertain::new(v, u);
        judge(&label(), &[
            HealthTest::RestVoltage { voltage, rested_h: Some(t), temperature_c: Some(t) },
            analyser(v, CrankingStandard::Sae),
            HealthTest::LoadTest { voltage, load_a: Some(t), after_s: Some(t), temperature_c: Some(t) },
            HealthTest::StandAlone { before: voltage, after: voltage, hours: t, temperature_c: Some(t) },
            HealthTest::Resistance { ohm: voltage, temperature_c: Some(t) },
            HealthTest::Gravity { lowest: v, highest: t, temperature_c: Some(t) },
        ]);
    }
}
