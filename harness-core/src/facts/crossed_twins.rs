//! Devices of one kind whose wires are crossed: each gets the signal that is named after the other one.
//!
//! A device kind names its pins once for all devices of that kind, so `coil` fits the coil wire of every starter. The devices
//! differ by their own names: where `pump-one` meets `pump two coil` and the same pin of `pump-two` meets `pump one coil`, the wires are
//! crossed. Both have to be: one alone may be a name that only looks like it.
//!
//! Cost: for each kind that several devices have, the pairs of its devices, at most so many.

use super::{
    Facts,
    meetings::Meeting,
    names::Label,
    pins::{PinAt, Pins, RunId},
};
use crate::{
    arena::IdVec,
    model::{DeviceId, Model},
};
use rustc_hash::FxHashSet;
use std::cell::OnceCell;

impl Facts {
    /// Pairs of devices of one kind whose wires are crossed, in the order of their pins.
    ///
    /// Asked by `netlist/signal-mismatch`.
    #[must_use]
    pub fn crossed_twins(&self) -> &[CrossedTwins] {
        self.made.crossed_twins.get_or_init(|| crossed_twins(self.model(), self.pins(), self.meetings()))
    }
}

/// Devices of one kind that are compared each with each.
const MOST_COMPARED: usize = 32;

/// Two devices of one kind, each with signals that are named after the other.
#[derive(Debug)]
pub struct CrossedTwins {
    /// For each crossed pin: the pin of the first device with the pin that it meets, then the same of the second device.
    pub pins: Vec<[(PinAt, PinAt); 2]>,
}

/// The names of devices, each read once.
struct Names<'m> {
    model: &'m Model,
    read: IdVec<DeviceId, OnceCell<Label>>,
}

impl Names<'_> {
    fn of(&self, device: DeviceId) -> &Label {
        self.read[device].get_or_init(|| Label::of(self.model.device_name(device)))
    }
}

/// Words of a device's name that the other one's lacks.
fn own_words<'l>(own: &'l Label, other: &Label) -> Vec<&'l str> {
    own.words.iter().filter(|word| !other.words.contains(word)).map(String::as_str).collect()
}

fn crossed_twins(model: &Model, pins: &Pins, meetings: &[Meeting]) -> Vec<CrossedTwins> {
    let mixed: FxHashSet<RunId> = meetings
        .iter()
        .flat_map(|meeting| match meeting {
            Meeting::Signals(mixed) | Meeting::Roles(_, mixed) => mixed.runs.iter().copied(),
        })
        .collect();
    let names = Names { model, read: model.devices().map(|_| OnceCell::new()).collect() };
    let mut found: Vec<((DeviceId, DeviceId), CrossedTwins)> = Vec::new();
    for twins in pins.twins() {
        let of_kind = twins.get(..twins.len().min(MOST_COMPARED)).unwrap_or_default();
        for (at, one) in of_kind.iter().enumerate() {
            for two in of_kind.iter().skip(at + 1).filter(|two| two.device != one.device) {
                let (run, its_run) = (pins.run(one.point), pins.run(two.point));
                if run == its_run || mixed.contains(&run) || mixed.contains(&its_run) {
                    continue;
                }
                let (mine, its) = (names.of(one.device), names.of(two.device));
                let (mine, its) = (own_words(mine, its), own_words(its, mine));
                let named_after =
                    |run: RunId, of: DeviceId, own: &[&str], other: &[&str]| named_after(&names, pins, (run, of), own, other);
                let first = named_after(run, one.device, &its, &mine);
                let Some(first) = first else { continue };
                let Some(second) = named_after(its_run, two.device, &mine, &its) else { continue };
                let pair = [(*one, first), (*two, second)];
                let key = (one.device, two.device);
                match found.iter_mut().find(|(known, _)| *known == key) {
                    Some((_, twins)) => twins.pins.push(pair),
                    None => found.push((key, CrossedTwins { pins: vec![pair] })),
                }
            }
        }
    }
    found.into_iter().map(|(_, twins)| twins).collect()
}

/// The pin on a run, of another device than `of`, that is named with one of `these` words where none on the run has one of `those`. A
/// pin that has its name from a kind is known by the name of its device too.
fn named_after(names: &Names<'_>, pins: &Pins, (run, of): (RunId, DeviceId), these: &[&str], those: &[&str]) -> Option<PinAt> {
    let mut found = None;
    for pin in pins.of_run(run).iter().filter(|pin| pin.device != of) {
        let own = pins.named_as(pin).map(|named| named.label);
        let device = pins.is_of_a_kind(pin).then(|| names.of(pin.device));
        let labels = own.into_iter().chain(device);
        let (mut is_these, mut is_those) = (false, false);
        for word in labels.flat_map(|label| &label.words) {
            is_these |= these.contains(&word.as_str());
            is_those |= those.contains(&word.as_str());
        }
        if is_those {
            return None;
        }
        if found.is_none() && is_these {
            found = Some(*pin);
        }
    }
    found
}
