//! What may flow into a conductor for long, and the largest fuse that it may have before it; cables side by side together.

use super::Facts;
use crate::{
    arena::IdVec,
    electrical::{
        conductors::{
            self,
            conductor::{resistance_of, table_of},
            side_by_side::Chain,
        },
        fuses::{
            fuse::kind_of,
            protection::supply::{Feeder, Supply, supplies},
        },
    },
    model::{ElementId, WireId},
    quantity::{Ampere, Volt},
    standards::{
        Source,
        capacity::{Capacity, Table},
        fuse_choice::{ConductorRule, largest_rating, marine_limit, next_rating},
        fuse_standard::FuseStandard,
    },
};
use rustc_hash::FxHashMap;

impl Facts {
    /// What may flow into each wire for long from all that feeds it; `None` where a source feeds it past no fuse, where nothing does,
    /// and where a rating is not known.
    ///
    /// Cost: a flow for each section. Asked by what judges fuses against conductors, and by the tables of a reviewer.
    #[must_use]
    pub fn supplies(&self) -> &IdVec<WireId, Option<Supply>> {
        self.made.supplies.get_or_init(|| {
            let (protection, alternatives) = (self.electrical().protection(), self.electrical().alternatives());
            supplies(self.network(), protection, alternatives, self.electrical().possible())
        })
    }

    /// Cables side by side: those that join the same two places, for each wire that has others beside it.
    ///
    /// Cost: a pass over the edges.
    #[must_use]
    pub fn side_by_side(&self) -> &SideBySide {
        self.made.side_by_side.get_or_init(|| side_by_side(self))
    }

    /// The largest fuse that may be before a wire, cables side by side judged together; `None` where the capacity of the wire is not
    /// known. `by` is what feeds it: the boat rule from 50 V on allows the next larger rating that is made.
    #[must_use]
    pub fn allowance(&self, wire: WireId, by: &[Feeder]) -> Option<Allowance> {
        allowance(self, wire, by)
    }
}

/// The largest fuse that may be before a conductor.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowance {
    /// The rating.
    pub amps: Ampere,
    /// The rule that says so.
    pub source: &'static Source,
    /// The capacity of the conductor itself.
    pub capacity: Capacity,
    /// How many cables side by side take it together; 1 for one by itself.
    pub together: usize,
}

/// Cables that join the same two places.
#[derive(Debug, Default)]
pub struct SideBySide {
    of: FxHashMap<WireId, usize>,
    groups: Vec<Vec<Chain>>,
}

impl SideBySide {
    /// All cables that join the same two places as that of `wire`, itself included; empty where it is alone.
    #[must_use]
    pub fn with(&self, wire: WireId) -> &[Chain] {
        self.of.get(&wire).and_then(|at| self.groups.get(*at)).map_or(&[], Vec::as_slice)
    }
}

fn side_by_side(facts: &Facts) -> SideBySide {
    let mut found = SideBySide { of: FxHashMap::default(), groups: conductors::side_by_side::side_by_side(facts.network()) };
    for (at, group) in found.groups.iter().enumerate() {
        found.of.extend(group.iter().flatten().map(|(wire, _)| (*wire, at)));
    }
    found
}

fn allowance(facts: &Facts, wire: WireId, by: &[Feeder]) -> Option<Allowance> {
    let capacity = facts.electrical().capacity(wire)?;
    let group = facts.side_by_side().with(wire);
    // A cable whose capacity is not known can't be counted on.
    let shared = group_capacity(facts, group).filter(|_| group.len() > 1);
    let (takes, together) = shared.map_or((capacity.amps, 1), |amps| (amps, group.len()));
    let rule = rule(facts, wire);
    let allowed = largest_rating(rule, takes);
    let next = match (rule, by) {
        (ConductorRule::MarineFrom50V, [feeder]) if feeder.is_fuse => next_rating(made(facts, feeder.element).into_iter(), takes),
        _ => None,
    };
    let allowed = next.filter(|next| next.value > allowed.value).unwrap_or(allowed);
    Some(Allowance { amps: allowed.value, source: allowed.source, capacity, together })
}

/// What cables side by side carry together before the first of them has all that it may; `None` where one is not known.
fn group_capacity(facts: &Facts, group: &[Chain]) -> Option<Ampere> {
    let model = facts.model();
    let conducts = |cable: &Chain| {
        1.0 / cable.iter().map(|(wire, _)| resistance_of(model, &model[*wire]).get()).sum::<f64>().max(f64::MIN_POSITIVE)
    };
    let all: f64 = group.iter().map(conducts).sum();
    let takes = |wire: WireId| facts.electrical().capacity(wire).map(|capacity| capacity.amps.get());
    let most = |cable: &Chain| {
        let takes = cable.iter().map(|(wire, _)| takes(*wire)).try_fold(f64::INFINITY, |least, own| Some(least.min(own?)))?;
        Some(takes * all / conducts(cable))
    };
    let most: Option<Vec<f64>> = group.iter().map(most).collect();
    Some(Ampere::new(most?.into_iter().fold(f64::INFINITY, f64::min)))
}

/// The rule that relates a fuse to a conductor: that of boats where the workshop goes by the table of boats.
fn rule(facts: &Facts, wire: WireId) -> ConductorRule {
    let model = facts.model();
    let wire = &model[wire];
    if table_of(model) != Table::Marine {
        return ConductorRule::NotAbove;
    }
    let domain = wire.from.or(wire.to).and_then(|point| facts.electrical().domains().of(point));
    // What is not known is taken as the higher voltage, whose rule is the stricter one.
    let highest = domain.map_or(Volt::new(f64::MAX), |domain| model[domain].max);
    if highest < marine_limit().value { ConductorRule::MarineBelow50V } else { ConductorRule::MarineFrom50V }
}

/// The ratings that the type or the standard of a fuse is made in.
fn made(facts: &Facts, fuse: ElementId) -> Vec<Ampere> {
    let model = facts.model();
    let Some(kind) = kind_of(model, fuse) else { return Vec::new() };
    let types = match kind.body {
        Some(body) => vec![body.value],
        None => {
            let standard = kind.standard.and_then(|standard| FuseStandard::named(model.text(standard.value)));
            standard.map_or_else(Vec::new, |standard| standard.types.to_vec())
        }
    };
    types.into_iter().flat_map(|kind| kind.ratings().collect::<Vec<_>>()).map(|rating| rating.value).collect()
}
