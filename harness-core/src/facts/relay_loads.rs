//! What hangs on the contact of a relay in one state: which points no source reaches once that contact is taken away.
//!
//! The idea: closed conductors are walked once from the positive poles of all sources. A contact that is the only way to what is
//! behind it is a bridge of that walk, and what is behind it are the points that the walk enters and leaves between.

use super::Facts;
use crate::{
    arena::IdVec,
    electrical::ModeState,
    model::{ElementId, ElementKind, PointId},
    network::{EdgeId, Network},
    vocabulary::LoadKind,
};
use rustc_hash::FxHashMap;

/// Share of its nominal voltage from which a load counts as alive.
pub const ALIVE: f64 = 0.5;

/// Coils and loads that are alive in a state, and the contacts that they hang on.
///
/// Cost: a pass over points and edges, and for each relay the loads behind its contact.
#[derive(Debug)]
pub struct RelayLoads {
    /// What hangs on the closed contacts of each relay, each: from where the walk enters it to where it leaves it.
    behind: FxHashMap<ElementId, Vec<(u32, u32)>>,
    /// By where the walk enters their live side.
    alive: Vec<(u32, Alive)>,
}

/// A load or coil that is alive.
#[derive(Debug, Clone, Copy)]
struct Alive {
    edge: EdgeId,
    element: ElementId,
    /// Volts from which it counts as alive.
    least: f64,
}

impl RelayLoads {
    /// Looks at one state of a design.
    #[must_use]
    pub fn new(facts: &Facts, state: &ModeState) -> Self {
        let (model, network) = (facts.model(), facts.network());
        let walk = Walk::new(network, state);
        let mut alive = Vec::new();
        for (edge, item) in network.edges().filter(|(_, edge)| edge.role.draws()) {
            let Some(element) = item.element() else { continue };
            // Of a converter, and of a load of no known kind, nobody can say whether it should be off.
            let off = match model[element].kind {
                ElementKind::Relay { .. } => true,
                ElementKind::Load { kind, modes, .. } => kind.is_some_and(LoadKind::works_when_fed) && !modes.has(state.id),
                ElementKind::Converter { .. } | ElementKind::Source { .. } | ElementKind::Resistor(_) => false,
                ElementKind::Capacitor(_) | ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Switch { .. } => {
                    false
                }
                ElementKind::Disconnect { .. } | ElementKind::Link { .. } | ElementKind::Interlock { .. } => false,
            };
            let Some(least) = facts.nominal(element).filter(|_| off).map(|nominal| nominal.get() * ALIVE) else { continue };
            let across = state.volts(item.a).get() - state.volts(item.b).get();
            let hot = if across > 0.0 { item.a } else { item.b };
            if across.abs() >= least && walk.entered[hot] > 0 {
                alive.push((walk.entered[hot], Alive { edge, element, least }));
            }
        }
        alive.sort_unstable_by_key(|(at, load)| (*at, load.edge));
        Self { behind: walk.behind_contacts(network, state), alive }
    }

    /// Coils and loads that are alive, should be off, and hang on the contact of `relay`; in `before` they are not alive. In the
    /// order of their edges.
    #[must_use]
    pub fn behind(&self, network: &Network, relay: ElementId, before: Option<&ModeState>) -> Vec<ElementId> {
        let inside = self.behind.get(&relay).into_iter().flatten().flat_map(|(enter, leave)| {
            let first = self.alive.partition_point(|(at, _)| at < enter);
            self.alive.iter().skip(first).take_while(move |(at, _)| at <= leave).map(|(_, load)| load)
        });
        let new = inside.filter(|load| {
            let edge = &network[load.edge];
            let was = |state: &ModeState| (state.volts(edge.a).get() - state.volts(edge.b).get()).abs() >= load.least;
            load.element != relay && before.is_none_or(|before| !was(before))
        });
        let mut new: Vec<(EdgeId, ElementId)> = new.map(|load| (load.edge, load.element)).collect();
        new.sort_unstable();
        new.dedup();
        new.into_iter().map(|(_, element)| element).collect()
    }
}

/// A walk in depth over closed conductors, from the positive poles of the sources that are on.
struct Walk {
    /// When each point was entered, from 1; 0 where no source reaches it.
    entered: IdVec<PointId, u32>,
    /// When the last point behind it was entered.
    left: IdVec<PointId, u32>,
    /// The earliest point that is reached from behind it without the edge that led to it; 0 for a pole.
    low: IdVec<PointId, u32>,
    /// The edge that led to each point.
    by: IdVec<PointId, Option<EdgeId>>,
}

impl Walk {
    fn new(network: &Network, state: &ModeState) -> Self {
        let points = network.point_count();
        let mut walk = Self {
            entered: IdVec::of(0, points),
            left: IdVec::of(0, points),
            low: IdVec::of(0, points),
            by: IdVec::of(None, points),
        };
        let mut pole: IdVec<PointId, bool> = IdVec::of(false, points);
        let sources = network.edges().filter(|(id, edge)| edge.role.drives() && state.conducts(*id));
        for (_, edge) in sources {
            pole[edge.b] = true;
        }
        let mut clock = 0;
        for start in pole.ids().filter(|point| pole[*point]) {
            if walk.entered[start] > 0 {
                continue;
            }
            let mut open = vec![(start, network.around(start))];
            clock = walk.enter(start, None, clock, true);
            while let Some((point, around)) = open.last_mut() {
                let point = *point;
                let Some((id, edge, other)) = around.next() else {
                    walk.left[point] = clock;
                    open.pop();
                    if let Some((above, _)) = open.last() {
                        walk.low[*above] = walk.low[*above].min(walk.low[point]);
                    }
                    continue;
                };
                if !edge.role.conducts_when_closed() || !state.conducts(id) || walk.by[point] == Some(id) {
                    continue;
                }
                if walk.entered[other] == 0 {
                    clock = walk.enter(other, Some(id), clock, pole[other]);
                    open.push((other, network.around(other)));
                } else {
                    walk.low[point] = walk.low[point].min(walk.entered[other]);
                }
            }
        }
        walk
    }

    fn enter(&mut self, point: PointId, by: Option<EdgeId>, clock: u32, is_pole: bool) -> u32 {
        let now = clock + 1;
        self.entered[point] = now;
        self.low[point] = if is_pole { 0 } else { now };
        self.by[point] = by;
        now
    }

    /// For each relay whose closed contact alone leads to something: when that was entered and left.
    fn behind_contacts(&self, network: &Network, state: &ModeState) -> FxHashMap<ElementId, Vec<(u32, u32)>> {
        let contacts = network.edges().filter(|(id, edge)| edge.role.is_relay_contact() && state.conducts(*id));
        let mut behind: FxHashMap<ElementId, Vec<(u32, u32)>> = FxHashMap::default();
        let found = contacts.filter_map(|(id, edge)| {
            let contact = edge.element()?;
            let relay = network.model()[contact].kind.coil_of().unwrap_or(contact);
            let inner = [edge.a, edge.b].into_iter().find(|point| self.by[*point] == Some(id))?;
            // Another way past the contact, or a pole behind it, reaches further up than the contact does.
            (self.low[inner] >= self.entered[inner]).then_some((relay, (self.entered[inner], self.left[inner])))
        });
        for (relay, range) in found {
            behind.entry(relay).or_default().push(range);
        }
        behind
    }
}
