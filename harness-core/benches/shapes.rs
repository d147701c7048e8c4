//! Designs of one shape each, of any size: rows, stars, rings, ladders, cables side by side, fuses one behind the other. What is
//! superlinear somewhere shows here first, where a design of the trade would hide it. Every figure is invented.

use harness_core::{Analysis, Checker, Design, MemoryFiles, check};
use std::{fmt::Write, hint::black_box, time::Instant};

/// Sizes between which the exponent is taken.
const SIZES: [usize; 2] = [400, 1600];

/// A shape by its name.
type Shape = (&'static str, fn(usize) -> Loom);

const SHAPES: [Shape; 7] = [
    ("row of splices, one load", row),
    ("row of splices, a load at each", loaded_row),
    ("star of loads", star),
    ("ring of splices", ring),
    ("ladder of splices", ladder),
    ("cables side by side", side_by_side),
    ("fuses one behind the other", fuses),
];

/// Prints for each shape how the time of the analysis and of a whole check grows with its size.
pub fn table() {
    println!("\n| shape | analysis of {}, ms | exponent | whole check, ms | exponent |\n|---|---|---|---|---|", SIZES[1]);
    for (name, shape) in SHAPES {
        let texts = SIZES.map(|size| shape(size).text());
        let analysis = texts.each_ref().map(|text| best(|| drop(black_box(Analysis::of_all(&load(text))))));
        let whole = texts.each_ref().map(|text| best(|| drop(black_box(check(&files(text), "design.yaml", &Checker::new())))));
        let cells = [analysis, whole].map(|[few, many]| {
            let exponent = (many / few).ln() / (SIZES[1] as f64 / SIZES[0] as f64).ln();
            format!("{:.1} | {exponent:.2}", 1e3 * many)
        });
        println!("| {name} | {} |", cells.join(" | "));
    }
}

fn files(text: &str) -> MemoryFiles {
    MemoryFiles::one("design.yaml", text)
}

fn load(text: &str) -> Design {
    Design::load(&files(text), "design.yaml")
}

fn best(mut run: impl FnMut()) -> f64 {
    let mut least = f64::INFINITY;
    for _ in 0..3 {
        let start = Instant::now();
        run();
        least = least.min(start.elapsed().as_secs_f64());
    }
    least
}

/// A battery, a fuse, and one loom behind it.
#[derive(Default)]
struct Loom {
    devices: String,
    ends: String,
    splices: usize,
    wires: Vec<String>,
}

impl Loom {
    /// A loom of so many splices, `S0` and on.
    fn of(splices: usize) -> Self {
        let mut loom = Self { splices, ..Self::default() };
        loom.wire("P", "F", "6 mm2");
        loom.wire("M", "N", "6 mm2");
        loom
    }

    fn wire(&mut self, from: &str, to: &str, size: &str) {
        self.wires.push(format!("{{ from: {from}, to: {to}, size: {size}, length: 1 m }}"));
    }

    // Writing to a String never fails, so the results of `write!` say nothing here.
    fn lamp(&mut self, number: usize, at: &str, amps: &str) {
        let _ = writeln!(
            self.devices,
            "  lamp{number}:\n    ports: {{ A: {{ stud: M5 }}, B: {{ stud: M5 }} }}\n    \
             inside: {{ bulb: {{ load: {amps}, from: A, to: B, kind: lamp }} }}"
        );
        let _ = writeln!(self.ends, "      A{number}: {{ ring: M5, bolts-to: lamp{number}.A }}");
        let _ = writeln!(self.ends, "      B{number}: {{ ring: M5, bolts-to: lamp{number}.B }}");
        self.wire(at, &format!("A{number}"), "1 mm2");
        self.wire(&format!("B{number}"), "M", "1 mm2");
    }

    fn text(&self) -> String {
        let mut text = String::from(
            "format: 1\ndesign: one shape\n\
             domains: { aux: { nominal: 12 V, max: 15 V, reference: floating } }\n\
             zones: { deck: { ambient: 40 degC } }\n\
             parts:\n  conductors:\n    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }\n  \
             fuses:\n    small: { standard: ISO 8820-3, rating: 10 A }\n\
             devices:\n  battery:\n    ports:\n      POS: { stud: M8, role: supply, domain: aux }\n      \
             NEG: { stud: M8, role: return, domain: aux }\n    \
             inside: { cells: { source: 12.6 V, resistance: 10 mohm, positive: POS, negative: NEG } }\n  \
             box:\n    ports: { IN: { stud: M8 }, OUT: { stud: M5 } }\n    inside: { F1: { fuse: small, from: IN, to: OUT } }\n",
        );
        text.push_str(&self.devices);
        text.push_str(
            "looms:\n  deck:\n    wire: thin\n    zone: deck\n    ends:\n      P: { ring: M8, bolts-to: battery.POS }\n      \
             F: { ring: M8, bolts-to: box.IN }\n      G: { ring: M5, bolts-to: box.OUT }\n      \
             N: { ring: M8, bolts-to: battery.NEG }\n",
        );
        text.push_str(&self.ends);
        text.push_str("    splices:\n      M: {}\n");
        for splice in 0..self.splices {
            let _ = writeln!(text, "      S{splice}: {{}}");
        }
        text.push_str("    wires:\n");
        for (number, wire) in self.wires.iter().enumerate() {
            let _ = writeln!(text, "      {}: {wire}", number + 1);
        }
        text
    }
}

fn splice(number: usize) -> String {
    format!("S{number}")
}

/// One load behind all splices: its way passes every conductor, and loses more than it may.
fn row(size: usize) -> Loom {
    let mut loom = Loom::of(size);
    loom.wire("G", "S0", "2.5 mm2");
    for number in 1..size {
        loom.wire(&splice(number - 1), &splice(number), "1 mm2");
    }
    loom.lamp(0, &splice(size - 1), "4 A");
    loom
}

fn loaded_row(size: usize) -> Loom {
    let mut loom = row(size);
    for number in 1..size {
        loom.lamp(number, &splice(number - 1), "1 mA");
    }
    loom
}

fn star(size: usize) -> Loom {
    let mut loom = Loom::of(1);
    loom.wire("G", "S0", "2.5 mm2");
    for number in 0..size {
        loom.lamp(number, "S0", "10 mA");
    }
    loom
}

fn ring(size: usize) -> Loom {
    let mut loom = row(size);
    loom.wire(&splice(size - 1), "S0", "1 mm2");
    loom
}

/// Two rows with a rung at each place.
fn ladder(size: usize) -> Loom {
    let half = size / 2;
    let mut loom = Loom::of(2 * half);
    loom.wire("G", "S0", "2.5 mm2");
    for number in 0..half {
        loom.wire(&splice(2 * number), &splice(2 * number + 1), "1 mm2");
        if number > 0 {
            loom.wire(&splice(2 * number - 2), &splice(2 * number), "1 mm2");
            loom.wire(&splice(2 * number - 1), &splice(2 * number + 1), "1 mm2");
        }
    }
    loom.lamp(0, &splice(2 * half - 1), "4 A");
    loom
}

fn side_by_side(size: usize) -> Loom {
    let mut loom = Loom::of(2);
    loom.wire("G", "S0", "2.5 mm2");
    for _ in 0..size {
        loom.wire("S0", "S1", "1 mm2");
    }
    loom.lamp(0, "S1", "4 A");
    loom
}

fn fuses(size: usize) -> Loom {
    let mut loom = Loom::of(0);
    for number in 0..size {
        let _ = writeln!(
            loom.devices,
            "  holder{number}:\n    ports: {{ IN: {{ stud: M5 }}, OUT: {{ stud: M5 }} }}\n    \
             inside: {{ F: {{ fuse: small, from: IN, to: OUT }} }}"
        );
        let _ = writeln!(loom.ends, "      I{number}: {{ ring: M5, bolts-to: holder{number}.IN }}");
        let _ = writeln!(loom.ends, "      O{number}: {{ ring: M5, bolts-to: holder{number}.OUT }}");
        let before = number.checked_sub(1).map_or("G".to_owned(), |before| format!("O{before}"));
        loom.wire(&before, &format!("I{number}"), "1 mm2");
    }
    loom.lamp(0, &format!("O{}", size - 1), "1 A");
    loom
}
