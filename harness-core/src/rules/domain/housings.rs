//! Mated connectors as one thing each: both halves with the contacts that are used.

use crate::{
    model::{EndKind, Housing, Mate, Model, PointId, PortId, PortKind},
    network::{Nearest, Potential},
    text::{Name, Span},
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

/// One half of a connector.
#[derive(Debug, Clone)]
pub(super) struct Half<'m> {
    /// `front.P4` or `pump.J1`.
    pub(super) name: String,
    /// Where its housing is named.
    pub(super) span: Span,
    /// Its kind, if the design says one.
    pub(super) housing: Option<&'m Housing>,
    points: crate::model::PointRange,
}

/// A loom's connector with what it mates, or a device's connector that nothing mates. The loom's half is the first.
#[derive(Debug, Clone)]
pub(super) struct Connector<'m> {
    /// One or two halves.
    pub(super) halves: Vec<Half<'m>>,
}

/// A contact in use, or of which the device says what it needs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Contact {
    /// Its label.
    pub(super) label: Name,
    /// Its point on one of the halves.
    pub(super) point: PointId,
    /// What it is held at.
    pub(super) held: Potential,
}

/// All connectors, those with an end of a loom first.
pub(super) fn connectors(model: &Model) -> Vec<Connector<'_>> {
    let mut found = Vec::new();
    let mut ports_done = vec![false; model.ports().len()];
    let mut ends_done = vec![false; model.ends().len()];
    for (id, end) in model.ends() {
        if !matches!(end.kind, EndKind::Connector(_)) || ends_done.get(id.index()).copied().unwrap_or(true) {
            continue;
        }
        let mut halves = Vec::from_iter(end_half(model, id));
        match end.mate {
            Some(Mate::Port(port)) => {
                if let Some(done @ false) = ports_done.get_mut(port.index()) {
                    *done = true;
                    halves.extend(port_half(model, port));
                }
            }
            Some(Mate::End(other)) => {
                // The other end is left out later on; one that came first already stands as a connector of its own.
                if let Some(done @ false) = ends_done.get_mut(other.index()) {
                    *done = other != id;
                    halves.extend((other != id).then(|| end_half(model, other)).flatten());
                }
            }
            None => {}
        }
        if let Some(done) = ends_done.get_mut(id.index()) {
            *done = true;
        }
        found.push(Connector { halves });
    }
    let unmated = model.ports().filter(|(id, _)| !ports_done.get(id.index()).copied().unwrap_or(true));
    found.extend(unmated.filter_map(|(id, _)| port_half(model, id)).map(|half| Connector { halves: vec![half] }));
    found
}

fn end_half(model: &Model, id: crate::model::EndId) -> Option<Half<'_>> {
    let end = model.end(id)?;
    let EndKind::Connector(housing) = end.kind else { return None };
    let housing = housing.and_then(|housing| model.housing(housing));
    Some(Half { name: model.end_name(id), span: end.housing_span, housing, points: end.points })
}

fn port_half(model: &Model, id: PortId) -> Option<Half<'_>> {
    let port = model.port(id)?;
    let PortKind::Connector(housing) = port.kind else { return None };
    let housing = housing.and_then(|housing| model.housing(housing));
    Some(Half { name: model.port_name(id), span: port.housing_span, housing, points: port.points })
}

impl Connector<'_> {
    /// Its contacts whose potential is known, in the order of the labels, the device's half first: a pin that is live is a
    /// contact even where no wire reaches it.
    pub(super) fn contacts(&self, model: &Model, potentials: &Nearest<Potential>) -> Vec<Contact> {
        let mut seen: FxHashSet<Name> = FxHashSet::default();
        let mut contacts = Vec::new();
        for point in self.halves.iter().rev().flat_map(|half| half.points.iter()) {
            if let (Some(item), Some(held)) = (model.point(point), potentials.of(point))
                && seen.insert(item.label)
            {
                contacts.push(Contact { label: item.label, point, held });
            }
        }
        contacts
    }

    /// Whether a contact is an interlock contact of either half.
    pub(super) fn is_interlock(&self, label: Name) -> bool {
        self.halves.iter().filter_map(|half| half.housing).any(|housing| housing.interlock.contains(&label))
    }
}

/// Whether a contact is that of a screen.
pub(super) fn is_screen(model: &Model, contact: &Contact) -> bool {
    let pin = model.point(contact.point).and_then(|point| point.pin).and_then(|pin| model.pin(pin));
    pin.and_then(|pin| pin.role).is_some_and(|role| role.value == Role::Screen)
}

/// Labels in words: `` `1` and `2` ``, the first few of many.
pub(super) fn labels(model: &Model, contacts: &[&Contact]) -> String {
    listed(contacts.iter().map(|contact| model.text(contact.label)))
}

/// Names in words: `` `1`, `2` and `A` ``, with how many more there are beyond six.
pub(super) fn listed<'n>(names: impl ExactSizeIterator<Item = &'n str>) -> String {
    const MOST: usize = 6;
    let count = names.len();
    let mut shown: Vec<String> = names.take(if count > MOST { MOST - 1 } else { MOST }).map(|name| format!("`{name}`")).collect();
    if count > MOST {
        shown.push(format!("{} more", count - shown.len()));
    }
    match shown.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => shown.concat(),
    }
}
