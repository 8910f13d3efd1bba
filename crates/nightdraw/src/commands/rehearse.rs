//! `nightdraw rehearse`: a whole job on an invented vehicle, against the clock.

use std::{
    fmt::Write as _,
    fs::{self, File},
    io::{self, BufRead, IsTerminal, Write},
    path::{Path, PathBuf},
};

use jiff::Timestamp;
use practice::{Path as Way, PracticeError, Score, Session, Setup, Step, Test, tests};

use crate::{
    cli::RehearseArguments,
    commands::read_job_file,
    failure::{Failure, file_failure},
    output::{print, print_json, remark},
};

/// Seconds between the samples of the trace (common practice of logging meters).
const INTERVAL_S: f64 = 1.0;
/// Longest line that is read as a test.
const LONGEST_LINE: usize = 4096;

const HELP: &str = "\
  clamp ID       current of a cable; clamp alone: the total
  in-line        the total with the meter in the circuit
  mv ID          millivolts across a fuse in its place
  pull ID [ID]   pull fuses or take cables off together, watch the total, put them back
  out ID [ID]    the same, and they stay out
  back ID [ID]   put back what is out and watch the total; back all: everything, without a look
  unplug ID      unplug one load, watch the total, plug it in again
  sleep          wait until the vehicle sleeps
  wait MINUTES   wait, whatever happens
  repair ID      put one circuit right (10 minutes)
  a number       that test of the list
  list           every place and its usual test
  clock          minutes so far, and whether it sleeps
  advice         what the planner would do now
  done           end, and see the score
  quit           stop for now";

pub(crate) fn run(arguments: &RehearseArguments) -> Result<(), Failure> {
    let session = begin(arguments)?;
    let keep = arguments.save.clone().or_else(|| arguments.resume.clone());
    let trace = arguments.trace.as_deref().map(Trace::open).transpose()?;
    let aside = arguments.json || arguments.trace.as_deref() == Some("-");
    if arguments.json && arguments.trace.as_deref() == Some("-") {
        return Err(Failure::usage(
            "--json and --trace - both want stdout",
            "name a file for the trace",
        ));
    }
    let list = tests(session.tree(), session.has_clamp());
    let mut table = Table {
        session,
        list,
        keep,
        trace,
        aside,
        finished: false,
    };
    table.work()?;
    let finished = table.finished;
    let scored = if finished || arguments.json {
        Some(practice::score(&table.session).map_err(|error| failure(&error))?)
    } else {
        None
    };
    match scored {
        Some(score) if arguments.json => {
            let mut document = practice::score_document(&table.session, &score);
            if let Some(document) = document.as_object_mut() {
                document.insert("finished".into(), finished.into());
            }
            print_json(&document)
        }
        Some(score) => table.say(&page(&score)),
        None => Ok(()),
    }
}

fn begin(arguments: &RehearseArguments) -> Result<Session, Failure> {
    if let Some(path) = &arguments.resume {
        return Session::resume(read_job_file(path)?)
            .map_err(|error| failure(&error).in_file(&path.display().to_string()));
    }
    let mut text = format!(
        "seed={}",
        arguments
            .seed
            .unwrap_or_else(|| of_the_day(Timestamp::now()))
    );
    if let Some(kind) = &arguments.vehicle {
        let _ = write!(text, " kind={kind}");
    }
    let setup: Setup = text
        .parse()
        .map_err(|error: practice::SetupError| Failure::usage(error.to_string(), ""))?;
    Session::begin(Setup {
        reach: arguments.reach.into(),
        level: arguments.level.into(),
        settings_may_be_lost: arguments.settings_may_be_lost,
        ..setup
    })
    .map_err(|error| failure(&error))
}

/// Days since 1970: everyone has the same vehicle today.
fn of_the_day(now: Timestamp) -> u64 {
    now.as_second().unsigned_abs() / 86_400
}

fn failure(error: &PracticeError) -> Failure {
    let text = error.to_string();
    let (message, hint) = text.rsplit_once("; ").unwrap_or((&text, ""));
    Failure::input("rehearsal", message, hint)
}

/// The rehearsal between standard input and standard output.
struct Table {
    session: Session,
    list: Vec<Test>,
    keep: Option<PathBuf>,
    trace: Option<Trace>,
    /// Whether stdout belongs to something else, so that words go to stderr.
    aside: bool,
    finished: bool,
}

impl Table {
    fn work(&mut self) -> Result<(), Failure> {
        self.welcome()?;
        self.write_trace()?;
        let stdin = io::stdin();
        let prompted = stdin.is_terminal();
        let mut input = stdin.lock();
        loop {
            if prompted {
                let clock = format!("{:.0} min> ", self.session.minutes());
                let _ = write!(io::stderr(), "{clock}");
            }
            let Some(line) = read_line(&mut input)? else {
                break;
            };
            if !self.line(line.trim())? {
                break;
            }
        }
        if !self.finished {
            self.left()?;
        }
        Ok(())
    }

    fn welcome(&self) -> Result<(), Failure> {
        let job = self.session.job();
        let sleeps = "It was locked a while ago and sleeps. Something draws more than the 50 mA it may: find it, repair it, prove it.";
        let settings = if self.session.setup().settings_may_be_lost {
            "The invented owner agrees that stored settings may be lost."
        } else {
            "Stored settings must not be lost."
        };
        self.say(&format!(
            "{}\nEverything about it is invented. {sleeps}\n{settings} Type help for the tests, list for the places, done for the score.\n",
            job.vehicle.name
        ))?;
        if job.entries.is_empty() {
            return Ok(());
        }
        self.say(&format!(
            "Taken up again after {:.0} minutes and {} tests.\n",
            self.session.minutes(),
            self.session.actions().len()
        ))
    }

    /// Takes one line; `false` when nothing more is to be read.
    fn line(&mut self, line: &str) -> Result<bool, Failure> {
        match line.to_lowercase().as_str() {
            "" => {}
            "help" | "?" => self.say(&format!("{HELP}\n"))?,
            "list" => self.say(&self.places())?,
            "clock" => {
                let sleeps = if self.session.is_asleep() {
                    "asleep"
                } else {
                    "awake"
                };
                self.say(&format!(
                    "{:.0} minutes, {sleeps}\n",
                    self.session.minutes()
                ))?;
            }
            "advice" => self.advice()?,
            "done" => {
                self.finished = true;
                return Ok(false);
            }
            "quit" | "exit" => return Ok(false),
            _ if line.starts_with('#') => {}
            _ => self.test(line)?,
        }
        Ok(true)
    }

    fn test(&mut self, line: &str) -> Result<(), Failure> {
        let numbered = line.parse::<usize>().ok();
        let outcome = match numbered {
            Some(number) => match number.checked_sub(1).and_then(|at| self.list.get(at)) {
                Some(test) => self.session.perform(&test.action),
                None => {
                    let most = self.list.len();
                    return self.say(&format!("The list goes from 1 to {most}.\n"));
                }
            },
            None => self.session.type_in(line),
        };
        match outcome {
            Ok(done) => {
                let mut text = format!("{} [{:.1} min]", done.said, done.minutes);
                if done.woke {
                    text += " It woke the vehicle.";
                }
                if !done.lost.is_empty() {
                    let lost: Vec<&str> = done.lost.iter().map(|id| id.0.as_str()).collect();
                    let _ = write!(text, " Stored settings of {} are lost.", lost.join(", "));
                }
                let last = self.session.actions();
                if let Some(caution) = last.last().and_then(practice::caution_for) {
                    let _ = write!(text, "\n  On a real vehicle, mind: {caution}");
                }
                self.say(&format!("{text}\n"))?;
                self.write_trace()?;
                self.save()
            }
            Err(error) => self.say(&format!("{error}.\n")),
        }
    }

    fn places(&self) -> String {
        let mut text = String::new();
        let mut group = "";
        for (at, test) in self.list.iter().enumerate() {
            if test.group != group {
                group = &test.group;
                // Writing to a string cannot fail.
                let _ = writeln!(text, "  {group}:");
            }
            let _ = writeln!(text, "{:>4}  {:<22} {}", at + 1, test.typed, test.label);
        }
        text
    }

    fn advice(&self) -> Result<(), Failure> {
        let assessment = job::assess(self.session.job());
        let text = match &assessment.next {
            Some(next) => format!("{}\n  {}\n", next.headline, next.why),
            None => format!("{} {}\n", assessment.summary, assessment.done_because),
        };
        self.say(&text)
    }

    /// Quit before the end: says how to come back.
    fn left(&self) -> Result<(), Failure> {
        let minutes = self.session.minutes();
        match &self.keep {
            Some(path) => {
                self.save()?;
                self.say(&format!(
                    "Left after {minutes:.0} minutes; nightdraw rehearse --resume {} goes on.\n",
                    path.display()
                ))
            }
            None => self.say(&format!(
                "Left after {minutes:.0} minutes; with --save FILE it could be taken up again.\n"
            )),
        }
    }

    fn save(&self) -> Result<(), Failure> {
        let Some(path) = &self.keep else {
            return Ok(());
        };
        let name = path.display().to_string();
        // Beside it first, so that a rehearsal is never half there.
        let half = path.with_extension("half");
        fs::write(&half, job::file::write(self.session.job()))
            .and_then(|()| fs::rename(&half, path))
            .map_err(|error| file_failure("write", &name, &error))
    }

    fn write_trace(&mut self) -> Result<(), Failure> {
        match &mut self.trace {
            Some(trace) => trace.go_on(&self.session),
            None => Ok(()),
        }
    }

    fn say(&self, text: &str) -> Result<(), Failure> {
        if self.aside {
            remark(text.trim_end());
            Ok(())
        } else {
            print(text)
        }
    }
}

/// One line, however long it is; `None` at the end.
fn read_line(input: &mut impl BufRead) -> Result<Option<String>, Failure> {
    let mut bytes = Vec::new();
    let read = input
        .read_until(b'\n', &mut bytes)
        .map_err(|error| file_failure("read", "standard input", &error))?;
    bytes.truncate(LONGEST_LINE);
    Ok((read > 0).then(|| String::from_utf8_lossy(&bytes).into_owned()))
}

/// What a logger at the battery writes meanwhile.
struct Trace {
    name: String,
    to: Box<dyn Write>,
    samples: usize,
}

impl Trace {
    fn open(name: &str) -> Result<Self, Failure> {
        let to: Box<dyn Write> = if name == "-" {
            Box::new(io::stdout())
        } else {
            Box::new(
                File::create(Path::new(name))
                    .map_err(|error| file_failure("write", name, &error))?,
            )
        };
        let mut trace = Self {
            name: if name == "-" {
                "standard output".into()
            } else {
                name.into()
            },
            to,
            samples: 0,
        };
        trace.write("# Invented: a virtual vehicle's draw, made by nightdraw rehearse; not a measurement\ntime_s,current_mA\n")?;
        Ok(trace)
    }

    /// Writes what has come since the last time.
    fn go_on(&mut self, session: &Session) -> Result<(), Failure> {
        let log = session.log(INTERVAL_S);
        let mut text = String::new();
        for (at, shown_a) in log.shown_a.iter().enumerate().skip(self.samples) {
            let _ = writeln!(text, "{},{:.0}", at as f64 * INTERVAL_S, shown_a * 1e3);
        }
        self.samples = self.samples.max(log.shown_a.len());
        self.write(&text)
    }

    fn write(&mut self, text: &str) -> Result<(), Failure> {
        match self
            .to
            .write_all(text.as_bytes())
            .and_then(|()| self.to.flush())
        {
            // A reader that went away has seen enough.
            Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
                Err(file_failure("write to", &self.name, &error))
            }
            _ => Ok(()),
        }
    }
}

/// The score as a person reads it.
fn page(score: &Score) -> String {
    let mut text = String::from("\nScore\n");
    for (who, way) in [("you", &score.yours), ("planner", &score.planner)] {
        let _ = writeln!(text, "  {who:<8} {}", outcome(way));
    }
    if score.yours.solved && score.planner.solved && score.planner.minutes > 0.0 {
        let ratio = score.yours.minutes / score.planner.minutes;
        let _ = writeln!(text, "  you took {ratio:.1} times the planner's minutes");
    }
    let _ = writeln!(text, "\nIt was");
    for fault in &score.truth {
        let _ = writeln!(text, "  {fault}");
    }
    match &score.parted {
        Some(parted) => {
            let or_nothing = |typed: &str| {
                if typed.is_empty() {
                    "nothing more".to_owned()
                } else {
                    practice::spoken(typed).to_string()
                }
            };
            let _ = writeln!(
                text,
                "\nYour paths parted at step {}: you {}, the planner {}",
                parted.step,
                or_nothing(&parted.yours),
                or_nothing(&parted.planner)
            );
            if !parted.why.is_empty() {
                let _ = writeln!(text, "  {}", parted.why);
            }
        }
        None => {
            let _ = writeln!(text, "\nYou went the planner's way throughout.");
        }
    }
    let _ = writeln!(
        text,
        "\nYour tests, and what the planner would have done there"
    );
    for (at, step) in score.yours.steps.iter().enumerate() {
        let other = score.advice.get(at).and_then(Option::as_deref);
        let _ = writeln!(
            text,
            "{}{}",
            line(step),
            other.map_or(String::new(), |other| format!("   rather: {other}"))
        );
    }
    let _ = writeln!(text, "\nThe planner's tests");
    for step in &score.planner.steps {
        let _ = writeln!(text, "{}", line(step));
    }
    text
}

fn outcome(way: &Way) -> String {
    let solved = if way.solved {
        "found and repaired"
    } else {
        "not found"
    };
    let mut text = format!(
        "{:>4.0} min, {} tests, {solved}",
        way.minutes,
        way.steps.len()
    );
    if way.woken > 0 {
        let _ = write!(text, ", woke it {} times", way.woken);
    }
    if !way.lost.is_empty() {
        let _ = write!(text, ", lost the settings of {}", way.lost.join(", "));
    }
    if !way.needless.is_empty() {
        let _ = write!(text, ", needless repair of {}", way.needless.join(", "));
    }
    text
}

fn line(step: &Step) -> String {
    format!("  {:>5.0}  {}", step.clock_min, step.said)
}
