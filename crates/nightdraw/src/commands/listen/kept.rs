//! A stream that is kept with a job while it comes in.

use ::job::{Entry, EntryKind, Recording};
use harness::NodeId;
use jiff::{SignedDuration, Timestamp};
use live::{LineSource, Tip, options_from_text};
use store::{JobId, Keeper, Receiving, Session, Store};
use tongue::say;

use crate::{commands, failure::Failure, output::remark};

/// A stream that has shown no sign of life for so long was cut off; a living one does twice a second.
const CUT_OFF: SignedDuration = SignedDuration::from_secs(10);

/// The job's own side of a listening session.
pub(super) struct Kept {
    keeper: Keeper,
    store: Store,
    job: JobId,
}

impl Kept {
    /// Begins one, after taking up what was cut off before.
    pub(super) fn begin(
        data: Option<&std::path::Path>,
        job: i64,
        node: &str,
        options: &str,
    ) -> Result<Self, Failure> {
        let store = commands::open_store(data)?;
        let folder = commands::data_folder(data)?;
        let mut receiving = Receiving::open(&folder).map_err(commands::store_failure)?;
        let job = JobId::from_number(job);
        let known = store.load(job).map_err(commands::store_failure)?;
        // Refused now, not when hours have been received.
        let begun = Entry {
            at: Timestamp::now(),
            instrument: None,
            kind: EntryKind::Trace {
                file: "live.csv".into(),
                node: NodeId(node.to_owned()),
                zero: Vec::new(),
            },
        };
        known.check(&begun).map_err(|errors| {
            Failure::input("no-such-place", errors.sentence(), say::cli::place_hint())
        })?;
        take_up(&store, &mut receiving, job)?;
        let keeper =
            Keeper::begin(receiving, job, node, options).map_err(commands::store_failure)?;
        Ok(Self { keeper, store, job })
    }

    pub(super) fn take(&mut self, arrival_s: f64, bytes: &[u8]) {
        self.keeper.take(arrival_s, bytes);
    }

    pub(super) fn due(&self) -> bool {
        self.keeper.due()
    }

    pub(super) fn write(&mut self, tip: &Tip) -> Result<(), Failure> {
        self.keeper
            .write(&tip.write())
            .map_err(commands::store_failure)
    }

    /// A mark becomes a remark in the job.
    pub(super) fn mark(&self, text: &str) -> Result<(), Failure> {
        let entry = Entry {
            at: Timestamp::now(),
            instrument: None,
            kind: EntryKind::Note { text: text.into() },
        };
        let kept = self.store.append(self.job, &entry, None);
        kept.map(|_| ()).map_err(commands::store_failure)
    }

    /// Makes it an entry of the job; gives the entry's number.
    pub(super) fn end(self, recording: &Recording) -> Result<usize, Failure> {
        let entry = entry_of(self.keeper.session());
        let number = self.keeper.hand_over(&self.store, &entry, recording);
        number
            .map(::job::EntryId::number)
            .map_err(commands::store_failure)
    }

    /// Nothing came.
    pub(super) fn forget(self) -> Result<(), Failure> {
        self.keeper.forget().map_err(commands::store_failure)
    }
}

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

/// Makes entries of the streams of a job that were cut off.
fn take_up(store: &Store, receiving: &mut Receiving, job: JobId) -> Result<(), Failure> {
    let sessions = receiving.sessions().map_err(commands::store_failure)?;
    let dead = |session: &&Session| {
        session.job == job && Timestamp::now().duration_since(session.seen) > CUT_OFF
    };
    for session in sessions.iter().filter(dead) {
        let mut source = LineSource::new(options_from_text(&session.options));
        let mut events = Vec::new();
        let replayed = receiving.replay(session.id, |piece| {
            // What made no sense while it came in makes none now.
            let _ = source.feed(&piece.bytes, piece.arrival_s, &mut events);
            events.clear();
        });
        replayed.map_err(commands::store_failure)?;
        let ended = source.end(&mut events);
        match ended.and_then(|()| source.trace()) {
            Ok(mut trace) => {
                if trace.source.start.is_none() && source.by_arrival() {
                    trace.source.start = Some(session.started.to_string());
                }
                let number = receiving
                    .hand_over(store, session, &entry_of(session), &Recording::new(trace))
                    .map_err(commands::store_failure)?;
                let since = session.started.to_string();
                let said = say::cli::received_and_cut(number.to_string(), since);
                remark(format!("nightdraw: {said}"));
            }
            Err(_) => receiving
                .forget(session.id)
                .map_err(commands::store_failure)?,
        }
    }
    Ok(())
}
