//! Lamps of which nobody says whether they have a filament, where that decides whether the contact before them makes their current.

use super::MissingFact;
use crate::{
    electrical::{
        ModeState,
        current_path::{CurrentPath, Direction},
    },
    facts::{Facts, peaks::ways},
    model::{ElementId, ElementKind},
    network::EdgeId,
    quantity::Ampere,
    standards::peak,
    vocabulary::LoadKind,
    wording::{list_of_first, quoted},
};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// Lamps that are named.
const SHOWN: usize = 3;
/// Share of a limit by which a computed current may miss it and still count as equal.
const EQUAL: f64 = 1e-6;

/// A contact that makes the current of lamps.
struct Made {
    /// What flows through it when all of them are cold.
    amps: Ampere,
    lamps: Vec<ElementId>,
}

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let lamps: Vec<(EdgeId, ElementId)> =
        network.edges().filter_map(|(id, edge)| Some((id, unsaid(facts, edge.element()?)?))).collect();
    let contacts = facts.rated_currents().iter().filter_map(|rated| Some((rated.edge()?, rated)));
    let contacts: FxHashMap<EdgeId, _> = contacts.filter(|(edge, _)| network.role(*edge).cuts_coils()).collect();
    if lamps.is_empty() || contacts.is_empty() {
        return Vec::new();
    }
    let mut worst: BTreeMap<EdgeId, Made> = BTreeMap::new();
    for state in facts.electrical().loaded_states() {
        for (contact, made) in through(facts, state, &lamps, |edge| contacts.contains_key(&edge)) {
            let known = worst.entry(contact).or_insert(Made { amps: Ampere::ZERO, lamps: Vec::new() });
            if made.amps > known.amps {
                *known = made;
            }
        }
    }
    let times = peak::cold_filament();
    let mut found = Vec::new();
    for (contact, made) in worst {
        let Some(rated) = contacts.get(&contact) else { continue };
        let limit = Ampere::new(rated.rated.value.get() * peak::making().value.get());
        if made.amps.get() <= limit.get() * (1.0 + EQUAL) {
            continue;
        }
        let Some(first) = made.lamps.first() else { continue };
        let names: Vec<String> = made.lamps.iter().map(|lamp| quoted(model.element_name(*lamp))).collect();
        let (what, name) = (rated.what, rated.of.name(model));
        let unchecked = format!(
            "whether {what} `{name}` makes the current of {} was not checked: with cold filaments it is {}, and {limit} is what one of {} makes",
            list_of_first(&names, SHOWN, 0),
            made.amps,
            rated.rated.value
        );
        let remedy = "write `polarised: true` if these are LEDs, else what they draw cold, as `peak: 50 A for 100 ms`".to_owned();
        let mut fact =
            MissingFact::new(model[*first].value_span, unchecked, "filament or LED?", remedy, model.element_name(*first));
        fact.taken = Some(format!("{} times the working current; {}", times.value.get(), times.source));
        fact.others = made.lamps.iter().skip(1).map(|lamp| (model[*lamp].value_span, model.element_name(*lamp))).collect();
        found.push(fact);
    }
    found
}

/// A lamp that gives no peak and may have a filament: an LED has two poles that differ.
fn unsaid(facts: &Facts, element: ElementId) -> Option<ElementId> {
    match &facts.model()[element].kind {
        ElementKind::Load { kind: Some(LoadKind::Lamp), peak: None, polarised: false, .. } => Some(element),
        _ => None,
    }
}

/// What contacts make in a state when all lamps behind them are cold.
fn through(
    facts: &Facts,
    state: &ModeState,
    lamps: &[(EdgeId, ElementId)],
    is_contact: impl Fn(EdgeId) -> bool,
) -> BTreeMap<EdgeId, Made> {
    let network = facts.network();
    let [feed, back] = [Direction::Feed, Direction::Return].map(|way| CurrentPath::new(network, state, way));
    let mut found: BTreeMap<EdgeId, Made> = BTreeMap::new();
    for (id, lamp) in lamps {
        let edge = &network[*id];
        let amps = state.working_amps(*id, edge);
        let (from, to) = if amps > Ampere::ZERO { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let more = amps.abs().get() * (peak::cold_filament().value.get() - 1.0);
        if more <= 0.0 {
            continue;
        }
        for (path, start) in [(&feed, from), (&back, to)] {
            for (edge, share) in ways(network, state, path, start) {
                if !is_contact(edge) {
                    continue;
                }
                let made = found.entry(edge).or_insert_with(|| Made { amps: state.amps(edge).abs(), lamps: Vec::new() });
                made.amps += Ampere::new(more * share);
                made.lamps.push(*lamp);
            }
        }
    }
    found
}
