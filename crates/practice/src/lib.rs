//! Rehearsals: a whole job worked on a virtual vehicle against the clock, and
//! its score against the planner on the same vehicle.
//!
//! A rehearsal is an ordinary job that says so: it is invented, and its
//! `rehearsal` names the vehicle by seed. What was done is what its entries
//! tell, and everything else (the clock included) follows from them by doing
//! it again. So a rehearsal can be left, kept, carried elsewhere and taken up
//! like any job, and the same entries always make the same score.

mod command;
mod entries;
mod score;
mod session;
mod setup;
mod told;

pub use command::{CommandError, REPAIR_OUTSIDE, Test, caution_for, command, spoken, tests, words};
pub use score::{Parted, Path, Score, Step, done_so_far, score, score_document};
pub use session::{Done, PracticeError, Session};
pub use setup::{Level, Setup, SetupError, reach_word};
