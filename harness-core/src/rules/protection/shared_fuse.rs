//! No device that someone relies on for safety depends on the last fuse of one that serves comfort.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{DeviceId, ElementId, Model, Owner, PointId},
    network::{Components, EdgeRole},
    rules::{Rule, RulePage},
    vocabulary::Function,
    wording::list,
};
use std::collections::{BTreeMap, BTreeSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/shared-fuse",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse that feeds both a device for safety and one for comfort",
        docs: include_str!("shared_fuse.md"),
    },
    check,
};

/// What hangs on one fuse, past no other.
#[derive(Default)]
struct Fed {
    safety: BTreeSet<DeviceId>,
    comfort: BTreeSet<DeviceId>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    // Without both words nothing can be shared, which is so in most designs.
    let has = |function: Function| model.devices().any(|(_, device)| device.function.is_some_and(|own| own.value == function));
    if !has(Function::Safety) || !has(Function::Comfort) {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.role.passes_faults());
    let mut fuses: BTreeMap<_, BTreeSet<ElementId>> = BTreeMap::new();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.is_fuse()) {
        for point in [edge.a, edge.b] {
            fuses.entry(lumps.of(point)).or_default().extend(edge.element());
        }
    }
    let mut fed: BTreeMap<ElementId, Fed> = BTreeMap::new();
    for (_, edge) in network.edges().filter(|(_, edge)| matches!(edge.role, EdgeRole::Load | EdgeRole::ConverterInput)) {
        let Some((device, function)) = edge.element().and_then(|element| served(model, element)) else { continue };
        let Some(fuse) = last_fuse(analysis, &lumps, &fuses, [edge.a, edge.b]) else { continue };
        let fed = fed.entry(fuse).or_default();
        match function {
            Function::Safety => fed.safety.insert(device),
            Function::Comfort => fed.comfort.insert(device),
            Function::Essential => false,
        };
    }
    let shared = fed.iter().filter(|(_, fed)| !fed.safety.is_empty() && !fed.comfort.is_empty());
    shared.map(|(fuse, fed)| finding(model, *fuse, fed)).collect()
}

/// The device that an element is in, with what it is needed for; `None` where that is not said.
fn served(model: &Model, element: ElementId) -> Option<(DeviceId, Function)> {
    let Owner::Device(device) = model[element].owner else { return None };
    Some((device, model[device].function?.value))
}

/// The one fuse through which a load is fed; `None` where several meet at it, as at a bus bar, or none does.
fn last_fuse(
    analysis: &Analysis,
    lumps: &Components,
    fuses: &BTreeMap<crate::network::GroupId, BTreeSet<ElementId>>,
    points: [PointId; 2],
) -> Option<ElementId> {
    let protection = analysis.electrical().protection();
    let mut feeds = points.into_iter().filter(|point| !protection.grounds(*point)).filter_map(|point| {
        let own = fuses.get(&lumps.of(point))?;
        own.first().filter(|_| own.len() == 1).copied()
    });
    let first = feeds.next()?;
    feeds.all(|other| other == first).then_some(first)
}

fn finding(model: &Model, fuse: ElementId, fed: &Fed) -> Finding {
    let names = |devices: &BTreeSet<DeviceId>| {
        let names: Vec<String> = devices.iter().map(|device| format!("`{}`", model.device_name(*device))).collect();
        list(&names)
    };
    let (safety, comfort) = (names(&fed.safety), names(&fed.comfort));
    let name = model.element_name(fuse);
    let mut finding = RULE
        .finding(model[fuse].span, format!("fuse `{name}` feeds {safety} (safety) and {comfort} (comfort)"), [])
        .label("the last fuse before both")
        .help(format!(
            "give {safety} a fuse of their own: a fault in {comfort} opens `{name}`, and {safety} stop with it; or correct `function` \
             if somebody's safety does not depend on it"
        ))
        .concerns(name);
    for device in fed.safety.iter().chain(&fed.comfort) {
        let function = model[*device].function.map_or("", |function| function.value.word());
        finding = finding.context(model[*device].span, format!("`function: {function}`")).concerns(model.device_name(*device));
    }
    finding
}
