//! The interlock loops as drawn: where one is not closed, and what keeps one closed although it was opened.
//!
//! The idea: an interlock bridge alone must open its loop. Conductors cut at all bridges are *pieces*, and the bridges join the pieces to a small
//! graph. A bridge that is on a ring of that graph is bypassed. One that is on no ring of all that conducts, the loop's controller
//! and the sources taken as joined, is in a loop that is open. And a bridge with a pole of a source, or the chassis, on both its sides is
//! fed from both, so that opening it leaves its loop alive.
//!
//! Cost: nothing without interlock bridges; else a few passes over the edges for each mode in which contactors of class B are closed.

mod effect;
mod pieces;

pub(super) use effect::seen_by;
pub use effect::{DropsBy, LoopEffect};
pub(super) use pieces::is_loop_pin;

use self::pieces::{Pieces, Reach};
use super::Facts;
use crate::{
    electrical::ModeState,
    model::{DeviceId, ElementId, ElementKind, ModeId, PointId, PointKind},
    network::{Edge, EdgeId, EdgeRole, Step},
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// What is wrong with the interlock loops, and what they drop.
    ///
    /// Asked by `interlock/loop-open`, `interlock/bypass`, `interlock/no-effect`, `interlock/ground-side`, `netlist/bypassed-part` and
    /// `harness live`.
    #[must_use]
    pub fn loops(&self) -> &Loops {
        self.made.loops.get_or_init(|| loops(self))
    }
}

impl Facts {
    /// Interlock bridges that were part of a closed loop in a mode and no longer are in `after`, which `opened` led to; those of `opened`
    /// are not among them. Cost: a few passes over the edges.
    ///
    /// Asked by `harness live`.
    #[must_use]
    pub fn loops_opened(&self, before: &ModeState, after: &ModeState, opened: &[EdgeId]) -> Vec<ElementId> {
        let bridges = &self.loops().bridges;
        if bridges.is_empty() {
            return Vec::new();
        }
        let (before, after) = (Pieces::new(self, before, bridges), Pieces::new(self, after, bridges));
        let lost = bridges.iter().filter(|bridge| before.is_in_ring(**bridge) && !after.is_in_ring(**bridge));
        lost.filter(|bridge| !opened.contains(bridge)).filter_map(|bridge| self.network()[*bridge].element()).collect()
    }
}

/// The interlock loops of a design.
#[derive(Debug, Default)]
pub struct Loops {
    /// The bridges, in the order of their edges.
    pub bridges: Vec<EdgeId>,
    /// Bridges that are in no closed loop, by mode; at most one entry a mode.
    pub open: Vec<OpenLoop>,
    /// What leads past bridges.
    pub bypasses: Vec<Bypass>,
    /// What feeds a loop on both sides of a bridge.
    pub feeds: Vec<SecondFeed>,
    /// What opening each loop drops, by loop and mode.
    pub effects: Vec<LoopEffect>,
}

/// Bridges that are in no closed loop.
#[derive(Debug)]
pub struct OpenLoop {
    /// The modes in which it is open: all of those in which it should be closed.
    pub modes: Vec<ModeId>,
    /// No contactor of class B is closed in any of them: it is open in every mode that the design has.
    pub is_never_closed: bool,
    /// The bridges.
    pub bridges: Vec<ElementId>,
    /// Where the loop ends at nothing.
    pub dead_ends: Vec<PointId>,
    /// Contacts and empty fuse holders that would close it.
    pub opened_by: Vec<ElementId>,
}

/// What leads past one or several bridges.
#[derive(Debug)]
pub struct Bypass {
    /// The bridges that open nothing.
    pub bridges: Vec<ElementId>,
    /// Where the bypass begins.
    pub start: PointId,
    /// Its way, with no bridge of the bypassed section in it.
    pub path: Vec<Step>,
    /// A mode in which it is so.
    pub mode: ModeId,
}

/// A loop that is alive on both sides of an open bridge.
#[derive(Debug)]
pub struct SecondFeed {
    /// The bridges that open in vain.
    pub bridges: Vec<ElementId>,
    /// The ways from the two sides of a bridge to what feeds them.
    pub ways: [(PointId, Vec<Step>); 2],
    /// The loop begins and ends at two pins of one device of which nothing is drawn, and something else feeds it.
    pub of_controller: Option<DeviceId>,
    /// A mode in which it is so.
    pub mode: ModeId,
}

fn loops(facts: &Facts) -> Loops {
    let network = facts.network();
    let bridges: Vec<EdgeId> = network.edges().filter(|(_, edge)| is_bridge(facts, edge)).map(|(id, _)| id).collect();
    if bridges.is_empty() {
        return Loops::default();
    }
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    let driving: Vec<&ModeState> = modes.iter().copied().filter(|mode| has_contactor_in(facts, mode)).collect();
    let is_never_closed = driving.is_empty();
    let judged = if is_never_closed { &modes } else { &driving };
    let mut found = Loops { bridges: bridges.clone(), ..Loops::default() };
    let mut open: Vec<(EdgeId, Vec<ModeId>)> = bridges.iter().map(|bridge| (*bridge, Vec::new())).collect();
    let (mut bypassed, mut fed): (FxHashSet<EdgeId>, FxHashSet<EdgeId>) = Default::default();
    for mode in judged {
        let pieces = Pieces::new(facts, mode, &bridges);
        for (bridge, modes) in &mut open {
            if !pieces.is_in_ring(*bridge) && pieces.is_wired(*bridge) {
                modes.push(mode.id);
            }
        }
        found.bypasses.extend(bypasses(facts, &pieces, mode, &mut bypassed));
        found.feeds.extend(feeds(facts, &pieces, mode, &bypassed, &mut fed));
        if !is_never_closed {
            found.effects.extend(effect::effects(facts, &pieces, mode));
        }
    }
    // A loop that is closed in one of several modes without contactors may be opened on purpose in the others.
    open.retain(|(bridge, modes)| {
        !modes.is_empty() && (!is_never_closed || modes.len() == judged.len()) && !bypassed.contains(bridge)
    });
    found.open = open_loops(facts, judged, open, &bridges, is_never_closed);
    found
}

/// Whether an edge closes an interlock loop inside a connector, lid or switch: it is drawn so, or a bar is at two pins of the loop, or a resistor
/// at two pins of the loop beside contacts of class B. Any other resistor is that of the controller.
fn is_bridge(facts: &Facts, edge: &Edge) -> bool {
    let model = facts.model();
    if edge.role == EdgeRole::Interlock {
        return true;
    }
    let joins_loop = [edge.a, edge.b].iter().all(|point| model.role_at(*point) == Some(Role::Interlock));
    if edge.element().is_none() || !edge.role.may_bridge_loop() || !joins_loop || has_bridge_beside(facts, edge) {
        return false;
    }
    let is_beside_class_b = || match model[edge.a].kind {
        PointKind::Pin(port) => model[port].points.iter().any(|point| {
            let domain = facts.electrical().domains().of(point);
            model.role_at(point) != Some(Role::Interlock) && domain.is_some_and(|domain| model[domain].is_class_b())
        }),
        PointKind::Stud(_) | PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => false,
    };
    edge.is_metal() || is_beside_class_b()
}

/// Whether an interlock joins the points of an edge too: what is beside it leads past it.
fn has_bridge_beside(facts: &Facts, edge: &Edge) -> bool {
    let mut around = facts.network().around(edge.a);
    around.any(|(_, other, point)| other.role == EdgeRole::Interlock && point == edge.b)
}

/// Whether a contactor of voltage class B is closed in a mode: a contact with a coil, where the design has any, else a switch.
fn has_contactor_in(facts: &Facts, mode: &ModeState) -> bool {
    let contactors = || facts.network().edges().filter(|(_, edge)| is_contactor(facts, edge));
    let is_dropped = |edge: &Edge| edge.role == EdgeRole::MakeContact;
    let has_coils = contactors().any(|(_, edge)| is_dropped(edge));
    contactors().any(|(id, edge)| (is_dropped(edge) || !has_coils) && mode.conducts(id))
}

/// A contact in a conductor of voltage class B that a loop has to open.
pub(crate) fn is_contactor(facts: &Facts, edge: &Edge) -> bool {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let is_class_b = |point: PointId| domains.of(point).is_some_and(|domain| model[domain].is_class_b());
    edge.role.cuts_coils() && is_class_b(edge.a) && is_class_b(edge.b)
}

/// Bypasses of bridges that are not known yet.
fn bypasses(facts: &Facts, pieces: &Pieces<'_>, mode: &ModeState, known: &mut FxHashSet<EdgeId>) -> Vec<Bypass> {
    let network = facts.network();
    let mut found: Vec<Bypass> = Vec::new();
    for bridge in pieces.bridges.iter().copied().filter(|bridge| pieces.reach(*bridge) == Reach::Ring) {
        if !known.insert(bridge) {
            continue;
        }
        let edge = network[bridge];
        let Some(element) = edge.element() else { continue };
        let Some(way) = network.path(edge.a, |point| point == edge.b, |id, other| id != bridge && pieces.leads(id, other)) else {
            continue;
        };
        let (start, path) = pieces.without_loop(edge.a, &way);
        // Bridges of one section have one bypass.
        let shares = |bypass: &&mut Bypass| {
            let own = |id: EdgeId| path.iter().any(|step| step.edge == id);
            bypass.path.iter().any(|step| own(step.edge))
        };
        match found.iter_mut().find(shares) {
            Some(bypass) => bypass.bridges.push(element),
            None => found.push(Bypass { bridges: vec![element], start, path, mode: mode.id }),
        }
    }
    found
}

/// Loops that are fed on both sides of a bridge.
fn feeds(
    facts: &Facts,
    pieces: &Pieces<'_>,
    mode: &ModeState,
    bypassed: &FxHashSet<EdgeId>,
    known: &mut FxHashSet<EdgeId>,
) -> Vec<SecondFeed> {
    let network = facts.network();
    let mut found: Vec<SecondFeed> = Vec::new();
    for bridge in pieces.bridges.iter().copied().filter(|bridge| !bypassed.contains(bridge)) {
        let alive = match pieces.reach(bridge) {
            Reach::FedFromBoth => true,
            Reach::Ring | Reach::Open => false,
            Reach::Cut => pieces.is_passed_by(facts, bridge) || pieces.stays_alive(facts, mode, bridge),
        };
        let (edge, tied) = (network[bridge], pieces.tied_controller(facts, bridge));
        if !alive && tied.is_none() || !known.insert(bridge) {
            continue;
        }
        let Some(element) = edge.element() else { continue };
        let keep = |id: EdgeId, other: &Edge| id != bridge && pieces.leads(id, other);
        let way = |from: PointId| {
            let steps = network.path(from, |point| pieces.is_pole(point), keep).unwrap_or_default();
            (from, steps)
        };
        let ways = [way(edge.a.min(edge.b)), way(edge.a.max(edge.b))];
        // The bridges of one loop between the two feeds are one finding.
        let is_same = |feed: &&mut SecondFeed| {
            let edges: FxHashSet<EdgeId> = feed.ways.iter().flat_map(|(_, steps)| steps.iter().map(|step| step.edge)).collect();
            ways.iter().flat_map(|(_, steps)| steps).any(|step| edges.contains(&step.edge))
        };
        match found.iter_mut().find(is_same) {
            Some(feed) => {
                feed.bridges.push(element);
                // The shortest way on each side has the least of the loop itself in it.
                for (known, own) in feed.ways.iter_mut().zip(ways) {
                    if !own.1.is_empty() && (known.1.is_empty() || own.1.len() < known.1.len()) {
                        *known = own;
                    }
                }
            }
            None => {
                found.push(SecondFeed { bridges: vec![element], ways, of_controller: tied.filter(|_| !alive), mode: mode.id })
            }
        }
    }
    found
}

/// Open bridges with where their loop ends, those that are open in the same modes together.
fn open_loops(
    facts: &Facts,
    judged: &[&ModeState],
    open: Vec<(EdgeId, Vec<ModeId>)>,
    all: &[EdgeId],
    is_never_closed: bool,
) -> Vec<OpenLoop> {
    let network = facts.network();
    let mut groups: Vec<(Vec<ModeId>, Vec<EdgeId>)> = Vec::new();
    for (bridge, modes) in open {
        match groups.iter_mut().find(|(known, _)| *known == modes) {
            Some((_, bridges)) => bridges.push(bridge),
            None => groups.push((modes, vec![bridge])),
        }
    }
    let found = groups.into_iter().filter_map(|(modes, bridges)| {
        let mode = judged.iter().find(|mode| Some(&mode.id) == modes.first())?;
        let pieces = Pieces::new(facts, mode, all);
        let (dead_ends, opened_by) = pieces.dead_ends(facts, &bridges);
        let bridges = bridges.iter().filter_map(|bridge| network[*bridge].element()).collect();
        Some(OpenLoop { modes, is_never_closed, bridges, dead_ends, opened_by })
    });
    found.collect()
}

/// The device that holds an element.
fn holder(facts: &Facts, element: ElementId) -> Option<DeviceId> {
    facts.model()[element].owner.device()
}

/// Whether a contact or fuse holder would join two points once it is closed or filled.
fn closes(facts: &Facts, element: ElementId) -> bool {
    match &facts.model()[element].kind {
        ElementKind::Switch { .. } | ElementKind::Relay { .. } | ElementKind::Disconnect { .. } | ElementKind::Fuse { .. } => {
            true
        }
        ElementKind::Link { .. } | ElementKind::Interlock { .. } => true,
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => false,
        ElementKind::Diode(_) | ElementKind::Converter { .. } => false,
    }
}
