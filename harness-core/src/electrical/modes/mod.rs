//! The operating state of a design in each of its modes.
//!
//! `branches` turns a design in one mode into a circuit whose nodes are the network's points and whose branches are its edges,
//! number for number; `state` is what flows in it, `joints` what is joined then; `latched` are second states, in which relays stay in;
//! `adapting` are converters that give what their source allows;
//! `charge` is what flows while batteries on charge are flat and while they are full.

pub(super) mod adapting;
pub(super) mod branches;
pub(super) mod charge;
mod joints;
pub(super) mod latched;
pub(super) mod state;

pub use charge::{AlwaysOn, Charge, Restless, Unlimited};
pub(super) use joints::is_exact;
pub use latched::{HeldBy, Latched, LatchedCoil};
pub use state::{Charged, ModeState, Swing};
