//! In which modes something is so.

use crate::{
    model::{ModeId, Model},
    wording::{list, quoted},
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
