//! Supply and return of a source meet only through something that limits the current.

use crate::{
    analysis::Analysis,
    electrical::{alternatives::Taken, coils::Across},
    evidence::in_modes,
    facts::{Facts, shorts::Short},
    finding::{Finding, Level, Weighed},
    model::{ElementId, ModeSet, PointId},
    network::{Edge, EdgeKind, Step},
    quantity::Volt,
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
    let found = facts.shorts().iter().filter(|short| !is_swapped(short)).map(|short| finding(facts, &by_diode, short));
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
    let opposed = if turned.is_none() { opposed(facts, short) } else { None };
    if let Some(Opposed::Reversed(sources)) = &opposed {
        return reversed(facts, short, sources);
    }
    let joint = turned.clone().or_else(|| if opposed.is_some() { None } else { joint(facts, short) });
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

/// What a ring of sources says of them.
enum Opposed {
    /// One of these is connected the wrong way round: with its poles swapped the ring would be in balance.
    Reversed(Vec<ElementId>),
    /// They oppose each other and are of different voltage.
    Different,
}

/// Share of the voltages of one side of a ring up to which it is in balance.
const BALANCE: f64 = 0.4;

/// Judges the sources of a ring by their voltages around it; `None` for one source, and for a string whose ends are joined.
fn opposed(facts: &Facts, short: &Short) -> Option<Opposed> {
    let (model, network) = (facts.model(), facts.network());
    let volts = |source: ElementId| model[source].kind.open_voltage().map_or(0.0, Volt::get);
    let mut ring = vec![(short.source, volts(short.source))];
    for step in &short.steps {
        let edge = &network[step.edge];
        if let Some(source) = edge.element().filter(|_| edge.role.drives()) {
            ring.push((source, if step.point == edge.b { volts(source) } else { -volts(source) }));
        }
    }
    (ring.len() > 1).then_some(())?;
    let sum: f64 = ring.iter().map(|(_, emf)| emf).sum();
    let side = ring.iter().map(|(_, emf)| emf.abs()).sum::<f64>() / 2.0;
    let flips: Vec<(ElementId, f64)> =
        ring.iter().filter(|(_, emf)| (sum - 2.0 * emf).abs() <= BALANCE * side).copied().collect();
    let charges = |source: ElementId| model[source].kind.limit().is_some() || model[source].kind.modes() != Some(ModeSet::ALL);
    if ring.iter().any(|(_, emf)| *emf < 0.0) {
        return Some(match flips.as_slice() {
            [(one, _)] => Opposed::Reversed(vec![*one]),
            _ => Opposed::Different,
        });
    }
    // All drive the same way. A string of the voltage that its domain has may be shorted as it is.
    let points = std::iter::once(short.start).chain(short.steps.iter().map(|step| step.point));
    let domains = points.filter_map(|point| facts.electrical().domains().of(point));
    let highest = domains.map(|domain| model[domain].max.get()).fold(0.0, f64::max);
    if highest <= 0.0 || sum <= highest {
        return None;
    }
    let of_charging: Vec<ElementId> = flips.iter().map(|(source, _)| *source).filter(|source| charges(*source)).collect();
    let sources = match (flips.len(), of_charging.as_slice()) {
        // Of two nothing says which.
        (2, _) if ring.len() == 2 => flips.iter().map(|(source, _)| *source).collect(),
        (_, [one]) => vec![*one],
        _ => return None,
    };
    Some(Opposed::Reversed(sources))
}

fn reversed(facts: &Facts, short: &Short, sources: &[ElementId]) -> Finding {
    let model = facts.model();
    let names: Vec<String> = sources.iter().map(|source| format!("`{}`", model.element_name(*source))).collect();
    let (names, modes) = (names.join(" or "), in_modes(model, &short.modes));
    let at = sources.first().copied().unwrap_or(short.source);
    let finding = RULE
        .finding(
            model[at].value_span,
            format!("{names} is reversed: it drives the other sources{modes} with no load between, {}", short.amps),
            [Weighed::larger(short.amps)],
        )
        .label("its poles are swapped, or its leads")
        .path(facts.network().names(short.start, &short.steps))
        .figure("prospective current", short.amps)
        .help(format!("swap the leads at the poles of {names}, and measure its polarity before it is connected again"));
    let others = sources.iter().skip(1).map(|source| model[*source].value_span);
    let finding = others.fold(finding, |finding, span| finding.context(span, "or this one"));
    let mut concerned: Vec<ElementId> = sources.to_vec();
    if !concerned.contains(&short.source) {
        concerned.push(short.source);
    }
    concerned.into_iter().fold(finding, |finding, source| finding.concerns(model.element_name(source)))
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
