//! A stream of lines becomes samples and a running verdict.
//!
//! [`LineSource`] is fed bytes as they arrive and cuts, understands and keeps them with the parts
//! of the batch reader, so that a stream and the same bytes in a file give the same samples.
//! [`Watch`] is fed those samples and says at any moment what the vehicle is doing, as [`trace::analyse`] of the record so far has it, and what has
//! changed. [`Session`] puts both together and words it; its [`Tip`] goes to whoever shows it. Neither reads a socket, starts a thread or asks the time: whoever feeds them says when
//! bytes arrived and what time it is.

mod cutter;
mod pace;
mod packed;
mod part;
mod session;
mod source;
mod tip;
mod verdict;
mod watch;
mod window;

pub use packed::Packed;
pub use session::{Amount, Said, Session, options_from_text, options_to_text};
pub use source::{Event, LineSource, Sample};
pub use tip::{SPARK_COLUMNS, SPARK_S, Stepped, Tip};
pub use verdict::{Change, Level, State, Step, Verdict};
pub use watch::{STALL_S, Watch};
