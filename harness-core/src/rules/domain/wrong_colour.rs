//! Orange is the colour of voltage class B and of nothing else; green-yellow that of protective earth.

use crate::{
    analysis::Analysis,
    evidence::names_in_words,
    finding::{Finding, Level, Remedy, RemedyKind},
    model::{CableId, DomainId, Model, Wire, WireId},
    network::{Nearest, Potential},
    rules::{Rule, RulePage},
    standards::colour::WireColour,
    text::Span,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/wrong-colour",
        level: Level::Error,
        since: "0.1.0",
        finds: "class B that is not orange, orange on class A, protective earth that is not green-yellow",
        docs: include_str!("wrong_colour.md"),
    },
    check,
};

/// What the colour of a conductor has to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    ClassB(DomainId),
    ClassA,
    Chassis,
    Earth,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let potentials = analysis.facts().potentials();
    let mut findings = Vec::new();
    let mut cores: Vec<(CableId, WireId, Kind)> = Vec::new();
    for (id, wire) in model.wires() {
        let Some(kind) = kind(model, potentials, wire) else { continue };
        match (wire.core, wire.colour) {
            (Some((cable, _)), _) => cores.push((cable, id, kind)),
            (None, Some(colour)) => findings.extend(fault(model, &model.wire_name(id), colour.value, colour.span, kind)),
            (None, None) => {}
        }
    }
    cores.sort_by_key(|core| core.0);
    for group in cores.chunk_by(|a, b| a.0 == b.0) {
        findings.extend(group.first().map(|core| cable(model, core.0, group)).unwrap_or_default());
    }
    findings
}

/// What a wire is; `None` where that is not known or where it joins class B to something else.
fn kind(model: &Model, potentials: &Nearest<Potential>, wire: &Wire) -> Option<Kind> {
    let held = [wire.from, wire.to].map(|point| point.and_then(|point| potentials.of(point)));
    let one = |held: Potential| match held {
        Potential::Domain(domain) if model[domain].is_class_b() => Kind::ClassB(domain),
        Potential::Domain(_) => Kind::ClassA,
        Potential::Chassis => Kind::Chassis,
        Potential::Earth => Kind::Earth,
    };
    let kinds = match held {
        [Some(a), Some(b)] => [one(a), one(b)],
        [Some(a), None] | [None, Some(a)] => [one(a), one(a)],
        [None, None] => return None,
    };
    match kinds {
        [a, b] if a == b => Some(a),
        [Kind::ClassB(_), _] | [_, Kind::ClassB(_)] => None,
        // A ground lead of a 12 V device may land on an earth stud; which of the two it is can't be told.
        [Kind::ClassA, Kind::Earth] | [Kind::Earth, Kind::ClassA] => None,
        [Kind::Earth, _] | [_, Kind::Earth] => Some(Kind::Earth),
        _ => Some(Kind::ClassA),
    }
}

/// The fault of a single wire.
fn fault(model: &Model, name: &str, colour: WireColour, span: Span, kind: Kind) -> Option<Finding> {
    let words = colour.name();
    let recoloured = |to: &str| Some(Remedy::new(RemedyKind::Colour, format!("write `{to}` for `{name}`")).edit(span, to));
    let (headline, label, help, remedy) = match kind {
        Kind::ClassB(domain) if !colour.is_orange() => {
            let domain = &model[domain];
            let text = model.text(domain.name);
            (
                format!("wire `{name}` of `{text}` (up to {}, voltage class B) is {words}, not orange", domain.max),
                "voltage class B is orange",
                format!("use an orange wire for `{name}`"),
                recoloured("OG"),
            )
        }
        Kind::Earth if !colour.is_green_yellow() => (
            format!("protective earth `{name}` is {words}, not green-yellow"),
            "protective earth is green-yellow",
            format!("use a green-yellow wire for `{name}`"),
            recoloured("GNYE"),
        ),
        Kind::ClassA | Kind::Chassis if colour.is_orange() => (
            format!("wire `{name}` of voltage class A is {words}, the colour of class B"),
            "orange is kept for voltage class B",
            format!("use another colour for `{name}`"),
            None,
        ),
        Kind::ClassA if colour.is_green_yellow() => (
            format!("wire `{name}` is green-yellow but no protective earth"),
            "green-yellow is kept for protective earth",
            format!("use another colour for `{name}`"),
            None,
        ),
        _ => return None,
    };
    Some(RULE.finding(span, headline).label(label).help(help).remedy(remedy).concerns(name))
}

/// The faults of a cable: of its sheath as a whole, of its green-yellow cores one by one.
fn cable(model: &Model, id: CableId, cores: &[(CableId, WireId, Kind)]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let (cable, name) = (&model[id], model.cable_name(id));
    let sheath = cable.kind.and_then(|kind| model[kind].sheath);
    let is_class_b = |kind: Kind| matches!(kind, Kind::ClassB(_));
    let of = |b: bool| -> Vec<String> {
        let wires = cores.iter().filter(|core| is_class_b(core.2) == b);
        wires.map(|core| model.wire_name(core.1)).collect()
    };
    let class_b = of(true);
    if let Some(sheath) = sheath {
        let words = sheath.value.name();
        if !class_b.is_empty() && !sheath.value.is_orange() {
            findings.push(
                RULE.finding(
                    cable.span,
                    format!("cable `{name}` has voltage class B in {} and a {words} sheath", names_in_words(&class_b)),
                )
                .label("voltage class B is orange")
                .context(sheath.span, "colour of the sheath")
                .help(format!("use a cable with an orange sheath for `{name}`"))
                .concerns(&name),
            );
        } else if class_b.is_empty() && sheath.value.is_orange() {
            findings.push(
                RULE.finding(cable.span, format!("cable `{name}` has an orange sheath and no core of voltage class B"))
                    .label("orange is kept for voltage class B")
                    .context(sheath.span, "colour of the sheath")
                    .help(format!("use a cable with a sheath of another colour for `{name}`"))
                    .concerns(&name),
            );
        }
    }
    for (_, id, kind) in cores {
        let wire = &model[*id];
        let Some(colour) = wire.colour else { continue };
        // Which core stands for earth is read from its colour, whatever the sheath is.
        let is_earth = *kind == Kind::Earth;
        if is_earth != colour.value.is_green_yellow() && *kind != Kind::Chassis {
            let kind = if is_earth { Kind::Earth } else { Kind::ClassA };
            findings.extend(
                fault(model, &model.wire_name(*id), colour.value, wire.span, kind)
                    .map(|finding| finding.context(colour.span, "colour of the core")),
            );
        }
    }
    findings
}
