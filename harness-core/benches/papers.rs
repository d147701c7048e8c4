//! What the papers of the bench cost, each over one whole check of the same design in the same run.

use super::generator::design;
use harness_core::{
    Analysis, Checker, Design, Files, MemoryFiles,
    bench::{Bench, going_live},
};
use std::{
    fmt::Write as _,
    hint::black_box,
    path::Path,
    time::{Duration, Instant},
};

/// Wires of the generated designs.
const SIZES: [usize; 2] = [1_000, 10_000];

/// Wires of a plug with fifty cavities.
const WIRES: usize = 48;

/// The table: each paper over a check, of the tractor and of generated designs, and the milliseconds of all together.
pub fn table() {
    println!(
        "\n| design | check, ms | cut lists | connector sheets | parts | labels | torques | ring-out | first power | all over a check |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/terrace-tractor");
    row("tractor", &super::Disk, &demo.join("tractor.yaml").display().to_string());
    for size in SIZES {
        row(&format!("{size} wires"), &MemoryFiles::one("design.yaml", design(size, super::SEED)), "design.yaml");
    }
    for (wires, returns) in [(1_920, 0), (1_920, 8), (9_600, 8)] {
        let what = if returns == 0 { String::new() } else { format!(", {returns} of each plug on one return") };
        row(
            &format!("{wires} wires in 50-way plugs{what}"),
            &MemoryFiles::one("design.yaml", full_plugs(wires, returns)),
            "design.yaml",
        );
    }
}

/// One loom of plugs with fifty cavities, two of them free: so many wires of each plug go to one splice, all others to the next plug.
fn full_plugs(wires: usize, returns: usize) -> String {
    let mut text = String::from(
        "format: 1\ndesign: Hop picker\ndomains:\n  aux: { nominal: 12 V, max: 15 V, reference: chassis }\nparts:\n  \
         conductors: { w: { rated: 125 degC, voltage: 60 V } }\n  housings:\n    \
         QS: { family: QQ, positions: 50, contacts: socket, voltage: 60 V, current: 5 A, sealed: true }\n    \
         QP: { family: QQ, positions: 50, contacts: pin, voltage: 60 V, current: 5 A, sealed: true }\ndevices:\n",
    );
    let (mut ends, mut rows) = (String::new(), String::new());
    for pair in 0..wires / WIRES {
        for side in ["a", "b"] {
            let _ = writeln!(text, "  box{pair}{side}: {{ ports: {{ X: {{ housing: QP }} }} }}");
            let _ = writeln!(ends, "      E{pair}{side}: {{ housing: QS, mates: box{pair}{side}.X }}");
        }
        for cavity in 1..=WIRES {
            let to = if cavity <= returns { "G".to_owned() } else { format!("E{pair}b.{cavity}") };
            let _ = writeln!(
                rows,
                "      w{pair}-{cavity}: {{ from: E{pair}a.{cavity}, to: {to}, size: 0.5 mm2, colour: GY, length: 2 m }}"
            );
        }
    }
    text + "looms:\n  main:\n    wire: w\n    splices: { G: {} }\n    ends:\n" + &ends + "    wires:\n" + &rows
}

fn row(name: &str, files: &dyn Files, root: &str) {
    let load = || Analysis::of_all(&Design::load(files, root));
    let least = |of: &dyn Fn() -> Duration| (0..3).map(|_| of()).min().unwrap_or_default().as_secs_f64();
    let check = least(&|| timed(|| Checker::new().check(&load())));
    let analysis = load();
    // What rules and papers ask alike is there already.
    black_box(Checker::new().check(&analysis));
    let bench = Bench::of(&analysis);
    let papers: [&dyn Fn() -> Duration; 7] = [
        &|| timed(|| bench.cut_lists()),
        &|| timed(|| bench.end_sheets()),
        &|| timed(|| bench.stock()),
        &|| timed(|| bench.labels()),
        &|| timed(|| bench.joints()),
        &|| timed(|| bench.looms().iter().map(|loom| bench.ring_out(loom)).collect::<Vec<_>>()),
        &|| timed(|| going_live::going_live(&analysis)),
    ];
    let times = papers.map(least);
    let cells: Vec<String> = times.iter().map(|time| format!("{:.2}", time / check)).collect();
    println!("| {name} | {:.1} | {} | {:.2} |", check * 1e3, cells.join(" | "), times.iter().sum::<f64>() / check);
}

fn timed<T>(work: impl FnOnce() -> T) -> Duration {
    let begin = Instant::now();
    black_box(work());
    begin.elapsed()
}
