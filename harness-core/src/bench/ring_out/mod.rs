//! The ring-out of a bare loom: which readings prove it, what each must be, which slip each finds, and what measured readings say.
//!
//! Owns the loom as a small network of its own, nothing mated. Its rooms: `loom` takes it from the design, `bare` and `state` are the loom sound and
//! with slips, `piece` and `resistance` what a meter shows, `plan` and `order` the readings, `slip` what hands do wrong, `coverage` the proof that
//! the plan finds it, `lamp_board` many points at once, `insulation` what is asked of class B, `compare` what is wrong by the readings.

mod bare;
mod compare;
mod coverage;
mod loom;
mod meter;
mod order;
mod piece;
mod plan;
mod resistance;
mod slip;
mod state;

#[cfg(test)]
mod tests;
