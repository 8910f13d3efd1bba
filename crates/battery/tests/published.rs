//! Published figures and worked examples, the publication beside each.

use battery::{
    Chemistry, Cranking, CrankingStandard, Label, capacity, charging, crank, electrolyte, health,
    recharge, self_discharge, soc,
};
use measure::Uncertain;

fn close(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "{got} is not {expected} ± {tolerance}"
    );
}

fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

// ---- capacity and reserve ----

/// Ampere-hours are current × time: US Army Ordnance subcourse OS 010, para 14
/// (5 A, 20 h), OD1633, para 7 (20 A, 20 h); and the rated current runs exactly
/// the rated hours.
#[test]
fn rated_current_runs_the_rated_hours() {
    for (ampere, ah) in [(5.0, 100.0), (20.0, 400.0)] {
        close(capacity::peukert_hours(ah, 20.0, ampere, 1.2), 20.0, 0.01);
    }
}

/// US Navy Electronics Technician training text 14344, percent capacity from a test discharge.
#[test]
fn capacity_percent() {
    close(capacity::tested_percent(10.0, 10.0), 100.0, 0.01);
    close(capacity::tested_percent(8.0, 10.0), 80.0, 0.01);
}

/// Three independent conversion notes for reserve capacity to Ah (RC x 25/60).
#[test]
fn reserve_minutes_deliver() {
    close(capacity::reserve_delivered_ah(45.0), 18.75, 0.005);
    close(capacity::reserve_delivered_ah(100.0), 41.67, 0.01);
    close(capacity::reserve_delivered_ah(160.0), 66.7, 0.05);
}

/// Battery-charger owner's manuals (RC/2 + 15.5); dealer information "Battery
/// parasitic drain" (RC x 0.6).
#[test]
fn reserve_minutes_to_twenty_hour_capacity() {
    for (minutes, half_plus, six_tenths) in [
        (90.0, 60.5, 54.0),
        (120.0, 75.5, 72.0),
        (130.0, 80.5, 78.0),
        (160.0, 95.5, 96.0),
    ] {
        let [a, b] = capacity::reserve_rules_ah(minutes);
        close(a, half_plus, 0.01);
        close(b, six_tenths, 0.01);
        let mean = capacity::from_reserve(minutes);
        close(mean.value, (half_plus + six_tenths) / 2.0, 1e-9);
        // Never the 25 A figure as 20-hour capacity.
        assert!(mean.value - 2.0 * mean.u > capacity::reserve_delivered_ah(minutes));
    }
    close(capacity::reserve_rules_ah(100.0)[1], 60.0, 0.01);
}

/// Service manuals, table CCA/RC 600/115, 770/115, 750/160, 625/180: capacity
/// from the cranking current alone covers what the reserve minutes say.
#[test]
fn cranking_current_is_the_worst_source_of_capacity() {
    for (cca, minutes) in [
        (600.0, 115.0),
        (770.0, 115.0),
        (750.0, 160.0),
        (625.0, 180.0),
    ] {
        let label = Label {
            cranking: Some(Cranking {
                current_a: cca,
                standard: CrankingStandard::Sae,
            }),
            ..Label::default()
        };
        let rough = capacity::rated_ah(&label).unwrap();
        let better = capacity::rated_ah(&Label {
            reserve_min: Some(minutes),
            ..label
        })
        .unwrap();
        assert!(rough.u > better.u);
        assert!(
            (rough.value - better.value).abs() < 2.0 * rough.u,
            "{rough:?} {better:?}"
        );
    }
}

/// Battery-charger owner's manuals: hours = Ah x fraction / A x 1.25.
#[test]
fn recharge_hours() {
    let hours = |ah, charge, ampere| {
        recharge::charger_hours(Chemistry::Flooded, ah, charge, ampere).unwrap()
    };
    close(hours(60.0, 0.25, 10.0), 5.625, 0.01);
    close(
        hours(capacity::reserve_rules_ah(120.0)[0], 0.25, 40.0),
        1.770,
        0.005,
    );
    assert_eq!(
        recharge::charger_hours(Chemistry::Flooded, 60.0, 0.5, 0.0),
        None
    );
    assert_eq!(hours(60.0, 1.0, 10.0), 0.0);
}

// ---- rate ----

/// Printed Peukert table for a 100 Ah battery (20 h base), DC-system instrument manual.
#[test]
fn peukert() {
    let share = |ampere, n| capacity::peukert_share(100.0, 20.0, ampere, n);
    close(share(25.0, 1.25), 0.67, 0.005);
    close(
        capacity::peukert_hours(100.0, 20.0, 25.0, 1.25),
        2.675,
        0.005,
    );
    close(share(100.0, 1.3), 0.41, 0.005);
    close(share(10.0, 1.2), 0.87, 0.005);
    close(share(5.0, 1.2), 1.0, 0.001);
    close(
        capacity::peukert_exponent_from(5.0, 20.0, 25.0, 2.0),
        1.4307,
        0.0005,
    );
}

/// The same manual: slower than the 20-hour rate gives about rated capacity, not more.
#[test]
fn peukert_invents_no_capacity_at_key_off_currents() {
    for ampere in [0.02, 0.05, 0.5, 3.0] {
        close(
            60.0 * capacity::peukert_share(60.0, 20.0, ampere, 1.25),
            60.0,
            0.01,
        );
    }
}

/// Electrotechnik.net (2010) puts the 20-hour capacity where the 1 A capacity
/// belongs and gets 14.5 h: not reproduced.
#[test]
fn published_peukert_error_is_not_reproduced() {
    close(capacity::peukert_hours(100.0, 20.0, 5.0, 1.2), 20.0, 0.01);
}

/// IEEE Std 485 temperature cell-size correction factors (table values, from memory).
#[test]
fn capacity_against_temperature() {
    for (fahrenheit, factor) in [
        (25.0, 1.52),
        (40.0, 1.30),
        (60.0, 1.11),
        (77.0, 1.0),
        (100.0, 0.91),
    ] {
        close(
            capacity::temperature_share(celsius(fahrenheit), 60.0, 3.0),
            1.0 / factor,
            0.002,
        );
    }
    // Key-off currents lose less, warmth adds less.
    assert!(capacity::temperature_share(0.0, 60.0, 0.03) > 0.9);
}

// ---- specific gravity, charge, freezing ----

/// E-Z-GO owner's/service manual, figure 35; TM 5-3820-256-24-4 (US Army);
/// Kohler TP-5606 generator manual, figure 3-17.
#[test]
fn gravity_is_corrected_to_80_f() {
    for (reading, fahrenheit, corrected) in [
        (1.250, 90.0, 1.254),
        (1.250, 70.0, 1.246),
        (1.250, 20.0, 1.226),
        (1.235, 100.0, 1.243),
    ] {
        close(
            electrolyte::corrected_gravity(reading, celsius(fahrenheit)),
            corrected,
            0.0005,
        );
    }
    // Nissan Sentra 2002 workshop manual, hydrometer temperature correction, its
    // ends; the table's +0.020 at 30 °F has lost its minus sign.
    for (fahrenheit, correction) in [
        (160.0, 0.032),
        (110.0, 0.012),
        (80.0, 0.0),
        (50.0, -0.012),
        (30.0, -0.020),
        (0.0, -0.032),
    ] {
        close(
            electrolyte::corrected_gravity(1.2, celsius(fahrenheit)) - 1.2,
            correction,
            0.0005,
        );
    }
}

/// TM 5-3820-256-24-4 (US Army) prints 1.235 at 43 °C "(100 F)" as 1.246: 43 °C is
/// 110 °F and gives 1.247, not reproduced.
#[test]
fn published_hot_example_error_is_not_reproduced() {
    close(
        electrolyte::corrected_gravity(1.235, celsius(110.0)),
        1.247,
        0.0005,
    );
}

/// TM 5-118-5 (US Army): 0.001 per day; Table II condition against SG.
#[test]
fn a_month_of_self_discharge_by_gravity() {
    let gravity = 1.280 - 0.001 * 30.0;
    close(gravity, 1.250, 0.0005);
    let charge = electrolyte::charge_from_gravity(gravity, Some(electrolyte::FullGravity::Sg1280));
    close(charge.value, 0.75, 0.0005);
}

/// 1.190 is half charge on one Army scale and a quarter on the other (TM
/// 5-4210-230-14&P-1; TM 5-118-5): without knowing which, ±15 %.
#[test]
fn gravity_scales_disagree() {
    use electrolyte::{FullGravity, charge_from_gravity};
    close(
        charge_from_gravity(1.190, Some(FullGravity::Sg1265)).value,
        0.5,
        1e-9,
    );
    close(
        charge_from_gravity(1.190, Some(FullGravity::Sg1280)).value,
        0.25,
        1e-9,
    );
    assert!(charge_from_gravity(1.190, None).u >= 0.15);
}

/// Battery-maker FAQ: 125 Ah, 4 % per week of rated, 16 weeks: 80 Ah; linear.
#[test]
fn self_discharge_is_linear_in_rated_capacity() {
    close(
        self_discharge::lost_ah(125.0, 0.04, 168.0, 16.0 * 168.0),
        80.0,
        0.01,
    );
}

/// Rolls Battery support article, storage of AGM: 2 % per month at 25 °C, up to
/// 50 % faster at 35 °C. From memory: 3 to 5 % for calcium at 20 °C.
#[test]
fn self_discharge_tables() {
    close(
        self_discharge::per_month(Chemistry::Agm, 25.0, None).value,
        0.02,
        1e-5,
    );
    close(
        self_discharge::per_month(Chemistry::Agm, 35.0, None).value,
        0.03,
        1e-5,
    );
    let calcium = self_discharge::per_month(Chemistry::Flooded, 20.0, None);
    assert!(calcium.value > 0.03 && calcium.value < 0.05);
    // B. Darden battery FAQ: 1 to 25 % per month covers every chemistry and age.
    for chemistry in Chemistry::ALL {
        for age in [None, Some(0.0), Some(10.0)] {
            let rate = self_discharge::per_month(chemistry, 25.0, age).value;
            assert!((0.01..0.25).contains(&rate), "{chemistry} {rate}");
        }
    }
}

fn rested(chemistry: Chemistry, volt: f64) -> Uncertain {
    soc::from_rested_voltage(
        chemistry,
        Uncertain::new(volt, 0.005),
        Some(48.0),
        Some(25.0),
    )
}

/// TM 5-3805-262-20 (US Army), battery no-load voltage test, p. 5-142; between
/// its points straight lines.
#[test]
fn flooded_charge_from_voltage() {
    for (volt, percent) in [
        (12.6, 100.0),
        (12.4, 75.0),
        (12.2, 50.0),
        (12.0, 25.0),
        (11.7, 0.0),
        (12.3, 62.5),
        (12.5, 87.5),
        (11.85, 12.5),
    ] {
        close(
            100.0 * rested(Chemistry::Flooded, volt).value,
            percent,
            0.01,
        );
    }
}

/// Polaris owner's manual, AGM battery charging recommendations table.
#[test]
fn agm_charge_from_voltage() {
    for (volt, percent) in [(12.8, 100.0), (12.6, 75.0), (12.3, 50.0), (12.0, 25.0)] {
        close(100.0 * rested(Chemistry::Agm, volt).value, percent, 0.01);
    }
}

/// Logwell technical page "vehicle battery": its bands lie within our uncertainty;
/// 10 % of charge is about 80 mV, so a 1 % voltmeter leaves about ±15 %.
#[test]
fn charge_uncertainty_is_honest() {
    for (low, high, percent) in [
        (11.8, 11.8, 0.0),
        (12.0, 12.06, 25.0),
        (12.2, 12.24, 50.0),
        (12.4, 12.45, 75.0),
        (12.6, 12.68, 100.0),
    ] {
        let charge = rested(Chemistry::Flooded, (low + high) / 2.0);
        assert!(
            (charge.value - percent / 100.0).abs() < 2.0 * charge.u,
            "{percent}: {charge:?}"
        );
    }
    let poor = soc::from_rested_voltage(
        Chemistry::Flooded,
        Uncertain::rectangular(12.3, 0.12),
        Some(24.0),
        Some(25.0),
    );
    assert!(
        poor.u * 3.0_f64.sqrt() > 0.14 && poor.u * 3.0_f64.sqrt() < 0.20,
        "{poor:?}"
    );
}

/// TM 9-6115-730-24 (US Army), WP 0050: at least 3 h of rest, preferably 8 h.
#[test]
fn surface_charge_decays_with_rest() {
    let after = |hours| {
        soc::from_rested_voltage(
            Chemistry::Agm,
            Uncertain::new(12.4, 0.005),
            hours,
            Some(20.0),
        )
    };
    assert!(after(Some(0.2)).u > after(Some(3.0)).u && after(Some(3.0)).u > after(Some(8.0)).u);
    assert!(after(None).u > after(Some(3.0)).u);
    assert!(after(Some(0.2)).value < after(Some(8.0)).value);
    assert!((after(Some(8.0)).value - 0.7 / 1.2).abs() < 0.01);
}

/// Lead-acid specific gravity note: open-circuit cell voltage = SG + 0.84.
#[test]
fn voltage_from_gravity() {
    for (gravity, volt) in [
        (1.265, 12.63),
        (1.225, 12.39),
        (1.190, 12.18),
        (1.155, 11.97),
        (1.120, 11.76),
    ] {
        close(electrolyte::voltage_from_gravity(gravity, 6), volt, 0.005);
        // The same charge by voltage and by gravity: within 0.06 V of the table used.
        let charge = electrolyte::charge_from_gravity(gravity, None).value;
        close(
            soc::rested_voltage(Chemistry::Flooded, charge, 25.0),
            volt,
            0.061,
        );
    }
}

/// TM 5-4210-230-14&P-1 (US Army), Table 2 freezing.
#[test]
fn freezing_points() {
    for (gravity, freezes) in [
        (1.265, -59.5),
        (1.225, -37.2),
        (1.190, -26.1),
        (1.155, -15.0),
        (1.120, -9.4),
    ] {
        close(electrolyte::freezing_c(gravity), freezes, 0.1);
    }
    // US Army Ordnance subcourse OD1002, Lesson 2: another table, within the 3 °C
    // the sources differ by, where the two overlap.
    for (gravity, freezes) in [
        (1.0, 0.0),
        (1.100, -7.2),
        (1.150, -15.0),
        (1.200, -26.7),
        (1.250, -52.2),
    ] {
        close(electrolyte::freezing_c(gravity), freezes, 3.0);
    }
    assert_eq!(electrolyte::freezing_charge(-5.0), None);
    close(electrolyte::freezing_charge(-12.0).unwrap(), 0.25, 1e-6);
}

// ---- load test, cranking ----

/// TM 5-4210-230-14&P-1 (US Army), Table 5; Kia Amanti 2007/2009 workshop manuals.
#[test]
fn load_test_minimum() {
    for (at, volt) in [
        (21.0, 9.6),
        (16.0, 9.5),
        (10.0, 9.4),
        (4.0, 9.3),
        (-1.0, 9.1),
        (-7.0, 8.9),
        (-12.0, 8.7),
        (-18.0, 8.5),
    ] {
        close(crank::load_test_minimum_v(at), volt, 0.001);
    }
    close(crank::load_test_minimum_v(13.0), 9.45, 0.005);
    close(crank::load_test_minimum_v(30.0), 9.6, 0.005);
}

/// GM service manuals, table CCA/load-test amperes (half, rounded down to 10 A);
/// Mazda CX-9 2017 workshop manual, 3 x Ah.
#[test]
fn load_test_current() {
    for (cca, load) in [
        (600.0, 300.0),
        (770.0, 380.0),
        (750.0, 370.0),
        (625.0, 310.0),
    ] {
        let label = Label {
            cranking: Some(Cranking {
                current_a: cca,
                standard: CrankingStandard::Sae,
            }),
            ..Label::default()
        };
        close(health::load_test_a(&label).unwrap(), load, 5.0);
    }
    for (ah, load) in [(60.0, 180.0), (65.0, 195.0)] {
        let label = Label {
            capacity_ah: Some(ah),
            ..Label::default()
        };
        close(health::load_test_a(&label).unwrap(), load, 0.5);
    }
}

/// Workshop article carrying the classic table, power available and required.
#[test]
fn cranking_margin() {
    for (at, margin) in [(26.7, 1.0), (0.0, 0.4194), (-17.8, 0.1905)] {
        close(
            crank::available_share(at) / crank::required_share(at),
            margin,
            0.001,
        );
    }
    // Army 20 %, classic table 25 % at -28.9 °C.
    let coldest = crank::available_share(-28.9);
    assert!((0.20..=0.25).contains(&coldest));
}

/// SAE J537 through service manuals (Corvette 1997, Prizm 1999): the rated
/// current at -18 °C holds 7.2 V; and a full battery gives the rated current.
#[test]
fn the_model_meets_the_rating_it_is_made_from() {
    for chemistry in Chemistry::ALL {
        close(
            crank::loaded_v(chemistry, 600.0, 1.0, 1.0, -17.8, 600.0),
            7.2,
            1e-9,
        );
        close(
            crank::available_a(chemistry, 600.0, 1.0, 1.0, -17.8, 7.2),
            600.0,
            1e-9,
        );
    }
    // From memory (older training manuals): 46 % at half charge, 27 °C.
    let warm = |charge| crank::available_a(Chemistry::Flooded, 600.0, charge, 1.0, 26.7, 7.2);
    close(warm(0.5) / warm(1.0), 0.46, 0.01);
    // A good battery passes the load test at every temperature of the table.
    for at in [21.0, 10.0, -1.0, -18.0] {
        let volt = crank::loaded_v(Chemistry::Flooded, 600.0, 1.0, 1.0, at, 300.0);
        assert!(volt > crank::load_test_minimum_v(at), "{at}: {volt}");
    }
}

/// TM 10-3930-671-24 (US Army), starter circuit volt drop tests: 0.2 V per 100 A.
#[test]
fn starter_drop() {
    close(charging::starter_drop_limit_v(250.0), 0.5, 0.001);
}

// ---- charging ----

/// Logwell technical page, end-of-charge voltages by temperature.
#[test]
fn charging_slope() {
    let slope = charging::slope_mv_per_c_per_cell(14.4, celsius(75.0), 15.1, celsius(0.0), 6);
    close(slope, -2.8, 0.01);
}

mod charging_system {
    use battery::charging::{ChargingTest, ChargingVerdict, EngineSpeed, judge_charging};
    use measure::Uncertain;

    fn test(volt: f64, at: EngineSpeed, ripple_v: Option<f64>) -> ChargingTest {
        ChargingTest {
            voltage: Uncertain::new(volt, 0.02),
            at,
            ripple_v,
            temperature_c: Some(20.0),
        }
    }

    /// BMW E38 training text (13.5-14.5 V); Westerbeke alternator data (14.4 ± 0.3 V
    /// at 20 °C, -0.1 V per 10 °C).
    #[test]
    fn usual_voltages_are_good() {
        for volt in [13.8, 14.1, 14.4, 14.7] {
            let judged = judge_charging(&[test(volt, EngineSpeed::Raised, Some(0.03))]);
            assert_eq!(judged.verdict, ChargingVerdict::Good, "{volt} {judged:?}");
        }
        // Cold raises the regulator's target: 14.4 + 0.5 V at -30 °C is no fault.
        let cold = ChargingTest {
            temperature_c: Some(-30.0),
            ..test(15.1, EngineSpeed::Raised, None)
        };
        assert_eq!(judge_charging(&[cold]).verdict, ChargingVerdict::Good);
    }

    #[test]
    fn low_high_ripple_and_nothing() {
        let verdict = |tests: &[ChargingTest]| judge_charging(tests).verdict;
        assert_eq!(verdict(&[]), ChargingVerdict::Unknown);
        assert_eq!(
            verdict(&[test(12.3, EngineSpeed::Loaded, None)]),
            ChargingVerdict::Low
        );
        assert_eq!(
            verdict(&[test(15.9, EngineSpeed::Raised, None)]),
            ChargingVerdict::High
        );
        assert_eq!(
            verdict(&[test(14.2, EngineSpeed::Raised, Some(0.8))]),
            ChargingVerdict::RippleSuspect
        );
        // Workshop articles on ripple: 50-100 mV is usual.
        assert_eq!(
            verdict(&[test(14.2, EngineSpeed::Raised, Some(0.08))]),
            ChargingVerdict::Good
        );
    }

    /// A controlled system that charged once can charge: one low reading does not condemn.
    #[test]
    fn one_good_reading_clears_a_low_one() {
        let tests = [
            test(12.4, EngineSpeed::Idle, None),
            test(14.3, EngineSpeed::Loaded, None),
        ];
        assert_eq!(judge_charging(&tests).verdict, ChargingVerdict::Good);
    }

    #[test]
    fn words_read_back() {
        for speed in EngineSpeed::ALL {
            assert_eq!(speed.as_str().parse(), Ok(speed));
        }
        assert!("fast".parse::<EngineSpeed>().is_err());
    }
}
