//! One bridge between two points: what flows, which fuses open one after the other, and which conductors do not withstand it.
//!
//! The same arithmetic as that of every short ([`super`]): the circuit as a mode leaves it, conductors at their rated temperature, fuses
//! by the slow edge of their gates.

use super::{
    frozen::frozen,
    parts::{Parts, Struck},
    strike::Strike,
};
use crate::{
    arena::IdVec,
    circuit::{Circuit, ports::Shorts},
    electrical::ModeState,
    model::{ElementId, PointId, WireId},
    network::{Domains, EdgeId, Network},
    quantity::{Ampere, Second},
    standards::capacity::Beside,
};

/// What a bridge does at first, until nothing flows or nothing opens any more.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Bridge {
    /// The current through it at first.
    pub amps: Ampere,
    /// The fuses that open with their edges, in the order of time, with the latest time after the one before.
    pub opens: Vec<(ElementId, EdgeId, Second)>,
    /// Whether nothing flows in the end.
    pub ends: bool,
    /// Conductors whose insulation is overheated before the current ends, in order.
    pub burns: Vec<WireId>,
    /// A fuse in the way that carries more than its rating and of which no times are known.
    pub blind: Option<ElementId>,
}

/// A state of rest in which points are bridged.
#[derive(Debug)]
pub(in crate::electrical) struct Bridging {
    parts: Parts,
    hot: Circuit,
}

impl Bridging {
    /// Prepares the state of a mode, `circuit`, with what is `beside` each conductor in it.
    pub(in crate::electrical) fn new(
        network: &Network,
        domains: &Domains,
        (circuit, state): (&Circuit, &ModeState),
        beside: &IdVec<WireId, Beside>,
    ) -> Self {
        let mut parts = Parts::new(network, domains);
        parts.enter(network.model(), beside);
        let hot = frozen(network, circuit, state, &parts.idle, &parts.hot, |edge| parts.aged(edge));
        Self { parts, hot }
    }

    /// The network in which points are bridged; one for each thread, for it keeps what it has computed.
    pub(in crate::electrical) fn shorts(&self) -> Shorts<'_> {
        Shorts::new(&self.hot)
    }

    /// What a bridge does; nothing flows where nothing drives a current through it.
    pub(in crate::electrical) fn bridge(
        &self,
        shorts: &mut Shorts<'_>,
        strike: &mut Strike,
        (one, other): (PointId, PointId),
    ) -> Bridge {
        strike.run(shorts, &self.parts, one.index() as u32, other.index() as u32);
        let mut found = Bridge { ends: strike.ends(), ..Bridge::default() };
        let mut spent: Vec<(WireId, f64)> = Vec::new();
        for stage in strike.stages() {
            if found.amps == Ampere::ZERO {
                found.amps = stage.amps;
            }
            found.opens.extend(stage.opens.map(|(fuse, edge)| (fuse, self.parts.fuse_of(fuse).edge, edge.time)));
            found.blind = found.blind.or(stage.blind);
            for &(wire, amps) in &stage.wires {
                let Some(stands) = self.stands(wire, amps) else { continue };
                let share = stage.lasts().map_or(f64::INFINITY, |lasts| lasts.get() / stands.get().max(f64::MIN_POSITIVE));
                match spent.iter_mut().find(|(of, _)| *of == wire) {
                    Some((_, spent)) => *spent += share,
                    None => spent.push((wire, share)),
                }
            }
        }
        found.burns = spent.into_iter().filter(|(_, spent)| *spent > 1.0).map(|(wire, _)| wire).collect();
        found.burns.sort_unstable();
        found
    }

    /// How long a conductor withstands a current; `None`: for ever, or its size or rating is not known.
    pub(in crate::electrical) fn stands(&self, wire: WireId, amps: Ampere) -> Option<Second> {
        let info = self.parts.wire(wire)?;
        info.conductor.stands_for(info.covering, info.start(), amps)
    }

    /// When the fuse at an edge has opened at the latest with this current; `None`: it may carry it for ever, its times are not known, or
    /// the edge is not a fuse.
    pub(in crate::electrical) fn opens(&self, edge: EdgeId, amps: Ampere) -> Option<(ElementId, Second)> {
        match self.parts.of(edge) {
            Struck::Fuse(fuse) => {
                let info = self.parts.fuse(fuse);
                Some((info.element, info.curve.as_ref()?.slowest(amps)?.time))
            }
            Struck::Wire(_) | Struck::Other => None,
        }
    }
}
