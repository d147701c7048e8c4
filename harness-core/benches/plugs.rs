//! What the comparison of all plugs of one family costs, with the keys that rule out the worst pairs, over one whole check of the same design.

use harness_core::{
    Analysis, Checker, Design, MemoryFiles,
    inspect::{Asked, Grade, Swaps},
};
use std::{
    fmt::Write as _,
    hint::black_box,
    time::{Duration, Instant},
};

/// Connectors of the family; 2,000 are two million pairs.
const SIZES: [usize; 2] = [500, 2_000];
/// How many positions each of them has.
const POSITIONS: [usize; 3] = [2, 4, 8];

/// The tables: time of the comparison over that of a check, milliseconds of it, and the growth of the comparison.
pub fn table() {
    println!("\n| plugs of one family | over one check of {0} | ms of {0} | growth, exponent |\n|---|---|---|---|", SIZES[1]);
    for (keys, what) in [("ABCD", "four keys"), ("A", "one key"), ("", "no key")] {
        for positions in POSITIONS {
            let [(few, _), (many, check)] = SIZES.map(|count| times(&design(count, positions, keys)));
            let exponent = (many / few).ln() / (SIZES[1] as f64 / SIZES[0] as f64).ln();
            println!("| {positions} positions, {what} | {:.2} | {:.0} | {exponent:.2} |", many / check, many * 1e3);
        }
    }
}

/// Seconds that the comparison takes, and that a check takes that makes it too.
fn times(netlist: &str) -> (f64, f64) {
    let load = || Analysis::of_all(&Design::load(&MemoryFiles::one("design.yaml", netlist), "design.yaml"));
    let asked = Asked { least: Grade::Mixed, cured: Grade::Damage, most: 60 };
    let swaps = || {
        let analysis = load();
        timed(|| Swaps::of(&analysis, asked))
    };
    let check = || {
        let analysis = load();
        timed(|| Checker::new().check(&analysis))
    };
    let least = |of: &dyn Fn() -> Duration| (0..3).map(|_| of()).min().unwrap_or_default().as_secs_f64();
    (least(&swaps), least(&check))
}

fn timed<T>(work: impl FnOnce() -> T) -> Duration {
    let begin = Instant::now();
    black_box(work());
    begin.elapsed()
}

/// Boxes with one connector each, of which two positions feed a load and the others another one, a return, or nothing, in an order of their own.
fn design(count: usize, positions: usize, keys: &str) -> String {
    let mut seed = 7_u64;
    let mut draw = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    let letters: Vec<String> = if keys.is_empty() { vec![String::new()] } else { keys.chars().map(String::from).collect() };
    let mut text = "format: 1\ndesign: Tea harvester\ndomains:\n  aux: { nominal: 12 V, max: 15 V, reference: chassis }\n  deck: { nominal: 24 V, max: 30 V, reference: chassis }\nparts:\n  conductors: { w: { rated: 125 degC, voltage: 60 V } }\n  housings:\n".to_owned();
    for letter in &letters {
        let key = if letter.is_empty() { String::new() } else { format!(", key: {letter}") };
        for (half, contacts) in [("S", "socket"), ("P", "pin")] {
            let _ = writeln!(
                text,
                "    Q{letter}{half}: {{ family: QQ, positions: {positions}, contacts: {contacts}{key}, voltage: 60 V, current: 20 A, sealed: true }}"
            );
        }
    }
    text.push_str("devices:\n");
    for (at, (volts, domain)) in [("12.6 V", "aux"), ("25.2 V", "deck")].into_iter().enumerate() {
        let _ = writeln!(
            text,
            "  battery{at}:\n    ports: {{ plus: {{ stud: M8, role: supply, domain: {domain} }}, minus: {{ stud: M8, role: return, domain: {domain} }} }}\n    inside: {{ cells: {{ source: {volts}, resistance: 20 mohm, positive: plus, negative: minus }} }}"
        );
    }
    let (mut ends, mut wires) = (String::new(), String::new());
    for number in 0..count {
        let source = draw(2);
        let (domain, letter) = (["aux", "deck"][source], &letters[draw(letters.len())]);
        let mut order: Vec<usize> = (1..=positions).collect();
        for at in (1..positions).rev() {
            order.swap(at, draw(at + 1));
        }
        let (plus, minus) = (order[0], order[1]);
        let mut pins = vec![format!("{plus}: {{ signal: feed {number}, role: supply, domain: {domain} }}")];
        pins.push(format!("{minus}: {{ role: return, domain: {domain} }}"));
        let mut inside = vec![format!("it: {{ load: 5 mA, kind: lamp, from: X.{plus}, to: X.{minus} }}")];
        let mut lead = |cavity: usize, from: &str| {
            let _ = writeln!(
                wires,
                "      w{number}-{cavity}: {{ from: {from}{source}, to: E{number}.{cavity}, size: 1 mm2, colour: GY, length: 1 m }}"
            );
        };
        lead(plus, "P");
        lead(minus, "G");
        for pin in &order[2..] {
            match draw(3) {
                0 => {
                    let kind = ["lamp", "heater", "electronics, polarised: true"][draw(3)];
                    pins.push(format!("{pin}: {{ signal: aid {number} {pin}, role: supply, domain: {domain} }}"));
                    inside.push(format!("it{pin}: {{ load: 5 mA, kind: {kind}, from: X.{pin}, to: X.{minus} }}"));
                    lead(*pin, "P");
                }
                1 => {
                    pins.push(format!("{pin}: {{ role: return, domain: {domain} }}"));
                    inside.push(format!("it{pin}: {{ load: 3 mA, kind: lamp, from: X.{plus}, to: X.{pin} }}"));
                    lead(*pin, "G");
                }
                _ => pins.push(format!("{pin}: spare")),
            }
        }
        let (pins, inside) = (pins.join(", "), inside.join(", "));
        let _ = writeln!(
            text,
            "  box{number}:\n    ports: {{ X: {{ housing: Q{letter}P, pins: {{ {pins} }} }} }}\n    inside: {{ {inside} }}"
        );
        let _ = writeln!(ends, "      E{number}: {{ housing: Q{letter}S, mates: box{number}.X }}");
    }
    text.push_str("looms:\n  main:\n    wire: w\n    splices: { P0: {}, P1: {}, G0: {}, G1: {} }\n    ends:\n");
    for at in 0..2 {
        let _ = writeln!(
            text,
            "      B{at}: {{ ring: M8, bolts-to: battery{at}.plus }}\n      N{at}: {{ ring: M8, bolts-to: battery{at}.minus }}"
        );
    }
    let leads = (0..2).map(|at| {
        format!("      u{at}: {{ from: B{at}, to: P{at}, size: 2.5 mm2, colour: RD, length: 100 mm }}\n      n{at}: {{ from: N{at}, to: G{at}, size: 2.5 mm2, colour: BK, length: 100 mm }}\n")
    });
    let leads: String = leads.collect();
    text + &ends + "    wires:\n" + &leads + &wires
}
