//! Devices on one side of the vehicle that meet a signal of the other.

use super::{
    Facts,
    meetings::Meeting,
    pins::{PinAt, Pins, RunId},
};
use crate::{
    model::{DeviceId, Model},
    vocabulary::Hand,
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::VecDeque;

impl Facts {
    /// Devices on one side of the vehicle that meet a signal of the other.
    ///
    /// Asked by `netlist/signal-mismatch`.
    #[must_use]
    pub fn wrong_sides(&self) -> &[WrongSide] {
        self.made.wrong_sides.get_or_init(|| wrong_sides(self.model(), self.pins(), self.meetings()))
    }
}

/// A pin of a device on one side, on a net whose signal names the other.
#[derive(Debug, Clone, Copy)]
pub struct WrongSide {
    /// The pin of the device.
    pub pin: PinAt,
    /// The pin that names the other side.
    pub other: PinAt,
    /// The pin of a device of the other side that meets this side's signal, if there is one.
    pub counterpart: Option<PinAt>,
}

/// The hand that a signal names as a word of its own; `None` for neither and for both.
fn named_hand(signal: &str) -> Option<Hand> {
    let has = |wanted: &str| words(signal).any(|word| word.eq_ignore_ascii_case(wanted));
    match (has("left"), has("right")) {
        (true, false) => Some(Hand::Left),
        (false, true) => Some(Hand::Right),
        _ => None,
    }
}

fn words(signal: &str) -> impl Iterator<Item = &str> {
    signal.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty())
}

/// What is left of a signal without the word for its hand.
fn base(signal: &str) -> Vec<String> {
    words(signal)
        .filter(|word| !word.eq_ignore_ascii_case("left") && !word.eq_ignore_ascii_case("right"))
        .map(str::to_lowercase)
        .collect()
}

/// Such pins, one of each swapped pair. Nets that name different signals are a meeting already.
///
/// Cost: linear in the pins.
fn wrong_sides(model: &Model, pins: &Pins, meetings: &[Meeting]) -> Vec<WrongSide> {
    let mixed = meetings.iter().filter_map(|meeting| match meeting {
        Meeting::Signals(mixed) => Some(&mixed.runs),
        Meeting::Roles(..) => None,
    });
    let mixed: FxHashSet<RunId> = mixed.flatten().copied().collect();
    let mut served = Served { model, pins, by_device: FxHashMap::default() };
    let mut found: Vec<WrongSide> = Vec::new();
    // Those without a counterpart so far, by what their signals have in common and by the hand of their device.
    let mut alone: FxHashMap<(Vec<String>, Hand), VecDeque<usize>> = FxHashMap::default();
    for run in pins.runs().filter(|run| !mixed.contains(run)) {
        let of = pins.of_run(run);
        let naming = [Hand::Left, Hand::Right].map(|hand| of.iter().find(|pin| named_hand(pin.signal_name(model)) == Some(hand)));
        let (other, signal_hand) = match naming {
            [Some(pin), None] => (pin, Hand::Left),
            [None, Some(pin)] => (pin, Hand::Right),
            [None, None] | [Some(_), Some(_)] => continue,
        };
        let signal = other.signal_name(model);
        for pin in of {
            let Some(hand) = model[pin.device].side.and_then(|side| side.value.hand()).filter(|hand| *hand != signal_hand) else {
                continue;
            };
            if served.has(pin.device, signal_hand) && pin.point != other.point {
                continue;
            }
            if pin.device == other.device && served.has(pin.device, hand) {
                continue;
            }
            let base = base(signal);
            let opposite = alone.get_mut(&(base.clone(), signal_hand)).and_then(VecDeque::pop_front);
            match opposite.and_then(|at| found.get_mut(at)) {
                Some(known) => {
                    known.counterpart = Some(*pin);
                    // The pair has the place of the first signal by name, so that the order of the file does not matter.
                    if signal < known.other.signal_name(model) {
                        let first = std::mem::replace(&mut known.pin, *pin);
                        known.counterpart = Some(first);
                        known.other = *other;
                    }
                }
                None => {
                    alone.entry((base, hand)).or_default().push_back(found.len());
                    found.push(WrongSide { pin: *pin, other: *other, counterpart: None });
                }
            }
        }
    }
    found
}

/// Of which sides the signals of a device are: a switch on the left may serve both.
struct Served<'a> {
    model: &'a Model,
    pins: &'a Pins,
    by_device: FxHashMap<DeviceId, [bool; 2]>,
}

impl Served<'_> {
    fn has(&mut self, device: DeviceId, hand: Hand) -> bool {
        let [left, right] = *self.by_device.entry(device).or_insert_with(|| {
            let hands = || self.pins.of_device(device).iter().filter_map(|pin| named_hand(pin.signal_name(self.model)));
            [Hand::Left, Hand::Right].map(|hand| hands().any(|named| named == hand))
        });
        match hand {
            Hand::Left => left,
            Hand::Right => right,
        }
    }
}
