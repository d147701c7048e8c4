//! Random designs with everything that a mode can hold: loops, several sources, diodes, relays, converters, sources that reach
//! their limit, loads that starve. Netlists like any other, though no workshop would draw them.

use harness_tests::corpus::generator::Numbers;
use std::fmt::Write;

const STUDS: u64 = 9;
const SIZES: [&str; 5] = ["0.5", "1.5", "4", "16", "50"];

/// A design of some panels of studs, wired to each other and to a chassis; the same text for the same seed.
pub fn design(seed: u64) -> String {
    let mut sheet = Sheet { numbers: Numbers::new(1_000 + seed), wires: String::new(), count: 0, panels: 0 };
    sheet.panels = 2 + sheet.numbers.below(6);
    let mut devices = String::from("  frame:\n    chassis: true\n    ports:\n");
    for panel in 0..=sheet.panels {
        let _ = writeln!(devices, "      G{panel}: {{ stud: M8, role: chassis, domain: aux }}");
    }
    for panel in 0..sheet.panels {
        sheet.panel(&mut devices, panel);
    }
    let mut ends = String::new();
    for panel in 0..sheet.panels {
        for stud in 0..STUDS {
            let _ = writeln!(ends, "      R{panel}-{stud}: {{ ring: M8, bolts-to: panel-{panel}.S{stud} }}");
        }
    }
    for panel in 0..=sheet.panels {
        let _ = writeln!(ends, "      G{panel}: {{ ring: M8, bolts-to: frame.G{panel} }}");
    }
    format!(
        "format: 1\ndesign: Panels on a frame\n\
         domains:\n  aux: {{ nominal: 12 V, max: 15 V, reference: chassis }}\n  sensing: {{ nominal: 5 V, max: 6 V, reference: chassis }}\n\
         modes:\n  rest: {{}}\n  run: {{}}\n  work: {{}}\n\
         parts:\n  fuses:\n    f10: {{ rating: 10 A }}\n    f60: {{ rating: 60 A, resistance: 1.1 mohm }}\n\
         devices:\n{devices}looms:\n  main:\n    ends:\n{ends}    wires:\n{}",
        sheet.wires
    )
}

struct Sheet {
    numbers: Numbers,
    wires: String,
    count: u32,
    panels: u64,
}

impl Sheet {
    fn wire(&mut self, from: &str, to: &str) {
        self.count += 1;
        let size = SIZES[self.numbers.below(5) as usize];
        let length = 100 + self.numbers.below(4_000);
        let _ = writeln!(self.wires, "      {}: {{ from: {from}, to: {to}, size: {size} mm2, length: {length} mm }}", self.count);
    }

    /// Some of the three modes.
    fn modes(&mut self) -> &'static str {
        ["rest, run, work", "run, work", "work", "run", "rest, work"][self.numbers.below(5) as usize]
    }

    /// A figure between `least` and eleven times that.
    fn figure(&mut self, least: f64) -> f64 {
        least * (1.0 + self.numbers.below(10_000) as f64 / 1_000.0)
    }

    /// Studs 0 to 5 are fed or not, 6 and 7 lead to the chassis, 8 is of the output of a converter.
    fn panel(&mut self, devices: &mut String, panel: u64) {
        let _ = writeln!(devices, "  panel-{panel}:\n    ports:");
        for stud in 0..STUDS {
            let (role, domain) = match stud {
                0..=5 => ("supply", "aux"),
                6 | 7 => ("return", "aux"),
                _ => ("sensor supply", "sensing"),
            };
            let _ = writeln!(devices, "      S{stud}: {{ stud: M8, role: {role}, domain: {domain} }}");
        }
        let _ = writeln!(devices, "    inside:");
        self.sources(devices, panel);
        self.paths(devices);
        self.loads(devices);
        // Most returns come home, most panels hang on the one before; a wire or two make loops.
        for stud in [6, 7] {
            if self.numbers.below(8) > 0 {
                let place = self.numbers.below(self.panels + 1);
                self.wire(&format!("R{panel}-{stud}"), &format!("G{place}"));
            }
        }
        if panel > 0 && self.numbers.below(10) > 0 {
            let (from, to) = (self.numbers.below(6), self.numbers.below(6));
            self.wire(&format!("R{}-{from}", panel - 1), &format!("R{panel}-{to}"));
        }
        for _ in 0..1 + self.numbers.below(3) {
            let (other, from, to) = (self.numbers.below(self.panels), self.numbers.below(6), self.numbers.below(6));
            if other != panel || from != to {
                self.wire(&format!("R{other}-{from}"), &format!("R{panel}-{to}"));
            }
        }
    }

    fn sources(&mut self, devices: &mut String, panel: u64) {
        if panel == 0 || self.numbers.below(3) == 0 {
            let emf = 12.0 + self.numbers.below(20) as f64 / 10.0;
            let ohms = self.figure(2.0);
            let stud = self.numbers.below(6);
            let _ =
                writeln!(devices, "      cells: {{ source: {emf} V, resistance: {ohms} mohm, positive: S{stud}, negative: S6 }}");
        }
        if self.numbers.below(2) == 0 {
            let (stud, limit, modes) = (self.numbers.below(6), self.figure(2.0), self.modes());
            let _ = writeln!(
                devices,
                "      charger: {{ source: 14.2 V, resistance: 15 mohm, limit: {limit} A, positive: S{stud}, negative: S7, in: [{modes}] }}"
            );
        }
        if self.numbers.below(2) == 0 {
            let (stud, limit, ohms) = (self.numbers.below(6), self.figure(0.1), self.figure(1.0));
            let _ = writeln!(
                devices,
                "      reference: {{ converter: 5 V, from: [S{stud}, S6], to: [S8, S7], limit: {limit} A, efficiency: 82 %, \
                 resistance: 40 mohm }}\n      divider: {{ resistor: {ohms} ohm, from: S8, to: S7 }}\n      \
                 probe: {{ load: 0.4 W, from: S8, to: S7, in: [run, work] }}"
            );
        }
    }

    fn paths(&mut self, devices: &mut String) {
        for number in 1..6 {
            let from = self.numbers.below(number);
            let modes = self.modes();
            let _ = match self.numbers.below(9) {
                0 => writeln!(devices, "      F{number}: {{ fuse: f10, from: S{from}, to: S{number} }}"),
                1 => writeln!(devices, "      F{number}: {{ fuse: f60, from: S{from}, to: S{number} }}"),
                2 | 3 => {
                    writeln!(devices, "      Q{number}: {{ switch: open, from: S{from}, to: S{number}, closed-in: [{modes}] }}")
                }
                4 => writeln!(devices, "      D{number}: {{ diode: 0.6 V, from: S{from}, to: S{number} }}"),
                5 => writeln!(devices, "      D{number}: {{ diode: 0.4 V, from: S{number}, to: S{from} }}"),
                6 => writeln!(
                    devices,
                    "      K{number}: {{ relay: normally-open, coil: [S0, S6], contact: [S{from}, S{number}], resistance: 85 ohm, pull-in: 7 V }}"
                ),
                7 => writeln!(
                    devices,
                    "      K{number}: {{ relay: changeover, coil: [S1, S7], contact: [S{from}, S{number}, S5], resistance: 60 ohm }}"
                ),
                _ => writeln!(devices, "      B{number}: {{ link: [S{from}, S{number}], resistance: 0.3 mohm }}"),
            };
        }
    }

    fn loads(&mut self, devices: &mut String) {
        for number in 0..3 + self.numbers.below(4) {
            let (stud, home, modes) = (self.numbers.below(6), 6 + self.numbers.below(2), self.modes());
            let (amps, watts, ohms) = (self.figure(0.3), self.figure(4.0), self.figure(0.8));
            let _ = match self.numbers.below(5) {
                0 | 1 => writeln!(devices, "      L{number}: {{ load: {amps} A, from: S{stud}, to: S{home}, in: [{modes}] }}"),
                2 | 3 => writeln!(devices, "      L{number}: {{ load: {watts} W, from: S{stud}, to: S{home}, in: [{modes}] }}"),
                _ => writeln!(devices, "      L{number}: {{ resistor: {ohms} ohm, from: S{stud}, to: S{home} }}"),
            };
        }
        if self.numbers.below(4) == 0 {
            let _ = writeln!(devices, "      bridge: {{ load: 2 A, from: S2, to: S4 }}");
        }
    }
}
