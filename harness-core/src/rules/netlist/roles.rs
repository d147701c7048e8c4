//! Which roles can't share a net.

use super::names::{PinAt, Pins};
use crate::{
    analysis::Analysis,
    model::{DeviceId, ElementKind, Model},
    network::NetId,
    vocabulary::{Drive, Role},
};
use rustc_hash::FxHashSet;

/// Two pins of one net whose roles exclude each other.
#[derive(Debug, Clone, Copy)]
pub(super) struct Conflict {
    pub(super) net: NetId,
    pub(super) one: usize,
    pub(super) other: usize,
    pub(super) clash: &'static Clash,
}

/// Roles that exclude each other, and what comes of it.
#[derive(Debug)]
pub(super) struct Clash {
    one: fn(Role) -> bool,
    other: fn(Role) -> bool,
    /// What comes of it, for the label.
    pub(super) effect: &'static str,
    /// A short circuit of a supply.
    pub(super) hot: bool,
}

fn is_supply(role: Role) -> bool {
    matches!(role, Role::Supply | Role::Reference)
}
fn is_ground(role: Role) -> bool {
    matches!(role, Role::Return | Role::Chassis | Role::Earth | Role::SensorReturn)
}
fn is_signal(role: Role) -> bool {
    use Role::{Bidirectional, CanHigh, CanLow, Input, Interlock, Lin, Line, Output, Phase, Pilot, Proximity, Reference, Supply};
    matches!(
        role,
        Bidirectional
            | CanHigh
            | CanLow
            | Input
            | Interlock
            | Lin
            | Line
            | Output
            | Phase
            | Pilot
            | Proximity
            | Reference
            | Supply
    )
}

static CLASHES: [Clash; 6] = [
    Clash { one: is_supply, other: is_ground, effect: "a short circuit as soon as both are alive", hot: true },
    Clash {
        one: |role| role == Role::Line,
        other: |role| matches!(role, Role::Neutral | Role::Earth),
        effect: "a short circuit as soon as the line is alive",
        hot: true,
    },
    Clash {
        one: |role| role == Role::CanHigh,
        other: |role| role == Role::CanLow,
        effect: "the bus can't signal: its two lines are one",
        hot: false,
    },
    Clash {
        one: |role| role == Role::Screen,
        other: is_signal,
        effect: "the screen carries a signal in place of keeping it in",
        hot: false,
    },
    Clash {
        one: |role| role == Role::Pilot,
        other: |role| role == Role::Proximity,
        effect: "the charging equipment can't tell the state of the vehicle",
        hot: false,
    },
    Clash { one: |_| false, other: |_| false, effect: "two drivers work against each other", hot: false },
];

/// The first conflict of each net, in the order of the nets.
pub(super) fn conflicts(analysis: &Analysis, pins: &Pins<'_>) -> Vec<Conflict> {
    let poles = poles(analysis);
    let touched = touched(analysis.model());
    let mut found = Vec::new();
    for net in pins.nets() {
        let of = pins.of(net);
        if of.len() < 2 {
            continue;
        }
        let series = poles.series(net);
        let by_role = CLASHES.iter().find_map(|clash| {
            let suits = |pin: &&PinAt<'_>, wanted: fn(Role) -> bool| pin.role().is_some_and(wanted);
            // Where the minus of one source meets the plus of the next, they stand in series.
            let counts = |pin: &&PinAt<'_>| !(clash.hot && series && poles.devices.contains(&pin.device));
            let one = of.iter().position(|pin| suits(&pin, clash.one) && counts(&pin))?;
            let domain = of.get(one)?.domain;
            let other = of.iter().position(|pin| {
                let crossing = domain.is_some() && pin.domain.is_some() && pin.domain != domain;
                suits(&pin, clash.other) && counts(&pin) && !(clash.hot && crossing)
            })?;
            Some(Conflict { net, one, other, clash })
        });
        found.extend(by_role.or_else(|| {
            drivers(of, &touched).and_then(|(one, other)| Some(Conflict { net, one, other, clash: CLASHES.last()? }))
        }));
    }
    found
}

/// Two pins of a net that both drive it: high-side or push-pull, or of a kind that nothing tells. Low-side drivers may
/// share, and so may outputs of one device under one signal.
fn drivers(of: &[PinAt<'_>], touched: &[bool]) -> Option<(usize, usize)> {
    let drives = |pin: &PinAt<'_>| match pin.pin.drive.map(|drive| drive.value) {
        _ if pin.role() != Some(Role::Output) => false,
        Some(Drive::HighSide | Drive::PushPull) => true,
        Some(Drive::LowSide) => false,
        // What is drawn inside shows a contact or a resistor; an output without either is taken for a driver.
        None => touched.get(pin.point.index()) != Some(&true),
    };
    let one = of.iter().position(drives)?;
    let first = of.get(one)?;
    let same = |pin: &PinAt<'_>| pin.device == first.device && pin.signal.is_some() && pin.signal == first.signal;
    let other = of.iter().enumerate().skip(one + 1).find(|(_, pin)| drives(pin) && !same(pin))?;
    Some((one, other.0))
}

/// Points at which an element stands.
pub(super) fn touched(model: &Model) -> Vec<bool> {
    let mut touched = vec![false; model.points().len()];
    for point in model.elements().flat_map(|(_, element)| element.points.iter()) {
        if let Some(slot) = touched.get_mut(point.index()) {
            *slot = true;
        }
    }
    touched
}

/// Where the poles of sources are.
#[derive(Debug, Default)]
struct Poles {
    plus: FxHashSet<NetId>,
    minus: FxHashSet<NetId>,
    devices: FxHashSet<DeviceId>,
}

impl Poles {
    fn series(&self, net: NetId) -> bool {
        self.plus.contains(&net) && self.minus.contains(&net)
    }
}

fn poles(analysis: &Analysis) -> Poles {
    let mut poles = Poles::default();
    for (_, element) in analysis.model().elements() {
        let (ElementKind::Source { .. }, [plus, minus]) = (&element.kind, &*element.points) else { continue };
        let (plus, minus) = (analysis.network().net(*plus), analysis.network().net(*minus));
        // A source with both poles on one net is shorted, not in series with another.
        if plus == minus {
            continue;
        }
        poles.plus.insert(plus);
        poles.minus.insert(minus);
        if let crate::model::Owner::Device(device) = element.owner {
            poles.devices.insert(device);
        }
    }
    poles
}
