//! Nothing that takes or gives current is fed from a source past no fuse.

use crate::{
    analysis::Analysis,
    electrical::fuses::protection::{LeadIn, Line, Run, Unfused},
    evidence::{apart_from_others, at_one_time, beside, capacity_here, larger_wire, together_in},
    facts::{overfed::Overfed, string_links::StringLink},
    finding::{Finding, Level, Weighed},
    model::{ElementId, Model, PointId, WireId},
    network::Edge,
    quantity::{Ampere, Metre},
    rules::{Rule, RulePage},
    standards::fuse_choice::{Lead, self_limiting, unfused_length},
    wording::{count, list},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/missing-fuse",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductor that a source feeds with no fuse near it: to a load, or to another source",
        docs: include_str!("missing_fuse.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = Vec::new();
    for unfused in analysis.electrical().protection().unfused() {
        findings.extend(unfused.to_loads.iter().filter_map(|run| to_load(analysis, unfused, run)));
        findings.extend(unfused.lines.iter().filter_map(|line| between(analysis, line)));
        findings.extend(unfused.lead_ins.iter().filter_map(|run| far_fuse(analysis, unfused, run)));
    }
    let groups = analysis.facts().overfed_groups().filter(|group| group.first().is_some_and(Overfed::by_sources_alone));
    findings.extend(groups.filter_map(|group| above_limit(analysis, group)));
    findings.extend(analysis.facts().string_links().iter().filter_map(|link| in_a_row(analysis, link)));
    findings
}

fn to_load(analysis: &Analysis, unfused: &Unfused, run: &Run) -> Option<Finding> {
    let model = analysis.model();
    // What leads to a fuse as well is as it should be: the fault begins where a branch leaves it.
    let to_fuse = |wire: &&WireId| unfused.lead_ins.iter().any(|lead_in| lead_in.wires.contains(*wire));
    let branch: Vec<WireId> = run.wires.iter().filter(|wire| !to_fuse(wire)).copied().collect();
    let wires = if branch.is_empty() { &run.wires } else { &branch };
    let first = *wires.first()?;
    let (name, fed_by, pole) = (model.wire_name(first), model.element_name(unfused.source), model.point_name(run.pole));
    let what = match wires.len() - 1 {
        0 => format!("wire `{name}` is"),
        more => format!("wire `{name}` and {} behind it are", count(more, "wire")),
    };
    let (extent, figures) = extent(model, wires, &[unfused.source]);
    if let Some(fuse) = analysis.facts().fuse_in_negative(unfused.source, run.pole, wires) {
        return Some(in_negative(analysis, unfused.source, fuse, (run, wires), &extent, figures));
    }
    let mut finding = RULE
        .finding(model[first].span, format!("{what} fed by `{fed_by}` with no fuse between{extent}"), figures)
        .label("no fuse before this wire")
        .context(model[unfused.source].span, "this source feeds it")
        .help(format!(
            "put a fuse between `{pole}` and `{name}`, as close to the source as possible{}",
            starter(model, run.load, analysis)
        ));
    if let Some(path) = way(analysis, run.pole, run.load) {
        finding = finding.path(path);
    }
    Some(concerning(model, finding, wires.iter()))
}

/// A run of an isolated source whose one fuse is in the other pole: a short between the poles opens it, but it leaves the run live.
fn in_negative(
    analysis: &Analysis,
    source: ElementId,
    fuse: ElementId,
    (run, wires): (&Run, &[WireId]),
    extent: &str,
    figures: Vec<Weighed>,
) -> Finding {
    let model = analysis.model();
    let (fuse_name, pole) = (model.element_name(fuse), model.point_name(run.pole));
    let first = wires.first().map_or_else(String::new, |wire| model.wire_name(*wire));
    let what = match wires.len() {
        1 => format!("wire `{first}`"),
        more => format!("wire `{first}` and {} behind it", count(more - 1, "wire")),
    };
    let span = wires.first().map_or(model[source].span, |wire| model[*wire].span);
    let mut finding = RULE
        .finding(span, format!("the only fuse for {what} is in the negative pole, `{fuse_name}`{extent}"), figures)
        .label("stays live when that fuse has opened")
        .context(model[fuse].span, "opens a short between the poles alone")
        .context(model[source].span, "this source feeds it")
        .help(format!("put a fuse of the same rating near `{pole}`; one in the negative pole may stay beside it"))
        .concerns(fuse_name);
    finding.stated = Level::Warning;
    if let Some(path) = way(analysis, run.pole, run.load) {
        finding = finding.path(path);
    }
    concerning(model, finding, wires.iter())
}

/// A link between batteries in a row that is longer than one between neighbours.
fn in_a_row(analysis: &Analysis, link: &StringLink) -> Option<Finding> {
    let model = analysis.model();
    let usual = unfused_length(Lead::Sheathed);
    let most = usual.value.max(analysis.facts().longest_unfused());
    let length = link.length.filter(|length| *length > most)?;
    if !Ends::of(analysis, (link.lower, link.pole), &link.wires).needs_fuse() {
        return None;
    }
    let first = *link.wires.first()?;
    let (name, pole) = (model.wire_name(first), model.point_name(link.pole));
    let (lower, upper) = (model.element_name(link.lower), model.element_name(link.upper));
    let what = match link.wires.len() - 1 {
        0 => format!("wire `{name}` joins"),
        more => format!("wire `{name}` and {} join", count(more, "more wire")),
    };
    let (extent, figures) = extent(model, &link.wires, &[link.lower]);
    let mut finding = RULE
        .finding(model[first].span, format!("{what} `{lower}` and `{upper}` in a row with no fuse between{extent}"), figures)
        .label(format!("a fault here to the chassis shorts `{lower}`"))
        .context(model[link.lower].span, "its negative pole is on the chassis")
        .context(model[link.upper].span, "the battery above it")
        .figure("length", format!("{length}; a link up to {most} may go without a fuse; {}", usual.source))
        .help(format!("put a fuse near `{pole}`, or the batteries side by side"))
        .concerns(lower)
        .concerns(upper);
    if length <= unfused_length(Lead::SheathedFromBattery).value {
        finding.stated = Level::Warning;
    }
    if let Some(path) = way(analysis, link.pole, link.end) {
        finding = finding.path(path);
    }
    Some(concerning(model, finding, link.wires.iter()))
}

/// How much is without a fuse, as the end of a headline: the thinnest conductor, how long they are, and what the strongest source gives
/// into a short at its poles.
fn extent(model: &Model, wires: &[WireId], sources: &[ElementId]) -> (String, Vec<Weighed>) {
    let sizes = wires.iter().filter_map(|wire| model[*wire].size.map(|size| size.value));
    let thinnest = sizes.reduce(|least, other| if other < least { other } else { least });
    let length =
        wires.iter().map(|wire| model[*wire].length.map(|at| at.value)).try_fold(Metre::ZERO, |sum, own| Some(sum + own?));
    let gives = sources
        .iter()
        .filter_map(|source| model[*source].kind.short_current())
        .reduce(|most, other| if other > most { other } else { most });
    let (mut words, mut figures) = (Vec::new(), Vec::new());
    if let Some(size) = thinnest {
        words.push(if wires.len() == 1 { size.to_string() } else { format!("{size} at least") });
        figures.push(Weighed::smaller(size));
    }
    if let Some(length) = length {
        words.push(format!("{length} long"));
        figures.push(Weighed::larger(length));
    }
    if let Some(gives) = gives {
        words.push(format!("up to {gives} in a short"));
        figures.push(Weighed::larger(gives));
    }
    let extent = if words.is_empty() { String::new() } else { format!(": {}", words.join(", ")) };
    (extent, figures)
}

/// What to add to the help where a motor hangs on the run: it may be a starter.
fn starter(model: &Model, load: PointId, analysis: &Analysis) -> &'static str {
    let is_motor = |element: ElementId| model[element].kind.is_motor();
    let motor = analysis.network().around(load).any(|(_, edge, _)| edge.element().is_some_and(is_motor));
    if motor { "; if it is the starter of an engine, write `kind: starter`: its cable needs no fuse" } else { "" }
}

/// The names along the way from a pole to a point of its cluster.
fn way(analysis: &Analysis, pole: PointId, to: PointId) -> Option<Vec<String>> {
    let protection = analysis.electrical().protection();
    let inside = |edge: &Edge| protection.share_cluster(edge.a, to) && protection.share_cluster(edge.b, to);
    let path = analysis.network().path(pole, |point| point == to, |_, edge| inside(edge))?;
    Some(analysis.network().names(pole, &path))
}

fn concerning<'w>(model: &Model, finding: Finding, wires: impl Iterator<Item = &'w WireId>) -> Finding {
    wires.fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire)))
}

/// A line between two sources past no fuse.
fn between(analysis: &Analysis, line: &Line) -> Option<Finding> {
    let model = analysis.model();
    let first = *line.way.first()?;
    let most = analysis.facts().longest_unfused();
    let length =
        line.way.iter().map(|wire| model[*wire].length.map(|at| at.value)).try_fold(Metre::ZERO, |sum, own| Some(sum + own?));
    if length.is_some_and(|length| length <= most) {
        return None;
    }
    let wires: Vec<WireId> = line.way.iter().chain(&line.beside).copied().collect();
    let name = model.wire_name(first);
    let [one, other] = line.sources.map(|source| model.element_name(source));
    let what = match wires.len() - 1 {
        0 => format!("wire `{name}` joins"),
        more => format!("wire `{name}` and {} join", count(more, "more wire")),
    };
    let (extent, figures) = extent(model, &wires, &line.sources);
    let mut finding = RULE
        .finding(model[first].span, format!("{what} `{one}` and `{other}` with no fuse between{extent}"), figures)
        .label("a fault here is fed from both ends");
    let mut ends: Vec<String> = Vec::new();
    for (source, pole) in line.sources.into_iter().zip(line.poles) {
        let own = Ends::of(analysis, (source, pole), &wires);
        finding = finding
            .context(model[source].span, own.label())
            .figure("source", format!("`{}` {}", model.element_name(source), own));
        if own.needs_fuse() {
            ends.push(format!("`{}`", model.point_name(pole)));
        }
    }
    // Each end has a fuse further down or one near enough.
    if ends.is_empty() {
        return None;
    }
    finding = match length {
        Some(length) => finding.figure("length", format!("{length}; up to {most} may go without a fuse")),
        None => finding.figure("length", format!("not given; up to {most} may go without a fuse")),
    };
    let near = if ends.len() > 1 { "a fuse near each of" } else { "a fuse near" };
    finding = finding.help(format!("put {near} {}, within {most}", list(&ends)));
    let [from, to] = line.poles;
    if let Some(path) = way(analysis, from, to) {
        finding = finding.path(path);
    }
    Some(concerning(model, finding, wires.iter()))
}

/// What a source gives into a line, against what the line takes.
enum Ends {
    /// As much as its resistance lets it.
    Anything,
    /// No more than this, and a wire takes less.
    Above(Ampere, Ampere, String),
    /// No more than this, which all wires take: it protects them itself.
    Within(Ampere),
    /// No more than this; what the wires take is not known.
    Unknown(Ampere),
    /// As much as its resistance lets it, until a fuse further down its own string opens.
    Fused,
}

impl Ends {
    fn of(analysis: &Analysis, (source, pole): (ElementId, PointId), wires: &[WireId]) -> Self {
        let model = analysis.model();
        let Some(limit) = model[source].kind.limit() else {
            return if has_fuse_below(analysis, source, pole) { Self::Fused } else { Self::Anything };
        };
        let takes = wires.iter().map(|wire| Some((analysis.facts().allowance(*wire, &[])?.amps, *wire)));
        let Some(takes) = takes.collect::<Option<Vec<_>>>() else { return Self::Unknown(limit) };
        let least = takes.into_iter().reduce(|least, other| if other.0 < least.0 { other } else { least });
        match least {
            Some((amps, wire)) if amps < limit => Self::Above(limit, amps, model.wire_name(wire)),
            Some(_) => Self::Within(limit),
            None => Self::Unknown(limit),
        }
    }

    fn needs_fuse(&self) -> bool {
        match self {
            Self::Anything | Self::Above(..) | Self::Unknown(_) => true,
            Self::Within(_) | Self::Fused => false,
        }
    }

    fn label(&self) -> &'static str {
        match self {
            Self::Within(_) => "its limit protects the line from its end",
            Self::Fused => "a fuse within its string protects the line from its end",
            Self::Anything | Self::Above(..) | Self::Unknown(_) => "feeds it from one end",
        }
    }
}

impl std::fmt::Display for Ends {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Anything => f.write_str("has no `limit`: only a fuse ends what it drives into a fault"),
            Self::Above(limit, takes, wire) => write!(f, "gives up to {limit}, and `{wire}` takes {takes}"),
            Self::Within(limit) => write!(f, "gives up to {limit}, which the line takes: it needs no fuse"),
            Self::Unknown(limit) => write!(f, "gives up to {limit}; what the line takes is not known"),
            Self::Fused => f.write_str("has a fuse further down its string: it needs none at this end"),
        }
    }
}

/// Whether a fuse is between a source and the negative end of its string, below the pole that drives a line.
fn has_fuse_below(analysis: &Analysis, source: ElementId, pole: PointId) -> bool {
    let (network, protection) = (analysis.network(), analysis.electrical().protection());
    let below = network.edges().find(|(_, edge)| edge.role.drives() && edge.element() == Some(source));
    let Some((own, start)) = below.map(|(id, edge)| (id, edge.a)).filter(|(_, start)| !protection.share_cluster(*start, pole))
    else {
        return false;
    };
    let walk = network
        .walk(std::iter::once(start), |id, edge| id != own && (edge.role.passes_faults() || edge.role.drives_without_limit()));
    let reached = walk.reached();
    let meets_fuse = reached.iter().any(|point| network.around(*point).any(|(_, edge, _)| edge.role.is_fuse()));
    meets_fuse && reached.iter().all(|point| !protection.grounds(*point))
}

/// A run to a fuse that is far from this source and near another one.
fn far_fuse(analysis: &Analysis, unfused: &Unfused, run: &LeadIn) -> Option<Finding> {
    let model = analysis.model();
    let other = run.serves?;
    let most = analysis.facts().longest_unfused();
    let length = run.length.filter(|length| *length > most)?;
    let first = *run.wires.first()?;
    let (name, fuse) = (model.wire_name(first), model.element_name(run.fuse));
    let (own, other) = (model.element_name(unfused.source), model.element_name(other));
    let what = match run.wires.len() - 1 {
        0 => format!("wire `{name}` has"),
        more => format!("wire `{name}` and {} behind it have", count(more, "wire")),
    };
    let finding = RULE
        .finding(
            model[first].span,
            format!("{what} no fuse at the end of `{own}`: `{fuse}` is {length} away, near `{other}`"),
            [Weighed::larger(length)],
        )
        .label(format!("`{own}` feeds a fault here"))
        .context(model[run.fuse].span, format!("protects it against `{other}` only"))
        .figure("length", format!("{length}; up to {most} may go without a fuse"))
        .help(format!("put another fuse near `{}`, within {most}", model.point_name(run.pole)))
        .concerns(fuse);
    let finding = match way(analysis, run.pole, run.at) {
        Some(path) => finding.path(path),
        None => finding,
    };
    Some(concerning(model, finding, run.wires.iter()))
}

/// Conductors that take less than sources with limits give them, past no fuse.
fn above_limit(analysis: &Analysis, group: &[Overfed]) -> Option<Finding> {
    let model = analysis.model();
    let thinnest = group.first()?;
    let wire = &model[thinnest.wire];
    let name = model.wire_name(thinnest.wire);
    let sources: Vec<String> = thinnest.by.iter().map(|feeder| format!("`{}`", model.element_name(feeder.element))).collect();
    let excess = Ampere::new(thinnest.amps.get() - thinnest.allowance.amps.get());
    let (gives, lets) = if sources.len() > 1 {
        ("together give", "without a fuse the limits may add up to")
    } else {
        ("gives", "without a fuse the limit may be")
    };
    let what = match group.len() - 1 {
        0 => format!("wire `{name}` takes"),
        more => format!("wire `{name}` and {} take", count(more, "more wire")),
    };
    let way = if thinnest.of.is_some() { "through which it flows back" } else { "with no fuse between" };
    let mut finding = RULE
        .finding(
            wire.span,
            format!(
                "{} {gives} up to {}{}, {excess} over what {what}, {way}",
                list(&sources),
                thinnest.amps,
                together_in(model, thinnest)
            ),
            [Weighed::larger(thinnest.amps), Weighed::larger(excess)],
        )
        .label(format!("takes {}", capacity_here(analysis.facts(), thinnest.wire, &thinnest.allowance.capacity)));
    for feeder in &thinnest.by {
        let source = &model[feeder.element];
        finding = finding
            .context(source.span, format!("gives up to {}", feeder.amps))
            .figure("limit", format!("{} of `{}`", feeder.amps, model.element_name(feeder.element)));
    }
    if let Some(when) = at_one_time(model, thinnest) {
        finding = finding.figure("at one time", when);
    }
    let help = if thinnest.allowance.amps <= Ampere::ZERO {
        apart_from_others(&name)
    } else {
        format!(
            "put a fuse near {1} whose rating is at most the {0} that `{name}` takes, or {2}",
            thinnest.allowance.amps,
            list(&sources),
            larger_wire(model, thinnest.wire)
        )
    };
    finding = finding
        .figure("capacity", &thinnest.allowance.capacity)
        .figure("rule", format!("{lets} at most {}; {}", thinnest.allowance.amps, self_limiting()))
        .help(help);
    let finding = beside(analysis.facts(), thinnest.wire, finding, analysis.electrical().neighbours(thinnest.wire).as_ref());
    Some(concerning(model, finding, group.iter().map(|over| &over.wire)))
}
