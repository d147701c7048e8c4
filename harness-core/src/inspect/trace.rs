//! All that is known of one thing.

use super::{
    Against, Charge, Duty, Fact, Guards, Margin, Member, ModeRow, Outcome, Short, Thing,
    charge::charges,
    facts, loads,
    mates::{members, names},
    modes::{self, main_edge},
    protected, ways,
};
use crate::{
    analysis::Analysis,
    electrical::{
        conductors::{
            conductor::surroundings,
            drop::{Authority, Drop},
        },
        current_path::Direction,
        fuses::fuse::kind_of,
    },
    evidence::assumptions,
    finding::{Judged, Level},
    model::{ElementId, ElementKind, Model, PointId, WireId},
    network::EdgeId,
    quantity::{Ampere, Kelvin},
    standards::capacity::Capacity,
    text::Span,
};
use std::collections::BTreeSet;

/// What is known of one wire, element or point.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Trace {
    /// Its name in findings.
    pub name: String,
    /// What it is: `wire`, `fuse`, `pin`.
    pub kind: &'static str,
    /// Where it is written.
    pub span: Span,
    /// What the design says of it.
    pub facts: Vec<Fact>,
    /// The nets of its points: one for a wire or a point, one for each side of an element.
    pub nets: Vec<Net>,
    /// The way of the current through it.
    pub way: Way,
    /// What flows, one row a mode.
    pub modes: Vec<ModeRow>,
    /// Its continuous capacity; `None` where it is not a conductor or a fact is missing.
    pub capacity: Option<Capacity>,
    /// What is beside a conductor and warms it, where its capacity is least: the one that warms most first.
    pub neighbours: Vec<Neighbour>,
    /// The fuses before it, any of which may have to clear a fault in it; for a fuse, the fuse itself.
    pub fuses: Vec<Fuse>,
    /// For a fuse, the conductor behind it that carries least, and how many there are.
    pub protects: Option<(loads::Thinnest, usize)>,
    /// The worst short of a conductor; for a fuse, that of the conductors behind it.
    pub short: Option<Short>,
    /// For a fuse, the largest current that it may have to break.
    pub duty: Option<Duty>,
    /// How far its figures stay from their limits.
    pub margins: Vec<Margin>,
    /// Findings that concern it or what it mates with, the most severe first.
    pub concerns: Vec<Concern>,
    /// For a battery, the modes in which it is charged: what it takes and what the loads take.
    pub charges: Vec<Charge>,
    /// For a cable its cores, for a mated pair its contacts: what each carries at most.
    pub members: Vec<Member>,
    /// What has to be known beside the figures.
    pub notes: Vec<String>,
    /// What could not be computed, and why.
    pub unknown: Vec<String>,
}

/// A conductor that is beside another.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbour {
    /// Its name.
    pub name: String,
    /// What it carries there.
    pub amps: Ampere,
    /// The mode.
    pub mode: String,
    /// What its heat adds to the temperature of the traced conductor, in K.
    pub adds: Kelvin,
    /// It carries nothing in that mode and counts with its largest current, because it is live.
    pub is_idle: bool,
}

/// Points that are one piece of metal.
#[derive(Debug, Clone, PartialEq)]
pub struct Net {
    /// Its voltage domain.
    pub domain: Option<String>,
    /// Its points, in the order written.
    pub points: Vec<String>,
    /// Its wires, in the order written.
    pub wires: Vec<String>,
}

/// The way of the current.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Way {
    /// The mode whose current it follows; `None` where none flows and it follows what joins.
    pub mode: Option<String>,
    /// From the source to the thing.
    pub feed: Option<Vec<String>>,
    /// From the thing back to the source.
    pub back: Option<Vec<String>>,
}

/// A fuse before a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuse {
    /// `fuse-box.F4`.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// Its rating.
    pub rating: Option<Ampere>,
    /// Its kind and standard.
    pub kind: String,
}

/// A finding that concerns a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Concern {
    /// The rule.
    pub rule: &'static str,
    /// Its level.
    pub level: Level,
    /// Its headline.
    pub headline: String,
    /// Its place.
    pub span: Span,
    /// A waiver accepts it.
    pub waived: bool,
}

/// Gathers what is known of `thing`; `findings` are those of the same run.
///
/// Cost: linear in the design.
#[must_use]
pub fn trace(analysis: &Analysis, findings: &[Judged], thing: Thing) -> Trace {
    let model = analysis.model();
    let guards = Guards::new(analysis);
    let name = thing.name(model);
    let mut trace = Trace {
        kind: facts::kind(model, thing),
        span: facts::span(model, thing),
        facts: facts::facts(analysis, thing),
        nets: nets(analysis, thing),
        way: way(analysis, thing),
        modes: modes::rows(analysis, thing),
        capacity: None,
        neighbours: Vec::new(),
        fuses: Vec::new(),
        protects: None,
        short: None,
        duty: None,
        margins: Vec::new(),
        concerns: concerns(findings, &names(analysis, thing, &name)),
        charges: if let Thing::Element(id) = thing { charges(analysis, id) } else { Vec::new() },
        members: members(analysis, thing),
        notes: Vec::new(),
        unknown: Vec::new(),
        name,
    };
    match thing {
        Thing::Wire(id) => of_wire(analysis, &guards, id, &mut trace),
        Thing::Element(id) => of_element(analysis, &guards, id, &mut trace),
        Thing::Point(id) => {
            let (before, more) = guards.before_point(id);
            trace.notes.extend(more_fuses(more));
            trace.fuses = before.iter().map(|fuse| fuse_of(model, *fuse)).collect();
        }
        Thing::Cable(_) | Thing::Pair(_) => {}
    }
    for mode in analysis.electrical().modes_as_written().into_iter().filter(|mode| !mode.is_settled()) {
        let name = model.mode_name(mode.id);
        trace.unknown.push(format!("mode `{name}` has no steady state: its currents are not known"));
    }
    if analysis.electrical().modes().len() == 0 {
        trace.unknown.push("no current was computed: none of the modes asked for exists".to_owned());
    }
    if trace.modes.iter().any(|row| row.shorted) {
        trace.notes.push("in some mode a source of its circuit is shorted: that current is the fault current".to_owned());
    }
    trace
}

fn of_wire(analysis: &Analysis, guards: &Guards<'_>, id: WireId, trace: &mut Trace) {
    let model = analysis.model();
    trace.capacity = analysis.electrical().capacity(id);
    if let Some(neighbours) = analysis.electrical().neighbours(id) {
        let mode = model.mode_name(neighbours.mode);
        trace.neighbours = neighbours
            .others
            .iter()
            .map(|other| Neighbour {
                name: model.wire_name(other.wire),
                amps: other.amps,
                mode: mode.to_owned(),
                adds: other.adds,
                is_idle: other.is_idle,
            })
            .collect();
        trace.notes.extend(assumptions(analysis.facts(), id, &neighbours).into_iter().map(|text| format!("assumed: {text}")));
    }
    let (before, more) = guards.before(id);
    trace.notes.extend(more_fuses(more));
    trace.fuses = before.iter().map(|fuse| fuse_of(model, *fuse)).collect();
    let row = loads::conductor(analysis, guards, id);
    (trace.margins, trace.short) = (row.margins, row.short);
    if row.is_bare {
        trace
            .notes
            .push("a short in it may flow through no fuse: the rules on missing fuses and unfused lengths judge that".to_owned());
    }
    trace.notes.extend(protected::notes(analysis, id));
    untimed(trace);
    if guards.of_return(id).is_some() {
        trace.notes.push("a return: judged by the largest fuse whose current it may carry back".to_owned());
    }
    if trace.fuses.is_empty() {
        trace.notes.push(no_fuse(analysis, guards, id));
    }
    if trace.capacity.is_none() {
        let wire = &model[id];
        let around = surroundings(model, wire);
        let missing = [
            (wire.size.is_none(), "its size"),
            (around.rated.is_none(), "the rated temperature of its kind"),
            (around.ambient.is_none(), "the ambient of its zone"),
        ];
        let missing: Vec<&str> = missing.into_iter().filter(|(is, _)| *is).map(|(_, what)| what).collect();
        trace.unknown.push(match missing.is_empty() {
            true => "its capacity: the table ends below its size".to_owned(),
            false => format!("its capacity and its margins: {} not given", missing.join(", ")),
        });
    }
}

/// Says where a short can't be judged for want of a fuse's times.
fn untimed(trace: &mut Trace) {
    if let Some(Outcome::Unknown(fuse)) = trace.short.as_ref().map(|short| &short.outcome) {
        trace
            .unknown
            .push(format!("whether `{fuse}` opens in time: the operating times of its kind are not known; give it `gates`"));
    }
}

/// Why there is no fuse before a wire.
fn no_fuse(analysis: &Analysis, guards: &Guards<'_>, id: WireId) -> String {
    let model = analysis.model();
    if guards.is_return(id) {
        return "a return that no fuse limits: a second path leads round it, or its feeds have none".to_owned();
    }
    let unfused = analysis.electrical().protection().unfused();
    let lead_in = unfused.iter().flat_map(|unfused| &unfused.lead_ins).find(|lead_in| lead_in.wires.contains(&id));
    if let Some(lead_in) = lead_in {
        let run = lead_in.length.map_or_else(|| "a run of unknown length".to_owned(), |length| format!("{length}"));
        return format!("a lead-in: no fuse before it, {run} from the source to `{}`", model.element_name(lead_in.fuse));
    }
    if unfused.iter().flat_map(|unfused| &unfused.to_loads).any(|run| run.wires.contains(&id)) {
        return "there is no fuse between a source and it".to_owned();
    }
    "there is no fuse before it, and no source reaches it other than through a load or another source".to_owned()
}

fn of_element(analysis: &Analysis, guards: &Guards<'_>, id: ElementId, trace: &mut Trace) {
    let model = analysis.model();
    let element = &model[id];
    let ElementKind::Fuse { fitted, .. } = element.kind else {
        let points = element.points.iter();
        let mut before: Vec<ElementId> = points.flat_map(|point| guards.before_point(*point).0).collect();
        before.sort_unstable();
        before.dedup();
        trace.fuses = before.iter().map(|fuse| fuse_of(model, *fuse)).collect();
        if let Some(drop) = analysis.electrical().drops().iter().find(|drop| drop.element == id) {
            trace.margins.extend(drop_margin(model, drop));
            if drop.is_partial() {
                trace.unknown.push("the voltage drop of conductors on its way that have no length or no size".to_owned());
            }
        }
        return;
    };
    trace.fuses = vec![fuse_of(model, id)];
    if !fitted {
        trace.notes.push("the holder is empty: nothing flows through it".to_owned());
    }
    if kind_of(model, id).and_then(|kind| kind.rating).is_none() {
        trace.unknown.push("its margins: its kind gives no rating".to_owned());
    }
    let Some(feed) = guards.feed(id) else { return };
    if let Some(row) = loads::fuse(analysis, guards, feed) {
        (trace.margins, trace.short, trace.duty) = (row.margins, row.short, row.duty);
        trace.protects = row.thinnest.map(|thinnest| (thinnest, row.conductors));
    }
    untimed(trace);
    if let (Some(duty), true) = (&trace.duty, trace.margins.iter().all(|margin| margin.against != Against::Breaking)) {
        trace.unknown.push(format!("whether it breaks {}: its kind gives no breaking capacity", duty.amps));
    }
    if feed.fed.is_empty() {
        trace.notes.push("nothing is fed through it".to_owned());
    }
}

/// The margin between the volts that a load loses on the way and the most that it may.
fn drop_margin(model: &Model, drop: &Drop) -> Option<Margin> {
    let (limit, authority) = drop.limit;
    let lost = format!("lost in mode `{}`, feed {} and return {}", model.mode_name(drop.mode), drop.feed.volts, drop.back.volts);
    let source = match authority {
        Authority::Policy(_) => None,
        Authority::Table(source) => Some(source),
    };
    let margin = Margin::between(Against::Drop, drop.volts(), drop.most())?;
    let by = if source.is_none() { ", by the policy" } else { "" };
    Some(margin.said(lost, format!("= {limit} at {}{by}", drop.nominal)).from(source))
}

/// Says that fuses were left out of a list.
fn more_fuses(more: usize) -> Option<String> {
    (more > 0).then(|| format!("{more} more fuses before it are not listed"))
}

fn fuse_of(model: &Model, id: ElementId) -> Fuse {
    let element = &model[id];
    let kind = kind_of(model, id);
    let standard = kind.and_then(|kind| kind.standard).map(|standard| model.text(standard.value));
    let words: Vec<&str> = kind.map(|kind| model.text(kind.name)).into_iter().chain(standard).collect();
    let rating = kind.and_then(|kind| kind.rating).map(|rating| rating.value);
    Fuse { name: model.element_name(id), span: element.span, rating, kind: words.join(", ") }
}

fn concerns(findings: &[Judged], names: &BTreeSet<String>) -> Vec<Concern> {
    let mut concerns: Vec<Concern> = findings
        .iter()
        .filter(|finding| finding.concerns.iter().any(|concerned| names.contains(concerned)))
        .map(|finding| Concern {
            rule: finding.rule,
            level: finding.level,
            headline: finding.headline.clone(),
            span: finding.primary.span,
            waived: finding.waived.is_some(),
        })
        .collect();
    concerns.sort_by_key(|concern| std::cmp::Reverse(concern.level));
    concerns
}

fn nets(analysis: &Analysis, thing: Thing) -> Vec<Net> {
    let model = analysis.model();
    let points = modes::points(analysis, thing);
    let mut nets: Vec<_> = Vec::new();
    for point in points {
        let net = analysis.network().net(point);
        if !nets.contains(&net) {
            nets.push(net);
        }
    }
    nets.into_iter()
        .map(|net| {
            let members = analysis.network().net_points(net);
            let mut wires: Vec<WireId> = members
                .iter()
                .flat_map(|point| analysis.network().around(*point).filter_map(|(_, edge, _)| edge.wire()))
                .collect();
            wires.sort_unstable();
            wires.dedup();
            let domain = members.first().and_then(|point| analysis.electrical().domains().of(*point));
            Net {
                domain: domain.map(|id| model.text(model[id].name).to_owned()),
                points: members.iter().map(|point| model.point_name(*point)).collect(),
                wires: wires.into_iter().map(|wire| model.wire_name(wire)).collect(),
            }
        })
        .collect()
}

/// The way in the mode in which most flows.
fn way(analysis: &Analysis, thing: Thing) -> Way {
    if matches!(thing, Thing::Cable(_) | Thing::Pair(_)) {
        return Way::default();
    }
    let edge = main_edge(analysis, thing);
    let points = modes::points(analysis, thing);
    let Some(first) = points.first().copied() else { return Way::default() };
    let rows = modes::rows(analysis, thing);
    // Of modes with the same current the first by name.
    let is_worse = |one: &ModeRow, other: &ModeRow| one.amps > other.amps || (one.amps == other.amps && one.mode < other.mode);
    let worst = rows.iter().reduce(|worst, other| if is_worse(other, worst) { other } else { worst });
    let worst = worst.filter(|row| row.amps.get() > 1e-6);
    let mode = worst.and_then(|row| analysis.electrical().modes().find(|mode| analysis.model().mode_name(mode.id) == row.mode));
    let (from, to) = edge.map_or((first, first), |edge| ends(analysis, edge, mode.map(|mode| mode.amps(edge).get())));
    // The current of a source begins and ends at its own poles.
    let is_source = edge.is_some_and(|edge| analysis.network()[edge].role.drives());
    if let Some(mode) = mode {
        let feed = if is_source { None } else { ways::carried(analysis, mode, from, Direction::Feed) };
        let back = ways::carried(analysis, mode, to, Direction::Return);
        if feed.is_some() || back.is_some() {
            return Way { mode: Some(analysis.model().mode_name(mode.id).to_owned()), feed, back };
        }
    }
    // Without a current either end can be the one that is fed.
    let sides = [(from, to), (to, from)];
    let joined = |(from, to): (PointId, PointId)| {
        let feed = ways::joined(analysis, from, Direction::Feed)?;
        Some((feed, ways::joined(analysis, to, Direction::Return)))
    };
    match sides.into_iter().filter(|_| !is_source).find_map(joined) {
        Some((feed, back)) => Way { mode: None, feed: Some(feed), back },
        None => Way { mode: None, feed: None, back: ways::joined(analysis, to, Direction::Return) },
    }
}

/// The points of an edge in the direction of its current.
fn ends(analysis: &Analysis, edge: EdgeId, amps: Option<f64>) -> (PointId, PointId) {
    let item = &analysis.network()[edge];
    if amps.is_some_and(|amps| amps < 0.0) { (item.b, item.a) } else { (item.a, item.b) }
}
