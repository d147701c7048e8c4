//! Contacts of which nothing says when they are closed, or that they are never closed together.

use super::MissingFact;
use crate::{
    electrical::{ModeState, alternatives::Taken},
    facts::Facts,
    model::{ElementId, ModeSet, Owner},
    network::{Edge, EdgeId, EdgeRole, NetId},
    wording::{agree, commas, list, list_of_first, quoted},
};
use rustc_hash::{FxHashMap, FxHashSet};

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

/// Contacts that are in one position in every mode, one note for all: the design was never judged with them in the other. Of those of the mains
/// that are never open, what isolates or protects is left out: opening it takes the supply from what is behind it, and that is all.
fn never_moved(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    if modes.len() < 2 || modes.len() < model.modes().len() {
        return Vec::new();
    }
    let (mut open, mut closed): (Vec<ElementId>, Vec<ElementId>) = (Vec::new(), Vec::new());
    let mut uses: Option<Uses<'_>> = None;
    for (id, edge) in network.edges().filter(|(_, edge)| is_moved(edge.role)) {
        let Some(element) = edge.element().filter(|element| model[*element].kind.throw().is_none()) else { continue };
        let count = modes.iter().filter(|mode| mode.conducts(id)).count();
        if count == 0 {
            open.push(element);
        } else if count == modes.len() && uses.get_or_insert_with(|| Uses::new(facts)).is_in_use(id) {
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

/// By what a contact that is switched in use differs from one that isolates or protects. Made once: a pass over the edges.
struct Uses<'f> {
    facts: &'f Facts,
    /// Nets at which something works with the current.
    works: FxHashSet<NetId>,
    /// Nets at a fuse or at a source: what is before them isolates.
    ends: FxHashSet<NetId>,
    contacts: FxHashMap<NetId, Vec<(EdgeId, NetId)>>,
    /// How many contacts and fuses each box has in the mains.
    in_mains: FxHashMap<Owner, usize>,
}

impl<'f> Uses<'f> {
    fn new(facts: &'f Facts) -> Self {
        let (model, network) = (facts.model(), facts.network());
        let mut uses = Self {
            facts,
            works: FxHashSet::default(),
            ends: FxHashSet::default(),
            contacts: FxHashMap::default(),
            in_mains: FxHashMap::default(),
        };
        for (id, edge) in network.edges().filter(|(_, edge)| !edge.role.is_metal()) {
            let nets = [edge.a, edge.b].map(|point| network.net(point));
            if edge.role.drains() && edge.role != EdgeRole::ConverterInput {
                uses.works.extend(nets);
            }
            if edge.role.is_fuse() || edge.role.drives() {
                uses.ends.extend(nets);
            }
            if edge.role.is_switched() {
                let [one, other] = nets;
                uses.contacts.entry(one).or_default().push((id, other));
                uses.contacts.entry(other).or_default().push((id, one));
            }
            if (edge.role.is_switched() || edge.role.is_fuse())
                && uses.is_mains(edge)
                && let Some(element) = edge.element()
            {
                *uses.in_mains.entry(model[element].owner).or_default() += 1;
            }
        }
        uses
    }

    fn is_mains(&self, edge: &Edge) -> bool {
        let (model, domains) = (self.facts.model(), self.facts.electrical().domains());
        [edge.a, edge.b].iter().any(|point| domains.of(*point).is_some_and(|domain| model[domain].is_mains()))
    }

    /// Whether a contact that is always closed is there to be switched in use: what it leads to works with the current, with no fuse between. A pole of a
    /// residual-current device, a main switch before fuses, a switch of several poles in the mains and an isolator of a converter are not.
    fn is_in_use(&self, id: EdgeId) -> bool {
        let (model, network) = (self.facts.model(), self.facts.network());
        let edge = network[id];
        let Some(element) = edge.element() else { return false };
        let is_pole = model.residual.iter().any(|group| group.poles.iter().any(|(pole, _)| *pole == element));
        let is_of_several = self.in_mains.get(&model[element].owner).is_some_and(|poles| *poles > 1);
        if is_pole || self.is_mains(&edge) && is_of_several {
            return false;
        }
        // A key or a battery switch that no mode opens was forgotten in the modes.
        if !self.is_mains(&edge) {
            return true;
        }
        let [one, other] = [edge.a, edge.b].map(|point| network.net(point));
        self.feeds(id, one, other) || self.feeds(id, other, one)
    }

    /// Whether a side of a contact leads, over further contacts, to what works with the current and to no fuse, source or the other side.
    fn feeds(&self, id: EdgeId, side: NetId, other: NetId) -> bool {
        let mut reached = vec![side];
        let mut works = false;
        let mut next = 0;
        while let Some(net) = reached.get(next).copied() {
            next += 1;
            if net == other || self.ends.contains(&net) {
                return false;
            }
            works |= self.works.contains(&net);
            for (by, to) in self.contacts.get(&net).into_iter().flatten() {
                if *by != id && !reached.contains(to) {
                    reached.push(*to);
                }
            }
        }
        works
    }
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
