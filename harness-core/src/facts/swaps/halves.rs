//! Connectors as what can be put into each other's place: their two halves, what decides whether halves join, and where they are.
//!
//! A half without `key` in a family is taken to join every key of it: nothing that is written keeps it out. Where a connector is is said by the
//! zones of the plug and of what it mates; a connector without a zone is taken to reach all. How far it can be led is in `reach`.

use crate::{
    facts::Facts,
    model::{EndId, EndKind, HousingId, Mate, Model, PointId, PortKind, SegmentId, ZoneId},
    text::Name,
    vocabulary::Contacts,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// What ties a plug to its loom.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct Tie {
    /// Where it hangs.
    pub(super) segment: SegmentId,
    /// Free length, in mm.
    pub(super) free: u64,
}

impl Tie {
    /// The tie of an end; `None` where the design does not say both where it hangs and how far it goes.
    pub(super) fn of(model: &Model, end: EndId) -> Option<Self> {
        let end = &model[end];
        Some(Self { segment: end.at?, free: (end.reach?.value.get() * 1000.0).round() as u64 })
    }
}

/// The number of a connector.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PlugId(pub(super) u32);

impl PlugId {
    /// Its place among all connectors of the design.
    #[must_use]
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// What halves must have in common to join: the family and the labels of the positions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FitId(pub(super) u32);

/// One half of a connector.
#[derive(Debug, Clone)]
pub struct Half {
    /// The end or port.
    pub at: Mate,
    /// Its housing.
    pub housing: HousingId,
    /// Its points, in the order of the labels that all halves of one fit share.
    pub points: Vec<PointId>,
    /// Its key.
    pub key: Option<Name>,
}

/// A connector: a mated pair, or a half that nothing mates.
#[derive(Debug, Clone)]
pub struct Plug {
    /// Family and positions.
    pub fit: FitId,
    /// The half with sockets.
    pub socket: Option<Half>,
    /// The half with pins.
    pub pin: Option<Half>,
    /// The ends that are unmated when it is open.
    pub ends: Vec<EndId>,
    /// Where it is; none where nothing says it.
    pub zones: Vec<ZoneId>,
    /// How far each of its looms lets it go.
    pub(super) ties: Vec<Option<Tie>>,
}

impl Plug {
    /// Its halves, that with sockets first.
    pub fn halves(&self) -> impl Iterator<Item = &Half> {
        self.socket.iter().chain(&self.pin)
    }

    /// The loom's half, that with sockets first: what is in the hand of who mates it.
    #[must_use]
    pub fn own(&self) -> Option<&Half> {
        self.halves().find(|half| matches!(half.at, Mate::End(_))).or_else(|| self.halves().next())
    }
}

/// Whether two halves join as far as their keys decide it.
#[must_use]
pub fn keys_join(one: Option<Name>, other: Option<Name>) -> bool {
    one.is_none() || other.is_none() || one == other
}

/// The connectors of a design.
#[derive(Debug, Default)]
pub(super) struct Plugs {
    pub all: Vec<Plug>,
    /// Connectors of one fit.
    pub by_fit: Vec<Vec<PlugId>>,
    /// Halves that can't be compared: no housing is named, or its family or positions are not known.
    pub unknown: Vec<Mate>,
}

pub(super) fn plugs(facts: &Facts) -> Plugs {
    let model = facts.model();
    let mut plugs = Plugs::default();
    let mut fits: FxHashMap<(Name, Vec<Name>), FitId> = FxHashMap::default();
    for connector in connectors(facts) {
        let is_fitted = connector.iter().all(|half| match half {
            Mate::Port(port) => model[model[*port].device].fitted,
            Mate::End(end) => model[model[*end].loom].fitted,
        });
        if !is_fitted {
            continue;
        }
        let mut found: Vec<(FitId, Contacts, Half)> = Vec::new();
        for half in &connector {
            let Some((key, contacts, half)) = housing(model, *half).and_then(|housing| known(model, *half, housing)) else {
                plugs.unknown.push(*half);
                continue;
            };
            let next = FitId(fits.len() as u32);
            found.push((*fits.entry(key).or_insert(next), contacts, half));
        }
        let end = |half: &Mate| match half {
            Mate::End(end) => Some(*end),
            Mate::Port(_) => None,
        };
        let ends: Vec<EndId> = connector.iter().filter_map(end).collect();
        let zones = zones(model, connector.iter().copied());
        let ties: Vec<Option<Tie>> = ends.iter().map(|end| Tie::of(model, *end)).collect();
        let alone = |fit| Plug { fit, socket: None, pin: None, ends: ends.clone(), zones: zones.clone(), ties: ties.clone() };
        // Halves of two families, or two with the same contacts, do not mate: then each is by itself.
        let is_pair = matches!(found.as_slice(), [(one, own, _), (other, its, _)] if one == other && own != its);
        if is_pair {
            let mut plug: Option<Plug> = None;
            for (fit, contacts, half) in found {
                plug.get_or_insert_with(|| alone(fit)).put(contacts, half);
            }
            plugs.all.extend(plug);
        } else {
            for (fit, contacts, half) in found {
                let mut plug = alone(fit);
                plug.put(contacts, half);
                plugs.all.push(plug);
            }
        }
    }
    plugs.by_fit = vec![Vec::new(); fits.len()];
    for (index, plug) in plugs.all.iter().enumerate() {
        if let Some(of) = plugs.by_fit.get_mut(plug.fit.0 as usize) {
            of.push(PlugId(index as u32));
        }
    }
    plugs
}

impl Plug {
    fn put(&mut self, contacts: Contacts, half: Half) {
        match contacts {
            Contacts::Socket => self.socket = Some(half),
            Contacts::Pin => self.pin = Some(half),
        }
    }
}

/// The halves of each connector: what is mated with what, whichever of the two says so, and what nothing mates; in the order of the design.
fn connectors(facts: &Facts) -> Vec<Vec<Mate>> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let is_connector = |half: Mate| match half {
        Mate::Port(port) => matches!(model[port].kind, PortKind::Connector(_)),
        Mate::End(end) => matches!(model[end].kind, EndKind::Connector(_)),
    };
    let mut done: FxHashSet<Mate> = FxHashSet::default();
    let mut found = Vec::new();
    let halves = model.ends().map(|(id, _)| Mate::End(id)).chain(model.ports().map(|(id, _)| Mate::Port(id)));
    for half in halves.filter(|half| is_connector(*half)) {
        if !done.insert(half) {
            continue;
        }
        let partner = match half {
            Mate::End(end) => ends.partner(end),
            Mate::Port(_) => None,
        };
        // What two ends mate is the first one's; the other is taken to mate nothing.
        found.push([half].into_iter().chain(partner.filter(|partner| is_connector(*partner) && done.insert(*partner))).collect());
    }
    found
}

fn housing(model: &Model, half: Mate) -> Option<HousingId> {
    match half {
        Mate::Port(port) => model[port].housing(),
        Mate::End(end) => match model[end].kind {
            EndKind::Connector(housing) => housing,
            EndKind::Ring(_) | EndKind::Bare => None,
        },
    }
}

/// The family with the labels, the contacts, and the half; `None` where its housing does not say them.
fn known(model: &Model, at: Mate, id: HousingId) -> Option<((Name, Vec<Name>), Contacts, Half)> {
    let housing = &model[id];
    let (family, contacts) = (housing.family?.value, housing.contacts?.value);
    let range = match at {
        Mate::Port(port) => model[port].points,
        Mate::End(end) => model[end].points,
    };
    // As the mate calls its positions: halves of one family may number them by two schemes.
    let label = |point: PointId| match at {
        Mate::End(end) => model.met_label(&model[end], None, point),
        Mate::Port(_) => model[point].label,
    };
    let points: Option<Vec<PointId>> = housing.index.iter().map(|(_, position)| range.get(*position as usize)).collect();
    let mut points = points.filter(|points| !points.is_empty())?;
    // By what is written: the numbers of names are in the order of the text.
    let written = |point: PointId| {
        let label = model.text(label(point));
        (label.len(), label)
    };
    points.sort_by(|one, other| written(*one).cmp(&written(*other)));
    let labels = points.iter().map(|point| label(*point)).collect();
    let half = Half { at, housing: id, points, key: housing.key.map(|key| key.value) };
    Some(((family, labels), contacts, half))
}

/// Where a connector is: the zones of its ports, and of its ends where they have one that is not just that of their loom.
fn zones(model: &Model, halves: impl Iterator<Item = Mate> + Clone) -> Vec<ZoneId> {
    let is_at_device = halves.clone().any(|half| matches!(half, Mate::Port(port) if model[port].zone.is_some()));
    let mut zones: Vec<ZoneId> = halves
        .filter_map(|half| match half {
            Mate::Port(port) => model[port].zone,
            Mate::End(end) => {
                let end = &model[end];
                // The zone of a loom says where most of it runs; that of the port says where the plug is.
                end.zone.filter(|zone| !is_at_device || model[end.loom].zone != Some(*zone))
            }
        })
        .collect();
    zones.sort_unstable();
    zones.dedup();
    zones
}
