//! What the papers of the bench cost, each over one whole check of the same design in the same run.

use super::generator::design;
use harness_core::{
    Analysis, Checker, Design, Files, MemoryFiles,
    bench::{Bench, going_live},
};
use std::{
    hint::black_box,
    path::Path,
    time::{Duration, Instant},
};

/// Wires of the generated designs.
const SIZES: [usize; 2] = [1_000, 10_000];

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
