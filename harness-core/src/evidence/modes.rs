//! In which modes something is so.

use crate::{
    facts::overfed::Overfed,
    model::{ModeId, Model},
    wording::{first, list, quoted},
};

/// ` in `drive` and `charge``, ` in every mode`; empty for no mode and for a design that names none.
#[must_use]
pub fn in_modes(model: &Model, modes: &[ModeId]) -> String {
    let named: Vec<String> = modes.iter().filter_map(|mode| model[*mode].name).map(|name| quoted(model.text(name))).collect();
    match named.len() {
        0 => String::new(),
        all if all == model.modes().len() => " in every mode".to_owned(),
        _ => format!(" in {}", list(&named)),
    }
}

/// Modes that a headline names.
const MOST_MODES: usize = 3;

/// ` in mode `shore``, where what feeds a conductor adds up in some modes and not in all; empty elsewhere.
#[must_use]
pub fn together_in(model: &Model, over: &Overfed) -> String {
    if over.modes.len() == model.modes().len() { String::new() } else { named(model, over) }
}

/// When what feeds a conductor is on at one time, as a figure: `in every mode`, `in mode `shore``; `None` where it is one thing, and
/// for a design that names no mode.
#[must_use]
pub fn at_one_time(model: &Model, over: &Overfed) -> Option<String> {
    let all = over.modes.len() == model.modes().len();
    let named = if all { in_modes(model, &over.modes) } else { named(model, over) };
    let when = named.trim_start().to_owned();
    let unstated: Vec<String> = over.unstated.iter().map(|element| quoted(model.element_name(*element))).collect();
    match (when.is_empty(), unstated.is_empty()) {
        (true, _) => None,
        (false, true) => Some(when),
        (false, false) => Some(format!("{when}; no mode has {} on, so it counts in each", list(&unstated))),
    }
}

fn named(model: &Model, over: &Overfed) -> String {
    let mut modes = over.modes.clone();
    modes.sort_by_key(|mode| model[*mode].span);
    let names: Vec<String> =
        modes.iter().filter_map(|mode| model[*mode].name).map(|name| quoted(model.text(name))).collect();
    match names.len() {
        0 => String::new(),
        1 => format!(" in mode {}", list(&names)),
        _ => format!(" in modes {}", first(&names, MOST_MODES)),
    }
}
