//! What several rules show in the same way: words for things that a name alone does not describe, labels, paths and figures of one kind of fault.
//!
//! Owns wording that more than one rule uses and that needs a design; plain lists and plurals are in `wording`. States no finding of
//! its own: a rule begins one and gives it to a function of this room to be completed. `remedies` are the changes of the text that rules propose.

pub mod additions;
mod battery;
mod beside;
mod charging;
pub mod cores;
mod domain;
pub mod face_map;
pub mod inlets;
mod joint;
mod larger;
mod loser;
mod mated_pair;
mod meeting;
mod modes;
mod moved_here;
mod names;
pub mod other_kinds;
pub mod plug_swaps;
pub mod plugs;
mod pole_swap;
pub mod remedies;
mod rings;
mod spare_core;
mod string;
mod supply_cut;
pub mod swap_causes;
mod swaps;

pub use battery::assumed_battery;
pub use beside::{apart_from_others, assumptions, beside, capacity_here, current_source};
pub use charging::charging;
pub use domain::{class_figure, domain_figure, domain_words, nominal_words};
pub use joint::at_joint;
pub use larger::{larger_wire, larger_wires, too_small};
pub use loser::{Loser, loser};
pub use mated_pair::{mated_pair, mating_remedies};
pub use meeting::{cavity_name, instruction, meeting};
pub use modes::{at_one_time, in_modes, together_in};
pub use moved_here::moved_here;
pub use names::{few_names, labels_in_words, names_in_words};
pub use pole_swap::{crossed_poles, poles_swapped, sides_swapped};
pub use rings::round_of;
pub use spare_core::earth as spare_earth_core;
pub use string::string_name;
pub use supply_cut::{blame, supply_cut};
