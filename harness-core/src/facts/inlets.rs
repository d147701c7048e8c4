//! Charging inlets: which device is one, which contact is where, in which modes something is plugged in, what the signal contacts reach.
//!
//! An inlet is a device with a port of key `inlet`, or, without that key, one with a pin of role `control pilot` or `proximity` beside power
//! contacts that is not a charger by what is in it. Its harness may come to several ports, so that contacts are sought in the ports with the key first and in
//! the others of the device then. A contact is known by the role of its pin, else by its label as the standards print it.
//!
//! Cost: a pass over the points; for each inlet a few walks over what it is joined to.

mod earthing;

pub use earthing::Earthing;

use super::Facts;
use crate::{
    electrical::what_if::Change,
    format::values::Choice,
    model::{DeviceId, Element, ElementId, ElementKind, ModeId, ModeSet, Model, Owner, PointId, PortId},
    network::{Edge, NetId, Network, Walk},
    standards::charging_inlet::{
        InletContact, cable_codes, has_latch_switch, is_combined, latch_resistors, station_resistance, station_voltage,
    },
    text::Span,
    vocabulary::{Inlet, Role},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// The charging inlets, in the order of the devices.
    ///
    /// Asked by all rules on charging, and for the missing facts.
    #[must_use]
    pub fn inlets(&self) -> &[ChargingInlet] {
        self.made.inlets.get_or_init(|| inlets(self))
    }
}

/// A charging inlet.
#[derive(Debug)]
pub struct ChargingInlet {
    /// The device.
    pub device: DeviceId,
    /// Its type and where that is written; `None` where it is known as an inlet by its roles alone.
    pub kind: Option<Choice<Inlet>>,
    /// The port with the key, else the one of its first signal contact.
    pub port: PortId,
    /// Its contacts, in the order written; one name may be there twice.
    pub contacts: Vec<(InletContact, PointId)>,
    /// Modes in which a station, or what charges from it, is on.
    pub plugged: ModeSet,
    /// What is the station or the plug, where the design draws it.
    pub station: Vec<ElementId>,
    /// What its protective earth is joined to.
    pub earthing: Earthing,
}

impl ChargingInlet {
    /// The first contact of a name.
    #[must_use]
    pub fn contact(&self, contact: InletContact) -> Option<PointId> {
        self.contacts.iter().find(|(known, _)| *known == contact).map(|(_, point)| *point)
    }

    /// Where its type is written, else where it is defined.
    #[must_use]
    pub fn span(&self, model: &Model) -> Span {
        self.kind.map_or(model[self.port].span, |kind| kind.span)
    }

    /// Whether it has DC contacts, by its type or by its pins.
    #[must_use]
    pub fn has_direct(&self) -> bool {
        self.kind.is_some_and(|kind| is_combined(kind.value)) || self.contact(InletContact::Plus).is_some()
    }

    /// Whether it is charged in a mode, as far as the design says: something is plugged in, or the vehicle may not move and nobody works on it.
    #[must_use]
    pub fn charges_in(&self, model: &Model, mode: ModeId) -> bool {
        self.plugged.has(mode) || (model[mode].immobile && !model[mode].touch_safe)
    }

    /// The plug and the station as they are to the signal contacts, where the design does not draw them in a mode.
    #[must_use]
    pub fn plug(&self, facts: &Facts, mode: ModeId) -> Vec<Change> {
        let earth = self.contact(InletContact::Earth);
        let proximity =
            self.contact(InletContact::Proximity).zip(earth).filter(|(proximity, _)| !self.is_drawn(facts, *proximity, mode));
        let pilot = self.contact(InletContact::Pilot).zip(earth).filter(|(pilot, _)| !self.is_drawn(facts, *pilot, mode));
        let latched = latch_resistors().value[0];
        let cable = cable_codes().value[1].ohm;
        let ohms = if self.kind.is_some_and(|kind| has_latch_switch(kind.value)) { latched } else { cable };
        let code = proximity.map(|(proximity, earth)| Change::Joined(proximity, earth, ohms));
        let source = pilot.map(|(pilot, earth)| Change::Fed {
            negative: earth,
            positive: pilot,
            emf: station_voltage().value,
            resistance: station_resistance().value,
        });
        code.into_iter().chain(source).chain(self.earthing.outside()).collect()
    }

    /// Whether the design draws what the plug does at a signal contact, in a mode in which it is on.
    #[must_use]
    pub fn is_drawn(&self, facts: &Facts, contact: PointId, mode: ModeId) -> bool {
        let model = facts.model();
        let net = facts.network().net(contact);
        self.station.iter().any(|element| {
            let element = &model[*element];
            let is_on = element.kind.modes().is_none_or(|modes| modes.has(mode)) && element.kind.is_closed(mode) != Some(false);
            is_on && element.points.iter().any(|point| facts.network().net(*point) == net)
        })
    }
}

fn inlets(facts: &Facts) -> Vec<ChargingInlet> {
    let (model, network) = (facts.model(), facts.network());
    let mut found = Vec::new();
    for (id, device) in model.devices().filter(|(_, device)| device.fitted && !device.chassis) {
        let keyed: Vec<PortId> = device.ports.iter().filter(|port| model[*port].inlet.is_some()).collect();
        let mut kinds: Vec<Choice<Inlet>> = Vec::new();
        for kind in keyed.iter().filter_map(|port| model[*port].inlet) {
            if kinds.iter().all(|known| known.value != kind.value) {
                kinds.push(kind);
            }
        }
        let of = |ports: &mut dyn Iterator<Item = PortId>, kind: Option<Inlet>| -> Vec<(InletContact, PointId)> {
            ports
                .flat_map(|port| model[port].points.iter())
                .filter_map(|point| Some((contact_at(facts, point, kind)?, point)))
                .collect()
        };
        // Two inlets of one device are apart by their types.
        for kind in &kinds {
            let own = |port: &PortId| model[*port].inlet.is_some_and(|other| other.value == kind.value);
            let Some(port) = keyed.iter().copied().find(own) else { continue };
            let mut contacts = of(&mut keyed.iter().copied().filter(own), Some(kind.value));
            let rest = of(&mut device.ports.iter().filter(|port| model[*port].inlet.is_none()), Some(kind.value));
            for (contact, point) in rest {
                if kinds.len() == 1 && contacts.iter().all(|(known, _)| *known != contact) {
                    contacts.push((contact, point));
                }
            }
            found.push(ChargingInlet {
                device: id,
                kind: Some(*kind),
                port,
                contacts,
                plugged: ModeSet::default(),
                station: Vec::new(),
                earthing: Earthing::default(),
            });
        }
        if !kinds.is_empty() {
            continue;
        }
        if !device.ports.iter().any(|port| model[port].points.iter().any(|point| may_signal(model, point))) {
            continue;
        }
        let contacts = of(&mut device.ports.iter(), None);
        let has = |wanted: fn(InletContact) -> bool| contacts.iter().any(|(contact, _)| wanted(*contact));
        if has(is_signal) && has(InletContact::is_power) && !is_charger(facts, id) {
            let signal = contacts.iter().find(|(contact, _)| is_signal(*contact)).and_then(|(_, point)| model.port_at(*point));
            let Some(port) = signal else { continue };
            found.push(ChargingInlet {
                device: id,
                kind: None,
                port,
                contacts,
                plugged: ModeSet::default(),
                station: Vec::new(),
                earthing: Earthing::default(),
            });
        }
    }
    // What hangs on the signal of a stated inlet is its charger, or the station.
    let stated: FxHashSet<_> =
        found.iter().filter(|inlet| inlet.kind.is_some()).flat_map(|inlet| signal_nets(network, inlet)).collect();
    found.retain(|inlet| inlet.kind.is_some() || signal_nets(network, inlet).all(|net| !stated.contains(&net)));
    for inlet in &mut found {
        inlet.earthing =
            inlet.contact(InletContact::Earth).map(|earth| earthing::of(facts, earth, inlet.device)).unwrap_or_default();
        let (plugged, station) = plugged(network, inlet);
        (inlet.plugged, inlet.station) = (plugged, station);
    }
    found
}

const fn is_signal(contact: InletContact) -> bool {
    matches!(contact, InletContact::Pilot | InletContact::Proximity)
}

/// Whether a pin is a signal contact by its role or its label; most devices have none, and cost no more than this.
fn may_signal(model: &Model, point: PointId) -> bool {
    let label = model.text(model[point].label);
    matches!(model.role_at(point), Some(Role::Pilot | Role::Proximity))
        || ["CP", "PP", "CS", "PD"].iter().any(|known| label.eq_ignore_ascii_case(known))
}

/// The nets of the signal contacts of an inlet.
fn signal_nets<'a>(network: &'a Network, inlet: &'a ChargingInlet) -> impl Iterator<Item = NetId> + 'a {
    inlet.contacts.iter().filter(|(contact, _)| is_signal(*contact)).map(|(_, point)| network.net(*point))
}

/// Whether a box turns one voltage into another, is on a bus, or takes a supply of its own: then its pins are those of a charger, not of an inlet.
fn is_charger(facts: &Facts, device: DeviceId) -> bool {
    let model = facts.model();
    let mut own = model.elements().filter(|(_, element)| element.owner == Owner::Device(device));
    let is_class_a = |point: PointId| {
        facts.electrical().domains().of(point).is_some_and(|domain| !model[domain].is_class_b() && !model[domain].ac)
    };
    let takes = facts.pins().of_device(device).iter().any(|pin| match pin.role {
        Some(Role::CanHigh | Role::CanLow | Role::Lin) => true,
        Some(Role::Supply) => is_class_a(pin.point),
        _ => false,
    });
    takes || own.any(|(_, element)| element.kind.drives() && !element.kind.is_source())
}

/// Which contact of an inlet a pin is: by its role, else by its label.
fn contact_at(facts: &Facts, point: PointId, kind: Option<Inlet>) -> Option<InletContact> {
    let model = facts.model();
    let pin = model.pin_at(point);
    if pin.is_some_and(|pin| pin.spare.is_some()) {
        return None;
    }
    let label: String = model.text(model[point].label).chars().filter(|letter| !matches!(letter, ' ' | '_' | '.')).collect();
    let label = label.to_uppercase();
    let has_one_phase = kind.is_some_and(has_latch_switch);
    let by_label = match label.as_str() {
        "CP" => Some(InletContact::Pilot),
        "PP" | "CS" | "PD" => Some(InletContact::Proximity),
        "PE" => Some(InletContact::Earth),
        "L" | "L1" => Some(InletContact::Line1),
        "L2/N" | "N/L2" | "N" => Some(InletContact::Neutral),
        // The second pole of Type 1 is a line in one country and the neutral in another.
        "L2" if has_one_phase => Some(InletContact::Neutral),
        "L2" => Some(InletContact::Line2),
        "L3" => Some(InletContact::Line3),
        "DC+" | "+DC" | "+" => Some(InletContact::Plus),
        "DC-" | "-DC" | "-" | "DC\u{2212}" | "DC\u{2013}" => Some(InletContact::Minus),
        _ => None,
    };
    let domain = facts.electrical().domains().of(point);
    // Without a domain the supply of a combined inlet is the direct voltage, unless its label says otherwise.
    let is_direct = match domain {
        Some(domain) => model[domain].is_class_b() && !model[domain].ac,
        None => kind.is_some_and(is_combined),
    };
    let Some(role) = pin.and_then(|pin| pin.role) else { return by_label };
    match role.value {
        Role::Pilot => Some(InletContact::Pilot),
        Role::Proximity => Some(InletContact::Proximity),
        Role::Earth => Some(InletContact::Earth),
        Role::Chassis => by_label.filter(|contact| *contact == InletContact::Earth),
        Role::Neutral => Some(InletContact::Neutral),
        Role::Line => Some(by_label.filter(|contact| contact.is_power()).unwrap_or(InletContact::Line1)),
        Role::Supply if is_direct => Some(InletContact::Plus),
        Role::Return if is_direct => Some(InletContact::Minus),
        Role::Supply => by_label.filter(|contact| *contact == InletContact::Plus && domain.is_none()),
        Role::Return => by_label.filter(|contact| *contact == InletContact::Minus && domain.is_none()),
        Role::Input | Role::Output | Role::Bidirectional => by_label,
        Role::Reference | Role::SensorReturn | Role::CanHigh | Role::CanLow => None,
        Role::Lin | Role::Screen | Role::Interlock | Role::Phase => None,
    }
}

/// A source at a control pilot of more than this share of a station's resistance is a station, no battery.
const STATION_SHARE: f64 = 0.1;

/// The modes in which a station, or what charges from it, is on, and the elements of the plug and the station.
fn plugged(network: &Network, inlet: &ChargingInlet) -> (ModeSet, Vec<ElementId>) {
    let model = network.model();
    let of_inlet = |element: ElementId| model[element].owner == Owner::Device(inlet.device);
    // Over mains contacts and conductors, whatever is closed; of the DC pair what no contact of the vehicle is before.
    let power = inlet.contacts.iter().filter(|(contact, _)| contact.is_power());
    let reached: FxHashSet<PointId> = power
        .flat_map(|(contact, point)| {
            let is_direct = matches!(contact, InletContact::Plus | InletContact::Minus);
            let leads = |edge: &Edge| edge.role.conducts_when_closed() && !(is_direct && edge.role.is_switched());
            network.walk([*point], |_, edge| leads(edge)).reached().to_vec()
        })
        .collect();
    let (mut sources, mut chargers) = (Vec::new(), Vec::new());
    let signals: FxHashSet<PointId> = [InletContact::Pilot, InletContact::Proximity]
        .into_iter()
        .filter_map(|contact| inlet.contact(contact))
        .flat_map(|point| network.net_points(network.net(point)).to_vec())
        .collect();
    for (id, element) in model.elements() {
        let touches = element.points.iter().any(|point| reached.contains(point));
        match &element.kind {
            ElementKind::Source { capacity: None, modes, .. } if of_inlet(id) || touches => sources.push((id, *modes)),
            ElementKind::Source { modes, resistance: Some(ohms), .. }
                if ohms.value > station_resistance().value * STATION_SHARE
                    && element.points.iter().any(|point| signals.contains(point)) =>
            {
                sources.push((id, *modes));
            }
            ElementKind::Converter { modes, .. } if element.points.iter().take(2).any(|point| reached.contains(point)) => {
                chargers.push(*modes);
            }
            _ => {}
        }
    }
    // A station is plugged in for a while: a source that is always there is something else.
    let for_a_while = |modes: &ModeSet| model.modes().len() == 1 || model.modes().any(|(mode, _)| !modes.has(mode));
    let mut plugged = ModeSet::default();
    for modes in sources.iter().map(|(_, modes)| *modes).filter(for_a_while) {
        plugged = plugged.with(modes);
    }
    if plugged == ModeSet::default() {
        plugged = chargers.into_iter().filter(for_a_while).fold(plugged, ModeSet::with);
    }
    // What is in the inlet itself, or in the box of a source that is plugged in, is the plug and the station.
    let boxes: FxHashSet<Owner> = sources.iter().map(|(id, _)| model[*id].owner).chain([Owner::Device(inlet.device)]).collect();
    let is_plug = |element: &Element| {
        let at = |point: &PointId| signals.contains(point);
        // A resistor from the signal contact to earth for good is in the inlet, not in the plug.
        let is_for_good = element.kind.resistance().is_some()
            && element.points.iter().any(|point| inlet.earthing.nets.contains(&network.net(*point)))
            && element.owner == Owner::Device(inlet.device);
        let is_metal = matches!(element.kind, ElementKind::Link { .. });
        boxes.contains(&element.owner) && element.points.iter().any(at) && !is_for_good && !is_metal
    };
    let station = model.elements().filter(|(_, element)| is_plug(element));
    (plugged, station.map(|(id, _)| id).collect())
}

/// What a signal contact reaches outside its inlet.
#[derive(Debug, Default)]
pub struct Reached {
    /// Boxes that take the signal, each with its first point, the nearest first.
    pub controllers: Vec<(DeviceId, PointId)>,
    /// Boxes that only pass it on.
    pub passing: Vec<DeviceId>,
    /// The walk over the wires.
    pub walk: Walk,
}

/// What a signal contact reaches over wires, splices, plugs, and what is in line; not over what is inside a box, but metal.
#[must_use]
pub fn reached(facts: &Facts, inlet: &ChargingInlet, contact: PointId) -> Reached {
    let (model, network) = (facts.model(), facts.network());
    let in_loom = |edge: &Edge| edge.element().is_some_and(|element| matches!(model[element].owner, Owner::Loom(_)));
    let walk = network.walk([contact], |_, edge| edge.is_metal() || (edge.role.conducts_when_closed() && in_loom(edge)));
    let own: FxHashSet<DeviceId> =
        inlet.station.iter().filter_map(|element| model[*element].owner.device()).chain([inlet.device]).collect();
    let mut at: Vec<(DeviceId, Vec<PointId>)> = Vec::new();
    for point in walk.reached().iter().filter(|point| model.is_fitted(**point)) {
        let Some(device) = model.device_at(*point).filter(|device| !own.contains(device)) else { continue };
        match at.iter_mut().find(|(known, _)| *known == device) {
            Some((_, points)) => points.push(*point),
            None => at.push((device, vec![*point])),
        }
    }
    let mut found = Reached::default();
    for (device, points) in at {
        let is_read = points.iter().any(|point| {
            let role = model.role_at(*point);
            matches!(role, Some(Role::Pilot | Role::Proximity | Role::Input))
                || network.around(*point).any(|(_, edge, _)| !edge.is_metal() && edge.element().is_some())
        });
        match points.first() {
            Some(first) if is_read || points.len() == 1 => found.controllers.push((device, *first)),
            _ => found.passing.push(device),
        }
    }
    found.walk = walk;
    found
}
