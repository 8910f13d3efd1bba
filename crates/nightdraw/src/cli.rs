//! What can be typed. Help, completions and the manual page come from here.

mod battery;
mod log;
mod practice;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use measure::{
    How,
    quantity::{Ampere, Celsius, Ohm, Second},
};

pub(crate) use battery::{BalanceArguments, LabelArguments, ParkArguments};
pub(crate) use log::{ListenArguments, LogFormat, LogHow, NoSpeed, ReadArguments};
pub(crate) use practice::{HistoryArguments, HistoryCommand, RehearseArguments};

/// Finds out why a parked vehicle's 12 V battery goes flat, without disconnecting it.
///
/// Take readings as you always do, with a multimeter, a low-range clamp or a
/// meter that logs, and let Nightdraw do the arithmetic: how much it draws once
/// asleep, whether that explains the complaint, which circuit it is, and what
/// to test next. Without a command it opens the bench page.
#[derive(Debug, Parser)]
#[command(name = "nightdraw", version, after_help = FIRST_STEPS)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
    /// Language of what people read; otherwise that of the terminal, English if it is
    /// none of these. JSON, the words typed and this help stay English
    #[arg(long, global = true, value_enum)]
    pub(crate) lang: Option<LangArgument>,
}

const FIRST_STEPS: &str = "\
First steps:
  nightdraw                                    open the bench page; the demo job is one tap away
  nightdraw read night.csv                     what a logged night says
  LOGGER | nightdraw listen -                  the same while it is being logged
  nightdraw park --capacity 60Ah --charge 85% --draw 420mA --temperature 5C
                                               how long it can stand
  nightdraw assess job.toml                    everything Nightdraw makes of one job

Amounts carry their unit: 60Ah, 420mA, 0.42A, -5C, 23F, 12.4V, 90min, 85%.
Exit codes: 0 done; 1 the input is bad or insufficient; 2 wrong usage.";

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Read one log of current against time: levels, sleep, settled draw, average
    Read(ReadArguments),
    /// Watch a log while it is being written: steps, sleep, verdict as they happen
    Listen(ListenArguments),
    /// Everything Nightdraw makes of one job
    Assess(AssessArguments),
    /// How long a battery can stand before the engine no longer cranks
    Park(ParkArguments),
    /// Whether a week of driving makes up for a week of standing
    Balance(BalanceArguments),
    /// How to connect an instrument: steps, error, what it does to the supply
    Hookup(HookupArguments),
    /// Keep jobs: new, list, show, add, strike, export, import
    Job(JobArguments),
    /// Write the report of a job: one file, the owner's page first
    Report(ReportArguments),
    /// What finished jobs taught: show, export, forget
    History(HistoryArguments),
    /// Practise a whole job on an invented vehicle, against the clock
    Rehearse(RehearseArguments),
    /// Open the bench page in the browser
    Open(OpenArguments),
    /// Print a completion script for your shell
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page (roff; pipe it into `man -l -`)
    Manual,
}

impl Default for Command {
    fn default() -> Self {
        Self::Open(OpenArguments::default())
    }
}

impl Cli {
    /// Whether the answer, an error included, is wanted as JSON.
    pub(crate) fn wants_json(&self) -> bool {
        match &self.command {
            Some(Command::Read(arguments)) => arguments.json,
            Some(Command::Listen(arguments)) => arguments.json,
            Some(Command::Assess(arguments)) => arguments.json,
            Some(Command::Park(arguments)) => arguments.json,
            Some(Command::Balance(arguments)) => arguments.json,
            Some(Command::Hookup(arguments)) => arguments.json,
            Some(Command::Job(arguments)) => arguments.json,
            Some(Command::History(arguments)) => arguments.json,
            Some(Command::Rehearse(arguments)) => arguments.json,
            _ => false,
        }
    }
}

/// Everything Nightdraw makes of one job.
#[derive(Debug, Args)]
pub(crate) struct AssessArguments {
    /// A job file, or the number of a kept job
    pub(crate) job: String,
    /// Only culprits, done, next and total, for programs that drive an isolation
    #[arg(long)]
    pub(crate) next_only: bool,
    /// Leave out what other finished jobs taught
    #[arg(long)]
    pub(crate) without_history: bool,
    /// Write one JSON document to stdout
    #[arg(long)]
    pub(crate) json: bool,
    /// Folder of the kept jobs; for a job file also that of the history, else none is used
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// How to connect an instrument.
///
/// Gives the steps in order, with the caution of each and what feeds the
/// vehicle meanwhile; the error to expect and what it is made of; what a
/// forgotten bypass lead does to the reading; the voltage the vehicle loses; and
/// what a waking vehicle does to the meter's fuse.
#[derive(Debug, Args)]
pub(crate) struct HookupArguments {
    /// How the current is read: clamp, in-line, millivolt, shunt
    #[arg(long)]
    pub(crate) how: How,
    /// Class (clamp-low, clamp-high, dmm-10A, dmm-10A-fine, dmm-400mA, dmm-mV, dmm-mV-fine) or accuracy such as 2%+5@1mA
    #[arg(long, value_name = "CLASS|ACCURACY")]
    pub(crate) instrument: Option<String>,
    /// The draw expected
    #[arg(
        long,
        value_name = "CURRENT",
        default_value = "400mA",
        allow_hyphen_values = true
    )]
    pub(crate) draw: Ampere,
    /// What the vehicle draws when something wakes it
    #[arg(
        long,
        value_name = "CURRENT",
        default_value = "5A",
        allow_hyphen_values = true
    )]
    pub(crate) wake_up: Ampere,
    /// Rating of the fuse whose millivolts are read
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) fuse: Option<Ampere>,
    /// Family of that fuse: blade, mini, low-profile-mini, micro2, micro3, maxi, cartridge
    #[arg(long, value_name = "FAMILY")]
    pub(crate) fuse_family: Option<harness::fuse::FuseFamily>,
    /// Resistance of the shunt
    #[arg(long, value_name = "RESISTANCE", allow_hyphen_values = true)]
    pub(crate) shunt: Option<Ohm>,
    /// Negative cables that are clamped one after the other
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=12))]
    pub(crate) cables: u32,
    /// Rating of the meter's own fuse; otherwise the range of its input
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) meter_fuse: Option<Ampere>,
    /// Melting integral (I²t) of that fuse in A²s, from its maker
    #[arg(
        long,
        value_name = "A²s",
        requires = "meter_fuse",
        allow_hyphen_values = true
    )]
    pub(crate) melting: Option<f64>,
    /// Rating of the fuse in the bypass lead; otherwise 15 A
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) bypass_fuse: Option<Ampere>,
    /// Supply meant to keep the settings: dry-9v, dry-12v, gel-7ah, car-battery
    #[arg(long, value_name = "SUPPLY")]
    pub(crate) keeper: Option<String>,
    /// The work is on airbag circuits
    #[arg(long)]
    pub(crate) airbag_work: bool,
    /// Write one JSON document to stdout
    #[arg(long)]
    pub(crate) json: bool,
}

/// Keep jobs in the embedded database.
#[derive(Debug, Args)]
pub(crate) struct JobArguments {
    #[command(subcommand)]
    pub(crate) command: JobCommand,
    /// Folder of the kept jobs; otherwise the platform's data folder
    #[arg(long, value_name = "DIR", global = true)]
    pub(crate) data: Option<PathBuf>,
    /// Write one JSON document to stdout
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum JobCommand {
    /// Start a job
    New(Box<NewJobArguments>),
    /// All jobs, one a line
    List,
    /// One job: where it stands, and its entries
    Show {
        /// Number of the job
        job: i64,
    },
    /// Add one entry: what was seen or done
    ///
    /// Fields are those of job files, as NAME=VALUE:
    ///   nightdraw job add 3 draw node=battery how=clamp value=412mA asleep=true
    ///   nightdraw job add 3 draw node=F12 how=millivolt value=2.1mV asleep=true
    ///   nightdraw job add 3 pull nodes=F3,F4 before=412mA after=24mA
    ///   nightdraw job add 3 rest-voltage value=12.31V rested=8h temperature=10C
    ///   nightdraw job add 3 trace file=night.csv node=battery
    #[command(verbatim_doc_comment)]
    Add {
        /// Number of the job
        job: i64,
        /// Kind: draw, pull, refit, unplug, rest-voltage, analyser, load-test, stand-alone, resistance, gravity, drop, charging, trace, repair, note
        kind: String,
        /// Fields, as NAME=VALUE
        #[arg(value_name = "NAME=VALUE")]
        fields: Vec<String>,
        /// When it was seen; otherwise now
        #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
        at: Option<jiff::Timestamp>,
    },
    /// Strike out an entry; striking a strike brings it back
    Strike {
        /// Number of the job
        job: i64,
        /// Number of the entry, from 1
        entry: usize,
    },
    /// Add fuses, or say more of those that are there; readings stay where they were taken
    ///
    /// The list is text as for a new job, or a table with a header such as
    /// name,rating,circuit,keeps-settings,location,reachable. A heading that
    /// names a cable or box of the job hangs its fuses there.
    Fuses {
        /// Number of the job
        job: i64,
        /// The list, or - for standard input
        file: String,
    },
    /// Start a new job on the vehicle of an old one
    Copy {
        /// Number of the old job
        job: i64,
        /// Name of the vehicle; otherwise the old one
        #[arg(long, value_name = "TEXT")]
        name: Option<String>,
    },
    /// Write a job file
    Export {
        /// Number of the job
        job: i64,
        /// Where to; otherwise stdout
        #[arg(long, short, value_name = "FILE")]
        output: Option<PathBuf>,
    },
    /// Keep the job in a job file, as a new job
    Import {
        /// The job file
        file: PathBuf,
    },
}

/// Start a job.
#[derive(Debug, Args)]
pub(crate) struct NewJobArguments {
    /// Name of the vehicle, in your words
    pub(crate) name: String,
    #[command(flatten)]
    pub(crate) label: LabelArguments,
    /// Age of the battery, years
    #[arg(long, value_name = "YEARS", allow_hyphen_values = true)]
    pub(crate) age: Option<f64>,
    /// Trips in a usual week
    #[arg(long, value_name = "N", requires = "trip", allow_hyphen_values = true)]
    pub(crate) trips: Option<f64>,
    /// Length of a usual trip
    #[arg(
        long,
        value_name = "TIME",
        requires = "trips",
        allow_hyphen_values = true
    )]
    pub(crate) trip: Option<Second>,
    /// Parked time until it would not crank
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub(crate) no_start_after: Option<Second>,
    /// Temperature while parked
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) temperature: Option<Celsius>,
    /// What the owner says
    #[arg(long, value_name = "TEXT")]
    pub(crate) complaint: Option<String>,
    /// Limit for the settled draw; otherwise the common 50 mA
    #[arg(long, value_name = "CURRENT", allow_hyphen_values = true)]
    pub(crate) limit: Option<Ampere>,
    /// Fuse list as text, one fuse a line ("F12 15A radio"), or - for standard input
    #[arg(long, value_name = "FILE")]
    pub(crate) fuses: Option<String>,
}

/// Write the report of a job.
#[derive(Debug, Args)]
pub(crate) struct ReportArguments {
    /// A job file, or the number of a kept job
    pub(crate) job: String,
    /// Where the HTML file goes; otherwise, without --pdf, to stdout
    #[arg(long, short, value_name = "OUT.html")]
    pub(crate) output: Option<PathBuf>,
    /// Write a PDF file there
    #[arg(long, value_name = "OUT.pdf")]
    pub(crate) pdf: Option<PathBuf>,
    /// Sheet of paper for the PDF file
    #[arg(long, value_enum, default_value_t)]
    pub(crate) paper: PaperArgument,
    /// Put the owner's name and the plate in
    #[arg(long)]
    pub(crate) with_owner: bool,
    /// Leave out what other finished jobs taught
    #[arg(long)]
    pub(crate) without_history: bool,
    /// Folder of the kept jobs
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// A sheet of paper.
#[derive(Debug, Clone, Copy, Default, clap::ValueEnum)]
pub(crate) enum PaperArgument {
    /// 210 mm × 297 mm
    #[default]
    A4,
    /// 8.5 in × 11 in
    Letter,
}

/// A language.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub(crate) enum LangArgument {
    /// English
    En,
    /// German
    De,
}

/// Open the bench page.
#[derive(Debug, Args, Default)]
pub(crate) struct OpenArguments {
    /// Folder for the database; otherwise the platform's data folder
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
    /// Port to listen on; otherwise a usual one that is free
    #[arg(long, value_name = "N")]
    pub(crate) port: Option<u16>,
    /// Also answer other devices on the workshop's network
    #[arg(long)]
    pub(crate) lan: bool,
    /// Do not start a browser
    #[arg(long)]
    pub(crate) no_browser: bool,
}
