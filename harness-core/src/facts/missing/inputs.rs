//! Inputs that nothing holds in some mode, of which nobody says whether their box pulls them.

use super::MissingFact;
use crate::{
    facts::{Facts, floating_inputs::Floats},
    text::Span,
    wording::and_more,
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut unknown = facts.floating_inputs().iter().filter(|floating| !floating.is_certain).filter_map(|floating| {
        let Floats::In(mode) = floating.when else { return None };
        Some((floating.inputs.first()?.point, mode))
    });
    let Some((first, mode)) = unknown.next() else { return Vec::new() };
    let others: Vec<(Span, String)> = unknown.map(|(point, _)| (model[point].span, model.point_name(point))).collect();
    let (name, more) = (model.point_name(first), and_more(others.len(), "input"));
    let unchecked = format!(
        "whether `{name}`{more} has a level was not checked: in mode `{}` nothing drives it, and nothing says what its box does",
        model.mode_name(mode)
    );
    let remedy = "write `pull: up`, `down` or `none` at the pin, as the data sheet of its box says".to_owned();
    let fact = MissingFact::new(model[first].span, unchecked, "no `pull`", remedy, name);
    vec![MissingFact { others, ..fact }]
}
