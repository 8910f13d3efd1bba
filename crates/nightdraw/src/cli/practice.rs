//! What `nightdraw history` and `nightdraw rehearse` are told.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use rehearsal::fleet::Reach;

/// What finished jobs taught.
///
/// A job is finished when a repair is entered and the total, read again after
/// it, is within its limit. The circuit that was repaired then counts for its
/// kind, for its label and for the size of its fault. Reopening the job (by
/// striking the repair or the reading) takes that back; invented jobs teach
/// nothing. Nothing of this leaves the machine.
#[derive(Debug, Args)]
pub(crate) struct HistoryArguments {
    #[command(subcommand)]
    pub(crate) command: Option<HistoryCommand>,
    /// Folder of the kept jobs; otherwise the platform's data folder
    #[arg(long, value_name = "DIR", global = true)]
    pub(crate) data: Option<PathBuf>,
    /// Write one JSON document to stdout
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum HistoryCommand {
    /// What was learned, and from which jobs
    Show,
    /// The counts as JSON, without any vehicle's or owner's name
    Export {
        /// Where to; otherwise stdout
        #[arg(long, short, value_name = "FILE")]
        output: Option<PathBuf>,
    },
    /// Leave out what these jobs taught
    Forget {
        /// Numbers of the jobs
        #[arg(required_unless_present = "all")]
        jobs: Vec<i64>,
        /// Everything learned so far
        #[arg(long, conflicts_with = "jobs")]
        all: bool,
    },
    /// Count these jobs again
    Remember {
        /// Numbers of the jobs
        #[arg(required_unless_present = "all")]
        jobs: Vec<i64>,
        /// All that were forgotten
        #[arg(long, conflicts_with = "jobs")]
        all: bool,
    },
    /// Use no history on this bench, for any job
    Off,
    /// Use it again
    On,
}

/// How many fuses can be read by millivolts in their place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ReachArgument {
    /// All of them
    All,
    /// Each with an even chance
    Half,
    /// None
    None,
}

impl From<ReachArgument> for Reach {
    fn from(reach: ReachArgument) -> Self {
        match reach {
            ReachArgument::All => Self::All,
            ReachArgument::Half => Self::Half,
            ReachArgument::None => Self::None,
        }
    }
}

/// How nasty the faults are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum LevelArgument {
    /// One fault that draws all the time
    Plain,
    /// Sometimes two, in the wiring, coming and going, waking the network
    Full,
}

impl From<LevelArgument> for practice::Level {
    fn from(level: LevelArgument) -> Self {
        match level {
            LevelArgument::Plain => Self::Plain,
            LevelArgument::Full => Self::Full,
        }
    }
}

/// Practise a whole job on an invented vehicle, against the clock.
///
/// You choose the tests, the virtual vehicle answers as a real one would, and
/// every test costs its minutes: the way to it, the wait for sleep when it woke
/// the vehicle. At the end your minutes stand beside the planner's on the same
/// vehicle, and where your paths parted. Tests are typed (clamp cabin-box,
/// mv F12, pull F3 F4, unplug F7, sleep, wait 10, repair F12, repair outside for
/// what is wired past the fuses) or chosen by
/// number from the list; they are read from standard input, so a script can
/// practise too.
#[derive(Debug, Args)]
pub(crate) struct RehearseArguments {
    /// Which vehicle: the same number is always the same one; otherwise one of the day
    #[arg(long, value_name = "N", conflicts_with = "resume")]
    pub(crate) seed: Option<u64>,
    /// Kind of vehicle: small, car, large, van; otherwise drawn
    #[arg(long, value_name = "KIND", conflicts_with = "resume")]
    pub(crate) vehicle: Option<String>,
    /// How many fuses can be read by millivolts in their place
    #[arg(long, value_enum, default_value_t = ReachArgument::Half, conflicts_with = "resume")]
    pub(crate) reach: ReachArgument,
    /// How nasty the faults are
    #[arg(long, value_enum, default_value_t = LevelArgument::Plain, conflicts_with = "resume")]
    pub(crate) level: LevelArgument,
    /// The invented owner agrees that stored settings may be lost
    #[arg(long, conflicts_with = "resume")]
    pub(crate) settings_may_be_lost: bool,
    /// Keep the rehearsal in this job file after each test
    #[arg(long, value_name = "FILE")]
    pub(crate) save: Option<PathBuf>,
    /// Go on with a rehearsal that was kept; it is kept there again
    #[arg(long, value_name = "FILE")]
    pub(crate) resume: Option<PathBuf>,
    /// Write what a logger at the battery would write, from locking on; - for stdout
    #[arg(long, value_name = "FILE")]
    pub(crate) trace: Option<String>,
    /// Write the score as one JSON document to stdout; words go to stderr
    #[arg(long)]
    pub(crate) json: bool,
}
