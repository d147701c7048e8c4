//! What measures the cells of a string: pins that say which tap they are.

use super::Facts;
use crate::{
    model::{DeviceId, PointId, PointKind, PortId},
    quantity::Volt,
    text::Span,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// A pin that measures a point of a string.
#[derive(Debug, Clone, Copy)]
pub struct Tap {
    /// Its number, from the negative end.
    pub number: u32,
    /// Where the number is.
    pub span: Span,
    /// The pin.
    pub point: PointId,
    /// The tree of sources that it hangs on, and its height there; `None` where it hangs on none.
    pub height: Option<(u32, Volt)>,
}

/// Taps that are counted together, by their numbers.
#[derive(Debug)]
pub struct TapGroup {
    /// What is counted: a device, or one port of a device in which numbers come twice.
    pub name: String,
    /// The taps.
    pub taps: Vec<Tap>,
}

impl Facts {
    /// All groups of taps, in the order written.
    ///
    /// Cost: one pass over the points; for a tap behind resistors a short walk. Asked by the rules of taps.
    #[must_use]
    pub fn taps(&self) -> &[TapGroup] {
        self.made.taps.get_or_init(|| groups(self))
    }
}

fn groups(facts: &Facts) -> Vec<TapGroup> {
    let model = facts.model();
    let mut of_devices: Vec<(DeviceId, Vec<(PortId, Tap)>)> = Vec::new();
    let mut place_of: FxHashMap<DeviceId, usize> = FxHashMap::default();
    for (id, point) in model.points() {
        let Some(number) = point.pin.and_then(|pin| model[pin].tap) else { continue };
        let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { continue };
        let device = model[port].device;
        if !model[device].fitted {
            continue;
        }
        let tap = Tap { number: number.value, span: number.span, point: id, height: height(facts, id) };
        let place = *place_of.entry(device).or_insert(of_devices.len());
        match of_devices.get_mut(place) {
            Some((_, taps)) => taps.push((port, tap)),
            None => of_devices.push((device, vec![(port, tap)])),
        }
    }
    let of_ports = |taps: &[(PortId, Tap)]| taps.iter().map(|(_, tap)| *tap).collect();
    let mut groups = Vec::new();
    for (device, taps) in &of_devices {
        let numbers: FxHashSet<u32> = taps.iter().map(|(_, tap)| tap.number).collect();
        if numbers.len() == taps.len() {
            groups.push(TapGroup { name: model.device_name(*device).to_owned(), taps: of_ports(taps) });
            continue;
        }
        // Points of one port stand side by side.
        for taps in taps.chunk_by(|a, b| a.0 == b.0) {
            let name = taps.first().map(|(port, _)| model.port_name(*port)).unwrap_or_default();
            groups.push(TapGroup { name, taps: of_ports(taps) });
        }
    }
    for group in &mut groups {
        group.taps.sort_by_key(|tap| tap.number);
    }
    groups
}

/// The height of a pin; one that hangs on resistors is as high as what is behind them.
fn height(facts: &Facts, pin: PointId) -> Option<(u32, Volt)> {
    let batteries = facts.batteries();
    if let Some(height) = batteries.height(pin) {
        return Some(height);
    }
    let steps = facts.network().path(pin, |point| batteries.height(point).is_some(), |_, edge| edge.role.leads_measurement())?;
    batteries.height(steps.last()?.point)
}
