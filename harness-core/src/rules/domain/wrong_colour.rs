//! Orange is the colour of voltage class B and green-yellow that of protective earth; a domain that states its colours has those.

use crate::{
    analysis::Analysis,
    evidence::{cores::Cables, names_in_words},
    facts::Facts,
    finding::{Finding, Level, Remedy, RemedyKind, Weighed},
    model::{CableId, Core, Domain, DomainId, ElementKind, Wire, WireId},
    network::Potential,
    rules::{Rule, RulePage},
    standards::colour::{Colour, WireColour},
    text::Span,
    vocabulary::{Reference, Role},
};
use rustc_hash::FxHashSet;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/wrong-colour",
        level: Level::Error,
        since: "0.1.0",
        finds: "class B that is not orange, orange beside class B, an earth that is not green-yellow, a colour that its domain excludes",
        docs: include_str!("wrong_colour.md"),
    },
    check,
};

/// What the colour of a conductor has to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Direct voltage of class B.
    ClassB(DomainId),
    /// Alternating voltage of class B.
    Mains(DomainId),
    /// A domain of class A that states its colours.
    Stated(DomainId),
    ClassA,
    /// Of no known domain, and by the roles of its pins no earth: a bus, a sensor.
    Signal,
    Chassis,
    Earth,
}

/// What a design makes of its colours.
#[derive(Debug, Default)]
struct Usage {
    /// Orange marks voltage class B: some of it is direct, or orange.
    keeps_orange: bool,
    /// A live wire has the colours of protective earth: it may have been swapped with the earth.
    has_live_earth_colour: bool,
    /// A mains domain states plain green, which then is a colour of protective earth.
    has_green_earth: bool,
    /// Colours of the line conductors of each mains domain.
    lines: FxHashSet<(DomainId, Colour)>,
    /// Colours of the neutral conductors of each mains domain.
    neutrals: FxHashSet<(DomainId, Colour)>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, model) = (analysis.facts(), analysis.model());
    let known = model.wires().filter_map(|(id, wire)| Some((id, wire, kind(facts, wire)?)));
    let known: Vec<(WireId, &Wire, Kind)> = known.collect();
    let usage = usage(facts, &known);
    let cables = Cables::of(model);
    let mut findings = Vec::new();
    let mut cores: Vec<(CableId, WireId, Kind)> = Vec::new();
    for (id, wire, kind) in known {
        match (wire.core, wire.colour) {
            (Some((cable, _)), _) => cores.push((cable, id, kind)),
            (None, Some(colour)) => findings.extend(single(facts, &usage, id, (colour.value, colour.span), kind)),
            (None, None) => {}
        }
    }
    cores.sort_by_key(|core| core.0);
    for group in cores.chunk_by(|a, b| a.0 == b.0) {
        findings.extend(group.first().map(|core| cable(facts, (&usage, &cables), core.0, group)).unwrap_or_default());
    }
    findings
}

/// What a wire is; `None` where that is not known or where it joins class B to something else.
fn kind(facts: &Facts, wire: &Wire) -> Option<Kind> {
    let (model, potentials) = (facts.model(), facts.potentials());
    let held = [wire.from, wire.to].map(|point| point.and_then(|point| potentials.of(point)));
    let one = |held: Potential| match held {
        Potential::Domain(id) => {
            let domain = &model[id];
            match (domain.is_class_b(), domain.ac) {
                (true, true) => Kind::Mains(id),
                (true, false) if states_its_own(facts, id) => Kind::Stated(id),
                (true, false) => Kind::ClassB(id),
                (false, _) if domain.colours.is_empty() => Kind::ClassA,
                (false, _) => Kind::Stated(id),
            }
        }
        Potential::Chassis => Kind::Chassis,
        Potential::Earth => Kind::Earth,
    };
    let kinds = match held {
        [Some(a), Some(b)] => [one(a), one(b)],
        [Some(a), None] | [None, Some(a)] => [one(a), one(a)],
        [None, None] => return is_signal(facts, wire).then_some(Kind::Signal),
    };
    match kinds {
        [a, b] if a == b => Some(a),
        [Kind::ClassB(_) | Kind::Mains(_), _] | [_, Kind::ClassB(_) | Kind::Mains(_)] => None,
        // A ground lead of a 12 V device may go to an earth stud; it is not known which of the two it is.
        [Kind::ClassA | Kind::Stated(_), Kind::Earth] | [Kind::Earth, Kind::ClassA | Kind::Stated(_)] => None,
        [Kind::Earth, _] | [_, Kind::Earth] => Some(Kind::Earth),
        [stated @ Kind::Stated(_), Kind::Chassis] | [Kind::Chassis, stated @ Kind::Stated(_)] => Some(stated),
        _ => Some(Kind::ClassA),
    }
}

/// Whether the pins on the net of a wire have roles, and none that an earth may have.
fn is_signal(facts: &Facts, wire: &Wire) -> bool {
    let Some(point) = wire.from.or(wire.to) else { return false };
    let pins = facts.pins().of(facts.network().net(point));
    let roles = || pins.iter().filter_map(|pin| pin.role);
    let may_be_earth = |role: Role| matches!(role, Role::Earth | Role::Chassis | Role::Screen | Role::Return);
    roles().next().is_some() && !roles().any(may_be_earth)
}

/// Whether direct voltage of class B has the colours that its domain states: those of a plant, and of solar strings, whose cable is made in red and black,
/// anywhere. Else it stays orange on a vehicle, and what has a domain measured against its chassis is one.
fn states_its_own(facts: &Facts, id: DomainId) -> bool {
    let (model, domain) = (facts.model(), &facts.model()[id]);
    let is_vehicle = || model.domains().any(|(_, domain)| domain.reference == Reference::Chassis);
    domain.is_class_b() && !domain.ac && !domain.colours.is_empty() && (!is_vehicle() || is_of_panels(facts, id))
}

/// Whether all that drives a domain are sources that limit themselves and hold no charge: panels.
fn is_of_panels(facts: &Facts, id: DomainId) -> bool {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let drives = facts.network().edges().filter(|(_, edge)| edge.role.drives() && domains.of(edge.b) == Some(id));
    let mut kinds = drives.filter_map(|(_, edge)| Some(&model[edge.element()?].kind)).peekable();
    let is_panel = |kind: &ElementKind| matches!(kind, ElementKind::Source { limit: Some(_), capacity: None, .. });
    kinds.peek().is_some() && kinds.all(is_panel)
}

/// What the design makes of its colours. Cost: a pass over the wires, and the pins of the nets of its mains.
fn usage(facts: &Facts, known: &[(WireId, &Wire, Kind)]) -> Usage {
    let mut usage = Usage::default();
    let model = facts.model();
    for (id, domain) in model.domains().filter(|(_, domain)| domain.is_class_b()) {
        usage.keeps_orange |= !domain.ac && !states_its_own(facts, id);
        usage.has_green_earth |= domain.ac && domain.colours.iter().any(|colour| is_green(colour.value));
    }
    for (_, wire, kind) in known {
        let is_green_yellow = wire.core.is_none() && wire.colour.is_some_and(|colour| colour.value.is_green_yellow());
        usage.has_live_earth_colour |= is_green_yellow && !matches!(kind, Kind::Earth | Kind::Chassis);
        let (Kind::Mains(domain), Some(colour)) = (kind, wire.colour) else { continue };
        usage.keeps_orange |= colour.value.is_orange();
        match mains_role(facts, wire) {
            Some(Role::Line) => usage.lines.insert((*domain, colour.value.base)),
            Some(Role::Neutral) => usage.neutrals.insert((*domain, colour.value.base)),
            _ => false,
        };
    }
    usage
}

fn is_green(colour: WireColour) -> bool {
    colour.base == Colour::Green && colour.stripe.is_none()
}

/// Line or neutral, where the pins on the net of a wire say one of the two and nothing else.
fn mains_role(facts: &Facts, wire: &Wire) -> Option<Role> {
    let pins = facts.pins().of(facts.network().net(wire.from.or(wire.to)?));
    let mut roles = pins.iter().filter_map(|pin| pin.role);
    let first = roles.next().filter(|role| matches!(role, Role::Line | Role::Neutral))?;
    roles.all(|role| role == first).then_some(first)
}

/// The fault of a single wire or of a core whose own colour counts.
fn fault(facts: &Facts, usage: &Usage, id: WireId, (colour, span): (WireColour, Span), kind: Kind) -> Option<Finding> {
    let model = facts.model();
    let (name, words) = (model.wire_name(id), colour.name());
    // The colour of a core is written in its cable kind, which other cables share.
    let recoloured = |to: &str| {
        let is_certain = kind != Kind::Earth || !usage.has_live_earth_colour;
        let of = if is_certain { RemedyKind::Colour } else { RemedyKind::Part };
        let remedy = || Remedy::new(of, format!("write `{to}` for `{name}`")).edit(span, to);
        model[id].core.is_none().then(remedy)
    };
    let (headline, label, help, remedy) = match kind {
        Kind::ClassB(domain) if !is_allowed(facts, domain, colour) => {
            let domain = &model[domain];
            let text = model.text(domain.name);
            (
                format!("wire `{name}` of `{text}` (up to {}, voltage class B) is {words}, not orange", domain.max),
                match domain.colours.is_empty() {
                    true => "voltage class B is orange".to_owned(),
                    false => "voltage class B of a battery is orange on a vehicle, whatever its domain states".to_owned(),
                },
                format!("use an orange wire for `{name}`"),
                recoloured("OG"),
            )
        }
        Kind::Mains(id) | Kind::Stated(id) if !is_allowed(facts, id, colour) => {
            let domain = &model[id];
            let text = model.text(domain.name);
            let what = if domain.ac { "mains" } else { "a domain with its own colours" };
            let (not, label) = match (colour.is_green_yellow(), domain.colours.is_empty()) {
                (true, _) => ("the colour of protective earth", "green-yellow is kept for protective earth"),
                (false, true) => ("neither orange nor a colour of mains wiring", "not a colour of mains wiring"),
                (false, false) => ("not among the colours of the domain", "another colour than the domain states"),
            };
            let otherwise = match (colour.is_green_yellow(), domain.colours.is_empty()) {
                (true, _) => "swap it with the earth conductor if the two are swapped".to_owned(),
                (false, true) => format!("give the domain `{text}` its own `colours`, such as `[BN, BU]`"),
                (false, false) => format!("add the colour to the `colours` of `{text}`"),
            };
            (
                format!("wire `{name}` of `{text}` ({what}) is {words}, {not}"),
                label.to_owned(),
                format!("use a {} conductor for `{name}`, or {otherwise}", colours_in_words(domain)),
                None,
            )
        }
        Kind::Mains(domain) => return mains_fault(facts, usage, id, (colour, span), domain),
        Kind::Earth if !(colour.is_green_yellow() || usage.has_green_earth && is_green(colour)) => (
            format!("protective earth `{name}` is {words}, not green-yellow"),
            "protective earth is green-yellow".to_owned(),
            format!("use a green-yellow wire for `{name}`"),
            recoloured("GNYE"),
        ),
        Kind::ClassA | Kind::Chassis if colour.is_orange() && usage.keeps_orange => (
            format!("wire `{name}` of voltage class A is {words}, the colour of class B"),
            "orange is kept for voltage class B".to_owned(),
            format!("use another colour for `{name}`"),
            None,
        ),
        Kind::ClassA | Kind::Signal if colour.is_green_yellow() => (
            format!("wire `{name}` is green-yellow but is not protective earth"),
            "green-yellow is kept for protective earth".to_owned(),
            format!("use another colour for `{name}`"),
            None,
        ),
        _ => return None,
    };
    let weighed = match kind {
        Kind::ClassB(domain) => Some(Weighed::larger(model[domain].max)),
        _ => None,
    };
    let mut finding = RULE.finding(span, headline, weighed).label(label).help(help).remedy(remedy).concerns(name);
    if let Kind::Mains(domain) | Kind::Stated(domain) = kind
        && let Some(stated) = model[domain].colours.first()
    {
        finding = finding
            .context(stated.span, format!("`{}` has {}", model.text(model[domain].name), colours_in_words(&model[domain])));
    }
    Some(finding)
}

/// The fault of a wire that is not a core, with another colour for it where its pins say which of the mains it is.
fn single(facts: &Facts, usage: &Usage, id: WireId, (colour, span): (WireColour, Span), kind: Kind) -> Option<Finding> {
    let finding = fault(facts, usage, id, (colour, span), kind)?;
    let (Kind::Mains(_), Some(role)) = (kind, mains_role(facts, &facts.model()[id])) else { return Some(finding) };
    let usual: &[Colour] = if role == Role::Neutral { &[Colour::Blue] } else { &[Colour::Brown, Colour::Black, Colour::Grey] };
    let usual = usual.iter().map(|base| WireColour { base: *base, stripe: None });
    let other = usual.filter(|colour| fault(facts, usage, id, (*colour, span), kind).is_none()).take(1);
    // Whether the colour is wrong or the wire is in the wrong place, the builder knows.
    let words = |colour: WireColour| format!("use a {} wire for `{}`", colour.name(), facts.model().wire_name(id));
    let remedies = other.map(|colour| Remedy::new(RemedyKind::Part, words(colour)).edit(span, colour.to_string()));
    Some(remedies.fold(finding, Finding::remedy))
}

/// Whether a conductor of a domain may have a colour.
fn is_allowed(facts: &Facts, id: DomainId, colour: WireColour) -> bool {
    let domain = &facts.model()[id];
    let mut stated = domain.colours.iter().map(|stated| stated.value).filter(|stated| !stated.is_green_yellow());
    if domain.is_class_b() && !domain.ac && !states_its_own(facts, id) {
        // What a domain states can say which orange, not that it is none.
        let mut oranges = stated.filter(|stated| stated.is_orange()).peekable();
        return if oranges.peek().is_some() { oranges.any(|orange| colour.is_among(orange)) } else { colour.is_orange() };
    }
    match domain.colours.is_empty() {
        true => colour.is_orange() || colour.is_of_mains(),
        false => stated.any(|stated| colour.is_among(stated)),
    }
}

/// The colours that a domain allows: "brown, black or blue".
fn colours_in_words(domain: &Domain) -> String {
    let stated = domain.colours.iter().filter(|stated| !stated.value.is_green_yellow());
    let stated: Vec<String> = stated.map(|stated| stated.value.name()).collect();
    match stated.as_slice() {
        [] => "brown, black, grey or blue".to_owned(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

/// The warning about a line conductor in the colour of the neutral, or the other way round.
fn mains_fault(
    facts: &Facts,
    usage: &Usage,
    id: WireId,
    (colour, span): (WireColour, Span),
    domain: DomainId,
) -> Option<Finding> {
    let model = facts.model();
    let is_used = |by: &FxHashSet<(DomainId, Colour)>| by.contains(&(domain, colour.base));
    let is_neutral_colour = matches!(colour.base, Colour::Blue | Colour::White);
    let (is, of, remedy) = match mains_role(facts, &model[id])? {
        Role::Neutral if colour.base == Colour::Brown || (is_used(&usage.lines) && !is_neutral_colour) => {
            ("neutral", "a line conductor", "blue")
        }
        Role::Line if is_neutral_colour && is_used(&usage.neutrals) => ("line", "the neutral", "brown, black or grey"),
        _ => return None,
    };
    let (name, words) = (model.wire_name(id), colour.name());
    let mut finding = RULE
        .finding(span, format!("{is} wire `{name}` is {words}, the colour of {of}"), [])
        .label(format!("{is} here by the pins that it reaches"))
        .help(format!("use a {remedy} conductor for `{name}`, or swap it with the other wire if the two ends are swapped"))
        .concerns(name);
    finding.stated = Level::Warning;
    Some(finding)
}

/// The faults of a cable: of its sheath as a whole, of its cores one by one where their colours count.
fn cable(facts: &Facts, (usage, cables): (&Usage, &Cables), id: CableId, cores: &[(CableId, WireId, Kind)]) -> Vec<Finding> {
    let model = facts.model();
    let mut findings = Vec::new();
    let (cable, name) = (&model[id], model.cable_name(id));
    let sheath = cable.kind.and_then(|kind| model[kind].sheath);
    let is_orange = sheath.is_some_and(|sheath| sheath.value.is_orange());
    let names = |is: fn(Kind) -> bool| -> Vec<String> {
        cores.iter().filter(|core| is(core.2)).map(|core| model.wire_name(core.1)).collect()
    };
    let class_b = names(|kind| matches!(kind, Kind::ClassB(_)));
    let has_mains = !names(|kind| matches!(kind, Kind::Mains(_))).is_empty();
    if let Some(sheath) = sheath {
        let words = sheath.value.name();
        if !class_b.is_empty() && !is_orange {
            findings.push(
                RULE.finding(
                    cable.span,
                    format!("cable `{name}` has voltage class B in {} and a {words} sheath", names_in_words(&class_b)),
                    [],
                )
                .label("voltage class B is orange")
                .context(sheath.span, "colour of the sheath")
                .help(format!("use a cable with an orange sheath for `{name}`"))
                .concerns(&name),
            );
        } else if class_b.is_empty() && !has_mains && is_orange && usage.keeps_orange {
            findings.push(
                RULE.finding(cable.span, format!("cable `{name}` has an orange sheath and no core of voltage class B"), [])
                    .label("orange is kept for voltage class B")
                    .context(sheath.span, "colour of the sheath")
                    .help(format!("use a cable with a sheath of another colour for `{name}`"))
                    .concerns(&name),
            );
        }
    }
    let not_orange = |(_, wire, kind): &&(CableId, WireId, Kind)| {
        matches!(kind, Kind::ClassB(_)) && model[*wire].colour.is_some_and(|colour| !colour.value.is_orange())
    };
    let plain: Vec<String> = cores.iter().filter(not_orange).map(|core| model.wire_name(core.1)).collect();
    if sheath.is_none() && !plain.is_empty() {
        findings.push(
            RULE.finding(
                cable.span,
                format!("cable `{name}` has voltage class B in {}, and nothing orange is given", names_in_words(&plain)),
                [],
            )
            .label("neither an orange sheath nor orange cores")
            .help("give the cable kind its `sheath: OG`, or use a cable that has an orange sheath")
            .concerns(&name),
        );
    }
    for (_, id, kind) in cores {
        let wire = &model[*id];
        let Some(colour) = wire.colour else { continue };
        // Which core is earth is read from its colour, whatever the sheath is; in an orange sheath the other cores are free.
        let judged = match kind {
            Kind::Earth => Some(Kind::Earth),
            Kind::Mains(_) if !is_orange => Some(*kind),
            Kind::Stated(_) => Some(*kind),
            Kind::Chassis => None,
            Kind::Signal | Kind::ClassB(_) | Kind::Mains(_) | Kind::ClassA => {
                colour.value.is_green_yellow().then_some(Kind::ClassA)
            }
        };
        let Some(kind) = judged else { continue };
        let fault_with = |colour: WireColour| fault(facts, usage, *id, (colour, wire.span), kind);
        let suits = |core: &Core| core.colour.is_some_and(|colour| fault_with(colour.value).is_none());
        findings.extend(fault_with(colour.value).map(|finding| {
            let cores = cables.free(facts, *id, suits).into_iter().chain(cables.swapped(facts, *id, suits));
            cores.fold(finding.context(colour.span, "colour of the core"), Finding::remedy)
        }));
    }
    findings
}
