//! Two designs that differ in the order of their keys and items alone are the same to every comparison.

use super::shuffle::{Numbers, rewritten};
use harness_core::{
    Analysis, Checker, Design, Document, FileError, Files, MemoryFiles,
    diff::{
        Edits,
        effect::{Effect, Threshold, effect},
        inventory,
        renames::Renames,
    },
};
use harness_tests::{
    corpus::{Folder, place, texts},
    fixtures, netlists,
    tier::sample,
};

const SEEDS: u64 = 4;

/// The files of a design, each written anew in another order.
struct Shuffled(Folder, Option<u64>);

impl Files for Shuffled {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        let bytes = self.0.read(name)?;
        let text = String::from_utf8(bytes).map_err(|error| FileError::Unreadable(error.to_string()))?;
        Ok(rewritten(&text, self.1.map(Numbers::new).as_mut()).into_bytes())
    }
}

fn between(old: (&dyn Files, &str), new: (&dyn Files, &str)) -> (Edits, Effect) {
    let documents = [old, new].map(|(files, root)| Document::read(files, root));
    let [was, is] = documents.each_ref().map(inventory);
    let edits = Edits::between(&was, &is);
    let [before, after] = documents.map(|document| Analysis::of_all(&Design::of(document)));
    let [before_report, after_report] = [&before, &after].map(|analysis| Checker::new().check(analysis));
    let effect = effect(&before, &before_report, &after, &after_report, &Renames::default(), Threshold::default());
    (edits, effect)
}

/// What a comparison of two twins says, which should be nothing.
fn told(edits: &Edits, effect: &Effect) -> Vec<String> {
    let mut told = Vec::new();
    if !edits.is_empty() {
        told.push(format!("edits: {edits:?}"));
    }
    told.extend(effect.findings.came.iter().map(|it| format!("came: {} {} {:?}", it.rule, it.headline, it.concerns)));
    told.extend(effect.findings.went.iter().map(|it| format!("went: {} {} {:?}", it.rule, it.headline, it.concerns)));
    told.extend(
        effect.findings.changed.iter().map(|it| format!("changed: {} {} {:?}", it.new.rule, it.new.headline, it.figures)),
    );
    told.extend(effect.conductors.iter().map(|it| format!("conductor: {it:?}")));
    told.extend(effect.fuses.iter().map(|it| format!("fuse: {it:?}")));
    told.extend(effect.loads.iter().map(|it| format!("load: {it:?}")));
    told.extend(effect.nets.iter().map(|it| format!("net: {it:?}")));
    told.extend(effect.modes.only_old.iter().chain(&effect.modes.only_new).map(|it| format!("mode: {it}")));
    told
}

#[test]
fn a_shuffled_twin_is_the_same_design() {
    let mut failures = Vec::new();
    let mut count = 0;
    let files = netlists(&fixtures());
    let cases = files.iter().flat_map(|path| (0..SEEDS).map(move |seed| (path, seed)));
    for (path, seed) in sample("a_shuffled_twin_is_the_same_design", cases) {
        let (folder, name) = place(path);
        let plain = Shuffled(Folder(folder.0.clone()), None);
        let other = Shuffled(folder, Some(seed));
        let (edits, effect) = between((&plain, &name), (&other, &name));
        count += 1;
        let told = told(&edits, &effect);
        if !told.is_empty() {
            failures.push(format!("{}, seed {seed}:\n  {}", path.display(), told.join("\n  ")));
        }
    }
    assert!(failures.is_empty(), "{} of {count} twins differ:\n{}", failures.len(), failures.join("\n"));
}

#[test]
fn a_shuffled_example_is_the_same_design() {
    let mut failures = Vec::new();
    for text in sample("a_shuffled_example_is_the_same_design", texts()) {
        let plain = MemoryFiles::one("design.yaml", rewritten(&text.netlist, None));
        let other = MemoryFiles::one("design.yaml", rewritten(&text.netlist, Some(&mut Numbers::new(11))));
        let (edits, effect) = between((&plain, "design.yaml"), (&other, "design.yaml"));
        let told = told(&edits, &effect);
        if !told.is_empty() {
            failures.push(format!("{}:\n  {}", text.name, told.join("\n  ")));
        }
    }
    assert!(failures.is_empty(), "{} examples differ:\n{}", failures.len(), failures.join("\n"));
}
