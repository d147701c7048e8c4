//! What happens where two positions meet that were never meant to: the table of consequences, asked by signatures.
//!
//! A meeting of two positions says most. What needs two positions (a load connected backwards, a short through what joins two pins of the
//! other half) is put together in `judge`.

use super::{poles::Pole, spots::Kind};
use crate::{
    model::{Domain, Model},
    quantity::Volt,
    standards::made_for::MadeFor,
    vocabulary::{Drive, Role},
};
use std::cmp::Ordering;

/// How much a swap matters, the least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Grade {
    /// Nothing changes.
    Harmless,
    /// Something does not work, or works when it should not; put back, all is well.
    Mixed,
    /// A fact is missing that decides it.
    Unjudged,
    /// Something is damaged.
    Damage,
    /// Someone may be hurt, or nothing ends a short.
    Danger,
}

impl Grade {
    /// How many there are.
    pub(super) const ALL: usize = Self::Danger as usize + 1;
}

/// What follows from a swap, at its worst position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Effect {
    /// The same things meet as before.
    Same,
    /// Signals or supplies of other things meet.
    Swapped,
    /// A position meets one with nothing behind it.
    Unconnected,
    /// A supply of less than what it feeds is made for.
    TooLow,
    /// A supply at an input made for its voltage: the input is always on.
    AlwaysOn,
    /// A return at an input or bus line: it is dead.
    HeldDown,
    /// A return where an output switches loads to their minus: they are on, whatever the output does.
    TurnedOn,
    /// A supply on a return that limits itself to what its wires carry.
    PulledDown,
    /// Two feeds of one voltage: each bypasses the fuse and the switch of the other.
    FeedsJoined,
    /// A load that works either way is connected backwards.
    Backwards,
    /// A supply at a pin of which the design does not say what it takes.
    Unknown,
    /// Two outputs drive against each other.
    Outputs,
    /// An output on a return or supply.
    OutputShorted,
    /// A supply at a bus line, a sensor supply or the line of an inlet.
    SupplyOnLine,
    /// A load that minds its polarity is connected backwards.
    Reversed,
    /// A supply at a return pin of which nothing more is drawn: a short or a load connected backwards.
    SupplyOnReturn,
    /// A supply of more than what it feeds is made for.
    TooHigh,
    /// Two taps of a string of cells.
    Taps,
    /// Two sources of different voltage.
    Sources,
    /// A supply at a case or protective earth that leads nowhere.
    LiveCase,
    /// A supply on a return.
    Short {
        /// No fuse is on the way from its source.
        is_unfused: bool,
    },
    /// Class B meets class A, the chassis or earth.
    Classes,
}

impl Effect {
    /// How much it matters.
    #[must_use]
    pub fn grade(self, is_class_b: bool) -> Grade {
        match self {
            Self::Same => Grade::Harmless,
            Self::Swapped | Self::Unconnected | Self::TooLow | Self::AlwaysOn | Self::HeldDown => Grade::Mixed,
            Self::TurnedOn | Self::PulledDown | Self::FeedsJoined | Self::Backwards => Grade::Mixed,
            Self::Unknown => Grade::Unjudged,
            Self::Outputs | Self::OutputShorted | Self::SupplyOnLine | Self::Reversed | Self::SupplyOnReturn => Grade::Damage,
            Self::TooHigh | Self::Taps | Self::Sources => Grade::Damage,
            Self::Short { is_unfused } if is_unfused || is_class_b => Grade::Danger,
            Self::Short { .. } => Grade::Damage,
            Self::LiveCase if is_class_b => Grade::Danger,
            Self::LiveCase => Grade::Damage,
            Self::Classes => Grade::Danger,
        }
    }
}

/// What one position does to another: the effect by itself, and what becomes one with the meeting of a second position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Meeting {
    pub effect: Effect,
    /// A plus is at the minus side of a load, a minus at its plus side; whether it minds.
    pub backwards: Option<(Pole, bool)>,
    pub is_class_b: bool,
}

/// What happens where two positions meet; the order of the two does not matter.
pub(super) fn meet(model: &Model, one: &Kind, other: &Kind) -> Meeting {
    let is_b = |kind: &Kind| kind.domain().is_some_and(|domain| model[domain].is_class_b());
    let is_class_b = is_b(one) || is_b(other);
    let plain = |effect| Meeting { effect, backwards: None, is_class_b };
    if one.is_empty || other.is_empty {
        return plain(if one.is_empty && other.is_empty { Effect::Same } else { Effect::Unconnected });
    }
    if is_class_b && one.potential.is_some() && other.potential.is_some() && is_b(one) != is_b(other) {
        return plain(Effect::Classes);
    }
    let (own, its) = (one.pole, other.pole);
    match (own, its) {
        (Some(Pole::Plus), Some(Pole::Minus)) => plain(short(one)),
        (Some(Pole::Minus), Some(Pole::Plus)) => plain(short(other)),
        (Some(Pole::Plus), Some(Pole::Plus)) => plain(sources(model, one, other)),
        (Some(Pole::Minus), Some(Pole::Minus)) => plain(Effect::Same),
        (Some(pole), None) => on_passive(model, (pole, one), other, is_class_b),
        (None, Some(pole)) => on_passive(model, (pole, other), one, is_class_b),
        (None, None) => plain(passive(model, one, other).max(passive(model, other, one))),
    }
}

/// A supply on a return.
pub(super) fn short(plus: &Kind) -> Effect {
    if plus.is_borne { Effect::PulledDown } else { Effect::Short { is_unfused: plus.is_unfused } }
}

fn sources(model: &Model, one: &Kind, other: &Kind) -> Effect {
    if one.is_bridge || other.is_bridge {
        return Effect::OutputShorted;
    }
    match (one.domain(), other.domain()) {
        (Some(_), Some(_)) => match compare(model, one, other) {
            Some(Ordering::Equal) => Effect::FeedsJoined,
            Some(_) => Effect::Sources,
            None => Effect::Unknown,
        },
        _ => Effect::FeedsJoined,
    }
}

/// The supply of the one against what the other is made for; `None` where a voltage is not known.
fn compare(model: &Model, supply: &Kind, other: &Kind) -> Option<Ordering> {
    let of_domain = |kind: &Kind| kind.domain().map(|domain| &model[domain]);
    let (given, its) = (of_domain(supply), of_domain(other));
    if let (Some(given), Some(its)) = (given, its)
        && given.ac != its.ac
    {
        return Some(Ordering::Greater);
    }
    let nominal = |domain: &Domain| domain.nominal;
    let volts = supply.volts().or(given.map(nominal))?;
    // What a load is made for comes before what it is given, and that before what its pin is named for.
    let wanted = other.made_for().or(other.volts()).or(its.map(nominal))?;
    if wanted <= Volt::ZERO || volts <= Volt::ZERO {
        return None;
    }
    let made_for = MadeFor { least: wanted, most: wanted, is_range: false, kind: None };
    Some(match () {
        () if made_for.suits(volts) => Ordering::Equal,
        () if volts > wanted => Ordering::Greater,
        () => Ordering::Less,
    })
}

/// The roles of lines that carry a signal both ways or by its level alone, and that take no supply.
fn is_line(kind: &Kind) -> bool {
    kind.roles.iter().any(|role| {
        matches!(role, Role::CanHigh | Role::CanLow | Role::Lin | Role::Pilot | Role::Proximity | Role::Bidirectional)
    })
}

fn is_return(kind: &Kind) -> bool {
    kind.roles.iter().any(|role| matches!(role, Role::Return | Role::SensorReturn | Role::Neutral))
}

fn is_case(kind: &Kind) -> bool {
    kind.has(Role::Earth) || kind.has(Role::Chassis)
}

/// Whether something drives it: an output, a phase, a sensor supply.
fn is_driven(kind: &Kind) -> bool {
    !kind.drives.is_empty() || kind.has(Role::Reference) || kind.has(Role::Phase)
}

/// A pole of a source on a position that none holds.
fn on_passive(model: &Model, (pole, held): (Pole, &Kind), other: &Kind, is_class_b: bool) -> Meeting {
    let minds = |is_plus: bool| {
        let of_side = other.loads.iter().filter(|load| load.is_plus == is_plus);
        of_side.clone().next().map(|_| of_side.clone().any(|load| load.is_polarised))
    };
    let plain = |effect| Meeting { effect, backwards: None, is_class_b };
    let all = |wanted: Drive| !other.drives.is_empty() && other.drives.iter().all(|drive| *drive == Some(wanted));
    match pole {
        Pole::Plus if is_case(other) => plain(Effect::LiveCase),
        Pole::Plus if is_line(other) => plain(Effect::SupplyOnLine),
        Pole::Plus if other.has(Role::Phase) => plain(Effect::OutputShorted),
        // The supply of a sensor is given at one side and taken at the other; what the design gives it says which.
        Pole::Plus if other.has(Role::Reference) && other.loads.is_empty() => plain(match compare(model, held, other) {
            Some(Ordering::Greater) => Effect::TooHigh,
            Some(Ordering::Less) => Effect::TooLow,
            Some(Ordering::Equal) if other.millivolts.is_some() => Effect::Swapped,
            Some(Ordering::Equal) | None => Effect::Unknown,
        }),
        Pole::Plus if !other.drives.is_empty() => {
            let is_same = held.domain() == other.domain();
            plain(if all(Drive::HighSide) && is_same { Effect::FeedsJoined } else { Effect::OutputShorted })
        }
        Pole::Plus if other.loads.is_empty() && is_return(other) => {
            plain(if held.is_switched && other.has(Role::SensorReturn) { Effect::Unknown } else { Effect::SupplyOnReturn })
        }
        // Loads at both sides: the conductor between two in series, or the return that several share.
        Pole::Plus => {
            let only_minus = minds(false).filter(|_| minds(true).is_none());
            // More than its voltage burns what works either way, too.
            let is_too_high = || compare(model, held, other) == Some(Ordering::Greater);
            let backwards = only_minus.map(|is_polarised| (Pole::Plus, is_polarised || is_too_high()));
            let takes = !other.is_contact && (other.has(Role::Supply) || other.has(Role::Input) || !other.loads.is_empty());
            let effect = match compare(model, held, other).filter(|_| takes) {
                Some(Ordering::Greater) => Effect::TooHigh,
                Some(Ordering::Less) => Effect::TooLow,
                Some(Ordering::Equal) if other.has(Role::Input) => Effect::AlwaysOn,
                None if takes => Effect::Unknown,
                Some(Ordering::Equal) | None => Effect::Swapped,
            };
            Meeting { effect: if backwards.is_some() { Effect::Swapped } else { effect }, backwards, is_class_b }
        }
        Pole::Minus if is_driven(other) && !all(Drive::LowSide) => plain(Effect::OutputShorted),
        Pole::Minus if is_driven(other) || is_line(other) || other.has(Role::Input) => {
            plain(if minds(false).is_some() && minds(true).is_none() { Effect::TurnedOn } else { Effect::HeldDown })
        }
        Pole::Minus => {
            let is_supply = other.has(Role::Supply) && other.loads.is_empty();
            let only_plus = minds(true).filter(|_| minds(false).is_none()).or(is_supply.then_some(true));
            let backwards = only_plus.map(|is_polarised| (Pole::Minus, is_polarised));
            let effect = if backwards.is_some() { Effect::Unconnected } else { Effect::Swapped };
            Meeting { effect, backwards, is_class_b }
        }
    }
}

/// What a position that no source holds does to another one.
fn passive(model: &Model, one: &Kind, other: &Kind) -> Effect {
    let low = |kind: &Kind| kind.drives.iter().all(|drive| *drive == Some(Drive::LowSide));
    let high = |kind: &Kind| kind.drives.iter().all(|drive| *drive == Some(Drive::HighSide));
    let same = one.domain().is_some() && one.domain() == other.domain();
    if !one.drives.is_empty() {
        if !other.drives.is_empty() {
            let is_shared = low(one) && low(other) || high(one) && high(other) && same;
            return if is_shared { Effect::Swapped } else { Effect::Outputs };
        }
        if other.has(Role::Reference) || other.has(Role::Phase) {
            return Effect::Outputs;
        }
        if is_return(other) && other.loads.is_empty() || is_case(other) {
            return if low(one) { Effect::HeldDown } else { Effect::OutputShorted };
        }
        let takes = other.has(Role::Input) || is_line(other);
        if takes && !low(one) && compare(model, one, other) == Some(Ordering::Greater) {
            return Effect::TooHigh;
        }
        return Effect::Swapped;
    }
    if one.has(Role::Reference) {
        if is_return(other) || is_case(other) {
            return Effect::OutputShorted;
        }
        if other.has(Role::Reference) && !same || other.has(Role::Phase) {
            return Effect::Outputs;
        }
    }
    if one.has(Role::Phase) && !other.has(Role::Phase) {
        return Effect::OutputShorted;
    }
    let says_nothing = |kind: &Kind| kind.roles.is_empty() && kind.loads.is_empty();
    if one.has(Role::Supply) && one.loads.is_empty() && (is_return(other) || is_case(other)) && other.loads.is_empty() {
        return Effect::Unknown;
    }
    if one.has(Role::CanHigh) && other.has(Role::CanLow) {
        return Effect::HeldDown;
    }
    if says_nothing(one) && says_nothing(other) {
        return Effect::Same;
    }
    Effect::Swapped
}
