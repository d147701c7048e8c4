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
    /// Where the number is written.
    pub span: Span,
    /// The pin.
    pub point: PointId,
    /// The tree of sources that it hangs on, and its height there; `None` where it hangs on none.
    pub height: Option<(u32, Volt)>,
}

/// Taps that are counted together, by their numbers.
#[derive(Debug)]
pub struct TapGroup {
    /// What is counted: a device, or one port of a device in which numbers restart.
    pub name: String,
    /// The device.
    pub device: DeviceId,
    /// The port, where the numbers restart at each; then they go on from port to port in the order of the ports' names.
    pub port: Option<PortId>,
    /// The taps.
    pub taps: Vec<Tap>,
    /// Whether the design gives their numbers; else they are counted by their positions in the connector.
    pub is_numbered: bool,
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
        // Points of one port are side by side.
        let mut ports: Vec<&[(PortId, Tap)]> = taps.chunk_by(|a, b| a.0 == b.0).collect();
        if count_on(&ports) {
            groups.push(TapGroup {
                name: model.device_name(*device).to_owned(),
                device: *device,
                port: None,
                taps: of_ports(taps),
                is_numbered: true,
            });
            continue;
        }
        ports.sort_by_key(|taps| taps.first().map(|(port, _)| natural(model.text(model[*port].name))));
        for taps in ports {
            let port = taps.first().map(|(port, _)| *port);
            let name = port.map(|port| model.port_name(port)).unwrap_or_default();
            groups.push(TapGroup { name, device: *device, port, taps: of_ports(taps), is_numbered: true });
        }
    }
    groups.extend(by_position(facts, &place_of));
    for group in &mut groups {
        group.taps.sort_by_key(|tap| tap.number);
    }
    groups
}

/// The pins of one port of a device, each with the place of its signal.
type PortTaps = (DeviceId, PortId, Vec<(PointId, Span)>);

/// The taps of devices whose pins say no more than `tap`, port by port in the order of the positions. Where most of them fall, the connectors are
/// counted from the other end.
fn by_position(facts: &Facts, numbered: &FxHashMap<DeviceId, usize>) -> Vec<TapGroup> {
    let model = facts.model();
    let mut ports: Vec<PortTaps> = Vec::new();
    for (id, point) in model.points() {
        let PointKind::Pin(port) = point.kind else { continue };
        let device = model[port].device;
        let Some(signal) = point.pin.and_then(|pin| model[pin].signal) else { continue };
        if numbered.contains_key(&device) || !model[device].fitted || !is_tap(model.text(signal.value)) {
            continue;
        }
        match ports.last_mut().filter(|(_, known, _)| *known == port) {
            Some((.., points)) => points.push((id, signal.span)),
            None => ports.push((device, port, vec![(id, signal.span)])),
        }
    }
    ports.retain(|(.., points)| points.len() >= FEWEST);
    let mut groups: Vec<TapGroup> = Vec::new();
    for device in ports.chunk_by(|one, other| one.0 == other.0) {
        let taps = |points: &[(PointId, Span)]| -> Vec<Tap> {
            let tap = |(at, (point, span)): (usize, &(PointId, Span))| Tap {
                number: at as u32,
                span: *span,
                point: *point,
                height: height(facts, *point),
            };
            points.iter().enumerate().map(tap).collect()
        };
        let mut own: Vec<(PortId, Vec<Tap>)> = device.iter().map(|(_, port, points)| (*port, taps(points))).collect();
        let rises = |pair: &[Tap]| match pair {
            [low, high] => i32::from(rise(low, high) > 0.0) - i32::from(rise(low, high) < 0.0),
            _ => 0,
        };
        own.sort_by_key(|(port, _)| natural(model.text(model[*port].name)));
        if own.iter().flat_map(|(_, taps)| taps.windows(2)).map(rises).sum::<i32>() < 0 {
            own.reverse();
            for (_, taps) in &mut own {
                taps.reverse();
                (0..).zip(taps.iter_mut()).for_each(|(number, tap)| tap.number = number);
            }
        }
        groups.extend(own.into_iter().map(|(port, taps)| TapGroup {
            name: model.port_name(port),
            device: model[port].device,
            port: Some(port),
            taps,
            is_numbered: false,
        }));
    }
    groups
}

/// Pins of one connector from which on they are the taps of a string.
const FEWEST: usize = 3;

/// Whether a name says that a pin is a tap, and not which one.
fn is_tap(name: &str) -> bool {
    let lower = name.to_lowercase();
    matches!(lower.trim(), "tap" | "taps" | "cell tap" | "voltage tap" | "balance tap" | "balancing tap")
}

/// How far one tap is above another of the same string, in V.
fn rise(low: &Tap, high: &Tap) -> f64 {
    match (low.height, high.height) {
        (Some((one, below)), Some((other, above))) if one == other => above.get() - below.get(),
        _ => 0.0,
    }
}

/// Whether the numbers go on from port to port: none comes twice, but for the last of one port that is the first of the next.
fn count_on(ports: &[&[(PortId, Tap)]]) -> bool {
    let mut ranges: Vec<(u32, u32)> = Vec::new();
    for taps in ports {
        let numbers: FxHashSet<u32> = taps.iter().map(|(_, tap)| tap.number).collect();
        let (Some(least), Some(most)) = (numbers.iter().min(), numbers.iter().max()) else { continue };
        if numbers.len() < taps.len() {
            return false;
        }
        ranges.push((*least, *most));
    }
    let all: Vec<u32> = ports.iter().flat_map(|taps| taps.iter().map(|(_, tap)| tap.number)).collect();
    let distinct: FxHashSet<u32> = all.iter().copied().collect();
    ranges.sort_unstable();
    distinct.len() == all.len()
        || ranges
            .windows(2)
            .all(|pair| matches!(pair, [(first, most), (least, last)] if first < most && most <= least && least < last))
}

/// A name by which things are sorted as people count: `J2` before `J10`.
fn natural(name: &str) -> (String, u64, String) {
    let text = name.trim_end_matches(|letter: char| letter.is_ascii_digit());
    let number = name.get(text.len()..).and_then(|digits| digits.parse().ok()).unwrap_or(0);
    (text.to_lowercase(), number, name.to_owned())
}

/// The height of a pin; one that is joined by resistors is as high as what is behind them.
fn height(facts: &Facts, pin: PointId) -> Option<(u32, Volt)> {
    let batteries = facts.batteries();
    if let Some(height) = batteries.height(pin) {
        return Some(height);
    }
    let steps = facts.network().path(pin, |point| batteries.height(point).is_some(), |_, edge| edge.role.leads_measurement())?;
    batteries.height(steps.last()?.point)
}
