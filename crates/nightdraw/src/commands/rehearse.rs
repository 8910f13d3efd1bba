//! `nightdraw rehearse`: a whole job on an invented vehicle, against the clock.

use std::{
    fmt::Write as _,
    fs::{self, File},
    io::{self, BufRead, IsTerminal, Write},
    path::{Path, PathBuf},
};

use jiff::Timestamp;
use practice::{Path as Way, PracticeError, Score, Session, Setup, Step, Test, tests};
use tongue::{Message, figure, fixed, number, say};

use crate::{
    cli::RehearseArguments,
    commands::read_job_file,
    failure::{Deed, Failure, file_failure},
    output::{print, print_json, remark},
};

/// Seconds between the samples of the trace (common practice of logging meters).
const INTERVAL_S: f64 = 1.0;
/// Longest line that is read as a test.
const LONGEST_LINE: usize = 4096;

pub(crate) fn run(arguments: &RehearseArguments) -> Result<(), Failure> {
    let session = begin(arguments)?;
    let keep = arguments.save.clone().or_else(|| arguments.resume.clone());
    let trace = arguments.trace.as_deref().map(Trace::open).transpose()?;
    let aside = arguments.json || arguments.trace.as_deref() == Some("-");
    if arguments.json && arguments.trace.as_deref() == Some("-") {
        return Err(Failure::usage(
            say::cli::drill_stdout_twice(),
            say::cli::drill_stdout_twice_hint(),
        ));
    }
    let list = tests(&session);
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
            .map_err(|error| failure(&error).in_file(&path.display().to_string().into()));
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
        .map_err(|error: practice::SetupError| Failure::usage(error.0, ""))?;
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
    Failure::input(
        "rehearsal",
        error.message(),
        error.hint().unwrap_or_default(),
    )
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
        let settings = if self.session.setup().settings_may_be_lost {
            say::cli::drill_settings_may()
        } else {
            say::cli::drill_settings_not()
        };
        self.say(&format!(
            "{}\n{}\n{settings} {}\n",
            self.session.title(),
            say::cli::drill_invented(),
            say::cli::drill_type()
        ))?;
        if job.entries.is_empty() {
            return Ok(());
        }
        let tests = self.session.actions().len();
        let again = say::cli::drill_again(fixed(self.session.minutes(), 0), tests);
        self.say(&format!("{again}\n"))
    }

    /// Takes one line; `false` when nothing more is to be read.
    fn line(&mut self, line: &str) -> Result<bool, Failure> {
        match line.to_lowercase().as_str() {
            "" => {}
            "help" | "?" => self.say(&help())?,
            "list" => self.say(&self.places())?,
            "clock" => {
                let minutes = fixed(self.session.minutes(), 0);
                let clock = if self.session.is_asleep() {
                    say::cli::drill_asleep(minutes)
                } else {
                    say::cli::drill_awake(minutes)
                };
                self.say(&format!("{clock}\n"))?;
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
                    let most = self.list.len().to_string();
                    return self.say(&format!("{}\n", say::cli::drill_no_number(most)));
                }
            },
            None => self.session.type_in(line),
        };
        match outcome {
            Ok(done) => {
                let minutes = number(&format!("{:.1}", done.minutes));
                let mut text = format!("{} [{minutes} min]", done.said);
                if done.woke {
                    let _ = write!(text, " {}", say::cli::drill_woke());
                }
                if !done.lost.is_empty() {
                    let lost: Vec<&str> = done.lost.iter().map(|id| id.0.as_str()).collect();
                    let _ = write!(text, " {}", say::cli::drill_lost(lost.join(", ")));
                }
                let last = self.session.actions();
                if let Some(caution) = last.last().and_then(practice::caution_for) {
                    let _ = write!(text, "\n  {}", say::cli::drill_mind(caution));
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
        let assessment = job::assess(&self.session.job_in_words());
        let text = match &assessment.next {
            Some(next) => format!("{}\n  {}\n", next.headline, next.why),
            None => format!("{} {}\n", assessment.summary, assessment.done_because),
        };
        self.say(&text)
    }

    /// Quit before the end: says how to come back.
    fn left(&self) -> Result<(), Failure> {
        let minutes = fixed(self.session.minutes(), 0);
        let left = match &self.keep {
            Some(path) => {
                self.save()?;
                say::cli::drill_left_kept(path.display().to_string(), minutes)
            }
            None => say::cli::drill_left(minutes),
        };
        self.say(&format!("{left}\n"))
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
            .map_err(|error| file_failure(Deed::Write, name, &error))
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
        .map_err(|error| file_failure(Deed::Read, say::cli::standard_input(), &error))?;
    bytes.truncate(LONGEST_LINE);
    Ok((read > 0).then(|| String::from_utf8_lossy(&bytes).into_owned()))
}

/// What a logger at the battery writes meanwhile.
struct Trace {
    name: Message,
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
                    .map_err(|error| file_failure(Deed::Write, name, &error))?,
            )
        };
        let mut trace = Self {
            name: if name == "-" {
                say::cli::standard_output()
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
                Err(file_failure(Deed::WriteTo, self.name.clone(), &error))
            }
            _ => Ok(()),
        }
    }
}

/// Every test as it is typed, and what it does.
fn help() -> String {
    let typed = |typed: &str| Message::plain(typed);
    [
        (typed("clamp ID"), say::cli::drill_clamp()),
        (typed("in-line"), say::cli::drill_in_line()),
        (typed("mv ID"), say::cli::drill_mv()),
        (typed("pull ID [ID]"), say::cli::drill_pull()),
        (typed("out ID [ID]"), say::cli::drill_out()),
        (typed("back ID [ID]"), say::cli::drill_back()),
        (typed("unplug ID"), say::cli::drill_unplug()),
        (typed("sleep"), say::cli::drill_sleep()),
        (say::cli::drill_wait_typed(), say::cli::drill_wait()),
        (typed("repair ID"), say::cli::drill_repair()),
        (
            typed(practice::REPAIR_OUTSIDE),
            say::cli::drill_repair_outside(),
        ),
        (say::cli::drill_a_number(), say::cli::drill_number()),
        (typed("list"), say::cli::drill_list()),
        (typed("clock"), say::cli::drill_clock()),
        (typed("advice"), say::cli::drill_advice()),
        (typed("done"), say::cli::drill_done()),
        (typed("quit"), say::cli::drill_quit()),
    ]
    .map(|(typed, what)| format!("  {typed:<14} {what}\n"))
    .concat()
}

/// The score as a person reads it.
fn page(score: &Score) -> String {
    let mut text = format!("\n{}\n", say::cli::drill_score());
    for (who, way) in [
        (say::cli::drill_you(), &score.yours),
        (say::cli::drill_planner(), &score.planner),
    ] {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {who:<8} {}", outcome(way));
    }
    if score.yours.solved && score.planner.solved && score.planner.minutes > 0.0 {
        let ratio = score.yours.minutes / score.planner.minutes;
        let _ = writeln!(text, "  {}", say::cli::drill_times(fixed(ratio, 1)));
    }
    let _ = writeln!(text, "\n{}", say::cli::drill_it_was());
    for fault in &score.truth {
        let _ = writeln!(text, "  {fault}");
    }
    let _ = writeln!(text, "\n{}", parted(score));
    if let Some(why) = score.parted.as_ref().map(|parted| &parted.why)
        && !why.is_empty()
    {
        let _ = writeln!(text, "  {why}");
    }
    let _ = writeln!(text, "\n{}", say::cli::drill_your_tests());
    for (at, step) in score.yours.steps.iter().enumerate() {
        let other = score.advice.get(at).and_then(Option::as_deref);
        let rather = other.map_or(String::new(), |other| {
            format!("   {}", say::cli::drill_rather(other))
        });
        let _ = writeln!(text, "{}{rather}", line(step));
    }
    let _ = writeln!(text, "\n{}", say::cli::drill_planner_tests());
    for step in &score.planner.steps {
        let _ = writeln!(text, "{}", line(step));
    }
    text
}

fn parted(score: &Score) -> Message {
    let Some(parted) = &score.parted else {
        return say::cli::drill_same_way();
    };
    let or_nothing = |typed: &str| {
        if typed.is_empty() {
            say::cli::drill_nothing_more()
        } else {
            practice::spoken(typed)
        }
    };
    say::cli::drill_parted(
        or_nothing(&parted.planner),
        parted.step.to_string(),
        or_nothing(&parted.yours),
    )
}

fn outcome(way: &Way) -> Message {
    let solved = if way.solved {
        say::cli::drill_solved()
    } else {
        say::cli::drill_unsolved()
    };
    let minutes = format!("{:>4.0}", way.minutes);
    let mut parts = vec![say::cli::drill_outcome(
        solved,
        figure(minutes),
        way.steps.len(),
    )];
    if way.woken > 0 {
        parts.push(say::cli::drill_woken(way.woken));
    }
    if !way.lost.is_empty() {
        parts.push(say::cli::drill_settings_lost(way.lost.join(", ")));
    }
    if !way.needless.is_empty() {
        let needless = Message::joined(way.needless.clone(), ", ");
        parts.push(say::cli::drill_needless(needless));
    }
    Message::joined(parts, ", ")
}

fn line(step: &Step) -> String {
    format!("  {:>5.0}  {}", step.clock_min, step.said)
}
