//! Random designs as YAML, and random edits of them.

use harness_tests::Numbers;
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt::Write,
};

const COLOURS: [&str; 5] = ["RD", "BK", "BU/WH", "OG", "GNYE"];
const SIZES: [&str; 4] = ["0.5 mm2", "1 mm2", "2.5 mm2", "6 mm2"];
const COVERINGS: [&str; 3] = ["open", "tape", "conduit"];
const HOUSINGS: [&str; 4] = ["Q4A", "Q4B", "Q6A", "H4A"];
const FUSES: [&str; 3] = ["blade-5", "blade-10", "blade-15"];

#[derive(Clone, Default)]
pub(crate) struct Device {
    of_kind: bool,
    left_out: bool,
    ports: BTreeMap<String, String>,
    fuses: BTreeMap<String, String>,
    source: Option<&'static str>,
}

#[derive(Clone, Default)]
pub(crate) struct End {
    body: String,
    joint: String,
    more: String,
    plugged: BTreeSet<String>,
}

#[derive(Clone, Default)]
pub(crate) struct Wire {
    places: [String; 2],
    facts: BTreeMap<&'static str, String>,
}

#[derive(Clone, Default)]
pub(crate) struct Loom {
    left_out: bool,
    ends: BTreeMap<String, End>,
    splices: BTreeMap<String, String>,
    segments: BTreeMap<String, &'static str>,
    fuses: BTreeMap<String, String>,
    cables: BTreeMap<String, (String, u32)>,
    wires: BTreeMap<String, Wire>,
}

#[derive(Clone, Default)]
pub(crate) struct Draft {
    devices: BTreeMap<String, Device>,
    looms: BTreeMap<String, Loom>,
    kind_fuse: String,
    next: usize,
}

impl Draft {
    pub(crate) fn random(numbers: &mut Numbers) -> Self {
        let mut draft = Self { kind_fuse: "blade-10".to_owned(), next: 1, ..Self::default() };
        for _ in 0..2 + numbers.below(3) {
            draft.add_device(numbers);
        }
        for _ in 0..1 + numbers.below(2) {
            draft.add_loom(numbers);
        }
        draft
    }

    fn fresh(&mut self, letter: &str) -> String {
        self.next += 1;
        format!("{letter}{}", self.next)
    }

    fn add_device(&mut self, numbers: &mut Numbers) {
        let name = self.fresh("box-");
        let mut device = Device { of_kind: numbers.chance(20), ..Device::default() };
        for port in 1..=1 + numbers.below(3) {
            let body = if numbers.chance(25) {
                "stud: M8, torque: 9 Nm, signal: ground, domain: low".to_owned()
            } else {
                let domain = if numbers.chance(20) { "high" } else { "low" };
                let housing = HOUSINGS[numbers.below(HOUSINGS.len())];
                format!("housing: {housing}, pins: {{ 1: {{ signal: s{}, domain: {domain} }}, 2: spare }}", numbers.below(9))
            };
            device.ports.insert(format!("J{port}"), body);
        }
        if numbers.chance(50) {
            device.fuses.insert("F1".to_owned(), FUSES[numbers.below(3)].to_owned());
        }
        device.source = [None, Some("source: 12 V"), Some("source: 350 V"), Some("disconnect: []")][numbers.below(4)];
        self.devices.insert(name, device);
    }

    fn add_loom(&mut self, numbers: &mut Numbers) {
        let name = self.fresh("loom-");
        let mut loom = Loom::default();
        for segment in 0..numbers.below(4) {
            loom.segments.insert(format!("T{segment}"), COVERINGS[numbers.below(3)]);
        }
        self.looms.insert(name.clone(), loom);
        for _ in 0..2 + numbers.below(3) {
            self.add_end(&name, numbers);
        }
        for splice in 0..numbers.below(3) {
            let at = self.segment(&name, numbers);
            self.loom(&name).splices.insert(format!("S{splice}"), at.map(|at| format!("at: {at}")).unwrap_or_default());
        }
        if numbers.chance(40) {
            self.loom(&name).fuses.insert("F9".to_owned(), FUSES[numbers.below(3)].to_owned());
        }
        if numbers.chance(40) {
            self.loom(&name).cables.insert("C1".to_owned(), ("pair".to_owned(), 900));
        }
        for _ in 0..3 + numbers.below(8) {
            self.add_wire(&name, numbers);
        }
    }

    fn loom(&mut self, name: &str) -> &mut Loom {
        self.looms.entry(name.to_owned()).or_default()
    }

    fn segment(&mut self, loom: &str, numbers: &mut Numbers) -> Option<String> {
        let names: Vec<String> = self.loom(loom).segments.keys().cloned().collect();
        numbers.one(&names).cloned()
    }

    fn joint(&self, loom: &str, numbers: &mut Numbers) -> String {
        let mut all: Vec<String> = self
            .devices
            .iter()
            .flat_map(|(name, device)| device.ports.keys().map(move |port| format!("{name}.{port}")))
            .collect();
        let others = self.looms.iter().filter(|(name, _)| *name != loom);
        all.extend(others.flat_map(|(name, other)| other.ends.keys().map(move |end| format!("{name}.{end}"))));
        numbers.one(&all).cloned().unwrap_or_default()
    }

    fn add_end(&mut self, loom: &str, numbers: &mut Numbers) {
        let joint = self.joint(loom, numbers);
        let ring = numbers.chance(25);
        let name = self.fresh(if ring { "R" } else { "P" });
        let body = if ring { "ring: M8".to_owned() } else { format!("housing: {}", HOUSINGS[numbers.below(4)]) };
        let joint = match (numbers.chance(85), ring) {
            (false, _) => String::new(),
            (true, true) => format!("bolts-to: {joint}"),
            (true, false) => format!("mates: {joint}"),
        };
        self.loom(loom).ends.insert(name, End { body, joint, ..End::default() });
    }

    /// A place of a loom with room for one more.
    fn place(&mut self, name: &str, numbers: &mut Numbers) -> String {
        let taken: BTreeSet<String> = self.loom(name).wires.values().flat_map(|wire| wire.places.clone()).collect();
        let crowd = numbers.chance(10);
        let loom = self.loom(name);
        let mut all: Vec<String> = Vec::new();
        for (end, body) in &loom.ends {
            if body.body.starts_with("ring") {
                all.push(end.clone());
            } else {
                let free = (1..=4).map(|cavity| format!("{end}.{cavity}"));
                let plugged = |place: &String| body.plugged.iter().any(|cavity| *place == format!("{end}.{cavity}"));
                all.extend(free.filter(|place| (crowd || !taken.contains(place)) && !plugged(place)));
            }
        }
        all.extend(loom.splices.keys().cloned());
        all.extend(loom.fuses.keys().map(|fuse| format!("{fuse}.IN")));
        numbers.one(&all).cloned().unwrap_or_else(|| "P99.1".to_owned())
    }

    fn add_wire(&mut self, loom: &str, numbers: &mut Numbers) {
        let number = format!("{}", 100 + self.next);
        self.next += 1;
        let places = [self.place(loom, numbers), self.place(loom, numbers)];
        let mut facts = BTreeMap::new();
        if !self.loom(loom).cables.is_empty() && numbers.chance(25) {
            facts.insert("core", format!("C1.{}", 1 + numbers.below(2)));
        } else {
            facts.insert("size", SIZES[numbers.below(4)].to_owned());
            facts.insert("colour", COLOURS[numbers.below(5)].to_owned());
            facts.insert("length", format!("{} mm", 100 * (1 + numbers.below(20))));
            if let Some(via) = self.segment(loom, numbers).filter(|_| numbers.chance(80)) {
                facts.insert("via", format!("[{via}]"));
            }
        }
        self.loom(loom).wires.insert(number, Wire { places, facts });
    }

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

    /// The design as it is written.
    pub(crate) fn yaml(&self) -> String {
        let mut text = String::from(
            "format: 1\ndesign: random\ndomains:\n  low: { nominal: 12 V, max: 15 V, reference: chassis }\n  high: { nominal: 307 V, max: 350 V, reference: floating }\nparts:\n  housings:\n",
        );
        for (name, key) in [("Q4A", "A"), ("Q4B", "B"), ("Q6A", "A"), ("H4A", "A")] {
            let more = if name == "H4A" { ", hv: true, interlock: [3, 4]" } else { "" };
            let count = if name == "Q6A" { 6 } else { 4 };
            let _ = writeln!(
                text,
                "    {name}: {{ family: {}, positions: {count}, contacts: socket, key: {key}{more} }}",
                &name[..2]
            );
        }
        text.push_str("  terminals: { tin: { plating: tin }, gold: { plating: gold } }\n  conductors: { thin: {}, thick: {} }\n");
        text.push_str("  cables: { pair: { cores: { 1: { size: 1 mm2 }, 2: { size: 1 mm2 } } }, other-pair: { cores: { 1: { size: 2 mm2 }, 2: { size: 1 mm2 } } } }\n");
        text.push_str("  fuses: { blade-5: { rating: 5 A }, blade-10: { rating: 10 A }, blade-15: { rating: 15 A } }\n");
        let _ = writeln!(
            text,
            "  devices:\n    twin: {{ ports: {{ K1: {{ housing: Q4A, pins: {{ 1: {{ signal: twin }} }} }} }}, inside: {{ F2: {{ fuse: {}, from: K1.1, to: K1.2 }} }} }}",
            self.kind_fuse
        );
        text.push_str("devices:\n");
        for (name, device) in &self.devices {
            let _ = writeln!(text, "  {name}:\n    note: box");
            if device.of_kind {
                text.push_str("    device: twin\n");
            }
            if device.left_out {
                text.push_str("    fitted: false\n");
            }
            text.push_str("    ports:\n");
            for (port, body) in &device.ports {
                let _ = writeln!(text, "      {port}: {{ {body} }}");
            }
            text.push_str("    inside:\n");
            for (fuse, kind) in &device.fuses {
                let _ = writeln!(text, "      {fuse}: {{ fuse: {kind}, from: A, to: B }}");
            }
            match device.source {
                Some(disconnect) if disconnect.starts_with("disconnect") => {
                    let _ = writeln!(text, "      SD: {{ {disconnect}, from: A, to: B }}");
                }
                Some(source) => {
                    let _ = writeln!(text, "      cells: {{ {source}, positive: J1.1, negative: J1.2 }}");
                }
                None => {}
            }
        }
        text.push_str("looms:\n");
        for (name, loom) in &self.looms {
            loom_yaml(&mut text, name, loom);
        }
        text
    }
}

fn loom_yaml(text: &mut String, name: &str, loom: &Loom) {
    let _ = writeln!(text, "  {name}:\n    wire: thin");
    if loom.left_out {
        text.push_str("    fitted: false\n");
    }
    text.push_str("    ends:\n");
    for (end, body) in &loom.ends {
        let plugged: Vec<&str> = body.plugged.iter().map(String::as_str).collect();
        let plugged = if plugged.is_empty() { String::new() } else { format!("plugged: [{}]", plugged.join(", ")) };
        let said: Vec<&str> = [&body.body, &body.joint, &body.more, &plugged]
            .into_iter()
            .map(String::as_str)
            .filter(|said| !said.is_empty())
            .collect();
        let _ = writeln!(text, "      {end}: {{ {} }}", said.join(", "));
    }
    text.push_str("    splices:\n");
    for (splice, at) in &loom.splices {
        let _ = writeln!(text, "      {splice}: {{ {at} }}");
    }
    text.push_str("    route:\n");
    for (segment, covering) in &loom.segments {
        let _ = writeln!(text, "      {segment}: {{ length: 300 mm, covering: {covering} }}");
    }
    text.push_str("    inside:\n");
    for (fuse, kind) in &loom.fuses {
        let _ = writeln!(text, "      {fuse}: {{ fuse: {kind}, from: IN, to: OUT }}");
    }
    text.push_str("    cables:\n");
    let at = loom.segments.keys().next().map(|segment| format!(", via: [{segment}]")).unwrap_or_default();
    for (cable, (part, length)) in &loom.cables {
        let screen = loom.ends.keys().find(|end| end.starts_with('R')).map(|end| format!(", screen: {{ from: {end} }}"));
        let _ = writeln!(text, "      {cable}: {{ part: {part}, length: {length} mm{at}{} }}", screen.unwrap_or_default());
    }
    text.push_str("    wires:\n");
    for (number, wire) in &loom.wires {
        let facts: Vec<String> = wire.facts.iter().map(|(key, value)| format!(", {key}: {value}")).collect();
        let _ = writeln!(text, "      {number}: {{ from: {}, to: {}{} }}", wire.places[0], wire.places[1], facts.concat());
    }
}
