//! Mated connectors as one thing each: both halves with the contacts that are used.

use super::Facts;
use crate::{
    model::{EndKind, HousingId, Mate, Model, PointId, PointRange, PortKind},
    network::Potential,
    text::{Name, Span},
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

/// One half of a connector.
#[derive(Debug, Clone, Copy)]
pub struct ConnectorHalf {
    /// The end or port.
    pub at: Mate,
    /// Where its housing is named.
    pub place: Span,
    /// Its housing, if the design says one.
    pub housing: Option<HousingId>,
    points: PointRange,
}

/// A loom's connector with what it mates, or a device's connector that nothing mates.
#[derive(Debug, Clone)]
pub struct Connector {
    /// The loom's half; the device's where nothing mates it.
    pub own: ConnectorHalf,
    /// What it mates.
    pub partner: Option<ConnectorHalf>,
    /// Its contacts whose potential is known, in the order of the labels, the device's half first: a pin that is live is a contact
    /// even where no wire reaches it.
    pub contacts: Vec<Contact>,
}

/// A contact in use, or of which the device says what it needs.
#[derive(Debug, Clone, Copy)]
pub struct Contact {
    /// Its label.
    pub label: Name,
    /// Its point on one of the halves.
    pub point: PointId,
    /// What it is held at.
    pub held: Potential,
    /// The housing of either half says that it belongs to the interlock loop.
    pub is_interlock: bool,
    /// Its pin is that of a screen.
    pub is_screen: bool,
}

impl Connector {
    /// Both halves, the loom's first.
    pub fn halves(&self) -> impl Iterator<Item = &ConnectorHalf> + Clone {
        std::iter::once(&self.own).chain(&self.partner)
    }
}

impl Facts {
    /// All connectors, those with an end of a loom first.
    ///
    /// Cost: one pass over ends, ports and their points. Asked by `domain/shared-housing` and `domain/under-rated-insulation`.
    #[must_use]
    pub fn connectors(&self) -> &[Connector] {
        self.made.connectors.get_or_init(|| connectors(self))
    }
}

fn connectors(facts: &Facts) -> Vec<Connector> {
    let model = facts.model();
    let mut halves: Vec<(ConnectorHalf, Option<ConnectorHalf>)> = Vec::new();
    let mut done: FxHashSet<Mate> = FxHashSet::default();
    for (id, _) in model.ends() {
        let own = Mate::End(id);
        let Some(half) = half(model, own).filter(|_| !done.contains(&own)) else { continue };
        // A port that two ends mate belongs to the first of them; so does an end, but one that came before is by itself.
        let partner = model[id].mate.filter(|mate| *mate != own && done.insert(*mate));
        done.insert(own);
        halves.push((half, partner.and_then(|mate| self::half(model, mate))));
    }
    let unmated = model.ports().map(|(id, _)| Mate::Port(id)).filter(|port| !done.contains(port));
    halves.extend(unmated.filter_map(|port| half(model, port)).map(|half| (half, None)));
    let whole = halves.into_iter().map(|(own, partner)| {
        let contacts = contacts(facts, &own, partner.as_ref());
        Connector { own, partner, contacts }
    });
    whole.collect()
}

/// The connector at a port or end; `None` for studs and rings.
fn half(model: &Model, at: Mate) -> Option<ConnectorHalf> {
    match at {
        Mate::Port(port) => {
            let port = &model[port];
            let PortKind::Connector(housing) = port.kind else { return None };
            Some(ConnectorHalf { at, place: port.housing_span, housing, points: port.points })
        }
        Mate::End(end) => {
            let end = &model[end];
            let EndKind::Connector(housing) = end.kind else { return None };
            Some(ConnectorHalf { at, place: end.housing_span, housing, points: end.points })
        }
    }
}

fn contacts(facts: &Facts, own: &ConnectorHalf, partner: Option<&ConnectorHalf>) -> Vec<Contact> {
    let (model, potentials) = (facts.model(), facts.potentials());
    let housings = [Some(own), partner].into_iter().flatten().filter_map(|half| half.housing);
    let interlock: Vec<Name> = housings.flat_map(|housing| &model[housing].interlock).copied().collect();
    let mut seen: FxHashSet<Name> = FxHashSet::default();
    let mut contacts = Vec::new();
    for point in partner.into_iter().chain([own]).flat_map(|half| half.points.iter()) {
        let (item, Some(held)) = (&model[point], potentials.of(point)) else { continue };
        if seen.insert(item.label) {
            let role = item.pin.and_then(|pin| model[pin].role);
            contacts.push(Contact {
                label: item.label,
                point,
                held,
                is_interlock: interlock.contains(&item.label),
                is_screen: role.is_some_and(|role| role.value == Role::Screen),
            });
        }
    }
    contacts
}
