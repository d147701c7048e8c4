//! Contacts of which nothing says when they are closed, or that they are never closed together.

use super::MissingFact;
use crate::{
    electrical::alternatives::Taken,
    facts::Facts,
    model::{ElementId, ModeSet},
    wording::{commas, list, quoted},
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let mut found = unstated(facts);
    found.extend(by_modes_alone(facts));
    found
}

/// Selectors of which nothing says in which position they are.
fn unstated(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let selectors = model.selectors().filter(|(_, selector)| selector.unstated != ModeSet::NONE);
    let one = |selector: &crate::model::Selector| {
        let name = format!("{}.{}", model.owner_name(selector.owner), model.text(selector.name));
        let modes = model.modes().filter(|(mode, item)| item.name.is_some() && selector.unstated.has(*mode));
        let modes: Vec<String> = modes.map(|(mode, _)| quoted(model.mode_name(mode))).collect();
        let during = if modes.is_empty() { String::new() } else { format!(" in {}", list(&modes)) };
        let missing = format!("the position of `{name}`{during} is not stated: its contacts are assumed open");
        let remedy = "state its position in each mode with `at`, or in all other modes with `rest`".to_owned();
        MissingFact::new(selector.span, missing, "position not stated", remedy, name)
    };
    selectors.map(|(_, selector)| one(selector)).collect()
}

/// Pairs of contacts that would short a source and of which only the modes say that they are never closed together; one note a source.
fn by_modes_alone(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let mut taken: Vec<&Taken> = facts.electrical().alternatives().taken().iter().filter(|taken| taken.by_modes).collect();
    taken.sort_by_key(|taken| taken.source);
    let groups = taken.chunk_by(|one, other| one.source == other.source);
    let one = |group: &[&Taken]| {
        let first = group.first()?;
        let elements: Vec<ElementId> = first.contacts.iter().filter_map(|edge| network[*edge].element()).collect();
        let names: Vec<String> = elements.iter().map(|element| quoted(model.element_name(*element))).collect();
        let more = match group.len() - 1 {
            0 => String::new(),
            1 => " (and 1 more such pair)".to_owned(),
            more => format!(" (and {more} more such pairs)"),
        };
        let unchecked = format!(
            "{}{more} are assumed never to be closed together, because no mode closes both: together they short `{}`",
            list(&names),
            model.element_name(first.source)
        );
        let short: Vec<&str> = elements.iter().map(|element| model.text(model[*element].name)).collect();
        let remedy = format!("state `exclusive: [{}]` if something prevents it; else fit an interlock", commas(&short));
        let element = *elements.first()?;
        let place = model[element].value_span;
        Some(MissingFact::new(place, unchecked, "not stated as exclusive", remedy, model.element_name(element)))
    };
    groups.filter_map(one).collect()
}
