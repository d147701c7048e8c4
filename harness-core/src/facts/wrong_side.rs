//! Devices at one place of the vehicle, left or right, front or rear, that meet a signal of the other.
//!
//! What a device says by `side` counts by itself. A name, of the device or of its zone, counts only where another device has the opposite slip: one
//! lamp alone may be named after the switch beside it.

use super::{
    Facts,
    meetings::Meeting,
    pins::{PinAt, Pins, RunId},
};
use crate::{
    model::{DeviceId, Model},
    vocabulary::{Place, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::VecDeque;

impl Facts {
    /// Devices at one place of the vehicle that meet a signal of the opposite one.
    ///
    /// Asked by `netlist/signal-mismatch`.
    #[must_use]
    pub fn wrong_sides(&self) -> &[WrongSide] {
        self.made.wrong_sides.get_or_init(|| {
            let mixed = self.meetings().iter().filter_map(|meeting| match meeting {
                Meeting::Signals(mixed) => Some(&mixed.runs),
                Meeting::Roles(..) => None,
            });
            let mixed: FxHashSet<RunId> = mixed.flatten().copied().collect();
            let of_pair = |pair| wrong_sides(self.model(), self.pins(), &mixed, pair);
            Place::PAIRS.into_iter().flat_map(of_pair).collect()
        })
    }
}

/// A pin of a device at one place, on a run whose signal names the opposite.
#[derive(Debug, Clone, Copy)]
pub struct WrongSide {
    /// The pin of the device.
    pub pin: PinAt,
    /// Where the device is.
    pub place: Place,
    /// The pin that names the other side.
    pub other: PinAt,
    /// The pin of a device of the other side that meets this side's signal, if there is one.
    pub counterpart: Option<PinAt>,
}

/// The place of a pair that a name has as a word of its own; `None` for neither and for both.
fn named(name: &str, pair: [Place; 2]) -> Option<Place> {
    let mut found = words(name).filter_map(|word| Place::named(&word)).filter(|place| pair.contains(place));
    let first = found.next()?;
    found.all(|other| other == first).then_some(first)
}

fn words(name: &str) -> impl Iterator<Item = String> {
    name.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase)
}

/// What is left of a signal without the words for the places of a pair.
fn base(signal: &str, pair: [Place; 2]) -> Vec<String> {
    words(signal).filter(|word| Place::named(word).is_none_or(|place| !pair.contains(&place))).collect()
}

/// Where a device is, and whether `side` says so.
fn place_of(model: &Model, device: DeviceId, pair: [Place; 2]) -> Option<(Place, bool)> {
    let item = &model[device];
    let said = item.side.and_then(|side| side.value.places().into_iter().flatten().find(|place| pair.contains(place)));
    if let Some(place) = said {
        return Some((place, true));
    }
    let zone = || named(model.text(model[item.zone?].name), pair);
    Some((named(model.device_name(device), pair).or_else(zone)?, false))
}

/// Such pins, one of each swapped pair. Runs that name different signals are a meeting already.
///
/// Cost: linear in the pins.
fn wrong_sides(model: &Model, pins: &Pins, mixed: &FxHashSet<RunId>, pair: [Place; 2]) -> Vec<WrongSide> {
    let mut served = Served { model, pins, pair, by_device: FxHashMap::default() };
    let mut found: Vec<(WrongSide, bool)> = Vec::new();
    let mut said_so: FxHashSet<DeviceId> = FxHashSet::default();
    // Those without a counterpart so far, by what their signals have in common and by the place of their device.
    let mut alone: FxHashMap<(Vec<String>, Place), VecDeque<usize>> = FxHashMap::default();
    for run in pins.runs().filter(|run| !mixed.contains(run)) {
        let of = pins.of_run(run);
        let naming = pair.map(|place| of.iter().find(|pin| named(pin.signal_name(model), pair) == Some(place)));
        let ([first, second], [one, two]) = (pair, naming);
        let (other, gets) = match (one, two) {
            (Some(pin), None) => (pin, first),
            (None, Some(pin)) => (pin, second),
            (None, None) | (Some(_), Some(_)) => continue,
        };
        let signal = other.signal_name(model);
        for pin in of {
            let Some((place, is_said)) = place_of(model, pin.device, pair).filter(|(place, _)| *place != gets) else { continue };
            // A controller at the front has inputs from the rear; what it calls by no side it may well read.
            let reads = (!is_said || pair.contains(&Place::Front)) && pin.role == Some(Role::Input);
            // A device that says it is at one place and names its own signals after the other alone contradicts itself, once for all of them.
            let is_own = is_said && named(pin.signal_name(model), pair) == Some(gets) && !served.has(pin.device, place);
            if reads || served.has(pin.device, gets) && pin.point != other.point && !(is_own && said_so.insert(pin.device)) {
                continue;
            }
            if pin.device == other.device && (!is_said || served.has(pin.device, place)) {
                continue;
            }
            let base = base(signal, pair);
            let opposite = alone.get_mut(&(base.clone(), gets)).and_then(VecDeque::pop_front);
            match opposite.and_then(|at| found.get_mut(at)) {
                Some((known, is_sure)) => {
                    *is_sure = true;
                    known.counterpart = Some(*pin);
                    // The pair has the place of the first signal by name, so that the order of the file does not matter.
                    if signal < known.other.signal_name(model) {
                        let first = std::mem::replace(&mut known.pin, *pin);
                        known.counterpart = Some(first);
                        (known.other, known.place) = (*other, place);
                    }
                }
                None => {
                    alone.entry((base, place)).or_default().push_back(found.len());
                    found.push((WrongSide { pin: *pin, place, other: *other, counterpart: None }, is_said));
                }
            }
        }
    }
    found.into_iter().filter(|(_, is_sure)| *is_sure).map(|(wrong, _)| wrong).collect()
}

/// Of which places the signals of a device are: a switch on the left may serve both.
struct Served<'a> {
    model: &'a Model,
    pins: &'a Pins,
    pair: [Place; 2],
    by_device: FxHashMap<DeviceId, [bool; 2]>,
}

impl Served<'_> {
    fn has(&mut self, device: DeviceId, place: Place) -> bool {
        let of_pair = *self.by_device.entry(device).or_insert_with(|| {
            let places = || self.pins.of_device(device).iter().filter_map(|pin| named(pin.signal_name(self.model), self.pair));
            self.pair.map(|place| places().any(|named| named == place))
        });
        self.pair.iter().zip(of_pair).any(|(one, has)| has && *one == place)
    }
}
