//! Random vehicles with a pack, contactors, an interlock loop and boxes behind up to twelve connectors: as a netlist, and as a plain list of
//! what joins which two places.

use harness_tests::Numbers;
use std::fmt::Write;

/// What joins two places.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// Metal: a wire, a bar.
    Metal,
    /// The contact of a connector, or a bridge in it: apart when it is unmated.
    Contact(usize),
    /// Closed in these modes.
    Switch([bool; 2]),
    /// Closed while the coil of this number is energised.
    Relay(usize),
    /// A coil, by its number.
    Coil(usize),
    /// Volts and ohms; the positive pole is the second place.
    Source(f64),
    /// Ohms.
    Resistor(f64),
    /// Farads.
    Capacitor(f64),
}

/// Something between two places, by their names in the netlist.
#[derive(Debug, Clone)]
pub struct Item {
    pub name: String,
    pub from: String,
    pub to: String,
    pub kind: Kind,
}

/// A vehicle.
#[derive(Debug, Default)]
pub struct Vehicle {
    pub netlist: String,
    pub items: Vec<Item>,
    /// The connectors: their name and the places that are bare once it is unmated.
    pub connectors: Vec<(String, Vec<String>)>,
    /// Bare anyway.
    pub bare: Vec<String>,
    /// The bridges of the loop.
    pub bridges: Vec<String>,
}

/// Volts of the pack at most over those that it has.
pub const STRETCH: f64 = 340.0 / 300.0;

struct Sheet {
    numbers: Numbers,
    out: Vehicle,
    devices: String,
    ends: String,
    wires: String,
    count: usize,
}

impl Sheet {
    fn item(&mut self, name: impl Into<String>, from: impl Into<String>, to: impl Into<String>, kind: Kind) {
        self.out.items.push(Item { name: name.into(), from: from.into(), to: to.into(), kind });
    }

    fn wire(&mut self, from: &str, to: &str, size: &str) {
        self.count += 1;
        let _ = writeln!(self.wires, "      {}: {{ from: {from}, to: {to}, size: {size} mm2, length: 1 m }}", self.count);
        self.item(format!("main.{}", self.count), format!("main.{from}"), format!("main.{to}"), Kind::Metal);
    }

    /// A connector `end` of the loom on a port, with these contacts.
    fn connector(&mut self, end: &str, port: &str, pins: &[&str]) {
        let at = self.out.connectors.len();
        let _ = writeln!(self.ends, "      {end}: {{ mates: {port} }}");
        for pin in pins {
            self.item(format!("{end}.{pin}"), format!("{port}.{pin}"), format!("main.{end}.{pin}"), Kind::Contact(at));
        }
        let bare = pins.iter().flat_map(|pin| [format!("{port}.{pin}"), format!("main.{end}.{pin}")]).collect();
        self.out.connectors.push((format!("main.{end}"), bare));
    }

    fn ring(&mut self, end: &str, stud: &str) {
        let _ = writeln!(self.ends, "      {end}: {{ ring: M8, bolts-to: {stud} }}");
        self.item(end, format!("main.{end}"), stud, Kind::Metal);
    }

    /// What a box has between its poles, and where.
    fn inside(&mut self, name: &str) {
        let (plus, minus) = (format!("{name}.IN.1"), format!("{name}.IN.2"));
        let load = self.numbers.pick(&[200.0, 900.0, 4_000.0]);
        match self.numbers.below(4) {
            0 => {
                // A divider, whose middle is bare at a stud.
                let _ = writeln!(
                    self.devices,
                    "      upper: {{ resistor: {load} ohm, from: IN.1, to: T }}\n      lower: {{ resistor: {load} ohm, from: T, to: IN.2 }}"
                );
                self.item(format!("{name}.upper"), &plus, format!("{name}.T"), Kind::Resistor(load));
                self.item(format!("{name}.lower"), format!("{name}.T"), &minus, Kind::Resistor(load));
                self.out.bare.push(format!("{name}.T"));
            }
            1 => {
                let bleed = self.numbers.pick(&[5_000.0, 40_000.0]);
                let _ = writeln!(
                    self.devices,
                    "      store: {{ capacitor: 500 uF, from: IN.1, to: IN.2 }}\n      bleed: {{ resistor: {bleed} ohm, from: IN.1, to: IN.2 }}"
                );
                self.item(format!("{name}.store"), &plus, &minus, Kind::Capacitor(500e-6));
                self.item(format!("{name}.bleed"), &plus, &minus, Kind::Resistor(bleed));
            }
            2 => {
                let _ = writeln!(self.devices, "      store: {{ capacitor: 200 uF, from: IN.1, to: IN.2 }}");
                self.item(format!("{name}.store"), &plus, &minus, Kind::Capacitor(200e-6));
            }
            _ => {
                let _ = writeln!(self.devices, "      load: {{ resistor: {load} ohm, from: IN.1, to: IN.2 }}");
                self.item(format!("{name}.load"), &plus, &minus, Kind::Resistor(load));
            }
        }
        // Insulation joins nothing; what is worse than it does.
        if self.numbers.chance(25) {
            let ohms = self.numbers.pick(&[1_000_000.0, 20_000.0]);
            let _ = writeln!(self.devices, "      earth: {{ resistor: {ohms} ohm, from: IN.2, to: C }}");
            self.item(format!("{name}.earth"), &minus, format!("{name}.C"), Kind::Resistor(ohms));
            self.count += 1;
            let _ = writeln!(self.wires, "      {}: {{ from: E{name}, to: F{name}, size: 6 mm2, length: 1 m }}", self.count);
            self.item(format!("main.{}", self.count), format!("main.E{name}"), format!("main.F{name}"), Kind::Metal);
            self.out.bare.push(format!("{name}.C"));
            self.ring(&format!("E{name}"), &format!("{name}.C"));
            self.ring(&format!("F{name}"), "frame.G");
        }
    }
}

/// A vehicle with `boxes` boxes, each behind two connectors; the same for the same seed.
pub fn vehicle(seed: u64, boxes: usize) -> Vehicle {
    let numbers = Numbers::new(4_000 + seed);
    let mut sheet =
        Sheet { numbers, out: Vehicle::default(), devices: String::new(), ends: String::new(), wires: String::new(), count: 0 };
    // Which box hangs on which; 0 is the pack.
    let parents: Vec<usize> = (1..=boxes).map(|one| sheet.numbers.below(one)).collect();
    let name = |one: usize| if one == 0 { "pack".to_owned() } else { format!("box{one}") };
    let mut loops: Vec<(String, String)> = Vec::new();
    let both = sheet.numbers.chance(60);
    let poles = [both || sheet.numbers.chance(50), both || sheet.numbers.chance(50)];
    let poles = if poles == [false; 2] { [true, false] } else { poles };
    for one in 0..=boxes {
        let own = name(one);
        let outs: Vec<usize> = (1..=boxes).filter(|child| parents[child - 1] == one).collect();
        let pins = |port: &str| {
            format!(
                "      {port}: {{ pins: {{ 1: {{ role: supply, domain: pack }}, 2: {{ role: return, domain: pack }}, \
                 A: {{ role: interlock, domain: aux }}, B: {{ role: interlock, domain: aux }} }} }}\n"
            )
        };
        let mut ports: Vec<String> = outs.iter().map(|child| format!("O{child}")).collect();
        if one > 0 {
            ports.push("IN".to_owned());
        }
        let _ = write!(sheet.devices, "  {own}:\n    case: insulating\n");
        if one == 0 {
            let _ = writeln!(sheet.devices, "    nodes: [ a, b, c, d, p, m ]");
        }
        let _ = writeln!(sheet.devices, "    ports:");
        for port in &ports {
            sheet.devices.push_str(&pins(port));
        }
        if one == 0 {
            let _ = writeln!(
                sheet.devices,
                "      LV: {{ pins: {{ 1: {{ role: supply, domain: aux }}, 2: {{ role: return, domain: aux }} }} }}"
            );
        } else {
            let _ = writeln!(
                sheet.devices,
                "      T: {{ stud: M6, role: supply, domain: pack }}\n      C: {{ stud: M8, role: chassis, domain: aux }}"
            );
        }
        let _ = writeln!(sheet.devices, "    inside:");
        for port in &ports {
            let child = port.strip_prefix('O').and_then(|number| number.parse::<usize>().ok()).unwrap_or(one);
            let at = if port == "IN" { format!("C{child}") } else { format!("P{child}") };
            sheet.connector(&at, &format!("{own}.{port}"), &["1", "2", "A", "B"]);
            let bridge = format!("{own}.loop-{port}");
            let _ = writeln!(sheet.devices, "      loop-{port}: {{ interlock: [ {port}.A, {port}.B ] }}");
            // The bridge is on the box's side: it stays closed while its contacts are apart.
            sheet.item(&bridge, format!("{own}.{port}.A"), format!("{own}.{port}.B"), Kind::Metal);
            sheet.out.bridges.push(bridge);
            loops.push((format!("{at}.A"), format!("{at}.B")));
        }
        if one == 0 {
            let _ = writeln!(
                sheet.devices,
                "      low: {{ source: 150 V, resistance: 50 mohm, positive: a, negative: b }}\n      \
                 high: {{ source: 150 V, resistance: 50 mohm, positive: c, negative: d }}\n      \
                 SD: {{ disconnect: [ service ], from: a, to: d, current: 60 A, voltage: 400 V DC }}"
            );
            sheet.item("pack.low", "pack.b", "pack.a", Kind::Source(150.0));
            sheet.item("pack.high", "pack.d", "pack.c", Kind::Source(150.0));
            sheet.item("pack.SD", "pack.a", "pack.d", Kind::Switch([true, false]));
            for (pole, (from, to)) in [("c", "p"), ("b", "m")].into_iter().enumerate() {
                if poles[pole] {
                    let _ = writeln!(
                        sheet.devices,
                        "      K{pole}: {{ relay: normally-open, coil: [ LV.1, LV.2 ], contact: [ {from}, {to} ], resistance: 48 ohm, \
                         pull-in: 8 V, suppression: clamp, current: 60 A, voltage: 400 V DC }}"
                    );
                    sheet.item(format!("pack.K{pole}"), "pack.LV.1", "pack.LV.2", Kind::Coil(pole));
                    sheet.item(format!("pack.K{pole}"), format!("pack.{from}"), format!("pack.{to}"), Kind::Relay(pole));
                } else {
                    let _ = writeln!(sheet.devices, "      bar{pole}: {{ link: [ {from}, {to} ] }}");
                    sheet.item(format!("pack.bar{pole}"), format!("pack.{from}"), format!("pack.{to}"), Kind::Metal);
                }
            }
            for (pole, at) in [("1", "p"), ("2", "m")] {
                let pins: Vec<String> = ports.iter().map(|port| format!("{port}.{pole}")).collect();
                let _ = writeln!(sheet.devices, "      rail{pole}: {{ link: [ {at}, {} ] }}", pins.join(", "));
                for pin in pins {
                    sheet.item(format!("pack.rail{pole}"), format!("pack.{at}"), format!("pack.{pin}"), Kind::Metal);
                }
            }
        } else {
            for pole in ["1", "2"] {
                let pins: Vec<String> = outs.iter().map(|child| format!("O{child}.{pole}")).collect();
                if !pins.is_empty() {
                    let _ = writeln!(sheet.devices, "      rail{pole}: {{ link: [ IN.{pole}, {} ] }}", pins.join(", "));
                    for pin in pins {
                        sheet.item(format!("{own}.rail{pole}"), format!("{own}.IN.{pole}"), format!("{own}.{pin}"), Kind::Metal);
                    }
                }
            }
            sheet.inside(&own);
            sheet.wire(&format!("P{one}.1"), &format!("C{one}.1"), "4");
            sheet.wire(&format!("P{one}.2"), &format!("C{one}.2"), "4");
        }
    }
    battery(&mut sheet, loops);
    let Sheet { mut out, devices, ends, wires, .. } = sheet;
    out.netlist = format!(
        "format: 1\ndesign: Boxes behind a pack\n\
         domains:\n  pack: {{ nominal: 300 V, max: 340 V, reference: floating }}\n  aux: {{ nominal: 12 V, max: 12.6 V, reference: chassis }}\n\
         modes:\n  drive: {{}}\n  service: {{}}\n\
         devices:\n  frame: {{ chassis: true, ports: {{ G: {{ stud: M8, role: chassis, domain: aux }} }} }}\n{devices}\
         looms:\n  main:\n    ends:\n{ends}    wires:\n{wires}"
    );
    out
}

/// The 12 V battery, and the loop from it to the coils: connectors in any order, some left out, a wire missing or a jumper too many.
fn battery(sheet: &mut Sheet, mut loops: Vec<(String, String)>) {
    sheet.devices.push_str(
        "  battery:\n    nodes: [ plus ]\n    ports:\n      OUT: { pins: { 1: { role: supply, domain: aux }, 2: { role: return, domain: aux } } }\n      \
         N: { stud: M8, role: return, domain: aux }\n    inside:\n      cells: { source: 12.6 V, resistance: 20 mohm, positive: plus, negative: N }\n      \
         key: { switch: open, from: plus, to: OUT.1, closed-in: [ drive ], current: 10 A }\n      minus: { link: [ N, OUT.2 ] }\n",
    );
    sheet.item("battery.cells", "battery.N", "battery.plus", Kind::Source(12.6));
    sheet.item("battery.key", "battery.plus", "battery.OUT.1", Kind::Switch([true, false]));
    sheet.item("battery.minus", "battery.N", "battery.OUT.2", Kind::Metal);
    sheet.out.bare.extend(["battery.N".to_owned(), "frame.G".to_owned()]);
    sheet.connector("V", "pack.LV", &["1", "2"]);
    sheet.connector("W", "battery.OUT", &["1", "2"]);
    sheet.ring("RN", "battery.N");
    sheet.ring("RG", "frame.G");
    sheet.wire("RN", "RG", "6");
    sheet.wire("V.2", "W.2", "0.75");
    for at in (1..loops.len()).rev() {
        loops.swap(at, sheet.numbers.below(at + 1));
    }
    // Most loops leave out a plug or two, some nearly all: what is live is seen where nothing lets the contactors go.
    let left_out = sheet.numbers.pick(&[12, 12, 60, 95]);
    loops.retain(|_| !sheet.numbers.chance(left_out));
    // Each stretch of wire with its ends, from the battery to the coils.
    let mut stretches: Vec<(String, String)> = Vec::new();
    let mut last = "W.1".to_owned();
    for (from, to) in loops {
        stretches.push((std::mem::replace(&mut last, to), from));
    }
    stretches.push((last, "V.1".to_owned()));
    let cut = sheet.numbers.chance(15).then(|| sheet.numbers.below(stretches.len()));
    for (_, (from, to)) in stretches.iter().enumerate().filter(|(at, _)| Some(*at) != cut) {
        sheet.wire(from, to, "0.75");
    }
    // From the beginning of one stretch to the end of a later one: past all that is between.
    if sheet.numbers.chance(40) && stretches.len() > 1 {
        let first = sheet.numbers.below(stretches.len() - 1);
        let second = first + 1 + sheet.numbers.below(stretches.len() - first - 1);
        let (from, to) = (stretches[first].0.clone(), stretches[second].1.clone());
        sheet.wire(&from, &to, "0.75");
    }
}
