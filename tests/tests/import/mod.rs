//! From lists to netlists.

mod cells;
mod dialects;
mod program;
