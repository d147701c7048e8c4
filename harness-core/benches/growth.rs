//! How the time of what is said of many mistakes grows with their number: each with each would be 2, in step is 1.

use harness_core::{Analysis, Checker, Design, MemoryFiles};
use std::{
    fmt::Write as _,
    hint::black_box,
    time::{Duration, Instant},
};

const SIZES: [usize; 3] = [1_000, 4_000, 16_000];
const HEAD: &str = "format: 1\ndesign: Orchard lift\n";

/// What is asked of a design of so many mistakes, and how long it takes.
type Case = (&'static str, fn(usize) -> Duration);

/// A table: the time of each case at each size over that of the smallest, and the exponent from the smallest to the largest.
pub fn table() {
    println!("\n| what is found | {} times | {} | {} | growth, exponent |\n|---|---|---|---|---|", SIZES[0], SIZES[1], SIZES[2]);
    let cases: [Case; 5] = [
        ("unknown names, as many known ones", unknown_names),
        ("unknown names, looms with a miss each", unknown_in_looms),
        ("missing includes, as many files beside them", missing_includes),
        ("waivers, as many findings", waivers),
        ("findings on one line", one_line),
    ];
    for (what, case) in cases {
        let times = SIZES.map(|size| (0..3).map(|_| case(size)).min().unwrap_or_default().as_secs_f64());
        let [first, middle, last] = times;
        let exponent = (last / first).ln() / (SIZES[2] as f64 / SIZES[0] as f64).ln();
        println!("| {what} | 1.0 | {:.1} | {:.1} | {exponent:.2} |", middle / first, last / first);
    }
}

fn timed<T>(work: impl FnOnce() -> T) -> Duration {
    let begin = Instant::now();
    black_box(work());
    begin.elapsed()
}

fn load(netlist: String) -> Duration {
    let files = MemoryFiles::one("design.yaml", netlist);
    timed(|| Design::load(&files, "design.yaml"))
}

fn unknown_names(size: usize) -> Duration {
    let mut netlist = format!("{HEAD}zones:\n");
    for number in 0..size {
        let _ = writeln!(netlist, "  area-{number:06}: {{}}");
    }
    netlist.push_str("devices:\n");
    for number in 0..size {
        // Every second one is a slip, the others are like none.
        let zone = if number % 2 == 0 { format!("araea-{number:06}") } else { format!("place-{number:06}") };
        let _ = writeln!(netlist, "  d{number}: {{ zone: {zone} }}");
    }
    load(netlist)
}

fn unknown_in_looms(size: usize) -> Duration {
    let mut netlist = format!("{HEAD}looms:\n");
    for number in 0..size {
        let _ = writeln!(netlist, "  l{number}: {{ splices: {{ S1: {{}} }}, wires: {{ 1: {{ from: S1, to: S7 }} }} }}");
    }
    load(netlist)
}

fn missing_includes(size: usize) -> Duration {
    // More would be beyond the limit of files.
    let size = size / 2;
    let mut files = MemoryFiles::default();
    let mut root = format!("{HEAD}include:\n");
    for number in 0..size {
        let _ = writeln!(root, "  - parts/part-{number:06}.yaml");
        files = files.and(&format!("parts/{number:06}.yaml"), "parts: {}\n");
    }
    let files = files.and("design.yaml", root);
    timed(|| Design::load(&files, "design.yaml"))
}

fn waivers(size: usize) -> Duration {
    // More findings of one rule are not kept.
    let size = size / 2;
    let mut netlist = format!("{HEAD}looms:\n  front:\n    splices: {{ S1: {{}} }}\n    wires:\n");
    for number in 0..size {
        let _ = writeln!(netlist, "      {number}: {{ from: S1, to: S1 }}");
    }
    netlist.push_str("waivers:\n");
    for number in 0..size {
        let _ = writeln!(netlist, "  - {{ finding: missing-fact, at: \"{number}\", reason: seen, by: a fitter }}");
    }
    let design = Design::load(&MemoryFiles::one("design.yaml", netlist), "design.yaml");
    let analysis = Analysis::of_all(&design);
    timed(|| Checker::new().check(&analysis))
}

fn one_line(size: usize) -> Duration {
    let keys: Vec<String> = (0..size).map(|number| format!("ü{number}: 1")).collect();
    let text = format!("{{ {} }}", keys.join(", "));
    let starts: Vec<u32> = text.match_indices('ü').map(|(at, _)| at as u32).collect();
    timed(|| {
        let file = harness_core::internals::text::SourceFile::new("design.yaml".to_owned(), text);
        starts.iter().map(|start| file.line_column(*start).1).sum::<usize>()
    })
}
