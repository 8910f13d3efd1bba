//! Every check of battery, charging and hook-up against something outside, ours
//! beside theirs, as one table in Markdown:
//!
//! `cargo run -p job --example checks`
//!
//! The tests hold the same figures with their tolerances; this prints them.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a table for whoever reads it; it may stop"
)]

use battery::{
    Chemistry, Cranking, CrankingStandard, Label, Parking, capacity, charging, crank, electrolyte,
    forecast, health, recharge, self_discharge, soc,
};
use harness::fuse::{self, FuseFamily};
use measure::{
    Uncertain,
    conductor::{COPPER_PER_KELVIN, at_temperature, awg_mm2, copper_ohm},
    hookup,
};

const READ: &str = "read";
const MEMORY: &str = "from memory";

fn main() {
    println!("| what | ours | theirs | off by | source | status |");
    println!("| --- | ---: | ---: | ---: | --- | --- |");
    capacities();
    rates();
    gravities();
    voltages();
    cranking();
    charging_and_drops();
    standing();
    hook_ups();
    physics();
}

fn row(what: &str, ours: f64, theirs: f64, source: &str, status: &str) {
    let off = if theirs == 0.0 {
        format!("{:+.3}", ours - theirs)
    } else {
        format!("{:+.1} %", 100.0 * (ours / theirs - 1.0))
    };
    let number = |x: f64| measure::quantity::significant(x, 5);
    println!(
        "| {what} | {} | {} | {off} | {source} | {status} |",
        number(ours),
        number(theirs)
    );
}

fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

fn capacities() {
    let source = "US Army Ordnance subcourse OS 010, para 14";
    row(
        "hours of 5 A from 100 Ah",
        capacity::peukert_hours(100.0, 20.0, 5.0, 1.2),
        20.0,
        source,
        READ,
    );
    let source = "US Navy training text 14344, percent capacity";
    row(
        "% of capacity, 8 h of 10 h",
        capacity::tested_percent(8.0, 10.0),
        80.0,
        source,
        READ,
    );
    for (minutes, ah) in [(45.0, 18.75), (100.0, 41.67), (160.0, 66.7)] {
        let what = format!("Ah at 25 A, reserve {minutes} min");
        row(
            &what,
            capacity::reserve_delivered_ah(minutes),
            ah,
            "three notes on reserve capacity",
            READ,
        );
    }
    for (minutes, a, b) in [(90.0, 60.5, 54.0), (160.0, 95.5, 96.0)] {
        let [half, six] = capacity::reserve_rules_ah(minutes);
        row(
            &format!("Ah, reserve {minutes} min / 2 + 15.5"),
            half,
            a,
            "battery-charger owner's manuals",
            READ,
        );
        row(
            &format!("Ah, reserve {minutes} min × 0.6"),
            six,
            b,
            "dealer information 'Battery parasitic drain'",
            READ,
        );
    }
    let hours = recharge::charger_hours(Chemistry::Flooded, 60.0, 0.25, 10.0).unwrap();
    row(
        "hours to recharge 60 Ah from 25 % at 10 A",
        hours,
        5.625,
        "battery-charger owner's manuals",
        READ,
    );
}

fn rates() {
    let source = "Peukert table of a DC-system instrument manual";
    let share = |ampere, n| capacity::peukert_share(100.0, 20.0, ampere, n);
    row(
        "share at 25 A of 100 Ah, n 1.25",
        share(25.0, 1.25),
        0.67,
        source,
        READ,
    );
    row(
        "share at 100 A of 100 Ah, n 1.3",
        share(100.0, 1.3),
        0.41,
        source,
        READ,
    );
    row(
        "share at 10 A of 100 Ah, n 1.2",
        share(10.0, 1.2),
        0.87,
        source,
        READ,
    );
    row(
        "share of 60 Ah at 20 mA, n 1.25",
        capacity::peukert_share(60.0, 20.0, 0.02, 1.25),
        1.0,
        source,
        READ,
    );
    for (fahrenheit, factor) in [(25.0, 1.52), (60.0, 1.11), (100.0, 0.91)] {
        let ours = capacity::temperature_share(celsius(fahrenheit), 60.0, 3.0).recip();
        row(
            &format!("cell-size factor at {fahrenheit} °F"),
            ours,
            factor,
            "IEEE Std 485",
            MEMORY,
        );
    }
}

fn gravities() {
    for (reading, fahrenheit, theirs) in [
        (1.250, 90.0, 1.254),
        (1.250, 20.0, 1.226),
        (1.235, 100.0, 1.243),
    ] {
        let ours = electrolyte::corrected_gravity(reading, celsius(fahrenheit));
        row(
            &format!("gravity {reading} read at {fahrenheit} °F"),
            ours,
            theirs,
            "TM 5-3820-256-24-4 (US Army); two manuals",
            READ,
        );
    }
    for (gravity, volt) in [(1.265, 12.63), (1.190, 12.18), (1.120, 11.76)] {
        row(
            &format!("V at gravity {gravity}"),
            electrolyte::voltage_from_gravity(gravity, 6),
            volt,
            "lead-acid specific gravity note",
            READ,
        );
    }
    for (gravity, freezes) in [(1.225, -37.2), (1.155, -15.0), (1.120, -9.4)] {
        row(
            &format!("°C at which gravity {gravity} freezes"),
            electrolyte::freezing_c(gravity),
            freezes,
            "TM 5-4210-230-14&P-1 (US Army), Table 2",
            READ,
        );
    }
    for (gravity, freezes) in [
        (1.100, -7.2),
        (1.150, -15.0),
        (1.200, -26.7),
        (1.250, -52.2),
    ] {
        row(
            &format!("°C at which gravity {gravity} freezes, second table"),
            electrolyte::freezing_c(gravity),
            freezes,
            "US Army Ordnance subcourse OD1002, Lesson 2",
            READ,
        );
    }
}

fn voltages() {
    let charge = |chemistry, volt| {
        let voltage = Uncertain::new(volt, 0.005);
        100.0 * soc::from_rested_voltage(chemistry, voltage, Some(48.0), Some(25.0)).value
    };
    for (volt, percent) in [
        (12.6, 100.0),
        (12.4, 75.0),
        (12.2, 50.0),
        (12.0, 25.0),
        (12.3, 62.5),
    ] {
        row(
            &format!("% charge at {volt} V, flooded"),
            charge(Chemistry::Flooded, volt),
            percent,
            "TM 5-3805-262-20 (US Army), p. 5-142",
            READ,
        );
    }
    for (volt, percent) in [(12.6, 75.0), (12.3, 50.0), (12.0, 25.0)] {
        row(
            &format!("% charge at {volt} V, AGM"),
            charge(Chemistry::Agm, volt),
            percent,
            "owner's manual, AGM charging table",
            READ,
        );
    }
}

fn cranking() {
    for (at, volt) in [(21.0, 9.6), (10.0, 9.4), (-1.0, 9.1), (-18.0, 8.5)] {
        row(
            &format!("least V under load at {at} °C"),
            crank::load_test_minimum_v(at),
            volt,
            "TM 5-4210-230-14&P-1 (US Army), Table 5",
            READ,
        );
    }
    for (cca, load) in [(600.0, 300.0), (770.0, 380.0), (625.0, 310.0)] {
        let label = Label {
            cranking: Some(Cranking {
                current_a: cca,
                standard: CrankingStandard::Sae,
            }),
            ..Label::default()
        };
        row(
            &format!("A of load for {cca} A SAE"),
            health::load_test_a(&label).unwrap(),
            load,
            "service manuals, load-test amperes",
            READ,
        );
    }
    for (at, margin) in [(0.0, 0.4194), (-17.8, 0.1905)] {
        let ours = crank::available_share(at) / crank::required_share(at);
        row(
            &format!("power available over required at {at} °C"),
            ours,
            margin,
            "workshop article, classic table",
            READ,
        );
    }
    row(
        "V of the rated current at -18 °C",
        crank::loaded_v(Chemistry::Flooded, 600.0, 1.0, 1.0, -17.8, 600.0),
        7.2,
        "SAE J537 through service manuals",
        READ,
    );
    let warm = |charge| crank::available_a(Chemistry::Flooded, 600.0, charge, 1.0, 26.7, 7.2);
    row(
        "cranking power at half charge",
        warm(0.5) / warm(1.0),
        0.46,
        "older training manuals",
        MEMORY,
    );
}

fn charging_and_drops() {
    row(
        "V lost in a starter cable at 250 A, limit",
        charging::starter_drop_limit_v(250.0),
        0.5,
        "TM 10-3930-671-24 (US Army)",
        READ,
    );
    let ours = charging::slope_mv_per_c_per_cell(14.4, celsius(75.0), 15.1, celsius(0.0), 6);
    row(
        "mV/°C per cell of charging voltage",
        ours,
        -2.8,
        "technical page, end-of-charge voltages",
        READ,
    );
}

fn standing() {
    row(
        "Ah lost, 125 Ah, 4 % a week, 16 weeks",
        self_discharge::lost_ah(125.0, 0.04, 168.0, 16.0 * 168.0),
        80.0,
        "battery-maker FAQ",
        READ,
    );
    row(
        "% a month, AGM at 25 °C",
        100.0 * self_discharge::per_month(Chemistry::Agm, 25.0, None).value,
        2.0,
        "support article, storage of AGM",
        READ,
    );
    row(
        "% a month, AGM at 35 °C",
        100.0 * self_discharge::per_month(Chemistry::Agm, 35.0, None).value,
        3.0,
        "support article, storage of AGM",
        READ,
    );
    let source = "dealer information 'Battery parasitic drain', 40 % of 54 Ah";
    let found = |draw| Parking {
        label: Label {
            capacity_ah: Some(54.0),
            ..Label::default()
        },
        health: Uncertain::new(0.85, 0.10),
        charge: Uncertain::new(0.98, 0.02),
        draw: Uncertain::exact(draw),
        temperature_c: 25.0,
        engine_needs_a: None,
    };
    for (milliampere, hours) in [(25.0, 864.0), (50.0, 432.0), (100.0, 216.0), (500.0, 43.2)] {
        let ours = forecast(&found(milliampere / 1000.0))
            .unwrap()
            .hours_to_no_start
            .unwrap();
        let what = format!(
            "h to no start at {milliampere} mA, aged battery ({:.0} to {:.0})",
            ours.p05, ours.p95
        );
        row(&what, ours.p50, hours, source, READ);
    }
    let new = Parking {
        health: Uncertain::exact(1.0),
        charge: Uncertain::exact(1.0),
        ..found(0.025)
    };
    let ours = forecast(&new).unwrap().hours_to_no_start.unwrap();
    let what = format!(
        "the same at 25 mA, battery declared new ({:.0} to {:.0}): OUTSIDE, the rule is for batteries as found",
        ours.p05, ours.p95
    );
    row(&what, ours.p50, 864.0, source, READ);
}

fn hook_ups() {
    for (awg, ohm) in [(2, 0.1563), (10, 0.9989), (14, 2.525), (18, 6.385)] {
        row(
            &format!("Ω per 1000 ft, {awg} AWG at 20 °C"),
            copper_ohm(304.8, awg_mm2(awg), 20.0),
            ohm,
            "HyperPhysics, Common Wire Gauges",
            READ,
        );
    }
    row(
        "Ω per 1000 ft, 14 AWG at 25 °C",
        at_temperature(2.525, 20.0, 25.0, COPPER_PER_KELVIN),
        2.573,
        "conductor resistance page",
        READ,
    );
    row(
        "Ω of a shunt, 50 µA 1000 Ω for 0.5 mA",
        hookup::shunt_ohm(50e-6, 1000.0, 0.5e-3).unwrap(),
        111.1,
        "Grob's Basic Electronics, 11th ed., example 8-2",
        READ,
    );
    let ampere = hookup::current_a(Uncertain::exact(0.075), Uncertain::exact(0.75e-3)).value;
    row(
        "A through 0.75 mΩ at 75 mV",
        ampere,
        100.0,
        "trade notes on shunts",
        READ,
    );
    let through = |millivolt: f64, family, rating| {
        1e3 * fuse::current_from_drop(Uncertain::exact(millivolt * 1e-3), Some(family), rating)
            .unwrap()
            .value
    };
    row(
        "mA at 1.0 mV across a 15 A mini blade",
        through(1.0, FuseFamily::Mini, 15.0),
        218.0,
        "published pairs of millivolts and milliampere (reference set)",
        READ,
    );
    for (rating, milliampere) in [(5.0, 5.602), (10.0, 12.99), (30.0, 50.76)] {
        let ours = 1e3 * fuse::step_a(1e-4, Some(FuseFamily::Blade), rating).unwrap();
        row(
            &format!("mA of one step of 0.1 mV, {rating} A blade"),
            ours,
            milliampere,
            "reference set, computed from remembered resistances",
            MEMORY,
        );
    }
}

/// The physical model: PyBaMM, full porous-electrode model, parameters of Sulzer et al. 2019.
fn physics() {
    let table = include_str!("../../battery/tests/data/lead_acid_reference.csv");
    let cell = |line: &str, at: usize| {
        line.split(',')
            .nth(at)
            .and_then(|text| text.parse::<f64>().ok())
    };
    let rows = || {
        table
            .lines()
            .filter(|line| !line.starts_with('#') && !line.starts_with("kind"))
    };
    let hours = |rate: f64, degrees: f64| {
        rows()
            .find(|line| {
                line.starts_with("hours")
                    && cell(line, 1) == Some(rate)
                    && cell(line, 3) == Some(degrees)
            })
            .and_then(|line| cell(line, 4))
            .unwrap()
    };
    let source = "PyBaMM 26.10.1.1, Full, Sulzer2019 (script beside the table)";
    let rated = hours(20.0, 25.0);
    for rate in [100.0, 1000.0] {
        let ours = capacity::peukert_hours(rated, rated, 20.0 / rate, 1.1);
        row(
            &format!("h to cut-off at C/{rate}, 25 °C"),
            ours,
            hours(rate, 25.0),
            source,
            READ,
        );
    }
    for degrees in [0.0, 40.0] {
        let ours = capacity::temperature_share(degrees, 60.0, 0.06);
        row(
            &format!("share of charge at C/1000, {degrees} °C"),
            ours,
            hours(1000.0, degrees) / hours(1000.0, 25.0),
            source,
            READ,
        );
    }
    for line in rows().filter(|line| line.starts_with("rested") && cell(line, 3) == Some(25.0)) {
        let (share, volt) = (cell(line, 2).unwrap(), cell(line, 4).unwrap());
        let ours = soc::from_rested_voltage(
            Chemistry::Agm,
            Uncertain::exact(volt),
            Some(24.0),
            Some(25.0),
        )
        .value;
        row(
            &format!("charge at {volt:.2} V rested"),
            ours,
            share,
            source,
            READ,
        );
    }
}
