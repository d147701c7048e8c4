//! In which modes something is so.

use crate::{
    facts::overfed::Overfed,
    model::{ElementId, ModeId, Model},
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

/// ` in mode `shore``, where what feeds a conductor adds up in some modes and not in all; empty elsewhere, and where it needs what no
/// mode has on.
#[must_use]
pub fn together_in(model: &Model, over: &Overfed) -> String {
    if over.modes.len() == model.modes().len() || !over.unstated.is_empty() { String::new() } else { named(model, over) }
}

/// When what feeds a conductor is on at one time, as a figure: `in every mode`, `in mode `shore``; `None` where it is one thing, and
/// for a design that names no mode.
#[must_use]
pub fn at_one_time(model: &Model, over: &Overfed) -> Option<String> {
    let all = over.modes.len() == model.modes().len();
    let named = if all { in_modes(model, &over.modes) } else { named(model, over) };
    let when = named.trim_start().to_owned();
    let no_mode: Vec<String> = over.unstated.iter().map(|element| unstated(model, over, *element)).collect();
    match (when.is_empty(), no_mode.is_empty()) {
        (true, _) => None,
        (false, true) => Some(when),
        (false, false) => Some(format!("{}, so it counts in every mode", list(&no_mode))),
    }
}

/// What no mode says of an element.
fn unstated(model: &Model, over: &Overfed, element: ElementId) -> String {
    let is_fuse = over.by.iter().any(|feeder| feeder.is_fuse && feeder.element == element);
    let (name, kind) = (quoted(model.element_name(element)), &model[element].kind);
    match kind.throw() {
        Some(_) => format!("no mode has {name} in the position that joins them"),
        None if kind.drives() => format!("no mode has {name} on"),
        None if is_fuse => format!("no mode feeds {name}"),
        None => format!("no mode closes {name}"),
    }
}

fn named(model: &Model, over: &Overfed) -> String {
    let mut modes = over.modes.clone();
    modes.sort_by_key(|mode| model[*mode].span);
    let names: Vec<String> = modes.iter().filter_map(|mode| model[*mode].name).map(|name| quoted(model.text(name))).collect();
    match names.len() {
        0 => String::new(),
        1 => format!(" in mode {}", list(&names)),
        _ => format!(" in modes {}", first(&names, MOST_MODES)),
    }
}
