//! Peaks of which nobody says how long they last, and peaks of wires in which nothing is known to flow.

use super::MissingFact;
use crate::{
    electrical::fuses::fuse::{curve_of, kind_of},
    facts::{Facts, peaks::PeakFlow},
    model::ElementId,
    network::EdgeId,
    quantity::Ampere,
    wording::list_of_first,
};
use std::collections::BTreeMap;

/// Fuses and contacts that are named.
const SHOWN: usize = 3;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    // What a peak is above the rating of.
    let mut above: BTreeMap<EdgeId, (PeakFlow, Vec<String>)> = BTreeMap::new();
    let mut note = |edge: EdgeId, rating: Ampere, name: String| {
        let untimed = facts.peaks().through(edge).iter().filter(|flow| flow.peak.value.lasts.is_none() && flow.amps > rating);
        for flow in untimed {
            let (_, names) = above.entry(flow.of).or_insert_with(|| (*flow, Vec::new()));
            if names.last() != Some(&name) {
                names.push(name.clone());
            }
        }
    };
    for (edge, item) in network.edges() {
        let rating = |element: ElementId| kind_of(model, element)?.rating.map(|rating| rating.value);
        let Some(element) = item.element() else { continue };
        if let Some(rating) = rating(element) {
            note(edge, rating, format!("fuse `{}`", model.element_name(element)));
        }
    }
    for rated in facts.rated_currents() {
        if let Some(edge) = rated.edge() {
            note(edge, rated.rated.value, format!("{} `{}`", rated.what, rated.of.name(model)));
        }
    }
    for load in facts.contact_loads() {
        if let Some(rating) = load.rating {
            note(load.edge, rating.amps, format!("contact `{}`", model.point_name(load.cavity)));
        }
    }
    let unknown = unknown_times(facts);
    let giver = |edge: EdgeId| match (network[edge].wire(), network[edge].element()) {
        (Some(wire), _) => model.wire_name(wire),
        (None, Some(element)) => model.element_name(element),
        (None, None) => String::new(),
    };
    let mut found = unknown;
    for (edge, (flow, mut names)) in above {
        names.dedup();
        let name = giver(edge);
        let peak = flow.peak.value.current;
        let unchecked = format!(
            "the peak of `{name}`, {peak}, was not compared with {}: nothing says how long it lasts",
            list_of_first(&names, SHOWN, 0)
        );
        let remedy = format!("add its time, as `peak: {peak} for 200 ms`");
        found.push(MissingFact::new(flow.peak.span, unchecked, "how long?", remedy, name));
    }
    for edge in &facts.peaks().unfollowed {
        let Some(wire) = network[*edge].wire() else { continue };
        let (name, Some(peak)) = (model.wire_name(wire), model[wire].peak) else { continue };
        let unchecked = format!("the peak of wire `{name}` was not followed to fuses and contacts: no current of it is known");
        let remedy = "add `current`, what it carries for long, or draw what it feeds".to_owned();
        found.push(MissingFact::new(peak.span, unchecked, "no `current`", remedy, name));
    }
    found
}

/// Fuses that a peak takes above their rating and of which nothing says how long they hold that.
fn unknown_times(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let one = |edge: EdgeId, element: ElementId| {
        let kind = kind_of(model, element)?;
        let rating = kind.rating?;
        let curve = curve_of(model, kind);
        let flow = facts.peaks().through(edge).iter().find(|flow| {
            let holds = curve.as_ref().map(|curve| curve.opening(flow.amps));
            let is_open = holds.is_none_or(|holds| {
                holds.fastest.is_none() && holds.slowest.is_none_or(|last| Some(last.time) > flow.peak.value.lasts)
            });
            flow.peak.value.lasts.is_some() && flow.amps > rating.value && is_open
        })?;
        let name = model.element_name(element);
        let unchecked = format!(
            "whether fuse `{name}` holds {} was not checked: nothing says how long it carries {}, rated {}",
            flow.peak.value.in_words(),
            flow.amps,
            rating.value
        );
        let remedy = "add `gates` with `holds`, or `melting`, from the data sheet of the fuse".to_owned();
        Some(MissingFact::new(model[element].value_span, unchecked, "no operating times", remedy, name))
    };
    network.edges().filter_map(|(edge, item)| one(edge, item.element()?)).collect()
}
