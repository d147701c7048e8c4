//! Devices of one side of the vehicle that meet a signal of the other.

use super::{
    meeting::Meetings,
    names::{PinAt, Pins},
};
use crate::{analysis::Analysis, model::DeviceId, vocabulary::Hand};
use rustc_hash::FxHashSet;

/// A pin of a device of one side on a net whose signal names the other side.
#[derive(Debug)]
pub(super) struct Sided<'m> {
    /// The pin of the device.
    pub(super) pin: PinAt<'m>,
    /// The pin that names the other side.
    pub(super) other: PinAt<'m>,
    /// The pin of a device of the other side that meets this side's signal, if there is one.
    pub(super) counterpart: Option<PinAt<'m>>,
    base: Vec<String>,
    hand: Hand,
}

/// The side that a signal names as a word of its own; `None` for neither and for both.
fn named(signal: &str) -> Option<Hand> {
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

/// Such pins, one of each exchanged pair. Nets that name different signals are told already.
pub(super) fn sided<'m>(analysis: &Analysis, meetings: &Meetings<'m>) -> Vec<Sided<'m>> {
    let pins = &meetings.pins;
    let told: FxHashSet<_> = meetings.signals.iter().flat_map(|mixed| mixed.nets.iter().copied()).collect();
    let mut found: Vec<Sided<'m>> = Vec::new();
    for net in pins.nets().filter(|net| !told.contains(net)) {
        let of = pins.of(net);
        let naming = [Hand::Left, Hand::Right].map(|hand| of.iter().find(|pin| named(pins.signal(pin)) == Some(hand)));
        let other = match naming {
            [Some(pin), None] => pin,
            [None, Some(pin)] => pin,
            _ => continue,
        };
        let signal = pins.signal(other);
        for pin in of {
            let hand = analysis.model().device(pin.device).and_then(|device| device.side).map(|side| side.value);
            let Some(hand) = hand.filter(|hand| Some(*hand) != named(signal)) else { continue };
            if names_other_side(pins, pin.device, hand) && pin.point != other.point {
                continue;
            }
            if pin.device == other.device && names_own_side(pins, pin.device, hand) {
                continue;
            }
            let base: Vec<String> = words(signal)
                .filter(|word| !word.eq_ignore_ascii_case("left") && !word.eq_ignore_ascii_case("right"))
                .map(str::to_lowercase)
                .collect();
            let pair = found.iter_mut().find(|known| known.base == base && known.hand != hand && known.counterpart.is_none());
            match pair {
                Some(known) => {
                    known.counterpart = Some(*pin);
                    // The pair is told at the first signal by name, so that the order of the file does not matter.
                    if signal < pins.signal(&known.other) {
                        let first = std::mem::replace(&mut known.pin, *pin);
                        known.counterpart = Some(first);
                        known.other = *other;
                    }
                }
                None => found.push(Sided { pin: *pin, other: *other, counterpart: None, base, hand }),
            }
        }
    }
    found
}

/// Whether a device has signals of the side on which it does not sit: a switch on the left that serves both.
fn names_other_side(pins: &Pins<'_>, device: DeviceId, hand: Hand) -> bool {
    pins.of_device(device).iter().any(|pin| named(pins.signal(pin)).is_some_and(|named| named != hand))
}

fn names_own_side(pins: &Pins<'_>, device: DeviceId, hand: Hand) -> bool {
    pins.of_device(device).iter().any(|pin| named(pins.signal(pin)) == Some(hand))
}
