//! What the comparison of two analysed designs costs, over one whole check of the newer.

use super::{files, generator::design};
use harness_core::{
    Analysis, Checker, Design, check,
    diff::{
        effect::{Effect, Threshold, effect},
        renames::Renames,
    },
};
use std::{
    hint::black_box,
    time::{Duration, Instant},
};

/// Rounds of which the best counts.
const ROUNDS: usize = 5;

/// Prints a row for each size: the same design twice, and one of which the wires of 1.5 mm2 became thinner and all
/// devices and looms have other names.
pub fn effect_table(sizes: [usize; 3], seed: u64) {
    println!(
        "\n| effect over one whole check | same design | thinner wires, other names | wires that changed |\n|---|---|---|---|"
    );
    for wires in sizes {
        let old = design(wires, seed);
        let new = old.replace("size: 1.5 mm2", "size: 1 mm2").replace("rig-", "set-");
        let whole = best(|| {
            let start = Instant::now();
            black_box(check(&files(&new), "design.yaml", &Checker::new()));
            start.elapsed()
        });
        // Devices and looms are in the second column.
        let names = old.lines().filter(|line| line.starts_with("  rig-")).filter_map(|line| line.trim().split(':').next());
        let renamed = names.map(|name| (name.to_owned(), name.replace("rig-", "set-")));
        let (same, _) = timed(&old, &old, &Renames::default());
        let (changed, found) = timed(&old, &new, &Renames::new(renamed));
        let over = |time: Duration| time.as_secs_f64() / whole.as_secs_f64();
        println!("| {wires} wires | {:.2} | {:.2} | {} |", over(same), over(changed), found.conductors.len());
    }
}

fn best(mut once: impl FnMut() -> Duration) -> Duration {
    (0..ROUNDS).map(|_| once()).min().unwrap_or(Duration::MAX)
}

/// The best time of a comparison, the analyses left out, and what it found.
fn timed(old: &str, new: &str, renames: &Renames) -> (Duration, Effect) {
    let analysis = |text: &str| Analysis::of_all(&Design::load(&files(text), "design.yaml"));
    let (before, after) = (analysis(old), analysis(new));
    let (before_report, after_report) = (Checker::new().check(&before), Checker::new().check(&after));
    let mut found = Effect::default();
    let time = best(|| {
        let start = Instant::now();
        found = effect(&before, &before_report, &after, &after_report, renames, Threshold::default());
        start.elapsed()
    });
    (time, found)
}
