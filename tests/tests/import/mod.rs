//! From lists to netlists.

mod cells;
