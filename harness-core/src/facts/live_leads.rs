//! What a charger leaves live while it does not charge: its lead, and ports that nothing mates.
//!
//! The idea: open every contact. A charger that both poles of the cells still reach has a lead that nothing ever makes dead, although the battery
//! has contactors for what it drives; whoever unmates that lead has the cells at hand. A port that nothing mates is at hand as it is.
//!
//! Cost: nothing without chargers and contactors of class B; else a sorting of the points. For ports, a pass over their contacts in each mode.

use super::{Facts, live_parts::LivePair, loops::is_contactor, one_pole::floats, openings::Opening};
use crate::{
    model::{DeviceId, DomainId, ElementId, EndId, Mate, ModeId, ModeSet, PointId, PointKind, PortId, PortKind},
    network::{Edge, EdgeId, EdgeKind, GroupId, Step, turned},
    quantity::Volt,
    standards::voltage::class_a_limit,
    vocabulary::Access,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Leads of chargers that stay at a battery of class B, in the order of their edges.
    ///
    /// Asked by `charging/live-inlet`.
    #[must_use]
    pub fn live_leads(&self) -> Vec<LiveLead> {
        live_leads(self)
    }

    /// Ports that nothing mates with a live contact in a mode that neither charges nor says that it is safe to touch, in the order of the ports.
    ///
    /// Asked by `charging/live-inlet`.
    #[must_use]
    pub fn bare_ports(&self) -> Vec<BarePort> {
        bare_ports(self)
    }
}

/// A lead of a charger that no contact makes dead.
#[derive(Debug)]
pub struct LiveLead {
    /// The charger.
    pub charger: ElementId,
    /// The plug nearest to it that opens without a tool.
    pub plug: EndId,
    /// Whether the design says that it opens without a tool.
    pub is_stated: bool,
    /// A contact that closes only while it charges, and the pin of a box on the way to which it leads and behind which nothing is drawn: the control
    /// of a contactor that is not there.
    pub control: Option<(ElementId, PointId)>,
    /// A contactor of the battery.
    pub contactor: ElementId,
    /// The most voltage between its poles while it does not charge.
    pub volts: Volt,
    /// The modes in which it is live and does not charge, as written.
    pub modes: Vec<ModeId>,
    /// The pole of the cells.
    pub start: PointId,
    /// From there to the charger.
    pub path: Vec<Step>,
}

/// A port that nothing mates, with live contacts.
#[derive(Debug)]
pub struct BarePort {
    /// The port.
    pub port: PortId,
    /// The contact with the most voltage, in the first mode that has it.
    pub pair: LivePair,
    /// The modes in which it is live, as written.
    pub modes: Vec<ModeId>,
}

fn live_leads(facts: &Facts) -> Vec<LiveLead> {
    let (model, network) = (facts.model(), facts.network());
    let chargers: Vec<(Edge, ElementId, DomainId)> = network
        .edges()
        .filter(|(_, edge)| edge.role.drives() && !edge.role.takes_charge())
        .filter_map(|(_, edge)| Some((*edge, edge.element()?, floats(facts, edge.b)?)))
        .collect();
    let contactors: Vec<(ElementId, Edge)> = network
        .edges()
        .filter(|(_, edge)| edge.role.is_relay_contact() && is_contactor(facts, edge))
        .filter_map(|(_, edge)| Some((edge.element()?, *edge)))
        .collect();
    if chargers.is_empty() || contactors.is_empty() {
        return Vec::new();
    }
    let leads = |_: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && !is_contactor(facts, edge);
    let open = network.components(leads);
    let cells: FxHashSet<PointId> = network
        .edges()
        .filter(|(_, edge)| edge.role.takes_charge() && floats(facts, edge.b).is_some())
        .flat_map(|(_, edge)| [edge.a, edge.b])
        .collect();
    let live: FxHashSet<GroupId> = cells.iter().map(|cell| open.of(*cell)).collect();
    let is_live = |point: PointId| live.contains(&open.of(point));
    let stations: FxHashSet<ElementId> = facts.inlets().iter().flat_map(|inlet| inlet.station.iter().copied()).collect();
    let found =
        chargers.into_iter().filter(|(_, charger, _)| !stations.contains(charger)).filter_map(|(edge, charger, domain)| {
            if !is_live(edge.a) || !is_live(edge.b) || open.of(edge.a) == open.of(edge.b) {
                return None;
            }
            let separates = |at: &Edge| is_live(at.a) != is_live(at.b) && floats(facts, at.a) == Some(domain);
            let contactor = contactors.iter().find(|(_, at)| separates(at))?.0;
            let on = model[charger].kind.modes()?;
            let at_rest = facts.electrical().modes_as_written().into_iter().filter(|state| !on.has(state.id));
            let volts: Vec<(ModeId, Volt)> = at_rest
                .map(|state| (state.id, (state.volts(edge.b) - state.volts(edge.a)).abs()))
                .filter(|(_, volts)| *volts > class_a_limit(false).value)
                .collect();
            let most = volts.iter().map(|(_, volts)| *volts).max_by(|one, other| one.get().total_cmp(&other.get()))?;
            let way = network.path(edge.b, |at| cells.contains(&at), leads)?;
            let opens = |end: &EndId| match facts.opens_by(Opening::Connector(*end)).access {
                Access::Open | Access::WithoutTool => true,
                Access::WithTool | Access::Sealed => false,
            };
            let plug = way.iter().find_map(|step| match network[step.edge].kind {
                EdgeKind::Contact(end) => Some(end).filter(opens),
                _ => None,
            })?;
            let is_stated = !facts.opens_by(Opening::Connector(plug)).is_assumed;
            let control = control(facts, &way, on);
            let (start, path) = turned(edge.b, &way);
            let modes = volts.into_iter().map(|(mode, _)| mode).collect();
            Some(LiveLead { charger, plug, is_stated, control, contactor, volts: most, modes, start, path })
        });
    found.collect()
}

/// A contact that closes in modes of `on` alone and leads to a pin with nothing behind it, of a box that `way` passes.
fn control(facts: &Facts, way: &[Step], on: ModeSet) -> Option<(ElementId, PointId)> {
    let (model, network) = (facts.model(), facts.network());
    let own = |element: ElementId| model[element].owner.device();
    let boxes: FxHashSet<DeviceId> = way.iter().filter_map(|step| own(network[step.edge].element()?)).collect();
    let is_only_then = |element: ElementId| {
        let closed = |mode: ModeId| model[element].kind.is_closed(mode) == Some(true);
        let modes = || facts.electrical().modes().map(|state| state.id);
        modes().any(closed) && modes().filter(|mode| closed(*mode)).all(|mode| on.has(mode))
    };
    let controls: Vec<(ElementId, PointId)> = network
        .edges()
        .filter(|(_, edge)| edge.role.cuts_coils())
        .filter_map(|(_, edge)| Some((edge.element()?, edge)))
        .filter(|(element, _)| is_only_then(*element))
        .flat_map(|(element, edge)| [(element, edge.a), (element, edge.b)])
        .collect();
    if controls.is_empty() {
        return None;
    }
    let is_bare = |point: PointId| network.around(point).all(|(_, edge, _)| edge.element().is_none());
    let pins = boxes.iter().flat_map(|device| model.points_of(&model[*device])).filter(|point| is_bare(*point));
    let mut found: Vec<(ElementId, PointId)> = pins
        .filter_map(|pin| {
            let net = network.net(pin);
            let (control, _) = controls.iter().find(|(_, point)| network.net(*point) == net)?;
            // Nothing else is on that net: the other side of the contact is a supply or a return.
            let mut on_net = network.edges().filter(|(_, edge)| network.net(edge.a) == net || network.net(edge.b) == net);
            on_net.all(|(_, edge)| edge.element().is_none_or(|element| element == *control)).then_some((*control, pin))
        })
        .collect();
    found.sort_unstable_by_key(|(_, pin)| *pin);
    found.first().copied()
}

fn bare_ports(facts: &Facts) -> Vec<BarePort> {
    let model = facts.model();
    let mated: FxHashSet<Mate> = model.ends().filter_map(|(_, end)| end.mate).collect();
    let inlets: FxHashSet<PortId> = facts.inlets().iter().map(|inlet| inlet.port).collect();
    // Sockets of the mains have contacts that no finger reaches.
    let is_of_class_b = |point: PointId| {
        facts.electrical().domains().of(point).is_some_and(|domain| model[domain].is_class_b() && !model[domain].ac)
    };
    let mut bare: Vec<(PortId, Vec<PointId>)> = Vec::new();
    for point in facts.touchable().iter().map(|one| one.point).filter(|point| is_of_class_b(*point)) {
        let PointKind::Pin(port) = model[point].kind else { continue };
        let is_connector = matches!(model[port].kind, PortKind::Connector(_));
        // The taps of a board that watches cells are inside their pack.
        let is_tap = model.pin_at(point).is_some_and(|pin| pin.tap.is_some());
        if !is_connector || is_tap || mated.contains(&Mate::Port(port)) || inlets.contains(&port) {
            continue;
        }
        match bare.last_mut().filter(|(known, _)| *known == port) {
            Some((_, points)) => points.push(point),
            None => bare.push((port, vec![point])),
        }
    }
    let charges = |mode: ModeId| model[mode].touch_safe || model[mode].immobile;
    let found = bare.into_iter().filter_map(|(port, points)| {
        let mut worst: Option<LivePair> = None;
        let mut modes = Vec::new();
        for state in facts.electrical().modes_as_written().into_iter().filter(|state| !charges(state.id)) {
            let Some(pair) = facts.live_among(state, &points).into_iter().next() else { continue };
            modes.push(state.id);
            if worst.as_ref().is_none_or(|known| pair.volts > known.volts) {
                worst = Some(pair);
            }
        }
        Some(BarePort { port, pair: worst?, modes })
    });
    found.collect()
}
