//! One short: what flows, which fuse opens when, and what flows then, until nothing does or nothing opens.

use super::parts::{FuseInfo, Part, Parts};
use crate::{
    circuit::ports::{Chain, Flow, Shorts},
    model::{ElementId, WireId},
    quantity::{Ampere, Second},
    standards::fuse_time::Edge,
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
    pub opens: Option<(ElementId, Edge)>,
    /// A fuse that carries more than its rating and of which no times are known.
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
    used: usize,
    chain: Chain,
    flow: Flow,
    opened: Vec<u32>,
}

impl Strike {
    /// The stages, in the order of time. The last one is for ever if nothing opens in it; none at all where nothing flows.
    #[must_use]
    pub fn stages(&self) -> &[Stage] {
        self.stages.get(..self.used).unwrap_or_default()
    }

    /// Whether nothing flows in the end.
    #[must_use]
    pub fn ends(&self) -> bool {
        self.stages().last().is_none_or(|stage| stage.opens.is_some())
    }

    /// Shorts two points.
    pub(super) fn run(&mut self, shorts: &mut Shorts<'_>, parts: &Parts, a: u32, b: u32) {
        self.used = 0;
        self.opened.clear();
        if !shorts.chain(a, b, &mut self.chain) {
            return;
        }
        while self.used < MOST_STAGES {
            shorts.flow(&self.chain, &self.opened, &mut self.flow);
            if self.flow.amps <= 0.0 {
                return;
            }
            if self.stages.len() == self.used {
                self.stages.push(Stage::default());
            }
            let Some(stage) = self.stages.get_mut(self.used) else { return };
            self.used += 1;
            stage.clear();
            stage.amps = Ampere::new(self.flow.amps);
            let mut first: Option<(u32, &FuseInfo, Edge)> = None;
            shorts.each(&self.chain, &self.flow, |branch, amps| {
                let amps = Ampere::new(amps.abs());
                match parts.of(branch) {
                    Part::Wire(wire) => stage.wires.push((wire, amps)),
                    Part::Fuse(fuse) => {
                        let Some(info) = parts.fuse(fuse) else { return };
                        stage.fuses.push((info.element, amps));
                        match &info.curve {
                            Some(curve) => {
                                let opening = curve.opening(amps).slowest;
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
                    Part::Other => {}
                }
            });
            if self.flow.is_reversed() {
                stage.fuses.reverse();
            }
            let Some((branch, info, edge)) = first else { return };
            stage.opens = Some((info.element, edge));
            if self.chain.hangs_on(branch) {
                return;
            }
            self.opened.push(branch);
        }
    }
}
