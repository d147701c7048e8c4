//! One order for all things of a document, by their names: what a design means does not depend on where in its files a thing is.
//!
//! Wherever one of two equals must be chosen, the first is: the worse of two equal shorts, the source that names a finding.
//! Things are numbered in the order of the document, so with names in order the choice is the same however the files are written,
//! and two revisions that differ in order alone are the same to every comparison. What people read in the order written goes by
//! spans. Cost: a comparison an entry where the names are in order already, as wire numbers mostly are.

use super::{
    Design,
    design::Waiver,
    devices::Device,
    inside::Element,
    parts::FuseGate,
    values::{Map, OneOf},
};
use crate::text::{Names, Text};
use std::cmp::Ordering;

/// Sorts the maps of a design by name, and the lists whose order says nothing. Of entries of one name the one that was written first
/// stays first.
pub(super) fn by_name(design: &mut Design, names: &Names) {
    sort(&mut design.domains, names);
    sort(&mut design.zones, names);
    sort(&mut design.modes, names);
    sort(&mut design.networks, names);
    if let Some(parts) = &mut design.parts {
        sort(&mut parts.housings, names);
        sort(&mut parts.terminals, names);
        sort(&mut parts.points, names);
        sort(&mut parts.conductors, names);
        sort(&mut parts.cables, names);
        sort(&mut parts.fuses, names);
        for fuse in &mut parts.fuses.0 {
            fuse.value.gates.sort_by(gates);
        }
        devices(&mut parts.devices, names);
    }
    devices(&mut design.devices, names);
    sort(&mut design.looms, names);
    for loom in design.looms.0.iter_mut().map(|entry| &mut entry.value) {
        sort(&mut loom.ends, names);
        sort(&mut loom.splices, names);
        sort(&mut loom.wires, names);
        sort(&mut loom.cables, names);
        sort(&mut loom.route, names);
        elements(&mut loom.inside, names);
        for end in &mut loom.ends.0 {
            sort(&mut end.value.terminals, names);
            sort(&mut end.value.pins, names);
        }
    }
    design.waivers.sort_by(|a, b| waivers(a, b, names));
}

/// Gates by the current at which they are given.
fn gates(one: &FuseGate, other: &FuseGate) -> Ordering {
    let at = |gate: &FuseGate| gate.at.map_or(f64::NEG_INFINITY, |at| at.value.get());
    let time = |time: Option<crate::quantity::Second>| time.map_or(f64::NEG_INFINITY, crate::quantity::Unit::get);
    let within = |gate: &FuseGate| (time(gate.holds.map(|at| at.value)), time(gate.opens_within.map(|at| at.value)));
    let ((holds, opens), (its, others)) = (within(one), within(other));
    at(one).total_cmp(&at(other)).then(holds.total_cmp(&its)).then(opens.total_cmp(&others))
}

/// Waivers of one finding at one thing by all else that they say.
fn waivers(one: &Waiver, other: &Waiver, names: &Names) -> Ordering {
    let words = |waiver: &Waiver| {
        let word = |text: Option<Text>| text.map(|text| names.text(text.value));
        let said = (word(waiver.finding), word(waiver.at), word(waiver.reason), word(waiver.reviewed), word(waiver.by));
        (said, waiver.until.map(|at| at.value))
    };
    words(one).cmp(&words(other))
}

fn devices(map: &mut Map<Device>, names: &Names) {
    sort(map, names);
    for device in map.0.iter_mut().map(|entry| &mut entry.value) {
        sort(&mut device.ports, names);
        sort(&mut device.covers, names);
        elements(&mut device.inside, names);
        device.nodes.sort_by(|a, b| natural(names.text(a.value), names.text(b.value)));
        for port in &mut device.ports.0 {
            sort(&mut port.value.pins.0, names);
        }
    }
}

fn elements(map: &mut Map<OneOf<Element>>, names: &Names) {
    sort(map, names);
    for element in &mut map.0 {
        if let Element::Selector(selector) = &mut element.value.0 {
            sort(&mut selector.selector, names);
            sort(&mut selector.at, names);
        }
    }
}

fn sort<T>(map: &mut Map<T>, names: &Names) {
    map.0.sort_by(|a, b| natural(names.text(a.name.value), names.text(b.name.value)));
}

/// Names as a person sorts them: runs of digits by their number, all else letter by letter.
pub fn natural(one: &str, other: &str) -> Ordering {
    let (mut a, mut b) = (one.as_bytes(), other.as_bytes());
    loop {
        let (left, right) = (digits(a), digits(b));
        if left > 0 && right > 0 {
            let (x, y) = (number(a, left), number(b, right));
            match x.len().cmp(&y.len()).then_with(|| x.cmp(y)) {
                Ordering::Equal => {}
                order => return order,
            }
            (a, b) = (a.get(left..).unwrap_or_default(), b.get(right..).unwrap_or_default());
            continue;
        }
        match (a.split_first(), b.split_first()) {
            (Some((x, rest)), Some((y, other))) if x == y => (a, b) = (rest, other),
            (Some((x, _)), Some((y, _))) => return x.cmp(y),
            // `01` and `1` are two names.
            (None, None) => return one.cmp(other),
            (left, _) => return if left.is_none() { Ordering::Less } else { Ordering::Greater },
        }
    }
}

fn digits(text: &[u8]) -> usize {
    text.iter().take_while(|letter| letter.is_ascii_digit()).count()
}

/// The first `count` digits without the zeros before them.
fn number(text: &[u8], count: usize) -> &[u8] {
    let run = text.get(..count).unwrap_or_default();
    let zeros = run.iter().take_while(|digit| **digit == b'0').count();
    run.get(zeros..).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_go_by_their_value() {
        let mut names = ["10", "9", "P10", "P2", "01", "1", "P2a", "", "P", "lamp-12", "lamp-3"];
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, ["", "01", "1", "9", "10", "P", "P2", "P2a", "P10", "lamp-3", "lamp-12"]);
    }
}
