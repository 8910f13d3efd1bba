//! What the threads that wait have to tell.

use std::{
    fs::File,
    io::{self, BufRead, BufReader, ErrorKind, IsTerminal, Read},
    sync::mpsc::{Receiver, SyncSender, sync_channel},
    thread,
    time::{Duration, Instant},
};

use rehearsal::{Bench, scenario};
use tongue::say;
use trace::readers::{ReadError, unpack};

use crate::failure::{Deed, Failure, file_failure};

/// Pieces under way from the source; a fast one waits.
const UNDER_WAY: usize = 64;
const PIECE: usize = 1 << 16;
/// The virtual van's meter: seconds between samples, hours of its night, seed.
const VAN: (f64, f64, u64) = (1.0, 11.0, 1);

/// What arrived.
pub(super) enum Message {
    Bytes {
        arrival_s: f64,
        bytes: Vec<u8>,
    },
    Note(String),
    /// A line typed at the terminal.
    Mark(String),
    Failed(ReadError),
    End,
    Interrupted,
}

/// Starts one thread that waits for the source, one for Ctrl-C and one for the terminal.
pub(super) fn open(name: &str, begun: Instant) -> Result<Receiver<Message>, Failure> {
    let (sender, receiver) = sync_channel(UNDER_WAY);
    let from_stdin = name == "-";
    let input: Box<dyn Read + Send> = if from_stdin {
        Box::new(io::stdin())
    } else {
        let file = File::open(name).map_err(|error| file_failure(Deed::Read, name, &error))?;
        if file.metadata().is_ok_and(|metadata| metadata.is_dir()) {
            return Err(Failure::input(
                "is-a-folder",
                say::cli::is_a_folder(name),
                say::cli::is_a_folder_hint(),
            ));
        }
        Box::new(file)
    };
    helpers(&sender, from_stdin);
    thread::spawn(move || {
        // A receiver that is gone means that the program is about to end.
        let _ = match receive(input, begun, &sender) {
            Ok(()) => sender.send(Message::End),
            Err(error) => sender.send(Message::Failed(error)),
        };
    });
    Ok(receiver)
}

/// The same with the invented van as source, `speed` times as fast as a real one.
pub(super) fn open_van(speed: f64, begun: Instant) -> Result<Receiver<Message>, Failure> {
    let (sender, receiver) = sync_channel(UNDER_WAY);
    let van = scenario::bread_van()
        .map_err(|error| Failure::input("virtual-van", error.message(), say::cli::report_this()))?;
    let (interval_s, hours, seed) = VAN;
    let log = Bench::new(van, seed).night(interval_s, hours);
    let text = log.to_csv(scenario::BREAD_VAN_REMARK);
    helpers(&sender, false);
    thread::spawn(move || {
        let mut rows = 0;
        for line in text.lines() {
            let told = line.starts_with(|c: char| c.is_ascii_digit());
            let due = Duration::from_secs_f64(f64::from(rows) * interval_s / speed);
            thread::sleep(due.saturating_sub(begun.elapsed()));
            rows += i32::from(told);
            let arrival_s = begun.elapsed().as_secs_f64();
            let bytes = format!("{line}\n").into_bytes();
            if sender.send(Message::Bytes { arrival_s, bytes }).is_err() {
                return;
            }
        }
        let _ = sender.send(Message::End);
    });
    Ok(receiver)
}

fn helpers(sender: &SyncSender<Message>, stdin_is_source: bool) {
    let (stop, marks) = (sender.clone(), sender.clone());
    thread::spawn(move || {
        if interrupted().is_ok() {
            let _ = stop.send(Message::Interrupted);
        }
    });
    // Whoever reads the status line sits at the terminal and can type there.
    let Some(keys) = terminal(stdin_is_source).filter(|_| io::stderr().is_terminal()) else {
        return;
    };
    thread::spawn(move || {
        for line in BufReader::new(keys).lines().map_while(Result::ok) {
            if marks.send(Message::Mark(line.trim().to_owned())).is_err() {
                return;
            }
        }
    });
}

/// The keyboard, where the source is not typed at it.
fn terminal(stdin_is_source: bool) -> Option<Box<dyn Read + Send>> {
    if !stdin_is_source {
        return io::stdin()
            .is_terminal()
            .then(|| Box::new(io::stdin()) as Box<dyn Read + Send>);
    }
    if io::stdin().is_terminal() || !cfg!(unix) {
        return None;
    }
    File::open("/dev/tty")
        .ok()
        .map(|tty| Box::new(tty) as Box<dyn Read + Send>)
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
                let bytes = piece[..n].to_vec();
                if sender.send(Message::Bytes { arrival_s, bytes }).is_err() {
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
