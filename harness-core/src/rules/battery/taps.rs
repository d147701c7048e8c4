//! What measures the cells of a string: pins that say which tap they are.

use super::parts::conducts;
use crate::{
    analysis::Analysis,
    electrical::battery::Strings,
    model::{PointId, PointKind},
    network::resistor,
    quantity::Volt,
    text::Span,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// A pin that measures a point of a string.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tap {
    /// Its number, from the negative end.
    pub(super) number: u32,
    /// Where the number stands.
    pub(super) span: Span,
    /// The pin.
    pub(super) point: PointId,
    /// The tree of sources that it hangs on, and its height there; `None` where it hangs on none.
    pub(super) height: Option<(u32, Volt)>,
}

/// Taps that are counted together, by their numbers.
#[derive(Debug)]
pub(super) struct Group {
    /// What is counted: a device, or one port of a device in which numbers come twice.
    pub(super) name: String,
    /// The taps.
    pub(super) taps: Vec<Tap>,
}

/// All groups of taps, in the order written.
pub(super) fn groups(analysis: &Analysis, strings: &Strings) -> Vec<Group> {
    let model = analysis.model();
    let mut order = Vec::new();
    let mut by_device: FxHashMap<crate::model::DeviceId, Vec<(crate::model::PortId, Tap)>> = FxHashMap::default();
    for (id, point) in model.points() {
        let Some(number) = point.pin.and_then(|pin| model.pin(pin)).and_then(|pin| pin.tap) else { continue };
        let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { continue };
        let Some(device) =
            model.port(port).map(|port| port.device).filter(|id| model.device(*id).is_some_and(|device| device.fitted))
        else {
            continue;
        };
        let tap = Tap { number: number.value, span: number.span, point: id, height: height(analysis, strings, id) };
        let of = by_device.entry(device).or_default();
        if of.is_empty() {
            order.push(device);
        }
        of.push((port, tap));
    }
    let mut groups = Vec::new();
    for device in order {
        let Some(taps) = by_device.remove(&device) else { continue };
        let numbers: FxHashSet<u32> = taps.iter().map(|(_, tap)| tap.number).collect();
        if numbers.len() == taps.len() {
            groups
                .push(Group { name: model.device_name(device).to_owned(), taps: taps.into_iter().map(|(_, tap)| tap).collect() });
        } else {
            // Points of one port stand side by side.
            groups.extend(taps.chunk_by(|a, b| a.0 == b.0).filter_map(|port| {
                let taps = port.iter().map(|(_, tap)| *tap).collect();
                Some(Group { name: model.port_name(port.first()?.0), taps })
            }));
        }
    }
    for group in &mut groups {
        group.taps.sort_by_key(|tap| tap.number);
    }
    groups
}

/// The height of a pin; one that hangs on resistors stands as high as what lies behind them.
fn height(analysis: &Analysis, strings: &Strings, pin: PointId) -> Option<(u32, Volt)> {
    if let Some(height) = strings.height(pin) {
        return Some(height);
    }
    let passes = |edge: &crate::network::Edge| conducts(analysis.model(), edge) || resistor(analysis.model(), edge).is_some();
    let steps = analysis.network().path(pin, |point| strings.height(point).is_some(), |_, edge| passes(edge))?;
    strings.height(steps.last()?.point)
}
