//! Published examples, and what a zero that is set takes away.

use proptest::prelude::*;

use super::*;

fn meter(accuracy_percent: f64, digits: f64, resolution: f64) -> Instrument {
    Instrument {
        id: "meter".into(),
        kind: InstrumentKind::InLine,
        accuracy_percent,
        digits,
        resolution: Some(resolution),
        zero_set: false,
    }
}

fn component(reading: &Reading, source: Source) -> f64 {
    reading
        .components
        .iter()
        .find(|c| c.source == source)
        .map_or(0.0, |c| c.half_width)
}

#[test]
fn published_specification_example() {
    // Instrument-trade note on digital multimeter error:
    // ±(0.08 % + 2 digits) at 2.000 V is ±0.0036 V.
    let reading = meter(0.08, 2.0, 0.001).plain_reading(2.0);
    assert!((component(&reading, Source::Accuracy) - 0.0036).abs() < 1e-12);
}

#[test]
fn published_total_measurement_error() {
    // Keysight/Agilent 34401A 6.5-digit bench multimeter manual, chapter 1, 'To
    // calculate total measurement error': 0.0020 % of 5 V plus 0.0005 % of the
    // 10 V range (5 counts of 10 µV) is ±150 µV.
    let reading = meter(0.0020, 5.0, 10e-6).plain_reading(5.0);
    assert!((component(&reading, Source::Accuracy) - 150e-6).abs() < 1e-12);
}

#[test]
fn gum_voltmeter_example() {
    // JCGM 100:2008, 4.3.7 example 2 (from memory): 14 ppm of 0.928571 V
    // plus 2 ppm of the 1 V range is ±15 µV, u = 8.7 µV.
    let reading = meter(14e-4, 1.0, 2e-6).plain_reading(0.928_571);
    let accuracy = reading.components[0];
    assert!((accuracy.half_width - 15e-6).abs() < 0.05e-6);
    assert!((accuracy.u() - 8.66e-6).abs() < 0.05e-6);
    // F.2.2.1: the last digit is worth 0.29 of a step.
    let last = reading.components[1];
    assert!((last.u() / 2e-6 - 0.2887).abs() < 1e-4);
}

#[test]
fn a_coarse_meter_cannot_judge_fifty_milliampere() {
    // Reference set, dmm-10A-50mA (computed): ±30.5 mA, u = 17.6 mA.
    let reading = meter(1.0, 3.0, 0.01).reading(How::InLine, 0.05);
    let accuracy = reading.components[0];
    assert!((accuracy.half_width - 0.0305).abs() < 1e-12);
    assert!((accuracy.u() - 0.017_61).abs() < 1e-5);
    assert!(meter(1.0, 3.0, 0.01).floor_a(How::InLine, None).unwrap() > 0.05);
}

#[test]
fn a_tenth_of_a_millivolt_across_a_big_fuse_cannot_see_fifty_milliampere() {
    let voltmeter = Instrument::generic(InstrumentKind::Millivolt);
    assert!(voltmeter.floor_a(How::Millivolt, Some(1.97e-3)).unwrap() > 0.05);
    // But a lamp left on shows across a small one.
    assert!(voltmeter.floor_a(How::Millivolt, Some(7.7e-3)).unwrap() < 0.4);
    assert_eq!(voltmeter.floor_a(How::Millivolt, None), None);
    assert_eq!(voltmeter.floor_a(How::Shunt, Some(0.0)), None);
}

#[test]
fn the_clamps_zero_stands_alone_and_mostly_cancels_in_a_difference() {
    let clamp = Instrument::generic(InstrumentKind::Clamp);
    let reading = clamp.reading(How::Clamp, 0.412);
    assert_eq!(component(&reading, Source::ClampZero), 0.010);
    let step = clamp.difference(How::Clamp, 0.412, 0.050, 1.0);
    assert_eq!(component(&step, Source::ClampZero), 0.001);
    // Two last digits of half a milliampere each.
    assert!((component(&step, Source::Resolution) - 0.0005 * 2.0_f64.sqrt()).abs() < 1e-15);
    assert!((step.value.value + 0.362).abs() < 1e-12);
    assert!(step.value.u < reading.value.u);
    // A general clamp wanders more than a low-range one.
    let general = Instrument {
        resolution: Some(0.01),
        ..clamp
    };
    assert_eq!(
        component(&general.reading(How::Clamp, 0.412), Source::ClampZero),
        0.05
    );
}

#[test]
fn a_zero_set_before_reading_lets_a_meter_see_less() {
    let plain = Class::ordinary(InstrumentKind::Millivolt).instrument();
    let zeroed = Instrument {
        zero_set: true,
        ..plain.clone()
    };
    let step = plain.step();
    let of = |tool: &Instrument| tool.reading(How::Millivolt, 0.0);
    // One count stays of those promised, and the zero has a last digit of its own.
    let counts = component(&of(&zeroed), Source::Accuracy);
    assert!((counts - step).abs() < 1e-15);
    let last = component(&of(&zeroed), Source::Resolution);
    assert!((last - step / 2.0 * 2.0_f64.sqrt()).abs() < 1e-15);
    assert!(of(&zeroed).value.u < of(&plain).value.u);
    // A share of the reading stays what it was.
    let share = |tool: &Instrument| {
        let far = tool.reading(How::Millivolt, 1000.0 * step);
        component(&far, Source::Accuracy) - component(&of(tool), Source::Accuracy)
    };
    assert!((share(&zeroed) - share(&plain)).abs() < 1e-12);
    // A clamp's zero has had a minute to wander, not ten.
    let clamp = Instrument {
        zero_set: true,
        ..Class::ordinary(InstrumentKind::Clamp).instrument()
    };
    let wandered = component(&clamp.reading(How::Clamp, 0.1), Source::ClampZero);
    assert!((wandered - 0.001).abs() < 1e-15);
}

#[test]
fn words_read_back_and_others_are_refused() {
    for &kind in InstrumentKind::ALL {
        assert_eq!(kind.as_str().parse(), Ok(kind));
    }
    for &how in How::ALL {
        assert_eq!(how.to_string().parse(), Ok(how));
    }
    assert_eq!(
        "tongs".parse::<How>().unwrap_err().to_string(),
        "'tongs' is not a way to read a current; write one of clamp, in-line, millivolt, shunt"
    );
}

#[test]
fn impossible_specifications_are_refused() {
    assert!(meter(0.5, 5.0, 0.001).check().is_ok());
    assert_eq!(
        meter(-2.0, 5.0, 0.001).check().unwrap_err().to_string(),
        "accuracy -2 % is outside 0 to 100 %"
    );
    assert!(meter(0.5, f64::NAN, 0.001).check().is_err());
    assert!(meter(0.5, 5.0, 0.0).check().is_err());
}

proptest! {
    #[test]
    fn a_finer_meter_never_widens_a_reading(
        shown in -50.0..50.0_f64, percent in 0.0..5.0_f64, digits in 0.0..20.0_f64,
        step in 1e-5..0.1_f64, finer in 0.1..1.0_f64, how in prop::sample::select(How::ALL),
    ) {
        let coarse = meter(percent, digits, step).reading(how, shown);
        let fine = meter(percent * finer, digits * finer, step * finer).reading(how, shown);
        prop_assert!(fine.value.u <= coarse.value.u);
        prop_assert!(coarse.value.u >= 0.0 && coarse.value.value == shown);
        // The parts make the whole, up to rounding of a handful of sums.
        let sum: f64 = coarse.components.iter().map(|c| c.u().powi(2)).sum();
        prop_assert!((sum.sqrt() - coarse.value.u).abs() <= 8.0 * f64::EPSILON * coarse.value.u);
    }

    #[test]
    fn the_floor_falls_with_the_resistance(low in 1e-4..1.0_f64, more in 1.0..100.0_f64) {
        let meter = Instrument::generic(InstrumentKind::Millivolt);
        let small = meter.floor_a(How::Millivolt, Some(low));
        let large = meter.floor_a(How::Millivolt, Some(low * more));
        prop_assert!(large <= small);
    }

    #[test]
    fn nothing_panics(shown in any::<f64>(), percent in any::<f64>(), digits in any::<f64>(),
                      step in any::<f64>(), how in prop::sample::select(How::ALL)) {
        let odd = meter(percent, digits, step);
        let _ = (odd.reading(how, shown), odd.difference(how, shown, digits, step));
        let _ = (odd.floor_a(how, Some(shown)), odd.check());
    }
}
