//! What hangs together of a loom, and what a meter shows between two spots of it.

use super::{
    bare::{Groups, Joined, Kind, Spot},
    resistance::{Knot, Reduced},
};
use crate::arena::IdVec;
use rustc_hash::FxHashMap;
use std::cell::OnceCell;

/// Metal of no length, in ohm: a joint has no place in a division.
const LEAST: f64 = 1e-6;
/// Metal at its best, as a share of its most resistance.
const BEST: f64 = 1e-3;
/// A resistance by which it shows whether a reading hangs on a conductor whose own is not known, in ohm.
const TRIAL: f64 = 1e3;
/// A change below this share is rounding.
const SAME: f64 = 1e-9;

/// What a meter shows between two spots.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Shown {
    /// Nothing joins them.
    Open,
    /// A resistance.
    Ohms(Ohms),
    /// A diode, or several in a row, that conduct from the first to the second: volts.
    Forward(f64),
    /// Something of which nobody can say what a meter shows.
    Vague,
}

/// The resistances that a sound piece may have between two spots, in ohm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ohms {
    pub(super) least: f64,
    pub(super) nominal: f64,
    /// `None` where it hangs on a conductor whose resistance is not known.
    pub(super) most: Option<f64>,
}

impl Ohms {
    /// One after the other.
    pub(super) fn and(self, next: Self) -> Self {
        let most = self.most.zip(next.most).map(|(most, next)| most + next);
        Self { least: self.least + next.least, nominal: self.nominal + next.nominal, most }
    }
}

/// Spots that hang together by anything, with what joins them.
#[derive(Debug)]
pub(super) struct Piece {
    knots: FxHashMap<Spot, Knot>,
    joins: Vec<(Knot, Knot, Kind)>,
    /// Which knots a resistance joins, and which of them metal.
    ohmic: IdVec<Knot, u32>,
    metal: IdVec<Knot, u32>,
    has_vague: bool,
    has_resistor: bool,
    has_unknown: bool,
    nominal: OnceCell<Reduced>,
    least: OnceCell<Reduced>,
    most: OnceCell<Reduced>,
    trial: OnceCell<Reduced>,
}

impl Piece {
    pub(super) fn new<'j>(spots: impl Iterator<Item = Spot>, joins: impl Iterator<Item = &'j Joined>) -> Self {
        let knots: FxHashMap<Spot, Knot> = spots.enumerate().map(|(index, spot)| (spot, Knot::from_index(index))).collect();
        let mut inside = Vec::new();
        for join in joins {
            if let (Some(from), Some(to)) = (knots.get(&join.from), knots.get(&join.to)) {
                inside.push((*from, *to, join.kind));
            }
        }
        let groups = |keep: &dyn Fn(Kind) -> bool| -> IdVec<Knot, u32> {
            let mut groups = Groups::new(knots.len());
            for (from, to, _) in inside.iter().filter(|(_, _, kind)| keep(*kind)) {
                groups.join(*from, *to);
            }
            (0..knots.len()).map(|index| groups.of(Knot::from_index(index)).0).collect()
        };
        let (ohmic, metal) = (groups(&Kind::is_ohmic), groups(&Kind::is_metal));
        let any = |test: &dyn Fn(Kind) -> bool| inside.iter().any(|(_, _, kind)| test(*kind));
        Self {
            ohmic,
            metal,
            has_vague: any(&|kind| kind == Kind::Vague),
            has_resistor: any(&|kind| matches!(kind, Kind::Resistor(..))),
            has_unknown: any(&|kind| kind == Kind::Metal(None)),
            knots,
            joins: inside,
            nominal: OnceCell::new(),
            least: OnceCell::new(),
            most: OnceCell::new(),
            trial: OnceCell::new(),
        }
    }

    /// What a meter shows from the one to the other, without the contacts at its leads.
    pub(super) fn shown(&self, from: Spot, to: Spot) -> Shown {
        let (Some(from), Some(to)) = (self.knots.get(&from).copied(), self.knots.get(&to).copied()) else { return Shown::Open };
        if self.has_vague && self.metal[from] != self.metal[to] {
            return if self.may_meet(from, to) { Shown::Vague } else { Shown::Open };
        }
        if self.ohmic[from] == self.ohmic[to] {
            return Shown::Ohms(self.ohms(from, to));
        }
        self.forward(from, to).map_or(Shown::Open, Shown::Forward)
    }

    /// Whether a resistance joins two spots.
    pub(super) fn are_joined(&self, one: Spot, other: Spot) -> bool {
        match (self.knots.get(&one), self.knots.get(&other)) {
            (Some(one), Some(other)) => self.ohmic[*one] == self.ohmic[*other],
            _ => false,
        }
    }

    /// Whether anything joins two knots, whichever way a diode looks.
    fn may_meet(&self, from: Knot, to: Knot) -> bool {
        let mut groups = Groups::new(self.knots.len());
        for (one, other, _) in &self.joins {
            groups.join(*one, *other);
        }
        groups.of(from) == groups.of(to)
    }

    fn ohms(&self, from: Knot, to: Knot) -> Ohms {
        let conductance = |ohm: f64| 1.0 / ohm.max(LEAST);
        let reduced = |of: &dyn Fn(Kind) -> Option<f64>| {
            let joins = self.joins.iter().filter_map(|(one, other, kind)| Some((*one, *other, conductance(of(*kind)?))));
            Reduced::new(self.knots.len(), joins)
        };
        let with_unknown = |unknown: f64| {
            move |kind: Kind| match kind {
                Kind::Metal(ohm) => Some(ohm.unwrap_or(unknown)),
                Kind::Resistor(ohm, _) => Some(ohm),
                Kind::Diode(_) | Kind::Vague => None,
            }
        };
        let nominal = self.nominal.get_or_init(|| reduced(&with_unknown(0.0))).between(from, to);
        if !self.has_resistor && !self.has_unknown {
            return Ohms { least: 0.0, nominal, most: Some(nominal) };
        }
        let hangs_on_unknown = self.has_unknown && {
            let trial = self.trial.get_or_init(|| reduced(&with_unknown(TRIAL))).between(from, to);
            trial > nominal * (1.0 + SAME) + LEAST
        };
        let (mut least, mut most) = (0.0, nominal);
        if self.has_resistor {
            let best = |kind: Kind| match kind {
                Kind::Metal(ohm) => Some(ohm.unwrap_or(0.0) * BEST),
                Kind::Resistor(ohm, tolerance) => Some(ohm * (1.0 - tolerance)),
                Kind::Diode(_) | Kind::Vague => None,
            };
            let worst = |kind: Kind| match kind {
                Kind::Metal(ohm) => Some(ohm.unwrap_or(0.0)),
                Kind::Resistor(ohm, tolerance) => Some(ohm * (1.0 + tolerance)),
                Kind::Diode(_) | Kind::Vague => None,
            };
            least = self.least.get_or_init(|| reduced(&best)).between(from, to);
            most = self.most.get_or_init(|| reduced(&worst)).between(from, to);
            if self.metal[from] == self.metal[to] {
                least = 0.0;
            }
        }
        Ohms { least, nominal, most: (!hangs_on_unknown).then_some(most) }
    }

    /// The least drop of diodes that conduct from the one knot to the other.
    fn forward(&self, from: Knot, to: Knot) -> Option<f64> {
        let arcs: Vec<(u32, u32, f64)> = self
            .joins
            .iter()
            .filter_map(|(one, other, kind)| match kind {
                Kind::Diode(drop) => Some((self.ohmic[*one], self.ohmic[*other], *drop)),
                Kind::Metal(_) | Kind::Resistor(..) | Kind::Vague => None,
            })
            .collect();
        let (start, goal) = (self.ohmic[from], self.ohmic[to]);
        let mut drops: FxHashMap<u32, f64> = FxHashMap::default();
        drops.insert(start, 0.0);
        // Each round lengthens the ways by a diode; none needs more than there are.
        for _ in 0..arcs.len() {
            let mut has_changed = false;
            for (one, other, drop) in &arcs {
                let Some(way) = drops.get(one).map(|so_far| so_far + drop) else { continue };
                let best = drops.entry(*other).or_insert(f64::INFINITY);
                if way < *best {
                    *best = way;
                    has_changed = true;
                }
            }
            if !has_changed {
                break;
            }
        }
        drops.get(&goal).copied()
    }
}
