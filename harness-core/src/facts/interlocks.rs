//! Connectors of voltage class B that can be unplugged without opening the interlock loop.
//!
//! The idea: take the interlock contacts of one connector out of the network. Then one side of it holds the bridge, and on the other side the
//! two ends of the loop are apart. If they are joined on both sides, or each contact is joined past itself, unplugging opens nothing.
//!
//! Cost: nothing where no connector of class B has interlock contacts; else for each of them a pass over the edges.

use super::{Connector, Facts, pins::points_of_elements};
use crate::{
    arena::IdVec,
    model::{ElementId, EndId, Mate, PointId, PointKind},
    network::{Components, Edge, EdgeId, EdgeKind, EdgeRole, Potential, Step},
    text::Name,
    vocabulary::{Need, Role},
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Connectors of class B that open no interlock loop, in the order of the connectors.
    ///
    /// Asked by `interlock/loop-misses`, and by `netlist/bypassed-part` for the bridges in them.
    #[must_use]
    pub fn bypassed_interlocks(&self) -> &[BypassedInterlock] {
        self.made.bypassed_interlocks.get_or_init(|| bypassed_interlocks(self))
    }
}

/// A connector that opens no interlock loop.
#[derive(Debug)]
pub struct BypassedInterlock {
    /// The loom's half.
    pub end: EndId,
    /// What it mates.
    pub partner: Mate,
    /// Its interlock contacts, by their labels.
    pub contacts: Vec<Name>,
    /// The bridge inside it that something bypasses.
    pub bridge: Option<ElementId>,
    /// Where the bypass begins; none where no wire leads to the contacts.
    pub start: Option<PointId>,
    /// The way of the bypass.
    pub path: Vec<Step>,
}

fn bypassed_interlocks(facts: &Facts) -> Vec<BypassedInterlock> {
    let (model, network) = (facts.model(), facts.network());
    let has_role = |point: PointId| model.role_at(point) == Some(Role::Interlock);
    let has_loop = network.edges().any(|(_, edge)| edge.role == EdgeRole::Interlock)
        || model.points().any(|(point, _)| has_role(point) && network.around(point).next().is_some());
    if !has_loop {
        return Vec::new();
    }
    let drawn = points_of_elements(model);
    let mut contacts: FxHashMap<EndId, Vec<(EdgeId, Edge)>> = FxHashMap::default();
    for (id, edge) in network.edges() {
        if let EdgeKind::Contact(end) = edge.kind {
            contacts.entry(end).or_default().push((id, *edge));
        }
    }
    let is_class_b = |held: Potential| held.domain().is_some_and(|domain| model[domain].is_class_b());
    let mut found = Vec::new();
    for connector in
        facts.connectors().iter().filter(|connector| connector.contacts.iter().any(|contact| is_class_b(contact.held)))
    {
        let (Mate::End(end), Some(partner)) = (connector.own.at, connector.partner.map(|half| half.at)) else { continue };
        let labels = labels(facts, connector);
        let of_pair = [Some(end), if let Mate::End(other) = partner { Some(other) } else { None }].into_iter().flatten();
        let own: Vec<(EdgeId, Edge)> = of_pair
            .flat_map(|end| contacts.get(&end).into_iter().flatten())
            .filter(|(_, edge)| labels.contains(&model[edge.a].label) || has_role(edge.a) || has_role(edge.b))
            .copied()
            .collect();
        if let Some(one) = judged(facts, (end, partner), (labels, &own), &drawn) {
            found.push(one);
        }
    }
    found
}

/// The labels of the interlock contacts, as either housing gives them.
fn labels(facts: &Facts, connector: &Connector) -> Vec<Name> {
    let housings = connector.halves().filter_map(|half| half.housing);
    let mut labels: Vec<Name> = Vec::new();
    for label in housings.flat_map(|housing| &facts.model()[housing].interlock) {
        if !labels.contains(label) {
            labels.push(*label);
        }
    }
    labels
}

fn judged(
    facts: &Facts,
    (end, partner): (EndId, Mate),
    (labels, own): (Vec<Name>, &[(EdgeId, Edge)]),
    drawn: &IdVec<PointId, bool>,
) -> Option<BypassedInterlock> {
    let (model, network) = (facts.model(), facts.network());
    let none = BypassedInterlock { end, partner, contacts: labels, bridge: None, start: None, path: Vec::new() };
    if own.is_empty() {
        let Mate::Port(port) = partner else { return None };
        let mut pins = model[port].points.iter().filter(|point| none.contacts.contains(&model[*point].label));
        // A pin that needs a wire and has none was reported; what a device does with a pin by itself is its own matter.
        let is_optional = |point: PointId| {
            let need = model[point].pin.and_then(|pin| model[pin].need);
            need.is_some_and(|need| need.value == Need::Optional)
        };
        let is_known = pins.any(|point| facts.unconnected().contains(&point) || drawn[point] || is_optional(point));
        return (!none.contacts.is_empty() && !is_known).then_some(none);
    }
    let keep = |id: EdgeId, edge: &Edge| {
        let leads = edge.is_metal() || edge.role == EdgeRole::Interlock || edge.role.is_fuse();
        leads && own.iter().all(|(contact, _)| *contact != id)
    };
    let joined = network.components(keep);
    // Each contact as its point on the loom's side and the one on the other.
    let sides: Vec<(PointId, PointId)> = own
        .iter()
        .map(|(_, edge)| if model[edge.a].kind == PointKind::Cavity(end) { (edge.a, edge.b) } else { (edge.b, edge.a) })
        .collect();
    let contacts: Vec<Name> = sides.iter().map(|(point, _)| model[*point].label).collect();
    let none = BypassedInterlock { contacts, ..none };
    for (at, one) in sides.iter().enumerate() {
        for other in sides.iter().skip(at + 1) {
            if both_joined(&joined, *one, *other) {
                return Some(bypass(facts, none, keep, [(one.0, other.0), (one.1, other.1)]));
            }
            // The loop goes on past the plug, and nothing is behind its contacts. A jumper in the plug may be for the device alone.
            let is_open = |point: PointId| !drawn[point] && network.around(point).count() == 1;
            if joined.of(one.0) == joined.of(other.0) && is_open(one.1) && is_open(other.1) {
                let path = network.path(one.0, |point| point == other.0, keep)?;
                if path.len() > 1 {
                    return Some(BypassedInterlock { start: Some(one.0), path, ..none });
                }
            }
        }
    }
    let past = |(a, b): &(PointId, PointId)| joined.of(*a) == joined.of(*b);
    if let Some(first) = sides.first().filter(|_| sides.iter().all(past)) {
        let path = network.path(first.0, |point| point == first.1, keep)?;
        return Some(BypassedInterlock { start: Some(first.0), path, ..none });
    }
    None
}

fn both_joined(joined: &Components, one: (PointId, PointId), other: (PointId, PointId)) -> bool {
    joined.of(one.0) == joined.of(other.0) && joined.of(one.1) == joined.of(other.1)
}

/// Of the two ways that join the contacts the one that is not the bridge inside the connector.
fn bypass(
    facts: &Facts,
    none: BypassedInterlock,
    keep: impl Fn(EdgeId, &Edge) -> bool + Copy,
    ways: [(PointId, PointId); 2],
) -> BypassedInterlock {
    let network = facts.network();
    let [own, partner] = ways.map(|(from, to)| (from, network.path(from, |point| point == to, keep).unwrap_or_default()));
    let bridge = |steps: &[Step]| {
        let mut elements = steps.iter().map(|step| &network[step.edge]).filter(|edge| edge.role == EdgeRole::Interlock);
        elements.next().and_then(Edge::element)
    };
    // A jumper between two cavities of the plug is the bridge, if no element is.
    let is_jumper = own.1.len() == 1;
    let (bridge, (start, path)) = match (bridge(&own.1), bridge(&partner.1)) {
        (Some(bridge), _) => (Some(bridge), partner),
        (None, Some(bridge)) => (Some(bridge), own),
        (None, None) => (None, if is_jumper { partner } else { own }),
    };
    BypassedInterlock { bridge, start: Some(start), path, ..none }
}
