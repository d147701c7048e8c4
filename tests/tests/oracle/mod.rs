//! Results against a second way to get them: brute force, a circuit simulator, readers and validators that are not ours.

mod dense;
mod diagnose;
mod exact;
mod going_live;
mod heat;
mod ideal;
mod openings;
mod recompute;
mod rows;
mod schema;
mod second_reader;
mod single_faults;
mod spice;
mod swaps;
