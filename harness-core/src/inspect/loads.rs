//! The tables of a reviewer: every fuse and every conductor with its margins, the least first.

use super::{Against, Duty, Guards, Margin, Outcome, Short, margin::least, short};
use crate::{
    analysis::Analysis,
    electrical::{
        Electrical,
        fuses::{
            fuse::{kind_of, passes},
            protection::{
                Feed,
                supply::{Feeder, Supply},
            },
        },
    },
    evidence::current_source,
    facts::overfed::{branches, leads_to_earth},
    model::{ElementId, ElementKind, Model, WireId},
    quantity::{Ampere, Celsius, Ratio, SquareMillimetre, Volt},
    standards::capacity::Capacity,
    text::Span,
    wording::{count, list},
};

/// All fuses and conductors of a design.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Loads {
    /// The fuses, the one with the least margin first; those without any last.
    pub fuses: Vec<FuseLoad>,
    /// The conductors, likewise.
    pub conductors: Vec<ConductorLoad>,
    /// The modes that were computed.
    pub modes: Vec<String>,
    /// What could not be computed, and why.
    pub unknown: Vec<String>,
}

/// A fuse with what it carries and what it protects.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct FuseLoad {
    /// `fuse-box.F4`.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// Its rating; `None` where its kind gives none.
    pub rating: Option<Ampere>,
    /// The air around it.
    pub ambient: Option<Celsius>,
    /// The largest continuous current.
    pub amps: Ampere,
    /// The mode in which it flows.
    pub mode: Option<String>,
    /// The largest continuous load at its ambient.
    pub limit: Option<Ampere>,
    /// The current as a share of that.
    pub share: Option<Ratio>,
    /// How many conductors go by it: those behind it, up to the next fuse or load, and those that lead back what it lets through.
    pub conductors: usize,
    /// The one of them that carries least.
    pub thinnest: Option<Thinnest>,
    /// The largest current that it may have to break; `None` where nothing feeds it.
    pub duty: Option<Duty>,
    /// The short that is worst for a conductor behind it.
    pub short: Option<Short>,
    /// Its margins.
    pub margins: Vec<Margin>,
}

/// The conductor behind a fuse that carries least.
#[derive(Debug, Clone, PartialEq)]
pub struct Thinnest {
    /// `front.107`.
    pub name: String,
    /// Its cross-section.
    pub size: SquareMillimetre,
    /// Its continuous capacity where it is installed.
    pub capacity: Ampere,
}

/// A conductor with what it carries and what protects it.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct ConductorLoad {
    /// `front.107`.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// Its cross-section.
    pub size: Option<SquareMillimetre>,
    /// The largest continuous current.
    pub amps: Ampere,
    /// The mode in which it flows; `None` where none loads it.
    pub mode: Option<String>,
    /// Its continuous capacity where it is installed.
    pub capacity: Option<Ampere>,
    /// The current as a share of that.
    pub share: Option<Ratio>,
    /// Its temperature in the mode in which it is hottest; `None` where a fact for it is missing.
    pub temperature: Option<Celsius>,
    /// The volts along it in the mode in which they are most.
    pub drop: Volt,
    /// The fuses before it.
    pub fuses: Vec<String>,
    /// How many more fuses are before it than are listed.
    pub more_fuses: usize,
    /// Whether it is a return; the fuse it goes by is in the feed.
    pub is_return: bool,
    /// Whether it leads from a source to its first fuse.
    pub is_lead_in: bool,
    /// Its worst short past a fuse; `None` where there is none, or its size or rating is not known.
    pub short: Option<Short>,
    /// Whether a short in it may flow past no fuse.
    pub is_bare: bool,
    /// Its margins.
    pub margins: Vec<Margin>,
}

impl FuseLoad {
    /// The least of its margins, which decides.
    #[must_use]
    pub fn least(&self) -> Option<&Margin> {
        least(&self.margins)
    }
}

impl ConductorLoad {
    /// The least of its margins, which decides.
    #[must_use]
    pub fn least(&self) -> Option<&Margin> {
        least(&self.margins)
    }
}

impl Loads {
    /// The tables of an analysed design. Cost: a few passes over its wires and fuses.
    #[must_use]
    pub fn of(analysis: &Analysis) -> Self {
        let guards = Guards::new(analysis);
        let feeds = analysis.electrical().protection().feeds();
        let mut fuses: Vec<FuseLoad> = feeds.iter().filter_map(|feed| fuse(analysis, &guards, feed)).collect();
        let mut conductors: Vec<ConductorLoad> =
            analysis.model().wires().map(|(id, _)| conductor(analysis, &guards, id)).collect();
        let rank = |margin: Option<&Margin>| margin.map_or(f64::INFINITY, |margin| margin.ratio);
        fuses.sort_by(|a, b| rank(a.least()).total_cmp(&rank(b.least())).then(a.span.cmp(&b.span)));
        // No two conductors are written at one place, so they need no order of before, nor the memory for it.
        conductors.sort_unstable_by(|a, b| rank(a.least()).total_cmp(&rank(b.least())).then(a.span.cmp(&b.span)));
        let unknown = unknown(analysis.model(), analysis.electrical(), &fuses, &conductors);
        let written = analysis.electrical().modes_as_written().into_iter();
        let modes = written.map(|mode| analysis.model().mode_name(mode.id).to_owned()).collect();
        Self { fuses, conductors, modes, unknown }
    }
}

fn unknown(model: &Model, electrical: &Electrical, fuses: &[FuseLoad], conductors: &[ConductorLoad]) -> Vec<String> {
    let mut unknown = Vec::new();
    if electrical.modes().len() == 0 {
        unknown.push("no current was computed: the design has no mode".to_owned());
    }
    for mode in electrical.modes_as_written().into_iter().filter(|mode| !mode.is_settled()) {
        unknown.push(format!("mode `{}` has no steady state: its currents are not known", model.mode_name(mode.id)));
    }
    let mut count = |number: usize, one: &str, many: &str, lacks: &str| match number {
        0 => {}
        1 => unknown.push(format!("1 {one} {lacks}")),
        _ => unknown.push(format!("{number} {many} {lacks}")),
    };
    let bare = conductors.iter().filter(|row| row.capacity.is_none()).count();
    count(bare, "conductor", "conductors", "without a capacity: size, rated temperature or ambient is not given");
    let unrated = fuses.iter().filter(|row| row.rating.is_none()).count();
    count(unrated, "fuse", "fuses", "without a rating");
    let untimed =
        conductors.iter().filter(|row| row.short.as_ref().is_some_and(|short| matches!(short.outcome, Outcome::Unknown(_))));
    let lacks = "that a short may burn: no operating times are known for the fuse before, give its kind `gates`";
    count(untimed.count(), "conductor", "conductors", lacks);
    unknown
}

pub(super) fn fuse(analysis: &Analysis, guards: &Guards<'_>, feed: &Feed) -> Option<FuseLoad> {
    let model = analysis.model();
    let element = &model[feed.fuse];
    if let ElementKind::Fuse { fitted: false, .. } = element.kind {
        return None;
    }
    let loading = analysis.facts().fuse_loading(feed.edge);
    let thinnest = guards.thinnest(feed);
    let rating = kind_of(model, feed.fuse).and_then(|kind| kind.rating).map(|rating| rating.value);
    let (duty, short) = (short::duty(analysis, feed.fuse), guards.exposed(feed).and_then(|wire| short::of_wire(analysis, wire)));
    let mut margins: Vec<Margin> = Vec::new();
    if let Some(loading) = &loading {
        let mode = loading.mode.map_or_else(String::new, |mode| format!("in mode `{}`", model.mode_name(mode)));
        let limit = format!("= {} x {} x {} for the air", loading.rating, loading.share.value, loading.rerating.value);
        margins.extend(Margin::between(Against::Load, loading.amps, loading.limit).map(|margin| {
            let usual = loading.policy.is_none().then_some(loading.share.source);
            margin.said(mode, limit).from(usual.into_iter().chain([loading.rerating.source]))
        }));
    }
    let against = |wire: WireId, capacity: &Capacity| against_rating(analysis, guards, wire, capacity, Some(feed.fuse));
    let common = guards.common_of(feed.fuse).filter_map(|wire| against(wire, &analysis.electrical().capacity(wire)?));
    let own = thinnest.as_ref().and_then(|(wire, capacity)| against(*wire, capacity));
    margins.extend(own.into_iter().chain(common).reduce(|least, one| if one.ratio < least.ratio { one } else { least }));
    margins.extend(short.as_ref().and_then(Short::margin));
    margins.extend(duty.as_ref().and_then(Duty::margin));
    Some(FuseLoad {
        duty,
        short,
        name: model.element_name(feed.fuse),
        span: element.span,
        rating,
        ambient: loading.and_then(|loading| loading.ambient),
        amps: loading.map_or_else(Ampere::default, |loading| loading.amps),
        mode: loading
            .filter(|loading| loading.amps.get() > 0.0)
            .and_then(|loading| loading.mode)
            .map(|mode| model.mode_name(mode).to_owned()),
        limit: loading.map(|loading| loading.limit),
        share: loading.and_then(|loading| share(loading.amps, loading.limit)),
        conductors: guards.count(feed),
        thinnest: thinnest.map(|(wire, capacity)| Thinnest {
            name: model.wire_name(wire),
            size: capacity.size,
            capacity: capacity.amps,
        }),
        margins,
    })
}

pub(super) fn conductor(analysis: &Analysis, guards: &Guards<'_>, id: WireId) -> ConductorLoad {
    let model = analysis.model();
    let wire = &model[id];
    let loading = analysis.electrical().loading(id);
    let mode = loading.mode.map(|mode| model.mode_name(mode).to_owned());
    let capacity = analysis.electrical().capacity(id);
    let (before, more_fuses) = guards.before(id);
    let short = short::of_wire(analysis, id);
    // A short run to fuses of its own goes by these, and by its length.
    let is_stub = analysis.facts().is_stub(id);
    let mut margins = Vec::new();
    if let Some(capacity) = &capacity {
        let said = current_source(analysis.facts(), id, loading);
        let sources = capacity.chain.iter().map(|step| step.source);
        margins.extend(
            Margin::between(Against::Load, loading.lasting, capacity.amps)
                .map(|margin| margin.said(said, "capacity").from(sources)),
        );
        let is_fed_earth = analysis.facts().supplies()[id].is_some() && leads_to_earth(analysis.facts(), id);
        margins.extend(against_rating(analysis, guards, id, capacity, None).filter(|_| !is_stub && !is_fed_earth));
    }
    margins.extend(short.as_ref().and_then(Short::margin).filter(|_| !is_stub));
    let temperatures = analysis.electrical().modes().filter_map(|mode| mode.temperature(id));
    let drops = wire
        .from
        .zip(wire.to)
        .into_iter()
        .flat_map(|(from, to)| analysis.electrical().modes().map(move |mode| (mode.volts(from) - mode.volts(to)).abs()));
    ConductorLoad {
        temperature: temperatures.reduce(Celsius::max),
        drop: drops.fold(Volt::ZERO, Volt::max),
        short,
        is_bare: analysis.electrical().faults().is_bare(id),
        name: model.wire_name(id),
        span: wire.span,
        size: wire.size.map(|size| size.value),
        amps: loading.amps,
        mode,
        share: capacity.as_ref().and_then(|capacity| share(loading.lasting, capacity.amps)),
        capacity: capacity.map(|capacity| capacity.amps),
        more_fuses,
        fuses: before.iter().map(|fuse| model.element_name(*fuse)).collect(),
        is_return: guards.is_return(id),
        is_lead_in: guards.is_lead_in(id),
        margins,
    }
}

/// The margin between what a conductor may carry, cables side by side together, and what the fuses and sources before it let through.
///
/// With a fuse: what that one lets through, which may be less (another position of a switch puts a larger fuse before the conductor).
fn against_rating(
    analysis: &Analysis,
    guards: &Guards<'_>,
    wire: WireId,
    capacity: &Capacity,
    of: Option<ElementId>,
) -> Option<Margin> {
    let model = analysis.model();
    let alone = |fuse: ElementId| {
        let passes = passes(model, kind_of(model, fuse)?)?;
        let by = vec![Feeder { element: fuse, is_fuse: true, amps: passes.rating }];
        Some(Supply { amps: passes.rating, late: passes.amps, late_by: by.clone(), by, modes: None, unstated: Vec::new() })
    };
    let supply = analysis.facts().supplies()[wire].clone();
    let common = || {
        let fuse = guards.of_return(wire)?;
        let mut returns = analysis.electrical().protection().returns(fuse).iter();
        let back = returns.find(|back| back.wire == wire && !back.branches.is_empty())?;
        let by = branches(model, back)?;
        Some(Supply { amps: back.amps, late: back.amps, late_by: by.clone(), by, modes: None, unstated: Vec::new() })
    };
    let most = supply.or_else(common).or_else(|| guards.largest(wire).and_then(|(fuse, _)| alone(fuse)))?;
    let supply = of.and_then(alone).filter(|alone| alone.amps < most.amps && alone.late <= most.late);
    let supply = supply.filter(|alone| !shares(&most, alone)).unwrap_or(most);
    let allowed = analysis.facts().allowance(wire, &supply.by)?;
    let late = supply.amps <= allowed.amps && supply.late > allowed.amps;
    let (amps, by) = if late { (supply.late, &supply.late_by) } else { (supply.amps, &supply.by) };
    let margin = Margin::between(Against::Rating, amps, allowed.amps)?;
    let sources = std::iter::once(allowed.source).chain(capacity.chain.iter().map(|step| step.source));
    let names: Vec<String> = by.iter().map(|feeder| format!("`{}`", model.element_name(feeder.element))).collect();
    let what = match (late, by.iter().all(|feeder| feeder.is_fuse)) {
        (true, _) => "that a conductor must take behind",
        (false, true) => "rating of",
        (false, false) => "limit of",
    };
    let takes = match allowed.together {
        // A rule may allow a larger fuse than the conductor carries for ever.
        1 if allowed.amps > allowed.capacity.amps => {
            format!("for the {} capacity of `{}`", allowed.capacity.amps, model.wire_name(wire))
        }
        1 => format!("capacity of `{}`", model.wire_name(wire)),
        cables => format!("of `{}` and {} beside it", model.wire_name(wire), count(cables - 1, "wire")),
    };
    Some(margin.said(format!("{what} {}", list(&names)), takes).from(sources))
}

/// Whether the fuse of `alone` has a share in the larger flow.
fn shares(most: &Supply, alone: &Supply) -> bool {
    most.by.iter().any(|feeder| alone.by.iter().any(|one| one.element == feeder.element))
}

fn share(amps: Ampere, limit: Ampere) -> Option<Ratio> {
    (limit > Ampere::ZERO).then(|| amps / limit)
}
