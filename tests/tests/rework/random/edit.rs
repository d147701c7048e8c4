//! Edits as a person makes them, drawn at random.

use super::{COLOURS, COVERINGS, Draft, FUSES, HOUSINGS, SIZES};
use harness_tests::Numbers;
use std::collections::BTreeSet;

impl Draft {
    /// One edit as a person makes them.
    pub(crate) fn edit(&mut self, numbers: &mut Numbers) {
        let looms: Vec<String> = self.looms.keys().cloned().collect();
        let Some(loom) = numbers.one(&looms).cloned() else { return self.add_loom(numbers) };
        let wires: Vec<String> = self.loom(&loom).wires.keys().cloned().collect();
        let ends: Vec<String> = self.loom(&loom).ends.keys().cloned().collect();
        let (wire, other) = (numbers.one(&wires).cloned().unwrap_or_default(), numbers.one(&wires).cloned().unwrap_or_default());
        let end = numbers.one(&ends).cloned().unwrap_or_default();
        match numbers.below(30) {
            0..=2 => {
                let (place, side) = (self.place(&loom, numbers), numbers.below(2));
                if let Some(wire) = self.loom(&loom).wires.get_mut(&wire) {
                    wire.places[side] = place;
                }
            }
            3..=5 => self.swap(&loom, &wire, &other, numbers.below(2)),
            6 => self.add_wire(&loom, numbers),
            7 => drop(self.loom(&loom).wires.remove(&wire)),
            8..=11 => self.alter_wire(&loom, &wire, numbers),
            12 => self.rename_wire(&loom, &wire),
            13 => self.fuse(&loom, numbers),
            14 | 15 => self.alter_end(&loom, &end, numbers),
            16 => self.remove_end(&loom, &end),
            17 => self.add_end(&loom, numbers),
            18 => self.rename_end(&loom, &end),
            19 => self.add_device(numbers),
            20 => self.alter_device(numbers),
            21 => {
                let segment = self.segment(&loom, numbers).unwrap_or_else(|| "T9".to_owned());
                self.loom(&loom).segments.insert(segment, COVERINGS[numbers.below(3)]);
            }
            22 => {
                if let Some(segment) = self.segment(&loom, numbers) {
                    self.loom(&loom).segments.remove(&segment);
                }
            }
            23 => {
                let at = self.segment(&loom, numbers).map(|at| format!("at: {at}")).unwrap_or_default();
                self.loom(&loom).splices.insert(format!("S{}", numbers.below(3)), at);
            }
            24 => drop(self.loom(&loom).splices.remove(&format!("S{}", numbers.below(3)))),
            25 => self.alter_cable(&loom, numbers),
            26 => {
                if let Some(found) = self.looms.remove(&loom) {
                    let name = self.fresh("loom-");
                    self.looms.insert(name, found);
                }
            }
            27 => self.add_loom(numbers),
            28 => {
                let out = &mut self.loom(&loom).left_out;
                *out = !*out;
            }
            _ => {
                if self.looms.len() > 1 {
                    self.looms.remove(&loom);
                }
            }
        }
    }

    fn swap(&mut self, loom: &str, wire: &str, other: &str, side: usize) {
        let found = self.loom(loom);
        let places = |name: &str| found.wires.get(name).map(|wire| wire.places[side].clone());
        if let (Some(one), Some(two)) = (places(wire), places(other)) {
            found.wires.entry(wire.to_owned()).or_default().places[side] = two;
            found.wires.entry(other.to_owned()).or_default().places[side] = one;
        }
    }

    fn alter_wire(&mut self, loom: &str, wire: &str, numbers: &mut Numbers) {
        let via = self.segment(loom, numbers);
        let Some(wire) = self.loom(loom).wires.get_mut(wire) else { return };
        if wire.facts.contains_key("core") {
            wire.facts.insert("core", format!("C1.{}", 1 + numbers.below(2)));
            return;
        }
        match numbers.below(7) {
            0 => drop(wire.facts.insert("size", SIZES[numbers.below(4)].to_owned())),
            1 => drop(wire.facts.insert("colour", COLOURS[numbers.below(5)].to_owned())),
            2 | 3 => drop(wire.facts.insert("length", format!("{} mm", 100 * (1 + numbers.below(20))))),
            4 => drop(wire.facts.insert("via", format!("[{}]", via.unwrap_or_default()))),
            5 => drop(wire.facts.remove(["size", "colour", "length", "via"][numbers.below(4)])),
            _ => drop(wire.facts.insert(["twist", "wire"][numbers.below(2)], "thick".to_owned())),
        }
    }

    fn rename_wire(&mut self, loom: &str, wire: &str) {
        let name = self.fresh("");
        if let Some(found) = self.loom(loom).wires.remove(wire) {
            self.loom(loom).wires.insert(name, found);
        }
    }

    fn fuse(&mut self, loom: &str, numbers: &mut Numbers) {
        let kind = FUSES[numbers.below(3)].to_owned();
        if numbers.chance(30) {
            self.kind_fuse = kind;
            return;
        }
        if numbers.chance(30) {
            let fuses = &mut self.loom(loom).fuses;
            if numbers.chance(50) {
                fuses.insert("F9".to_owned(), kind);
            } else {
                fuses.remove("F9");
            }
            return;
        }
        let names: Vec<String> = self.devices.keys().cloned().collect();
        if let Some(device) = numbers.one(&names).and_then(|name| self.devices.get_mut(name)) {
            let fitted = if numbers.chance(25) { ", fitted: false" } else { "" };
            device.fuses.insert("F1".to_owned(), format!("{kind}{fitted}"));
        }
    }

    fn alter_end(&mut self, loom: &str, end: &str, numbers: &mut Numbers) {
        let joint = self.joint(loom, numbers);
        let used: BTreeSet<String> = self.loom(loom).wires.values().flat_map(|wire| wire.places.clone()).collect();
        let Some(found) = self.loom(loom).ends.get_mut(end) else { return };
        let is_ring = found.body.starts_with("ring");
        match numbers.below(4) {
            0 if is_ring => found.body = format!("ring: M{}", [6, 8, 10][numbers.below(3)]),
            0 | 1 if !is_ring => found.body = format!("housing: {}", HOUSINGS[numbers.below(4)]),
            2 if !is_ring => {
                let more = ["", "terminal: tin", "terminal: gold, terminals: { 2: tin }", "terminals: { 1: gold }"];
                found.more = more[numbers.below(4)].to_owned();
            }
            3 if !is_ring => {
                let cavity = format!("{}", 1 + numbers.below(6));
                if !found.plugged.remove(&cavity) && !used.contains(&format!("{end}.{cavity}")) {
                    found.plugged.insert(cavity);
                }
            }
            _ if is_ring => found.joint = format!("bolts-to: {joint}"),
            _ => found.joint = format!("mates: {joint}"),
        }
    }

    fn remove_end(&mut self, loom: &str, end: &str) {
        let found = self.loom(loom);
        found.ends.remove(end);
        let at = |place: &String| place == end || place.starts_with(&format!("{end}."));
        found.wires.retain(|_, wire| !wire.places.iter().any(at));
    }

    fn rename_end(&mut self, loom: &str, end: &str) {
        let name = self.fresh("P");
        let found = self.loom(loom);
        let Some(body) = found.ends.remove(end) else { return };
        found.ends.insert(name.clone(), body);
        for place in found.wires.values_mut().flat_map(|wire| &mut wire.places) {
            if place == end {
                place.clone_from(&name);
            } else if let Some(rest) = place.strip_prefix(&format!("{end}.")) {
                *place = format!("{name}.{rest}");
            }
        }
    }

    fn alter_device(&mut self, numbers: &mut Numbers) {
        let names: Vec<String> = self.devices.keys().cloned().collect();
        let Some(name) = numbers.one(&names).cloned() else { return };
        let new_name = self.fresh("box-");
        let Some(device) = self.devices.get_mut(&name) else { return };
        match numbers.below(7) {
            0 => drop(self.devices.remove(&name)),
            1 => device.left_out = !device.left_out,
            2 => device.of_kind = !device.of_kind,
            3 => drop(device.ports.insert("J7".to_owned(), "stud: M8, torque: 20 Nm".to_owned())),
            4 => drop(device.ports.remove("J1")),
            5 => {
                if let Some(port) = device.ports.get_mut("J1") {
                    *port = "housing: Q4B, pins: { 1: { signal: other, note: new }, 3: { signal: third } }".to_owned();
                }
            }
            _ => {
                if let Some(device) = self.devices.remove(&name) {
                    self.devices.insert(new_name, device);
                }
            }
        }
    }

    fn alter_cable(&mut self, loom: &str, numbers: &mut Numbers) {
        let cables = &mut self.loom(loom).cables;
        match numbers.below(4) {
            0 => drop(cables.remove("C1")),
            1 => drop(cables.insert("C1".to_owned(), ("other-pair".to_owned(), 900))),
            _ => drop(cables.insert("C1".to_owned(), ("pair".to_owned(), [700, 900, 1100][numbers.below(3)]))),
        }
    }
}
