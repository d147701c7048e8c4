//! Facts without which currents are not known, or rest on an assumption.

use super::{MissingFact, idle};
use crate::{
    electrical::ModeState,
    facts::Facts,
    model::{Element, ElementKind, Model},
    network::{EdgeId, EdgeKind},
    standards::contact,
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut findings = Vec::new();
    if model.elements().any(|(_, element)| element.kind.is_source()) {
        findings.extend(facts.electrical().modes().filter_map(|mode| unsettled(facts, mode)));
        findings.extend(facts.electrical().modes().filter_map(|mode| restless(facts, mode)));
        findings.extend(assumed(model));
        findings.extend(nameless_loads(facts));
        findings.extend(groundless(facts));
        findings.extend(idle::missing(facts));
    } else {
        findings.extend(no_source(model));
    }
    findings
}

/// One note for a design in which nothing can flow, instead of one for each load.
fn no_source(model: &Model) -> Option<MissingFact> {
    let (_, wire) = model.wires().next()?;
    let loom = &model[wire.loom];
    Some(MissingFact::new(
        loom.span,
        "currents, fuses and loads were not checked: the design has no source".to_owned(),
        "nothing feeds this loom",
        "add the battery or supply as a device with a `source` inside".to_owned(),
        // The whole design is concerned; the first loom only lends the place.
        "design".to_owned(),
    ))
}

fn unsettled(facts: &Facts, mode: &ModeState) -> Option<MissingFact> {
    let model = facts.model();
    let mode_name = model.mode_name(mode.id);
    let named = |edges: &[EdgeId]| {
        let mut names: Vec<String> = edges
            .iter()
            .filter_map(|edge| match facts.network()[*edge].kind {
                EdgeKind::Element(element) => Some(format!("`{}`", model.element_name(element))),
                EdgeKind::Wire(wire) => Some(format!("`{}`", model.wire_name(wire))),
                EdgeKind::Screen(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) => None,
            })
            .collect();
        names.dedup();
        names.truncate(6);
        names.join(", ")
    };
    let Some(first) = mode.unsettled.first().or(mode.refused.first()) else {
        return if mode.is_exact() { None } else { inexact(facts, mode) };
    };
    let edge = &facts.network()[*first];
    let span = match edge.kind {
        EdgeKind::Element(element) => model[element].span,
        EdgeKind::Wire(wire) => model[wire].span,
        EdgeKind::Screen(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) => model[edge.a].span,
    };
    let (headline, label, help) = if mode.unsettled.is_empty() {
        (
            format!("mode `{mode_name}` was computed without {}", named(&mode.refused)),
            "a value that cannot be used in a calculation",
            "give it a value above zero, between two different points",
        )
    } else {
        (
            format!("mode `{mode_name}` could not be solved: {} keeps changing", named(&mode.unsettled)),
            "depends on its own effect",
            "look for a relay that cuts its own coil, or a load that pulls its supply down",
        )
    };
    Some(MissingFact::new(span, headline, label, help.to_owned(), mode_name.to_owned()))
}

/// What lends its place to a fault of a whole mode: the first source, else the first converter.
fn driver(model: &Model) -> Option<&Element> {
    let first =
        |which: fn(&ElementKind) -> bool| model.elements().map(|(_, element)| element).find(|element| which(&element.kind));
    first(ElementKind::is_source).or_else(|| first(ElementKind::drives))
}

/// A mode in which currents and temperatures keep pushing each other about.
fn restless(facts: &Facts, mode: &ModeState) -> Option<MissingFact> {
    if mode.at_rest {
        return None;
    }
    let model = facts.model();
    let name = model.mode_name(mode.id);
    let source = driver(model)?;
    Some(MissingFact::new(
        source.span,
        format!(
            "temperatures and voltage drops of mode `{name}` do not settle: they depend on the currents, and the currents on them"
        ),
        "a source of this network",
        "look for conductors in parallel, or loads of constant power, that are overloaded".to_owned(),
        name.to_owned(),
    ))
}

/// Loads that carry current and of whose voltage nothing is known, one note a device or loom.
fn nameless_loads(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let domains = facts.electrical().domains();
    let mut findings = Vec::new();
    let mut last = None;
    for (id, edge) in facts.network().edges() {
        let Some(element) = edge.element().filter(|_| edge.role.has_drop_limit()) else { continue };
        let item = &model[element];
        let runs = facts.electrical().modes().any(|mode| mode.amps(id).get() != 0.0);
        if !runs || domains.of(edge.a).is_some() || last.replace(item.owner) == Some(item.owner) {
            continue;
        }
        let owner = model.owner_name(item.owner).to_owned();
        findings.push(MissingFact::new(
            item.span,
            format!("how many volts the loads of `{owner}` lose was not checked: no pin joined to them names a domain"),
            "of no known voltage",
            "add `domain` to the pins that feed it".to_owned(),
            owner,
        ));
    }
    findings
}

/// Sensors and bus nodes of which nobody says where their ground is.
fn groundless(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let devices = facts.electrical().groundless().iter();
    let notes = devices.map(|device| {
        let name = model.device_name(*device);
        MissingFact::new(
            model[*device].span,
            format!("whether other loads lift the ground of `{name}` was not checked: none of its pins is its ground"),
            "sends or receives without a known ground",
            format!("add `role: return` or `role: sensor return`, and `domain`, to the ground pin of `{name}`"),
            name.to_owned(),
        )
    });
    notes.collect()
}

/// A mode whose network is too ill-matched for the arithmetic: resistances of very different size in one loop.
fn inexact(facts: &Facts, mode: &ModeState) -> Option<MissingFact> {
    let model = facts.model();
    let name = model.mode_name(mode.id);
    let source = driver(model)?;
    let headline = format!("mode `{name}` was not solved: its currents are off by up to {:.0e} of the largest", mode.residual);
    Some(MissingFact::new(
        source.span,
        headline,
        "a source of this network",
        "in one loop, look for resistances that differ by a factor of a thousand million".to_owned(),
        name.to_owned(),
    ))
}

/// Values that were taken because the design gives none.
fn assumed(model: &Model) -> Vec<MissingFact> {
    let mut findings = Vec::new();
    for (id, element) in model.elements() {
        let name = model.element_name(id);
        match &element.kind {
            ElementKind::Source { resistance: None, aged: None, .. } => findings.push(MissingFact::new(
                element.span,
                format!("the internal resistance of `{name}` is not given; 10 mohm was taken"),
                "no `resistance`",
                format!("add `resistance` to `{name}`"),
                name,
            )),
            ElementKind::Relay { resistance: None, .. } => {
                let usual = contact::coil_resistance();
                let lacking = MissingFact::new(
                    element.span,
                    format!("the coil resistance of `{name}` is not given; {} was taken", usual.value),
                    "no `resistance`",
                    format!("add `resistance` to `{name}`"),
                    name,
                );
                findings.push(MissingFact { taken: Some(usual.to_string()), ..lacking });
            }
            // What these need is asked for elsewhere, or given by the format's own rules.
            ElementKind::Source { .. } | ElementKind::Relay { .. } | ElementKind::Load { .. } | ElementKind::Converter { .. } => {
            }
            ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) | ElementKind::Fuse { .. } => {}
            ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => {}
            ElementKind::Link { .. } | ElementKind::Interlock { .. } => {}
        }
    }
    findings
}
