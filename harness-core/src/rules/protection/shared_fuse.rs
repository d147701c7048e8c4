//! No device that someone relies on for safety depends on the fuse or output of one that serves comfort.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{DeviceId, ElementId, Model, Owner, PointId},
    network::{Components, GroupId, Network},
    rules::{Rule, RulePage},
    vocabulary::{Function, Role},
    wording::{agree, list},
};
use std::collections::{BTreeMap, BTreeSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/shared-fuse",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse or an output that feeds both a device for safety and one for comfort",
        docs: include_str!("shared_fuse.md"),
    },
    check,
};

/// What hangs on one fuse or output, past no other.
#[derive(Default)]
struct Fed {
    safety: BTreeSet<DeviceId>,
    comfort: BTreeSet<DeviceId>,
}

/// What feeds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Feed {
    Fuse(ElementId),
    /// The output of a box that shows nothing of its inside there.
    Output(PointId),
}

/// Something that is fed, with what its device is needed for.
struct Consumer {
    device: DeviceId,
    function: Function,
    points: Vec<PointId>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    // Without both words nothing can be shared, which is so in most designs.
    let has = |function: Function| model.devices().any(|(_, device)| device.function.is_some_and(|own| own.value == function));
    if !has(Function::Safety) || !has(Function::Comfort) {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.role.passes_faults());
    let mut feeds: BTreeMap<GroupId, BTreeSet<Feed>> = BTreeMap::new();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.is_fuse()) {
        for point in [edge.a, edge.b] {
            feeds.entry(lumps.of(point)).or_default().extend(edge.element().map(Feed::Fuse));
        }
    }
    for (point, _) in
        model.points().filter(|(point, _)| model.role_at(*point) == Some(Role::Output) && !is_drawn(network, *point))
    {
        feeds.entry(lumps.of(point)).or_default().insert(Feed::Output(point));
    }
    let mut fed: BTreeMap<Feed, Fed> = BTreeMap::new();
    for consumer in consumers(model, network) {
        let Some(feed) = last_feed(analysis, &lumps, &feeds, &consumer.points) else { continue };
        let fed = fed.entry(feed).or_default();
        match consumer.function {
            Function::Safety => fed.safety.insert(consumer.device),
            Function::Comfort => fed.comfort.insert(consumer.device),
            Function::Essential => false,
        };
    }
    let shared = fed.iter().filter(|(_, fed)| !fed.safety.is_empty() && !fed.comfort.is_empty());
    shared.filter_map(|(feed, fed)| finding(model, *feed, fed)).collect()
}

/// Whether something is drawn inside a box at a point.
fn is_drawn(network: &Network, point: PointId) -> bool {
    network.around(point).any(|(_, edge, _)| edge.element().is_some())
}

/// All that draws in devices of which `function` is written: what is drawn in them, and the supply pins of those that show nothing.
fn consumers(model: &Model, network: &Network) -> Vec<Consumer> {
    let drawn = network.edges().filter(|(_, edge)| edge.role.draws()).filter_map(|(_, edge)| {
        let (device, function) = served(model, edge.element()?)?;
        Some(Consumer { device, function, points: vec![edge.a, edge.b] })
    });
    let boxes = model.points().filter_map(|(point, _)| {
        let device = model.device_at(point).filter(|_| model.is_fitted(point))?;
        let takes = model.role_at(point).is_some_and(Role::gives_supply);
        let function = model[device].function?.value;
        (takes && !is_drawn(network, point)).then(|| Consumer { device, function, points: vec![point] })
    });
    drawn.chain(boxes).collect()
}

/// The device that an element is in, with what it is needed for; `None` where that is not said.
fn served(model: &Model, element: ElementId) -> Option<(DeviceId, Function)> {
    let Owner::Device(device) = model[element].owner else { return None };
    Some((device, model[device].function?.value))
}

/// The one fuse or output through which something is fed; `None` where several meet at it, as at a bus bar, or none does.
fn last_feed(
    analysis: &Analysis,
    lumps: &Components,
    feeds: &BTreeMap<GroupId, BTreeSet<Feed>>,
    points: &[PointId],
) -> Option<Feed> {
    let protection = analysis.electrical().protection();
    let mut found = points.iter().filter(|point| !protection.grounds(**point)).filter_map(|point| {
        let own = feeds.get(&lumps.of(*point))?;
        own.first().filter(|_| own.len() == 1).copied()
    });
    let first = found.next()?;
    found.all(|other| other == first).then_some(first)
}

fn finding(model: &Model, feed: Feed, fed: &Fed) -> Option<Finding> {
    let names = |devices: &BTreeSet<DeviceId>| {
        let names: Vec<String> = devices.iter().map(|device| format!("`{}`", model.device_name(*device))).collect();
        list(&names)
    };
    let (safety, comfort) = (names(&fed.safety), names(&fed.comfort));
    let (place, what, name) = match feed {
        Feed::Fuse(fuse) => (model[fuse].span, "fuse", model.element_name(fuse)),
        Feed::Output(point) => (model.pin_at(point)?.role?.span, "output", model.point_name(point)),
    };
    let own = agree(fed.safety.len(), "of its own", "of their own");
    let stops = agree(fed.safety.len(), "stops", "stop");
    let cuts = match feed {
        Feed::Fuse(_) => "opens",
        Feed::Output(_) => "switches off",
    };
    let mut finding = RULE
        .finding(place, format!("{what} `{name}` feeds {safety} (safety) and {comfort} (comfort)"), [])
        .label(format!("the last {what} before both"))
        .help(format!(
            "give {safety} a {what} {own}: a fault in {comfort} {cuts} `{name}`, and {safety} {stops} with it; or correct `function` \
             if somebody's safety does not depend on it"
        ))
        .concerns(name);
    for device in fed.safety.iter().chain(&fed.comfort) {
        let function = model[*device].function.map_or("", |function| function.value.word());
        finding = finding.context(model[*device].span, format!("`function: {function}`")).concerns(model.device_name(*device));
    }
    Some(finding)
}
