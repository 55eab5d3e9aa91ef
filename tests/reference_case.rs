//! Runs outside reference cases.
fn main() {}
