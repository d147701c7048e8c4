//! One short: what flows, which fuse opens when, and what flows then, until nothing does or nothing opens.

use super::parts::{FuseInfo, Parts, Struck};
use crate::{
    circuit::ports::{Chain, Flow, Shorts},
    model::{ElementId, WireId},
    network::EdgeId,
    quantity::{Ampere, Second},
    standards::fuse_time::OpeningTime,
};

/// Fuses that may open one after the other before a short is given up as one that never ends.
const MOST_STAGES: usize = 16;

/// What flows from one opening to the next.
#[derive(Debug, Clone, Default)]
pub struct Stage {
    /// The current through the short.
    pub amps: Ampere,
    /// The conductors that carry it, with their currents, from the first shorted point to the second.
    pub wires: Vec<(WireId, Ampere)>,
    /// The fuses that carry it, the one nearest the positive side of the short first.
    pub fuses: Vec<(ElementId, Ampere)>,
    /// The fuse that ends the stage, with the latest time at which it does; `None` if none is sure to open.
    pub opens: Option<(ElementId, OpeningTime)>,
    /// A fuse that carries more than its rating and of which no times are known, or none near this current.
    pub blind: Option<ElementId>,
}

impl Stage {
    /// How long the stage lasts at most; `None`: for ever.
    #[must_use]
    pub fn lasts(&self) -> Option<Second> {
        self.opens.map(|(_, edge)| edge.time)
    }

    fn clear(&mut self) {
        self.wires.clear();
        self.fuses.clear();
        (self.opens, self.blind) = (None, None);
    }
}

/// A short and what follows from it. Kept from one short to the next to spare its lists.
#[derive(Debug, Clone, Default)]
pub struct Strike {
    stages: Vec<Stage>,
    /// Stages of earlier shorts, whose lists are used again.
    spare: Vec<Stage>,
    chain: Chain,
    flow: Flow,
    opened: Vec<u32>,
}

impl Strike {
    /// The stages, in the order of time. The last one is for ever if nothing opens in it; none at all where nothing flows.
    #[must_use]
    pub fn stages(&self) -> &[Stage] {
        &self.stages
    }

    /// Whether nothing flows in the end.
    #[must_use]
    pub fn ends(&self) -> bool {
        self.stages().last().is_none_or(|stage| stage.opens.is_some())
    }

    /// The current in one branch with another one opened, in A; none where nothing flows without that.
    pub(super) fn amps_without(&self, shorts: &mut Shorts<'_>, opened: u32, branch: u32) -> f64 {
        if self.chain.hangs_on(opened) {
            return 0.0;
        }
        let (mut flow, mut found) = (Flow::default(), 0.0);
        shorts.flow(&self.chain, &[opened], &mut flow);
        shorts.each(&self.chain, &flow, |of, amps| {
            if of == branch {
                found = f64::abs(amps);
            }
        });
        found
    }

    /// Whether it ends later than another, or never; of two that end alike, whether less flows at first.
    pub(super) fn lasts_longer_than(&self, other: &Self) -> bool {
        let lasts = |strike: &Self| {
            let times = strike.stages().iter().map(|stage| stage.lasts().map_or(f64::INFINITY, Second::get));
            (times.sum::<f64>(), strike.stages().first().map_or(0.0, |stage| -stage.amps.get()))
        };
        // What nothing flows in lasts no time at all.
        !self.stages().is_empty() && (other.stages().is_empty() || lasts(self) > lasts(other))
    }

    /// Shorts two points.
    pub(super) fn run(&mut self, shorts: &mut Shorts<'_>, parts: &Parts, a: u32, b: u32) {
        self.spare.append(&mut self.stages);
        self.opened.clear();
        if !shorts.chain(a, b, &mut self.chain) {
            return;
        }
        while self.stages.len() < MOST_STAGES {
            shorts.flow(&self.chain, &self.opened, &mut self.flow);
            if self.flow.amps <= 0.0 {
                return;
            }
            let mut stage = self.spare.pop().unwrap_or_default();
            stage.clear();
            stage.amps = Ampere::new(self.flow.amps);
            let mut first: Option<(u32, &FuseInfo, OpeningTime)> = None;
            shorts.each(&self.chain, &self.flow, |branch, amps| {
                let amps = Ampere::new(amps.abs());
                match parts.of(EdgeId(branch)) {
                    Struck::Wire(wire) => stage.wires.push((wire, amps)),
                    Struck::Fuse(fuse) => {
                        let info = parts.fuse(fuse);
                        stage.fuses.push((info.element, amps));
                        match &info.curve {
                            Some(curve) => {
                                let opening = curve.slowest(amps);
                                if opening.is_some() && curve.is_far_from_gates(amps) {
                                    stage.blind = stage.blind.or(Some(info.element));
                                }
                                if let Some(edge) = opening.filter(|edge| first.is_none_or(|(_, _, best)| edge.time < best.time))
                                {
                                    first = Some((branch, info, edge));
                                }
                            }
                            None if info.rating.is_none_or(|rating| amps > rating) => {
                                stage.blind = stage.blind.or(Some(info.element));
                            }
                            None => {}
                        }
                    }
                    Struck::Other => {}
                }
            });
            if self.flow.is_reversed() {
                stage.fuses.reverse();
            }
            stage.opens = first.map(|(_, info, edge)| (info.element, edge));
            self.stages.push(stage);
            match first {
                Some((branch, ..)) if !self.chain.hangs_on(branch) => self.opened.push(branch),
                Some(_) | None => return,
            }
        }
    }
}
