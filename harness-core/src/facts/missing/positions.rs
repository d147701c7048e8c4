//! Contacts of which nothing says when they are closed, or that they are never closed together.

use super::MissingFact;
use crate::{
    electrical::{ModeState, alternatives::Taken},
    facts::Facts,
    model::{ElementId, ModeSet},
    network::EdgeRole,
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

/// Contacts that are in one position in every mode, one note for each position: the design was never judged with them in the other.
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
        } else if count == modes.len() {
            closed.push(element);
        }
    }
    let note = |elements: Vec<ElementId>, is: &str, not: &str, remedy: &str| {
        let first = *elements.first()?;
        let names: Vec<String> = elements.iter().map(|element| quoted(model.element_name(*element))).collect();
        let mut note = MissingFact::new(
            model[first].value_span,
            format!(
                "nothing was judged with {} {not}: {} {is} in every mode",
                list_of_first(&names, 3, 0),
                agree(names.len(), "it is", "they are")
            ),
            "never moves",
            remedy.to_owned(),
            model.element_name(first),
        );
        note.others = elements.iter().skip(1).map(|id| (model[*id].value_span, model.element_name(*id))).collect();
        Some(note)
    };
    let notes = [
        note(open, "open", "closed", "name the modes in which it is closed under `closed-in`, or add a mode for it"),
        note(closed, "closed", "open", "name the modes in which it is open under `open-in`, or add a mode for it"),
    ];
    notes.into_iter().flatten().collect()
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
