//! Every terminal and seal suits its housing and the wire in it.

use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::over_insulation,
    evidence::remedies,
    facts::{
        landings::{LandingUse, taken_in_words},
        mated_pairs::Half,
    },
    finding::{Finding, Level, Remedy, RemedyKind, Weighed},
    model::{End, EndId, EndKind, Mate, Model, PointId, PointKind, Terminal, TerminalId, WireId},
    quantity::{Between, Outside, SquareMillimetre, Unit},
    rules::{Rule, RulePage},
    text::{At, Name, Span},
    vocabulary::Plating,
};
use rustc_hash::FxHashSet;
use std::fmt::Display;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "contact/wrong-terminal",
        level: Level::Error,
        since: "0.1.0",
        finds: "a terminal or seal that does not suit its housing or its wire",
        docs: include_str!("wrong_terminal.md"),
    },
    check,
};

/// Terminals that are looked at before the search for a better one is given up.
const MOST_CANDIDATES: usize = 64;

/// A range, what has it, and where it is written.
#[derive(Debug, Clone, Copy)]
struct Limit<U> {
    range: At<Between<U>>,
    holder: Name,
    what: &'static str,
}

/// A wire where it enters a cavity.
#[derive(Debug, Clone, Copy)]
struct Entry {
    wire: WireId,
    cavity: PointId,
    /// Where the wire names the cavity.
    place: Span,
    /// Where the end names its terminal, else its housing.
    chosen: Span,
    /// Other wires end in the cavity too.
    shared: bool,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = strangers(model);
    for (id, wire) in model.wires() {
        for (cavity, place) in [(wire.from, wire.from_span), (wire.to, wire.to_span)] {
            findings.extend(cavity.and_then(|cavity| unfit(analysis, id, cavity, place)));
        }
    }
    findings.extend(analysis.facts().landings().iter().filter_map(|landing| unfit_at_point(model, landing)));
    findings.extend(mixed_platings(analysis));
    findings
}

/// The finding about a screw, tab or clamp that does not take a wire of such a size beside the others, at the first such wire.
fn unfit_at_point(model: &Model, landing: &LandingUse) -> Option<Finding> {
    let misfits = landing.misfits(model);
    let (end, size, row) = misfits.first()?;
    let (kind, what, name) = (&model[landing.kind], landing.fixing.noun(), model.port_name(landing.port));
    let (wire, Between { least, most }) = (&model[end.wire], row.size.value);
    let by = beyond(&row.size.value.outside(*size)?, *size);
    let beside = match landing.wires.len() {
        1 => String::new(),
        wires => format!(" with {wires} wires in it"),
    };
    let headline = format!(
        "wire `{}` at {what} `{name}` is {size}, {by} what it takes{beside}: {least} to {most}",
        model.wire_name(end.wire)
    );
    let primary = if wire.core.is_some() { end.span } else { wire.size?.span };
    let mut finding = RULE
        .finding(
            primary,
            headline,
            [Weighed::neither(size), Weighed::larger(&by), Weighed::neither(least), Weighed::neither(most)],
        )
        .label(format!("{size} at `{name}`"))
        .context(end.span, format!("wire `{}` goes to `{name}`", model.wire_name(end.wire)))
        .context(row.size.span, format!("`{}` takes {}", model.text(kind.name), taken_in_words(kind)))
        .figure("takes", taken_in_words(kind));
    for (other, size, _) in misfits.iter().skip(1) {
        finding = finding.context(other.span, format!("wire `{}` is {size}", model.wire_name(other.wire)));
    }
    let remedy = match landing.wires.len() {
        1 => format!("use a {what} that takes {size}, or a wire whose size is in its range"),
        _ => {
            format!("move `{}` to a {what} of its own, or use one that takes {size} beside the others", model.wire_name(end.wire))
        }
    };
    let names = misfits.iter().map(|(end, ..)| model.wire_name(end.wire));
    Some(names.fold(finding.help(remedy), Finding::concerns).concerns(name))
}

/// The finding about a wire that does not suit its cavity; the cross-section first, as the diameter follows from it.
fn unfit(analysis: &Analysis, id: WireId, cavity: PointId, place: Span) -> Option<Finding> {
    let model = analysis.model();
    let wire = &model[id];
    let (PointKind::Cavity(end) | PointKind::Ring(end)) = model[cavity].kind else { return None };
    let half = Half::of(model, Mate::End(end));
    let named = analysis.facts().terminal_in(cavity);
    let terminal = named.map(|(terminal, _)| &model[terminal]);
    if let (Some(half), Some(terminal)) = (half, terminal)
        && is_stranger(half, terminal)
    {
        return None;
    }
    let chosen = named.map_or(model[end].housing_span, |(_, span)| span);
    // Wires that share a screw or clamp have a ferrule each.
    let shared = !matches!(model[end].kind, EndKind::Bare) && analysis.facts().wire_ends().wires(cavity).len() > 1;
    let entry = Entry { wire: id, cavity, place, chosen, shared };
    let size = wire.size?;
    let of_terminal = terminal.and_then(|kind| Some((kind.size?, kind.name)));
    let of_housing = half.and_then(|half| Some((half.housing.takes_size?, half.housing.name)));
    if let Some((limit, out)) = missed(of_terminal, of_housing, size.value, entry.shared) {
        // The size of a core is in the cable's record, far from what is to be edited.
        let primary = if wire.core.is_some() { place } else { size.span };
        let help = format!("that takes {}, or a wire whose size is in its range", size.value);
        let finding = misfit(model, entry, limit, out, (primary, ""), size.value, &help);
        // Where the housing is what does not take it, another terminal changes nothing.
        let better = named.filter(|_| limit.what == "terminal").and_then(|_| taking(model, half, size.value)).map(|name| {
            let words = format!("use the terminal `{name}` in `{}`", model.point_name(cavity));
            Remedy::new(RemedyKind::Part, words).edit(chosen, name)
        });
        let larger = matches!(out, Outside::Below(_)).then(|| remedies::larger(analysis.facts(), id, limit.range.value.least));
        return Some(larger.unwrap_or_default().into_iter().fold(finding.remedy(better), Finding::remedy));
    }
    let of_terminal = terminal.and_then(|kind| Some((kind.insulation?, kind.name)));
    let of_housing = half.and_then(|half| Some((half.housing.takes_insulation?, half.housing.name)));
    let diameter = over_insulation(model, wire)?;
    let (limit, out) = missed(of_terminal, of_housing, diameter.value, entry.shared)?;
    let help = format!("or seal for {} over the insulation, or a wire whose insulation is in its range", diameter.value);
    let finding = misfit(model, entry, limit, out, (size.span, "insulation "), diameter.value, &help);
    Some(finding.figure("diameter", format!("at most {diameter}")))
}

/// The range that a value misses, with what has it: the terminal's first, then the housing's. A wire that shares its cavity is only
/// compared with the upper limits.
fn missed<U: Unit>(
    of_terminal: Option<(At<Between<U>>, Name)>,
    of_housing: Option<(At<Between<U>>, Name)>,
    value: U,
    shared: bool,
) -> Option<(Limit<U>, Outside<U>)> {
    let limits = [(of_terminal, "terminal"), (of_housing, "housing")];
    limits.into_iter().find_map(|(of, what)| {
        let (range, holder) = of?;
        let out = range.value.outside(value)?;
        let counts = !(shared && matches!(out, Outside::Below(_)));
        counts.then_some((Limit { range, holder, what }, out))
    })
}

/// By how much a value is outside its range; of a gauge only on which side, because the difference of two gauges is not a gauge.
fn beyond<U: Unit + Display>(out: &Outside<U>, value: U) -> String {
    let is_gauge = value.to_string().ends_with("AWG");
    match out {
        Outside::Below(_) if is_gauge => "below".to_owned(),
        Outside::Above(_) if is_gauge => "above".to_owned(),
        Outside::Below(by) => format!("{by} below"),
        Outside::Above(by) => format!("{by} above"),
    }
}

fn misfit<U: Unit + Display>(
    model: &Model,
    entry: Entry,
    limit: Limit<U>,
    out: Outside<U>,
    (primary, of): (Span, &str),
    value: U,
    help: &str,
) -> Finding {
    let (name, cavity) = (model.wire_name(entry.wire), model.point_name(entry.cavity));
    let (holder, what) = (model.text(limit.holder), limit.what);
    let Between { least, most } = limit.range.value;
    let by = beyond(&out, value);
    let headline = format!("wire `{name}` in `{cavity}` is {value}, {by} the {of}range of {what} `{holder}` ({least} to {most})");
    RULE.finding(
        primary,
        headline,
        [Weighed::neither(value), Weighed::larger(&by), Weighed::neither(least), Weighed::neither(most)],
    )
    .label(format!("{value} in `{cavity}`"))
    .context(entry.place, format!("wire `{name}` enters `{cavity}`"))
    .context(entry.chosen, format!("{what} `{holder}` is chosen here"))
    .context(limit.range.span, format!("`{holder}` takes {least} to {most}"))
    .figure("range", format!("{least} to {most}; {what} `{holder}`"))
    .help(format!("use a {what} {help}"))
    .concerns(name)
    .concerns(cavity)
}

/// A terminal of the design that takes `size` and fits the housing.
fn taking<'m>(model: &'m Model, half: Option<Half<'_>>, size: SquareMillimetre) -> Option<&'m str> {
    let family = half?.housing.family?.value;
    let takes = |terminal: &Terminal| {
        terminal.family.is_some_and(|own| own.value == family)
            && terminal.size.is_some_and(|range| range.value.outside(size).is_none())
    };
    let mut candidates = model.terminals().take(MOST_CANDIDATES);
    candidates.find(|(_, terminal)| takes(terminal)).map(|(_, terminal)| model.text(terminal.name))
}

/// Terminals that are named for housings of another family, once for each place that names one.
fn strangers(model: &Model) -> Vec<Finding> {
    let named = model.ends().flat_map(|(id, end)| {
        let exceptions = end.terminals.iter().map(|(_, terminal, span)| (*terminal, *span));
        end.terminal.into_iter().chain(exceptions).map(move |(terminal, span)| (id, terminal, span))
    });
    let finding = |(end, terminal, span): (EndId, _, Span)| {
        let (half, terminal) = (Half::of(model, Mate::End(end))?, &model[terminal]);
        if !is_stranger(half, terminal) {
            return None;
        }
        let (fits, family) = (terminal.family?, half.housing.family?);
        let (name, housing) = (model.text(terminal.name), model.text(half.housing.name));
        let (fits_text, family_text) = (model.text(fits.value), model.text(family.value));
        let end = half.name(model);
        let headline =
            format!("terminal `{name}` of family `{fits_text}` is used in `{end}`, a housing of family `{family_text}`");
        let alternative = model
            .terminals()
            .take(MOST_CANDIDATES)
            .find(|(_, other)| other.family.is_some_and(|other| other.value == family.value));
        let remedy = alternative.map(|(_, other)| {
            let kind = model.text(other.name);
            Remedy::new(RemedyKind::Part, format!("use the terminal `{kind}` in `{end}`")).edit(span, kind)
        });
        let help = format!("use a terminal of family `{family_text}` in `{end}`");
        Some(
            RULE.finding(span, headline, [])
                .label(format!("made for `{fits_text}`"))
                .context(fits.span, format!("`{name}`: family `{fits_text}`"))
                .context(family.span, format!("`{housing}`: family `{family_text}`"))
                .help(help)
                .remedy(remedy)
                .concerns(end)
                .concerns(name),
        )
    };
    named.filter_map(finding).collect()
}

/// Whether a terminal is made for another family than its housing's.
fn is_stranger(half: Half<'_>, terminal: &Terminal) -> bool {
    matches!((half.housing.family, terminal.family), (Some(own), Some(fits)) if own.value != fits.value)
}

/// A warning for every two terminals of known and different plating that meet in a pair of loom ends: tin against gold frets and
/// corrodes.
///
/// Terminals of devices are not part of a design, so only pairs of loom ends are compared. Cost: linear in the cavities.
fn mixed_platings(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    for (id, end) in model.ends() {
        let Some(Mate::End(other)) = end.mate else { continue };
        let partner = &model[other];
        // Two ends that name each other are one pair.
        if partner.mate == Some(Mate::End(id)) && other <= id {
            continue;
        }
        findings.extend(mixed_platings_of(analysis, (id, end), (other, partner)));
    }
    findings
}

fn mixed_platings_of(analysis: &Analysis, (id, end): (EndId, &End), (other, partner): (EndId, &End)) -> Vec<Finding> {
    let (model, facts) = (analysis.model(), analysis.facts());
    let is_filled = |cavity: &PointId| facts.wire_ends().count(*cavity) > 0;
    let mut findings = Vec::new();
    let mut said: FxHashSet<(TerminalId, TerminalId)> = FxHashSet::default();
    for cavity in end.points.iter() {
        let opposite = |cavity: PointId| model.position_of(partner.points, model.met_label(end, Some(partner), cavity));
        let Some(mate) = Some(cavity).filter(is_filled).and_then(opposite).filter(is_filled) else { continue };
        let (Some(own), Some(theirs)) = (facts.terminal_in(cavity), facts.terminal_in(mate)) else { continue };
        let (kind, their_kind) = (&model[own.0], &model[theirs.0]);
        let (Some(plating), Some(against)) = (kind.plating, their_kind.plating) else { continue };
        if plating.value == against.value || !said.insert((own.0, theirs.0)) {
            continue;
        }
        let (name, partner_name) = (model.end_name(id), model.end_name(other));
        let (a, b) = (word(plating.value), word(against.value));
        let mut finding = RULE
            .finding(own.1, format!("{a} contacts of `{name}` meet {b} contacts of `{partner_name}`"), [])
            .label(format!("{a}-plated"))
            .context(theirs.1, format!("`{partner_name}`: {b}-plated"))
            .context(plating.span, format!("`{}`: {a}", model.text(kind.name)))
            .context(against.span, format!("`{}`: {b}", model.text(their_kind.name)))
            .help(format!("use a {b}-plated terminal in `{name}`, or a {a}-plated one in `{partner_name}`"))
            .concerns(name)
            .concerns(partner_name);
        finding.stated = Level::Warning;
        findings.push(finding);
    }
    findings
}

fn word(plating: Plating) -> &'static str {
    match plating {
        Plating::Tin => "tin",
        Plating::Silver => "silver",
        Plating::Gold => "gold",
        Plating::Nickel => "nickel",
    }
}
