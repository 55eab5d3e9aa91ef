//! Cost of one year.
fn main() {}
