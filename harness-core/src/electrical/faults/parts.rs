//! What each edge is to a fault: a conductor that heats, a fuse that opens, or anything else. Found once for all modes.

use crate::{
    electrical::{WireLoad, conductors::conductor, fuses::fuse},
    model::{ElementId, ElementKind, Model, WireId},
    network::{Domains, EdgeId, EdgeKind, Network, resistor},
    quantity::{Ampere, Celsius, Ohm, Second},
    standards::{
        conductor::temperature_ratio,
        fuse_time::FuseCurve,
        short_circuit::{Conductor, Covering, Metal, k},
    },
};
use rustc_hash::FxHashMap;

/// What an edge is to a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    Wire(WireId),
    /// A fuse, by its place in [`Parts`].
    Fuse(u32),
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

/// A conductor and what it stands.
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
    /// A time in seconds that the conductor stands at least: cooling only adds to it, and no limit falls within it.
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
    of: Vec<Part>,
    fuses: Vec<FuseInfo>,
    places: FxHashMap<ElementId, u32>,
    wires: Vec<Option<WireInfo>>,
    /// Per edge: whether it is a resistor that lets nothing through that could open a fuse or heat a conductor.
    pub(super) idle: Vec<bool>,
    /// Per wire: its resistance at 20 degC.
    pub(super) cold: Vec<Ohm>,
    /// Per wire: its resistance at its rated temperature; at 20 degC where none is known.
    pub(super) hot: Vec<Ohm>,
}

/// Current below which a resistor counts for nothing in a fault: the smallest fuses are rated far above it. Left in, the
/// resistors of signals would join all circuits of a vehicle into one.
const TRICKLE: f64 = 0.1;

impl Parts {
    pub(super) fn new(network: &Network, domains: &Domains, loading: &[WireLoad]) -> Self {
        let model = network.model();
        let mut fuses = Vec::new();
        let of: Vec<Part> = network
            .edges()
            .map(|(id, edge)| match edge.kind {
                EdgeKind::Wire(wire) => Part::Wire(wire),
                EdgeKind::Element(element, _) => match model.element(element).map(|element| &element.kind) {
                    Some(ElementKind::Fuse { .. }) => {
                        let kind = fuse::kind_of(model, element);
                        let rating = kind.and_then(|kind| kind.rating).map(|at| at.value);
                        let curve = kind.and_then(|kind| fuse::curve_of(model, kind));
                        fuses.push(FuseInfo { element, edge: id, rating, curve });
                        Part::Fuse(fuses.len() as u32 - 1)
                    }
                    _ => Part::Other,
                },
                _ => Part::Other,
            })
            .collect();
        let highest = model.domains().map(|(_, domain)| domain.max.get()).fold(0.0, f64::max);
        let idle = network.edges().map(|(_, edge)| {
            let max =
                |point| domains.of(point).and_then(|domain| model.domain(domain)).map_or(highest, |domain| domain.max.get());
            resistor(model, edge).is_some_and(|ohms| max(edge.a).max(max(edge.b)) < TRICKLE * ohms.get())
        });
        let idle = idle.collect();
        let places = fuses.iter().zip(0..).map(|(info, place)| (info.element, place)).collect();
        let wires: Vec<_> =
            model.wires().zip(loading).map(|((_, wire), loading)| wire_info(model, wire, loading.beside)).collect();
        let cold: Vec<Ohm> = model.wires().map(|(_, wire)| conductor::resistance_of(model, wire)).collect();
        let hot = model.wires().zip(&cold).map(|((_, wire), cold)| {
            let rated = conductor::surroundings(model, wire).rated;
            rated.map_or(*cold, |rated| Ohm::new(cold.get() * temperature_ratio(rated).value))
        });
        let hot = hot.collect();
        Self { of, fuses, places, wires, idle, cold, hot }
    }

    pub(super) fn of(&self, branch: u32) -> Part {
        self.of.get(branch as usize).copied().unwrap_or(Part::Other)
    }

    pub(super) fn fuse(&self, place: u32) -> Option<&FuseInfo> {
        self.fuses.get(place as usize)
    }

    pub(super) fn wire(&self, wire: WireId) -> Option<&WireInfo> {
        self.wires.get(wire.index())?.as_ref()
    }

    /// The branches that are fuses, with what is known of them.
    pub(super) fn fuses(&self) -> impl Iterator<Item = (u32, &FuseInfo)> {
        (0..).zip(&self.of).filter_map(|(branch, part)| match part {
            Part::Fuse(place) => Some((branch, self.fuse(*place)?)),
            _ => None,
        })
    }

    pub(super) fn fuse_of(&self, element: ElementId) -> Option<&FuseInfo> {
        self.places.get(&element).and_then(|place| self.fuse(*place))
    }
}

/// What a wire stands; `None` where its size or its rating is not known.
fn wire_info(model: &Model, wire: &crate::model::Wire, beside: u32) -> Option<WireInfo> {
    let (conductor, covering) = conductor::withstand(model, wire, beside)?;
    let k = k(Metal::Copper, covering.rated, covering.limit(Some(Second::new(SHORT))).value).value;
    Some(WireInfo { conductor, covering, heat: (k * covering.size.get()).powi(2) })
}
