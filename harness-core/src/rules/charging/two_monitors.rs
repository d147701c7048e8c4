//! One isolation monitor measures in each isolated circuit.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    facts::{Facts, inlets::ChargingInlet},
    finding::{Finding, Level},
    model::{IsolationMonitor, ModeId, PointId},
    rules::{Rule, RulePage},
    standards::charging_inlet::{InletContact, one_monitor},
    wording::{list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/two-monitors",
        level: Level::Error,
        since: "0.1.0",
        finds: "two isolation monitors that measure in one isolated circuit in one mode, that of a DC station among them",
        docs: include_str!("two_monitors.md"),
    },
    check,
};

/// What measures: a box with its monitor, or the station at an inlet.
#[derive(Clone)]
struct Meter {
    at: PointId,
    name: String,
    span: crate::text::Span,
    is_station: bool,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let model = facts.model();
    let monitors: Vec<(&str, IsolationMonitor)> = model
        .devices()
        .filter(|(_, device)| device.fitted)
        .filter_map(|(id, device)| Some((model.device_name(id), device.monitor?)))
        .collect();
    if monitors.is_empty() {
        return Vec::new();
    }
    let mut found: Vec<(Vec<String>, Vec<Meter>, Vec<ModeId>)> = Vec::new();
    for state in facts.electrical().modes_as_written() {
        for group in together(facts, state, &monitors) {
            let names: Vec<String> = group.iter().map(|meter| meter.name.clone()).collect();
            match found.iter_mut().find(|(known, ..)| *known == names) {
                Some((_, _, modes)) => modes.push(state.id),
                None => found.push((names, group, vec![state.id])),
            }
        }
    }
    found.into_iter().filter_map(|(_, group, modes)| finding(facts, &group, &modes)).collect()
}

/// Those that measure one circuit in a mode, where there are several.
fn together(facts: &Facts, state: &ModeState, monitors: &[(&str, IsolationMonitor)]) -> Vec<Vec<Meter>> {
    let network = facts.network();
    let on = monitors.iter().filter(|(_, monitor)| monitor.modes.has(state.id));
    let mut meters: Vec<Meter> = on
        .map(|(name, monitor)| Meter { at: monitor.at, name: (*name).to_owned(), span: monitor.span, is_station: false })
        .collect();
    meters.extend(facts.inlets().iter().filter_map(|inlet| station(facts, state, inlet)));
    if meters.len() < 2 {
        return Vec::new();
    }
    // A resistor that measures joins the circuit to the chassis, and with that all others.
    let lumps = network.components(|id, edge| edge.role.joins_directly() && state.conducts(id));
    meters.sort_by_key(|meter| lumps.of(meter.at).index());
    meters.chunk_by(|a, b| lumps.of(a.at) == lumps.of(b.at)).filter(|group| group.len() > 1).map(<[Meter]>::to_vec).collect()
}

/// The monitor of a DC station, which measures while it charges: where what is at the DC contact is joined to more than the inlet.
fn station(facts: &Facts, state: &ModeState, inlet: &ChargingInlet) -> Option<Meter> {
    let model = facts.model();
    let at = inlet.contact(InletContact::Plus).filter(|_| inlet.charges_in(model, state.id))?;
    Some(Meter { at, name: model.point_name(at), span: model[at].span, is_station: true })
}

fn finding(facts: &Facts, group: &[Meter], modes: &[ModeId]) -> Option<Finding> {
    let model = facts.model();
    let own: Vec<&Meter> = group.iter().filter(|meter| !meter.is_station).collect();
    let first = own.first()?;
    let names: Vec<String> = own.iter().map(|meter| quoted(&meter.name)).collect();
    let modes: Vec<String> = modes.iter().map(|mode| quoted(model.mode_name(*mode))).collect();
    let station = group.iter().find(|meter| meter.is_station);
    let who = match station {
        Some(_) if names.len() == 1 => format!("{} and the monitor of the DC station", names.first()?),
        Some(_) => format!("{} and the monitor of the DC station", list(&names)),
        None => list(&names),
    };
    let mut finding = RULE
        .finding(first.span, format!("{who} measure the isolation of one circuit in {}", list(&modes)), [])
        .label("each falsifies what the other measures")
        .figure("source", one_monitor())
        .help(match station {
            Some(_) => "let the monitor of the vehicle be off while a DC station is connected: leave that mode out of its `in`"
                .to_owned(),
            None => "let one of them measure in each mode: state `in` at each, or take one out".to_owned(),
        });
    if let Some(station) = station {
        finding = finding.context(station.span, "the station measures here while it charges").concerns(&station.name);
    }
    for meter in own.iter().skip(1) {
        finding = finding.context(meter.span, "measures too");
    }
    Some(own.iter().fold(finding, |finding, meter| finding.concerns(&meter.name)))
}
