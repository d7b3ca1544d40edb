//! WIP
fn main() {}
