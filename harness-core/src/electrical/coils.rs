//! What switches a coil, and what takes its voltage when it is switched off.
//!
//! Owns the question as far as it is one of who is joined to whom. A *side* of a coil is all that conductors and fuses join to one
//! of its points, past no switch. Cost: a few passes over edges and points.

use super::conductors::drop::load_kind;
use crate::{
    model::{ElementId, ElementKind, Model, Owner, PointId},
    network::{Components, Domains, EdgeId, EdgeRole, GroupId, Network},
    quantity::Ohm,
    standards::contact,
    vocabulary::{Demand, LoadKind, Role, Suppression},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// The coils of a design, in the order of their edges.
#[derive(Debug, Default)]
pub struct Coils(pub Vec<Coil>);

/// The coil of a relay, or a load of kind coil.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coil {
    /// Its element.
    pub element: ElementId,
    /// Its edge, from its positive side.
    pub edge: EdgeId,
    /// Its own suppression, where that is said.
    pub own: Option<Suppression>,
    /// What is across it.
    pub across: Across,
    /// What switches it.
    pub driver: Driver,
}

/// What is across a coil beside what is built into it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Across {
    /// Nothing.
    Nothing,
    /// A resistor, a capacitor, or a diode that blocks while the coil is fed.
    Suppressed,
    /// A diode that conducts while the coil is fed.
    Reversed(ElementId),
}

/// What switches a coil off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Driver {
    /// Nothing that the design says.
    Unknown,
    /// An output that clamps.
    Clamped,
    /// An output that does not.
    Pin(PointId),
    /// The contact of a switch or relay.
    Contact(ElementId),
}

/// Resistance over that of the winding up to which a resistor limits the voltage of a coil: ten times leaves a peak of ten times the
/// supply; common practice, no source.
const MOST_OF_WINDING: f64 = 10.0;

/// What may take the voltage of a coil.
#[derive(Debug, Clone, Copy)]
struct Suppressor {
    element: ElementId,
    owner: Owner,
    /// Blocks while the coil is fed.
    blocks: bool,
    /// Its resistance; `None` for a diode and a capacitor.
    ohms: Option<Ohm>,
}

fn is_device(owner: Owner) -> bool {
    match owner {
        Owner::Device(_) => true,
        Owner::Loom(_) => false,
    }
}

/// Resistance of the winding of a coil, as far as the design says it.
fn winding(model: &Model, coil: ElementId, domains: &Domains) -> Ohm {
    let said = match &model[coil].kind {
        ElementKind::Relay { resistance, .. } => resistance.map(|at| at.value),
        ElementKind::Load { demand, .. } => {
            let domain = model[coil].points.iter().find_map(|point| domains.of(*point));
            domain.map(|domain| model[domain].nominal).map(|nominal| match demand.value {
                Demand::Current(amps) => Ohm::new(nominal.get() / amps.get()),
                Demand::Power(watts) => Ohm::new(nominal.get() * nominal.get() / watts.get()),
            })
        }
        ElementKind::Source { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => None,
        ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => None,
        ElementKind::Link { .. } | ElementKind::Converter { .. } | ElementKind::Interlock { .. } => None,
    };
    said.filter(|ohm| *ohm > Ohm::ZERO).unwrap_or(contact::coil_resistance().value)
}

/// Finds all coils.
#[must_use]
pub fn coils(network: &Network, domains: &Domains) -> Coils {
    let model = network.model();
    let sides = network.components(|_, edge| edge.is_metal() || edge.role.is_fuse());
    let mut parts: FxHashMap<(GroupId, GroupId), Vec<Suppressor>> = FxHashMap::default();
    // Who has a coil of its own between two sides.
    let mut owners: FxHashSet<(GroupId, GroupId, Owner)> = FxHashSet::default();
    let mut drivers: FxHashMap<GroupId, Driver> = FxHashMap::default();
    let fixed = fixed(network, &sides);
    for (_, edge) in network.edges() {
        let Some(id) = edge.element() else { continue };
        let (a, b) = (sides.of(edge.a), sides.of(edge.b));
        match edge.role {
            EdgeRole::Resistor | EdgeRole::Capacitor => {
                let one = Suppressor { element: id, owner: model[id].owner, blocks: true, ohms: model[id].kind.resistance() };
                parts.entry((a, b)).or_default().push(one);
                parts.entry((b, a)).or_default().push(one);
            }
            EdgeRole::Diode => {
                let one = Suppressor { element: id, owner: model[id].owner, blocks: true, ohms: None };
                parts.entry((b, a)).or_default().push(one);
                parts.entry((a, b)).or_default().push(Suppressor { blocks: false, ..one });
            }
            EdgeRole::Switch { .. } | EdgeRole::MakeContact | EdgeRole::BreakContact => {
                for side in [a, b].into_iter().filter(|side| !fixed.contains(side)) {
                    drivers.entry(side).or_insert(Driver::Contact(id));
                }
            }
            EdgeRole::Coil | EdgeRole::Load => {
                if edge.role == EdgeRole::Coil || load_kind(&model[id].kind) == Some(LoadKind::Coil) {
                    owners.extend([(a, b, model[id].owner), (b, a, model[id].owner)]);
                }
            }
            EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Disconnect | EdgeRole::Interlock | EdgeRole::Shunt => {}
            EdgeRole::Source { .. } | EdgeRole::ConverterInput | EdgeRole::ConverterOutput { .. } => {}
        }
    }
    // An output decides over a contact, one that clamps over one that does not.
    for (id, point) in model.points() {
        let Some(pin) = point.pin.map(|pin| &model[pin]) else { continue };
        if pin.drive.is_none() && pin.role.is_none_or(|role| role.value != Role::Output) {
            continue;
        }
        let slot = drivers.entry(sides.of(id)).or_insert(Driver::Unknown);
        match slot {
            Driver::Clamped => {}
            _ if pin.clamped => *slot = Driver::Clamped,
            Driver::Pin(_) => {}
            Driver::Unknown | Driver::Contact(_) => *slot = Driver::Pin(id),
        }
    }
    let found = network.edges().filter_map(|(edge, item)| {
        let element = item.element()?;
        if !item.role.draws() {
            return None;
        }
        let own = match &model[element].kind {
            ElementKind::Relay { suppression, .. } => *suppression,
            ElementKind::Load { kind: Some(LoadKind::Coil), suppression, .. } => *suppression,
            ElementKind::Load { .. } | ElementKind::Converter { .. } => return None,
            ElementKind::Source { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => {
                return None;
            }
            ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => return None,
            ElementKind::Link { .. } | ElementKind::Interlock { .. } => return None,
        };
        let (a, b) = (sides.of(item.a), sides.of(item.b));
        let at = |side: GroupId| drivers.get(&side).copied().unwrap_or(Driver::Unknown);
        let driver = match (at(a), at(b)) {
            (Driver::Clamped, _) | (_, Driver::Clamped) => Driver::Clamped,
            (pin @ Driver::Pin(_), _) | (_, pin @ Driver::Pin(_)) => pin,
            (Driver::Unknown, other) | (other, _) => other,
        };
        let ohms = winding(model, element, domains);
        // A part in the box of another coil goes with that box.
        let counts = |part: &&Suppressor| {
            let owner = model[element].owner;
            let elsewhere = part.owner != owner && owners.contains(&(a, b, part.owner)) && is_device(part.owner);
            !elsewhere && part.ohms.is_none_or(|own| own.get() <= MOST_OF_WINDING * ohms.get())
        };
        let mut beside = parts.get(&(a, b)).into_iter().flatten().filter(counts);
        let across = match beside.clone().find(|part| part.blocks).or_else(|| beside.next()) {
            Some(part) if part.blocks => Across::Suppressed,
            Some(part) => Across::Reversed(part.element),
            None => Across::Nothing,
        };
        Some(Coil { element, edge, own, across, driver })
    });
    Coils(found.collect())
}

/// Sides that a source or a return holds: a contact there switches something else.
fn fixed(network: &Network, sides: &Components) -> FxHashSet<GroupId> {
    let model = network.model();
    let poles = network.edges().filter(|(_, edge)| edge.role.drives()).flat_map(|(_, edge)| [edge.a, edge.b]);
    let grounds = model.points().filter(|(_, point)| {
        let role = point.pin.and_then(|pin| model[pin].role).map(|role| role.value);
        matches!(role, Some(Role::Return | Role::Chassis | Role::Earth))
    });
    poles.chain(grounds.map(|(id, _)| id)).map(|point| sides.of(point)).collect()
}
