//! What a device passes on comes in at its supply and goes out at its outputs.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    evidence::in_modes,
    facts::Facts,
    finding::{Finding, Level},
    model::{DeviceId, ElementKind, ModeId, Owner, PointId},
    network::Edge,
    rules::{Rule, RulePage},
    vocabulary::Role,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/fed-at-output",
        level: Level::Error,
        since: "0.1.0",
        finds: "a device whose current comes in at an output and goes out at its supply pin",
        docs: include_str!("fed_at_output.md"),
    },
    check,
};

/// Current in A below which nothing passes.
const NOTHING: f64 = 1e-3;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, model) = (analysis.facts(), analysis.model());
    let devices = model.devices().map(|(id, _)| id);
    devices.filter(|device| !drives(facts, *device)).filter_map(|device| finding(facts, device)).collect()
}

/// Whether a source or converter is in a device: its supply pin may be where it gives.
fn drives(facts: &Facts, device: DeviceId) -> bool {
    let owned = |edge: &Edge| edge.element().is_some_and(|element| facts.model()[element].owner == Owner::Device(device));
    let network = facts.network();
    let mut around = facts.pins().of_device(device).iter().flat_map(|pin| network.around(pin.point));
    around.any(|(_, edge, _)| edge.role.drives() && owned(edge))
}

fn finding(facts: &Facts, device: DeviceId) -> Option<Finding> {
    let model = facts.model();
    let pins = facts.pins().of_device(device);
    let of = |role: Role| pins.iter().filter(move |pin| pin.role == Some(role)).map(|pin| pin.point);
    let (supplies, outputs): (Vec<PointId>, Vec<PointId>) = (of(Role::Supply).collect(), of(Role::Output).collect());
    if supplies.is_empty() || outputs.is_empty() {
        return None;
    }
    let is_passive = is_passive(facts, device);
    let mut pair: Option<(PointId, PointId)> = None;
    let mut modes: Vec<ModeId> = Vec::new();
    for mode in facts.electrical().modes() {
        if is_passive && charges(facts, mode) {
            continue;
        }
        let into = |point: PointId| into_device(facts, mode, device, point);
        let fed = outputs.iter().copied().find(|point| into(*point) > NOTHING);
        let left = supplies.iter().copied().find(|point| into(*point) < -NOTHING);
        // What carries the right way in another mode carries both ways: a battery behind it is charged.
        let right = outputs.iter().any(|point| into(*point) < -NOTHING) && supplies.iter().any(|point| into(*point) > NOTHING);
        if right && fed.is_none() {
            return None;
        }
        // What is fed at another supply pin has its own way in: the outlet of a fuse is called a supply too.
        if supplies.iter().copied().map(into).sum::<f64>() >= -NOTHING {
            continue;
        }
        if let (Some(fed), Some(left)) = (fed, left) {
            pair.get_or_insert((fed, left));
            modes.push(mode.id);
        }
    }
    let (output, supply) = pair?;
    let [output_name, supply_name] = [output, supply].map(|point| model.point_name(point));
    let name = model.device_name(device);
    let finding = RULE
        .finding(
            model[output].span,
            format!(
                "`{name}` is fed at its output `{output_name}`{}, and its supply `{supply_name}` is what it feeds",
                in_modes(model, &modes)
            ),
            [],
        )
        .label("the current comes in here")
        .context(model[supply].span, "and goes out here")
        .help(format!("swap the wires at `{output_name}` and `{supply_name}`, or correct the `role` of the two pins"));
    Some(finding.concerns(output_name).concerns(supply_name))
}

/// Whether a device only joins and protects, with nothing inside that needs a supply of its own, and no pin that controls it: it passes
/// current either way.
fn is_passive(facts: &Facts, device: DeviceId) -> bool {
    let model = facts.model();
    let needs_nothing = |kind: &ElementKind| match kind {
        ElementKind::Fuse { .. } | ElementKind::Link { .. } | ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => true,
        ElementKind::Interlock { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => true,
        ElementKind::Diode(_) | ElementKind::Load { .. } => false,
        ElementKind::Source { .. } | ElementKind::Converter { .. } | ElementKind::Relay { .. } => false,
    };
    let owned = model.elements().filter(|(_, element)| element.owner == Owner::Device(device));
    owned.map(|(_, element)| &element.kind).all(needs_nothing)
        && facts.pins().of_device(device).iter().all(|pin| !matches!(pin.role, Some(Role::Input | Role::Return)))
}

/// Whether a source takes current in a mode, as a battery on charge does.
fn charges(facts: &Facts, mode: &ModeState) -> bool {
    facts.network().edges().any(|(id, edge)| edge.role.drives() && mode.working_amps(id, edge).get() < -NOTHING)
}

/// The current that flows from a pin into what its device has inside to pass it on, in A.
fn into_device(facts: &Facts, mode: &ModeState, device: DeviceId, point: PointId) -> f64 {
    let model = facts.model();
    let inside = facts.network().around(point).filter(|(_, edge, _)| {
        let owned = edge.element().is_some_and(|element| model[element].owner == Owner::Device(device));
        owned && edge.role.conducts_when_closed()
    });
    let out = |edge: &Edge, amps: f64| if edge.a == point { amps } else { -amps };
    inside.map(|(id, edge, _)| out(edge, mode.working_amps(id, edge).get())).sum()
}
