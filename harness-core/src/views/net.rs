//! A net by itself: all that is one piece of metal with a point, as a tree from where most current comes in or goes out.
//!
//! The straight run is the longest way that carries current; what else leaves it branches off in the order written. Every wire is in it once, and so is
//! everything that is joined to its points. What closes a ring goes on at a letter.
//!
//! Cost: the modes that were computed, and a pass over the net, sorted at each point.

mod grow;

use super::{Consumer, Letter, Piece, Source, function::Stop};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    inspect::Signals,
    model::{ElementId, PointId},
    network::{NetId, Network},
    quantity::Ampere,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// A net by itself.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Net {
    /// What it is called by: its first point in the order written.
    pub name: String,
    /// Its voltage domain.
    pub domain: Option<String>,
    /// Of alternating current.
    pub alternating: bool,
    /// Of voltage class B.
    pub class_b: bool,
    /// The signals that its pins name, in a few words; empty for none.
    pub signals: String,
    /// The mode whose currents say what is straight, and what comes in or goes out at its beginning; `None` where no current flows in any mode.
    pub most: Option<(String, Ampere)>,
    /// How many points, wires and ends it has.
    pub counts: Counts,
    /// All of it.
    pub run: Run,
    /// How many letters are used.
    pub letters: u32,
}

/// How many things are on a net.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Points that a probe can touch.
    pub points: usize,
    /// Wires and cores.
    pub wires: usize,
    /// What is joined to it: loads, fuses, sources, contacts.
    pub joined: usize,
}

/// A straight way with what leaves it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Run {
    /// The point where it begins.
    pub point: String,
    /// What is joined there; empty for a run that leaves another one.
    pub begin: Vec<End>,
    /// What else leaves there; empty for a run that leaves another one.
    pub branches: Vec<Self>,
    /// From there on.
    pub stops: Vec<NetStop>,
    /// What is at its far end.
    pub ends: Vec<End>,
}

/// Something on the way of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct NetStop {
    /// What it is.
    pub stop: Stop,
    /// What leaves behind it, in the order written.
    pub branches: Vec<Run>,
}

/// What is at the end of a run.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// A fuse, a contact, a resistor in the line.
    Piece(Piece),
    /// What takes current.
    Consumer(Consumer),
    /// What gives current, and whether it is its positive pole.
    Source(Box<Source>, bool),
    /// A capacitor.
    Capacitor(String),
    /// The bridge of an interlock.
    Interlock(String),
    /// What is not fitted in this build: an empty holder, a link.
    Absent(String),
    /// Nothing but the point itself, with the signal that it names.
    Point(String, Option<String>),
    /// It closes a ring and goes on at this letter.
    To(Letter),
    /// It comes from this letter.
    From(Letter),
}

impl Net {
    /// The net of a point, in the mode called `mode`, or in that in which most current comes in or goes out at one place. `None` for a mode that was not
    /// computed.
    #[must_use]
    pub fn of(analysis: &Analysis, point: PointId, mode: Option<&str>) -> Option<Self> {
        let (model, network) = (analysis.model(), analysis.network());
        let states = analysis.electrical().modes_as_written();
        let asked = |state: &&&ModeState| mode.is_none_or(|mode| model.mode_name(state.id) == mode);
        let states: Vec<&ModeState> = states.iter().filter(asked).copied().collect();
        if mode.is_some() && states.is_empty() {
            return None;
        }
        let net = network.net(point);
        let points = network.net_points(net);
        let (most, root) = grow::root(analysis, points, &states)?;
        let absent = absent(network, points);
        let mut grown = grow::Grown::of(analysis, most.map(|(state, _)| state), root, &absent);
        let run = grown.run();
        let first = points.first().copied().unwrap_or(point);
        let domain = analysis.electrical().domains().of(first).map(|domain| &model[domain]);
        Some(Self {
            name: model.point_name(first),
            domain: domain.map(|domain| model.text(domain.name).to_owned()),
            alternating: domain.is_some_and(|domain| domain.ac),
            class_b: domain.is_some_and(|domain| domain.is_class_b()),
            signals: Signals::of(analysis).at(analysis, points),
            most: most.map(|(state, amps)| (model.mode_name(state.id).to_owned(), amps)),
            counts: grown.counts(points.len()),
            run,
            letters: grown.letters(),
        })
    }

    /// The nets that have a wire, each by its first point, in the order of these points.
    #[must_use]
    pub fn with_wires(analysis: &Analysis) -> Vec<PointId> {
        let network = analysis.network();
        let has_wire = |point: &PointId| network.around(*point).any(|(_, edge, _)| edge.wire().is_some());
        let nets = network.nets().filter(|(_, points)| points.iter().any(has_wire));
        nets.filter_map(|(_, points)| points.first().copied()).collect()
    }

    /// The nets between which an element is, each by the point of the element that is on it, in the order of these points.
    #[must_use]
    pub fn at(analysis: &Analysis, element: ElementId) -> Vec<PointId> {
        let mut known: Vec<NetId> = Vec::new();
        let mut found = Vec::new();
        for point in analysis.model()[element].points.iter() {
            let net = analysis.network().net(*point);
            if !known.contains(&net) {
                known.push(net);
                found.push(*point);
            }
        }
        found
    }
}

/// What is not fitted, by the points that it is at: no current can pass, so the network has no edge for it.
fn absent(network: &Network, points: &[PointId]) -> FxHashMap<PointId, Vec<ElementId>> {
    let fitted: FxHashSet<ElementId> = network.edges().filter_map(|(_, edge)| edge.element()).collect();
    let mut found: FxHashMap<PointId, Vec<ElementId>> = FxHashMap::default();
    for (id, element) in network.model().elements().filter(|(id, _)| !fitted.contains(id)) {
        for point in element.points.iter().filter(|point| points.binary_search(point).is_ok()) {
            found.entry(*point).or_default().push(id);
        }
    }
    found
}
