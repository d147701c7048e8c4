//! Which fuse is before which conductor, both ways, made once for a design.

use crate::{
    analysis::Analysis,
    electrical::{
        faults::Exposure,
        fuses::{
            fuse::kind_of,
            protection::{Feed, SectionId},
        },
    },
    facts::overfed::leads_to_earth,
    model::{ElementId, PointId, WireId},
    quantity::Ampere,
    standards::capacity::Capacity,
};

/// Fuses before a thing are listed up to this many; fuses side by side can be hundreds.
const MOST: usize = 8;

/// Fuses and the conductors that go by them: those behind a fuse, up to the next fuse or load, and those that lead back what
/// it lets through.
#[derive(Debug)]
pub struct Guards<'a> {
    analysis: &'a Analysis,
    /// Fuses by the sections that they feed, sorted.
    fuses: Vec<(SectionId, &'a Feed)>,
    /// What the wires of each section come to, sorted by section: several fuses may feed one.
    groups: Vec<(SectionId, Group)>,
    /// What the wires come to that go by a fuse whose current a diode keeps from others of its section, sorted by fuse.
    own: Vec<(ElementId, Group)>,
    /// Wires between a source and its first fuse, with that fuse, sorted.
    lead_ins: Vec<(WireId, ElementId)>,
    /// Fuses with the wires from a source that they are the largest fuse of, sorted.
    leads: Vec<(ElementId, WireId)>,
    /// Returns with the fuse whose current they lead back, sorted.
    returns: Vec<(WireId, ElementId)>,
    /// Fuses of a box with the common return that they decide about together, sorted.
    common: Vec<(ElementId, WireId)>,
}

/// What the wires of a section come to.
#[derive(Debug, Clone, Copy, Default)]
struct Group {
    wires: usize,
    /// The one that carries least, with its capacity.
    thinnest: Option<(WireId, Ampere)>,
    /// The one that a short is hardest on.
    exposed: Option<WireId>,
    /// The fuse of the largest rating that feeds them.
    largest: Option<(ElementId, Ampere)>,
}

impl<'a> Guards<'a> {
    /// Sorts the wires and fuses of a design. Cost: a pass over each, and a sort.
    #[must_use]
    pub fn new(analysis: &'a Analysis) -> Self {
        let protection = analysis.electrical().protection();
        let sections = |feed: &'a Feed| protection.fed(feed).map(move |section| (section, feed));
        let mut fuses: Vec<(SectionId, &Feed)> = protection.feeds().iter().flat_map(sections).collect();
        let order = |(section, feed): &(SectionId, &Feed)| (*section, feed.edge);
        fuses.sort_unstable_by_key(order);
        fuses.dedup_by_key(|fed| order(fed));
        let unfused = protection.unfused().iter().flat_map(|unfused| &unfused.lead_ins);
        let wires = unfused.flat_map(|lead_in| lead_in.wires.iter().map(|wire| (*wire, lead_in.fuse)));
        let mut lead_ins: Vec<(WireId, ElementId)> = wires.collect();
        lead_ins.sort_unstable();
        let all = || protection.feeds().iter().flat_map(|feed| protection.returns(feed.fuse));
        let mut returns: Vec<(WireId, ElementId)> = all().map(|found| (found.wire, found.fuse)).collect();
        returns.sort_unstable();
        let mut common: Vec<(ElementId, WireId)> =
            all().flat_map(|found| found.branches.iter().map(|fuse| (*fuse, found.wire))).collect();
        common.sort_unstable();
        let largest = analysis.facts().leads().iter().filter(|lead| lead.is_largest);
        let mut leads: Vec<(ElementId, WireId)> = largest.map(|lead| (lead.fuse, lead.wire)).collect();
        leads.sort_unstable();
        leads.dedup();
        let mut guards = Self { analysis, fuses, groups: Vec::new(), own: Vec::new(), lead_ins, leads, returns, common };
        let has_diode = |feed: &&Feed| protection.fed(feed).any(|section| protection.has_diode(feed.fuse, section));
        let behind = |feed: &Feed| protection.wires_behind(analysis.network(), feed);
        let own = protection.feeds().iter().filter(has_diode);
        guards.own = own.map(|feed| (feed.fuse, guards.sum(behind(feed).into_iter()))).collect();
        guards.own.sort_by_key(|(fuse, _)| *fuse);
        guards.groups = protection.wires().chunk_by(|a, b| a.0 == b.0).filter_map(|chunk| guards.group(chunk)).collect();
        guards
    }

    fn group(&self, chunk: &[(SectionId, WireId)]) -> Option<(SectionId, Group)> {
        let (section, _) = chunk.first()?;
        let mut group = self.sum(chunk.iter().map(|(_, id)| *id));
        for feed in within(&self.fuses, *section) {
            // Which fuse is largest is asked of those whose rating is known.
            let Some(rating) = kind_of(self.analysis.model(), feed.fuse).and_then(|kind| kind.rating) else { continue };
            if group.largest.is_none_or(|(_, most)| rating.value > most) {
                group.largest = Some((feed.fuse, rating.value));
            }
        }
        Some((*section, group))
    }

    /// What wires come to. A short run to fuses of its own goes by these.
    fn sum(&self, wires: impl Iterator<Item = WireId>) -> Group {
        let mut group = Group::default();
        for id in wires {
            group.wires += 1;
            if self.analysis.facts().is_stub(id) || leads_to_earth(self.analysis.facts(), id) {
                continue;
            }
            let capacity = self.analysis.electrical().capacity(id).map(|capacity| (id, capacity.amps));
            group.thinnest = thinner(group.thinnest, capacity);
            group.exposed = self.worse(group.exposed, Some(id));
        }
        group
    }

    fn groups_of<'g>(&'g self, feed: &'g Feed) -> impl Iterator<Item = &'g Group> {
        let own = self.own.binary_search_by_key(&feed.fuse, |(fuse, _)| *fuse).ok();
        let sections = self.analysis.electrical().protection().fed(feed).filter(move |_| own.is_none());
        // A section without a wire has no group.
        let found = sections.filter_map(|section| self.groups.binary_search_by_key(&section, |(of, _)| *of).ok());
        let found = found.filter_map(|at| self.groups.get(at)).map(|(_, group)| group);
        found.chain(own.and_then(|at| self.own.get(at)).map(|(_, group)| group))
    }

    /// The conductors that lead back what a fuse lets through and no larger fuse does.
    fn returns_of(&self, feed: &Feed) -> impl Iterator<Item = WireId> {
        let returns = self.analysis.electrical().protection().returns(feed.fuse).iter();
        returns.filter(|found| found.branches.is_empty()).map(|found| found.wire).chain(self.common_of(feed.fuse))
    }

    /// The common returns of fuse boxes that a fuse decides about together with others.
    pub fn common_of(&self, fuse: ElementId) -> impl Iterator<Item = WireId> {
        let first = self.common.partition_point(|(of, _)| *of < fuse);
        self.common.iter().skip(first).take_while(move |(of, _)| *of == fuse).map(|(_, wire)| *wire)
    }

    /// The conductors between a source and a fuse that is the largest of those that they lead to.
    fn leads_of(&self, feed: &Feed) -> impl Iterator<Item = WireId> {
        let first = self.leads.partition_point(|(fuse, _)| *fuse < feed.fuse);
        self.leads.iter().skip(first).take_while(|(fuse, _)| *fuse == feed.fuse).map(|(_, wire)| *wire)
    }

    /// How many conductors go by a fuse: those behind it, and those that lead back what it lets through.
    #[must_use]
    pub fn count(&self, feed: &Feed) -> usize {
        let closures = self.analysis.electrical().alternatives().closures().len();
        if closures > 1 {
            // A wire is in a section of each closure.
            return self.behind(feed).len();
        }
        self.groups_of(feed).map(|group| group.wires).sum::<usize>() + self.returns_of(feed).count()
    }

    /// The conductor behind a fuse that carries least, with its capacity; those of unknown capacity are left out.
    #[must_use]
    pub fn thinnest(&self, feed: &Feed) -> Option<(WireId, Capacity)> {
        let behind = self.groups_of(feed).fold(None, |least, group| thinner(least, group.thinnest));
        let returns = self.returns_of(feed).map(|id| self.analysis.electrical().capacity(id).map(|capacity| (id, capacity.amps)));
        let leads = self.leads_of(feed).map(|id| self.analysis.electrical().capacity(id).map(|capacity| (id, capacity.amps)));
        let (wire, _) = leads.fold(returns.fold(behind, thinner), thinner)?;
        Some((wire, self.analysis.electrical().capacity(wire)?))
    }

    /// The conductor behind a fuse that a short is hardest on.
    #[must_use]
    pub fn exposed(&self, feed: &Feed) -> Option<WireId> {
        let behind = self.groups_of(feed).fold(None, |worst, group| self.worse(worst, group.exposed));
        self.returns_of(feed).fold(behind, |worst, id| self.worse(worst, Some(id)))
    }

    /// The one of two wires that its worst short is harder on: what burns, then what is not known, then by margin.
    fn worse(&self, a: Option<WireId>, b: Option<WireId>) -> Option<WireId> {
        let rank = |id: Option<WireId>| id.and_then(|id| self.analysis.electrical().short(id)).map(Exposure::rank);
        match (rank(a), rank(b)) {
            (Some(first), Some(second)) => {
                if second.0.cmp(&first.0).then(second.1.total_cmp(&first.1)).is_lt() {
                    b
                } else {
                    a
                }
            }
            (Some(_), None) => a,
            (None, Some(_)) => b,
            (None, None) => None,
        }
    }

    /// The conductors that go by a fuse, in the order written.
    #[must_use]
    pub fn behind(&self, feed: &Feed) -> Vec<WireId> {
        let protection = self.analysis.electrical().protection();
        let mut behind = protection.wires_behind(self.analysis.network(), feed);
        behind.extend(self.returns_of(feed));
        behind.sort_unstable();
        behind.dedup();
        behind
    }

    /// The fuses before a wire, each by itself, and how many more there are: any of them may have to clear a
    /// fault in it.
    #[must_use]
    pub fn before(&self, wire: WireId) -> (Vec<ElementId>, usize) {
        if let Some(fuse) = self.of_return(wire) {
            return (vec![fuse], 0);
        }
        let point = self.end(wire);
        point.map(|point| self.before_point(point)).unwrap_or_default()
    }

    /// The fuses before a point, and how many more there are.
    #[must_use]
    pub fn before_point(&self, point: PointId) -> (Vec<ElementId>, usize) {
        let protection = self.analysis.electrical().protection();
        let mut fuses: Vec<ElementId> = Vec::new();
        let mut all = 0;
        for section in protection.sections_of(point) {
            for feed in within(&self.fuses, section) {
                if protection.goes_by(feed.fuse, section, point) && !fuses.contains(&feed.fuse) {
                    all += 1;
                    if fuses.len() < MOST {
                        fuses.push(feed.fuse);
                    }
                }
            }
        }
        (fuses, all - all.min(MOST))
    }

    /// The fuse that a return goes by.
    #[must_use]
    pub fn of_return(&self, wire: WireId) -> Option<ElementId> {
        let at = self.returns.binary_search_by_key(&wire, |(of, _)| *of).ok()?;
        self.returns.get(at).map(|(_, fuse)| *fuse)
    }

    /// The fuse of the largest rating before a wire, with its rating; for the lead of a source, the largest that it leads to.
    #[must_use]
    pub fn largest(&self, wire: WireId) -> Option<(ElementId, Ampere)> {
        if let Some(fuse) = self.of_return(wire) {
            return Some((fuse, kind_of(self.analysis.model(), fuse)?.rating?.value));
        }
        let point = self.end(wire)?;
        let sections = self.analysis.electrical().protection().sections_of(point);
        let found = sections.filter_map(|section| {
            let at = self.groups.binary_search_by_key(&section, |(of, _)| *of).ok()?;
            self.groups.get(at)?.1.largest
        });
        let before = self.fuses_after(wire).filter_map(|fuse| Some((fuse, kind_of(self.analysis.model(), fuse)?.rating?.value)));
        let larger = |most: (ElementId, Ampere), one: (ElementId, Ampere)| if one.1 > most.1 { one } else { most };
        found.reduce(larger).or_else(|| before.reduce(larger))
    }

    /// The fuses that a wire from a source leads to, past no other fuse.
    fn fuses_after(&self, wire: WireId) -> impl Iterator<Item = ElementId> {
        let first = self.lead_ins.partition_point(|(of, _)| *of < wire);
        self.lead_ins.iter().skip(first).take_while(move |(of, _)| *of == wire).map(|(_, fuse)| *fuse)
    }

    /// Whether a wire is a return: its cluster is the ground of a source, to which no fault current comes from above.
    #[must_use]
    pub fn is_return(&self, wire: WireId) -> bool {
        let protection = self.analysis.electrical().protection();
        let point = self.end(wire);
        point.is_some_and(|point| protection.grounds(point))
    }

    /// An end of a wire; `None` for one that has none.
    fn end(&self, wire: WireId) -> Option<PointId> {
        let wire = &self.analysis.model()[wire];
        wire.from.or(wire.to)
    }

    /// Whether a wire leads from a source to its first fuse.
    #[must_use]
    pub fn is_lead_in(&self, wire: WireId) -> bool {
        self.fuses_after(wire).next().is_some()
    }

    /// The feed of a fuse.
    #[must_use]
    pub fn feed(&self, fuse: ElementId) -> Option<&Feed> {
        self.analysis.electrical().protection().feeds().iter().find(|feed| feed.fuse == fuse)
    }
}

/// The one of two conductors that carries less.
fn thinner(a: Option<(WireId, Ampere)>, b: Option<(WireId, Ampere)>) -> Option<(WireId, Ampere)> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.1 < a.1 { b } else { a }),
        (a, b) => a.or(b),
    }
}

/// The entries of a sorted list under one key.
fn within<T: Copy>(list: &[(SectionId, T)], key: SectionId) -> impl Iterator<Item = T> + use<'_, T> {
    let first = list.partition_point(|(of, _)| *of < key);
    list.iter().skip(first).take_while(move |(of, _)| *of == key).map(|(_, item)| *item)
}
