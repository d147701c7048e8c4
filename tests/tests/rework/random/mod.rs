//! Random designs, random edits of them, and both as YAML.

mod edit;
mod write;

use harness_tests::Numbers;
use std::collections::{BTreeMap, BTreeSet};

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
}
