//! Supply and return of a source meet only through something that limits the current.

use crate::{
    analysis::Analysis,
    electrical::{alternatives::Taken, coils::Across},
    evidence::in_modes,
    facts::{Facts, reversed_sources::ReversedSource, shorts::Short},
    finding::{Finding, Level, Weighed},
    model::{ElementId, PointId},
    network::{Edge, EdgeKind, Step},
    rules::{Rule, RulePage},
    text::Span,
    vocabulary::Role,
    wording::{and_more, commas, count, list, quoted},
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/sneak-short",
        level: Level::Danger,
        since: "0.1.0",
        finds: "supply meets return with no load between, in any mode",
        docs: include_str!("sneak_short.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    // The diodes that conduct while their coils are fed, in the order of the coils.
    let turned = facts.coils().iter().filter_map(|coil| match coil.across {
        Across::Reversed(diode) => Some(diode),
        Across::Nothing | Across::Suppressed => None,
    });
    let mut by_diode: FxHashMap<ElementId, usize> = FxHashMap::default();
    for (at, diode) in turned.enumerate() {
        by_diode.entry(diode).or_insert(at);
    }
    // A converter whose input and output are swapped is a fault of its own.
    let is_swapped = |short: &Short| {
        let on_the_way = short.steps.iter().filter_map(|step| facts.network()[step.edge].element());
        on_the_way.chain([short.source]).any(|element| facts.is_swapped(element))
    };
    // So is a source that is connected the wrong way round.
    let is_reversed = |at: usize| facts.reversed_sources().iter().any(|reversed| reversed.shorts.contains(&at));
    let shorts = facts.shorts().iter().enumerate().filter(|(at, short)| !is_swapped(short) && !is_reversed(*at));
    let found = shorts.map(|(_, short)| finding(facts, &by_diode, short));
    found.chain(possible(facts)).collect()
}

/// What shorts a source as soon as contacts are closed of which no mode says when they are; one finding a source.
fn possible(facts: &Facts) -> Vec<Finding> {
    let (model, network) = (facts.model(), facts.network());
    if facts.electrical().modes().len() != model.modes().len() {
        // A mode that was not asked for may say it.
        return Vec::new();
    }
    let mut taken: Vec<&Taken> = facts.electrical().alternatives().taken().iter().filter(|taken| !taken.by_modes).collect();
    // Relays that never move because their feed is turned round say nothing of the modes in which they are meant to.
    if facts.reversed_sources().iter().any(ReversedSource::is_certain) {
        taken.retain(|taken| taken.contacts.iter().any(|contact| !network.role(*contact).is_relay_contact()));
    }
    taken.sort_by_key(|taken| taken.source);
    let of_source = taken.chunk_by(|one, other| one.source == other.source);
    let one = |group: &[&Taken]| {
        let first = group.first()?;
        let elements: Vec<ElementId> = first.contacts.iter().filter_map(|edge| network[*edge].element()).collect();
        let names: Vec<String> = elements.iter().map(|element| model.element_name(*element)).collect();
        let (place, source) = (model[*elements.first()?].value_span, model.element_name(first.source));
        let closed = match names.as_slice() {
            [one] => format!("`{one}` is closed"),
            _ => format!("{} are closed together", list(&names.iter().map(quoted).collect::<Vec<_>>())),
        };
        let help = match names.as_slice() {
            [one] => format!("disconnect one side of `{one}`, or put the load between that belongs there"),
            _ => format!(
                "if they can never be closed together, state `exclusive: [{}]`, or the modes in which each is closed; else disconnect one \
                 of them",
                commas(&elements.iter().map(|element| model.text(model[*element].name)).collect::<Vec<_>>())
            ),
        };
        let mut finding = RULE
            .finding(place, format!("source `{source}` is shorted when {closed}, and the design does not rule that out"), [])
            .label("shorts the source together with the other")
            .path(network.names(first.start, &first.steps))
            .help(help)
            .concerns(source)
            .context(model[first.source].value_span, "this source");
        for element in elements.iter().skip(1) {
            finding = finding.context(model[*element].value_span, "the other");
        }
        if let Some(more) = group.len().checked_sub(1).filter(|more| *more > 0) {
            finding = finding.figure("more such contacts", count(more, "pair"));
        }
        Some(names.into_iter().fold(finding, Finding::concerns))
    };
    of_source.filter_map(one).collect()
}

fn finding(facts: &Facts, turned: &FxHashMap<ElementId, usize>, short: &Short) -> Finding {
    let model = facts.model();
    let source = &model[short.source];
    let name = model.element_name(short.source);
    let turned = turned_diode(facts, turned, short);
    let joint = turned.clone().or_else(|| if are_opposed(facts, short) { None } else { joint(facts, short) });
    let (more, modes, amps) = (and_more(short.others, "source"), in_modes(model, &short.modes), short.amps);
    let (span, headline, label, help) = match &joint {
        Some((span, by)) if turned.is_some() => (
            *span,
            format!("source `{name}`{more} is shorted{modes} through the diode `{by}`, {amps}"),
            "is across a coil and conducts when the coil is fed",
            format!("reverse `{by}`: its cathode (`to`) belongs on the positive side of the coil"),
        ),
        Some((span, by)) => (
            *span,
            format!("source `{name}`{more} is shorted{modes} through `{by}`, {amps}"),
            "supply meets return here",
            format!("disconnect one side of `{by}`, or put the load that belongs there between the two"),
        ),
        None => (
            source.value_span,
            format!("source `{name}`{more} is connected to sources of another voltage{modes} with no load between, {amps}"),
            "no load takes the difference in voltage",
            format!("disconnect `{name}` from the sources on the path, or use sources of equal voltage"),
        ),
    };
    let mut finding = RULE
        .finding(span, headline, [Weighed::larger(amps)])
        .label(label)
        .path(facts.network().names(short.start, &short.steps))
        .figure("prospective current", amps)
        .help(help)
        .concerns(name);
    if let Some((_, by)) = joint {
        finding = finding.context(source.value_span, "this source").concerns(by);
    }
    finding
}

/// Whether other sources are on the way: they oppose each other and are of different voltage. Those of a string that is joined at its ends
/// all drive one way.
fn are_opposed(facts: &Facts, short: &Short) -> bool {
    let network = facts.network();
    short.steps.iter().any(|step| network.role(step.edge).drives() && step.point != network[step.edge].b)
}

/// A diode on the path that is across a coil the wrong way round; of several that of the first coil.
fn turned_diode(facts: &Facts, turned: &FxHashMap<ElementId, usize>, short: &Short) -> Option<(Span, String)> {
    let on_path = short.steps.iter().filter_map(|step| facts.network()[step.edge].element());
    let diode = on_path.filter_map(|element| Some((turned.get(&element)?, element))).min()?.1;
    Some((facts.model()[diode].value_span, facts.model().element_name(diode)))
}

/// Where the path goes over from supply to return: the wire there, else what closes it.
fn joint(facts: &Facts, short: &Short) -> Option<(Span, String)> {
    let role = |point: PointId| facts.model().role_at(point);
    let supply = |point| role(point).is_some_and(|role| role.gives_supply() || role == Role::Output);
    let ground = |point| role(point).is_some_and(Role::takes_back);
    let last = short.steps.iter().rposition(|step| supply(step.point)).map_or(0, |at| at + 1);
    let (_, rest) = short.steps.split_at(last);
    let first = rest.iter().position(|step| ground(step.point)).map_or(rest.len(), |at| at + 1);
    let (between, _) = rest.split_at(first);
    let all = [between, &short.steps];
    all.into_iter().find_map(|steps| by_switch(facts, steps).or_else(|| by_wire(facts, steps)))
}

fn by_switch(facts: &Facts, steps: &[Step]) -> Option<(Span, String)> {
    let closes = |edge: &&Edge| edge.role.is_switched() || edge.element().is_some_and(|_| edge.role.is_metal());
    let edge = steps.iter().map(|step| &facts.network()[step.edge]).find(closes)?;
    let element = edge.element()?;
    Some((facts.model()[element].value_span, facts.model().element_name(element)))
}

fn by_wire(facts: &Facts, steps: &[Step]) -> Option<(Span, String)> {
    steps.iter().find_map(|step| {
        let EdgeKind::Wire(id) = facts.network()[step.edge].kind else { return None };
        let wire = &facts.model()[id];
        let span = if wire.to == Some(step.point) { wire.to_span } else { wire.from_span };
        Some((span, facts.model().wire_name(id)))
    })
}
