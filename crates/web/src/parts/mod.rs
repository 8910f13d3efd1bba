//! The parts that pages are built of. Each takes plain values and returns markup.

pub(crate) mod ahead;
pub(crate) mod causes;
pub(crate) mod circuits;
pub(crate) mod entries;
pub(crate) mod field;
pub(crate) mod layout;
pub(crate) mod live;
pub(crate) mod readings;
pub(crate) mod scope;
pub(crate) mod standing;
pub(crate) mod step;
