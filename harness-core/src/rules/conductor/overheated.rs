//! A conductor stays below the temperature that it is rated for, among those loaded beside it in each mode.

use crate::{
    analysis::Analysis,
    electrical::{
        ModeState,
        conductors::conductor::{capacity_of, least_size_of, surroundings},
    },
    evidence::{charging, remedies},
    finding::{Finding, Level, Worse},
    model::{Wire, WireId},
    network::EdgeId,
    quantity::{Ampere, Celsius},
    rules::{Rule, RulePage},
    wording::count,
};

/// Excess that is rounding, in kelvin.
const ROUNDING: f64 = 1e-6;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/overheated",
        level: Level::Error,
        since: "0.1.0",
        finds: "a conductor hotter than it is rated for, among the conductors loaded beside it",
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
    let edges: Vec<(WireId, EdgeId)> =
        analysis.network().edges().filter_map(|(id, edge)| edge.wire().map(|wire| (wire, id))).collect();
    // Counting neighbours is a pass over the design, so each mode in which something is hot is counted once.
    hot.sort_by_key(|hot| hot.at);
    let mut findings = Vec::new();
    for group in hot.chunk_by(|a, b| a.at == b.at) {
        let Some(Hot { mode, .. }) = group.first() else { continue };
        let beside = analysis.electrical().beside(mode);
        for hot in group {
            let amps = edges.binary_search_by_key(&hot.id, |(wire, _)| *wire).ok().and_then(|at| edges.get(at));
            let amps = amps.map_or(Ampere::default(), |(_, edge)| Ampere::new(mode.amps(*edge).get().abs()));
            findings.push(finding(analysis, hot, mode, amps, beside[hot.id]));
        }
    }
    findings
}

/// The wires that are too hot and whose own current is not what is wrong with them.
fn hot<'a>(analysis: &'a Analysis, modes: &[&'a ModeState]) -> Vec<Hot<'a>> {
    let model = analysis.model();
    let mut hot = Vec::new();
    for (id, wire) in model.wires() {
        let Some(thermal) = surroundings(model, wire).thermal() else { continue };
        let over = |mode: &ModeState| mode.temperature(id).map_or(f64::INFINITY, Celsius::get) - thermal.conductor.get();
        let rises = modes.iter().enumerate().map(|(at, mode)| (over(mode), at, *mode));
        let worst = rises.reduce(|a, b| if b.0 > a.0 { b } else { a });
        let Some((_, at, mode)) = worst.filter(|(over, ..)| *over > ROUNDING) else { continue };
        let loading = analysis.electrical().loading(id);
        // Too hot even alone, or without a known capacity: told by others.
        let alone = capacity_of(model, wire, 1);
        if alone.is_some_and(|alone| loading.amps <= alone.amps) && !analysis.electrical().is_uneven(id) {
            hot.push(Hot { id, wire, at, mode, class: thermal.conductor });
        }
    }
    hot
}

fn finding(analysis: &Analysis, hot: &Hot<'_>, mode: &ModeState, amps: Ampere, beside: u32) -> Finding {
    let Hot { id, wire, class, .. } = hot;
    let model = analysis.model();
    let (name, mode_name) = (model.wire_name(*id), model.mode_name(mode.id));
    let headline = match mode.temperature(*id) {
        Some(at) => {
            // Rounded upwards, so that no excess reads as none.
            let over = ((at.get() - class.get()) * 10.0).ceil() / 10.0;
            let at = Celsius::new(class.get() + over);
            format!("wire `{name}` reaches {at} in mode `{mode_name}`, {over} K over the {class} that it is rated for")
        }
        None => format!("wire `{name}`, rated {class}, warms without end in mode `{mode_name}`"),
    };
    let around = match beside {
        0 | 1 => "alone".to_owned(),
        together => format!("with {} beside it", count(together as usize - 1, "more loaded conductor")),
    };
    let size = wire.size.map_or(wire.span, |size| size.span);
    let mut finding = RULE
        .finding(size, headline)
        .label(format!("carries {amps} {around}"))
        .figure("current", format!("{amps} in mode `{mode_name}`{}, computed", charging(analysis, mode.id, mode.battery)))
        .help(remedy(analysis, *id, wire, amps, beside))
        .concerns(name)
        .weigh(class, Worse::Smaller);
    if let Some(least) = least_size_of(model, wire, amps, beside) {
        finding.remedies = remedies::larger(analysis.facts(), *id, least);
    }
    if let Some(at) = mode.temperature(*id) {
        finding =
            finding.figure("temperature", format!("{}, heat balance (computed)", Celsius::new((at.get() * 10.0).round() / 10.0)));
    }
    if let Some(capacity) = capacity_of(model, wire, beside) {
        finding = finding.figure("capacity", &capacity);
        for step in &capacity.chain {
            finding = finding.figure("source", step.source);
        }
    }
    finding
}

fn remedy(analysis: &Analysis, id: WireId, wire: &Wire, amps: Ampere, beside: u32) -> String {
    let name = analysis.model().wire_name(id);
    let fewer =
        (1..beside).rev().find(|count| capacity_of(analysis.model(), wire, *count).is_some_and(|capacity| amps <= capacity.amps));
    let apart = match fewer {
        Some(1) => "lay it apart from the other loaded conductors".to_owned(),
        Some(count) => format!("lay it where no more than {} other loaded conductors run beside it", count - 1),
        None => "lay it where it is cooler".to_owned(),
    };
    match least_size_of(analysis.model(), wire, amps, beside) {
        Some(_) => format!("use a larger conductor for `{name}`, or {apart}"),
        None => apart,
    }
}
