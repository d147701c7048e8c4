//! Random small designs of one family of connectors, as a text and as plain points, lines and what is at their ends.

use harness_tests::Numbers;
use std::{
    collections::BTreeMap,
    fmt::{self, Write},
};

/// A point, by its name.
pub type Point = String;

/// What is at a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thing {
    /// The pole of a source.
    Pole { source: usize, is_plus: bool, is_fused: bool },
    /// One side of a load.
    Side { load: usize, is_plus: bool },
    /// An output that drives both ways, of 12 V.
    Output,
    /// An input for 12 V.
    Input,
    /// A line of a bus.
    Bus,
}

/// A load.
#[derive(Debug, Clone, Copy)]
pub struct Load {
    pub source: usize,
    pub is_polarised: bool,
}

/// A mated pair of the family.
#[derive(Debug, Clone)]
pub struct Connector {
    pub name: String,
    /// What it mates.
    pub other: String,
    pub key: Option<char>,
    pub zone: Option<usize>,
    /// The positions of the half with sockets and of that with pins.
    pub socket: Vec<Point>,
    pub pin: Vec<Point>,
}

/// A line between two points; those of a mated pair with its number.
#[derive(Debug, Clone)]
pub struct Line {
    pub ends: [Point; 2],
    pub of: Option<usize>,
}

/// Volts of the sources; the last is of voltage class B.
pub const VOLTS: [u32; 3] = [12, 24, 96];
/// The source of class B.
pub const HIGH: usize = 2;
const DOMAINS: [&str; 3] = ["aux", "deck", "traction"];

/// A design.
#[derive(Debug, Default)]
pub struct Drawn {
    pub connectors: Vec<Connector>,
    pub lines: Vec<Line>,
    pub things: Vec<(Point, Thing)>,
    pub loads: Vec<Load>,
    /// The keys of its housings.
    pub letters: Vec<char>,
    is_alike: bool,
    positions: usize,
    devices: String,
    ends: String,
    wires: String,
    looms: String,
    kinds: BTreeMap<String, String>,
    count: usize,
}

impl Drawn {
    /// One of many designs; with one key on all of its connectors, or with several.
    pub fn new(seed: u64, is_alike: bool) -> Self {
        let mut numbers = Numbers::new(seed);
        let mut drawn = Self { positions: 2 + numbers.below(3), letters: vec!['A', 'B', 'C'], is_alike, ..Self::default() };
        drawn.letters.truncate(1 + numbers.below(3));
        for letter in drawn.letters.clone() {
            drawn.housing(Some(letter), true);
            drawn.housing(Some(letter), false);
        }
        let wanted = 2 + numbers.below(5);
        while drawn.connectors.len() < wanted {
            match numbers.below(6) {
                0..=2 => drawn.consumer(&mut numbers),
                3 => drawn.signals(&mut numbers),
                4 => drawn.switched(&mut numbers),
                _ => drawn.between_looms(&mut numbers),
            }
        }
        drawn
    }

    fn housing(&mut self, key: Option<char>, is_socket: bool) -> String {
        let letter = key.map_or_else(|| "N".to_owned(), |key| key.to_string());
        let (side, contacts) = if is_socket { ("S", "socket") } else { ("P", "pin") };
        let name = format!("R{letter}{side}");
        let key = key.map_or_else(String::new, |key| format!(", key: {key}"));
        let text = format!("{{ family: RR, positions: {}, contacts: {contacts}{key}, voltage: 600 V }}", self.positions);
        self.kinds.insert(name.clone(), text);
        name
    }

    /// Some positions, in any order.
    fn places(&self, numbers: &mut Numbers, wanted: usize) -> Vec<usize> {
        let mut all: Vec<usize> = (1..=self.positions).collect();
        for at in (1..all.len()).rev() {
            all.swap(at, numbers.below(at + 1));
        }
        all.truncate(wanted);
        all
    }

    /// A mated pair of which the loom has one half; the housing of the other, with its name.
    fn pair(&mut self, numbers: &mut Numbers, loom: &str, mate: &str, is_at_device: bool) -> (usize, String) {
        let key = if numbers.chance(15) { None } else { numbers.one(&self.letters).copied() };
        let key = if self.is_alike { Some('A') } else { key };
        let zone = numbers.chance(60).then(|| numbers.below(2));
        let is_socket = numbers.chance(75);
        let points = |half: &str| (1..=self.positions).map(|at| format!("{half}.{at}")).collect::<Vec<_>>();
        let (own, other) = (points(loom), points(mate));
        let number = self.connectors.len();
        for (one, other) in own.iter().zip(&other) {
            self.lines.push(Line { ends: [one.clone(), other.clone()], of: Some(number) });
        }
        let (socket, pin) = if is_socket { (own, other) } else { (other, own) };
        self.connectors.push(Connector { name: loom.to_owned(), other: mate.to_owned(), key, zone, socket, pin });
        let (own, other) = (self.housing(key, is_socket), self.housing(key, !is_socket));
        let place = zone.filter(|_| !is_at_device).map_or_else(String::new, |zone| format!(", zone: z{zone}"));
        let (whose, end) = loom.split_once('.').expect("an end is of a loom");
        assert_eq!(whose, "main");
        let _ = writeln!(self.ends, "      {end}: {{ housing: {own}, mates: {mate}{place} }}");
        (number, other)
    }

    fn device(&mut self, name: &str, zone: Option<usize>, port: &str, pins: &[String], inside: &str) {
        let zone = zone.map_or_else(String::new, |zone| format!("    zone: z{zone}\n"));
        let pins = pins.join(", ");
        let _ = writeln!(
            self.devices,
            "  {name}:\n    case: insulating\n{zone}    ports: {{ X: {{ housing: {port}, pins: {{ {pins} }} }} }}\n    inside: {{ {inside} }}"
        );
    }

    fn wire(&mut self, from: &str, to: &str) {
        self.count += 1;
        let short = |name: &str| name.strip_prefix("main.").unwrap_or(name).to_owned();
        let (one, other) = (short(from), short(to));
        let _ =
            writeln!(self.wires, "      {}: {{ from: {one}, to: {other}, size: 1 mm2, colour: GY, length: 1 m }}", self.count);
        self.lines.push(Line { ends: [from.to_owned(), to.to_owned()], of: None });
    }

    fn pole(&mut self, source: usize, is_plus: bool, is_fused: bool) -> Point {
        let name = format!(
            "main.{}{source}",
            if !is_plus {
                "G"
            } else if is_fused {
                "P"
            } else {
                "U"
            }
        );
        if self.things.iter().all(|(known, _)| *known != name) {
            self.things.push((name.clone(), Thing::Pole { source, is_plus, is_fused }));
        }
        name
    }

    fn load(&mut self, numbers: &mut Numbers, source: usize, device: &str, [plus, minus]: [usize; 2]) -> (Vec<String>, String) {
        let is_polarised = numbers.chance(50);
        let load = self.loads.len();
        self.loads.push(Load { source, is_polarised });
        self.things.push((format!("{device}.X.{plus}"), Thing::Side { load, is_plus: true }));
        self.things.push((format!("{device}.X.{minus}"), Thing::Side { load, is_plus: false }));
        let domain = DOMAINS[source];
        let pins = vec![
            format!("{plus}: {{ signal: feed {load}, role: supply, domain: {domain} }}"),
            format!("{minus}: {{ role: return, domain: {domain} }}"),
        ];
        let kind = if is_polarised { "electronics, polarised: true" } else { "heater" };
        (pins, format!("it: {{ load: 1 A, kind: {kind}, from: X.{plus}, to: X.{minus} }}"))
    }

    /// A load, fed by the loom.
    fn consumer(&mut self, numbers: &mut Numbers) {
        let (number, source) = (self.connectors.len(), numbers.below(VOLTS.len()));
        let (loom, device) = (format!("main.E{number}"), format!("load{number}"));
        let (at, port) = self.pair(numbers, &loom, &format!("{device}.X"), true);
        let places = self.places(numbers, 2);
        let (pins, inside) = self.load(numbers, source, &device, [places[0], places[1]]);
        let is_fused = numbers.chance(75);
        let (plus, minus) = (self.pole(source, true, is_fused), self.pole(source, false, true));
        self.wire(&format!("{loom}.{}", places[0]), &plus);
        self.wire(&format!("{loom}.{}", places[1]), &minus);
        self.device(&device, self.connectors[at].zone, &port, &pins, &inside);
    }

    /// An output of a sensor at an input of a controller, or a node of a bus.
    fn signals(&mut self, numbers: &mut Numbers) {
        let number = self.connectors.len();
        let (loom, device) = (format!("main.E{number}"), format!("node{number}"));
        let (at, port) = self.pair(numbers, &loom, &format!("{device}.X"), true);
        let control = format!("control{number}");
        let is_bus = numbers.chance(40);
        let places = self.places(numbers, 2);
        let roles: [[&str; 2]; 2] = if is_bus {
            [["CAN high", "CAN high"], ["CAN low", "CAN low"]]
        } else {
            [["output, drive: push-pull", "input, pull: down"]; 2]
        };
        let count = if is_bus { 2 } else { 1 };
        let (mut pins, mut others) = (Vec::new(), Vec::new());
        for (place, [own, other]) in places.iter().zip(roles).take(count) {
            pins.push(format!("{place}: {{ signal: line {number} {place}, role: {own}, domain: aux }}"));
            others.push(format!("{place}: {{ signal: line {number} {place}, role: {other}, domain: aux }}"));
            let things = if is_bus { [Thing::Bus, Thing::Bus] } else { [Thing::Output, Thing::Input] };
            self.things.push((format!("{device}.X.{place}"), things[0]));
            self.things.push((format!("{control}.Y.{place}"), things[1]));
            self.wire(&format!("{loom}.{place}"), &format!("main.C{number}.{place}"));
            self.lines.push(Line { ends: [format!("main.C{number}.{place}"), format!("{control}.Y.{place}")], of: None });
        }
        let _ = writeln!(self.ends, "      C{number}: {{ housing: QS, mates: {control}.Y }}");
        let _ = writeln!(self.devices, "  {control}: {{ ports: {{ Y: {{ housing: QP, pins: {{ {} }} }} }} }}", others.join(", "));
        self.device(&device, self.connectors[at].zone, &port, &pins, "");
    }

    /// A switch in one plug, in the feed of a load in another.
    fn switched(&mut self, numbers: &mut Numbers) {
        let (number, source) = (self.connectors.len(), numbers.below(2));
        let (loom, device) = (format!("main.E{number}"), format!("switch{number}"));
        let (at, port) = self.pair(numbers, &loom, &format!("{device}.X"), true);
        let two = self.places(numbers, 2);
        let domain = DOMAINS[source];
        let pins = [
            format!("{}: {{ role: input, domain: {domain} }}", two[0]),
            format!("{}: {{ signal: feed {}, role: output, domain: {domain} }}", two[1], self.loads.len()),
        ];
        self.lines.push(Line { ends: [format!("{device}.X.{}", two[0]), format!("{device}.X.{}", two[1])], of: None });
        let inside = format!("it: {{ switch: open, from: X.{}, to: X.{}, closed-in: [on] }}", two[0], two[1]);
        self.device(&device, self.connectors[at].zone, &port, &pins, &inside);
        let plus = self.pole(source, true, true);
        self.wire(&format!("{loom}.{}", two[0]), &plus);
        let (next, device) = (format!("main.E{}", number + 1), format!("load{}", number + 1));
        let (at, port) = self.pair(numbers, &next, &format!("{device}.X"), true);
        let places = self.places(numbers, 2);
        let (pins, inside) = self.load(numbers, source, &device, [places[0], places[1]]);
        self.wire(&format!("{loom}.{}", two[1]), &format!("{next}.{}", places[0]));
        let minus = self.pole(source, false, true);
        self.wire(&format!("{next}.{}", places[1]), &minus);
        self.device(&device, self.connectors[at].zone, &port, &pins, &inside);
    }

    /// Two looms that meet in a plug of the family, the second of which feeds a load of its own family.
    fn between_looms(&mut self, numbers: &mut Numbers) {
        let (number, source) = (self.connectors.len(), numbers.below(VOLTS.len()));
        let (loom, other, device) = (format!("main.E{number}"), format!("tail{number}"), format!("far{number}"));
        let (_, housing) = self.pair(numbers, &loom, &format!("{other}.X"), false);
        let places = self.places(numbers, 2);
        let (plus, minus) = (self.pole(source, true, true), self.pole(source, false, true));
        self.wire(&format!("{loom}.{}", places[0]), &plus);
        self.wire(&format!("{loom}.{}", places[1]), &minus);
        let (pins, inside) = self.load(numbers, source, &device, [1, 2]);
        let _ = writeln!(
            self.looms,
            "  {other}:\n    wire: w\n    ends:\n      X: {{ housing: {housing} }}\n      L: {{ housing: QS, mates: {device}.X }}\n    wires:"
        );
        for (at, place) in places.iter().enumerate() {
            let number = at + 1;
            let _ = writeln!(
                self.looms,
                "      {number}: {{ from: X.{place}, to: L.{number}, size: 1 mm2, colour: GY, length: 1 m }}"
            );
            self.lines.push(Line { ends: [format!("{other}.X.{place}"), format!("{device}.X.{number}")], of: None });
        }
        self.device(&device, None, "QP", &pins, &inside);
    }
}

impl fmt::Display for Drawn {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(out, "format: 1\ndesign: Random plugs\ndomains:")?;
        writeln!(
            out,
            "  aux: {{ nominal: 12 V, max: 15 V, reference: chassis }}\n  deck: {{ nominal: 24 V, max: 30 V, reference: chassis }}"
        )?;
        writeln!(out, "  traction: {{ nominal: 96 V, max: 110 V, reference: floating }}\nmodes: {{ on: {{}} }}")?;
        writeln!(out, "zones: {{ z0: {{ ambient: 30 degC }}, z1: {{ ambient: 30 degC }} }}\nparts:\n  housings:")?;
        for (name, text) in &self.kinds {
            writeln!(out, "    {name}: {text}")?;
        }
        writeln!(out, "    QS: {{ family: QQ, positions: 4, contacts: socket, key: A, voltage: 600 V }}")?;
        writeln!(out, "    QP: {{ family: QQ, positions: 4, contacts: pin, key: A, voltage: 600 V }}")?;
        writeln!(out, "  conductors: {{ w: {{ rated: 125 degC, voltage: 600 V }} }}\n  fuses:")?;
        writeln!(
            out,
            "    f5: {{ rating: 5 A, voltage: 500 V DC, breaking: 20 kA, gates: [{{ at: 135 %, holds: 0.75 s, opens-within: 1800 s }}, {{ at: 600 %, holds: 0.01 s, opens-within: 0.1 s }}] }}"
        )?;
        writeln!(
            out,
            "devices:\n  frame: {{ chassis: true, ports: {{ A: {{ stud: M8, role: chassis }}, B: {{ stud: M8, role: chassis }} }} }}"
        )?;
        for (source, (volts, domain)) in VOLTS.iter().zip(DOMAINS).enumerate() {
            writeln!(
                out,
                "  pack{source}:\n    case: insulating\n    ports: {{ plus: {{ stud: M8, role: supply, domain: {domain} }}, minus: {{ stud: M8, role: return, domain: {domain} }} }}\n    inside: {{ cells: {{ source: {volts} V, resistance: 5 mohm, capacity: 60 Ah, positive: plus, negative: minus }} }}"
            )?;
        }
        writeln!(out, "{}looms:\n  main:\n    wire: w\n    ends:", self.devices)?;
        for source in 0..VOLTS.len() {
            writeln!(
                out,
                "      B{source}: {{ ring: M8, bolts-to: pack{source}.plus }}\n      N{source}: {{ ring: M8, bolts-to: pack{source}.minus }}"
            )?;
        }
        writeln!(out, "      FA: {{ ring: M8, bolts-to: frame.A }}\n      FB: {{ ring: M8, bolts-to: frame.B }}")?;
        let of = |letter: &str| (0..VOLTS.len()).map(|source| format!("{letter}{source}: {{}}")).collect::<Vec<_>>().join(", ");
        writeln!(out, "{}    splices: {{ {}, {}, {} }}", self.ends, of("U"), of("P"), of("G"))?;
        let fuses: Vec<String> =
            (0..VOLTS.len()).map(|source| format!("F{source}: {{ fuse: f5, from: U{source}, to: P{source} }}")).collect();
        writeln!(out, "    inside: {{ {} }}\n    wires:", fuses.join(", "))?;
        for source in 0..VOLTS.len() {
            writeln!(out, "      b{source}: {{ from: B{source}, to: U{source}, size: 4 mm2, colour: GY, length: 100 mm }}")?;
            writeln!(out, "      n{source}: {{ from: N{source}, to: G{source}, size: 4 mm2, colour: GY, length: 100 mm }}")?;
        }
        for (letter, source) in [("A", 0), ("B", 1)] {
            writeln!(out, "      g{source}: {{ from: G{source}, to: F{letter}, size: 4 mm2, colour: GY, length: 100 mm }}")?;
        }
        write!(out, "{}{}", self.wires, self.looms)
    }
}
