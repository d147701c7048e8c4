//! Capacitors that stay charged: at which voltage they are cut off, through what they empty, and how long that takes.
//!
//! The idea: whatever mode was before, a capacitor may have the highest voltage that any mode gives it. Once no source is joined to it, it falls as
//! `V exp(-t / RC)`, with the resistance that is joined to it then and with all capacitors that are joined to it in parallel. A box that empties it
//! by a means of its own says how long that takes.
//!
//! Cost: one solution of the network for each capacitor of class B that is cut off.

use super::Facts;
use crate::{
    electrical::{ModeState, what_if::Change},
    model::{ElementId, ElementKind, ModeId, PointId},
    network::{Components, Edge, EdgeId, EdgeRole},
    quantity::{Farad, Ohm, Second, Volt},
    standards::voltage::class_a_limit,
};

impl Facts {
    /// Capacitors that are cut off in a state above the limit of class A, in the order of their edges. `changes` are those that led to the
    /// state.
    ///
    /// Asked by `harness live`.
    #[must_use]
    pub fn charged_in(&self, state: &ModeState, changes: &[Change], exposed: &[PointId]) -> Vec<Charged> {
        charged_in(self, self.class_b_capacitors(), state, changes, exposed)
    }

    /// As [`charged_in`](Self::charged_in), of one capacitor alone.
    ///
    /// Asked by `interlock/no-discharge`.
    #[must_use]
    pub fn charge_kept(&self, stored: Stored, state: &ModeState, changes: &[Change]) -> Option<Charged> {
        charged_in(self, vec![stored], state, changes, &[]).pop()
    }

    /// Capacitors that are above the limit of class A in some mode, each with its edge, the highest voltage that it gets and the mode; in the
    /// order of their edges.
    ///
    /// Cost: a pass over the edges. Asked by `interlock/no-discharge`.
    #[must_use]
    pub fn class_b_capacitors(&self) -> Vec<Stored> {
        let network = self.network();
        let capacitors = network.edges().filter(|(_, edge)| edge.role == EdgeRole::Capacitor);
        capacitors.filter_map(|(id, edge)| stored(self, id, edge)).collect()
    }
}

/// A capacitor with the highest voltage that it gets.
#[derive(Debug, Clone, Copy)]
pub struct Stored {
    /// The capacitor.
    pub capacitor: ElementId,
    /// Its edge.
    pub edge: EdgeId,
    /// The highest voltage that it gets.
    pub volts: Volt,
    /// The mode in which it gets it.
    pub mode: ModeId,
}

/// A capacitor that is cut off while it is charged.
#[derive(Debug, Clone)]
pub struct Charged {
    /// The capacitor.
    pub capacitor: ElementId,
    /// The voltage that it has at first, at most.
    pub volts: Volt,
    /// The mode in which it gets that.
    pub mode: ModeId,
    /// Its capacitance, and that of all in parallel with it.
    pub farad: Farad,
    /// What empties it; `None` where nothing does.
    pub ohms: Option<Ohm>,
    /// It is emptied by a means of its own, sooner than by resistors.
    pub by_own_means: bool,
    /// The resistors across it.
    pub through: Vec<ElementId>,
    /// The time to the limit of class A; `None` for never.
    pub time: Option<Second>,
    /// Two contacts that can be touched and have its voltage between them.
    pub touched: Option<[PointId; 2]>,
}

fn stored(facts: &Facts, id: EdgeId, edge: &Edge) -> Option<Stored> {
    let mut most: Option<(f64, ModeId)> = None;
    for mode in facts.electrical().modes() {
        let volts = super::inrush::across(facts, mode, edge);
        if most.is_none_or(|(known, _)| volts > known) {
            most = Some((volts, mode.id));
        }
    }
    let (volts, mode) = most?;
    let limit = class_a_limit(false).value;
    (volts > limit.get()).then_some(Stored { capacitor: edge.element()?, edge: id, volts: Volt::new(volts), mode })
}

fn charged_in(facts: &Facts, stored: Vec<Stored>, state: &ModeState, changes: &[Change], exposed: &[PointId]) -> Vec<Charged> {
    let (model, network) = (facts.model(), facts.network());
    if stored.is_empty() {
        return Vec::new();
    }
    let all = network.components(|id, _| state.conducts(id));
    let leads = network.components(|id, edge| edge.role.conducts_when_closed() && state.conducts(id));
    let limit = class_a_limit(false).value;
    let mut found = Vec::new();
    for one in stored {
        let edge = network[one.edge];
        let is_joined = all.of(edge.a) == all.of(edge.b);
        let now = if is_joined { (state.volts(edge.a) - state.volts(edge.b)).abs() } else { Volt::ZERO };
        // It has the voltage of a source: it is live, and not left over.
        if now > limit {
            continue;
        }
        let ohms = facts.electrical().discharge(state, changes, one.edge);
        let farad = in_parallel(facts, &leads, &edge);
        let falls = ohms.map(|ohms| Second::new(ohms.get() * farad.get() * (one.volts.get() / limit.get()).ln()));
        let own = match &model[one.capacitor].kind {
            ElementKind::Capacitor(capacitor) => capacitor.discharged_in.map(|at| at.value),
            _ => None,
        };
        let time = match (falls, own) {
            (Some(falls), Some(own)) => Some(if own < falls { own } else { falls }),
            (falls, own) => falls.or(own),
        };
        let through = network
            .edges()
            .filter(|(_, other)| {
                let ends = [leads.of(other.a), leads.of(other.b)];
                let across = [[leads.of(edge.a), leads.of(edge.b)], [leads.of(edge.b), leads.of(edge.a)]];
                other.role == EdgeRole::Resistor && across.contains(&ends)
            })
            .filter_map(|(_, other)| other.element())
            .collect();
        let at = |side: PointId| exposed.iter().copied().find(|point| leads.of(*point) == leads.of(side));
        let touched = at(edge.a).zip(at(edge.b)).map(|(a, b)| [a, b]);
        found.push(Charged {
            capacitor: one.capacitor,
            volts: one.volts,
            mode: one.mode,
            farad,
            ohms,
            by_own_means: own.is_some() && time == own,
            through,
            time,
            touched,
        });
    }
    found
}

/// The capacitance of all capacitors that closed conductors join to both sides of one, itself among them.
pub(super) fn in_parallel(facts: &Facts, leads: &Components, edge: &Edge) -> Farad {
    let (model, network) = (facts.model(), facts.network());
    let own = [leads.of(edge.a), leads.of(edge.b)];
    let sum = network.edges().filter_map(|(_, other)| {
        let ElementKind::Capacitor(capacitor) = &model[other.element()?].kind else { return None };
        let ends = [leads.of(other.a), leads.of(other.b)];
        (ends == own || [ends[1], ends[0]] == own).then_some(capacitor.farad.value.get())
    });
    Farad::new(sum.sum())
}
