//! What a recording says, sentence by sentence: for the page, the report and the terminal alike.

use measure::{Uncertain, quantity::Ampere};
use trace::{Analysis, Moment, Step};

use crate::{
    axis::{clock_time, second_of_day},
    words,
};

/// Steps that no entry explains, at most.
const MOST_STEPS: usize = 6;
/// Scatter of the times between wake-ups up to which they come like a clock, and up to which roughly so. From memory.
const CLOCKWORK: f64 = 0.03;
const ROUGHLY: f64 = 0.25;

/// The sentences, in the order in which a person asks: when it slept, what woke it, what the pulled fuses did, what else there is.
pub(crate) fn sentences(analysis: &Analysis) -> Vec<String> {
    let mut out = Vec::new();
    let clock = Clock(analysis.source.start.as_deref().and_then(second_of_day));
    out.extend(analysis.time_to_sleep.map(|m| fell_asleep(m, clock)));
    out.extend(rhythm(analysis));
    let matched = analysis.steps.iter().filter(|s| s.act.is_some());
    out.extend(matched.map(|s| step(s, clock)));
    let since_s = analysis.settled.map_or(f64::INFINITY, |s| s.since_s);
    let others: Vec<&Step> = analysis
        .steps
        .iter()
        .filter(|s| s.act.is_none() && s.from_s > since_s)
        .collect();
    out.extend(others.iter().take(MOST_STEPS).map(|s| step(s, clock)));
    if others.len() > MOST_STEPS {
        out.push(format!(
            "And {} more lasting changes.",
            others.len() - MOST_STEPS
        ));
    }
    out.extend(analysis.findings.iter().map(|f| sentence(&f.message)));
    if let Some(zero) = &analysis.zero {
        let left = zero.u_a.map_or_else(
            || "one reading does not tell how far it strays".into(),
            |u| format!("what is left of it is counted as ± {}", words::current(u)),
        );
        out.push(format!("The clamp's zero was taken out; {left}."));
    }
    out
}

/// Time of day at the start of the recording, seconds, where it is known.
#[derive(Clone, Copy)]
struct Clock(Option<f64>);

impl Clock {
    /// "at 21:14", or "52 min after the start".
    fn at(self, at_s: f64) -> String {
        match self.0 {
            Some(start_s) => format!("at {}", clock_time(start_s + at_s, 60.0)),
            None => format!("{} after the start", words::duration(at_s)),
        }
    }
}

fn fell_asleep(moment: Moment, clock: Clock) -> String {
    let half_s = 0.5 * (moment.high_s - moment.low_s);
    let exact = if half_s < 1.0 {
        "to the second".into()
    } else {
        format!("give or take {}", words::duration(half_s))
    };
    let clock_too = if clock.0.is_some() {
        format!(", {}", clock.at(moment.at_s))
    } else {
        String::new()
    };
    format!(
        "Fell asleep {} after the start{clock_too} ({exact}).",
        words::duration(moment.at_s)
    )
}

fn rhythm(analysis: &Analysis) -> Option<String> {
    let wake_ups = &analysis.wake_ups;
    let (period, scatter) = (wake_ups.period_s?, wake_ups.period_scatter?);
    let how = if scatter <= CLOCKWORK {
        "like a clock: look for something that runs on a timer".into()
    } else if scatter <= ROUGHLY {
        format!(
            "roughly regular, times differ by {}",
            words::percent_short(scatter)
        )
    } else {
        format!(
            "irregular, times differ by {}",
            words::percent_short(scatter)
        )
    };
    Some(format!(
        "Woke {}, every {} on average; {how}.",
        words::count(wake_ups.count, "time", "times"),
        words::duration(period.value),
    ))
}

fn step(step: &Step, clock: Clock) -> String {
    let size = step.size;
    let amount = words::plus_minus::<Ampere>(Uncertain::new(size.value.abs(), size.u));
    let change = if size.value.abs() <= 3.0 * size.u {
        format!(
            "nothing changed, to within {}",
            words::about::<Ampere>(size.value.abs() + 2.0 * size.u)
        )
    } else {
        format!(
            "the draw {} by {amount}, from {} to {}",
            if size.value < 0.0 { "fell" } else { "rose" },
            words::current(step.before.value),
            words::current(step.after.value)
        )
    };
    match &step.act {
        Some(act) => {
            let entry = act
                .entry
                .map_or(String::new(), |entry| format!(" (entry {entry})"));
            format!("{} {}{entry}: {change}.", act.what, clock.at(act.at_s))
        }
        None => sentence(&format!(
            "{} {change}; no entry says why",
            clock.at(step.at_s)
        )),
    }
}

/// With a capital first and a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.trim_end_matches('.').chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}.", letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use trace::{Act, AnalyseOptions, Source, TimeAxis, Trace, Way, analyse};

    fn night(start: Option<&str>) -> Vec<String> {
        let mut parts = vec![(600, 3.0)];
        for _ in 0..4 {
            parts.extend([(570, 0.3), (30, 2.3)]);
        }
        parts.extend([(1200, 0.3), (80, 1.5), (3000, 0.1)]);
        let levels = parts
            .iter()
            .flat_map(|&(count, level)| std::iter::repeat_n(level, count));
        let current_a = levels
            .enumerate()
            .map(|(i, level)| level + 0.002 * ((i as f64 * 0.618_033_988_75).fract() - 0.5))
            .collect();
        let trace = Trace {
            axis: TimeAxis::Regular { interval_s: 1.0 },
            current_a,
            voltage_v: None,
            source: Source {
                interval_s: 1.0,
                start: start.map(Into::into),
                ..Source::default()
            },
        };
        let act = |at_s, what: &str| Act {
            at_s,
            way: Way::Down,
            what: what.into(),
            entry: Some(3),
        };
        let options = AnalyseOptions {
            acts: vec![act(4200.0, "F1 pulled"), act(6300.0, "F2 pulled")],
            ..AnalyseOptions::default()
        };
        sentences(&analyse(&trace, &options))
    }

    #[test]
    fn says_when_and_what() {
        let told = night(Some("2026-03-02T20:00:00Z"));
        assert_eq!(
            told[..3],
            [
                "Fell asleep 10 min after the start, at 20:10 (to the second).",
                "Woke 4 times, every 10 min on average; like a clock: look for something that runs on a timer.",
                "F1 pulled at 21:10 (entry 3): the draw fell by 200.0 mA, from 300 mA to 100 mA.",
            ]
        );
        assert_eq!(told.len(), 4);
        let nothing = "F2 pulled at 21:45 (entry 3): nothing changed, to within ";
        assert!(
            told[3].starts_with(nothing) && told[3].ends_with(" µA."),
            "{told:?}"
        );
    }

    #[test]
    fn without_a_clock_counts_from_the_start() {
        let told = night(None);
        assert!(told[0].starts_with("Fell asleep 10 min after the start ("));
        assert!(
            told[2].starts_with("F1 pulled 1 h 10 min after the start"),
            "{told:?}"
        );
    }
}
