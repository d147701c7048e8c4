//! Plugs that are wrong as a whole: on each other's ports, on another port than theirs, or with their wires in the order of another numbering.
//!
//! The idea: what is behind each wire of a plug is compared with each position that it could meet (`facts/fit`): at another port all wires of the
//! plug together, at its own port in another order (`patterns`). Where nearly all fit there and do not fit here, the plug is the slip and
//! not each of its wires. Only plugs are tried at which something is amiss already: names or roles that meet and should not, wires that
//! lead to nothing, pins without a wire, halves that do not mate.
//!
//! Cost: nothing in a design in which nothing is amiss; else the wires of the plugs concerned, and each of these plugs with each port, at most so many.

mod orders;
mod patterns;
mod ports;
mod rows;

pub use orders::Misnumbered;
pub use patterns::Pattern;
pub use ports::{Misplaced, WrongPorts};

use super::{
    Facts,
    fit::{Fit, Position, fit, positions},
    pins::{PinAt, RunId},
};
use crate::{
    model::{EndId, EndKind, Mate, PointId, PointKind},
    text::Name,
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeSet;

/// Plugs that are looked at.
const MOST_PLUGS: usize = 128;
/// Positions that have to fit better before a whole plug is taken for the slip: of two wires each may as well be one.
const LEAST: usize = 3;
/// Of so many positions that fit better one may be wrong for a reason of its own.
const ONE_IN: usize = 4;

impl Facts {
    /// Plugs that are wrong as a whole.
    ///
    /// Asked by `mating/wrong-port`, `netlist/misnumbered-plug` and `netlist/signal-mismatch`.
    #[must_use]
    pub fn plug_slips(&self) -> &PlugSlips {
        self.made.plug_slips.get_or_init(|| plug_slips(self))
    }
}

/// The plugs of a design that are wrong as a whole, in the order of their ends.
#[derive(Debug, Default)]
pub struct PlugSlips {
    /// Plugs on wrong ports.
    pub on_wrong_ports: Vec<WrongPorts>,
    /// Plugs that may as well be on each other's ports as have two wires swapped.
    pub maybe_swapped: Vec<[EndId; 2]>,
    /// Plugs whose wires are in the order of another numbering.
    pub misnumbered: Vec<Misnumbered>,
}

impl PlugSlips {
    /// Whether what is wrong with these runs is that one plug, or plugs of one group, are wrong as a whole.
    #[must_use]
    pub fn hold(&self, runs: &[RunId]) -> bool {
        let of_ports = self.on_wrong_ports.iter().map(|slip| &slip.runs);
        let mut all = of_ports.chain(self.misnumbered.iter().map(|slip| &slip.runs));
        all.any(|known| runs.iter().all(|run| known.contains(run)))
    }

    /// Two plugs at which all of these runs are, and that may as well be on each other's ports.
    #[must_use]
    pub fn maybe_swapped_at(&self, facts: &Facts, runs: &[RunId]) -> Option<[EndId; 2]> {
        let model = facts.model();
        let is_at = |run: &RunId, end: EndId| {
            let mut points = facts.pins().points_of_run(*run).iter();
            points.any(|point| model[*point].kind == PointKind::Cavity(end))
        };
        let holds = |pair: &&[EndId; 2]| pair.iter().all(|end| runs.iter().any(|run| is_at(run, *end)));
        self.maybe_swapped.iter().find(holds).copied()
    }
}

/// Two pins that meet and should not: one of the half that is mated, and one that is behind the wire.
pub type Met = [PinAt; 2];

/// A connector of a loom that mates one other half, with the positions of both.
struct Plug {
    end: EndId,
    mate: Mate,
    own: Vec<Position>,
}

/// How the wires of a plug fit a half, position by position.
struct Fits(FxHashMap<Option<Name>, Fit>);

impl Fits {
    /// How `own` fits `other` if both are mated as they are.
    fn of(facts: &Facts, own: &[Position], other: &[Position]) -> Self {
        let by_label: FxHashMap<Option<Name>, &Position> = other.iter().map(|position| (position.label, position)).collect();
        let known: FxHashSet<Option<Name>> = own.iter().map(|position| position.label).collect();
        let mine = own.iter().map(|own| (own.label, fit(facts, Some(own), by_label.get(&own.label).copied())));
        let theirs =
            other.iter().filter(|other| !known.contains(&other.label)).map(|other| (other.label, fit(facts, None, Some(other))));
        Self(mine.chain(theirs).collect())
    }

    fn count(&self, wanted: Fit) -> usize {
        self.0.values().filter(|fit| **fit == wanted).count()
    }

    /// How much the names speak for it.
    fn names(&self) -> usize {
        2 * self.count(Fit::Same) + self.count(Fit::Close)
    }

    /// How many positions fit better there than here, how many of these have one name there, and how many positions fit worse.
    fn gain(&self, there: &Self) -> Gain {
        let compared = self.0.iter().filter_map(|(label, here)| Some((here, there.0.get(label)?)));
        compared.fold(Gain::default(), |sum, (here, there)| Gain {
            better: sum.better + usize::from(there > here),
            named: sum.named + usize::from(there > here && *there == Fit::Same),
            worse: sum.worse + usize::from(there < here),
        })
    }
}

/// What another place is worth.
#[derive(Debug, Clone, Copy, Default)]
struct Gain {
    better: usize,
    named: usize,
    worse: usize,
}

fn plug_slips(facts: &Facts) -> PlugSlips {
    let plugs: Vec<Plug> = suspects(facts).into_iter().take(MOST_PLUGS).filter_map(|end| plug(facts, end)).collect();
    if plugs.is_empty() {
        return PlugSlips::default();
    }
    let (on_wrong_ports, maybe_swapped) = ports::on_wrong_ports(facts, &plugs);
    let placed: FxHashSet<Mate> = on_wrong_ports
        .iter()
        .flat_map(|slip| &slip.plugs)
        .flat_map(|plug| [Mate::End(plug.end), plug.on, plug.belongs])
        .collect();
    PlugSlips { misnumbered: orders::misnumbered(facts, &plugs, &placed), on_wrong_ports, maybe_swapped }
}

/// The first two pins at a position that have names, that of the mated half first.
fn met(own: &Position, other: &Position) -> Option<Met> {
    let named = |position: &Position| position.pins.iter().find(|pin| pin.signal.is_some()).copied();
    Some([named(other)?, named(own)?])
}

fn plug(facts: &Facts, end: EndId) -> Option<Plug> {
    let model = facts.model();
    let mate = model[end].mate.filter(|_| facts.claims().is_one_pair(model, end))?;
    let is_fitted = |half: Mate| match half {
        Mate::Port(port) => model[model[port].device].fitted,
        Mate::End(end) => model[model[end].loom].fitted && matches!(model[end].kind, EndKind::Connector(_)),
    };
    (is_fitted(mate) && is_fitted(Mate::End(end))).then(|| Plug { end, mate, own: positions(facts, Mate::End(end)) })
}

/// The ends of pairs at which something is amiss, in order.
fn suspects(facts: &Facts) -> BTreeSet<EndId> {
    let (model, pins) = (facts.model(), facts.pins());
    let mut found = BTreeSet::new();
    let mut at = |point: PointId| match model[point].kind {
        PointKind::Pin(port) => found.extend(facts.claims().connectors(port).iter().copied()),
        PointKind::Cavity(end) => {
            found.insert(end);
            found.extend(facts.claims().of_end(end).iter().copied());
        }
        PointKind::Stud(_) | PointKind::Node(_) | PointKind::Ring(_) | PointKind::Splice(_) => {}
    };
    for run in facts.mixed_signals().iter().flat_map(|group| &group.runs) {
        pins.points_of_run(*run).iter().for_each(|point| at(*point));
    }
    for clash in facts.role_clashes() {
        [clash.one.point, clash.other.point]
            .into_iter()
            .flat_map(|point| pins.points_of_run(pins.run(point)))
            .for_each(|point| at(*point));
    }
    facts.unconnected().iter().for_each(|point| at(*point));
    facts.dangling().iter().flat_map(|dangling| &dangling.wires).for_each(|end| at(end.point));
    let halves = facts.mated_pairs().iter(model).filter(|pair| !ports::mate(pair.own.housing, pair.partner.housing));
    for pair in halves {
        if let Mate::End(end) = pair.own.connector {
            found.insert(end);
        }
    }
    found
}
