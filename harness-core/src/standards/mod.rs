//! Published tables and formulas of the trade, each value once and with its source.
//!
//! Owns figures that standards, datasheets and workshop practice give, and the arithmetic that those same pages define.
//! Knows nothing of designs: the caller says what size, temperature or rating it asks about. A rule takes its limits from
//! here, so that a finding can name the page a limit was seen on and whether it was seen at all.

pub mod battery;
pub mod bonding;
pub mod bus;
pub mod capacity;
pub mod charging_inlet;
pub mod colour;
pub mod conductor;
pub mod contact;
mod current_table;
mod data;
pub mod drop;
pub mod fuse;
pub mod fuse_choice;
pub mod fuse_standard;
pub mod fuse_time;
pub mod grouping;
pub mod handling;
pub mod heat;
pub mod insulation;
pub mod interlock;
pub mod isolation;
pub mod made_for;
pub mod peak;
pub mod precharge;
pub mod rated;
pub mod reading;
pub mod ring_out;
pub mod route;
pub mod screen;
pub mod searching;
pub mod short_circuit;
mod source;
pub mod stud;
pub mod supply;
pub mod trade;
mod values;
pub mod voltage;

pub use source::{Source, Sourced, Status};
pub use values::{Value, values};
