//! `nightdraw listen`: a log while it is being written.

use std::{
    fs::{File, OpenOptions},
    io::{self, ErrorKind, IsTerminal, Read, Write},
    path::Path,
    sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel},
    thread,
    time::{Duration, Instant},
};

use live::{Change, Event, LineSource, Watch};
use measure::{Uncertain, quantity::Ampere};
use picture::words;
use trace::{
    AnalyseOptions, Trace,
    readers::{ReadError, unpack},
};

use crate::{
    cli::ListenArguments,
    commands::{read::page, read_failure},
    failure::{Failure, file_failure},
    output::{print, print_json, remark},
};

/// Pieces under way from the source; a fast one waits.
const UNDER_WAY: usize = 64;
const PIECE: usize = 1 << 16;
/// How often the time is looked at when nothing arrives, and the status line renewed at most.
const LOOK: Duration = Duration::from_millis(200);
/// How often what is saved goes down to the disk itself; it survives the end of this program at once.
const SYNC: Duration = Duration::from_secs(2);
/// Garbled lines that are told one by one.
const TOLD: u64 = 3;
const DAY_S: f64 = 86_400.0;

pub(crate) fn run(arguments: &ListenArguments) -> Result<(), Failure> {
    let limit_a = arguments.limit.ampere()?;
    let options = arguments.columns.options()?;
    let save = arguments.save.as_deref().map(Save::create).transpose()?;
    let begun = Instant::now();
    let input = open(&arguments.file, begun)?;
    let mut listener = Listener {
        name: if arguments.file == "-" {
            "standard input".into()
        } else {
            arguments.file.clone()
        },
        source: LineSource::new(options),
        watch: Watch::new(limit_a),
        save,
        begun,
        wall_s: None,
        garbled: 0,
        to_stderr: arguments.json,
        status: Status::default(),
    };
    listener.listen(&input)?;
    let trace = listener.end()?;
    let analysis = trace::analyse(
        &trace,
        &AnalyseOptions {
            limit_a,
            ..AnalyseOptions::default()
        },
    );
    if arguments.json {
        print_json(&job::contract::analysis(&analysis))
    } else {
        print(&format!("\n{}", page(&trace, &analysis)))
    }
}

/// What the threads that wait have to tell.
enum Message {
    Bytes { arrival_s: f64, bytes: Vec<u8> },
    Note(String),
    Failed(ReadError),
    End,
    Interrupted,
}

/// Starts one thread that waits for the source and one that waits for Ctrl-C.
fn open(name: &str, begun: Instant) -> Result<Receiver<Message>, Failure> {
    let input: Box<dyn Read + Send> = if name == "-" {
        Box::new(io::stdin())
    } else {
        let file = File::open(name).map_err(|error| file_failure("read", name, &error))?;
        if file.metadata().is_ok_and(|metadata| metadata.is_dir()) {
            return Err(Failure::input(
                "is-a-folder",
                format!("{name} is a folder"),
                "name a log file in it",
            ));
        }
        Box::new(file)
    };
    let (sender, receiver) = sync_channel(UNDER_WAY);
    let stop = sender.clone();
    thread::spawn(move || {
        // A receiver that is gone means that the program is about to end.
        let _ = match receive(input, begun, &sender) {
            Ok(()) => sender.send(Message::End),
            Err(error) => sender.send(Message::Failed(error)),
        };
    });
    thread::spawn(move || {
        if interrupted().is_ok() {
            let _ = stop.send(Message::Interrupted);
        }
    });
    Ok(receiver)
}

fn receive(
    input: impl Read,
    begun: Instant,
    sender: &SyncSender<Message>,
) -> Result<(), ReadError> {
    let mut unpacked = unpack(input)?;
    for note in std::mem::take(&mut unpacked.notes) {
        let _ = sender.send(Message::Note(note));
    }
    let mut piece = vec![0; PIECE];
    loop {
        match unpacked.reader.read(&mut piece) {
            Ok(0) => return Ok(()),
            Ok(n) => {
                let arrival_s = begun.elapsed().as_secs_f64();
                if sender
                    .send(Message::Bytes {
                        arrival_s,
                        bytes: piece[..n].to_vec(),
                    })
                    .is_err()
                {
                    return Ok(());
                }
            }
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(error) => {
                return Err(ReadError::Io {
                    message: error.to_string(),
                });
            }
        }
    }
}

/// Waits for Ctrl-C, or for being told to end.
fn interrupted() -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .build()?;
    runtime.block_on(async {
        #[cfg(unix)]
        {
            use tokio::signal::unix::{SignalKind, signal};
            let (mut interrupt, mut end) = (
                signal(SignalKind::interrupt())?,
                signal(SignalKind::terminate())?,
            );
            tokio::select! {
                _ = interrupt.recv() => Ok(()),
                _ = end.recv() => Ok(()),
            }
        }
        #[cfg(not(unix))]
        tokio::signal::ctrl_c().await
    })
}

struct Listener {
    name: String,
    source: LineSource,
    watch: Watch,
    save: Option<Save>,
    begun: Instant,
    /// Local time of day of the first sample, for samples without a time of their own.
    wall_s: Option<f64>,
    garbled: u64,
    to_stderr: bool,
    status: Status,
}

impl Listener {
    fn listen(&mut self, input: &Receiver<Message>) -> Result<(), Failure> {
        loop {
            match input.recv_timeout(LOOK) {
                Ok(Message::Bytes { arrival_s, bytes }) => {
                    if let Some(save) = &mut self.save {
                        save.write(&bytes)?;
                    }
                    let mut events = Vec::new();
                    let fed = self.source.feed(&bytes, arrival_s, &mut events);
                    self.take(events)?;
                    fed.map_err(|error| self.failure(&error))?;
                }
                Ok(Message::Note(note)) => self.remark(&note),
                Ok(Message::Failed(error)) if self.watch.verdict(0.0).samples == 0 => {
                    return Err(self.failure(&error));
                }
                Ok(Message::Failed(error)) => {
                    self.remark(&format!(
                        "{}; what had been received was read",
                        error.message()
                    ));
                    return Ok(());
                }
                Ok(Message::Interrupted) => {
                    self.remark("stopped");
                    return Ok(());
                }
                Ok(Message::End) | Err(RecvTimeoutError::Disconnected) => return Ok(()),
                Err(RecvTimeoutError::Timeout) => {}
            }
            self.tell()?;
        }
    }

    /// Takes the last line in and gives everything received.
    fn end(&mut self) -> Result<Trace, Failure> {
        let mut events = Vec::new();
        let ended = self.source.end(&mut events);
        self.take(events)?;
        ended.map_err(|error| self.failure(&error))?;
        self.watch.settle();
        self.tell()?;
        self.status.clear();
        if self.garbled > TOLD {
            self.remark(&format!("{} lines were left out in all", self.garbled));
        }
        let trace = self.source.trace().map_err(|error| self.failure(&error))?;
        for assumption in &trace.source.assumptions {
            self.remark(assumption);
        }
        match &mut self.save {
            Some(save) => save.sync().map(|()| trace),
            None => Ok(trace),
        }
    }

    fn take(&mut self, events: Vec<Event>) -> Result<(), Failure> {
        for event in events {
            match event {
                Event::Sample(sample) => {
                    self.wall_s.get_or_insert_with(time_of_day);
                    self.watch.push(&sample);
                }
                Event::Reread => self.watch.start_over(),
                Event::Garbled { line, reason } => {
                    self.garbled += 1;
                    if self.garbled <= TOLD {
                        self.remark(&format!("line {line} was left out: {reason}"));
                    }
                }
                Event::Restarted { line, at_s } => {
                    self.tell()?;
                    self.say(&format!(
                        "{}  the source started again (line {line})",
                        self.clock(at_s)
                    ))?;
                }
            }
        }
        Ok(())
    }

    /// Says what has changed, and renews the status line.
    fn tell(&mut self) -> Result<(), Failure> {
        let now_s = self.begun.elapsed().as_secs_f64();
        self.watch.tick(now_s);
        let amount = |x: Uncertain| words::plus_minus::<Ampere>(x);
        for change in self.watch.changes() {
            let at_s = change
                .at_s()
                .unwrap_or_else(|| self.silence(&change, now_s));
            self.say(&format!("{}  {}", self.clock(at_s), change.words(&amount)))?;
        }
        if self.status.due() {
            let verdict = self.watch.verdict(now_s);
            let Some(last_a) = verdict.last_a else {
                return Ok(());
            };
            let level = verdict.level.map_or(String::new(), |level| {
                format!(
                    " · level {} since {}",
                    amount(level.value),
                    self.clock(level.since_s)
                )
            });
            let state = verdict.state.words(verdict.time_s, &amount);
            let age = verdict.age_s.filter(|_| verdict.stalled);
            let age = age.map_or(String::new(), |age_s| format!(" · {age_s:.0} s ago"));
            self.status
                .show(&format!("{}{age}{level} · {state}", Ampere(last_a)));
        }
        Ok(())
    }

    /// When a silence began or ended, on the clock of the samples.
    fn silence(&self, change: &Change, now_s: f64) -> f64 {
        let verdict = self.watch.verdict(now_s);
        match change {
            Change::Stalled { for_s } => verdict.time_s + for_s,
            _ => verdict.time_s,
        }
    }

    fn say(&mut self, line: &str) -> Result<(), Failure> {
        self.status.clear();
        if self.to_stderr {
            remark(line);
            return Ok(());
        }
        print(&format!("{line}\n"))
    }

    fn remark(&mut self, text: &str) {
        self.status.clear();
        remark(&format!("nightdraw: {}: {text}", self.name));
    }

    fn failure(&mut self, error: &ReadError) -> Failure {
        self.status.clear();
        read_failure(error).in_file(&self.name)
    }

    /// Time of day of a sample, if it is known; else the time since the first.
    fn clock(&self, at_s: f64) -> String {
        let start = self.source.start().as_deref().and_then(start_of_day);
        let start = start.or(self.wall_s.filter(|_| self.source.by_arrival()));
        let of_day = start
            .map_or(at_s, |start_s| (start_s + at_s).rem_euclid(DAY_S))
            .round() as u64;
        let (h, m, s) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
        match start {
            Some(_) => format!("{:02}:{m:02}:{s:02}", h % 24),
            None => format!("{h}:{m:02}:{s:02}"),
        }
    }
}

/// Seconds since local midnight.
fn time_of_day() -> f64 {
    let now = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system());
    f64::from(i32::from(now.hour()) * 3600 + i32::from(now.minute()) * 60 + i32::from(now.second()))
}

/// Seconds since midnight of `2026-11-25T22:10:05.5Z` or `22:10:05`.
fn start_of_day(iso: &str) -> Option<f64> {
    let time = iso.rsplit('T').next()?.get(..8)?;
    let mut parts = time.split(':').map(|part| part.parse::<f64>().ok());
    Some(parts.next()?? * 3600.0 + parts.next()?? * 60.0 + parts.next()??)
}

/// The file that keeps what is received.
struct Save {
    file: File,
    name: String,
    synced: Instant,
}

impl Save {
    /// A log that is there already is not written over.
    fn create(path: &Path) -> Result<Self, Failure> {
        let name = path.display().to_string();
        match OpenOptions::new().write(true).create_new(true).open(path) {
            Ok(file) => Ok(Self {
                file,
                name,
                synced: Instant::now(),
            }),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(Failure::input(
                "file-exists",
                format!("{name} is there already and would be lost"),
                "choose another name for --save",
            )),
            Err(error) => Err(file_failure("write", &name, &error)),
        }
    }

    fn write(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.file
            .write_all(bytes)
            .map_err(|error| file_failure("write", &self.name, &error))?;
        if self.synced.elapsed() >= SYNC {
            self.sync()
        } else {
            Ok(())
        }
    }

    fn sync(&mut self) -> Result<(), Failure> {
        self.synced = Instant::now();
        match self.file.sync_data() {
            // A pipe or terminal has no disk below it.
            Err(error) if error.kind() != ErrorKind::InvalidInput => {
                Err(file_failure("write", &self.name, &error))
            }
            _ => Ok(()),
        }
    }
}

/// One line at the foot of a terminal that is written over.
#[derive(Default)]
struct Status {
    shown: Option<Instant>,
    there: bool,
}

impl Status {
    /// Longest line that is sure to fit.
    const WIDTH: usize = 79;

    fn due(&self) -> bool {
        io::stderr().is_terminal() && self.shown.is_none_or(|at| at.elapsed() >= LOOK)
    }

    fn show(&mut self, text: &str) {
        let text: String = text.chars().take(Self::WIDTH).collect();
        let _ = write!(io::stderr(), "\r\x1b[2K{text}");
        (self.shown, self.there) = (Some(Instant::now()), true);
    }

    fn clear(&mut self) {
        if std::mem::take(&mut self.there) {
            let _ = write!(io::stderr(), "\r\x1b[2K");
            self.shown = None;
        }
    }
}
