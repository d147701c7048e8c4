//! The short that is worst for each conductor.

use super::{
    parts::{Parts, WireInfo},
    strike::{Stage, Strike},
};
use crate::{
    arena::IdVec,
    model::{ElementId, ModeId, PointId, WireId},
    quantity::{Ampere, Celsius, Second},
    standards::{Sourced, fuse_time::OpeningTime},
};
use std::cmp::Ordering;

/// How a conductor comes through a short.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Its insulation is overheated before the current ends, or the current never ends.
    Burns,
    /// It would be, but for this fuse, of which no operating times are known.
    Unknown(ElementId),
    /// It withstands it.
    Stands,
}

/// The worst short of a conductor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// How the conductor comes through it.
    pub verdict: Verdict,
    /// The mode in which it flows.
    pub mode: ModeId,
    /// The two points that are shorted.
    pub short: (PointId, PointId),
    /// The current in the conductor at first.
    pub amps: Ampere,
    /// The fuse that opens first with its latest time; `None` if none is sure to open.
    pub opens: Option<(ElementId, OpeningTime)>,
    /// When the current in the conductor has ended at the latest; `None`: it may flow for ever.
    pub ends: Option<Second>,
    /// How long the conductor withstands its first current; `None`: for ever.
    pub stands: Option<Second>,
    /// The temperature from which it starts: its rated one.
    pub start: Celsius,
    /// The temperature that it has reached when the current ends (after ten days, where it never does).
    pub reached: Celsius,
    /// The temperature that its insulation withstands for as long as the current flows.
    pub limit: Sourced<Celsius>,
    /// How many times as long it would withstand what flows; above one it does. `None`: for ever.
    pub margin: Option<f64>,
}

impl Exposure {
    /// For sorting: the worst first.
    #[must_use]
    pub fn rank(&self) -> (u8, f64) {
        rank(self.verdict, self.margin)
    }
}

/// The share of a conductor's current that a fuse must carry to be the one that could have ended it.
const ITS_FUSE: f64 = 0.5;

fn rank(verdict: Verdict, margin: Option<f64>) -> (u8, f64) {
    let grade = match verdict {
        Verdict::Burns => 0,
        Verdict::Unknown(_) => 1,
        Verdict::Stands => 2,
    };
    (grade, margin.unwrap_or(f64::INFINITY))
}

/// How long what never ends is followed, for the temperature that is shown: the longest ageing test, ten days.
const FOR_EVER: f64 = 864_000.0;

/// Share of a wire that the short at hand has not met.
const UNTOUCHED: f64 = -1.0;

/// Keeps the worst short of each conductor.
#[derive(Debug)]
pub(super) struct Judge {
    worst: IdVec<WireId, Option<Exposure>>,
    bare: IdVec<WireId, bool>,
    /// Whether a source feeds each wire past no fuse.
    unfused: IdVec<WireId, bool>,
    /// Per wire: the share of what it withstands that the stages have used up; above one it burns. Below zero: not touched.
    spent: IdVec<WireId, f64>,
    /// The wires that the short at hand flows through, with their first currents.
    touched: Vec<(WireId, Ampere)>,
}

impl Judge {
    /// `unfused` marks the wires that a source feeds past no fuse.
    pub(super) fn new(unfused: IdVec<WireId, bool>) -> Self {
        let wires = unfused.len();
        Self {
            worst: IdVec::of(None, wires),
            bare: IdVec::of(false, wires),
            unfused,
            spent: IdVec::of(UNTOUCHED, wires),
            touched: Vec::new(),
        }
    }

    /// Judges the conductors that carry a short; `unfused` says that the short is where a source feeds it past no fuse.
    pub(super) fn strike(
        &mut self,
        parts: &Parts,
        strike: &Strike,
        mode: ModeId,
        (short, unfused_short): ((PointId, PointId), bool),
    ) {
        let ends_at_once = match strike.stages() {
            [stage] => stage.lasts(),
            _ => None,
        };
        for stage in strike.stages() {
            self.spend(parts, stage, ends_at_once);
        }
        let last = strike.stages().last();
        let fused = last.map_or(Ampere::ZERO, |stage| stage.fuses.iter().fold(Ampere::ZERO, |most, (_, amps)| most.max(*amps)));
        let blind = strike.stages().iter().find_map(|stage| stage.blind);
        while let Some((wire, amps)) = self.touched.pop() {
            let spent = std::mem::replace(&mut self.spent[wire], UNTOUCHED);
            let burns = spent > 1.0;
            // Before the first fuse nothing can end a short: the lead that feeds it and the lead back are both bare there.
            let unfused = unfused_short || self.unfused[wire];
            if burns && unfused && !strike.ends() && fused < ITS_FUSE * amps {
                self.bare[wire] = true;
                continue;
            }
            let verdict = match (burns, blind) {
                (false, _) => Verdict::Stands,
                (true, Some(fuse)) => Verdict::Unknown(fuse),
                (true, None) => Verdict::Burns,
            };
            let margin = (spent > 0.0).then(|| 1.0 / spent);
            let slot = &mut self.worst[wire];
            let worse = |worst: &Exposure| match worst.rank().partial_cmp(&rank(verdict, margin)) {
                Some(Ordering::Equal) | None => amps > worst.amps,
                Some(order) => order == Ordering::Greater,
            };
            if !slot.as_ref().is_none_or(worse) {
                continue;
            }
            *slot = parts.wire(wire).map(|info| exposure(info, wire, strike, (verdict, margin), mode, short));
        }
    }

    /// Adds what a stage uses up of each conductor that carries it; `ends_at_once` is how long it lasts where none follows it.
    fn spend(&mut self, parts: &Parts, stage: &Stage, ends_at_once: Option<Second>) {
        for &(wire, amps) in &stage.wires {
            // Of a wire without size or rating nothing can be said.
            let Some(info) = parts.wire(wire) else { continue };
            let spent = &mut self.spent[wire];
            // Most shorts meet leads that have seen worse: what surely is left of them spares the logarithms.
            let known = self.worst[wire].as_ref().and_then(|worst| worst.margin);
            if let (Some(lasts), Some(known)) = (ends_at_once, known)
                && info.surely_stands(amps) > lasts.get() * known.max(1.0)
            {
                continue;
            }
            if *spent < 0.0 {
                *spent = 0.0;
                self.touched.push((wire, amps));
            }
            let stands = info.conductor.stands_for(info.covering, info.start(), amps);
            *spent += match (stage.lasts(), stands) {
                (_, None) => 0.0,
                (None, Some(_)) => f64::INFINITY,
                (Some(lasts), Some(stands)) => lasts.get() / stands.get().max(f64::MIN_POSITIVE),
            };
        }
    }

    pub(super) fn finish(self) -> (IdVec<WireId, Option<Exposure>>, IdVec<WireId, bool>) {
        (self.worst, self.bare)
    }
}

/// The figures of a wire's worst short.
fn exposure(
    info: &WireInfo,
    wire: WireId,
    strike: &Strike,
    (verdict, margin): (Verdict, Option<f64>),
    mode: ModeId,
    short: (PointId, PointId),
) -> Exposure {
    let mut first: Option<&Stage> = None;
    let mut amps = Ampere::default();
    let mut reached = info.start();
    // What a conductor carries for ever without harm does not prolong the fault that it has seen.
    let mut ends = Some(Second::ZERO);
    let carried = |stage: &Stage| stage.wires.iter().find(|(of, _)| *of == wire).map_or(Ampere::default(), |(_, amps)| *amps);
    let does_harm = |own: Ampere| info.conductor.stands_for(info.covering, info.start(), own).is_some();
    // Once a fuse has opened more may flow here than before: what is shown begins where it does harm.
    let from = strike.stages().iter().position(|stage| does_harm(carried(stage))).unwrap_or_default();
    for stage in strike.stages().iter().skip(from) {
        let own = carried(stage);
        let harms = does_harm(own);
        if first.is_some() && !harms {
            break;
        }
        if first.is_none() {
            (first, amps) = (Some(stage), own);
        }
        ends = ends.zip(stage.lasts()).map(|(sum, lasts)| sum + lasts);
        reached = info.conductor.temperature_after(reached, own, stage.lasts().unwrap_or(Second::new(FOR_EVER)));
        if !harms {
            break;
        }
    }
    Exposure {
        verdict,
        mode,
        short,
        amps,
        opens: first.and_then(|stage| stage.opens),
        ends,
        stands: info.conductor.stands_for(info.covering, info.start(), amps),
        start: info.start(),
        reached,
        limit: info.covering.limit(ends),
        margin,
    }
}
