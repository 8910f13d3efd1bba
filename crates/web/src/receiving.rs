//! Streams that are being received for a job: what a page shows of them, and the
//! virtual van's own.

use std::{
    sync::{
        Mutex,
        atomic::{AtomicI64, Ordering},
    },
    thread,
    time::{Duration, Instant},
};

use harness::NodeId;
use jiff::{SignedDuration, Timestamp};
use job::{Entry, EntryKind, Recording};
use live::{LineSource, Session as Listening, Tip, options_from_text, options_to_text};
use store::{JobId, Keeper, Piece, Receiving, Session, StoreError};
use tongue::say;
use trace::readers::ReadOptions;

use crate::{
    problem::Problem,
    state::{AppState, lock},
    words,
};

/// A stream that has shown no sign of life for so long was cut off; a living one does twice a second.
const CUT_OFF: SignedDuration = SignedDuration::from_secs(10);
/// The virtual van's meter: so many times faster than real, to show a way to sleep in a minute or two.
const SPEED: f64 = 30.0;
/// Its samples, seconds apart.
const INTERVAL_S: f64 = 0.5;
/// What it streams, hours.
const HOURS: f64 = 1.5;

/// A stream as the page shows it.
#[derive(Debug, Clone)]
pub(crate) struct Stream {
    pub(crate) session: Session,
    pub(crate) tip: Tip,
    /// Whether it shows no sign of life any more.
    pub(crate) cut_off: bool,
}

/// The streams' own file; none when it cannot be opened, which is no reason to show no page.
#[derive(Debug)]
pub(crate) struct Streams {
    receiving: Mutex<Option<Receiving>>,
    /// What the file's version was when it was last asked for.
    version: AtomicI64,
    folder: Option<std::path::PathBuf>,
}

impl Streams {
    pub(crate) fn open(folder: &std::path::Path) -> Self {
        Self {
            receiving: Mutex::new(Receiving::open(folder).ok()),
            version: AtomicI64::default(),
            folder: Some(folder.into()),
        }
    }

    pub(crate) fn in_memory() -> Self {
        Self {
            receiving: Mutex::new(Receiving::in_memory().ok()),
            version: AtomicI64::default(),
            folder: None,
        }
    }

    /// Whether another connection has written since this was asked last. What
    /// our own has written is not noticed, so look now and then all the same.
    pub(crate) fn have_changed(&self) -> bool {
        let receiving = lock(&self.receiving);
        let version = receiving.as_ref().map(Receiving::version);
        let Some(Ok(version)) = version else {
            return true;
        };
        self.version.swap(version, Ordering::Relaxed) != version
    }

    /// All streams, newest first.
    pub(crate) fn all(&self) -> Vec<Session> {
        let receiving = lock(&self.receiving);
        let sessions = receiving.as_ref().map(Receiving::sessions);
        sessions.and_then(Result::ok).unwrap_or_default()
    }

    /// The newest stream of each job.
    pub(crate) fn newest(&self) -> Vec<Stream> {
        let mut newest: Vec<Session> = Vec::new();
        for session in self.all() {
            if newest.iter().all(|known| known.job != session.job) {
                newest.push(session);
            }
        }
        newest.into_iter().map(Stream::from).collect()
    }

    /// The newest stream of a job.
    pub(crate) fn of(&self, job: i64) -> Option<Stream> {
        let mine = |session: &Session| session.job.number() == job;
        self.all().into_iter().find(mine).map(Stream::from)
    }
}

impl From<Session> for Stream {
    fn from(session: Session) -> Self {
        let silent = Timestamp::now().duration_since(session.seen);
        Self {
            tip: Tip::read(&session.tip),
            cut_off: silent > CUT_OFF,
            session,
        }
    }
}

/// The entry that a stream becomes.
fn entry_of(session: &Session) -> Entry {
    Entry {
        at: session.started,
        instrument: None,
        kind: EntryKind::Trace {
            file: session.name.clone(),
            node: NodeId(session.node.clone()),
            zero: Vec::new(),
        },
    }
}

/// Makes an entry of what was received before a stream was cut off; gives its number.
pub(crate) fn take_up(state: &AppState, job: i64) -> Result<usize, Problem> {
    let gone =
        || Problem::refused(say::web::keep_nothing(), say::web::keep_already()).back_to_job(job);
    let stream = state
        .streams()
        .of(job)
        .filter(|stream| stream.cut_off)
        .ok_or_else(gone)?;
    let session = &stream.session;
    let mut source = LineSource::new(options_from_text(&session.options));
    let mut events = Vec::new();
    let mut receiving = lock(&state.streams().receiving);
    let receiving = receiving.as_mut().ok_or_else(gone)?;
    let feed = |piece: Piece| {
        // What made no sense while it came in makes none now.
        let _ = source.feed(&piece.bytes, piece.arrival_s, &mut events);
        events.clear();
    };
    receiving
        .replay(session.id, feed)
        .map_err(|error| trouble(&error, job))?;
    let read = source.end(&mut events).and_then(|()| source.trace());
    let Ok(mut trace) = read else {
        receiving
            .forget(session.id)
            .map_err(|error| trouble(&error, job))?;
        return Err(
            Problem::refused(say::web::keep_nothing(), say::web::keep_unreadable())
                .back_to_job(job),
        );
    };
    if trace.source.start.is_none() && source.by_arrival() {
        trace.source.start = Some(session.started.to_string());
    }
    let recording = Recording::new(trace);
    let number = state
        .with_store(|store| receiving.hand_over(store, session, &entry_of(session), &recording));
    let number = number.map_err(|error| trouble(&error, job))?;
    state.announce(job)?;
    Ok(number.number())
}

fn trouble(error: &StoreError, job: i64) -> Problem {
    Problem::ours(crate::form::sentence(&error.to_string())).back_to_job(job)
}

/// Lets the virtual van's meter stream into a job, as a listening program would.
pub(crate) fn start_van(state: &AppState, job: i64, csv: String) -> Result<(), Problem> {
    if state.streams().of(job).is_some() {
        return Err(
            Problem::refused(say::web::stream_already(), say::web::stream_wait()).back_to_job(job),
        );
    }
    let receiving = match &state.streams().folder {
        Some(folder) => Receiving::open(folder),
        None => {
            return Err(Problem::refused(
                say::web::stream_no_place(),
                say::web::stream_no_folder(),
            )
            .back_to_job(job));
        }
    };
    let options = ReadOptions::default();
    let keeper = receiving
        .and_then(|receiving| {
            Keeper::begin(
                receiving,
                JobId::from_number(job),
                "battery",
                &options_to_text(&options),
            )
        })
        .map_err(|error| trouble(&error, job))?;
    let state = state.clone();
    thread::spawn(move || {
        // A stream that breaks off is shown as cut off, and can be kept.
        let _ = run_van(&state, job, keeper, options, &csv);
    });
    Ok(())
}

/// The van's log for [`start_van`]: seconds between samples and hours.
pub(crate) const VAN_NIGHT: (f64, f64) = (INTERVAL_S, HOURS);

fn run_van(
    state: &AppState,
    job: i64,
    mut keeper: Keeper,
    options: ReadOptions,
    csv: &str,
) -> Result<(), StoreError> {
    let now = Timestamp::now();
    let begun = Instant::now();
    let mut session = Listening::new(
        options,
        trace::AnalyseOptions::default().limit_a,
        now.as_duration().as_secs_f64(),
        0.0,
    );
    let closing = state.closing();
    let mut said = Vec::new();
    let mut rows = 0.0;
    for line in csv.lines() {
        if *closing.borrow() {
            return Ok(());
        }
        let due = Duration::from_secs_f64(rows * INTERVAL_S / SPEED);
        thread::sleep(due.saturating_sub(begun.elapsed()));
        rows += if line.starts_with(|c: char| c.is_ascii_digit()) {
            1.0
        } else {
            0.0
        };
        let arrival_s = begun.elapsed().as_secs_f64();
        let bytes = format!("{line}\n");
        keeper.take(arrival_s, bytes.as_bytes());
        // Our own log is never refused.
        let _ = session.feed(bytes.as_bytes(), arrival_s, &words::current, &mut said);
        said.clear();
        if keeper.due() {
            keeper.write(&session.tip(arrival_s, &words::current).write())?;
        }
    }
    let ended = session.end(
        begun.elapsed().as_secs_f64(),
        &words::current,
        &|_| None,
        &mut said,
    );
    if let Ok((trace, _)) = ended {
        let entry = entry_of(keeper.session());
        let recording = Recording::new(trace);
        state.with_store(|store| keeper.hand_over(store, &entry, &recording))?;
        // Screens that cannot be told now ask by themselves.
        let _ = state.announce(job);
    }
    Ok(())
}
