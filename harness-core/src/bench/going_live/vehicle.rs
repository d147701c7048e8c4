//! What a vehicle is brought to life with: its batteries and where they come off, its other supplies, fuses, disconnects, and its modes in order.

use super::{
    batteries::{Battery, batteries},
    pieces::{Pieces, is_class_b},
    stages::{Stage, least, stages},
    supplies::{Supply, supplies},
    trials::{Trial, trials},
};
use crate::{
    electrical::ModeState,
    facts::Facts,
    model::{DomainId, ElementId, ElementKind, EndId, ModeId, PointId, PointKind},
    network::{Edge, EdgeId},
    standards::reading::bolted_above,
};
use std::collections::BTreeSet;

/// A vehicle, as hands that bring it to life see it.
pub(super) struct Vehicle<'f> {
    pub(super) facts: &'f Facts,
    /// The mode in which hands work: touch-safe where the design has such a mode, with nothing of class B switched on and the least running.
    pub(super) quiet: ModeId,
    /// The mode in which class B comes in: disconnects in, contactors open, the least running.
    pub(super) rest: ModeId,
    pub(super) pieces: Pieces,
    /// All modes, in the order in which they are tried.
    pub(super) modes: Vec<Stage>,
    pub(super) batteries: Vec<Battery>,
    pub(super) supplies: Vec<Supply>,
    /// Fuses of class A that are fitted, in the order written.
    pub(super) fuses: Vec<Fuse>,
    pub(super) disconnects: Vec<Disconnect>,
    /// What must let contacts go.
    pub(super) trials: Vec<Trial>,
}

/// A fuse of class A.
pub(super) struct Fuse {
    pub(super) element: ElementId,
    pub(super) edge: EdgeId,
    pub(super) bolted: bool,
}

/// A service disconnect or main switch.
pub(super) struct Disconnect {
    pub(super) element: ElementId,
    pub(super) edges: Vec<EdgeId>,
    pub(super) class_b: bool,
}

impl<'f> Vehicle<'f> {
    /// `None` for a design without a mode that was computed.
    pub(super) fn new(facts: &'f Facts) -> Option<Self> {
        let disconnects = disconnects(facts);
        let states = facts.electrical().modes_as_written();
        let quiet = least(facts, states.iter().copied())?;
        let is_in = |mode: ModeId| {
            disconnects.iter().all(|one| match facts.model()[one.element].kind {
                ElementKind::Disconnect { out, .. } => !out.has(mode),
                _ => true,
            })
        };
        let rest = if is_in(quiet) {
            quiet
        } else {
            least(facts, states.iter().copied().filter(|state| is_in(state.id))).unwrap_or(quiet)
        };
        let mut supplies = supplies(facts);
        for supply in &mut supplies {
            supply.always = supply.is_on(facts, quiet);
        }
        let modes = stages(facts, &supplies);
        let opened = disconnects.iter().flat_map(|one| one.edges.iter().copied()).collect();
        Some(Self {
            facts,
            quiet,
            rest,
            pieces: Pieces::new(facts),
            trials: trials(facts, &modes),
            modes,
            batteries: batteries(facts, &opened),
            supplies,
            fuses: fuses(facts),
            disconnects,
        })
    }

    /// The piece that an edge belongs to.
    pub(super) fn piece(&self, edge: EdgeId) -> u32 {
        self.pieces.of(self.facts.network()[edge].a)
    }

    /// Whether a point is of class B; one of which no domain is known is not.
    pub(super) fn is_class_b(&self, point: PointId) -> bool {
        is_class_b(self.facts, point)
    }

    /// Whether an end of a loom stays at its battery, whatever is off.
    pub(super) fn is_plugged_in(&self, end: EndId) -> bool {
        self.batteries.iter().all(|battery| battery.lead.is_empty() || !battery.ends.contains(&end))
    }

    /// The domains of class B in which a battery has a pole.
    pub(super) fn domains_with_cells(&self) -> BTreeSet<DomainId> {
        let poles = self.batteries.iter().filter(|battery| battery.class_b).flat_map(|battery| battery.poles);
        let domains = poles.filter_map(|point| self.facts.electrical().domains().of(point));
        domains.filter(|domain| self.facts.model()[*domain].is_class_b()).collect()
    }

    /// Whether a motor has current in a mode.
    pub(super) fn turns_motors(&self, mode: ModeId) -> bool {
        let (model, network) = (self.facts.model(), self.facts.network());
        let is_motor = |edge: &Edge| edge.element().is_some_and(|element| model[element].kind.is_motor());
        let turns =
            |state: &ModeState| network.edges().any(|(id, edge)| edge.role.draws() && is_motor(edge) && state.conducts(id));
        self.facts.electrical().in_mode(mode).is_some_and(turns)
    }

    /// What is open before the first step: where batteries come off, fuses of class A, disconnects, and supplies.
    pub(super) fn all_open(&self) -> BTreeSet<EdgeId> {
        let leads = self.batteries.iter().flat_map(|battery| battery.lead.iter().copied());
        let fuses = self.fuses.iter().map(|fuse| fuse.edge);
        let disconnects = self.disconnects.iter().flat_map(|one| one.edges.iter().copied());
        leads
            .chain(fuses)
            .chain(disconnects)
            .chain(self.supplies.iter().flat_map(|supply| supply.edges.iter().copied()))
            .collect()
    }
}

fn disconnects(facts: &Facts) -> Vec<Disconnect> {
    let mut found: Vec<Disconnect> = Vec::new();
    for (id, edge) in facts.network().edges() {
        let is_cut = edge.role.is_switched() && !edge.role.cuts_coils();
        let Some(element) = edge.element().filter(|_| is_cut) else { continue };
        match found.iter_mut().find(|known| known.element == element) {
            Some(known) => known.edges.push(id),
            None => {
                let class_b = is_class_b(facts, edge.a) || is_class_b(facts, edge.b);
                found.push(Disconnect { element, edges: vec![id], class_b });
            }
        }
    }
    found
}

fn fuses(facts: &Facts) -> Vec<Fuse> {
    let model = facts.model();
    let found = facts.network().edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let ElementKind::Fuse { kind, fitted: true } = model[element].kind else { return None };
        if is_class_b(facts, edge.a) || is_class_b(facts, edge.b) {
            return None;
        }
        let is_stud = |point: PointId| matches!(model[point].kind, PointKind::Stud(_) | PointKind::Ring(_));
        let rating = kind.and_then(|kind| model[kind].rating).map(|rating| rating.value);
        let bolted = is_stud(edge.a) && is_stud(edge.b) || rating.is_some_and(|rating| rating > bolted_above().value);
        Some(Fuse { element, edge: id, bolted })
    });
    found.collect()
}
