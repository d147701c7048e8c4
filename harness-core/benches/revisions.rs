//! What the difference of two revisions costs, against one check of the new one, and how the cost of a rework order grows.

use super::generator::{Numbers, design};
use harness_core::{
    Checker, Design, Document, MemoryFiles, check,
    diff::{Edits, Revision, changes, collisions, inventory, rework::rework},
};
use std::{hint::black_box, time::Instant};

const WIRES: usize = 10_000;
const EDITS: u64 = 100;
/// Wires of the designs for which rework orders are made, all with the same few edits.
const GROWING: [usize; 4] = [2_500, 5_000, 10_000, 20_000];
const FEW_EDITS: u64 = 10;

/// Prints milliseconds, and the share of a check.
pub fn table() {
    let old = design(WIRES, 7);
    let (new, other_text) = (revised(&old, 1, EDITS), revised(&old, 2, EDITS));
    let files = |text: &str| MemoryFiles::one("design.yaml", text);
    let read = |text: &str| inventory(&Document::read(&files(text), "design.yaml"));
    let whole = best(|| drop(black_box(check(&files(&new), "design.yaml", &Checker::new()))));
    let inventories = best(|| drop(black_box((read(&old), read(&new)))));
    let documents = [&old, &new, &other_text].map(|text| Document::read(&files(text), "design.yaml"));
    let inventories_of = documents.each_ref().map(inventory);
    let designs = documents.map(Design::of);
    let [before, now, theirs] = &inventories_of;
    let [base, mine, other] = &designs;
    let revision = |design, inventory| Revision { design, inventory };
    let difference = best(|| drop(black_box(Edits::between(before, now))));
    let edits = Edits::between(before, now);
    let telling = best(|| drop(black_box(changes(&edits))));
    let three = best(|| drop(black_box(collisions(revision(base, before), revision(mine, now), revision(other, theirs)))));
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

/// Prints what a rework order costs by the size of the design, and the exponent of the growth.
pub fn rework_table() {
    let mut before: Option<f64> = None;
    for wires in GROWING {
        let old = design(wires, 7);
        let new = revised(&old, 1, FEW_EDITS);
        let documents = [&old, &new].map(|text| Document::read(&MemoryFiles::one("design.yaml", text.as_str()), "design.yaml"));
        let [old, new] = documents.each_ref().map(inventory);
        let [built, wanted] = documents.map(Design::of);
        let edits = Edits::between(&old, &new);
        let old = Revision { design: &built, inventory: &old };
        let new = Revision { design: &wanted, inventory: &new };
        let steps = rework(old, new, &edits).steps.len();
        let seconds = best(|| drop(black_box(rework(old, new, &edits))));
        let exponent = before.map_or_else(String::new, |before| format!(", exponent {:.2}", (seconds / before).log2()));
        println!("rework of {wires:>6} wires, {FEW_EDITS} edits, {steps:>3} steps: {:8.1} ms{exponent}", 1e3 * seconds);
        before = Some(seconds);
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

/// Some edits: wires renumbered, resized and moved, devices and ends with another name.
fn revised(text: &str, seed: u64, edits: u64) -> String {
    let mut numbers = Numbers::new(seed);
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let wires: Vec<usize> = (0..lines.len()).filter(|at| lines.get(*at).is_some_and(|line| line.contains("{ from: "))).collect();
    let mut renamed = Vec::new();
    for edit in 0..edits {
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
