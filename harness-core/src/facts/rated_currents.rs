//! What has a rated current of its own (contacts of elements, bus bars, rings, studs, inputs), and what it carries in each mode.

use super::Facts;
use crate::{
    electrical::ModeState,
    model::{ElementId, ElementKind, ModeId, Model, PointId, WireId},
    network::{Edge, EdgeId, EdgeKind, EdgeRole, Network},
    quantity::Ampere,
    text::{At, Span},
};
use std::collections::BTreeMap;

/// Current that counts as none.
const NOTHING: f64 = 1e-3;

impl Facts {
    /// All that has a rated current, and what it carries: the mode of the largest current first, those without current left out.
    ///
    /// Cost: one pass over edges and ports for each mode. Asked by `contact/above-rated-current` and by traces.
    #[must_use]
    pub fn rated_currents(&self) -> &[RatedCurrent] {
        self.made.rated_currents.get_or_init(|| {
            let mut all: Vec<RatedCurrent> = elements(self).chain(joints(self)).chain(studs(self)).collect();
            // A flat battery on charge can make a mode worse: of its states the worst counts.
            let states = self.electrical().loaded_states();
            for rated in &mut all {
                let mut worst: BTreeMap<ModeId, Ampere> = BTreeMap::new();
                for state in &states {
                    let amps = current(self.network(), state, &rated.flow);
                    let given = match rated.flow {
                        Flow::Through(edge) => self.given_flow().of(edge, state.id),
                        Flow::At(_) => None,
                    };
                    let amps = given.map_or(amps, |given| amps + given.amps);
                    rated.given = rated.given.or(given.map(|given| given.wire));
                    let known = worst.entry(state.id).or_insert(amps);
                    *known = known.max(amps);
                }
                rated.carries =
                    worst.into_iter().map(|(mode, amps)| (amps, mode)).filter(|(amps, _)| amps.get() > NOTHING).collect();
                rated.carries.sort_by(|a, b| b.0.get().total_cmp(&a.0.get()));
            }
            worst_of_bars(self.model(), all)
        })
    }
}

/// What has a rated current.
#[derive(Debug, Clone)]
pub struct RatedCurrent {
    /// What it is, before its name.
    pub what: &'static str,
    /// The element, or the point of a ring or stud.
    pub of: RatedThing,
    /// Its rating.
    pub rated: At<Ampere>,
    /// Where the builder would change it.
    pub place: Span,
    /// Its current by mode, the largest first.
    pub carries: Vec<(Ampere, ModeId)>,
    /// A wire whose given current is among them.
    pub given: Option<WireId>,
    flow: Flow,
}

impl RatedCurrent {
    /// The edge through which its current flows; `None` for a stud, at which several meet.
    #[must_use]
    pub const fn edge(&self) -> Option<EdgeId> {
        match self.flow {
            Flow::Through(edge) => Some(edge),
            Flow::At(_) => None,
        }
    }

    /// What it is, without whose it is: `contact`, `input`, `stud`.
    #[must_use]
    pub fn noun(&self) -> &'static str {
        self.what.strip_prefix("the ").and_then(|what| what.split(' ').next()).unwrap_or(self.what)
    }
}

/// The thing that has a rated current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RatedThing {
    /// A relay, switch, disconnect, link or converter.
    Element(ElementId),
    /// A ring or stud.
    Point(PointId),
}

impl RatedThing {
    /// Its name in findings.
    #[must_use]
    pub fn name(self, model: &Model) -> String {
        match self {
            Self::Element(id) => model.element_name(id),
            Self::Point(id) => model.point_name(id),
        }
    }
}

/// Where its current is seen.
#[derive(Debug, Clone, Copy)]
enum Flow {
    /// In an edge.
    Through(EdgeId),
    /// All that comes to a point.
    At(PointId),
}

/// Contacts and inputs of elements, edge by edge: those of a changeover are two.
fn elements(facts: &Facts) -> impl Iterator<Item = RatedCurrent> + '_ {
    let model = facts.model();
    facts.network().edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let (what, current) = rating(model, edge)?;
        let (of, place) = (RatedThing::Element(element), current.span);
        Some(RatedCurrent { what, of, rated: current, place, carries: Vec::new(), given: None, flow: Flow::Through(id) })
    })
}

/// Of the pieces of a bus bar the one that carries most.
fn worst_of_bars(model: &Model, all: Vec<RatedCurrent>) -> Vec<RatedCurrent> {
    let most = |rated: &RatedCurrent| rated.carries.first().map_or(0.0, |(amps, _)| amps.get());
    let is_bar = |of: RatedThing| matches!(of, RatedThing::Element(id) if matches!(model[id].kind, ElementKind::Link { .. }));
    let mut kept: Vec<RatedCurrent> = Vec::with_capacity(all.len());
    for rated in all {
        // The pieces of a bar are made one after the other.
        match kept.last_mut().filter(|last| last.of == rated.of && is_bar(rated.of)) {
            Some(last) if most(&rated) > most(last) => *last = rated,
            Some(_) => {}
            None => kept.push(rated),
        }
    }
    kept
}

fn rating(model: &Model, edge: &Edge) -> Option<(&'static str, At<Ampere>)> {
    let (what, current) = match &model[edge.element()?].kind {
        ElementKind::Relay { current, .. } if edge.role.is_relay_contact() => ("the contact of relay", current),
        ElementKind::Switch { current, .. } => ("switch", current),
        ElementKind::Disconnect { current, .. } => ("disconnect", current),
        ElementKind::Converter { current, .. } if edge.role == EdgeRole::ConverterInput => ("the input of converter", current),
        // A fuse has a rating of its own rules; what is left has none.
        ElementKind::Relay { .. } | ElementKind::Converter { .. } | ElementKind::Fuse { .. } | ElementKind::Source { .. } => {
            return None;
        }
        ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => return None,
        ElementKind::Link { current, .. } => ("bus bar", current),
        ElementKind::Interlock { .. } => return None,
    };
    Some((what, (*current)?))
}

/// Rings, by the lesser of what the ring and its terminal kind say.
fn joints(facts: &Facts) -> impl Iterator<Item = RatedCurrent> + '_ {
    let model = facts.model();
    facts.network().edges().filter_map(|(id, edge)| {
        let EdgeKind::Joint(end) = edge.kind else { return None };
        let ring = model[end].points.get(0)?;
        let terminal = model[end].terminal.and_then(|(terminal, named)| Some((model[terminal].current?, named)));
        let own = model[end].current.map(|current| (current, current.span));
        let least = [own, terminal].into_iter().flatten().reduce(|a, b| if b.0.value < a.0.value { b } else { a })?;
        let (rated, place) = least;
        Some(RatedCurrent {
            what: "ring",
            of: RatedThing::Point(ring),
            rated,
            place,
            carries: Vec::new(),
            given: None,
            flow: Flow::Through(id),
        })
    })
}

fn studs(facts: &Facts) -> impl Iterator<Item = RatedCurrent> + '_ {
    let model = facts.model();
    model.ports().filter_map(|(_, port)| {
        let (stud, current) = (port.points.get(0)?, port.current?);
        let of = RatedThing::Point(stud);
        Some(RatedCurrent {
            what: "stud",
            of,
            rated: current,
            place: current.span,
            carries: Vec::new(),
            given: None,
            flow: Flow::At(stud),
        })
    })
}

fn current(network: &Network, mode: &ModeState, flow: &Flow) -> Ampere {
    match flow {
        Flow::Through(edge) => mode.working_amps(*edge, &network[*edge]).abs(),
        Flow::At(point) => network
            .around(*point)
            .map(|(id, edge, _)| {
                let amps = mode.working_amps(id, edge).get();
                // What flows to the point; as much leaves it.
                Ampere::new(if edge.b == *point { amps } else { -amps }.max(0.0))
            })
            .sum(),
    }
}
