//! How the cases of boxes with voltage class B, and the protective earths that come with their supply, reach the chassis.
//!
//! A box counts if one of its pins or studs belongs to a domain of class B. Its earth points are its pins and studs of role `earth` or
//! `chassis`; a conductive case joins them, an insulating one does not. A way is plain metal: wires, contacts, rings, bars, the chassis,
//! and a screen whose cross-section is given. Of several ways the one counts on which the thinnest conductor is thickest.
//!
//! Cost: a pass over the edges, and for each earth point two walks over the metal that it is joined to.

use super::Facts;
use crate::{
    model::{DeviceId, DomainId, ElementKind, Model, Owner, PointId, PointKind, WireId},
    network::{Edge, EdgeKind, EdgeRole, NetId, Network, Step},
    quantity::{Ohm, SquareMillimetre},
    vocabulary::{Case, Role},
};
use rustc_hash::FxHashSet;

mod isolators;
mod reach;

use reach::Reach;

impl Facts {
    /// The bonds of all boxes with voltage class B, in the order of the devices.
    ///
    /// Asked by `domain/missing-bond`, `domain/chained-bond`, `domain/thin-bonding` and for the missing facts.
    #[must_use]
    pub fn bonds(&self) -> &Bonds {
        self.made.bonds.get_or_init(|| bonds(self))
    }
}

/// The bonds of a design.
#[derive(Debug, Default)]
pub struct Bonds {
    /// The boxes.
    pub boxes: Vec<BondedBox>,
    /// What bonds lead to.
    pub goal: Goal,
}

/// What the bonds of a design lead to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Goal {
    /// Nothing that the design has.
    #[default]
    Nothing,
    /// The chassis.
    Chassis,
    /// The earth of a mains supply, where there is no chassis.
    MainsEarth,
}

/// A box with voltage class B.
#[derive(Debug)]
pub struct BondedBox {
    /// The device.
    pub device: DeviceId,
    /// What its case is made of; `None` where nothing is said: then it is taken as conductive.
    pub case: Option<Case>,
    /// A domain of class B in it whose voltage is against earth, as that of the mains is.
    pub mains: Option<DomainId>,
    /// Whether a source of the mains is in it, such as the supply of a house: then it is not part of the vehicle.
    pub is_supply: bool,
    /// Whether it only switches and protects, as a breaker or a residual-current device does: these are mostly of plastic.
    pub is_switchgear: bool,
    /// Why it needs a protective earth.
    pub needs: Needs,
    /// The thickest conductor of class B at the box.
    pub live: Option<(SquareMillimetre, WireId)>,
    /// Its earth points, in the order written.
    pub earths: Vec<EarthPoint>,
}

/// Why a box needs a protective earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// Its case is conductive, or taken as conductive.
    Case,
    /// It brings in the mains, whatever its case is made of.
    Supply,
    /// It does not.
    Nothing,
}

/// An earth point of a box.
#[derive(Debug)]
pub struct EarthPoint {
    /// The pin or stud.
    pub point: PointId,
    /// A pin or stud of role `earth`; one of role `chassis` may be the ground of something else.
    pub is_earth: bool,
    /// Whether a wire, bar or ring ends at it.
    pub is_wired: bool,
    /// Whether pins of class B are in the same plug: then both are unplugged together.
    pub is_with_live: bool,
    /// The thickest conductor of class B in the same plug, else at the box.
    pub live: Option<(SquareMillimetre, WireId)>,
    /// Its way to the chassis; `None` where there is none.
    pub way: Option<Way>,
    /// Whether it leads to the shield of an isolating transformer: the earth of the mains ends there and must not reach the chassis.
    pub is_at_shield: bool,
    /// The metal that it belongs to, by the first point of that: earth points that are joined have one in common.
    pub metal: PointId,
}

/// A way from an earth point to the chassis.
#[derive(Debug)]
pub struct Way {
    /// From the point to the chassis, or to an earth point of the box in `rests_on`.
    pub steps: Vec<Step>,
    /// The box whose case the way goes on through.
    pub rests_on: Option<RestsOn>,
    /// Resistance up to the end of the steps, conductors at 20 degC.
    pub resistance: Ohm,
}

/// The box whose case a way goes on through.
#[derive(Debug, Clone, Copy)]
pub struct RestsOn {
    /// The box.
    pub device: DeviceId,
    /// Its earth point at which the way ends.
    pub point: PointId,
    /// Whether pins of class B are in the same plug: then both are unplugged together.
    pub is_with_live: bool,
    /// Whether the way goes on from this point over metal, such as a second ring on its stud, and not through the case alone.
    pub goes_on: bool,
}

impl BondedBox {
    /// Whether its case can be touched and conducts, or is taken to.
    #[must_use]
    pub fn is_conductive(&self) -> bool {
        is_conductive(self.case)
    }

    /// Whether the joint of its case with the chassis is its bond.
    #[must_use]
    pub fn is_mounted(&self) -> bool {
        self.case == Some(Case::Mounted)
    }

    /// Whether it reaches the chassis, by one of its earth points or by its own joint.
    #[must_use]
    pub fn is_bonded(&self) -> bool {
        self.is_mounted() || self.earths.iter().any(|earth| earth.way.is_some())
    }
}

impl Way {
    /// The wires of the way, from the earth point.
    pub fn wires<'a>(&'a self, network: &'a Network) -> impl Iterator<Item = WireId> + 'a {
        self.steps.iter().filter_map(|step| network[step.edge].wire())
    }
}

fn is_conductive(case: Option<Case>) -> bool {
    match case {
        Some(Case::Conductive | Case::Mounted) | None => true,
        Some(Case::Insulating) => false,
    }
}

/// Whether a current of a fault may be led along an edge by intent.
fn bonds_metal(model: &Model, edge: &Edge) -> bool {
    match edge.kind {
        EdgeKind::Screen(cable) => model[cable].screen_size.is_some(),
        EdgeKind::Wire(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => {
            edge.is_metal()
        }
    }
}

/// The cross-section of a conductor; `None` for a joint, and for a wire of which it is not given.
fn size_of(model: &Model, edge: &Edge) -> Option<SquareMillimetre> {
    match edge.kind {
        EdgeKind::Wire(wire) => model[wire].size.map(|size| size.value),
        EdgeKind::Screen(cable) => model[cable].screen_size.map(|size| size.value),
        EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
    }
}

/// The wires that end at what meets a point of a device.
fn wires_at(network: &Network, point: PointId) -> impl Iterator<Item = WireId> {
    let met = network.around(point).filter(|(_, edge, _)| edge.role.is_place());
    met.flat_map(|(_, _, cavity)| network.around(cavity).filter_map(|(_, edge, _)| edge.wire()))
}

fn bonds(facts: &Facts) -> Bonds {
    let (model, network) = (facts.model(), facts.network());
    let feeds = mains_at(facts, EdgeRole::is_source);
    let mut boxes: Vec<BondedBox> = model
        .devices()
        .filter(|(_, device)| device.fitted && !device.chassis)
        .filter_map(|(id, _)| found(network, &feeds, id))
        .collect();
    if boxes.is_empty() {
        return Bonds::default();
    }
    let mut goals: Vec<PointId> = model
        .devices()
        .filter(|(_, device)| device.chassis && device.fitted)
        .flat_map(|(_, device)| model.points_of(device))
        .collect();
    let mut goal = Goal::Chassis;
    if goals.is_empty() {
        let supplies = boxes.iter().filter(|one| one.is_supply);
        goals = supplies.flat_map(|one| one.earths.iter().map(|earth| earth.point)).collect();
        goal = if goals.is_empty() { Goal::Nothing } else { Goal::MainsEarth };
    }
    let reach = Reach::new(network, facts.electrical().domains(), &boxes, &goals);
    reach.fill(&mut boxes, &goals);
    reach.mark_shielded(&mut boxes, &shields(facts));
    Bonds { boxes, goal }
}

/// Pins of role `screen` of isolating transformers: boxes that turn alternating voltage of class B into alternating voltage.
fn shields(facts: &Facts) -> Vec<PointId> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let alternates = |point: PointId| domains.of(point).is_some_and(|domain| model[domain].ac && model[domain].is_class_b());
    let ends = |output: bool| -> FxHashSet<DeviceId> {
        let is_output = |edge: &Edge| edge.role.drives() && !edge.role.is_source();
        let is_side = |edge: &Edge| if output { is_output(edge) } else { edge.role == EdgeRole::ConverterInput };
        let of_converters = network.edges().filter(|(_, edge)| is_side(edge));
        of_converters
            .filter(|(_, edge)| alternates(edge.a) && alternates(edge.b))
            .filter_map(|(_, edge)| model.device_at(edge.a))
            .collect()
    };
    let (from, to) = (ends(false), ends(true));
    let devices = model.devices().filter(|(id, device)| device.fitted && from.contains(id) && to.contains(id));
    devices.flat_map(|(_, device)| model.points_of(device)).filter(|point| model.role_at(*point) == Some(Role::Screen)).collect()
}

/// Devices in which something drives a mains domain: the supply of a house, a generator, an inverter.
pub(super) fn feeds_mains(facts: &Facts) -> FxHashSet<DeviceId> {
    mains_at(facts, EdgeRole::drives)
}

/// Devices in which an edge that `feeds` drives a mains domain.
fn mains_at(facts: &Facts, feeds: impl Fn(EdgeRole) -> bool) -> FxHashSet<DeviceId> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let drives = network.edges().filter(|(_, edge)| feeds(edge.role));
    let of_mains = drives.filter(|(_, edge)| domains.of(edge.b).is_some_and(|domain| model[domain].is_mains()));
    of_mains.filter_map(|(_, edge)| model.device_at(edge.b)).collect()
}

fn domain_at(model: &Model, point: PointId) -> Option<DomainId> {
    model.pin_at(point)?.domain.map(|(domain, _)| domain)
}

fn is_live(model: &Model, point: PointId) -> bool {
    let is_earth = model.role_at(point) == Some(Role::Earth);
    !is_earth && domain_at(model, point).is_some_and(|domain| model[domain].is_class_b())
}

/// Whether pins of class B are in the plug of a point.
fn is_with_live(model: &Model, point: PointId) -> bool {
    match model[point].kind {
        PointKind::Pin(port) | PointKind::Stud(port) => model[port].points.iter().any(|other| is_live(model, other)),
        PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => false,
    }
}

/// The thicker of conductors whose size is given; of equal ones the first.
fn thickest(model: &Model, wires: impl Iterator<Item = WireId>) -> Option<(SquareMillimetre, WireId)> {
    let sized = wires.filter_map(|wire| Some((model[wire].size?.value, wire)));
    sized.reduce(|a, b| if b.0 > a.0 { b } else { a })
}

/// A device as a box with class B; its ways are filled in later.
fn found(network: &Network, feeds: &FxHashSet<DeviceId>, device: DeviceId) -> Option<BondedBox> {
    let model = network.model();
    let item = &model[device];
    let points: Vec<PointId> = model.points_of(item).collect();
    let live: Vec<PointId> = points.iter().copied().filter(|point| is_live(model, *point)).collect();
    live.first()?;
    let at_box = thickest(model, live.iter().flat_map(|point| wires_at(network, *point)));
    let mains = live.iter().filter_map(|point| domain_at(model, *point)).find(|domain| model[*domain].is_mains());
    let case = item.case.map(|case| case.value);
    let mut earths = Vec::new();
    for port in item.ports.iter() {
        let in_port = || model[port].points.iter();
        let with_live: Vec<PointId> = in_port().filter(|point| is_live(model, *point)).collect();
        for point in in_port() {
            let is_earth = match model.role_at(point) {
                Some(Role::Earth) => true,
                Some(Role::Chassis) => false,
                _ => continue,
            };
            let beside = thickest(model, with_live.iter().flat_map(|point| wires_at(network, *point)));
            earths.push(EarthPoint {
                point,
                is_earth,
                is_wired: network.around(point).any(|(_, edge, _)| bonds_metal(model, edge)),
                is_with_live: !with_live.is_empty(),
                live: beside.or(at_box),
                way: None,
                is_at_shield: false,
                metal: point,
            });
        }
    }
    let is_supply = mains.is_some() && feeds.contains(&device);
    let brings_mains = is_supply || mains.is_some() && is_inlet(network, device);
    let needs = if is_conductive(case) {
        Needs::Case
    } else if brings_mains {
        Needs::Supply
    } else {
        Needs::Nothing
    };
    let is_switchgear = is_switchgear(model, device);
    Some(BondedBox { device, case, mains, is_supply, is_switchgear, needs, live: at_box, earths })
}

/// Whether a device brings the mains in, as an inlet or a socket does: nothing is inside but metal, and its conductors do not go on
/// from it by further wires, as they do from a junction box; or people plug something into it.
fn is_inlet(network: &Network, device: DeviceId) -> bool {
    let model = network.model();
    let mut inside = model.elements().filter(|(_, element)| element.owner == Owner::Device(device));
    let is_metal = inside.all(|(_, element)| match element.kind {
        ElementKind::Interlock { .. } | ElementKind::Resistor(_) | ElementKind::Diode(_) | ElementKind::Link { .. } => true,
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Capacitor(_) | ElementKind::Fuse { .. } => false,
        ElementKind::Switch { .. } | ElementKind::Relay { .. } | ElementKind::Disconnect { .. } => false,
        ElementKind::Converter { .. } => false,
    });
    is_metal && (!passes_on(network, device) || has_outlet(network, device))
}

/// Whether wires bring a live conductor to a device and lead it on: two end at one piece of its metal, at two pins of one signal or at
/// two neutrals.
fn passes_on(network: &Network, device: DeviceId) -> bool {
    let model = network.model();
    let live = model.points_of(&model[device]).filter(|point| is_live(model, *point));
    let mut on: FxHashSet<NetId> = FxHashSet::default();
    let mut named: FxHashSet<&str> = FxHashSet::default();
    let mut neutrals = 0;
    for point in live {
        let wires = wires_at(network, point).count();
        if wires == 0 {
            continue;
        }
        let signal = model.pin_at(point).and_then(|pin| pin.signal).map(|signal| model.text(signal.value).trim());
        neutrals += u32::from(model.role_at(point) == Some(Role::Neutral));
        // Each of what follows is asked, so that each is remembered.
        let again = [!on.insert(network.net(point)), signal.is_some_and(|signal| !named.insert(signal)), neutrals > 1];
        if wires > 1 || again.contains(&true) {
            return true;
        }
    }
    false
}

/// Whether a connector of a device has pins of class B at which no wire ends: people plug something into it.
fn has_outlet(network: &Network, device: DeviceId) -> bool {
    let model = network.model();
    model[device].ports.iter().any(|port| {
        let live = || model[port].points.iter().filter(|point| model.plug_at(*point).is_some() && is_live(model, *point));
        live().count() > 1 && live().all(|point| wires_at(network, point).next().is_none())
    })
}

/// Whether a device only switches and protects.
fn is_switchgear(model: &Model, device: DeviceId) -> bool {
    let inside = || model.elements().filter(|(_, element)| element.owner == Owner::Device(device));
    inside().next().is_some()
        && inside().all(|(_, element)| match element.kind {
            ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => true,
            ElementKind::Link { .. } | ElementKind::Relay { .. } | ElementKind::Interlock { .. } => true,
            ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Capacitor(_) => false,
            ElementKind::Resistor(_) | ElementKind::Diode(_) | ElementKind::Converter { .. } => false,
        })
}
