//! Conductors into which more may flow for long than they may carry, and what lets it through.
//!
//! What flows is the largest flow of fuses and sources (`electrical::fuses::protection::supply`), for the return of a load what the
//! largest fuse of its feed lets through, for the lead of a source to its fuses what the largest of these does. What a conductor may carry is its capacity, by the rule of the workshop's table; cables side
//! by side are judged together, each by its share of the current.

mod stubs;

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
            fuse::{kind_of, passes},
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
        self.made
            .supplies
            .get_or_init(|| supplies(self.network(), self.electrical().protection(), self.electrical().alternatives()))
    }

    /// Cables side by side: those that join the same two places, for each wire that has others beside it.
    ///
    /// Cost: a pass over the edges.
    #[must_use]
    pub fn side_by_side(&self) -> &SideBySide {
        self.made.side_by_side.get_or_init(|| side_by_side(self))
    }

    /// The wires between a source and its first fuses that no flow is known for, with each fuse that they lead to; by wire, then by fuse.
    ///
    /// Cost: a pass over them. Asked by what judges them here, and by `inspect` for the conductors that go by a fuse.
    #[must_use]
    pub fn leads(&self) -> &[Lead] {
        self.made.leads.get_or_init(|| leads(self))
    }

    /// The largest fuse that may be before a wire, cables side by side judged together; `None` where the capacity of the wire is not
    /// known. `by` is what feeds it: the boat rule from 50 V on allows the next larger rating that is made.
    #[must_use]
    pub fn allowance(&self, wire: WireId, by: &[Feeder]) -> Option<Allowance> {
        allowance(self, wire, by)
    }

    /// The conductors into which more may flow than they may carry, those of the same fuses and sources together and the thinnest
    /// first; short runs to fuses of their own are not among them.
    ///
    /// Cost: a pass over the wires. Asked by `protection/fuse-over-conductor`, `protection/missing-fuse` and
    /// `protection/uncleared-fault`.
    #[must_use]
    pub fn overfed(&self) -> &[Overfed] {
        self.made.overfed.get_or_init(|| overfed(self))
    }

    /// The same, those of the same fuses and sources together: each group has at least one, the thinnest first.
    pub fn overfed_groups(&self) -> impl Iterator<Item = &[Overfed]> {
        self.overfed().chunk_by(|a, b| a.feeders().eq(b.feeders()))
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

/// A conductor into which more may flow than it may carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Overfed {
    /// The conductor.
    pub wire: WireId,
    /// The load or source whose return it is, or the source whose lead to the fuse it is; `None` for a feed.
    pub of: Option<ElementId>,
    /// It is before the fuse: all that flows through the fuse comes through it.
    pub is_lead_in: bool,
    /// The fuses and sources that let the current through, in the order of the elements; at least one.
    pub by: Vec<Feeder>,
    /// What they let through together: ratings and limits.
    pub amps: Ampere,
    /// Where the ratings are within the capacity: the current from which the fuse is sure to open, above what the conductor is.
    pub sure: Option<(Ampere, &'static Source)>,
    /// What the conductor allows.
    pub allowance: Allowance,
}

impl Overfed {
    /// Whether sources alone feed it, each up to its limit.
    #[must_use]
    pub fn by_sources_alone(&self) -> bool {
        self.by.iter().all(|feeder| !feeder.is_fuse)
    }

    fn feeders(&self) -> impl Iterator<Item = ElementId> + '_ {
        self.by.iter().map(|feeder| feeder.element)
    }
}

/// A wire from a source, before the fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lead {
    /// The wire.
    pub wire: WireId,
    /// A fuse that it leads to, past no other.
    pub fuse: ElementId,
    /// The source.
    pub source: ElementId,
    /// Whether that fuse has the largest rating of those that the wire leads to; of equal ones the first.
    pub is_largest: bool,
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

fn overfed(facts: &Facts) -> Vec<Overfed> {
    let mut found: Vec<Overfed> = Vec::new();
    for (wire, supply) in facts.supplies().iter() {
        found.extend(supply.as_ref().and_then(|supply| feed(facts, wire, supply)).filter(|_| !facts.is_stub(wire)));
    }
    let protection = facts.electrical().protection();
    for feed in protection.feeds() {
        // What is a feed with one contact closed and a return with another is judged as a feed.
        let returns = protection.returns(feed.fuse).iter().filter(|back| facts.supplies()[back.wire].is_none());
        found.extend(returns.filter_map(|back| passed_on(facts, back.wire, feed.fuse, back.of)));
    }
    found.extend(lead_ins(facts));
    let thinner = |a: &Overfed, b: &Overfed| a.allowance.amps.get().total_cmp(&b.allowance.amps.get());
    found.sort_by(|a, b| a.feeders().cmp(b.feeders()).then(thinner(a, b)).then(a.wire.cmp(&b.wire)));
    found
}

fn feed(facts: &Facts, wire: WireId, supply: &Supply) -> Option<Overfed> {
    let allowance = allowance(facts, wire, &supply.by)?;
    if supply.amps > allowance.amps {
        return Some(Overfed {
            wire,
            of: None,
            is_lead_in: false,
            by: supply.by.clone(),
            amps: supply.amps,
            sure: None,
            allowance,
        });
    }
    if supply.late <= allowance.amps {
        return None;
    }
    let amps = supply.late_by.iter().map(|feeder| feeder.amps).sum();
    let sure = supply.late_by.iter().find_map(|feeder| sure(facts, feeder.element));
    sure.map(|sure| Overfed { wire, of: None, is_lead_in: false, by: supply.late_by.clone(), amps, sure: Some(sure), allowance })
}

/// The conductors between a source and its first fuse, each by the largest of the fuses that it leads to: a fuse at the end of a
/// conductor without branches is its overload protection too.
fn lead_ins(facts: &Facts) -> Vec<Overfed> {
    let mut found: Vec<Overfed> = Vec::new();
    for wire in facts.leads().chunk_by(|one, other| one.wire == other.wire) {
        let over = wire.iter().filter_map(|lead| passed_on(facts, lead.wire, lead.fuse, lead.source));
        found.extend(over.reduce(|most, one| if one.amps > most.amps { one } else { most }));
    }
    found.iter_mut().for_each(|over| over.is_lead_in = true);
    found
}

fn leads(facts: &Facts) -> Vec<Lead> {
    let model = facts.model();
    let mut leads: Vec<Lead> = Vec::new();
    for unfused in facts.electrical().protection().unfused() {
        for lead_in in &unfused.lead_ins {
            let bare = lead_in.wires.iter().filter(|wire| facts.supplies()[**wire].is_none());
            leads.extend(bare.map(|wire| Lead { wire: *wire, fuse: lead_in.fuse, source: unfused.source, is_largest: false }));
        }
    }
    leads.sort_unstable();
    for wire in leads.chunk_by_mut(|one, other| one.wire == other.wire) {
        let rated = wire.iter().filter_map(|lead| Some((lead.fuse, kind_of(model, lead.fuse)?.rating?.value)));
        let largest = rated.reduce(|most, one| if one.1 > most.1 { one } else { most });
        wire.iter_mut().for_each(|lead| lead.is_largest = largest.is_some_and(|(fuse, _)| fuse == lead.fuse));
    }
    leads
}

/// A conductor through which flows what a fuse lets through, if that is more than it may carry.
fn passed_on(facts: &Facts, wire: WireId, fuse: ElementId, of: ElementId) -> Option<Overfed> {
    let model = facts.model();
    let passes = passes(model, kind_of(model, fuse)?)?;
    let by = vec![Feeder { element: fuse, is_fuse: true, amps: passes.rating }];
    let allowance = allowance(facts, wire, &by)?;
    let over = passes.rating > allowance.amps;
    let late = !over && passes.amps > allowance.amps;
    (over || late).then(|| Overfed {
        wire,
        of: Some(of),
        is_lead_in: false,
        by,
        amps: passes.rating,
        sure: passes.sure.filter(|_| late),
        allowance,
    })
}

/// The current from which a fuse is sure to open, where that is far above its rating.
fn sure(facts: &Facts, fuse: ElementId) -> Option<(Ampere, &'static Source)> {
    passes(facts.model(), kind_of(facts.model(), fuse)?)?.sure
}
