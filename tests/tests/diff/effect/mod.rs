//! What one change does to a design, by figures that can be followed by hand, and the laws that every comparison keeps: a
//! design has no effect on itself, and swapped designs give swapped effects.

mod by_hand;
mod demo;
mod findings;
mod laws;

use harness_core::{
    Analysis, Checker, Design, Files, MemoryFiles,
    diff::{
        effect::{Effect, Threshold, effect},
        renames::Renames,
    },
};

/// What the changes between two designs do, each given by its files and the name of its root.
fn between(old: (&dyn Files, &str), new: (&dyn Files, &str), renames: &Renames) -> Effect {
    let [before, after] = [old, new].map(|(files, root)| Analysis::of_all(&Design::load(files, root)));
    let [before_report, after_report] = [&before, &after].map(|analysis| Checker::new().check(analysis));
    effect(&before, &before_report, &after, &after_report, renames, Threshold::default())
}

/// The same for netlists of one file.
fn of_texts(old: &str, new: &str, renames: &Renames) -> Effect {
    let (old, new) = (MemoryFiles::one("design.yaml", old), MemoryFiles::one("design.yaml", new));
    between((&old, "design.yaml"), (&new, "design.yaml"), renames)
}

fn renames(pairs: &[(&str, &str)]) -> Renames {
    Renames::new(pairs.iter().map(|(old, new)| ((*old).to_owned(), (*new).to_owned())))
}

/// One swap that must be possible.
fn exchanged(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "`{from}` is not in the design");
    text.replace(from, to)
}
