//! What Nightdraw says, in English and in German.
//!
//! A sentence is a [`Message`]: its name and its values, without a language.
//! Rooms that reason hand messages on; whoever shows them to a person writes
//! them down in that person's language. [`say`] has a function for every
//! message in `locales/en`, so a missing sentence or value does not compile;
//! a test holds that German says the same things with the same values and that
//! nothing is left over.
//!
//! Which language is spoken is a matter of the place where something is shown,
//! not of what is shown: [`speak`] and [`spoken`] set it for what runs inside
//! them, and English holds everywhere else. No I/O, no clock, no quantities.
//!
//! ```
//! use tongue::{Lang, say, speak};
//! let unknown = say::words::unknown();
//! assert_eq!(unknown.to_string(), "not known");
//! assert_eq!(speak(Lang::De, || unknown.to_string()), "nicht bekannt");
//! ```

mod bundle;
mod lang;
mod left;
mod message;
mod number;
mod wire;

include!(concat!(env!("OUT_DIR"), "/say.rs"));

pub use bundle::messages;
pub use lang::{Lang, speak, speaking, spoken};
pub use left::{english_in, english_words};
pub use message::{Arg, Count, Message};
pub use number::{amount, figure, fixed, number, percent};
