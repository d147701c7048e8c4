//! Every terminal and seal suits its housing and the wire in it.

use super::{
    cavities::Cavities,
    family::{MOST_CANDIDATES, is_stranger, strangers},
    plating,
    size::{Outside, outside, over_insulation},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{Mate, Model, PointId, Terminal, WireId},
    quantity::{Between, SquareMillimetre, Unit},
    rules::{Rule, RulePage, mating::pair::Half},
    text::{At, Name, Span},
};
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
    let cavities = Cavities::new(model);
    let mut findings = strangers(&RULE, model);
    for (id, wire) in model.wires() {
        for (cavity, place) in [(wire.from, wire.from_span), (wire.to, wire.to_span)] {
            findings.extend(cavity.and_then(|cavity| unfit(model, &cavities, id, cavity, place)));
        }
    }
    findings.extend(plating::mixed(&RULE, model, &cavities));
    findings
}

/// The finding about a wire that does not suit its cavity; the cross-section first, as the diameter follows from it.
fn unfit(model: &Model, cavities: &Cavities<'_>, id: WireId, cavity: PointId, place: Span) -> Option<Finding> {
    let wire = model.wire(id)?;
    let (end, item) = cavities.end(cavity)?;
    let half = Half::of(model, Mate::End(end));
    let terminal = cavities.terminal(cavity);
    if let (Some(half), Some((_, terminal, _))) = (half, terminal)
        && is_stranger(half, terminal)
    {
        return None;
    }
    let chosen = terminal.map_or(item.housing_span, |(_, _, span)| span);
    let entry = Entry { wire: id, cavity, place, chosen, shared: cavities.wires(cavity) > 1 };
    let size = wire.size?;
    let of_terminal = terminal.and_then(|(_, kind, _)| Some((kind.size?, kind.name)));
    let of_housing = half.and_then(|half| Some((half.housing.takes_size?, half.housing.name)));
    if let Some(limit) = limit(of_terminal, of_housing)
        && let Some(out) = outside(size.value, limit.range.value)
        && !(entry.shared && matches!(out, Outside::Below(_)))
    {
        let better = taking(model, half, size.value).map_or_else(String::new, |name| format!(", such as `{name}`"));
        // The size of a core stands in the cable's record, far from what is to be edited.
        let primary = if wire.core.is_some() { place } else { size.span };
        let help = format!("that takes {}{better}, or a wire of {}", size.value, nearest(limit, out));
        return Some(misfit(model, entry, limit, out, (primary, ""), size.value, &help));
    }
    let of_terminal = terminal.and_then(|(_, kind, _)| Some((kind.insulation?, kind.name)));
    let of_housing = half.and_then(|half| Some((half.housing.takes_insulation?, half.housing.name)));
    let limit = limit(of_terminal, of_housing)?;
    let diameter = over_insulation(model, wire)?;
    let out = outside(diameter.value, limit.range.value)?;
    if entry.shared && matches!(out, Outside::Below(_)) {
        return None;
    }
    let help = format!("or seal for {} over the insulation, or a wire of {}", diameter.value, nearest(limit, out));
    let finding = misfit(model, entry, limit, out, (size.span, "insulation "), diameter.value, &help);
    Some(finding.figure("diameter", format!("at most {diameter}")))
}

/// A range with what has it: the terminal's, else the housing's.
fn limit<U: Copy>(of_terminal: Option<(At<Between<U>>, Name)>, of_housing: Option<(At<Between<U>>, Name)>) -> Option<Limit<U>> {
    match (of_terminal, of_housing) {
        (Some((range, holder)), _) => Some(Limit { range, holder, what: "terminal" }),
        (None, Some((range, holder))) => Some(Limit { range, holder, what: "housing" }),
        (None, None) => None,
    }
}

/// The limit of a range that a value outside it misses.
fn nearest<U: Copy>(limit: Limit<U>, out: Outside<U>) -> U {
    match out {
        Outside::Below(_) => limit.range.value.least,
        Outside::Above(_) => limit.range.value.most,
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
    let by = match out {
        Outside::Below(by) => format!("{by} below"),
        Outside::Above(by) => format!("{by} above"),
    };
    let headline = format!("wire `{name}` in `{cavity}` is {value}, {by} the {of}range of {what} `{holder}` ({least} to {most})");
    RULE.finding(primary, headline)
        .label(format!("{value} in `{cavity}`"))
        .context(entry.place, format!("wire `{name}` enters `{cavity}`"))
        .context(entry.chosen, format!("{what} `{holder}` is chosen here"))
        .context(limit.range.span, format!("`{holder}` takes {least} to {most}"))
        .figure("range", format!("{least} to {most}; {what} `{holder}`"))
        .help(format!("use a terminal {help}"))
        .concerns(name)
        .concerns(cavity)
}

/// A terminal of the design that takes `size` and fits the housing.
fn taking<'m>(model: &'m Model, half: Option<Half<'_>>, size: SquareMillimetre) -> Option<&'m str> {
    let family = half?.housing.family?.value;
    let takes = |terminal: &Terminal| {
        terminal.family.is_some_and(|own| own.value == family)
            && terminal.size.is_some_and(|range| outside(size, range.value).is_none())
    };
    let mut candidates = model.terminals().take(MOST_CANDIDATES);
    candidates.find(|(_, terminal)| takes(terminal)).map(|(_, terminal)| model.text(terminal.name))
}
