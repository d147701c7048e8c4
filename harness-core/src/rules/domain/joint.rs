//! Places where two potentials are joined, one for each fault: shared by the rules that judge them.
//!
//! The boundaries of the nearest-potential walk are the joints. Where several of them meet at one place that hangs on its own
//! side by a single conductor, that conductor is the joint; where it hangs on nothing, the pin that names the domain is.

use super::facts::{class_figure, domain_figure, domain_words, isolation_of};
use crate::{
    analysis::Analysis,
    finding::Finding,
    model::{DomainId, Model, PointId},
    network::{
        Boundary, Components, Edge, EdgeId, EdgeKind, Nearest, Potential, Step, boundaries, is_galvanic, places, resistor,
    },
    quantity::Ohm,
    rules::Rule,
    text::Span,
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

/// A joint between two potentials.
#[derive(Debug, Clone, Copy)]
pub(super) struct Joint {
    /// The domain that must keep apart, and the point of the joint on its side.
    pub(super) domain: (DomainId, PointId),
    /// The other potential and the point on its side.
    pub(super) other: (Potential, PointId),
    /// The edge on which they meet.
    boundary: EdgeId,
    /// What joins them, and its points: the one that is nearer to the domain first.
    at: (EdgeId, PointId, PointId),
    /// A pin that stands alone among so many conductors of the other side.
    lone: Option<(PointId, usize)>,
    /// Sum of the resistors between both pins.
    resistance: Ohm,
}

/// The joints of those boundaries that `judge` takes: it is given the two potentials of an edge and says which of the first two
/// points is that of the domain that must keep apart. Joints through its least isolation resistance are left out.
pub(super) fn joints(
    analysis: &Analysis,
    potentials: &Nearest<Potential>,
    judge: impl Fn(&Edge, [Potential; 2]) -> Option<usize>,
) -> Vec<Joint> {
    let network = analysis.network();
    let mut found: Vec<Joint> = Vec::new();
    for boundary in boundaries(network, potentials) {
        found.extend(joint(analysis, potentials, &boundary, &judge));
    }
    if found.is_empty() { found } else { gathered(analysis, potentials, found) }
}

fn joint(
    analysis: &Analysis,
    potentials: &Nearest<Potential>,
    boundary: &Boundary,
    judge: impl Fn(&Edge, [Potential; 2]) -> Option<usize>,
) -> Option<Joint> {
    let edge = analysis.network().edge(boundary.edge)?;
    let [a, b] = boundary.points;
    let held = [potentials.of(a)?, potentials.of(b)?];
    let (own, other) = if judge(edge, held)? == 0 { ((held[0], a), (held[1], b)) } else { ((held[1], b), (held[0], a)) };
    let Potential::Domain(id) = own.0 else { return None };
    let domain = analysis.model().domain(id)?;
    if boundary.resistance.get() >= isolation_of(domain).value.get() {
        return None;
    }
    Some(Joint {
        domain: (id, own.1),
        other,
        boundary: boundary.edge,
        at: (boundary.edge, own.1, other.1),
        lone: None,
        resistance: boundary.resistance,
    })
}

/// Joints that meet at one place of a single conductor or pin become one.
fn gathered(analysis: &Analysis, potentials: &Nearest<Potential>, found: Vec<Joint>) -> Vec<Joint> {
    let places = places(analysis.network());
    let mut hubs: FxHashMap<u32, Hub> = FxHashMap::default();
    for joint in &found {
        for point in joint.sides(potentials) {
            hubs.entry(places.of(point)).or_insert_with(|| hub(analysis, potentials, &places, point)).count += 1;
        }
    }
    let mut first_at: FxHashMap<u32, usize> = FxHashMap::default();
    let mut kept: Vec<Joint> = Vec::new();
    for mut joint in found {
        let sides = joint.sides(potentials).filter_map(|point| hubs.get(&places.of(point)).map(|hub| (point, hub)));
        let Some((point, hub)) = sides.filter(|(_, hub)| hub.gathers()).max_by_key(|(_, hub)| hub.count) else {
            kept.push(joint);
            continue;
        };
        let place = places.of(point);
        if let Some(first) = first_at.get(&place).and_then(|at| kept.get_mut(*at)) {
            if joint.resistance < first.resistance {
                first.resistance = joint.resistance;
            }
            continue;
        }
        first_at.insert(place, kept.len());
        match hub.own {
            Own::One(edge, inner, outer) if point == joint.domain.1 => joint.at = (edge, outer, inner),
            Own::One(edge, inner, outer) => joint.at = (edge, inner, outer),
            Own::Nothing | Own::More => joint.lone = potentials.named_by(point).map(|pin| (pin, hub.count)),
        }
        kept.push(joint);
    }
    kept
}

impl Joint {
    /// The points on both sides; the metal of the chassis is no side, for everything hangs on it.
    fn sides(&self, potentials: &Nearest<Potential>) -> impl Iterator<Item = PointId> + use<'_> {
        let is_domain = |point: &PointId| matches!(potentials.of(*point), Some(Potential::Domain(_)));
        let [own, other] = [self.domain.1, self.other.1].map(|point| Some(point).filter(is_domain));
        own.into_iter().chain(other)
    }
}

/// A place where joints meet.
#[derive(Debug)]
struct Hub {
    count: usize,
    /// Whether a pin that names the domain is here.
    is_named: bool,
    own: Own,
    /// Whether all else that leads away goes to one other potential.
    is_between_two: bool,
}

/// What leads from a place to others of the same potential.
#[derive(Debug, Clone, Copy)]
enum Own {
    Nothing,
    /// An edge, its point at the place and the other.
    One(EdgeId, PointId, PointId),
    More,
}

impl Hub {
    /// Whether the joints here are one fault: a place that hangs on its side by one conductor, or a pin that hangs on nothing.
    fn gathers(&self) -> bool {
        let hangs = matches!((self.is_named, self.own), (false, Own::One(..)) | (true, Own::Nothing));
        self.count > 1 && self.is_between_two && hangs
    }
}

fn hub(analysis: &Analysis, potentials: &Nearest<Potential>, places: &Components, point: PointId) -> Hub {
    let held = potentials.of(point);
    let place = places.of(point);
    let is_named = potentials.named_by(point).is_some_and(|pin| places.of(pin) == place);
    let mut hub = Hub { count: 0, is_named, own: Own::Nothing, is_between_two: true };
    let mut other = None;
    for member in places.members(place) {
        for (id, edge, outer) in analysis.network().around(*member) {
            if places.of(outer) == place || !is_galvanic(analysis.model(), edge) {
                continue;
            }
            let beyond = potentials.of(outer);
            if beyond == held {
                hub.own = if matches!(hub.own, Own::Nothing) { Own::One(id, *member, outer) } else { Own::More };
            } else {
                hub.is_between_two &= other.is_none_or(|other| other == beyond);
                other = Some(beyond);
            }
        }
    }
    hub
}

/// What joins both sides in words, where the builder edits it, and the name it goes by.
fn joined_by(analysis: &Analysis, joint: &Joint) -> (String, Span, String) {
    let (model, network) = (analysis.model(), analysis.network());
    let (edge, near, far) = joint.at;
    let fallback = model.point(far).map_or_else(Span::default, |point| point.span);
    let nothing = (String::new(), fallback, String::new());
    let Some(edge) = network.edge(edge) else { return nothing };
    match edge.kind {
        EdgeKind::Wire(id) => {
            let Some(wire) = model.wire(id) else { return nothing };
            // An orange wire belongs to class B and any other to the other side: its far end is what stands at the wrong place.
            let is_orange = wire.colour.is_some_and(|colour| colour.value.is_orange());
            let other_is_ground = !matches!(joint.other.0, Potential::Domain(_));
            let misplaced = if is_orange || other_is_ground { far } else { near };
            let span = if wire.from == Some(misplaced) { wire.from_span } else { wire.to_span };
            let name = model.wire_name(id);
            (format!("wire `{name}`"), span, name)
        }
        EdgeKind::Element(id, _) => {
            let name = model.element_name(id);
            (format!("`{name}`"), model.element(id).map_or(fallback, |element| element.value_span), name)
        }
        EdgeKind::Screen(id) => {
            let name = model
                .cable(id)
                .map_or_else(String::new, |cable| format!("{}.{}", model.loom_name(cable.loom), model.text(cable.name)));
            let span = model.cable(id).and_then(|cable| cable.screen.iter().flatten().find(|end| end.0 == far).copied());
            (format!("the screen of `{name}`"), span.map_or(fallback, |(_, span)| span), name)
        }
        EdgeKind::Contact(end) | EdgeKind::Joint(end) => {
            let name = model.end_name(end);
            (format!("`{name}`"), model.end(end).map_or(fallback, |end| end.mate_span.unwrap_or(end.span)), name)
        }
        EdgeKind::Chassis(device) => (format!("`{}`", model.device_name(device)), fallback, model.device_name(device).to_owned()),
    }
}

/// Adds both pins as labels, the way between them and the figures.
fn with_parties(analysis: &Analysis, potentials: &Nearest<Potential>, joint: &Joint, mut finding: Finding) -> Finding {
    let (model, network) = (analysis.model(), analysis.network());
    let pins = [joint.domain.1, joint.other.1].map(|point| potentials.named_by(point));
    for pin in pins.into_iter().flatten() {
        let span = pin_span(model, pin);
        if span != finding.primary.span {
            finding = finding.context(span, words_at(analysis, pin));
        }
    }
    if let [Some(start), Some(goal)] = pins {
        let mut steps = way(analysis, potentials, start, joint.domain.1);
        steps.push(Step { edge: joint.boundary, point: joint.other.1 });
        steps.extend(way(analysis, potentials, joint.other.1, goal));
        finding = finding.path(network.names(model, start, &steps));
    }
    if let Some(domain) = model.domain(joint.domain.0) {
        finding = finding.figure("domain", domain_figure(model, domain));
        if let Potential::Domain(other) = joint.other.0
            && let Some(other) = model.domain(other)
        {
            finding = finding.figure("joined to", domain_figure(model, other));
        }
        finding = finding.figure("voltage class A", class_figure(domain));
        if joint.resistance.get() > 0.0 {
            finding = finding.figure("resistors between", joint.resistance);
            finding = finding.figure("least isolation", isolation_of(domain));
        }
    }
    finding
}

/// Where a pin says its domain or role; else the pin.
fn pin_span(model: &Model, point: PointId) -> Span {
    let Some(item) = model.point(point) else { return Span::default() };
    let pin = item.pin.and_then(|pin| model.pin(pin));
    let role = pin.and_then(|pin| pin.role).filter(|role| matches!(role.value, Role::Earth | Role::Chassis));
    role.map(|role| role.span).or(pin.and_then(|pin| pin.domain).map(|(_, span)| span)).unwrap_or(item.span)
}

fn words_at(analysis: &Analysis, point: PointId) -> String {
    let model = analysis.model();
    let name = model.point_name(point);
    let pin = model.point(point).and_then(|item| item.pin).and_then(|pin| model.pin(pin));
    let role = pin.and_then(|pin| pin.role).map(|role| role.value);
    let domain = pin.and_then(|pin| pin.domain).and_then(|(domain, _)| model.domain(domain));
    match (role, domain) {
        (Some(Role::Earth), _) => format!("`{name}` is protective earth"),
        (Some(Role::Chassis), _) => format!("`{name}` is joined to the chassis"),
        (_, Some(domain)) => format!("`{name}` is of {}", domain_words(model, domain)),
        _ => format!("`{name}` is chassis"),
    }
}

/// The way between two points of one potential: over metal if there is one, else without resistors, else over all that joins.
fn way(analysis: &Analysis, potentials: &Nearest<Potential>, start: PointId, goal: PointId) -> Vec<Step> {
    let (model, network) = (analysis.model(), analysis.network());
    let held = [potentials.of(start), potentials.of(goal)];
    let within = |edge: &Edge| [edge.a, edge.b].iter().all(|point| held.contains(&potentials.of(*point)));
    let find =
        |passes: &dyn Fn(&Edge) -> bool| network.path(start, |point| point == goal, |_, edge| within(edge) && passes(edge));
    find(&|edge| edge.is_metal())
        .or_else(|| find(&|edge| is_galvanic(model, edge) && resistor(model, edge).is_none()))
        .or_else(|| find(&|edge| is_galvanic(model, edge)))
        .unwrap_or_default()
}

/// A finding at a pin that stands alone among conductors of the other side, or at what joins both sides.
pub(super) fn at_joint(
    analysis: &Analysis,
    potentials: &Nearest<Potential>,
    rule: &Rule,
    joint: &Joint,
    headline: impl FnOnce(&str) -> String,
) -> Finding {
    let model = analysis.model();
    let (what, span, name) = joined_by(analysis, joint);
    let finding = match joint.lone {
        Some((pin, count)) => {
            let name = model.point_name(pin);
            let headline = headline(&format!("{count} conductors at pin `{name}`"));
            rule.finding(pin_span(model, pin), headline).label("stands alone among conductors of the other side").concerns(name)
        }
        None => rule.finding(span, headline(&what)).label("joins both").concerns(name),
    };
    with_parties(analysis, potentials, joint, finding)
}
