//! Conductors into which more may flow for long than they may carry, and what lets it through.
//!
//! What flows is the largest flow of fuses and sources (`electrical::fuses::protection::supply`), for the return of a load what the
//! largest fuse of its feed lets through, for the return of a source with a limit what it gives, for the lead of a source to its fuses what the largest of these does. What a conductor may carry is its capacity, by the rule of the workshop's table; cables side
//! by side are judged together, each by its share of the current.

use super::{
    Facts,
    allowance::Allowance,
    returns::{SourceReturn, source_returns},
};
use crate::{
    electrical::fuses::{
        fuse::{kind_of, passes},
        protection::{
            Return,
            supply::{Feeder, Supply},
        },
    },
    model::{ElementId, ModeId, Model, PointId, WireId},
    network::{Edge, EdgeId, Network, Walk},
    quantity::Ampere,
    standards::Source,
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// The wires between a source and its first fuses that no flow is known for, with each fuse that they lead to; by wire, then by fuse.
    ///
    /// Cost: a pass over them. Asked by what judges them here, and by `inspect` for the conductors that go by a fuse.
    #[must_use]
    pub fn leads(&self) -> &[Lead] {
        self.made.leads.get_or_init(|| leads(self))
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

/// A conductor into which more may flow than it may carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Overfed {
    /// The conductor.
    pub wire: WireId,
    /// The load or source whose return it is, or the source whose lead to the fuse it is; `None` for a feed.
    pub of: Option<ElementId>,
    /// It is before the fuse: all that flows through the fuse comes through it.
    pub is_lead_in: bool,
    /// All circuits of a fuse box go back through it.
    pub is_common_return: bool,
    /// The fuses and sources that let the current through, in the order of the elements; at least one.
    pub by: Vec<Feeder>,
    /// What they let through together: ratings and limits.
    pub amps: Ampere,
    /// The modes in which they do; empty where one does by itself.
    pub modes: Vec<ModeId>,
    /// Those of them, and contacts between, that no mode has on or closed, so that they count in all.
    pub unstated: Vec<ElementId>,
    /// Where the ratings are within the capacity: the current from which the fuse is sure to open, above what the conductor is.
    pub sure: Option<(Ampere, &'static Source)>,
    /// What the conductor allows.
    pub allowance: Allowance,
}

impl Overfed {
    /// A conductor that nothing feeds.
    fn new(wire: WireId, allowance: Allowance) -> Self {
        Self {
            wire,
            of: None,
            is_lead_in: false,
            is_common_return: false,
            by: Vec::new(),
            amps: Ampere::ZERO,
            modes: Vec::new(),
            unstated: Vec::new(),
            sure: None,
            allowance,
        }
    }

    /// Whether sources alone feed it, each up to its limit.
    #[must_use]
    pub fn by_sources_alone(&self) -> bool {
        self.by.iter().all(|feeder| !feeder.is_fuse)
    }

    /// Whether contacts are between the conductor and one of what feeds it, so that they can be kept apart.
    #[must_use]
    pub fn is_past_contacts(&self, network: &Network) -> bool {
        let wire = &network.model()[self.wire];
        let walk = network.walk(wire.from.or(wire.to), |_, edge| edge.role.conducts_when_closed() && !edge.role.is_switched());
        let mut near: FxHashSet<ElementId> = FxHashSet::default();
        for point in walk.reached() {
            near.extend(network.around(*point).filter_map(|(_, edge, _)| edge.element()));
        }
        self.by.iter().any(|feeder| !near.contains(&feeder.element))
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

fn overfed(facts: &Facts) -> Vec<Overfed> {
    let mut found: Vec<Overfed> = Vec::new();
    for (wire, supply) in facts.supplies().iter() {
        let over = supply.as_ref().and_then(|supply| feed(facts, wire, supply));
        // An earth gets no fuse: what feeds it is a fault of its own.
        found.extend(over.filter(|_| !facts.is_stub(wire) && !leads_to_earth(facts, wire)));
    }
    let protection = facts.electrical().protection();
    for feed in protection.feeds() {
        // What is a feed with one contact closed and a return with another is judged as a feed.
        let returns = protection.returns(feed.fuse).iter().filter(|back| facts.supplies()[back.wire].is_none());
        let over = |back: &Return| match back.branches.is_empty() {
            true => passed_on(facts, back.wire, feed.fuse, back.of),
            false => common_return(facts, back),
        };
        found.extend(returns.filter_map(|back| Some(Overfed { is_common_return: back.is_common(), ..over(back)? })));
    }
    found.extend(lead_ins(facts));
    // A return that is too thin for the fuse of a load is so for the source too.
    let known: FxHashSet<WireId> = found.iter().map(|over| over.wire).collect();
    for back in &source_returns(facts) {
        let wires = back.wires.iter().filter(|wire| !known.contains(*wire) && !leads_to_earth(facts, **wire));
        found.extend(wires.filter_map(|wire| flows_back(facts, back, *wire)));
    }
    let thinner = |a: &Overfed, b: &Overfed| a.allowance.amps.get().total_cmp(&b.allowance.amps.get());
    found.sort_by(|a, b| a.feeders().cmp(b.feeders()).then(thinner(a, b)).then(a.wire.cmp(&b.wire)));
    found
}

/// Whether one end of a wire meets a protective earth, which gets no fuse.
#[must_use]
pub fn leads_to_earth(facts: &Facts, wire: WireId) -> bool {
    let (model, network) = (facts.model(), facts.network());
    let is_earth = |point: PointId| model.role_at(point) == Some(Role::Earth);
    let meets = |end: PointId| network.around(end).any(|(_, edge, other)| edge.role.is_place() && is_earth(other));
    let wire = &model[wire];
    [wire.from, wire.to].into_iter().flatten().any(|end| is_earth(end) || meets(end))
}

fn feed(facts: &Facts, wire: WireId, supply: &Supply) -> Option<Overfed> {
    let allowance = facts.allowance(wire, &supply.by)?;
    if supply.amps > allowance.amps {
        return Some(Overfed {
            by: supply.by.clone(),
            amps: supply.amps,
            unstated: unstated(facts, wire, supply),
            modes: together_in(facts, supply),
            ..Overfed::new(wire, allowance)
        });
    }
    if supply.late <= allowance.amps {
        return None;
    }
    let amps = supply.late_by.iter().map(|feeder| feeder.amps).sum();
    let sure = supply.late_by.iter().find_map(|feeder| sure(facts, feeder.element));
    sure.map(|sure| Overfed { by: supply.late_by.clone(), amps, sure: Some(sure), ..Overfed::new(wire, allowance) })
}

/// What no mode has on or closed and is needed for what feeds a conductor to add up.
fn unstated(facts: &Facts, wire: WireId, supply: &Supply) -> Vec<ElementId> {
    let (network, possible) = (facts.network(), facts.electrical().possible());
    let Some(mode) = together_in(facts, supply).first().copied() else { return Vec::new() };
    let goes_on = |id: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && possible.is_in(id, mode);
    let wire = &facts.model()[wire];
    let start = wire.from.or(wire.to);
    let met = |walk: &Walk| {
        let around = walk.reached().iter().flat_map(|point| network.around(*point));
        around.filter_map(|(_, edge, _)| edge.element()).collect::<FxHashSet<ElementId>>()
    };
    let said = met(&network.walk(start, |id, edge| goes_on(id, edge) && !possible.is_unstated(id)));
    let mut found = supply.unstated.clone();
    if supply.by.iter().any(|feeder| !said.contains(&feeder.element)) {
        let all = network.walk(start, goes_on);
        let around = all.reached().iter().flat_map(|point| network.around(*point));
        let contacts = around.filter(|(id, edge, _)| edge.role.is_switched() && possible.is_unstated(*id));
        found.extend(contacts.filter_map(|(_, edge, _)| edge.element()));
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// The modes in which all that decides the current of a conductor is on; empty where it is one thing.
fn together_in(facts: &Facts, supply: &Supply) -> Vec<ModeId> {
    let modes = facts.model().modes().map(|(mode, _)| mode);
    modes.filter(|mode| supply.by.len() > 1 && supply.modes.is_some_and(|modes| modes.has(*mode))).collect()
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
    let allowance = facts.allowance(wire, &by)?;
    let over = passes.rating > allowance.amps;
    let late = !over && passes.amps > allowance.amps;
    (over || late).then(|| Overfed {
        of: Some(of),
        by,
        amps: passes.rating,
        sure: passes.sure.filter(|_| late),
        ..Overfed::new(wire, allowance)
    })
}

/// The fuses of a box that decide together what its common return carries; `None` where a rating is not known.
#[must_use]
pub fn branches(model: &Model, back: &Return) -> Option<Vec<Feeder>> {
    let feeder = |fuse: &ElementId| Some(Feeder { element: *fuse, is_fuse: true, amps: kind_of(model, *fuse)?.rating?.value });
    let mut by: Vec<Feeder> = back.branches.iter().map(feeder).collect::<Option<_>>()?;
    by.sort_unstable_by_key(|feeder| feeder.element);
    Some(by)
}

/// The common return of a fuse box, if the fuses let through more than it may carry.
fn common_return(facts: &Facts, back: &Return) -> Option<Overfed> {
    let by = branches(facts.model(), back)?;
    let allowance = facts.allowance(back.wire, &by)?;
    let of = Some(back.of);
    (back.amps > allowance.amps).then(|| Overfed { of, by, amps: back.amps, ..Overfed::new(back.wire, allowance) })
}

/// A conductor through which all that a source gives flows back to it, if that is more than it may carry.
fn flows_back(facts: &Facts, back: &SourceReturn, wire: WireId) -> Option<Overfed> {
    let by = vec![Feeder { element: back.source, is_fuse: false, amps: back.amps }];
    let allowance = facts.allowance(wire, &by).filter(|_| facts.supplies()[wire].is_none())?;
    let of = Some(back.source);
    (back.amps > allowance.amps).then(|| Overfed { of, by, amps: back.amps, ..Overfed::new(wire, allowance) })
}

/// The current from which a fuse is sure to open, where that is far above its rating.
fn sure(facts: &Facts, fuse: ElementId) -> Option<(Ampere, &'static Source)> {
    passes(facts.model(), kind_of(facts.model(), fuse)?)?.sure
}
