//! A name that is changed everywhere changes nothing but the name.

use harness_core::{
    Document, FileError, Files, MemoryFiles,
    diff::{Edits, Inventory, inventory},
    editor::{Index, Kind, Sort, SymbolId, rename},
    finding::Edit,
    source::Sources,
};
use harness_tests::{corpus::checked_files, tier};

/// The files of a design with edits made.
fn edited(sources: &Sources, edits: &[Edit]) -> MemoryFiles {
    let mut files = MemoryFiles::default();
    for (id, file) in sources.files() {
        let mut text = file.text().to_owned();
        let mut own: Vec<&Edit> = edits.iter().filter(|edit| edit.span.file == id).collect();
        own.sort();
        for edit in own.iter().rev() {
            text.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.text);
        }
        files = files.and(file.name(), text);
    }
    files
}

struct Read<'s>(&'s Sources);

impl Files for Read<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        let file = self.0.files().find(|(_, file)| file.name() == name);
        file.map(|(_, file)| file.text().as_bytes().to_vec()).ok_or(FileError::Missing)
    }
}

fn things(index: &Index) -> Vec<SymbolId> {
    let mut things: Vec<SymbolId> = index.tokens().iter().filter(|token| token.defines).map(|token| token.symbol).collect();
    things.sort();
    things.dedup();
    things.retain(|thing| !index.sort(*thing).is_some_and(Sort::is_label));
    things
}

/// What is at fault with a rename, if anything.
fn fault(index: &Index, sources: &Sources, before: &Inventory, thing: SymbolId, root: &str) -> Option<String> {
    let new = "zz-91";
    let edits = match rename(index, sources, thing, new) {
        Ok(edits) => edits,
        // Kinds of one entry have no name of their own to write; what a device has from another that it is like names ports of both.
        Err(why) if why.to_string().ends_with("is written once for several things") => return None,
        Err(why) => return Some(why.to_string()),
    };
    let after = inventory(&Document::read(&edited(sources, &edits), root));
    let difference = Edits::between(before, &after);
    let kind = match index.sort(thing)? {
        Sort::Thing(kind) => kind,
        // Nodes, covers, cores and positions are facts of what they are in.
        _ => return (!difference.added.is_empty() || !difference.removed.is_empty()).then(|| format!("{difference:?}")),
    };
    let old = index.path(thing);
    let is_it = |renamed: &harness_core::diff::Renamed| renamed.old.kind == kind && renamed.old.shown() == old;
    let inner = |renamed: &&harness_core::diff::Renamed| !renamed.old.shown().starts_with(&format!("{old}."));
    let only = difference.renamed.iter().filter(inner).collect::<Vec<_>>();
    // A fact that is kept as words bears the name in its words.
    let (own, words) = (index.name(thing), |fact: &Option<harness_core::diff::Fact>| {
        let items = fact.iter().flat_map(|fact| &fact.items);
        items
            .map(|item| format!("{item:?}").split(['"', ' ', ',', '.']).map(str::to_owned).collect::<Vec<_>>())
            .collect::<Vec<_>>()
    });
    let with_new = |mut words: Vec<Vec<String>>| {
        words.iter_mut().flatten().filter(|word| *word == own).for_each(|word| *word = new.to_owned());
        words
    };
    let is_same = |altered: &harness_core::diff::Alteration| with_new(words(&altered.old)) == words(&altered.new);
    let is_clean = difference.added.is_empty() && difference.removed.is_empty() && difference.altered.iter().all(is_same);
    if !(is_clean && only.len() == 1 && is_it(only[0])) {
        return Some(format!(
            "{:?}",
            (&difference.renamed, &difference.added.len(), &difference.removed.len(), &difference.altered)
        ));
    }
    None
}

#[test]
fn every_thing_of_the_demo_can_bear_another_name_and_nothing_else_is_another() {
    let share = tier::share("every_thing_of_the_demo_can_bear_another_name_and_nothing_else_is_another");
    let (mut renamed, mut faults) = (0, Vec::new());
    let demo = |path: &std::path::Path| path.to_string_lossy().contains("terrace-tractor/tractor");
    for fixture in checked_files().iter().filter(|fixture| demo(&fixture.path)) {
        let design = fixture.checked.analysis.design();
        let (index, sources) = (Index::new(design.sources()), design.sources());
        let before = inventory(&Document::read(&Read(sources), design.root()));
        let all = things(&index);
        assert!(all.len() > 600, "{}", all.len());
        for thing in all.iter().step_by(share) {
            renamed += 1;
            if let Some(why) = fault(&index, sources, &before, *thing, design.root()) {
                faults.push(format!("{:?} `{}`: {why}", index.sort(*thing), index.path(*thing)));
            }
        }
    }
    assert!(renamed > 20);
    assert!(faults.is_empty(), "{} of {renamed}: {:#?}", faults.len(), &faults[..faults.len().min(12)]);
}

const LIFT: &str = "format: 1
design: Lift
zones: { grill: { wet: true } }
devices:
  horn: { zone: grill, ports: { J1: { housing: two-way-pins, pins: { 1: { signal: feed } } } } }
  lamp: { zone: grill, ports: { J1: { housing: two-way-pins } }, nodes: [bar] }
parts: { housings: { two-way-pins: { family: QL, positions: 2, contacts: pin } } }
looms:
  main:
    ends: { P1: { mates: horn.J1 }, P2: { mates: lamp.J1 } }
    splices: { S1: {} }
    wires: { 1: { from: P1.1, to: S1 }, 2: { from: S1, to: P2.1 } }
";

fn renamed(path: &str, sort: Sort, new: &str) -> Result<String, String> {
    let design = harness_core::Design::load(&MemoryFiles::one("lift.yaml", LIFT), "lift.yaml");
    let index = Index::new(design.sources());
    let thing = things(&index).into_iter().find(|thing| index.path(*thing) == path && index.sort(*thing) == Some(sort)).unwrap();
    let edits = rename(&index, design.sources(), thing, new).map_err(|why| why.to_string())?;
    Ok(String::from_utf8(edited(design.sources(), &edits).read("lift.yaml").unwrap()).unwrap())
}

#[test]
fn a_name_that_is_taken_or_can_not_be_one_is_refused_with_the_reason() {
    let sort = Sort::Thing;
    let why = |path, sort, new| renamed(path, sort, new).unwrap_err();
    assert_eq!(why("main.P1", sort(Kind::End), "P2"), "the end `main.P2` bears this name already");
    assert_eq!(why("main.P1", sort(Kind::End), "S1"), "the splice `main.S1` bears this name already");
    assert_eq!(why("horn", sort(Kind::Device), "lamp"), "the device `lamp` bears this name already");
    assert_eq!(why("lamp.bar", Sort::Node, "J1"), "the port `lamp.J1` bears this name already");
    let dotted = "the name would hold a dot or a blank: references are written `device.port.pin`";
    assert_eq!(why("horn", sort(Kind::Device), "a.b"), dotted);
    assert_eq!(why("horn", sort(Kind::Device), "a b"), dotted);
    assert!(why("horn", sort(Kind::Device), "").starts_with("a name holds at least a letter"));
    assert!(why("horn", sort(Kind::Device), "{a").contains("would have to be quoted"));
    // A loom of the name of a device would be hidden by it in what ends mate.
    assert_eq!(renamed("main", sort(Kind::Loom), "horn").map(|_| ()), Ok(()), "nothing names an end of it");
    assert!(why("horn", sort(Kind::Device), &"x".repeat(1_000)).contains("too many"));
    let whole = renamed("grill", sort(Kind::Zone), "behind the grill").unwrap();
    assert_eq!(whole.matches("behind the grill").count(), 3);
    // A name that has to be quoted is quoted, wherever it is written.
    let whole = renamed("grill", sort(Kind::Zone), "left, front").unwrap();
    assert_eq!(whole.matches("\"left, front\"").count(), 3);
}
