//! Pins of one net whose roles exclude each other.

mod poles;

use super::Facts;
use super::pins::{PinAt, Pins, RunId, is_crossing, points_of_elements};
use crate::{
    arena::IdVec,
    model::{DeviceId, DomainId, ElementKind, Model, Owner, PointId},
    network::{Components, EdgeRole, MetalKind, NetId, Network},
    vocabulary::{Drive, LoadKind, Role},
};
use poles::Poles;
use rustc_hash::{FxHashMap, FxHashSet};
use std::borrow::Cow;

impl Facts {
    /// Pins of one net whose roles exclude each other, whatever else is at fault with them.
    ///
    /// Asked for the meetings and for what cuts loads off.
    #[must_use]
    pub fn role_clashes(&self) -> &[RoleClash] {
        self.made.role_clashes.get_or_init(|| role_clashes(self))
    }
}

/// Two pins of one net whose roles exclude each other.
#[derive(Debug, Clone, Copy)]
pub struct RoleClash {
    /// The net.
    pub net: NetId,
    /// The run of wires that makes the clash, where it is one of wires and not of the whole net.
    pub run: Option<RunId>,
    /// The pin whose role makes the clash.
    pub one: PinAt,
    /// The pin that it clashes with.
    pub other: PinAt,
    /// What comes of it.
    pub exclusion: &'static Exclusion,
}

/// Roles that exclude each other, and what comes of it.
#[derive(Debug)]
pub struct Exclusion {
    one: fn(Role) -> bool,
    other: fn(Role) -> bool,
    /// What comes of it, for the label.
    pub effect: &'static str,
    /// A short circuit of a supply.
    pub hot: bool,
}

fn is_supply(role: Role) -> bool {
    matches!(role, Role::Supply | Role::Reference)
}

/// What takes a direct current back. A neutral is the line's matter, which has an exclusion of its own.
fn is_ground(role: Role) -> bool {
    role.takes_back() && role != Role::Neutral
}

fn is_signal(role: Role) -> bool {
    use Role::{
        Bidirectional, CanHigh, CanLow, Chassis, Earth, Input, Interlock, Lin, Line, Neutral, Output, Phase, Pilot, Proximity,
        Reference, Return, Screen, SensorReturn, Supply,
    };
    match role {
        Bidirectional | CanHigh | CanLow | Input | Interlock | Lin | Line | Output | Phase | Pilot | Proximity | Reference
        | Supply => true,
        Chassis | Earth | Neutral | Return | Screen | SensorReturn => false,
    }
}

/// What the line of a bus is never joined to; a screen has an exclusion of its own.
fn is_no_line(role: Role) -> bool {
    use Role::{
        Bidirectional, CanHigh, CanLow, Chassis, Earth, Input, Interlock, Lin, Line, Neutral, Output, Phase, Pilot, Proximity,
        Reference, Return, Screen, SensorReturn, Supply,
    };
    match role {
        Bidirectional | CanHigh | CanLow | Lin | Screen => false,
        Chassis | Earth | Input | Interlock | Line | Neutral | Output | Phase | Pilot | Proximity | Reference | Return
        | SensorReturn | Supply => true,
    }
}

static EXCLUSIONS: [Exclusion; 6] = [
    Exclusion {
        one: is_supply,
        other: is_ground,
        effect: "supply meets return: a short circuit, or a load connected backwards",
        hot: true,
    },
    Exclusion {
        one: |role| role == Role::Line,
        other: |role| matches!(role, Role::Neutral | Role::Earth),
        effect: "a short circuit as soon as the line is live",
        hot: true,
    },
    Exclusion {
        one: |role| role == Role::CanHigh,
        other: |role| role == Role::CanLow,
        effect: "the bus can't signal: its two lines are one",
        hot: false,
    },
    Exclusion {
        one: |role| matches!(role, Role::CanHigh | Role::CanLow | Role::Lin),
        other: is_no_line,
        effect: "the bus can't signal: what is joined to its line is no node of it",
        hot: false,
    },
    Exclusion {
        one: |role| role == Role::Screen,
        other: is_signal,
        effect: "the screen carries a signal in place of keeping it in",
        hot: false,
    },
    Exclusion {
        one: |role| role == Role::Pilot,
        other: |role| role == Role::Proximity,
        effect: "the charging equipment can't read the state of the vehicle",
        hot: false,
    },
];

/// Whether two pins that a wire joins may not have these roles.
pub(super) fn exclude(one: Option<Role>, other: Option<Role>) -> bool {
    let (Some(one), Some(other)) = (one, other) else { return false };
    let is = |exclusion: &Exclusion, one: Role, other: Role| (exclusion.one)(one) && (exclusion.other)(other);
    EXCLUSIONS.iter().any(|exclusion| is(exclusion, one, other) || is(exclusion, other, one))
}

/// The return of a sensor on the ground of loads.
static SENSOR_GROUND: Exclusion =
    Exclusion { one: |_| false, other: |_| false, effect: "the current of loads shifts what the sensor reads", hot: false };

/// The neutral of one appliance on the protective earth of another.
static NEUTRAL_ON_EARTH: Exclusion = Exclusion {
    one: |_| false,
    other: |_| false,
    effect: "the earth carries the current of the neutral, and what it protects is not earthed",
    hot: false,
};

/// Two outputs that drive one net.
static DRIVERS: Exclusion =
    Exclusion { one: |_| false, other: |_| false, effect: "two drivers work against each other", hot: false };

/// The first clash of each net, in the order of the nets, then those of single runs of wire. Cost: linear in the pins and elements.
fn role_clashes(facts: &Facts) -> Vec<RoleClash> {
    let (network, pins) = (facts.network(), facts.pins());
    let poles = Poles::new(network);
    let drawn = points_of_elements(network.model());
    let bars = network.components(|_, edge| edge.role == EdgeRole::Metal(MetalKind::Bar));
    let mut found = Vec::new();
    let is_any_swapped = !facts.swapped_earths().is_empty();
    for net in pins.nets() {
        // Pins that are swapped with an earth come last: a clash of others on the same net shows a fault of its own.
        let mut sorted = Cow::Borrowed(pins.of(net));
        if is_any_swapped {
            sorted.to_mut().sort_by_key(|pin| facts.is_of_swapped_earth(pins.run(pin.point)));
        }
        let of: &[PinAt] = &sorted;
        if of.len() < 2 {
            continue;
        }
        let series = of.first().is_some_and(|pin| poles.are_in_series(pin.point));
        let by_role = EXCLUSIONS.iter().find_map(|exclusion| {
            // An output that is the pole of a source is a supply.
            let role = |pin: &PinAt| match pin.role {
                Some(Role::Output) if poles.outputs.contains(&pin.point) => Some(Role::Supply),
                role => role,
            };
            let suits = |pin: &&PinAt, wanted: fn(Role) -> bool| role(pin).is_some_and(wanted);
            // Where the minus of one source meets the plus of the next, they are in series.
            let counts = |pin: &&PinAt| !(exclusion.hot && series && poles.devices.contains(&pin.device));
            let partners: Vec<&PinAt> = of.iter().filter(|pin| suits(pin, exclusion.other) && counts(pin)).collect();
            if partners.is_empty() {
                return None;
            }
            let meet = |one: Option<DomainId>, other| !(exclusion.hot && is_crossing(network.model(), one, other));
            let mut domains: Vec<Option<DomainId>> = partners.iter().map(|pin| pin.domain).collect();
            domains.sort_unstable();
            domains.dedup();
            let mut ones = of.iter().filter(|pin| suits(pin, exclusion.one) && counts(pin));
            let first = ones.clone().find(|one| domains.iter().any(|other| meet(one.domain, *other)))?;
            // Two that one run of wire joins show the fault; else the partner that is nearest, not any one of a whole ground.
            let mut of_runs: FxHashMap<RunId, Vec<&PinAt>> = FxHashMap::default();
            for partner in &partners {
                of_runs.entry(pins.run(partner.point)).or_default().push(partner);
            }
            let on_run = |one: &PinAt| {
                let mut on_run = of_runs.get(&pins.run(one.point))?.iter();
                on_run.find(|other| meet(one.domain, other.domain)).map(|other| **other)
            };
            let (one, other) = ones.find_map(|one| Some((*one, on_run(one)?))).or_else(|| {
                let candidates: Vec<PinAt> =
                    partners.iter().filter(|other| meet(first.domain, other.domain)).map(|other| **other).collect();
                let (near, rest) = candidates.split_first()?;
                let reached: FxHashMap<PointId, PinAt> = candidates.iter().rev().map(|other| (other.point, *other)).collect();
                let steps = (!rest.is_empty())
                    .then(|| network.path(first.point, |point| reached.contains_key(&point), |_, edge| edge.is_metal()))
                    .flatten();
                let nearest = steps.and_then(|steps| reached.get(&steps.last()?.point).copied());
                Some((*first, nearest.unwrap_or(*near)))
            })?;
            Some(RoleClash { net, run: None, one, other, exclusion })
        });
        found.extend(by_role.or_else(|| {
            let (one, other) = drivers(network.model(), of, &drawn, &bars)?;
            Some(RoleClash { net, run: None, one, other, exclusion: &DRIVERS })
        }));
    }
    let grounds = Grounds::new(network, pins, &poles);
    for run in pins.runs() {
        let of = pins.of_run(run);
        let sensor = || {
            let sensor = of.iter().find(|pin| pin.role == Some(Role::SensorReturn))?;
            let other = of.iter().find(|pin| grounds.is_of_loads(pin))?;
            Some((*sensor, *other, &SENSOR_GROUND))
        };
        let Some((one, other, exclusion)) = sensor().or_else(|| neutral_on_earth(pins, run)) else { continue };
        found.push(RoleClash { net: network.net(one.point), run: Some(run), one, other, exclusion });
    }
    found
}

/// A neutral that wires join to the earth of another device which has a neutral or line of its own. Where the neutral is earthed on
/// purpose the earth pin is that of the chassis or of the device that has the neutral.
fn neutral_on_earth(pins: &Pins, run: RunId) -> Option<(PinAt, PinAt, &'static Exclusion)> {
    let of = pins.of_run(run);
    let neutrals = || of.iter().filter(|pin| pin.role == Some(Role::Neutral));
    let earths = || of.iter().filter(|pin| pin.role == Some(Role::Earth));
    if earths().any(|earth| neutrals().any(|neutral| neutral.device == earth.device)) {
        return None;
    }
    let is_appliance = |earth: &&PinAt| {
        let of_device = pins.of_device(earth.device).iter();
        of_device.filter(|pin| pins.run(pin.point) != run).any(|pin| matches!(pin.role, Some(Role::Neutral | Role::Line)))
    };
    let earth = earths().find(is_appliance)?;
    Some((*neutrals().next()?, *earth, &NEUTRAL_ON_EARTH))
}

/// Which pins are grounds that carry the current of loads.
struct Grounds<'a> {
    network: &'a Network,
    pins: &'a Pins,
    poles: &'a Poles,
    /// Devices with a load that works by current: a lamp, a motor, a heater, a coil.
    loads: FxHashSet<DeviceId>,
}

impl<'a> Grounds<'a> {
    fn new(network: &'a Network, pins: &'a Pins, poles: &'a Poles) -> Self {
        let loads = network.model().elements().filter_map(|(_, element)| match (&element.kind, element.owner) {
            (ElementKind::Load { kind, .. }, Owner::Device(device)) => {
                kind.is_some_and(LoadKind::works_when_fed).then_some(device)
            }
            _ => None,
        });
        Self { network, pins, poles, loads: loads.collect() }
    }

    /// Whether a pin is such a ground: chassis, earth, the minus of a source, the ground of a load, of a bar, or of a controller that has
    /// returns for its sensors. The one ground of a small controller or sensor is none.
    fn is_of_loads(&self, pin: &PinAt) -> bool {
        let model = self.network.model();
        match pin.role {
            Some(Role::Chassis | Role::Earth) => true,
            Some(Role::Return) => {
                let run = self.pins.run(pin.point);
                let of_device = || self.pins.of_device(pin.device).iter();
                let has_sensor_return = of_device().any(|own| own.role == Some(Role::SensorReturn));
                let is_signal = |own: &PinAt| own.role.is_some_and(is_signal) && !own.role.is_some_and(is_supply);
                model[pin.device].chassis
                    || self.poles.minus.contains(&self.network.net(pin.point)) && self.poles.devices.contains(&pin.device)
                    || self.loads.contains(&pin.device)
                    || has_sensor_return
                    || !of_device().any(|own| self.pins.run(own.point) != run && is_signal(own))
            }
            _ => false,
        }
    }
}

/// Two pins of a net that both drive it: high-side or push-pull, or of a kind that nothing says. Low-side drivers may
/// share, and so may outputs of one device under one signal or behind one bar.
fn drivers(model: &Model, of: &[PinAt], drawn: &IdVec<PointId, bool>, bars: &Components) -> Option<(PinAt, PinAt)> {
    let drives = |pin: &&PinAt| {
        pin.role == Some(Role::Output)
            && match model[pin.pin].drive.map(|drive| drive.value) {
                Some(Drive::HighSide | Drive::PushPull) => true,
                Some(Drive::LowSide) => false,
                // What is drawn inside shows a contact or a resistor; an output without either is taken for a driver.
                None => !drawn[pin.point],
            }
    };
    let mut driving = of.iter().filter(drives);
    let first = driving.next()?;
    let same = |pin: &PinAt| {
        let named = pin.signal.is_some() && pin.signal == first.signal;
        pin.device == first.device && (named || bars.of(pin.point) == bars.of(first.point))
    };
    let other = driving.find(|pin| !same(pin))?;
    Some((*first, *other))
}
