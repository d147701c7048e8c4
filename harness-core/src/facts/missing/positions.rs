//! Contacts of which nothing says when they are closed, or that they are never closed together.

use super::MissingFact;
use crate::{
    electrical::{ModeState, alternatives::Taken},
    facts::Facts,
    model::{ElementId, ModeSet, PointId},
    network::{Edge, EdgeId, EdgeRole},
    wording::{agree, commas, list, list_of_first, quoted},
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let mut found = unstated(facts);
    found.extend(by_modes_alone(facts));
    found.extend(never_moved(facts));
    found
}

/// Selectors of which nothing says in which position they are.
fn unstated(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let selectors = model.selectors().filter(|(_, selector)| selector.unstated != ModeSet::NONE);
    let one = |selector: &crate::model::Selector| {
        let name = format!("{}.{}", model.owner_name(selector.owner), model.text(selector.name));
        let modes = model.modes().filter(|(mode, item)| item.name.is_some() && selector.unstated.has(*mode));
        let modes: Vec<String> = modes.map(|(mode, _)| quoted(model.mode_name(mode))).collect();
        let during = if modes.is_empty() { String::new() } else { format!(" in {}", list(&modes)) };
        let missing = format!("the position of `{name}`{during} is not stated: its contacts are assumed open");
        let remedy = "state its position in each mode with `at`, or in all other modes with `rest`".to_owned();
        MissingFact::new(selector.span, missing, "position not stated", remedy, name)
    };
    selectors.map(|(_, selector)| one(selector)).collect()
}

/// Pairs of contacts that would short a source and of which only the modes say that they are never closed together; one note a source.
fn by_modes_alone(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let mut taken: Vec<&Taken> = facts.electrical().alternatives().taken().iter().filter(|taken| taken.by_modes).collect();
    taken.sort_by_key(|taken| taken.source);
    let groups = taken.chunk_by(|one, other| one.source == other.source);
    let one = |group: &[&Taken]| {
        let first = group.first()?;
        let elements: Vec<ElementId> = first.contacts.iter().filter_map(|edge| network[*edge].element()).collect();
        let names: Vec<String> = elements.iter().map(|element| quoted(model.element_name(*element))).collect();
        let more = match group.len() - 1 {
            0 => String::new(),
            1 => " (and 1 more such pair)".to_owned(),
            more => format!(" (and {more} more such pairs)"),
        };
        let unchecked = format!(
            "{}{more} are assumed never to be closed together, because no mode closes both: together they short `{}`",
            list(&names),
            model.element_name(first.source)
        );
        let short: Vec<&str> = elements.iter().map(|element| model.text(model[*element].name)).collect();
        let remedy = format!("state `exclusive: [{}]` if something prevents it; else fit an interlock", commas(&short));
        let element = *elements.first()?;
        let place = model[element].value_span;
        Some(MissingFact::new(place, unchecked, "not stated as exclusive", remedy, model.element_name(element)))
    };
    groups.filter_map(one).collect()
}

/// Contacts that are in one position in every mode, one note for all: the design was never judged with them in the other. Of those that are never
/// open, what isolates or protects is left out: opening it takes the supply from what is behind it, and that is all.
fn never_moved(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    if modes.len() < 2 || modes.len() < model.modes().len() {
        return Vec::new();
    }
    let (mut open, mut closed): (Vec<ElementId>, Vec<ElementId>) = (Vec::new(), Vec::new());
    for (id, edge) in network.edges().filter(|(_, edge)| is_moved(edge.role)) {
        let Some(element) = edge.element().filter(|element| model[*element].kind.throw().is_none()) else { continue };
        let count = modes.iter().filter(|mode| mode.conducts(id)).count();
        if count == 0 {
            open.push(element);
        } else if count == modes.len() && is_in_use(facts, id) {
            closed.push(element);
        }
    }
    let names = |of: &[ElementId]| -> String {
        let names: Vec<String> = of.iter().map(|element| quoted(model.element_name(*element))).collect();
        list_of_first(&names, 3, 0)
    };
    let (what, remedy) = match (open.is_empty(), closed.is_empty()) {
        (true, true) => return Vec::new(),
        (true, false) => (
            format!("{} open: {} closed in every mode", names(&closed), agree(closed.len(), "it is", "they are")),
            "name the modes in which it is open under `open-in`, or add a mode for it",
        ),
        (false, true) => (
            format!("{} closed: {} open in every mode", names(&open), agree(open.len(), "it is", "they are")),
            "name the modes in which it is closed under `closed-in`, or add a mode for it",
        ),
        (false, false) => (
            format!("{} closed, nor with {} open: no mode moves them", names(&open), names(&closed)),
            "name the modes in which each is closed under `closed-in`, or open under `open-in`, or add a mode for it",
        ),
    };
    let all: Vec<ElementId> = open.into_iter().chain(closed).collect();
    let Some(first) = all.first().copied() else { return Vec::new() };
    let mut note = MissingFact::new(
        model[first].value_span,
        format!("nothing was judged with {what}"),
        "never moves",
        remedy.to_owned(),
        model.element_name(first),
    );
    note.others = all.iter().skip(1).map(|id| (model[*id].value_span, model.element_name(*id))).collect();
    vec![note]
}

/// Whether a contact that is always closed is there to be switched in use: what it leads to works with the current, with no fuse between. A pole of a
/// residual-current device, a main switch before fuses, a switch of several poles in the mains and an isolator of a converter are not.
fn is_in_use(facts: &Facts, id: EdgeId) -> bool {
    let (model, network) = (facts.model(), facts.network());
    let edge = network[id];
    let Some(element) = edge.element() else { return false };
    let is_pole = model.residual.iter().any(|group| group.poles.iter().any(|(pole, _)| *pole == element));
    let is_mains = |point: PointId| facts.electrical().domains().of(point).is_some_and(|domain| model[domain].is_mains());
    let in_mains = |edge: &Edge| is_mains(edge.a) || is_mains(edge.b);
    let beside = |(other, at): (EdgeId, &Edge)| {
        let same = at.element().is_some_and(|other| model[other].owner == model[element].owner);
        other != id && same && in_mains(at) && (at.role.is_switched() || at.role.is_fuse())
    };
    if is_pole || in_mains(&edge) && network.edges().any(beside) {
        return false;
    }
    let feeds = |start: PointId, other: PointId| {
        let walk = network.walk([start], |by, edge| by != id && (edge.role.is_metal() || edge.role.is_switched()));
        let reached = walk.reached();
        let meets = |is: &dyn Fn(&Edge) -> bool| reached.iter().any(|point| network.around(*point).any(|(_, edge, _)| is(edge)));
        let works = meets(&|edge| matches!(edge.role, EdgeRole::Load | EdgeRole::Coil | EdgeRole::Resistor));
        works && !reached.contains(&other) && !meets(&|edge| edge.role.is_fuse() || edge.role.drives())
    };
    feeds(edge.a, edge.b) || feeds(edge.b, edge.a)
}

/// A contact that somebody or something moves in use. A service disconnect is pulled with nothing running, and the resting contact of a
/// relay follows the other.
const fn is_moved(role: EdgeRole) -> bool {
    use EdgeRole::{
        BreakContact, Capacitor, Coil, ConverterInput, ConverterOutput, Diode, Disconnect, Fuse, Interlock, Load, MakeContact,
        Metal, Resistor, Shunt, Source, Switch,
    };
    match role {
        Switch { .. } | MakeContact => true,
        Metal(_) | Fuse | Disconnect | Interlock | BreakContact | Coil | Source { .. } | ConverterInput => false,
        ConverterOutput { .. } | Load | Resistor | Shunt | Capacitor | Diode => false,
    }
}
