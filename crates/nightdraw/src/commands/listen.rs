//! `nightdraw listen`: a log while it is being written.

mod input;
mod kept;
mod save;
mod status;

use std::{
    fmt::Display,
    io::{self, Write},
    sync::mpsc::{Receiver, RecvTimeoutError},
    time::{Duration, Instant},
};

use ::job::Recording;
use jiff::{Timestamp, tz::TimeZone};
use live::{Said, Session, options_to_text};
use measure::{Uncertain, quantity::Ampere};
use picture::words;
use tongue::{fixed, say};
use trace::{Analysis, readers::ReadError};

use crate::{
    cli::ListenArguments,
    commands::{read::page, read_failure},
    failure::Failure,
    output::{print, print_json, remark},
};
use input::Message;
use kept::Kept;
use save::Save;
use status::Status;

/// How often the time is looked at when nothing arrives.
const LOOK: Duration = Duration::from_millis(200);
/// The same while a page may be following.
const LOOK_KEPT: Duration = Duration::from_millis(30);

pub(crate) fn run(arguments: &ListenArguments) -> Result<(), Failure> {
    let limit_a = arguments.limit.ampere()?;
    let options = arguments.columns.options()?;
    let save = arguments.save.as_deref().map(Save::create).transpose()?;
    let data = arguments.data.as_deref();
    let kept = arguments
        .job
        .map(|job| Kept::begin(data, job, &arguments.node, &options_to_text(&options)))
        .transpose()?;
    let now = Timestamp::now();
    let begun = Instant::now();
    let file = arguments.file.as_deref().unwrap_or("-");
    let input = match arguments.virtual_van {
        Some(speed) => input::open_van(speed, begun)?,
        None => input::open(file, begun)?,
    };
    let name = match (arguments.virtual_van, file) {
        (Some(_), _) => say::cli::virtual_van(),
        (None, "-") => say::cli::standard_input(),
        (None, file) => file.into(),
    };
    let mut listener = Listener {
        name,
        session: Session::new(
            options,
            limit_a,
            now.as_duration().as_secs_f64(),
            time_of_day(now),
        ),
        save,
        kept,
        begun,
        to_stderr: arguments.json,
        bell: arguments.bell,
        status: Status::default(),
    };
    listener.listen(&input)?;
    let (recording, analysis) = listener.end()?;
    if arguments.json {
        print_json(&job::contract::analysis(&analysis))
    } else {
        print(&format!("\n{}", page(&recording.trace, &analysis)))
    }
}

struct Listener {
    name: tongue::Message,
    session: Session,
    save: Option<Save>,
    kept: Option<Kept>,
    begun: Instant,
    to_stderr: bool,
    bell: bool,
    status: Status,
}

/// How uncertain currents are written.
fn amount(x: Uncertain) -> String {
    words::plus_minus::<Ampere>(x)
}

impl Listener {
    fn now_s(&self) -> f64 {
        self.begun.elapsed().as_secs_f64()
    }

    fn listen(&mut self, input: &Receiver<Message>) -> Result<(), Failure> {
        let look = if self.kept.is_some() { LOOK_KEPT } else { LOOK };
        loop {
            match input.recv_timeout(look) {
                Ok(Message::Bytes { arrival_s, bytes }) => self.bytes(arrival_s, &bytes)?,
                Ok(Message::Note(note)) => {
                    self.remark(trace::readers::told(&note));
                }
                Ok(Message::Mark(text)) => self.mark(&text)?,
                Ok(Message::Failed(error)) if self.session.verdict(0.0).samples == 0 => {
                    return Err(self.failure(&error));
                }
                Ok(Message::Failed(error)) => {
                    self.remark(say::cli::was_read(error.message()));
                    return Ok(());
                }
                Ok(Message::Interrupted) => {
                    self.remark(say::cli::stopped());
                    return Ok(());
                }
                Ok(Message::End) | Err(RecvTimeoutError::Disconnected) => return Ok(()),
                // Only when nothing waits to be read does the time say that nothing comes.
                Err(RecvTimeoutError::Timeout) => {
                    let mut said = Vec::new();
                    self.session.tick(self.now_s(), &amount, &mut said);
                    self.say(said)?;
                }
            }
            self.tell()?;
        }
    }

    /// Kept before it is understood, so that nothing which makes no sense is lost.
    fn bytes(&mut self, arrival_s: f64, bytes: &[u8]) -> Result<(), Failure> {
        if let Some(save) = &mut self.save {
            save.write(bytes)?;
        }
        if let Some(kept) = &mut self.kept {
            kept.take(arrival_s, bytes);
        }
        let mut said = Vec::new();
        let fed = self.session.feed(bytes, arrival_s, &amount, &mut said);
        self.say(said)?;
        if let Err(error) = fed {
            self.give_up()?;
            return Err(self.failure(&error));
        }
        Ok(())
    }

    fn mark(&mut self, text: &str) -> Result<(), Failure> {
        let text = match text {
            "" => say::cli::here().to_string(),
            text => text.to_owned(),
        };
        let line = self.session.mark(self.now_s(), &text);
        if let Some(kept) = &self.kept {
            kept.mark(&text)?;
        }
        self.say(vec![Said::Vehicle {
            text: line,
            step: false,
        }])
    }

    /// Takes the last line in and gives everything received, with what it says.
    fn end(&mut self) -> Result<(Recording, Analysis), Failure> {
        let mut said = Vec::new();
        let iso = |unix_s: f64| {
            let at = Timestamp::from_millisecond((unix_s * 1e3).round() as i64).ok()?;
            Some(at.to_string())
        };
        let ended = self.session.end(self.now_s(), &amount, &iso, &mut said);
        self.status.clear();
        self.say(said)?;
        let (trace, analysis) = match ended {
            Ok(ended) => ended,
            Err(error) => {
                self.give_up()?;
                return Err(self.failure(&error));
            }
        };
        for assumption in &trace.source.assumptions {
            self.remark(trace::readers::told(assumption));
        }
        if let Some(save) = &mut self.save {
            save.sync()?;
        }
        // Moved, not copied: a day of samples is a hundred megabytes.
        let recording = Recording::new(trace);
        if let Some(kept) = self.kept.take() {
            let number = kept.end(&recording)?;
            self.remark(say::cli::kept_as(number.to_string()));
        }
        Ok((recording, analysis))
    }

    /// Nothing came that could be read.
    fn give_up(&mut self) -> Result<(), Failure> {
        match self.kept.take() {
            Some(kept) => kept.forget(),
            None => Ok(()),
        }
    }

    /// Writes what is due, and renews the status line.
    fn tell(&mut self) -> Result<(), Failure> {
        let now_s = self.now_s();
        if let Some(kept) = self.kept.as_mut().filter(|kept| kept.due()) {
            kept.write(&self.session.tip(now_s, &amount))?;
        }
        if let Some(save) = &mut self.save {
            save.sync_if_due()?;
        }
        if self.status.due() {
            self.renew(now_s);
        }
        Ok(())
    }

    fn renew(&mut self, now_s: f64) {
        let verdict = self.session.verdict(now_s);
        let Some(last_a) = verdict.last_a else {
            return;
        };
        let level = verdict.level.map_or(String::new(), |level| {
            let since = self.session.clock(level.since_s);
            format!(" · {}", say::cli::level_since(since, amount(level.value)))
        });
        let state = verdict.state.words(verdict.time_s, &amount);
        let last = tongue::number(&Ampere(last_a).to_string());
        let age = verdict.age_s.filter(|_| verdict.stalled);
        let age = age.map_or(String::new(), |age_s| {
            format!(" · {}", say::cli::seconds_ago(fixed(age_s, 0)))
        });
        self.status.show(&format!("{last}{age}{level} · {state}"));
    }

    fn say(&mut self, said: Vec<Said>) -> Result<(), Failure> {
        for said in said {
            match said {
                Said::Source(text) => self.remark(text),
                Said::Vehicle { text, step } => {
                    self.status.clear();
                    if self.to_stderr {
                        remark(text);
                    } else {
                        print(&format!("{text}\n"))?;
                    }
                    if step && self.bell {
                        // The terminal rings; a bell that cannot be heard stops nothing.
                        let _ = io::stderr().write_all(b"\x07");
                    }
                }
            }
        }
        Ok(())
    }

    fn remark(&mut self, text: impl Display) {
        self.status.clear();
        remark(format!("nightdraw: {}: {text}", self.name));
    }

    fn failure(&mut self, error: &ReadError) -> Failure {
        self.status.clear();
        read_failure(error).in_file(&self.name)
    }
}

/// Seconds since local midnight.
fn time_of_day(now: Timestamp) -> f64 {
    let now = now.to_zoned_datetime(TimeZone::system());
    f64::from(i32::from(now.hour()) * 3600 + i32::from(now.minute()) * 60 + i32::from(now.second()))
}
