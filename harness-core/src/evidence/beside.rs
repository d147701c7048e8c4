//! What is beside a conductor, and on which assumptions its capacity rests.

use super::charging;
use crate::{
    electrical::{
        Bundle, GivenBy, Neighbours, WireLoad,
        conductors::conductor::{capacity_of, surroundings},
    },
    facts::Facts,
    finding::Finding,
    model::WireId,
    quantity::Kelvin,
    standards::capacity::{Beside, Capacity},
    wording::{agree, commas, count, quoted},
};

/// Neighbours that are named; of the others the number and the sum are given.
const NAMED: usize = 4;

/// Where the largest current of a conductor comes from: ``in mode `drive` ``, `as given`.
#[must_use]
pub fn current_source(facts: &Facts, wire: WireId, loading: &WireLoad) -> String {
    let model = facts.model();
    match (loading.lasting_in, facts.electrical().given(wire).map(|given| given.by)) {
        (Some(mode), _) => format!("in mode `{}`{}", model.mode_name(mode), charging(facts, mode, loading.lasting_charged)),
        (None, Some(GivenBy::Design(_))) => "as given by `current`".to_owned(),
        (None, Some(GivenBy::Limit(source))) => format!("at most, the limit of `{}`", model.element_name(source)),
        (None, None) => "in no mode".to_owned(),
    }
}

/// A capacity as a label gives it: `19.2 A beside other wires (29 A alone)`, or the figure alone where nothing warms the wire. With both,
/// the limits of two findings for one wire are not taken for a contradiction.
#[must_use]
pub fn capacity_here(facts: &Facts, wire: WireId, capacity: &Capacity) -> String {
    let model = facts.model();
    match capacity_of(model, &model[wire], Beside::default()).filter(|alone| alone.amps > capacity.amps) {
        Some(alone) => format!("{} beside other wires ({} alone)", capacity.amps, alone.amps),
        None => capacity.amps.to_string(),
    }
}

/// What to do about a conductor that may carry nothing because of what is beside it: neither a fuse nor a larger size helps.
#[must_use]
pub fn apart_from_others(wire: &str) -> String {
    format!(
        "route `{wire}` apart from the other loaded wires, or list under `via` the segments that it runs through: beside all of these \
         wires it may carry nothing"
    )
}

/// Adds to a finding the air around a conductor, what is beside it with the current of each, and what was assumed of these.
#[must_use]
pub fn beside(facts: &Facts, wire: WireId, mut finding: Finding, neighbours: Option<&Neighbours<'_>>) -> Finding {
    let model = facts.model();
    let around = surroundings(model, &model[wire]);
    if let (Some(air), Some(zone)) = (around.ambient, around.zone) {
        finding = finding.figure("air", format!("{air}, the hottest on its way: zone `{}`", model.text(model[zone].name)));
    }
    let Some(neighbours) = neighbours.filter(|neighbours| !neighbours.is_empty()) else { return finding };
    let mode = model.mode_name(neighbours.mode);
    finding = finding.figure("beside", format!("{} in mode `{mode}`", named(facts, neighbours)));
    assumptions(facts, wire, neighbours).into_iter().fold(finding, |finding, text| finding.figure("assumed", text))
}

/// The neighbours that warm most, each with its current.
fn named(facts: &Facts, neighbours: &Neighbours<'_>) -> String {
    let mut words: Vec<String> = neighbours
        .iter()
        .take(NAMED)
        .map(|other| format!("`{}` {} (+{})", facts.model().wire_name(other.wire), other.amps, tenth(other.adds)))
        .collect();
    let rest = neighbours.len().saturating_sub(NAMED);
    if rest > 0 {
        words.push(format!("{rest} more (+{})", tenth(neighbours.adds_from(NAMED))));
    }
    commas(&words)
}

fn tenth(rise: Kelvin) -> Kelvin {
    Kelvin::new((rise.get() * 10.0).round() / 10.0)
}

/// What the capacity of a wire takes for granted of other wires; one sentence each, with what to add to the design.
#[must_use]
pub fn assumptions(facts: &Facts, wire: WireId, neighbours: &Neighbours<'_>) -> Vec<String> {
    let model = facts.model();
    let list = |(many, first): &(usize, Vec<WireId>)| {
        let names: Vec<String> = first.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
        match names.as_slice() {
            [first, second, _, ..] => format!("{first}, {second} and {} more", many - 2),
            names => commas(names),
        }
    };
    let mut found = Vec::new();
    if let (Bundle::Loom(loom), false) = (neighbours.bundle, neighbours.is_empty()) {
        let loaded = count(neighbours.len(), "loaded wire");
        let name = model.wire_name(wire);
        found.push(format!(
            "`{name}` has no route, so {loaded} of loom `{}` without a route {} assumed to run beside it all along; give `via`",
            model.loom_name(loom),
            agree(neighbours.len(), "is", "are")
        ));
    }
    let unsized_ones = neighbours.assumed();
    if unsized_ones.0 > 0 {
        found.push(format!(
            "{} {} no size or no rated temperature: the thinnest wire, or the least rise of the table, is assumed",
            list(&unsized_ones),
            agree(unsized_ones.0, "has", "have")
        ));
    }
    let idle = neighbours.idle();
    if idle.0 > 0 {
        found.push(format!(
            "{} {} nothing in this mode but {} live: the largest current of any mode is assumed",
            list(&idle),
            agree(idle.0, "carries", "carry"),
            agree(idle.0, "is", "are")
        ));
    }
    found
}
