//! Facts without which insulation can't be judged in voltage class B, or what a fuse or contact breaks at direct voltage.

use super::MissingFact;
use crate::{
    electrical::{
        conductors::{bundle::Bundle, conductor::voltage_of},
        fuses::fuse::rated_voltage_of,
    },
    facts::{Facts, mixed_bundles::MixedBundle},
    model::{ConductorId, DomainId, Element, ElementKind, FuseKindId, HousingId, LoomId, Model, PointId, PointKind, WireId},
    network::Domains,
    quantity::Volt,
    standards::{
        fuse_standard::{only_kind, plain_is_alternating},
        rated::{Duty, VoltageKind, direct_of_ac_contact},
        voltage::{VoltageClass, class},
    },
    text::Span,
    wording::{agree, count, list_of_first, quoted},
};
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut findings = plain_figures(facts);
    findings.extend(contacts(facts));
    let high = |domain: DomainId| class(model[domain].max, model[domain].ac) == VoltageClass::B;
    // Class A insulation is everywhere; asking for its rating would bury what matters.
    if !model.domains().any(|(id, _)| high(id)) {
        return findings;
    }
    let domains = facts.electrical().domains();
    findings.extend(nameless(facts, domains));
    findings.extend(wires(model, domains, &high));
    findings.extend(housings(model, domains, &high));
    findings.extend(breakers(model, domains, &high));
    findings.extend(facts.mixed_bundles().iter().filter_map(|mixed| unrouted(model, mixed)));
    findings
}

/// The domain at some points, where it is one of direct voltage and class A.
fn direct_of_class_a(facts: &Facts, points: &[PointId]) -> Option<DomainId> {
    let highest = facts.highest_domain(points)?;
    let domain = &facts.model()[highest];
    (!domain.ac && !domain.is_class_b()).then_some(highest)
}

/// Kinds of fuses whose plain rated voltage may be one for alternating voltage alone, in a direct voltage of class A.
fn plain_figures(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut seen: BTreeMap<FuseKindId, Volt> = BTreeMap::new();
    for (_, element) in model.elements() {
        let ElementKind::Fuse { kind: Some(kind), fitted: true } = element.kind else { continue };
        if !rated_voltage_of(model, &model[kind]).is_some_and(|voltage| voltage.may_be_alternating) {
            continue;
        }
        let Some(domain) = direct_of_class_a(facts, &element.points) else { continue };
        let most = seen.entry(kind).or_insert(model[domain].max);
        *most = model[domain].max.max(*most);
    }
    let note = |(kind, needed): (FuseKindId, Volt)| {
        let (item, name) = (&model[kind], model.text(model[kind].name));
        let rated = item.voltage?;
        Some(MissingFact {
            taken: Some(format!("{} DC; {}", rated.value, plain_is_alternating())),
            ..MissingFact::new(
                rated.span,
                format!("whether `{name}` breaks a short at {needed} DC was not checked: its {} does not say DC", rated.value),
                "neither `AC` nor `DC`",
                format!("give `{name}` the DC rating of its datasheet, such as `voltage: {needed} DC`"),
                name.to_owned(),
            )
        })
    };
    seen.into_iter().filter_map(note).collect()
}

/// Contacts in a direct voltage that are rated for alternating voltage alone, up to what such contacts are taken to open.
fn contacts(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut lacking: Vec<(Span, String)> = Vec::new();
    for (id, element) in model.elements() {
        let (voltage, points) = match &element.kind {
            ElementKind::Switch { voltage, .. } | ElementKind::Disconnect { voltage, .. } => (voltage, &*element.points),
            ElementKind::Relay { voltage, .. } => (voltage, element.points.get(2..).unwrap_or_default()),
            ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Converter { .. } | ElementKind::Link { .. } => {
                continue;
            }
            ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) | ElementKind::Interlock { .. } => {
                continue;
            }
            ElementKind::Fuse { .. } => continue,
        };
        let Some(rated) = voltage.filter(|rated| rated.value.kind == Some(VoltageKind::Alternating)) else { continue };
        let Some(domain) = direct_of_class_a(facts, points) else { continue };
        if rated.value.falls_short(model[domain].service(), Duty::Opens).is_none() {
            lacking.push((rated.span, model.element_name(id)));
        }
    }
    let Some((place, name)) = lacking.first().cloned() else { return Vec::new() };
    let names: Vec<String> = lacking.iter().map(|(_, name)| quoted(name)).collect();
    let opens = agree(names.len(), "opens", "open");
    let most = direct_of_ac_contact();
    vec![MissingFact {
        taken: Some(format!("{} DC; {}", most.value, most.source)),
        others: lacking.drain(1..).collect(),
        ..MissingFact::new(
            place,
            format!("what {} {opens} at DC was not checked: only an AC rating is given", list_of_first(&names, 3, 0)),
            "rated for AC alone",
            "give the DC rating of the datasheet, such as `voltage: 30 V DC`, with the `current` that belongs to it".to_owned(),
            name,
        )
    }]
}

/// A loom without a route that has single wires of class B and wires with less insulation: nobody knows whether they run side by side.
fn unrouted(model: &Model, mixed: &MixedBundle) -> Option<MissingFact> {
    let Bundle::Loom(loom) = mixed.bundle else { return None };
    let Some(first) = mixed.weak.first() else { return unrouted_and_unstated(model, mixed, loom) };
    if mixed.is_sheathed {
        return None;
    }
    let names: Vec<String> = mixed.weak.iter().map(|weak| quoted(model.wire_name(weak.wire))).collect();
    let (high, needed) = (model.wire_name(mixed.high), first.short.needed);
    Some(MissingFact::new(
        model[first.wire].span,
        format!(
            "whether {}, rated {}, {} beside `{high}` ({needed}) was not checked: loom `{}` gives no route",
            list_of_first(&names, 3, 0),
            first.rated,
            agree(names.len(), "runs", "run"),
            model.loom_name(loom)
        ),
        "no segment",
        format!(
            "name the segments that the wires run through under `via`; what is rated below {needed} must share none with `{high}`"
        ),
        model.wire_name(first.wire),
    ))
}

fn unrouted_and_unstated(model: &Model, mixed: &MixedBundle, loom: LoomId) -> Option<MissingFact> {
    let first = *mixed.unstated.first().filter(|_| !mixed.is_sheathed)?;
    let names: Vec<String> = mixed.unstated.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
    let high = model.wire_name(mixed.high);
    Some(MissingFact::new(
        model[first].span,
        format!(
            "whether {} {} apart from `{high}` of class B was not checked: loom `{}` gives no route, and their kinds no `voltage`",
            list_of_first(&names, 3, 0),
            agree(names.len(), "keeps", "keep"),
            model.loom_name(loom)
        ),
        "neither segment nor `voltage`",
        format!(
            "name the segments that the wires run through under `via`, or give the rated `voltage` of what runs beside `{high}`"
        ),
        model.wire_name(first),
    ))
}

/// Wires that no pin with a domain is joined to: nobody can say what they must keep apart from. Protective earths and bonds have no
/// domain, and their colour is judged.
fn nameless(facts: &Facts, domains: &Domains) -> Vec<MissingFact> {
    let (model, potentials) = (facts.model(), facts.potentials());
    let is_known = |point: PointId| domains.of(point).is_some() || potentials.of(point).is_some();
    let reached = |wire: &crate::model::Wire| wire.from.or(wire.to).is_none_or(is_known);
    let loose: Vec<LoomId> = model.wires().filter(|(_, wire)| !reached(wire)).map(|(_, wire)| wire.loom).collect();
    let note_for = |loom: &[LoomId]| {
        let item = &model[*loom.first()?];
        let name = model.text(item.name);
        let count = count(loom.len(), "wire");
        Some(MissingFact::new(
            item.span,
            format!("voltage and colour of {count} of loom `{name}` were not checked: no pin that they reach names a domain"),
            "wires of no known domain",
            "add `domain` to the pins at their ends".to_owned(),
            name.to_owned(),
        ))
    };
    loose.chunk_by(|a, b| a == b).filter_map(note_for).collect()
}

/// The points between which an element has to withstand its voltage, where nothing says which it is made for: those of fuses,
/// switches, disconnects and the contacts of relays.
fn unrated<'m>(model: &Model, element: &'m Element) -> Option<&'m [PointId]> {
    let (rated, points) = match &element.kind {
        ElementKind::Fuse { kind, .. } => {
            let rated = kind.map(|kind| &model[kind]).is_some_and(|fuse| {
                // What is for alternating voltage alone is judged by that.
                let standard = fuse.standard.and_then(|standard| only_kind(model.text(standard.value)));
                rated_voltage_of(model, fuse).is_some() || standard == Some(VoltageKind::Alternating)
            });
            (rated, &*element.points)
        }
        ElementKind::Switch { voltage, .. } | ElementKind::Disconnect { voltage, .. } => (voltage.is_some(), &*element.points),
        // The points of the contact follow those of the coil.
        ElementKind::Relay { voltage, .. } => (voltage.is_some(), element.points.get(2..)?),
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Converter { .. } | ElementKind::Link { .. } => {
            return None;
        }
        ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) | ElementKind::Interlock { .. } => {
            return None;
        }
    };
    (!rated).then_some(points)
}

/// Fuses, switches, relays and disconnects of voltage class B whose rated voltage nothing says.
fn breakers(model: &Model, domains: &Domains, high: &dyn Fn(DomainId) -> bool) -> Vec<MissingFact> {
    let mut findings = Vec::new();
    for (id, element) in model.elements() {
        let Some(points) = unrated(model, element) else { continue };
        if !points.iter().any(|point| domains.of(*point).is_some_and(high)) {
            continue;
        }
        let name = model.element_name(id);
        findings.push(MissingFact::new(
            element.span,
            format!("whether `{name}` withstands its voltage was not checked: nothing gives its rated voltage"),
            "opens voltage class B",
            format!("add `voltage` to `{name}` or to its kind"),
            name,
        ));
    }
    findings
}

fn wires(model: &Model, domains: &Domains, high: &dyn Fn(DomainId) -> bool) -> Vec<MissingFact> {
    let mut kinds: BTreeSet<ConductorId> = BTreeSet::new();
    let mut single: Vec<WireId> = Vec::new();
    for (id, wire) in model.wires() {
        let domain = wire.from.or(wire.to).and_then(|point| domains.of(point));
        if !domain.is_some_and(high) || voltage_of(model, wire).is_some() {
            continue;
        }
        match wire.kind {
            Some(kind) => {
                kinds.insert(kind);
            }
            None => single.push(id),
        }
    }
    let kinds = kinds.into_iter().map(|kind| {
        let item = &model[kind];
        let name = model.text(item.name);
        MissingFact::new(
            item.span,
            format!("the insulation of `{name}` was not checked: it gives no `voltage` and runs in voltage class B"),
            "no `voltage`",
            format!("add `voltage` to `{name}`"),
            name.to_owned(),
        )
    });
    let single = single.into_iter().map(|id| {
        let name = model.wire_name(id);
        MissingFact::new(
            model[id].span,
            format!("the insulation of `{name}` was not checked: its kind or cable gives no `voltage`"),
            "runs in voltage class B",
            "name a conductor kind or cable with a `voltage`".to_owned(),
            name,
        )
    });
    let uncoloured = model.wires().filter(|(_, wire)| {
        let domain = wire.from.or(wire.to).and_then(|point| domains.of(point));
        domain.is_some_and(high) && wire.core.is_none() && wire.colour.is_none()
    });
    let uncoloured = uncoloured.map(|(id, wire)| {
        let name = model.wire_name(id);
        MissingFact::new(
            wire.span,
            format!("the colour of `{name}` was not checked: none is given, and voltage class B must be orange"),
            "no `colour`",
            format!("add `colour: OG` to `{name}`, or the colour that it has"),
            name,
        )
    });
    kinds.chain(single).chain(uncoloured).collect()
}

fn housings(model: &Model, domains: &Domains, high: &dyn Fn(DomainId) -> bool) -> Vec<MissingFact> {
    let mut lacking: BTreeSet<HousingId> = BTreeSet::new();
    for (id, point) in model.points() {
        if !domains.of(id).is_some_and(high) {
            continue;
        }
        let housing = match point.kind {
            PointKind::Pin(port) => model[port].housing(),
            PointKind::Cavity(end) => model[end].housing(),
            PointKind::Stud(_) | PointKind::Node(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
        };
        if let Some(housing) = housing.filter(|housing| model[*housing].voltage.is_none()) {
            lacking.insert(housing);
        }
    }
    let notes = lacking.into_iter().map(|kind| {
        let item = &model[kind];
        let name = model.text(item.name);
        MissingFact::new(
            item.span,
            format!("the insulation of the housing `{name}` was not checked: it gives no `voltage` and holds voltage class B"),
            "no `voltage`",
            format!("add `voltage` to `{name}`"),
            name.to_owned(),
        )
    });
    notes.collect()
}
