//! How a joint between two potentials is shown: at what joins both sides, with both pins, the way between them and the figures.

use super::{class_figure, domain_figure, domain_words};
use crate::{
    facts::{Facts, Joint},
    finding::{Finding, RulePage, Weighed},
    model::{Model, PointId},
    network::{Edge, EdgeKind, EdgeRole, Potential, Step},
    text::Span,
    vocabulary::Role,
};

/// A finding at a pin that is alone among conductors of the other side, or at what joins both sides.
#[must_use]
pub fn at_joint(facts: &Facts, page: &RulePage, joint: &Joint, headline: impl FnOnce(&str) -> String) -> Finding {
    let model = facts.model();
    let (what, span, name) = joined_by(facts, joint);
    // The voltages of the domains say which these are.
    let voltages = model.domains().flat_map(|(_, domain)| [Weighed::neither(domain.nominal), Weighed::neither(domain.max)]);
    let finding = match joint.lone {
        Some((pin, count)) => {
            let name = model.point_name(pin);
            let headline = headline(&format!("{count} conductors at pin `{name}`"));
            page.weighed(pin_span(model, pin), headline, voltages)
                .label("alone among conductors of the other side")
                .concerns(name)
        }
        None => page.weighed(span, headline(&what), voltages).label("joins both").concerns(name),
    };
    with_parties(facts, joint, finding)
}

/// What joins both sides in words, where the builder edits it, and the name it goes by.
fn joined_by(facts: &Facts, joint: &Joint) -> (String, Span, String) {
    let model = facts.model();
    let (edge, near, far) = joint.at;
    match facts.network()[edge].kind {
        EdgeKind::Wire(id) => {
            let wire = &model[id];
            // An orange wire belongs to class B and any other to the other side: its far end is what is at the wrong place.
            let is_orange = wire.colour.is_some_and(|colour| colour.value.is_orange());
            let other_is_ground = !matches!(joint.other.0, Potential::Domain(_));
            let misplaced = if is_orange || other_is_ground { far } else { near };
            let span = if wire.from == Some(misplaced) { wire.from_span } else { wire.to_span };
            let name = model.wire_name(id);
            (format!("wire `{name}`"), span, name)
        }
        EdgeKind::Element(id) => {
            let name = model.element_name(id);
            (format!("`{name}`"), model[id].value_span, name)
        }
        EdgeKind::Screen(id) => {
            let name = model.cable_name(id);
            let span = model[id].screen.iter().flatten().find(|end| end.0 == far).map(|(_, span)| *span);
            (format!("the screen of `{name}`"), span.unwrap_or(model[far].span), name)
        }
        EdgeKind::Contact(end) | EdgeKind::Joint(end) => {
            let name = model.end_name(end);
            (format!("`{name}`"), model[end].mate_span.unwrap_or(model[end].span), name)
        }
        EdgeKind::Chassis(device) => {
            let name = model.device_name(device);
            (format!("`{name}`"), model[far].span, name.to_owned())
        }
    }
}

/// Adds both pins as labels, the way between them and the figures.
fn with_parties(facts: &Facts, joint: &Joint, mut finding: Finding) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let pins = [joint.domain.1, joint.other.1].map(|point| facts.potentials().named_by(point));
    for pin in pins.into_iter().flatten() {
        let span = pin_span(model, pin);
        if span != finding.primary.span {
            finding = finding.context(span, words_at(model, pin));
        }
    }
    if let [Some(start), Some(goal)] = pins {
        let mut steps = way(facts, start, joint.domain.1);
        steps.push(Step { edge: joint.boundary, point: joint.other.1 });
        steps.extend(way(facts, joint.other.1, goal));
        finding = finding.path(network.names(start, &steps));
    }
    let domain = &model[joint.domain.0];
    finding = finding.figure("domain", domain_figure(model, domain));
    if let Potential::Domain(other) = joint.other.0 {
        finding = finding.figure("joined to", domain_figure(model, &model[other]));
    }
    finding = finding.figure("voltage class A", class_figure(domain));
    if joint.resistance.get() > 0.0 {
        finding = finding.figure("resistors between", joint.resistance).figure("least isolation", domain.least_isolation());
    }
    finding
}

/// Where a pin says its domain or role; else the pin.
fn pin_span(model: &Model, point: PointId) -> Span {
    let item = &model[point];
    let pin = item.pin.map(|pin| &model[pin]);
    let role = pin.and_then(|pin| pin.role).filter(|role| matches!(role.value, Role::Earth | Role::Chassis));
    role.map(|role| role.span).or(pin.and_then(|pin| pin.domain).map(|(_, span)| span)).unwrap_or(item.span)
}

fn words_at(model: &Model, point: PointId) -> String {
    let name = model.point_name(point);
    let pin = model[point].pin.map(|pin| &model[pin]);
    let role = pin.and_then(|pin| pin.role).map(|role| role.value);
    let domain = pin.and_then(|pin| pin.domain).map(|(domain, _)| &model[domain]);
    match (role, domain) {
        (Some(Role::Earth), _) => format!("`{name}` is protective earth"),
        (Some(Role::Chassis), _) => format!("`{name}` is joined to the chassis"),
        (_, Some(domain)) => format!("`{name}` is of {}", domain_words(model, domain)),
        (_, None) => format!("`{name}` is chassis"),
    }
}

/// The way between two points of one potential: over metal if there is one, else without resistors, else over all that joins.
fn way(facts: &Facts, start: PointId, goal: PointId) -> Vec<Step> {
    let potentials = facts.potentials();
    let held = [potentials.of(start), potentials.of(goal)];
    let within = |edge: &Edge| [edge.a, edge.b].iter().all(|point| held.contains(&potentials.of(*point)));
    let find = |passes: fn(EdgeRole) -> bool| {
        facts.network().path(start, |point| point == goal, |_, edge| within(edge) && passes(edge.role))
    };
    find(EdgeRole::is_metal)
        .or_else(|| find(EdgeRole::joins_directly))
        .or_else(|| find(EdgeRole::is_galvanic))
        .unwrap_or_default()
}
