//! The papers of the bench as data: what is cut, pinned, bought, labelled, rung out, brought to life and searched for.
//!
//! Owns everything that hands do with a checked design, as typed tables: each file of this room gives one paper, with its units, its sources
//! and what it does not know. Lays nothing out, and judges nothing that a rule judges. Every figure is computed from the design that was
//! checked, in the state in which it is read.

pub mod diagnose;
mod identity;

pub use identity::Identity;
