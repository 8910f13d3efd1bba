use super::*;
use crate::verdict::State;

fn amount(x: Uncertain) -> String {
    format!("{:.0} mA", x.value * 1e3)
}

fn session() -> Session {
    Session::new(ReadOptions::default(), 0.05, 1.5e9, 79_800.0)
}

/// A fuse pulled after ten minutes at 412 mA, ten samples a second.
fn pull(session: &mut Session, out: &mut Vec<Said>) {
    session.feed(b"current (mA)\n", 0.0, &amount, out).unwrap();
    for k in 0..9_000 {
        let ripple = [0, 1, -1, 2, -2][k * 7 % 5];
        let level = if k < 6_000 { 412 } else { 24 };
        let line = format!("{}\n", level + ripple);
        session
            .feed(line.as_bytes(), k as f64 / 10.0, &amount, out)
            .unwrap();
    }
}

#[test]
fn a_pull_is_said_as_a_step_at_its_time_on_the_wall() {
    let (mut session, mut out) = (session(), Vec::new());
    pull(&mut session, &mut out);
    let steps: Vec<&Message> = out
        .iter()
        .filter_map(|said| match said {
            Said::Vehicle { text, step: true } => Some(text),
            _ => None,
        })
        .collect();
    assert_eq!(steps.len(), 1, "{out:?}");
    // Ten minutes after 22:10.
    assert!(
        steps[0].starts_with("22:20:00  step of −388 mA to 24 mA"),
        "{}",
        steps[0]
    );
    let tip = session.tip(900.0, &amount);
    let step = tip.stepped[0];
    assert!((step.at_unix_s - (1.5e9 + 600.0)).abs() < 0.5, "{step:?}");
    assert!((step.before.value - 0.412).abs() < 1e-3 && (step.after.value - 0.024).abs() < 1e-3);
    assert_eq!((tip.steps, tip.samples), (1, 9_000));
    assert!(tip.said.iter().any(|said| said == steps[0]));
    let level = tip.level.unwrap();
    assert!(level.starts_with("24 mA since 22:20:00"), "{level}");
}

#[test]
fn a_stream_without_time_begins_when_it_arrived() {
    let (mut session, mut out) = (session(), Vec::new());
    pull(&mut session, &mut out);
    let iso = |unix_s: f64| Some(format!("at {unix_s}"));
    let (trace, _) = session.end(999.0, &amount, &iso, &mut out).unwrap();
    let silent =
        |said: &Said| matches!(said, Said::Vehicle { text, .. } if text.contains("no sample"));
    assert!(!out.iter().any(silent), "{out:?}");
    assert_eq!(trace.source.start.as_deref(), Some("at 1500000000"));
    assert_eq!(trace.len(), 9_000);
}

/// A night in milliampere, two samples a second: awake, coming down, asleep, woken twice, a fuse pulled.
fn night() -> String {
    let parts = [
        (300, 3000),
        (200, 900),
        (2400, 61),
        (40, 1200),
        (1500, 61),
        (40, 1200),
        (700, 61),
        (2200, 23),
    ];
    let levels = parts
        .iter()
        .flat_map(|&(n, level)| std::iter::repeat_n(level, n));
    let row = |(k, level): (usize, i32)| {
        let ripple = [0, 1, 0, -1, 2, -1, 0, -2][k * 7 % 11 % 8];
        format!("{:.1},{}\n", k as f64 / 2.0, level + ripple)
    };
    let rows: String = levels.enumerate().map(row).collect();
    format!("time_s,current (mA)\n{rows}")
}

/// Feeds `bytes` in pieces of one to three hundred bytes, all at once by the clock.
fn feed_in_pieces(session: &mut Session, mut bytes: &[u8], seed: usize, out: &mut Vec<Said>) {
    let mut size = seed;
    while !bytes.is_empty() {
        size = size * 31 % 307;
        let (piece, rest) = bytes.split_at((size + 1).min(bytes.len()));
        session.feed(piece, 1.0, &amount, out).unwrap();
        bytes = rest;
    }
}

#[test]
fn at_every_prefix_it_says_what_read_says() {
    let text = night();
    let (mut session, mut out) = (session(), Vec::new());
    let ends: Vec<usize> = text.match_indices('\n').map(|(at, _)| at + 1).collect();
    let (mut from, mut seen) = (0, Vec::new());
    for end in ends.iter().skip(9).step_by(97).chain(ends.last()) {
        feed_in_pieces(&mut session, &text.as_bytes()[from..*end], 11, &mut out);
        from = *end;
        // Some seconds later.
        session.tick(*end as f64, &amount, &mut out);
        let verdict = session.verdict(*end as f64);
        let record = trace::readers::read(&text.as_bytes()[..*end], &ReadOptions::default());
        let record = record.unwrap();
        let read = trace::analyse(&record, &trace::AnalyseOptions::default());
        assert_eq!(verdict.samples as usize, record.len());
        assert_eq!(verdict.exceeds, read.verdict.exceeds);
        let level = verdict.level.map(|level| (level.value, level.since_s));
        let last = read.segments.last().map(|last| (last.level, last.start_s));
        assert_eq!(level, last);
        let settled = read.settled.map(|settled| (settled.draw, settled.since_s));
        let expected = read.not_settled.as_ref().and_then(|n| n.expected_at_s);
        match verdict.state {
            State::Asleep { draw, since_s } => assert_eq!(Some((draw, since_s)), settled),
            State::WokenUp { draw } => assert_eq!(Some(draw), settled.map(|s| s.0)),
            State::ComingDown { asleep_at_s } | State::SteppedDown { asleep_at_s, .. } => {
                assert_eq!((asleep_at_s, settled), (expected, None));
            }
            State::Unclear { ref reason } => {
                assert_eq!(Some(reason), read.not_settled.as_ref().map(|n| &n.reason));
            }
            State::Awake | State::TooEarly => assert_eq!(settled, None),
        }
        seen.push(std::mem::discriminant(&verdict.state));
    }
    seen.dedup();
    assert!(
        seen.len() > 5,
        "the night goes through many states: {seen:?}"
    );
}

/// What is said on the way depends neither on where the bytes were cut nor on a restart that begins again from the bytes kept.
#[test]
fn cuts_and_restarts_change_nothing() {
    let text = night();
    let told = |seed: usize, killed: bool| {
        let (mut session, mut out) = (session(), Vec::new());
        let (before, after) = text.as_bytes().split_at(text.len() / 2 + 3);
        feed_in_pieces(&mut session, before, seed, &mut out);
        if killed {
            (session, out) = (self::session(), Vec::new());
            session.feed(before, 1.0, &amount, &mut out).unwrap();
        }
        feed_in_pieces(&mut session, after, seed + 5, &mut out);
        let tip = session.tip(1.0, &amount);
        let (_, analysis) = session.end(1.0, &amount, &|_| None, &mut out).unwrap();
        (out, tip, analysis)
    };
    let whole = told(3, false);
    assert!(whole.0.len() > 12, "{:#?}", whole.0);
    assert_eq!(told(77, false), whole);
    assert_eq!(told(3, true), whole);
}

/// A logger that resets every few lines leaves thousands of parts: no room is kept for what will not come.
#[test]
fn a_source_that_starts_again_and_again_stays_small() {
    let (mut session, mut out) = (session(), Vec::new());
    let lines = "time_s,current (mA)\n0,20\n1,21\n2,20\n".repeat(2_000);
    session
        .feed(lines.as_bytes(), 0.0, &amount, &mut out)
        .unwrap();
    assert!(session.bytes() < 1 << 20, "{} bytes", session.bytes());
    let (trace, _) = session.end(1.0, &amount, &|_| None, &mut out).unwrap();
    assert_eq!(trace.len(), 6_000);
}

#[test]
fn options_come_back() {
    let options = ReadOptions {
        current: Some("I (A)".into()),
        unit: Some("A".into()),
        interval_s: Some(0.1),
        ..ReadOptions::default()
    };
    let back = options_from_text(&options_to_text(&options));
    assert_eq!(format!("{back:?}"), format!("{options:?}"));
}

#[test]
fn marks_and_garbled_lines_are_told() {
    let (mut session, mut out) = (session(), Vec::new());
    let lines =
        b"time,current (mA)\n0,20\n1,20\nrubbish\n2,20\n3,21\n4,20\n5,x\n6,20\n7,20\n8,20\n";
    session.feed(lines, 0.0, &amount, &mut out).unwrap();
    let line = session.mark(1.0, "F12 out");
    assert!(line.ends_with("marked: F12 out"), "{line}");
    let tip = session.tip(1.0, &amount);
    assert_eq!(tip.garbled, 2);
    assert_eq!(tip.said.last(), Some(&line));
    assert!(
        out.iter()
            .any(|said| matches!(said, Said::Source(text) if text.contains("left out")))
    );
}
