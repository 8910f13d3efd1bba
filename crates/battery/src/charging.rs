//! The charging system: voltage at idle, raised speed and under load, ripple.

use std::{fmt, str::FromStr};

use measure::Uncertain;
use tongue::{Message, fixed, say};

use crate::{
    chance::normal_cdf,
    label::{UnknownWord, find_word},
};

/// How the engine ran while the charging voltage was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EngineSpeed {
    /// At idle, loads off.
    Idle,
    /// About 1500 to 2000 rpm, loads off.
    Raised,
    /// Raised, with lights, blower and rear window on.
    Loaded,
}

impl EngineSpeed {
    /// All of them, in the order of the enum.
    pub const ALL: [Self; 3] = [Self::Idle, Self::Raised, Self::Loaded];

    /// The word for it in job files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Idle => "idle",
            Self::Raised => "raised",
            Self::Loaded => "loaded",
        }
    }
}

impl FromStr for EngineSpeed {
    type Err = UnknownWord;
    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        find_word(text, say::battery::word_speed(), &Self::ALL, Self::as_str)
    }
}

impl fmt::Display for EngineSpeed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

/// One reading of the charging system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChargingTest {
    /// Voltage at the battery, volt.
    pub voltage: Uncertain,
    /// How the engine ran.
    pub at: EngineSpeed,
    /// AC ripple, volt (RMS, at the battery); `None` if not read.
    pub ripple_v: Option<f64>,
    /// Temperature of the battery; `None` if unknown.
    pub temperature_c: Option<f64>,
}

/// What the readings say of the charging system.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ChargingVerdict {
    /// In order.
    Good,
    /// Charges too little.
    Low,
    /// Charges too much.
    High,
    /// Charges, but the ripple points to the rectifier.
    RippleSuspect,
    /// Neither clearly in order nor clearly not: read again.
    Unsure,
    /// Not tested.
    Unknown,
}

/// Verdict with its reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct ChargingJudgement {
    /// The verdict.
    pub verdict: ChargingVerdict,
    /// Probability that it charges too little.
    pub p_low: f64,
    /// Probability that a diode leaks or fails, by the ripple alone.
    pub p_diode: f64,
    /// Reasons, one sentence each.
    pub because: Vec<Message>,
}

/// Charging window at 20 °C, volt: 13.5 to 14.5 V regulated, up to 15.0 V in a
/// tutorial. Training text; alternator data; workshop tutorial.
const WINDOW_LOW_V: f64 = 13.5;
const WINDOW_HIGH_V: f64 = 15.0;
/// The regulator's temperature compensation, V/°C: -0.1 V per 10 °C
/// (alternator data); others print up to -18 mV/°C.
const WINDOW_PER_C: f64 = -0.010;
/// Standard uncertainty of the window's ends: its sources differ by 0.5 V at the
/// top; regulation differs by ±0.3 V (alternator data).
const WINDOW_SPREAD_V: f64 = 0.17;
/// Least voltage that still charges at idle or under load, volt. Common practice.
const WINDOW_IDLE_LOW_V: f64 = 13.0;
/// Controlled systems may sit at 12.2 V for minutes: a single low reading is
/// taken as one of those with this chance. Common practice.
const CONTROLLED_SHARE: f64 = 0.15;
/// Ripple limits, volt: above the first look further, above the second likely a
/// diode. Workshop articles give 50 mV to 0.5 V; common practice.
const RIPPLE_LOOK_V: f64 = 0.1;
const RIPPLE_FAULT_V: f64 = 0.5;

/// Chance from which a fault is called, and a larger one for too high a voltage.
/// Common practice.
const CALLED: f64 = 0.5;
const CALLED_HIGH: f64 = 0.75;
/// Chance from which too low and too high readings are doubtful. Common practice.
const DOUBTFUL_LOW: f64 = 0.25;
const DOUBTFUL_HIGH: f64 = 0.4;

/// Lowest and highest proper charging voltage at a battery temperature, volt.
pub fn window_v(at: EngineSpeed, temperature_c: Option<f64>) -> (f64, f64) {
    let shift = WINDOW_PER_C * (temperature_c.unwrap_or(20.0).clamp(-30.0, 60.0) - 20.0);
    let low = if at == EngineSpeed::Raised {
        WINDOW_LOW_V
    } else {
        WINDOW_IDLE_LOW_V
    };
    // Cold raises what may be, warmth lowers what must be; neither the other way.
    (low + shift.min(0.0), WINDOW_HIGH_V + shift.max(0.0))
}

/// Temperature slope of charging voltage between two points, mV/°C per cell.
pub fn slope_mv_per_c_per_cell(v1: f64, t1_c: f64, v2: f64, t2_c: f64, cells: u32) -> f64 {
    (v2 - v1) / (t2_c - t1_c) / f64::from(cells) * 1000.0
}

/// Largest voltage drop for a current in any part of the starter circuit, volt:
/// 0.2 V per 100 A. TM 10-3930-671-24 (US Army), starter circuit volt drop tests.
pub fn starter_drop_limit_v(current_a: f64) -> f64 {
    0.20 * current_a / 100.0
}

/// Key-off current in the alternator's main cable above which it leaks, ampere.
/// Auto-electric training page: above 60 mA with the engine off is a fault.
pub const ALTERNATOR_LEAK_A: f64 = 0.060;

/// Judges the charging system from all its readings.
///
/// One low reading never condemns by itself: controlled systems charge little on
/// purpose for minutes. Ripple is a hint only; published limits differ tenfold.
pub fn judge_charging(tests: &[ChargingTest]) -> ChargingJudgement {
    let usable: Vec<_> = tests
        .iter()
        .filter(|t| t.voltage.value.is_finite())
        .collect();
    if usable.is_empty() {
        return ChargingJudgement {
            verdict: ChargingVerdict::Unknown,
            p_low: 0.0,
            p_diode: 0.0,
            because: vec![say::battery::charging_not_tested()],
        };
    }
    let mut because = Vec::new();
    let (mut all_low, mut any_high, mut p_diode) = (1.0_f64, 0.0_f64, 0.0_f64);
    for test in usable {
        let (low, high) = window_v(test.at, test.temperature_c);
        let u = test.voltage.u.hypot(WINDOW_SPREAD_V);
        // The best reading counts: a system that charged once can charge.
        all_low = all_low.min(normal_cdf((low - test.voltage.value) / u));
        any_high = any_high.max(normal_cdf((test.voltage.value - high) / u));
        because.push(sentence(test, low, high));
        if let Some(ripple) = test.ripple_v.filter(|r| r.is_finite()) {
            p_diode = p_diode.max(ripple_chance(ripple));
            because.push(ripple_sentence(ripple));
        }
    }
    let p_low = all_low * (1.0 - CONTROLLED_SHARE);
    let verdict = if p_low > CALLED {
        ChargingVerdict::Low
    } else if any_high > CALLED_HIGH {
        ChargingVerdict::High
    } else if p_diode > CALLED {
        ChargingVerdict::RippleSuspect
    } else if all_low > DOUBTFUL_LOW || any_high > DOUBTFUL_HIGH {
        ChargingVerdict::Unsure
    } else {
        ChargingVerdict::Good
    };
    if verdict == ChargingVerdict::Low {
        because.push(say::battery::controlled());
    }
    ChargingJudgement {
        verdict,
        p_low,
        p_diode,
        because,
    }
}

fn sentence(test: &ChargingTest, low: f64, high: f64) -> Message {
    let value = test.voltage.value;
    let how = match test.at {
        EngineSpeed::Idle => say::battery::at_idle(),
        EngineSpeed::Raised => say::battery::at_raised_speed(),
        EngineSpeed::Loaded => say::battery::with_loads(),
    };
    let (from, to, shown) = (fixed(low, 1), fixed(high, 1), fixed(value, 2));
    if value < low {
        say::battery::charging_below(to, how, from, shown)
    } else if value > high {
        say::battery::charging_above(to, how, from, shown)
    } else {
        say::battery::charging_within(to, how, from, shown)
    }
}

/// Chance that a ripple comes from a diode; a straight line on a logarithmic
/// scale between the two limits. Common practice.
fn ripple_chance(ripple_v: f64) -> f64 {
    if ripple_v <= 0.0 {
        return 0.02;
    }
    let position = (ripple_v / RIPPLE_LOOK_V).ln() / (RIPPLE_FAULT_V / RIPPLE_LOOK_V).ln();
    (0.2 + 0.6 * position).clamp(0.02, 0.9)
}

fn ripple_sentence(ripple_v: f64) -> Message {
    let millivolts = fixed(ripple_v * 1000.0, 0);
    if ripple_v > RIPPLE_FAULT_V {
        say::battery::ripple_diode(millivolts)
    } else if ripple_v > RIPPLE_LOOK_V {
        say::battery::ripple_look(millivolts)
    } else {
        say::battery::ripple_usual(millivolts)
    }
}
