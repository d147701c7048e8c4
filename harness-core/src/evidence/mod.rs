//! What several rules show in the same way: words for things that no name tells alone, labels, paths and figures of one kind of fault.
//!
//! Owns wording that more than one rule uses and that needs a design; plain lists and plurals are in `wording`. States no finding of
//! its own: a rule begins one and gives it to a function of this room to be completed.

mod chain;

pub use chain::chain_name;
