//! Protective earths that have traded places with a live conductor at a device.
//!
//! The idea: what the wires bring to each pin of a device, the pins at their other ends say. Where the earth pin gets a live conductor, and
//! the pins that got something else can be put right by trading among themselves, these wires are swapped there. Line and neutral
//! alone are the matter of the roles.
//!
//! Cost: nothing without a protective earth; else a pass over the pins.

use super::{
    Facts,
    pins::{PinAt, RunId},
};
use crate::{
    model::{DeviceId, DomainId, Model},
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Devices at which an earth is swapped, in the order of the devices; of the two devices at the ends of the same wires the one with the
    /// fewer pins.
    ///
    /// Asked by `netlist/swapped-earth`, and by the rules that would report the same wires.
    #[must_use]
    pub fn swapped_earths(&self) -> &[SwappedEarth] {
        self.made.swapped_earths.get_or_init(|| swapped_earths(self))
    }

    /// Whether a run of wire is one that is swapped with a protective earth, or is such an earth.
    #[must_use]
    pub fn is_of_swapped_earth(&self, run: RunId) -> bool {
        self.swapped_earths().iter().any(|swapped| swapped.pins.iter().any(|pin| self.pins().run(pin.at.point) == run))
    }
}

/// A device at which a protective earth is swapped.
#[derive(Debug)]
pub struct SwappedEarth {
    /// The device.
    pub device: DeviceId,
    /// Its pins that get what another of them should, the earth first.
    pub pins: Vec<Misplaced>,
}

/// A pin that gets what belongs to another pin of its device.
#[derive(Debug, Clone, Copy)]
pub struct Misplaced {
    /// The pin.
    pub at: PinAt,
    /// What its wires join it to.
    pub meets: PinAt,
    /// The pin of the same device where its wires belong.
    pub belongs: PinAt,
}

/// What a pin is, so far as a swap with an earth shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Earth,
    /// A conductor of a domain of class B.
    Live(Conductor, DomainId),
}

/// Which conductor of a circuit a pin is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Conductor {
    Line,
    Neutral,
    Phase,
    Feed,
    Return,
}

/// The conductor of a role; `None` for what carries no power.
const fn conductor(role: Role) -> Option<Conductor> {
    match role {
        Role::Line => Some(Conductor::Line),
        Role::Neutral => Some(Conductor::Neutral),
        Role::Phase => Some(Conductor::Phase),
        Role::Supply | Role::Output | Role::Input | Role::Bidirectional => Some(Conductor::Feed),
        Role::Return => Some(Conductor::Return),
        Role::Chassis | Role::Earth | Role::Screen | Role::Reference | Role::SensorReturn | Role::Interlock => None,
        Role::CanHigh | Role::CanLow | Role::Lin | Role::Pilot | Role::Proximity => None,
    }
}

/// What a pin is by its own words; `None` for one of which they do not say it, or that a swap with an earth is not dangerous for.
fn part(model: &Model, pin: &PinAt) -> Option<Part> {
    match (pin.role?, pin.domain) {
        (Role::Earth, _) => Some(Part::Earth),
        (role, Some(domain)) => {
            // A return of class A may share the ground with an earth.
            let own = conductor(role).filter(|own| *own == Conductor::Feed || model[domain].is_class_b())?;
            Some(Part::Live(own, domain))
        }
        _ => None,
    }
}

fn swapped_earths(facts: &Facts) -> Vec<SwappedEarth> {
    let (model, pins) = (facts.model(), facts.pins());
    let mut found: Vec<SwappedEarth> = Vec::new();
    let mut taken: FxHashSet<RunId> = FxHashSet::default();
    let mut devices: Vec<DeviceId> = model.devices().map(|(id, _)| id).collect();
    // Of the two ends of a cable the appliance, not the board that feeds more of them.
    devices.sort_by_key(|device| (pins.of_device(*device).len(), *device));
    for device in devices {
        let of_device = pins.of_device(device);
        if !of_device.iter().any(|pin| pin.role == Some(Role::Earth)) {
            continue;
        }
        let Some(swapped) =
            swapped_at(facts, device).filter(|swapped| !swapped.iter().any(|pin| taken.contains(&pins.run(pin.at.point))))
        else {
            continue;
        };
        taken.extend(swapped.iter().map(|pin| pins.run(pin.at.point)));
        found.push(SwappedEarth { device, pins: swapped });
    }
    found.sort_by_key(|swapped| swapped.device);
    found
}

/// The pins of a device that get each other's conductors; `None` where the earth is not among them.
fn swapped_at(facts: &Facts, device: DeviceId) -> Option<Vec<Misplaced>> {
    let (model, pins) = (facts.model(), facts.pins());
    // What the pins at the other ends are, where they agree.
    let brought = |pin: &PinAt| -> Option<(Part, PinAt)> {
        let others = pins.of_run(pins.run(pin.point)).iter().filter(|other| other.device != device);
        let mut found: Option<(Part, PinAt)> = None;
        for other in others {
            let is_ground = model[other.device].chassis || other.role == Some(Role::Chassis);
            let Some(its) = (if is_ground { Some(Part::Earth) } else { part(model, other) }) else { continue };
            match found {
                Some((known, _)) if known != its => return None,
                Some(_) => {}
                None => found = Some((its, *other)),
            }
        }
        found
    };
    let odd: Vec<(PinAt, Part, Part, PinAt)> = pins
        .of_device(device)
        .iter()
        .filter_map(|pin| {
            let (own, (its, meets)) = (part(model, pin)?, brought(pin)?);
            (own != its).then_some((*pin, own, its, meets))
        })
        .collect();
    let mut free: Vec<usize> = (0..odd.len()).collect();
    let mut found = Vec::with_capacity(odd.len());
    for (at, _, its, meets) in &odd {
        // Each conductor goes to a pin that lost its own.
        let place = free.iter().position(|other| odd.get(*other).is_some_and(|(_, own, ..)| own == its))?;
        let (belongs, ..) = odd.get(free.remove(place))?;
        found.push(Misplaced { at: *at, meets: *meets, belongs: *belongs });
    }
    found.sort_by_key(|pin| (pin.at.role != Some(Role::Earth), pin.at.point));
    found.first().is_some_and(|first| first.at.role == Some(Role::Earth)).then_some(found)
}
