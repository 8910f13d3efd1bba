//! The habits of the house.

fn main() {}
