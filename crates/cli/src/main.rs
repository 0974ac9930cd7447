//! The `crossgrain` command.
fn main() {}
