//! What each edge is to a fault: a conductor that heats, a fuse that opens, or anything else. Found once for all modes.

use crate::{
    arena::{IdVec, ids},
    electrical::{conductors::conductor, fuses::fuse, lookup::Lookup},
    model::{ElementId, Model, PointId, WireId},
    network::{Domains, Edge, EdgeId, Network, resistor},
    quantity::{Ampere, Celsius, Ohm, Second, Volt},
    standards::{
        capacity::Beside,
        conductor::temperature_ratio,
        fuse_time::FuseCurve,
        insulation::Covering,
        short_circuit::{Conductor, Metal, k},
    },
};
use rustc_hash::FxHashMap;

ids! {
    /// A fuse, by its place among those of the network.
    FusePlace;
}

/// What an edge is to a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Struck {
    Wire(WireId),
    Fuse(FusePlace),
    Other,
}

/// A fuse and what is known of it.
#[derive(Debug)]
pub(super) struct FuseInfo {
    pub(super) element: ElementId,
    pub(super) edge: EdgeId,
    pub(super) rating: Option<Ampere>,
    pub(super) curve: Option<FuseCurve>,
}

/// A conductor and what it withstands.
#[derive(Debug, Clone, Copy)]
pub(super) struct WireInfo {
    pub(super) conductor: Conductor,
    pub(super) covering: Covering,
    /// Heat up to the final temperature of a short circuit, as `I2 t` in A2s, were all of it to stay in the metal.
    heat: f64,
}

/// Time up to which the final temperature of a short circuit holds, in seconds.
const SHORT: f64 = 5.0;

impl WireInfo {
    /// A time in seconds that the conductor withstands at least: cooling only adds to it, and no limit falls within it.
    pub(super) fn surely_stands(&self, amps: Ampere) -> f64 {
        (self.heat / (amps.get() * amps.get())).min(SHORT)
    }

    /// A fault meets the conductor at its rated temperature, as hot as it may be.
    pub(super) fn start(&self) -> Celsius {
        self.covering.rated
    }
}

/// All edges.
#[derive(Debug)]
pub(super) struct Parts {
    of: IdVec<EdgeId, Struck>,
    fuses: IdVec<FusePlace, FuseInfo>,
    places: Lookup<ElementId, FusePlace>,
    /// Per wire: what it withstands in the mode at hand; `None` where its size or its rating is not known.
    wires: IdVec<WireId, Option<WireInfo>>,
    /// Per wire: what that takes to be beside it.
    beside: IdVec<WireId, Beside>,
    /// Per edge: whether it is a resistor that lets nothing through that could open a fuse or heat a conductor.
    pub(super) idle: IdVec<EdgeId, bool>,
    /// Per source of direct current without a limit: the internal resistance of an aged, cold battery.
    aged: FxHashMap<EdgeId, Ohm>,
    /// Per wire: its resistance at 20 degC.
    pub(super) cold: IdVec<WireId, Ohm>,
    /// Per wire: its resistance at its rated temperature; at 20 degC where none is known.
    pub(super) hot: IdVec<WireId, Ohm>,
}

/// Current below which a resistor counts for nothing in a fault: the smallest fuses are rated far above it. Left in, the
/// resistors of signals would join all circuits of a vehicle into one.
const TRICKLE_AMPS: f64 = 0.1;

impl Parts {
    /// With nothing beside any wire: [`enter`](Self::enter) a mode first.
    pub(super) fn new(network: &Network, domains: &Domains) -> Self {
        let model = network.model();
        let mut fuses: IdVec<FusePlace, FuseInfo> = IdVec::new();
        let part = |(id, edge): (EdgeId, &Edge)| match (edge.wire(), edge.element()) {
            (Some(wire), _) => Struck::Wire(wire),
            (None, Some(element)) if edge.role.is_fuse() => {
                let kind = fuse::kind_of(model, element);
                let rating = kind.and_then(|kind| kind.rating).map(|at| at.value);
                let curve = kind.and_then(|kind| fuse::curve_of(model, kind));
                Struck::Fuse(fuses.push(FuseInfo { element, edge: id, rating, curve }))
            }
            (None, _) => Struck::Other,
        };
        let of: IdVec<EdgeId, Struck> = network.edges().map(part).collect();
        let highest = model.domains().map(|(_, domain)| domain.max).fold(Volt::ZERO, Volt::max);
        let max = |point: PointId| domains.of(point).map_or(highest, |domain| model[domain].max);
        let idle = network.edges().map(|(_, edge)| {
            resistor(model, edge).is_some_and(|ohms| max(edge.a).max(max(edge.b)) < Ampere::new(TRICKLE_AMPS) * ohms)
        });
        let idle = idle.collect();
        let places = fuses.iter().map(|(place, info)| (info.element, place)).collect();
        let wires = model.wires().map(|(_, wire)| wire_info(model, wire, Beside::default())).collect();
        let beside = IdVec::of(Beside::default(), model.wires().len());
        let cold: IdVec<WireId, Ohm> = model.wires().map(|(_, wire)| conductor::resistance_of(model, wire)).collect();
        let hot = model.wires().map(|(id, wire)| {
            let rated = conductor::surroundings(model, wire).rated;
            rated.map_or(cold[id], |rated| cold[id] * temperature_ratio(rated).value)
        });
        let hot = hot.collect();
        // Alternating voltage comes from no battery, and a source with a limit gives what that says.
        let ages = |edge: &Edge| edge.role.takes_charge() && !domains.of(edge.b).is_some_and(|domain| model[domain].ac);
        let aged = network.edges().filter(|(_, edge)| ages(edge));
        let aged = aged.filter_map(|(id, edge)| Some((id, model[edge.element()?].kind.inner_resistance()?.aged))).collect();
        Self { of, fuses, places, wires, beside, idle, aged, cold, hot }
    }

    /// Takes what is beside each wire in a mode: what warms it in another one does not prolong a short of this.
    pub(super) fn enter(&mut self, model: &Model, beside: &IdVec<WireId, Beside>) {
        for (id, wire) in model.wires() {
            if self.beside[id] != beside[id] {
                self.beside[id] = beside[id];
                self.wires[id] = wire_info(model, wire, beside[id]);
            }
        }
    }

    /// The internal resistance of an aged, cold battery; `None` for what does not age.
    pub(super) fn aged(&self, edge: EdgeId) -> Option<Ohm> {
        self.aged.get(&edge).copied()
    }

    pub(super) fn of(&self, edge: EdgeId) -> Struck {
        self.of[edge]
    }

    pub(super) fn fuse(&self, place: FusePlace) -> &FuseInfo {
        &self.fuses[place]
    }

    pub(super) fn wire(&self, wire: WireId) -> Option<&WireInfo> {
        self.wires[wire].as_ref()
    }

    /// What is known of the fuses, in the order of their edges.
    pub(super) fn fuses(&self) -> &[FuseInfo] {
        self.fuses.items()
    }

    /// What is known of a fuse that is an edge of the network.
    pub(super) fn fuse_of(&self, element: ElementId) -> &FuseInfo {
        &self.fuses[self.places[element]]
    }
}

/// What a wire withstands; `None` where its size or its rating is not known.
fn wire_info(model: &Model, wire: &crate::model::Wire, beside: Beside) -> Option<WireInfo> {
    let (conductor, covering) = conductor::withstand(model, wire, beside)?;
    let k = k(Metal::Copper, covering.rated, covering.limit(Some(Second::new(SHORT))).value).value;
    Some(WireInfo { conductor, covering, heat: (k * covering.size.get()).powi(2) })
}
