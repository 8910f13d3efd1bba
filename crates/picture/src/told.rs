//! What a recording says, sentence by sentence: for the page, the report and the terminal alike.

use measure::{Uncertain, quantity::Ampere};
use tongue::say;
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
        out.push(say::picture::told_more(others.len() - MOST_STEPS).to_string());
    }
    out.extend(
        analysis
            .findings
            .iter()
            .map(|f| sentence(&f.message.to_string())),
    );
    if let Some(zero) = &analysis.zero {
        let zero = zero.u_a.map_or_else(say::picture::told_zero_unsure, |u| {
            say::picture::told_zero_left(words::current(u))
        });
        out.push(zero.to_string());
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
            Some(start_s) => say::picture::told_at(clock_time(start_s + at_s, 60.0)),
            None => say::picture::told_after(words::duration(at_s)),
        }
        .to_string()
    }
}

fn fell_asleep(moment: Moment, clock: Clock) -> String {
    let half_s = 0.5 * (moment.high_s - moment.low_s);
    let exact = if half_s < 1.0 {
        say::picture::told_to_the_second()
    } else {
        say::picture::told_give_or_take(words::duration(half_s))
    };
    let after = words::duration(moment.at_s);
    match clock.0 {
        Some(_) => say::picture::told_asleep_clock(exact, after, clock.at(moment.at_s)),
        None => say::picture::told_asleep(exact, after),
    }
    .to_string()
}

fn rhythm(analysis: &Analysis) -> Option<String> {
    let wake_ups = &analysis.wake_ups;
    let (period, scatter) = (wake_ups.period_s?, wake_ups.period_scatter?);
    let how = if scatter <= CLOCKWORK {
        say::picture::told_clockwork()
    } else if scatter <= ROUGHLY {
        say::picture::told_roughly(words::percent_short(scatter))
    } else {
        say::picture::told_irregular(words::percent_short(scatter))
    };
    let every = words::duration(period.value);
    Some(say::picture::told_woke(wake_ups.count, how, every).to_string())
}

fn step(step: &Step, clock: Clock) -> String {
    let size = step.size;
    let amount = words::plus_minus::<Ampere>(Uncertain::new(size.value.abs(), size.u));
    let change = if size.value.abs() <= 3.0 * size.u {
        say::picture::told_nothing(words::about::<Ampere>(size.value.abs() + 2.0 * size.u))
    } else {
        let write = match size.value < 0.0 {
            true => say::picture::told_fell,
            false => say::picture::told_rose,
        };
        let before = words::current(step.before.value);
        write(words::current(step.after.value), amount, before)
    };
    match &step.act {
        Some(act) => {
            let (what, when) = (act.what.to_string(), clock.at(act.at_s));
            match act.entry {
                Some(entry) => say::picture::told_act_entry(change, entry.to_string(), what, when),
                None => say::picture::told_act(change, what, when),
            }
            .to_string()
        }
        None => {
            let said = say::picture::told_no_entry(change, clock.at(step.at_s));
            sentence(&said.to_string())
        }
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
