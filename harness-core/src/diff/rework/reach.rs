//! What is joined by metal, and what of it is of voltage class B: asked of the network of the design.
//!
//! A wire counts as class B by the domain of any pin that it leads to, and by its colour: orange is kept for class B (ISO 6469-3, from
//! memory). Who takes too much for class B loses time, who takes too little loses more.

use super::bench_state::{BenchState, owner, word};
use crate::{
    design::Design,
    diff::{Item, Key, Kind},
    format::Attribute,
    model::{ElementKind, PointId, PointKind},
    network::{Components, EdgeKind, GroupId},
    standards::voltage::{VoltageClass, class},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeSet;

/// What is joined and what is of class B.
#[derive(Debug)]
pub(super) struct Reach {
    /// The points of looms by their names.
    points: FxHashMap<String, PointId>,
    /// Joined within looms, nothing mated.
    looms: Components,
    /// Joined with all ends mated.
    all: Components,
    /// The ends of each group of a loom.
    ends: FxHashMap<GroupId, BTreeSet<Key>>,
    /// The groups of all that are of class B.
    high: FxHashSet<GroupId>,
    high_sources: FxHashSet<Key>,
    /// Devices in which something is of class B, by name.
    high_boxes: FxHashSet<String>,
    /// Every domain that the design states is of class A, and it states one.
    states_class_a: bool,
}

impl Reach {
    pub(super) fn of(design: &Design) -> Self {
        let (model, network) = (design.model(), design.network());
        let looms = network.components(|_, edge| matches!(edge.kind, EdgeKind::Wire(_)));
        let all =
            network.components(|_, edge| matches!(edge.kind, EdgeKind::Wire(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_)));
        let mut reach = Self {
            points: FxHashMap::default(),
            looms,
            all,
            ends: FxHashMap::default(),
            high: FxHashSet::default(),
            high_sources: FxHashSet::default(),
            high_boxes: FxHashSet::default(),
            states_class_a: model.domains().len() > 0 && model.domains().all(|(_, domain)| !domain.is_class_b()),
        };
        let mut high_devices = FxHashSet::default();
        for (id, point) in model.points() {
            match point.kind {
                PointKind::Cavity(end) | PointKind::Ring(end) => {
                    reach.points.insert(model.point_name(id), id);
                    // A cavity without a wire is a group of its own.
                    let key = Key::new(Kind::End, model.end_name(end));
                    reach.ends.entry(reach.looms.of(id)).or_default().insert(key);
                }
                PointKind::Splice(_) => {
                    reach.points.insert(model.point_name(id), id);
                }
                PointKind::Pin(port) | PointKind::Stud(port) => {
                    let domain = point.pin.and_then(|pin| model[pin].domain);
                    if domain.is_some_and(|(domain, _)| model[domain].is_class_b()) {
                        reach.high.insert(reach.all.of(id));
                        high_devices.insert(model[port].device);
                    }
                }
                PointKind::Node(_) => {}
            }
        }
        // A pin without a domain is of class B by what it is joined to.
        for (id, point) in model.points() {
            if let PointKind::Pin(port) | PointKind::Stud(port) = point.kind
                && reach.high.contains(&reach.all.of(id))
            {
                high_devices.insert(model[port].device);
            }
        }
        reach.high_boxes = high_devices.iter().map(|device| model.device_name(*device).to_owned()).collect();
        for (id, element) in model.elements() {
            let ElementKind::Source { emf, .. } = element.kind else { continue };
            let by_device = match element.owner {
                crate::model::Owner::Device(device) => high_devices.contains(&device),
                crate::model::Owner::Loom(_) => false,
            };
            if by_device || class(emf, false) == VoltageClass::B {
                reach.high_sources.insert(Key::new(Kind::Element, model.element_name(id)));
            }
        }
        reach
    }

    fn point(&self, at: &Item) -> Option<PointId> {
        self.points.get(word(at).as_str()).copied()
    }

    /// Whether a source is of class B, by itself or by what is in its box.
    pub(super) fn is_high_source(&self, key: &Key) -> bool {
        self.high_sources.contains(key)
    }

    /// Whether a thing is a device with class B in it, or in such a device.
    pub(super) fn is_in_high_box(&self, key: &Key) -> bool {
        let device = match key.kind {
            Kind::Device => Some(key.path.as_str()),
            Kind::Element | Kind::Port => owner(key),
            _ => None,
        };
        device.is_some_and(|device| self.high_boxes.contains(device))
    }

    /// Whether a design is known to have nothing of class B: it says so by its domains, and neither a source nor an orange wire says
    /// otherwise.
    pub(super) fn is_low(&self, built: &BenchState) -> bool {
        self.states_class_a && self.high_sources.is_empty() && !built.leads.keys().any(|key| self.is_high(built, key))
    }

    /// Whether a wire or cable is of class B.
    pub(super) fn is_high(&self, built: &BenchState, key: &Key) -> bool {
        let Some(lead) = built.leads.get(key) else { return false };
        let orange = lead.fact(Attribute::Colour).is_some_and(|colour| colour.items.iter().any(|item| word(item) == "OG"));
        orange || lead.places.iter().any(|at| self.point(at).is_some_and(|point| self.high.contains(&self.all.of(point))))
    }

    /// The ends that a place leads to within its loom.
    pub(super) fn ends(&self, at: &Item) -> impl Iterator<Item = &Key> {
        self.point(at).and_then(|point| self.ends.get(&self.looms.of(point))).into_iter().flatten()
    }

    /// Whether two places are one piece of metal while nothing is mated.
    pub(super) fn are_joined(&self, one: &Item, other: &Item) -> bool {
        let group = |at| self.point(at).map(|point| self.looms.of(point));
        group(one).is_some_and(|found| group(other) == Some(found))
    }
}

/// The point of the other half that a place meets.
pub(super) fn mated(built: &BenchState, place: &Item) -> Option<Item> {
    let Item::Thing(end, cavity) = place else { return None };
    match built.mate(end)? {
        Item::Thing(mate, _) if [Attribute::BoltsTo, Attribute::LandsOn].iter().any(|fact| built.fact(end, *fact).is_some()) => {
            Some(Item::Thing(mate.clone(), String::new()))
        }
        Item::Thing(mate, _) => Some(Item::Thing(mate.clone(), cavity.clone())),
        Item::Word(_) => None,
    }
}
