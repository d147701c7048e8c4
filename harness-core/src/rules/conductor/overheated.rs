//! A conductor stays below its rated temperature, among the conductors that carry current beside it in each mode.

use crate::{
    analysis::Analysis,
    electrical::{
        ModeState, Neighbours,
        conductors::conductor::{capacity_of, least_size_of, surroundings},
    },
    evidence::{beside, charging, larger_wire, names_in_words, remedies, too_small},
    finding::{Finding, Level, Remedy, Weighed},
    model::{Wire, WireId},
    quantity::{Ampere, Celsius},
    rules::{Rule, RulePage},
    standards::capacity::Beside,
    wording::count,
};

/// Excess that is rounding, in kelvin.
const ROUNDING: f64 = 1e-6;
/// Neighbours that a remedy names.
const APART: usize = 3;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/overheated",
        level: Level::Error,
        since: "0.1.0",
        finds: "a conductor hotter than it is rated for, among the loaded conductors beside it",
        docs: include_str!("overheated.md"),
    },
    check,
};

/// A wire in the mode in which it is hottest.
struct Hot<'a> {
    id: WireId,
    wire: &'a Wire,
    /// The place of its mode among all, and the mode.
    at: usize,
    mode: &'a ModeState,
    class: Celsius,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let modes = analysis.electrical().loaded_states();
    let mut hot = hot(analysis, &modes);
    if hot.is_empty() {
        return Vec::new();
    }
    // Counting neighbours is a pass over the design, so each mode in which something is hot is counted once.
    hot.sort_by_key(|hot| hot.at);
    let mut findings = Vec::new();
    for group in hot.chunk_by(|a, b| a.at == b.at) {
        let Some(Hot { mode, .. }) = group.first() else { continue };
        let (beside, lasting) = (analysis.electrical().beside(mode), analysis.electrical().lasting(mode));
        for hot in group {
            findings.push(finding(analysis, hot, mode, lasting[hot.id], beside[hot.id]));
        }
    }
    findings
}

/// The wires that are too hot and whose own current is not what is wrong with them.
fn hot<'a>(analysis: &'a Analysis, modes: &[&'a ModeState]) -> Vec<Hot<'a>> {
    let model = analysis.model();
    let mut hot = Vec::new();
    for (id, wire) in model.wires() {
        let around = surroundings(model, wire);
        let Some(thermal) = around.thermal() else { continue };
        // Air that is too hot by itself is reported with its zone.
        if around.rated.zip(around.ambient).is_some_and(|(rated, air)| air > rated) {
            continue;
        }
        let over = |mode: &ModeState| mode.temperature(id).map_or(f64::INFINITY, Celsius::get) - thermal.conductor.get();
        let rises = modes.iter().enumerate().map(|(at, mode)| (over(mode), at, *mode));
        let worst = rises.reduce(|a, b| if b.0 > a.0 { b } else { a });
        let Some((_, at, mode)) = worst.filter(|(over, ..)| *over > ROUNDING) else { continue };
        let loading = analysis.electrical().loading(id);
        // Too hot even alone, or without a known capacity: other rules report it.
        let alone = capacity_of(model, wire, Beside::default());
        if alone.is_some_and(|alone| loading.lasting <= alone.amps) && !analysis.electrical().is_uneven(id) {
            hot.push(Hot { id, wire, at, mode, class: thermal.conductor });
        }
    }
    hot
}

fn finding(analysis: &Analysis, hot: &Hot<'_>, mode: &ModeState, amps: Ampere, around: Beside) -> Finding {
    let Hot { id, wire, class, .. } = hot;
    let model = analysis.model();
    let (name, mode_name) = (model.wire_name(*id), model.mode_name(mode.id));
    let (headline, weighed) = match mode.temperature(*id) {
        Some(at) => {
            // Rounded upwards, so that no excess reads as none.
            let over = ((at.get() - class.get()) * 10.0).ceil() / 10.0;
            let at = Celsius::new(class.get() + over);
            (
                format!("wire `{name}` reaches {at} in mode `{mode_name}`, {over} K over the {class} that it is rated for"),
                vec![Weighed::larger(at), Weighed::larger(format!("{over} K")), Weighed::smaller(class)],
            )
        }
        None => (
            format!("wire `{name}`, rated {class}, reaches no steady temperature in mode `{mode_name}`: it keeps getting hotter"),
            vec![Weighed::smaller(class)],
        ),
    };
    let with = match around.conductors {
        0 => "with no other loaded wire beside it".to_owned(),
        others => format!("with {} beside it", count(others as usize, "more loaded wire")),
    };
    let carries = if amps > Ampere::ZERO { format!("carries {amps}") } else { "carries nothing".to_owned() };
    let size = wire.size.map_or(wire.span, |size| size.span);
    let neighbours = analysis.electrical().neighbours_in(*id, mode);
    let mut finding = RULE
        .finding(size, headline, weighed)
        .label(format!("{carries} {with}"))
        .figure("current", format!("{amps} in mode `{mode_name}`{}", charging(analysis.facts(), mode.id, mode.battery)))
        .help(remedy(analysis, hot, amps, around, &neighbours))
        .concerns(name);
    // Where the neighbour that heats it most is too thin itself, that is the one to change.
    finding.remedies = neighbours.iter().next().map(|other| larger_neighbour(analysis, other.wire)).unwrap_or_default();
    if let Some(least) = least_size_of(model, wire, amps, around) {
        finding.remedies.extend(remedies::larger(analysis.facts(), *id, least));
    }
    if let Some(at) = mode.temperature(*id) {
        finding =
            finding.figure("temperature", format!("{}, heat balance (computed)", Celsius::new((at.get() * 10.0).round() / 10.0)));
    }
    if let Some(capacity) = capacity_of(model, wire, around) {
        finding = finding.figure("capacity", &capacity);
        for step in &capacity.chain {
            finding = finding.figure("source", step.source);
        }
    }
    beside(analysis.facts(), *id, finding, Some(&neighbours))
}

/// A size for a neighbour that is too thin for what it carries among its own; empty where it is not.
fn larger_neighbour(analysis: &Analysis, other: WireId) -> Vec<Remedy> {
    let (model, loading) = (analysis.model(), analysis.electrical().loading(other));
    let least = least_size_of(model, &model[other], loading.lasting, loading.beside);
    let least = least.filter(|least| model[other].size.is_some_and(|size| size.value < *least));
    least.map(|least| remedies::larger(analysis.facts(), other, least).into_iter().take(1).collect()).unwrap_or_default()
}

/// A larger size, and the neighbours that it has to be kept apart from.
fn remedy(analysis: &Analysis, hot: &Hot<'_>, amps: Ampere, around: Beside, neighbours: &Neighbours<'_>) -> String {
    let (model, wire) = (analysis.model(), hot.wire);
    let carries = |beside: Beside| capacity_of(model, wire, beside).is_some_and(|capacity| amps <= capacity.amps);
    let without = |apart: usize| Beside { rise: neighbours.rise_from(apart), conductors: around.conductors };
    let apart = match (1..=APART.min(neighbours.len())).find(|apart| carries(without(*apart))) {
        Some(apart) => {
            let names: Vec<String> = neighbours.iter().take(apart).map(|other| model.wire_name(other.wire)).collect();
            format!("route it apart from {}", names_in_words(&names))
        }
        None if carries(Beside::default()) => "route it apart from the other loaded wires".to_owned(),
        None => "route it where it is cooler".to_owned(),
    };
    match least_size_of(model, wire, amps, around) {
        Some(least) if amps > Ampere::ZERO => {
            format!("{}, or {apart}{}", larger_wire(model, hot.id), too_small(analysis.facts(), &[(hot.id, least)]))
        }
        Some(_) | None => format!("{apart}, or use a wire that is rated for more"),
    }
}
