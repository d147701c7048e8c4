//! What the difference of two revisions costs, against one check of the new one.

use super::generator::{Numbers, design};
use harness_core::{
    Checker, MemoryFiles, check,
    diff::{Edits, changes, collisions, inventory},
};
use std::{hint::black_box, time::Instant};

const WIRES: usize = 10_000;
const EDITS: u64 = 100;

/// Prints milliseconds, and the share of a check.
pub fn table() {
    let old = design(WIRES, 7);
    let (new, other) = (revised(&old, 1), revised(&old, 2));
    let files = |text: &str| MemoryFiles::one("design.yaml", text);
    let read = |text: &str| inventory(&harness_core::Design::load(&files(text), "design.yaml"));
    let whole = best(|| drop(black_box(check(&files(&new), "design.yaml", &Checker::new()))));
    let inventories = best(|| drop(black_box((read(&old), read(&new)))));
    let (before, now, theirs) = (read(&old), read(&new), read(&other));
    let difference = best(|| drop(black_box(Edits::between(&before, &now))));
    let edits = Edits::between(&before, &now);
    let telling = best(|| drop(black_box(changes(&edits))));
    let three = best(|| drop(black_box(collisions(&before, &now, &theirs))));
    println!(
        "{WIRES} wires, {} renamed, {} removed, {} added, {} facts altered",
        edits.renamed.len(),
        edits.removed.len(),
        edits.added.len(),
        edits.altered.len()
    );
    let rows = [
        ("both inventories", inventories),
        ("difference", difference),
        ("changes", telling),
        ("three inventories", three),
        ("check", whole),
    ];
    for (name, seconds) in rows {
        println!("{name:>14} {:8.1} ms {:5.2} of a check", 1e3 * seconds, seconds / whole);
    }
}

fn best(mut run: impl FnMut()) -> f64 {
    let mut least = f64::INFINITY;
    for _ in 0..5 {
        let start = Instant::now();
        run();
        least = least.min(start.elapsed().as_secs_f64());
    }
    least
}

/// A hundred edits: wires renumbered, resized and moved, devices and ends with another name.
fn revised(text: &str, seed: u64) -> String {
    let mut numbers = Numbers::new(seed);
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let wires: Vec<usize> = (0..lines.len()).filter(|at| lines.get(*at).is_some_and(|line| line.contains("{ from: "))).collect();
    let mut renamed = Vec::new();
    for edit in 0..EDITS {
        let Some(at) = wires.get(numbers.below(wires.len() as u64) as usize) else { continue };
        let Some(line) = lines.get_mut(*at) else { continue };
        match edit % 5 {
            0 => *line = line.replacen("      1", "      9", 1),
            1 => *line = line.replacen("size: ", "size: 1", 1),
            2 => *line = line.replacen("to: ", "to: SG1, note: to ", 1),
            3 => *line = line.replacen("colour: ", "colour: VT, note: was ", 1),
            _ => renamed.push(format!("rig-{:03}-front-pump", 1 + numbers.below(40))),
        }
    }
    let mut text = lines.join("\n");
    for name in renamed {
        text = text
            .replace(&format!("{name}:"), &format!("{name}-{seed}:"))
            .replace(&format!("{name}."), &format!("{name}-{seed}."));
    }
    text
}
