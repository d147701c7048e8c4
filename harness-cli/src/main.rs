//! The program `harness`.
fn main() {}
