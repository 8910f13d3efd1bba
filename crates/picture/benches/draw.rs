//! Drawing times; filled in below.
fn main() { divan::main(); }
