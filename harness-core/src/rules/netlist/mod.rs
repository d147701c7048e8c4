//! Whether everything that must be joined is joined, and nothing else.

pub(super) mod unconnected_pin;
