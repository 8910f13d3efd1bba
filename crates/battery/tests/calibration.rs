//! Whether the forecast's interval holds what it promises, on invented batteries
//! whose truth differs from what is known of them.
//!
//! The truth is stepped through in time with the public functions for cranking
//! and self-discharge, one random battery per job (seeded), independent of the
//! forecast's lattice, quantiles and root finding. It shares the forecast's
//! assumptions, so it says nothing about those.

use battery::{Label, Parking, crank, forecast, self_discharge};
use measure::Uncertain;

/// SplitMix64 (Steele, Lea & Flood 2014), and Box & Muller's normal.
struct Random(u64);

impl Random {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (2.0 * std::f64::consts::PI * self.uniform()).cos()
    }

    fn about(&mut self, v: Uncertain) -> f64 {
        v.value + v.u * self.normal()
    }
}

fn known(random: &mut Random) -> Parking {
    Parking {
        label: Label {
            capacity_ah: Some(random.between(45.0, 100.0)),
            ..Label::default()
        },
        health: Uncertain::new(random.between(0.6, 0.95), 0.08),
        charge: Uncertain::new(random.between(0.75, 0.95), 0.07),
        draw: {
            let ampere = random.between(0.03, 1.0);
            Uncertain::new(ampere, 0.05 * ampere)
        },
        temperature_c: random.between(-5.0, 25.0),
        engine_needs_a: None,
    }
}

/// Hours until one true battery stops cranking, or the limit.
fn true_hours(known: &Parking, random: &mut Random, step_h: f64, limit_h: f64) -> Option<f64> {
    let label = &known.label;
    let rated = label.capacity_ah?;
    let celsius = known.temperature_c;
    // The spreads that the forecast states: capacity 5 %, self-discharge 0.5 and
    // the engine's share of the label 0.30 with 0.20 and the model's 0.17 (logarithms).
    let capacity = rated * (0.05 * random.normal()).exp();
    let health = random.about(known.health).clamp(0.05, 1.2);
    let mut charge = random.about(known.charge).clamp(0.0, 1.0);
    let own = self_discharge::current_a(label.chemistry, rated, celsius, None).value
        * (0.5 * random.normal()).exp();
    let drain = (random.about(known.draw).max(0.0) + own) / (capacity * health);
    let sae = crank::sae_a(label)?.value;
    let need = 0.30 * sae * (0.20_f64.hypot(0.17) * random.normal()).exp();
    let need = need * crank::required_share(celsius);
    let least = crank::load_test_minimum_v(celsius);
    let mut hours = 0.0;
    while hours < limit_h
        && crank::available_a(label.chemistry, sae, charge, health, celsius, least) >= need
    {
        hours += step_h;
        charge = (charge - drain * step_h).max(0.0);
    }
    Some(hours)
}

#[test]
fn nine_of_ten_true_hours_lie_inside() {
    let mut random = Random(20_260_302);
    let (jobs, mut inside, mut below_median) = (1000, 0, 0);
    for _ in 0..jobs {
        let parking = known(&mut random);
        let hours = forecast(&parking).unwrap().hours_to_no_start.unwrap();
        let step = (hours.p95 / 2000.0).max(0.005);
        let truth = true_hours(&parking, &mut random, step, 3.0 * hours.p95 + 24.0).unwrap();
        inside += i32::from(hours.p05 - step <= truth && truth <= hours.p95 + step);
        below_median += i32::from(truth <= hours.p50);
    }
    // 90 ± 3 %: three standard deviations of a thousand.
    assert!((870..=930).contains(&inside), "{inside} of {jobs} inside");
    assert!(
        (450..=550).contains(&below_median),
        "{below_median} of {jobs} below the median"
    );
    println!("{inside} of {jobs} inside 90 %, {below_median} below the median");
}
