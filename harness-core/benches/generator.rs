//! Designs like those of a workshop's wire lists, of any size, the same for the same seed.
//!
//! A rig has a battery, a main fuse, a fuse box, a chassis and up to four looms of 58 wires: fused loads, one of them
//! behind a relay, a control unit that switches valves and reads switches and sensors, and a display at the other end
//! of its CAN pair. Returns are gathered in splices and bolted to the chassis. What comes more than once is a device
//! kind, as in a workshop's own lists. Every figure is invented.

use std::fmt::Write;

/// The looms of a rig, by where they run, with the zone.
const SECTIONS: [(&str, &str); 4] = [("front", "hood"), ("cab", "cabin"), ("boom", "outside"), ("rear", "outside")];

/// Fused loads of a loom: name, demand, kind, fuse, conductor size in mm2, whether a switch and relay are before it.
const LOADS: [(&str, &str, &str, &str, &str, bool); 8] = [
    ("lamp-left", "18 W", "lamp", "blade-7", "1.0", false),
    ("lamp-right", "18 W", "lamp", "blade-7", "1.0", false),
    ("pump", "2.2 A", "motor", "blade-10", "1.5", false),
    ("heater", "36 W", "heater", "blade-10", "1.5", false),
    ("fan", "6 A", "motor", "blade-15", "2.5", true),
    ("horn", "2 A", "coil", "blade-7", "1.0", false),
    ("wiper", "2 A", "motor", "blade-7", "1.0", false),
    ("blower", "2.5 A", "motor", "blade-10", "1.5", false),
];

/// Numbers that look chosen and are the same on every run: the 64-bit linear congruential generator of Knuth's MMIX
/// (constants from memory), of which the upper half is used.
pub struct Numbers(u64);

impl Numbers {
    /// Numbers of their own for each seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_add(1))
    }

    /// A number below `limit`.
    pub fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 32) % limit.max(1)
    }

    /// A length as a cut list gives it: in steps of 10 mm.
    pub fn length(&mut self) -> u64 {
        300 + 10 * self.below(380)
    }

    /// A colour of a conductor of an auxiliary loom.
    pub fn colour(&mut self) -> &'static str {
        const COLOURS: [&str; 8] = ["RD", "RD/WH", "YE", "YE/BU", "GN/BK", "WH/VT", "BU/YE", "GY/RD"];
        COLOURS.get(self.below(8) as usize).copied().unwrap_or("RD")
    }
}

/// A netlist of at least `wires` wires (up to 61 more, so that no loom is cut off) in format 1.
///
/// The same text for the same arguments. About 150 bytes a wire, its share of the devices included.
#[must_use]
pub fn design(wires: usize, seed: u64) -> String {
    let mut numbers = Numbers::new(seed);
    let mut devices = String::new();
    let mut looms = String::new();
    let mut count = 0;
    let mut rig = 0;
    while count < wires {
        rig += 1;
        let missing = wires - count;
        let sections = missing.saturating_sub(5).div_ceil(58).clamp(1, SECTIONS.len());
        count += power(&mut devices, &mut looms, rig, sections, &mut numbers);
        for section in 0..sections {
            count += loom(&mut devices, &mut looms, rig, section, &mut numbers);
        }
    }
    format!("{}devices:\n{devices}\nlooms:\n{looms}", head())
}

// Writing to a String never fails, so the results of `write!` say nothing here.
fn head() -> String {
    let mut text = String::from(
        "format: 1\ndesign: Fleet of field rigs\nrevision: A\n\n\
         domains:\n  aux: { nominal: 12 V, max: 15 V, reference: chassis }\n  sensing: { nominal: 5 V, max: 5.5 V, reference: chassis }\n\n\
         zones:\n  hood: { ambient: 50 degC, wet: true }\n  cabin: { ambient: 35 degC }\n  outside: { ambient: 40 degC, wet: true }\n\n\
         policy: { voltage-drop: { electronics: 10 % } }\n\n\
         modes:\n  parked: {}\n  drive: {}\n  work: {}\n  service: { immobile: true }\n\n\
         parts:\n  conductors:\n    thin: { standard: ISO 6722-1, rated: 125 degC, voltage: 60 V, wall: thin }\n    \
         thick: { standard: ISO 6722-1, rated: 125 degC, voltage: 60 V, wall: thick }\n  fuses:\n    \
         blade-5: { standard: ISO 8820-3, rating: 5 A }\n    blade-7: { standard: ISO 8820-3, rating: 7.5 A }\n    \
         blade-10: { standard: ISO 8820-3, rating: 10 A }\n    blade-15: { standard: ISO 8820-3, rating: 15 A }\n    \
         strip-150: { standard: ISO 8820-5, rating: 150 A }\n  housings:\n",
    );
    for positions in [2, 3, 4, 24] {
        housing(&mut text, positions, "");
    }
    for key in ["A", "B", "C", "D"] {
        housing(&mut text, 12, key);
    }
    text.push_str("  devices:\n");
    kinds(&mut text);
    for sections in 1..=SECTIONS.len() {
        fuse_box(&mut text, sections);
    }
    text.push('\n');
    text
}

/// The two halves of a connector.
fn housing(text: &mut String, positions: u32, key: &str) {
    let (mark, coded) =
        if key.is_empty() { (String::new(), String::new()) } else { (format!("-{key}"), format!("key: {key}, ")) };
    for (half, contacts) in [("P", "pin"), ("S", "socket")] {
        let _ = writeln!(
            text,
            "    QL-{positions}{half}{mark}: {{ family: QL{positions}, positions: {positions}, contacts: {contacts}, {coded}\
             takes: {{ size: 0.35 mm2 .. 4.0 mm2 }}, current: 25 A, voltage: 60 V, sealed: true }}"
        );
    }
}

/// Battery, main fuse, fuse box and chassis of a rig, with the loom between them.
fn power(devices: &mut String, looms: &mut String, rig: usize, sections: usize, numbers: &mut Numbers) -> usize {
    let name = format!("rig-{rig:03}");
    let _ = writeln!(
        devices,
        "  {name}-battery:\n    zone: hood\n    ports:\n      \
         POS: {{ stud: M8, signal: battery positive, role: supply, domain: aux }}\n      \
         NEG: {{ stud: M8, signal: chassis ground, role: return, domain: aux }}\n    inside:\n      \
         cells: {{ source: 12.8 V, resistance: 8 mohm, positive: POS, negative: NEG }}\n  \
         {name}-main-fuse:\n    zone: hood\n    ports:\n      \
         IN: {{ stud: M8, signal: battery positive, role: supply, domain: aux }}\n      \
         OUT: {{ stud: M8, signal: fused battery, role: supply, domain: aux }}\n    inside:\n      \
         F0: {{ fuse: strip-150, from: IN, to: OUT }}\n  \
         {name}-chassis:\n    chassis: true\n    ports:\n      \
         G0: {{ stud: M8, signal: chassis ground, role: chassis, domain: aux }}\n      \
         G1: {{ stud: M6, signal: chassis ground, role: chassis, domain: aux }}"
    );
    for section in 0..sections {
        for stud in 0..3 {
            let _ = writeln!(
                devices,
                "      G{}{stud}: {{ stud: M6, signal: chassis ground, role: chassis, domain: aux }}",
                section + 2
            );
        }
    }
    let _ = writeln!(devices, "  {name}-fuse-box: {{ device: fuse-box-{sections}, zone: hood }}");
    let _ = writeln!(looms, "  {name}-battery-leads:\n    wire: thick\n    zone: hood\n    ends:");
    let rings = [
        ("M8", "battery.POS"),
        ("M8", "main-fuse.IN"),
        ("M8", "main-fuse.OUT"),
        ("M8", "fuse-box.BAT"),
        ("M8", "battery.NEG"),
        ("M8", "chassis.G0"),
        ("M6", "fuse-box.GND"),
        ("M6", "chassis.G1"),
    ];
    for (number, (thread, stud)) in rings.iter().enumerate() {
        let _ = writeln!(looms, "      R{}: {{ ring: {thread}, bolts-to: {name}-{stud} }}", number + 1);
    }
    let _ = writeln!(
        looms,
        "    wires:\n      1: {{ from: R1, to: R2, size: 50 mm2, colour: RD, length: 150 mm }}\n      \
         2: {{ from: R3, to: R4, size: 50 mm2, colour: RD, length: {} mm }}\n      \
         3: {{ from: R5, to: R6, size: 50 mm2, colour: BK, length: {} mm }}\n      \
         4: {{ from: R7, to: R8, size: 1.5 mm2, colour: BK, length: {} mm, wire: thin }}",
        400 + numbers.below(600),
        300 + numbers.below(300),
        numbers.length()
    );
    4
}

fn fuse_box(devices: &mut String, sections: usize) {
    let _ = writeln!(
        devices,
        "    fuse-box-{sections}:\n      ports:\n        \
         BAT: {{ stud: M8, signal: fused battery, role: supply, domain: aux }}\n        \
         GND: {{ stud: M6, signal: chassis ground, role: return, domain: aux }}"
    );
    let mut inside = String::new();
    for section in 0..sections {
        let port = format!("J{}", section + 1);
        let key = ["A", "B", "C", "D"].get(section).copied().unwrap_or("A");
        let _ = writeln!(devices, "        {port}:\n          housing: QL-12P-{key}\n          pins:");
        for (pin, (load, _, _, fuse, _, relayed)) in LOADS.iter().enumerate() {
            let pin = pin + 1;
            let _ = writeln!(devices, "            {pin}: {{ signal: {load} feed, role: supply, domain: aux }}");
            let from = if *relayed { format!("relayed-{}", section + 1) } else { "BAT".to_owned() };
            let _ = writeln!(inside, "        F{}{pin:02}: {{ fuse: {fuse}, from: {from}, to: {port}.{pin} }}", section + 1);
        }
        for (pin, signal) in [(9, "unit feed"), (10, "display feed"), (11, "switch feed")] {
            let _ = writeln!(devices, "            {pin}: {{ signal: {signal}, role: supply, domain: aux }}");
            let fuse = if pin == 9 { "blade-7" } else { "blade-5" };
            let _ = writeln!(inside, "        F{}{pin:02}: {{ fuse: {fuse}, from: BAT, to: {port}.{pin} }}", section + 1);
        }
        let _ = writeln!(devices, "            12: {{ signal: fan request, role: input, domain: aux }}");
        let _ = writeln!(
            inside,
            "        K{0}: {{ relay: normally-open, coil: [{port}.12, GND], contact: [BAT, relayed-{0}], resistance: 90 ohm, \
             pull-in: 7.5 V, suppression: resistor, current: 30 A }}",
            section + 1
        );
    }
    let nodes: Vec<String> = (1..=sections).map(|section| format!("relayed-{section}")).collect();
    let _ = writeln!(devices, "      nodes: [{}]\n      inside:\n{}", nodes.join(", "), inside.trim_end());
}

/// One loom in the making.
struct Sheet<'a> {
    devices: &'a mut String,
    numbers: &'a mut Numbers,
    /// Where the loom is and what its devices are called after.
    rig: String,
    zone: &'static str,
    ends: String,
    end_count: u32,
    wires: String,
    wire_count: u32,
}

impl Sheet<'_> {
    /// The end that mates a device's one connector; its last `open` cavities are plugged.
    fn end(&mut self, name: &str, positions: usize, open: usize) -> String {
        self.end_count += 1;
        let end = format!("P{}", self.end_count);
        let labels: Vec<String> = (positions - open + 1..=positions).map(|label| label.to_string()).collect();
        let plugged = if open == 0 { String::new() } else { format!(", plugged: [{}]", labels.join(", ")) };
        let _ = writeln!(self.ends, "      {end}: {{ housing: QL-{positions}S, mates: {}-{name}.J1{plugged} }}", self.rig);
        end
    }

    /// A device of a kind; gives the name of the end that mates it.
    fn device(&mut self, name: &str, kind: &str, positions: usize, open: usize) -> String {
        let _ = writeln!(self.devices, "  {}-{name}: {{ device: {kind}, zone: {} }}", self.rig, self.zone);
        self.end(name, positions, open)
    }

    fn wire(&mut self, from: &str, to: &str, size: &str, more: &str) {
        self.wire_count += 1;
        let number = 100 + self.wire_count;
        let colour = if to.starts_with('R') || to.starts_with("SG") { "BK" } else { self.numbers.colour() };
        let length = self.numbers.length();
        let _ = writeln!(
            self.wires,
            "      {number}: {{ from: {from}, to: {to}, size: {size} mm2, colour: {colour}, length: {length} mm{more} }}"
        );
    }
}

fn loom(devices: &mut String, looms: &mut String, rig: usize, section: usize, numbers: &mut Numbers) -> usize {
    let (place, zone) = SECTIONS.get(section).copied().unwrap_or(("front", "hood"));
    let mut sheet = Sheet {
        devices,
        numbers,
        rig: format!("rig-{rig:03}-{place}"),
        zone,
        ends: String::new(),
        end_count: 0,
        wires: String::new(),
        wire_count: 0,
    };
    let key = ["A", "B", "C", "D"].get(section).copied().unwrap_or("A");
    let _ = writeln!(sheet.ends, "      A1: {{ housing: QL-12S-{key}, mates: rig-{rig:03}-fuse-box.J{} }}", section + 1);
    for ring in 0..3 {
        let _ =
            writeln!(sheet.ends, "      R{}: {{ ring: M6, bolts-to: rig-{rig:03}-chassis.G{}{ring} }}", ring + 1, section + 2);
    }
    loads(&mut sheet);
    unit(&mut sheet);
    let Sheet { ends, wires, wire_count, .. } = sheet;
    let _ = writeln!(
        looms,
        "  rig-{rig:03}-{place}:\n    wire: thin\n    zone: {zone}\n    ends:\n{ends}    \
         splices: {{ SG1: {{}}, SG2: {{}}, SG3: {{}}, SS: {{}}, SR: {{}}, SF: {{}} }}\n    wires:\n{wires}"
    );
    wire_count as usize
}

/// The fused loads with their returns, and the switch of the one behind the relay.
fn loads(sheet: &mut Sheet<'_>) {
    for (number, (load, demand, kind, _, size, _)) in LOADS.iter().enumerate() {
        let modes = if number % 2 == 0 { "drive, work" } else { "work" };
        let _ = writeln!(
            sheet.devices,
            "  {}-{load}:\n    zone: {}\n    ports:\n      J1:\n        housing: QL-2P\n        pins:\n          \
             1: {{ signal: {load} feed, role: supply, domain: aux }}\n          \
             2: {{ signal: chassis ground, role: return, domain: aux }}\n    inside:\n      \
             load: {{ load: {demand}, kind: {kind}, from: J1.1, to: J1.2, in: [{modes}] }}",
            sheet.rig, sheet.zone
        );
        let end = sheet.end(load, 2, 0);
        sheet.wire(&format!("A1.{}", number + 1), &format!("{end}.1"), size, "");
        sheet.wire(&format!("{end}.2"), if number < 4 { "SG1" } else { "SG2" }, size, "");
    }
    sheet.wire("SG1", "R1", "6", "");
    sheet.wire("SG2", "R2", "6", "");
}

/// The kinds of the devices round the control unit, and the unit.
fn kinds(text: &mut String) {
    let mut pins = String::new();
    let mut inside = String::new();
    for number in 1..=4 {
        let (output, switch, sensor) = (4 + number, 8 + number, 12 + number);
        let _ = write!(
            pins,
            "            {output}: {{ signal: valve feed, role: output, domain: aux, drive: high-side }}\n            \
             {switch}: {{ signal: switch, role: input, domain: aux, pull: down }}\n            \
             {sensor}: {{ signal: sensor, role: input, domain: sensing }}\n"
        );
        let _ = write!(
            inside,
            "        Q{number}: {{ switch: open, from: J1.1, to: J1.{output}, closed-in: [work] }}\n        \
             pull-{number}: {{ resistor: 10 kohm, from: J1.{switch}, to: J1.2 }}\n        \
             filter-{number}: {{ resistor: 100 kohm, from: J1.{sensor}, to: J1.18 }}\n"
        );
    }
    for spare in 19..=24 {
        let _ = writeln!(pins, "            {spare}: spare");
    }
    let _ = write!(
        text,
        "    valve:\n      ports:\n        J1:\n          housing: QL-2P\n          pins:\n            \
         1: {{ signal: valve feed, role: input, domain: aux }}\n            \
         2: {{ signal: chassis ground, role: return, domain: aux }}\n      inside:\n        \
         coil: {{ load: 1.1 A, kind: coil, from: J1.1, to: J1.2, in: [work] }}\n    \
         sensor:\n      ports:\n        J1:\n          housing: QL-3P\n          pins:\n            \
         1: {{ signal: sensor supply, role: sensor supply, domain: sensing }}\n            \
         2: {{ signal: sensor, role: output, domain: sensing }}\n            \
         3: {{ signal: sensor return, role: sensor return, domain: sensing }}\n      inside:\n        \
         upper: {{ resistor: 3.3 kohm, from: J1.1, to: J1.2 }}\n        \
         lower: {{ resistor: 2.2 kohm, from: J1.2, to: J1.3 }}\n"
    );
    for (kind, signal) in [("switch", "switch"), ("fan-switch", "fan request")] {
        let _ = write!(
            text,
            "    {kind}:\n      ports:\n        J1:\n          housing: QL-2P\n          pins:\n            \
             1: {{ signal: switch feed, role: supply, domain: aux }}\n            \
             2: {{ signal: {signal}, role: output, domain: aux, drive: high-side }}\n      inside:\n        \
             lever: {{ switch: open, from: J1.1, to: J1.2, closed-in: [drive, work], current: 5 A }}\n"
        );
    }
    let bus = "            3: { signal: CAN high, role: CAN high, domain: aux }\n            \
               4: { signal: CAN low, role: CAN low, domain: aux }\n";
    let _ = write!(
        text,
        "    display:\n      ports:\n        J1:\n          housing: QL-4P\n          pins:\n            \
         1: {{ signal: display feed, role: supply, domain: aux }}\n            \
         2: {{ signal: chassis ground, role: return, domain: aux }}\n{bus}      inside:\n        \
         screen: {{ load: 0.8 A, kind: electronics, from: J1.1, to: J1.2, in: [drive, work] }}\n        \
         terminator: {{ resistor: 120 ohm, from: J1.3, to: J1.4 }}\n    \
         unit:\n      ports:\n        J1:\n          housing: QL-24P\n          pins:\n            \
         1: {{ signal: unit feed, role: supply, domain: aux }}\n            \
         2: {{ signal: chassis ground, role: return, domain: aux }}\n{bus}            \
         17: {{ signal: sensor supply, role: sensor supply, domain: sensing }}\n            \
         18: {{ signal: sensor return, role: sensor return, domain: sensing }}\n{pins}      inside:\n        \
         logic: {{ load: 0.35 A, kind: electronics, from: J1.1, to: J1.2, in: [drive, work] }}\n        \
         terminator: {{ resistor: 120 ohm, from: J1.3, to: J1.4 }}\n        \
         reference: {{ converter: 5 V, from: [J1.1, J1.2], to: [J1.17, J1.18], limit: 0.2 A, resistance: 0.5 ohm, \
         in: [drive, work] }}\n        \
         star: {{ resistor: 50 mohm, from: J1.18, to: J1.2 }}\n{inside}"
    );
}

/// The control unit with its valves, sensors, switches and the display on its bus.
fn unit(sheet: &mut Sheet<'_>) {
    let unit = sheet.device("unit", "unit", 24, 6);
    let display = sheet.device("display", "display", 4, 0);
    sheet.wire("A1.9", &format!("{unit}.1"), "1.0", "");
    sheet.wire(&format!("{unit}.2"), "SG3", "1.0", "");
    sheet.wire("A1.10", &format!("{display}.1"), "0.75", "");
    sheet.wire(&format!("{display}.2"), "SG3", "0.75", "");
    sheet.wire(&format!("{unit}.3"), &format!("{display}.3"), "0.5", ", twist: T1");
    sheet.wire(&format!("{unit}.4"), &format!("{display}.4"), "0.5", ", twist: T1");
    sheet.wire("SG3", "R3", "2.5", "");
    sheet.wire(&format!("{unit}.17"), "SS", "0.5", "");
    sheet.wire("SR", &format!("{unit}.18"), "0.5", "");
    sheet.wire("A1.11", "SF", "0.75", "");
    for number in 1..=4 {
        let valve = sheet.device(&format!("valve-{number}"), "valve", 2, 0);
        sheet.wire(&format!("{unit}.{}", 4 + number), &format!("{valve}.1"), "1.0", "");
        sheet.wire(&format!("{valve}.2"), "SG3", "1.0", "");
        let sensor = sheet.device(&format!("sensor-{number}"), "sensor", 3, 0);
        sheet.wire("SS", &format!("{sensor}.1"), "0.5", "");
        sheet.wire(&format!("{sensor}.2"), &format!("{unit}.{}", 12 + number), "0.5", "");
        sheet.wire(&format!("{sensor}.3"), "SR", "0.5", "");
    }
    for number in 1..=5 {
        let (kind, to) = match number {
            5 => ("fan-switch", "A1.12".to_owned()),
            _ => ("switch", format!("{unit}.{}", 8 + number)),
        };
        let switch = sheet.device(&format!("switch-{number}"), kind, 2, 0);
        sheet.wire("SF", &format!("{switch}.1"), "0.75", "");
        sheet.wire(&format!("{switch}.2"), &to, "0.75", "");
    }
}
