//! What a short does to conductors and fuses: prospective current, which fuse opens when, and whether the conductor withstands it.
//!
//! Owns the figures; the verdicts are the rules'. Every point is shorted to the return of its domain (the chassis and the
//! negative poles, where it has both) and every load across its
//! terminals (`shorted`), in every mode, with the circuit frozen as the mode leaves it (`frozen`) and conductors at their rated
//! temperature, which gives the smallest current. `strike` follows one short: the fuse that is surest to open opens, the current is
//! found anew, and so on until nothing flows or nothing opens. Fuses are taken cold at each stage, and by the slow edge of their
//! gates. Where several returns are there, each is tried and the worst counts: the slowest for a conductor, the largest current for a
//! fuse. Batteries are aged and cold for the one, new and warm for the other: a second pass with conductors at 20 degC shorts each
//! fuse at its own terminals to the return and to the highest pole, which gives the largest current that it must break.
//!
//! Cost: one search for blocks and one chain a point and mode; see [`crate::circuit::ports`].

mod bridge;
mod exposure;
mod frozen;
mod parts;
mod shorted;
mod strike;
mod striking;

#[cfg(test)]
mod tests;

pub use bridge::Bridge;
pub(in crate::electrical) use bridge::Bridging;
pub use exposure::{Exposure, Verdict};
pub use strike::{Stage, Strike};
pub use striking::{Striking, StrikingModes};

use self::{exposure::Judge, parts::Parts, shorted::Returns};
use super::{ModeState, Protection};
use crate::{
    arena::IdVec,
    circuit::{
        Circuit,
        ports::{Chain, Flow, Known, Shorts},
    },
    model::{ElementId, ModeId, Model, PointId, PointKind, WireId},
    network::{Domains, EdgeId, Network},
    quantity::Ampere,
    standards::{capacity::Beside, fuse_time::OpeningTime},
};
use rustc_hash::FxHashMap;

/// The largest current that a fuse may have to break.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// The fuse.
    pub fuse: ElementId,
    /// The current, conductors at 20 degC.
    pub amps: Ampere,
    /// The mode in which it flows.
    pub mode: ModeId,
    /// The two points that are shorted: a terminal of the fuse, and the return or the highest pole.
    pub short: (PointId, PointId),
}

/// Two fuses in one fault current, of which the one nearer the source may open first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// The fuse nearer the short.
    pub lower: ElementId,
    /// The fuse nearer the source.
    pub upper: ElementId,
    /// The current in the lower one.
    pub lower_amps: Ampere,
    /// The current in the upper one.
    pub upper_amps: Ampere,
    /// The latest time of the lower one.
    pub lower_opens: OpeningTime,
    /// The earliest time of the upper one, below the former.
    pub upper_holds: OpeningTime,
    /// The mode.
    pub mode: ModeId,
    /// The two points that are shorted.
    pub short: (PointId, PointId),
}

/// What shorts do, everywhere and in every mode.
#[derive(Debug, Default)]
pub struct Faults {
    wires: IdVec<WireId, Option<Exposure>>,
    bare: IdVec<WireId, bool>,
    duties: Vec<Duty>,
    overlaps: Vec<Overlap>,
}

impl Faults {
    /// The short that is worst for a wire of all that flow through it; `None` where there is none, or where the wire's size or
    /// rating is not known. Shorts of [`Faults::is_bare`] are left out.
    #[must_use]
    pub fn of_wire(&self, wire: WireId) -> Option<&Exposure> {
        self.wires[wire].as_ref()
    }

    /// Whether a source feeds the wire past no fuse and a short there burns it: that is for the rules of missing fuses and
    /// unfused lengths.
    #[must_use]
    pub fn is_bare(&self, wire: WireId) -> bool {
        self.bare[wire]
    }

    /// The largest current that a fuse may have to break; `None` where nothing feeds it.
    #[must_use]
    pub fn of_fuse(&self, fuse: ElementId) -> Option<&Duty> {
        self.duties.binary_search_by_key(&fuse, |duty| duty.fuse).ok().and_then(|place| self.duties.get(place))
    }

    /// Pairs of fuses of which the upper one may open first, the worst short of each, by lower and then upper fuse.
    #[must_use]
    pub fn overlaps(&self) -> &[Overlap] {
        &self.overlaps
    }
}

/// How much more a fuse may carry than one in series with it: rounding.
const SERIES: f64 = 1.001;

/// Looks at the shorts of one mode after the other.
pub(super) struct Pass<'a> {
    model: &'a Model,
    network: &'a Network,
    domains: &'a Domains,
    protection: &'a Protection,
    parts: Parts,
    terminals: Vec<(PointId, PointId)>,
    judge: Judge,
    /// Whether a source feeds each point past no fuse.
    unfused: IdVec<PointId, bool>,
    duties: FxHashMap<ElementId, Duty>,
    overlaps: FxHashMap<(ElementId, ElementId), Overlap>,
    /// What was found in the modes before of blocks that a mode leaves as they are.
    known: Known,
}

impl<'a> Pass<'a> {
    pub(super) fn new(network: &'a Network, domains: &'a Domains, protection: &'a Protection) -> Self {
        let model = network.model();
        let is_unfused = |point| protection.is_unfused(point);
        let wires = model.wires().map(|(_, wire)| wire.from.or(wire.to).is_some_and(is_unfused));
        Self {
            model,
            network,
            domains,
            protection,
            parts: Parts::new(network, domains),
            terminals: shorted::terminals(network),
            judge: Judge::new(wires.collect()),
            unfused: model.points().map(|(point, _)| is_unfused(point)).collect(),
            duties: FxHashMap::default(),
            overlaps: FxHashMap::default(),
            known: Known::default(),
        }
    }

    /// Looks at all shorts of one mode, with what is `beside` each wire there.
    pub(super) fn mode(&mut self, circuit: &Circuit, state: &ModeState, beside: &IdVec<WireId, Beside>) {
        self.parts.enter(self.model, beside);
        let hot = frozen::frozen(self.network, circuit, state, &self.parts.idle, &self.parts.hot, |edge| self.parts.aged(edge));
        let mut shorts = Shorts::knowing(&hot, std::mem::take(&mut self.known));
        let returns = Returns::new(self.network, self.domains, self.protection, state, &hot, &shorts);
        let mut strike = Strike::default();
        for (point, item) in self.model.points() {
            // What is inside a device is nobody's to wire.
            if matches!(item.kind, PointKind::Node(_)) {
                continue;
            }
            // A pole inside a device is out of reach as well, as those of a pack are with its disconnect out; what leads to it may be.
            let outside = |back: PointId| !matches!(self.model[back].kind, PointKind::Node(_));
            let outer = |back: &PointId| shorted::outer(self.network, state, *back);
            // A pin differs from the cavity that mates it by a contact: poles are tried from the loom's side alone.
            let of_loom = matches!(item.kind, PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_));
            let poles = if of_loom { returns.poles_of(point, &shorts) } else { &[] };
            let backs = returns.of(point, &shorts).iter().chain(poles);
            for back in backs.map(outer).filter(|back| outside(*back) && *back != point) {
                self.short(&mut shorts, &mut strike, state.id, (point, back));
            }
        }
        let terminals = std::mem::take(&mut self.terminals);
        for pair in &terminals {
            self.short(&mut shorts, &mut strike, state.id, *pair);
        }
        self.terminals = terminals;
        let cold = frozen::frozen(self.network, circuit, state, &self.parts.idle, &self.parts.cold, |_| None);
        let mut shorts = Shorts::knowing(&cold, shorts.into_known());
        let fuses: Vec<(EdgeId, ElementId)> = self.parts.fuses().iter().map(|info| (info.edge, info.element)).collect();
        for (edge, fuse) in fuses {
            self.duty(&mut shorts, &returns, state.id, (edge, fuse));
        }
        self.known = shorts.into_known();
    }

    fn short(&mut self, shorts: &mut Shorts<'_>, strike: &mut Strike, mode: ModeId, short: (PointId, PointId)) {
        strike.run(shorts, &self.parts, short.0.index() as u32, short.1.index() as u32);
        if let Some(stage) = strike.stages().first() {
            self.overlap(shorts, strike, stage, mode, short);
            let unfused = self.unfused[short.0];
            self.judge.strike(&self.parts, strike, mode, (short, unfused));
        }
    }

    /// Compares the fuse nearest the short with every other that carries it: the one that feeds what is shorted, or the first
    /// on the way. A fuse that carries more than the nearest is not in series with it, one that feeds what is shorted as well is beside
    /// it, and of two with nothing between either may open. A short at what a source feeds past no fuse, such as the lead of a bank that
    /// faces another one, is the fault of that source: no fuse is nearer to it than the other. A fuse that carries no less when the
    /// nearest has opened feeds the short on another way, as that of a second bank does.
    fn overlap(&mut self, shorts: &mut Shorts<'_>, strike: &Strike, stage: &Stage, mode: ModeId, short: (PointId, PointId)) {
        if stage.fuses.len() < 2 || self.unfused[short.0] {
            return;
        }
        let feeds = |fuse: &ElementId, point: PointId| {
            let feeds = self.protection.feeds();
            let edge = self.parts.fuse_of(*fuse).edge;
            let place = feeds.partition_point(|feed| feed.edge < edge);
            let feed = feeds.get(place).filter(|feed| feed.edge == edge);
            feed.is_some_and(|feed| feed.fed.iter().any(|cluster| self.protection.holds(*cluster, point)))
        };
        let nearest = stage.fuses.iter().position(|(fuse, _)| feeds(fuse, short.0)).unwrap_or(0);
        let Some((lower, lower_amps)) = stage.fuses.get(nearest) else { return };
        let curve = |fuse: ElementId| self.parts.fuse_of(fuse).curve.as_ref();
        // Most shorts leave no pair whose times are asked for.
        let mut opens: Option<OpeningTime> = None;
        for (upper, upper_amps) in &stage.fuses {
            if upper == lower || *upper_amps > *lower_amps * SERIES || feeds(upper, short.0) || feeds(upper, short.1) {
                continue;
            }
            if self.protection.in_series(self.parts.fuse_of(*upper).edge, self.parts.fuse_of(*lower).edge) {
                continue;
            }
            opens = opens.or_else(|| curve(*lower)?.slowest(*lower_amps));
            let Some(lower_opens) = opens else { return };
            let Some(upper_holds) = curve(*upper).and_then(|curve| curve.opening(*upper_amps).fastest) else { continue };
            if upper_holds.time >= lower_opens.time {
                continue;
            }
            let (above, below) = (self.parts.fuse_of(*upper).edge, self.parts.fuse_of(*lower).edge);
            let after = strike.amps_without(shorts, below.0, above.0);
            if after * SERIES >= upper_amps.get() {
                continue;
            }
            let overlap = Overlap {
                lower: *lower,
                upper: *upper,
                lower_amps: *lower_amps,
                upper_amps: *upper_amps,
                lower_opens,
                upper_holds,
                mode,
                short,
            };
            let share = |overlap: &Overlap| overlap.upper_holds.time / overlap.lower_opens.time;
            self.overlaps
                .entry((*lower, *upper))
                .and_modify(|worst| {
                    if share(&overlap) < share(worst) {
                        *worst = overlap;
                    }
                })
                .or_insert(overlap);
        }
    }

    /// Shorts each terminal of a fuse and notes the current in the fuse itself.
    fn duty(&mut self, shorts: &mut Shorts<'_>, returns: &Returns<'_>, mode: ModeId, (id, fuse): (EdgeId, ElementId)) {
        let edge = &self.network[id];
        let (mut chain, mut flow) = (Chain::default(), Flow::default());
        for point in [edge.a, edge.b] {
            let backs = returns.of(point, shorts).iter().chain(returns.poles_of(point, shorts));
            for &back in backs.chain(returns.tops_of(point, shorts)) {
                if !shorts.chain(point.index() as u32, back.index() as u32, &mut chain) {
                    continue;
                }
                shorts.flow(&chain, &[], &mut flow);
                let mut own = 0.0;
                shorts.each(&chain, &flow, |of, amps| {
                    if EdgeId(of) == id {
                        own = f64::abs(amps);
                    }
                });
                if flow.amps <= 0.0 || own <= 0.0 {
                    continue;
                }
                let duty = Duty { fuse, amps: Ampere::new(own), mode, short: (point, back) };
                self.duties
                    .entry(fuse)
                    .and_modify(|most| {
                        if duty.amps > most.amps {
                            *most = duty;
                        }
                    })
                    .or_insert(duty);
            }
        }
    }

    /// What was found in all modes.
    pub(super) fn finish(self) -> Faults {
        let mut duties: Vec<Duty> = self.duties.into_values().collect();
        duties.sort_by_key(|duty| duty.fuse);
        let mut overlaps: Vec<Overlap> = self.overlaps.into_values().collect();
        overlaps.sort_by_key(|overlap| (overlap.lower, overlap.upper));
        let (wires, bare) = self.judge.finish();
        Faults { wires, bare, duties, overlaps }
    }
}
