//! Whatever carries a voltage domain is rated for its highest voltage.

use crate::{
    analysis::Analysis,
    electrical::{
        conductors::conductor::voltage_of,
        fuses::fuse::{FuseVoltage, kind_of, rated_voltage_of},
    },
    evidence::{domain_figure, in_modes, labels_in_words, names_in_words, other_kinds},
    facts::{Connector, Contact, Facts, landings::LandingUse},
    finding::{Finding, Level, Weighed},
    model::{CableId, DomainId, Element, ElementId, ElementKind, FuseKind, ModeId, Model, PointId, WireId},
    network::EdgeId,
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::{
        fuse_standard::{only_kind, plain_is_alternating},
        rated::{Duty, RatedVoltage, Service, TooLow, VoltageKind, direct_of_ac_contact},
    },
    text::{At, Span},
};
use std::collections::BTreeSet;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/under-rated-insulation",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a wire, cable, housing, fuse, contact, stud, ring or input rated below the voltage of its domain",
        docs: include_str!("under_rated_insulation.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, model) = (analysis.facts(), analysis.model());
    let mut findings = Vec::new();
    conductors(facts, &mut findings);
    findings.extend(facts.connectors().iter().filter_map(|connector| housing(model, connector)));
    findings.extend(facts.landings().iter().filter_map(|landing| point_for_wires(facts, landing)));
    findings.extend(model.elements().filter_map(|(id, element)| element_finding(facts, id, element)));
    findings.extend(joint_findings(facts));
    findings
}

/// A screw, tab or clamp that is rated too low.
fn point_for_wires(facts: &Facts, landing: &LandingUse) -> Option<Finding> {
    let model = facts.model();
    let (port, kind) = (&model[landing.port], &model[landing.kind]);
    let rated = kind.voltage?;
    let (domain, short) = falls_short(facts, &[port.points.get(0)?], rated.value, Duty::Insulates)?;
    let (what, name, kind) = (landing.fixing.noun(), model.port_name(landing.port), model.text(kind.name));
    let source = format!("point kind `{kind}`");
    let low = Low { what: &format!("{what} `{name}`"), rated: rated.value, short, domain, source, at: port.housing_span };
    Some(
        finding(model, &low)
            .label(format!("kind `{kind}`"))
            .context(rated.span, format!("rated voltage of `{kind}`"))
            .help(format!("the {what} must be rated for {} at least", short.needed))
            .concerns(name),
    )
}

/// A rating that is too low, as a finding.
struct Low<'t> {
    what: &'t str,
    rated: RatedVoltage,
    short: TooLow,
    domain: DomainId,
    source: String,
    at: Span,
}

fn finding(model: &Model, low: &Low<'_>) -> Finding {
    let (domain, TooLow { rated, needed, of, source }) = (&model[low.domain], low.short);
    let name = model.text(domain.name);
    let headline = match rated {
        Some(rated) => format!(
            "{} is rated {}, {} below the {needed} of domain `{name}`",
            low.what,
            low.rated,
            Volt::new(needed.get() - rated.get())
        ),
        None => format!("{} is rated {} and has no rating for the {needed} DC of domain `{name}`", low.what, low.rated),
    };
    let excess = rated.map(|rated| Weighed::larger(Volt::new(needed.get() - rated.get())));
    let weighed = [Some(Weighed::smaller(low.rated)), excess, Some(Weighed::larger(needed))].into_iter().flatten();
    let mut finding = RULE
        .finding(low.at, headline, weighed)
        .context(domain.span, format!("{of} of `{name}`: {needed}"))
        .figure("rated voltage", format!("{} ({})", low.rated, low.source))
        .figure("domain", domain_figure(model, domain));
    if let Some(source) = source {
        finding = finding.figure("basis", source);
    }
    finding
}

/// How a rating falls short of the highest domain at `points`; `None` where it does not.
fn falls_short(facts: &Facts, points: &[PointId], rated: RatedVoltage, duty: Duty) -> Option<(DomainId, TooLow)> {
    let domain = facts.highest_domain(points)?;
    Some((domain, rated.falls_short(facts.model()[domain].service(), duty)?))
}

/// A core that is rated too low.
struct Core {
    cable: CableId,
    wire: WireId,
    domain: DomainId,
    rated: At<RatedVoltage>,
    short: TooLow,
}

fn conductors(facts: &Facts, findings: &mut Vec<Finding>) {
    let model = facts.model();
    let mut cores: Vec<Core> = Vec::new();
    for (id, wire) in model.wires() {
        let points: Vec<_> = [wire.from, wire.to].into_iter().flatten().collect();
        let Some((rated, span)) = voltage_of(model, wire) else { continue };
        let Some((domain, short)) = falls_short(facts, &points, rated, Duty::Insulates) else { continue };
        if let Some((cable, _)) = wire.core {
            cores.push(Core { cable, wire: id, domain, rated: At { value: rated, span }, short });
            continue;
        }
        let name = model.wire_name(id);
        let kind = wire.kind.map_or("", |kind| model.text(model[kind].name));
        let source = format!("conductor kind `{kind}`");
        let low = Low { what: &format!("wire `{name}`"), rated, short, domain, source, at: wire.span };
        let one = finding(model, &low)
            .label(format!("kind `{kind}`"))
            .context(span, format!("rated voltage of `{kind}`"))
            .help(format!("the insulation of `{name}` must be rated for {} at least: use a conductor kind that is", short.needed))
            .concerns(name);
        findings.push(other_kinds::better_insulated(facts, id).into_iter().fold(one, Finding::remedy));
    }
    cores.sort_by_key(|core| core.cable);
    findings.extend(cores.chunk_by(|a, b| a.cable == b.cable).filter_map(|cores| cable(model, cores)));
}

/// The finding of a cable, by the core of the highest domain.
fn cable(model: &Model, cores: &[Core]) -> Option<Finding> {
    let max = |core: &Core| model[core.domain].max;
    let Core { cable, domain, rated, short, .. } = cores.iter().max_by(|a, b| max(a).get().total_cmp(&max(b).get()))?;
    let (item, name) = (&model[*cable], model.cable_name(*cable));
    let kind = item.kind.map_or("", |kind| model.text(model[kind].name));
    let source = format!("cable kind `{kind}`");
    let low = Low { what: &format!("cable `{name}`"), rated: rated.value, short: *short, domain: *domain, source, at: item.span };
    let wires: Vec<String> = cores.iter().map(|core| model.wire_name(core.wire)).collect();
    let finding = finding(model, &low)
        .label(format!("carries it in {}", names_in_words(&wires)))
        .context(rated.span, format!("rated voltage of `{kind}`"))
        .help(format!("the cable must be rated for {} at least", short.needed))
        .concerns(name);
    Some(finding)
}

/// A connector of which a half is rated too low; the lower half if both are.
fn housing(model: &Model, connector: &Connector) -> Option<Finding> {
    let max = |domain: DomainId| model[domain].max;
    let domains = connector.contacts.iter().filter_map(|contact| contact.held.domain());
    let domain = domains.max_by(|a, b| max(*a).get().total_cmp(&max(*b).get()))?;
    let service = model[domain].service();
    let low = connector.halves().filter_map(|half| {
        let kind = &model[half.housing?];
        let rated = kind.voltage?;
        Some((half, kind, rated, rated.value.falls_short(service, Duty::Insulates)?))
    });
    let low: Vec<_> = low.collect();
    let (half, kind, rated, short) = low.first()?;
    let carrying: Vec<&Contact> = connector.contacts.iter().filter(|contact| contact.held.domain() == Some(domain)).collect();
    let (name, kind) = (model.mate_name(half.at), model.text(kind.name));
    let what = format!("housing `{name}`");
    let source = format!("housing kind `{kind}`");
    let report = Low { what: &what, rated: rated.value, short: *short, domain, source, at: half.place };
    let mut finding = finding(model, &report)
        .label(format!("carries it in {}", labels_in_words(model, &carrying)))
        .context(rated.span, format!("rated voltage of `{kind}`"));
    for (other, _, rated, _) in low.iter().skip(1) {
        finding = finding.context(other.place, format!("its partner `{}` is rated {}", model.mate_name(other.at), rated.value));
    }
    Some(finding.help(format!("both halves of the connector must be rated for {} at least", short.needed)).concerns(name))
}

/// The rating to look for: one for alternating voltage goes by the nominal one, whatever a part rated for direct voltage would need.
fn asked(model: &Model, domain: DomainId, rated: RatedVoltage, short: TooLow) -> String {
    match (model[domain].ac, rated.kind) {
        (true, Some(VoltageKind::Direct)) => format!("{} AC", model[domain].nominal),
        (true, _) => format!("{} AC", short.needed),
        (false, _) => format!("{} DC", short.needed),
    }
}

/// What an element is rated for, as far as it says.
struct Rating<'m> {
    /// What it is, before its name.
    what: &'static str,
    /// The points between which it has to withstand the voltage.
    points: &'m [PointId],
    rated: RatedVoltage,
    duty: Duty,
    source: String,
    at: Span,
    /// Where its kind says it.
    kind: Option<Span>,
    /// Whether its plain figure may be one for alternating voltage alone.
    may_be_alternating: bool,
}

fn rating<'m>(model: &'m Model, element: &'m Element) -> Option<Rating<'m>> {
    let as_written = |what, points, duty, rated: Option<At<RatedVoltage>>| {
        let At { value, span } = rated?;
        let source = "as written".to_owned();
        Some(Rating { what, points, rated: value, duty, source, at: span, kind: None, may_be_alternating: false })
    };
    match &element.kind {
        ElementKind::Fuse { kind, fitted: true } => {
            let FuseVoltage { rated, source, at: span, may_be_alternating } = rated_voltage_of(model, &model[(*kind)?])?;
            let (points, at) = (&*element.points, element.value_span);
            Some(Rating { what: "fuse", points, rated, duty: Duty::Breaks, source, at, kind: Some(span), may_be_alternating })
        }
        ElementKind::Switch { voltage, .. } => as_written("switch", &*element.points, Duty::Opens, *voltage),
        ElementKind::Disconnect { voltage, .. } => as_written("disconnect", &*element.points, Duty::Opens, *voltage),
        ElementKind::Relay { voltage, .. } => as_written("contact of relay", element.points.get(2..)?, Duty::Opens, *voltage),
        ElementKind::Converter { voltage, .. } => {
            as_written("input of converter", element.points.get(..2)?, Duty::Insulates, *voltage)
        }
        // What has no rated voltage in the format: it is the device's own to keep.
        ElementKind::Fuse { fitted: false, .. }
        | ElementKind::Source { .. }
        | ElementKind::Load { .. }
        | ElementKind::Resistor(_)
        | ElementKind::Capacitor(_)
        | ElementKind::Diode(_)
        | ElementKind::Link { .. }
        | ElementKind::Interlock { .. } => None,
    }
}

fn element_finding(facts: &Facts, id: ElementId, element: &Element) -> Option<Finding> {
    let model = facts.model();
    let Some(rating) = rating(model, element) else { return alternating_alone(facts, id, element) };
    let Some((domain, short)) = falls_short(facts, rating.points, rating.rated, rating.duty) else {
        return across_finding(facts, id, &rating).or_else(|| doubtful_finding(facts, id, &rating));
    };
    let Rating { what, rated, source, at, kind, duty, .. } = rating;
    let name = model.element_name(id);
    let breaks_no_direct = duty == Duty::Breaks && short.rated.is_none();
    let help = if breaks_no_direct {
        format!(
            "fit a fuse or circuit breaker with a rated voltage of {} or more and a breaking capacity at DC",
            asked(model, domain, rated, short)
        )
    } else {
        format!("a rating of {} at least is needed here", asked(model, domain, rated, short))
    };
    let mut finding = finding(model, &Low { what: &format!("{what} `{name}`"), rated, short, domain, source, at })
        .label(format!("rated {rated}"))
        .help(help)
        .concerns(name);
    if let Some(span) = kind {
        finding = finding.context(span, "what says it");
    }
    if breaks_no_direct {
        if let Some(breaking) = kind_of(model, id).and_then(|kind| kind.breaking) {
            finding = finding.figure("breaking capacity", format!("{} at AC; none is given at DC", breaking.value));
        }
        finding.stated = without_breaking(short.needed);
    }
    let service = model[domain].service();
    let suits = |kind: &FuseKind| {
        rated_voltage_of(model, kind).is_some_and(|other| other.rated.falls_short(service, Duty::Breaks).is_none())
    };
    Some(other_kinds::other_fuse(facts, id, suits).into_iter().fold(finding, Finding::remedy))
}

/// How severe a fuse without a breaking capacity at DC is: at the voltage of small vehicles most arcs go out by themselves.
fn without_breaking(volts: Volt) -> Level {
    if volts <= direct_of_ac_contact().value { Level::Warning } else { Level::Danger }
}

/// A fuse or circuit breaker that gives no rated voltage, to a standard for alternating voltage alone, in a direct voltage.
fn alternating_alone(facts: &Facts, id: ElementId, element: &Element) -> Option<Finding> {
    let model = facts.model();
    let ElementKind::Fuse { fitted: true, .. } = element.kind else { return None };
    let standard = kind_of(model, id)?.standard?;
    let words = model.text(standard.value);
    let domain = facts.highest_domain(&element.points).map(|id| &model[id]).filter(|domain| !domain.ac)?;
    if only_kind(words) != Some(VoltageKind::Alternating) {
        return None;
    }
    let (name, needed, of) = (model.element_name(id), domain.max, model.text(domain.name));
    let headline = format!("fuse `{name}` is to {words}, which is for AC alone, in the {needed} DC of domain `{of}`");
    let mut finding = RULE
        .finding(element.value_span, headline, [Weighed::larger(needed)])
        .label(format!("to {words}, no DC rating given"))
        .context(standard.span, "its standard")
        .context(domain.span, format!("highest voltage of `{of}`: {needed}"))
        .help(format!("fit a fuse or circuit breaker with a rated voltage of {needed} DC or more and a breaking capacity at DC"))
        .concerns(name);
    finding.stated = without_breaking(needed);
    Some(finding)
}

/// A fuse of voltage class B, direct voltage, whose plain figure may be one for alternating voltage alone. In class A it is a note of
/// `review/missing-fact`.
fn doubtful_finding(facts: &Facts, id: ElementId, rating: &Rating<'_>) -> Option<Finding> {
    let model = facts.model();
    let domain = &model[facts.highest_domain(rating.points)?];
    if !rating.may_be_alternating || domain.ac || !domain.is_class_b() {
        return None;
    }
    let (name, rated, needed, of) = (model.element_name(id), rating.rated, domain.max, model.text(domain.name));
    let headline =
        format!("{} `{name}` is rated {rated}, which does not say DC, in the {needed} DC of domain `{of}`", rating.what);
    let mut finding = RULE
        .finding(rating.at, headline, [Weighed::smaller(rated), Weighed::larger(needed)])
        .label(format!("rated {rated}"))
        .context(domain.span, format!("highest voltage of `{of}`: {needed}"))
        .figure("rated voltage", format!("{rated} ({})", rating.source))
        .figure("basis", plain_is_alternating())
        .help(format!(
            "give the DC rating of the datasheet in its kind, such as `voltage: {needed} DC`; fit another fuse if it has none"
        ))
        .concerns(name);
    finding.stated = Level::Warning;
    Some(match rating.kind {
        Some(span) => finding.context(span, format!("says {rated}")),
        None => finding,
    })
}

/// An element that its domain suits, and that has more across it in a mode than it is rated for: an open contact between two supplies.
fn across_finding(facts: &Facts, id: ElementId, rating: &Rating<'_>) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    if rating.points.iter().any(|point| facts.electrical().domains().of(*point).is_some_and(|domain| model[domain].ac)) {
        return None;
    }
    let begin_at = |point: &PointId| {
        let point = *point;
        network.around(point).filter(move |(_, edge, _)| edge.element() == Some(id) && edge.a == point)
    };
    let edges: BTreeSet<EdgeId> = rating.points.iter().flat_map(begin_at).map(|(edge, ..)| edge).collect();
    let mut worst: Option<(Volt, ModeId)> = None;
    for edge in edges.into_iter().map(|edge| &network[edge]) {
        for mode in facts.electrical().modes().filter(|mode| mode.is_live(edge.a) && mode.is_live(edge.b)) {
            let across = (mode.volts(edge.a) - mode.volts(edge.b)).abs();
            if worst.is_none_or(|(most, _)| across > most) {
                worst = Some((across, mode.id));
            }
        }
    }
    let (across, mode) = worst?;
    let nominal = Volt::new(across.get() * OF_RUNNING);
    let short = rating.rated.falls_short(Service { nominal, max: across, ac: false }, rating.duty)?;
    let (name, rated) = (model.element_name(id), rating.rated);
    let below = short.rated.map_or_else(String::new, |rated| format!(", {} too little", Volt::new(across.get() - rated.get())));
    let headline =
        format!("{} `{name}` has {across} across it{}: it is rated {rated}{below}", rating.what, in_modes(model, &[mode]));
    let finding = RULE
        .finding(rating.at, headline, [Weighed::larger(across), Weighed::smaller(rated), Weighed::larger(&below)])
        .label(format!("rated {rated}"))
        .figure("voltage across it", across)
        .figure("rated voltage", format!("{rated} ({})", rating.source))
        .figure("mode", model.mode_name(mode))
        .help(format!("the {} must be rated for the {across} across it", rating.what))
        .concerns(name);
    Some(match rating.kind {
        Some(span) => finding.context(span, format!("says {rated}")),
        None => finding,
    })
}

/// Nominal voltage of a battery over what it has while it is charged: 12 V of 15 V.
const OF_RUNNING: f64 = 0.8;

/// Studs and rings that say what they are rated for.
fn joint_findings<'f>(facts: &'f Facts) -> impl Iterator<Item = Finding> + 'f {
    let model = facts.model();
    let studs = model.ports().filter_map(|(_, port)| Some(("stud", port.points.get(0)?, port.voltage?)));
    let rings = model.ends().filter_map(|(_, end)| Some(("ring", end.points.get(0)?, end.voltage?)));
    studs.chain(rings).filter_map(move |(what, point, At { value: rated, span: at })| {
        let (domain, short) = falls_short(facts, &[point], rated, Duty::Insulates)?;
        let name = model.point_name(point);
        let low = Low { what: &format!("{what} `{name}`"), rated, short, domain, source: "as written".to_owned(), at };
        let help = format!("the {what} must be rated for {} at least", short.needed);
        Some(finding(model, &low).label(format!("rated {rated}")).help(help).concerns(name))
    })
}
