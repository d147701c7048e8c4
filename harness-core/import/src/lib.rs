//! Makes netlists of wire lists.

pub mod cell;
