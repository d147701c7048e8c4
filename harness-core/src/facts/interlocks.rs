//! Connectors of voltage class B that can be unplugged without opening the interlock loop.
//!
//! The idea: take the interlock contacts of one connector out of the network. Then one side of it holds the bridge, and on the other side the
//! two ends of the loop are apart. If they are joined on both sides, or each contact is joined past itself, unplugging opens nothing.
//!
//! Cost: nothing where no connector of class B has interlock contacts; else one pass over the edges, and for each of them one over the contacts
//! of all the others.

use super::{Connector, Facts, loops::is_loop_pin, openings::Opening, pins::points_of_elements, reach::PortAccess};
use crate::{
    arena::IdVec,
    model::{ElementId, EndId, Mate, PointId, PointKind, PortId},
    network::{Components, Edge, EdgeId, EdgeKind, EdgeRole, GroupId, Network, Potential, Step},
    standards::voltage::extra_low_limit,
    text::Name,
    vocabulary::{Access, Need, Reference, Role},
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Connectors of class B that open no interlock loop, in the order of the connectors.
    ///
    /// Asked by `interlock/loop-misses`, and by `netlist/bypassed-part` for the bridges in them.
    #[must_use]
    pub fn bypassed_interlocks(&self) -> &[BypassedInterlock] {
        self.made.bypassed_interlocks.get_or_init(|| bypassed_interlocks(self))
    }
}

impl Facts {
    /// Connectors and covers of class B that open by hand and are in no interlock loop, though the design has one: connectors without
    /// interlock contacts, covers without a bridge. In the order of the connectors, then of the covers.
    ///
    /// Cost: a pass over them. Asked by `interlock/loop-misses`.
    #[must_use]
    pub fn outside_loops(&self) -> Vec<OutsideLoop> {
        outside_loops(self)
    }
}

/// A connector or cover that is in no interlock loop.
#[derive(Debug, Clone, Copy)]
pub struct OutsideLoop {
    /// The connector or cover.
    pub opening: Opening,
    /// Nothing says how it is opened.
    pub is_assumed: bool,
}

fn outside_loops(facts: &Facts) -> Vec<OutsideLoop> {
    let (model, network) = (facts.model(), facts.network());
    if !network.edges().any(|(_, edge)| edge.role == EdgeRole::Interlock) {
        return Vec::new();
    }
    let domains = facts.electrical().domains();
    // Mains have their own rules: a plug of mains opens no loop of the vehicle.
    let is_traction = |point: &PointId| {
        domains.of(*point).is_some_and(|domain| model[domain].is_class_b() && model[domain].reference != Reference::Earth)
    };
    let is_high =
        |point: &PointId| domains.of(*point).is_some_and(|domain| model[domain].max > extra_low_limit(model[domain].ac).value);
    let openings = facts.unmatings().iter().filter(|opened| opened.is_class_b && opened.exposed.iter().any(is_traction));
    let found = openings.filter_map(|opened| {
        let PortAccess { access, is_assumed } = facts.opens_by(opened.what);
        let by_hand = match access {
            Access::Open | Access::WithoutTool => true,
            Access::WithTool | Access::Sealed => false,
        };
        let opens = |id: EdgeId| network[id].role == EdgeRole::Interlock || has_loop_role(facts, &network[id]);
        let is_in_loop = opened.edges.iter().any(|id| opens(*id)) || has_interlock_contacts(facts, opened.what);
        // The control plugs of a truck of 72 V or 80 V are in no loop.
        let is_expected = !is_assumed || opened.exposed.iter().any(is_high);
        (by_hand && !is_in_loop && is_expected).then_some(OutsideLoop { opening: opened.what, is_assumed })
    });
    found.collect()
}

/// Whether a contact belongs to a loop by the roles of its pins.
fn has_loop_role(facts: &Facts, edge: &Edge) -> bool {
    [edge.a, edge.b].iter().any(|point| facts.model().role_at(*point) == Some(Role::Interlock))
}

/// Whether either housing of a connector has interlock contacts: whether they open a loop is asked for each such connector.
fn has_interlock_contacts(facts: &Facts, opening: Opening) -> bool {
    let Opening::Connector(end) = opening else { return false };
    let connector = facts.connectors().iter().find(|connector| connector.own.at == Mate::End(end));
    connector.is_some_and(|connector| !labels(facts, connector).is_empty())
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
    let mut unplugged: Vec<Unplugged> = Vec::new();
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
        unplugged.push(Unplugged { end, partner, labels, own });
    }
    let rest = Rest::new(network, unplugged.iter().flat_map(|one| &one.own), &closed_inside(facts, &drawn));
    let ends = loop_ends(facts);
    unplugged.into_iter().filter_map(|one| judged(facts, one, &rest, &drawn, &ends)).collect()
}

/// Pairs of loop pins of ports of class B of which nothing is drawn at them: the box closes the loop inside.
fn closed_inside(facts: &Facts, drawn: &IdVec<PointId, bool>) -> Vec<(PortId, PointId, PointId)> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let mut pairs = Vec::new();
    for (id, port) in model.ports() {
        let is_class_b = |point: PointId| domains.of(point).is_some_and(|domain| model[domain].is_class_b());
        if !port.points.iter().any(|point| !is_loop_pin(model, point) && is_class_b(point)) {
            continue;
        }
        let is_open = |point: &PointId| is_loop_pin(model, *point) && !drawn[*point] && network.around(*point).next().is_some();
        let pins: Vec<PointId> = port.points.iter().filter(is_open).collect();
        pairs.extend(pins.windows(2).filter_map(|pair| Some((id, *pair.first()?, *pair.last()?))));
    }
    pairs
}

/// Where loops may begin and end: pins of the loop beside no contact of class B, and poles of sources.
fn loop_ends(facts: &Facts) -> Vec<PointId> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let is_class_b = |point: PointId| domains.of(point).is_some_and(|domain| model[domain].is_class_b());
    let pins = model.points().filter(|(point, item)| match item.kind {
        PointKind::Pin(port) => {
            let watches = matches!(model.role_at(*point), Some(Role::Interlock | Role::Input));
            watches && !model[port].points.iter().any(is_class_b)
        }
        PointKind::Stud(_) | PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => false,
    });
    let poles = network.edges().filter(|(_, edge)| edge.role.drives()).flat_map(|(_, edge)| [edge.a, edge.b]);
    pins.map(|(point, _)| point).chain(poles).collect()
}

/// A connector of class B that is taken apart.
struct Unplugged {
    end: EndId,
    partner: Mate,
    /// The labels of its interlock contacts.
    labels: Vec<Name>,
    /// Its interlock contacts.
    own: Vec<(EdgeId, Edge)>,
}

/// Whether an interlock loop goes on over an edge.
fn leads(edge: &Edge) -> bool {
    edge.is_metal() || edge.role == EdgeRole::Interlock || edge.role.is_fuse()
}

/// What loops join with the contacts of all these connectors apart, and the contacts.
struct Rest {
    joined: Components,
    /// A small number for each group that a contact touches.
    places: FxHashMap<GroupId, usize>,
    /// Each contact with the groups that it joins, by their numbers.
    contacts: Vec<(EdgeId, usize, usize)>,
    /// The groups that boxes join inside, by the port.
    inside: Vec<(PortId, usize, usize)>,
}

impl Rest {
    fn new<'a>(
        network: &Network,
        contacts: impl Iterator<Item = &'a (EdgeId, Edge)>,
        inside: &[(PortId, PointId, PointId)],
    ) -> Self {
        // Both halves of a connector may be judged.
        let mut apart: Vec<(EdgeId, Edge)> = contacts.filter(|(_, edge)| leads(edge)).copied().collect();
        apart.sort_unstable_by_key(|(id, _)| *id);
        apart.dedup_by_key(|(id, _)| *id);
        let is_apart = |id: EdgeId| apart.binary_search_by_key(&id, |(id, _)| *id).is_ok();
        let joined = network.components(|id, edge| leads(edge) && !is_apart(id));
        let mut places: FxHashMap<GroupId, usize> = FxHashMap::default();
        let mut place = |point: PointId| {
            let next = places.len();
            *places.entry(joined.of(point)).or_insert(next)
        };
        let contacts = apart.iter().map(|(id, edge)| (*id, place(edge.a), place(edge.b))).collect();
        let inside = inside.iter().map(|(port, one, other)| (*port, place(*one), place(*other))).collect();
        Self { contacts, inside, places, joined }
    }

    /// What is joined with these contacts alone apart; the box behind them is not asked.
    fn without(&self, own: &[(EdgeId, Edge)], partner: Mate) -> Joined<'_> {
        let own: FxHashSet<EdgeId> = own.iter().map(|(id, _)| *id).collect();
        let mut sets = UnionFind::new(self.places.len());
        for (_, a, b) in self.contacts.iter().filter(|(id, ..)| !own.contains(id)) {
            sets.union(*a, *b);
        }
        for (_, one, other) in self.inside.iter().filter(|(port, ..)| Mate::Port(*port) != partner) {
            sets.union(*one, *other);
        }
        Joined { rest: self, sets }
    }
}

/// What is joined with the contacts of one connector apart.
struct Joined<'a> {
    rest: &'a Rest,
    sets: UnionFind<usize>,
}

impl Joined<'_> {
    fn are(&self, one: PointId, other: PointId) -> bool {
        let (one, other) = (self.rest.joined.of(one), self.rest.joined.of(other));
        let place = |group: GroupId| self.rest.places.get(&group);
        one == other || place(one).zip(place(other)).is_some_and(|(one, other)| self.sets.equiv(*one, *other))
    }
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
    Unplugged { end, partner, labels, own }: Unplugged,
    rest: &Rest,
    drawn: &IdVec<PointId, bool>,
    ends: &[PointId],
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
    let keep = |id: EdgeId, edge: &Edge| leads(edge) && own.iter().all(|(contact, _)| *contact != id);
    let joined = rest.without(&own, partner);
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
            // A loop that nothing else feeds or watches begins and ends behind this plug.
            let has_end = || ends.iter().any(|end| joined.are(*end, one.0));
            if joined.are(one.0, other.0) && is_open(one.1) && is_open(other.1) && has_end() {
                // None by drawn conductors alone where the loop goes on through boxes of which nothing is drawn.
                let path = network.path(one.0, |point| point == other.0, keep).unwrap_or_default();
                let leads_on = |point: PointId| network.around(point).filter(|(_, edge, _)| edge.wire().is_some()).count() > 1;
                if path.len() != 1 || (leads_on(one.0) && leads_on(other.0)) {
                    return Some(BypassedInterlock { start: Some(one.0), path, ..none });
                }
            }
        }
    }
    let past = |(a, b): &(PointId, PointId)| joined.are(*a, *b);
    if let Some(first) = sides.first().filter(|_| sides.iter().all(past)) {
        let path = network.path(first.0, |point| point == first.1, keep)?;
        return Some(BypassedInterlock { start: Some(first.0), path, ..none });
    }
    None
}

fn both_joined(joined: &Joined<'_>, one: (PointId, PointId), other: (PointId, PointId)) -> bool {
    joined.are(one.0, other.0) && joined.are(one.1, other.1)
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
        let drawn = elements.next().and_then(Edge::element);
        // A bar in the place of a bridge is the bridge.
        drawn.or_else(|| network[steps.first().filter(|_| steps.len() == 1)?.edge].element())
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
