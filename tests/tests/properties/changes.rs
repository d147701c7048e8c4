//! The same design written in another order, or with another name, is the same design.

use super::gists;
use harness_core::internals::{
    model::Model,
    text::{Kind, Names, NodeId, Sources, Tree, decode, parse},
};
use harness_tests::{
    Numbers,
    corpus::{checked_texts, texts},
    report,
    tier::{sample, share},
};
use std::collections::BTreeSet;

/// Maps whose entries may be in any order when they are written one per line or as blocks.
const MAPS: [&str; 17] = [
    "domains",
    "zones",
    "parts",
    "housings",
    "terminals",
    "conductors",
    "cables",
    "fuses",
    "devices",
    "ports",
    "pins",
    "inside",
    "looms",
    "ends",
    "splices",
    "wires",
    "route",
];

fn indent(line: &str) -> usize {
    line.len() - line.trim_start().len()
}

/// The lines of one map in another order: every entry goes with all lines that belong to it.
fn shuffled(lines: &[&str], numbers: &mut Numbers) -> Vec<String> {
    let Some(level) = lines.iter().find(|line| !line.trim_start().starts_with('#')).map(|line| indent(line)) else {
        return lines.iter().map(|line| (*line).to_owned()).collect();
    };
    let mut entries: Vec<Vec<&str>> = Vec::new();
    let mut before: Vec<&str> = Vec::new();
    for line in lines {
        if line.trim_start().starts_with('#') {
            before.push(line);
        } else if indent(line) == level {
            let mut entry = std::mem::take(&mut before);
            entry.push(line);
            entries.push(entry);
        } else if let Some(entry) = entries.last_mut() {
            entry.append(&mut before);
            entry.push(line);
        }
    }
    for at in (1..entries.len()).rev() {
        entries.swap(at, numbers.below(at + 1));
    }
    let mut result = Vec::new();
    for entry in entries {
        let head = entry.iter().position(|line| indent(line) == level && !line.trim_start().starts_with('#')).unwrap_or(0);
        let (head, body) = entry.split_at(head + 1);
        result.extend(head.iter().map(|line| (*line).to_owned()));
        let key = head.last().map_or("", |line| line.trim()).split(':').next().unwrap_or("");
        // Below a name of a device or loom are keys, below `wires` are wires: both may be mixed. Lists may not.
        let opens = head.last().is_some_and(|line| line.split(" #").next().unwrap_or("").trim_end().ends_with(':'));
        let is_list = body.iter().any(|line| line.trim_start().starts_with('-'));
        if opens && !is_list && !body.is_empty() && (MAPS.contains(&key) || level > 0) {
            result.extend(shuffled(body, numbers));
        } else {
            result.extend(body.iter().map(|line| (*line).to_owned()));
        }
    }
    result.extend(before.iter().map(|line| (*line).to_owned()));
    result
}

#[test]
fn the_order_of_keys_never_matters() {
    let mut moved = 0;
    let mut failures = Vec::new();
    for (number, text) in sample("the_order_of_keys_never_matters", texts().iter().enumerate()) {
        let original = report(&text.netlist);
        // A text with faults of reading is another text when it is cut up: a repeated key, the first of two documents.
        if original.findings.iter().any(|finding| finding.rule.starts_with("format/")) {
            continue;
        }
        // The words of multi-line strings are not lines of a map.
        if text.netlist.contains(": |") || text.netlist.contains(": >") || text.netlist.contains("\" \\") {
            continue;
        }
        // A large text has more to mix in one go.
        for seed in 0..if text.netlist.len() < 5_000 { 4 } else { 1 } {
            let lines: Vec<&str> = text.netlist.lines().filter(|line| !line.trim().is_empty()).collect();
            let mixed = shuffled(&lines, &mut Numbers::new(seed * 1_000 + number as u64)).join("\n") + "\n";
            moved += usize::from(mixed != text.netlist);
            let other = report(&mixed);
            let (before, after) = (gists(&original), gists(&other));
            if before != after {
                let lost: Vec<&String> = before.iter().filter(|gist| !after.contains(gist)).collect();
                let new: Vec<&String> = after.iter().filter(|gist| !before.contains(gist)).collect();
                failures.push(format!("{}: lost {lost:#?}, found {new:#?}", text.name));
            }
            let prints = |report: &harness_core::Report| {
                report.findings.iter().map(|finding| finding.fingerprint.clone()).collect::<BTreeSet<String>>()
            };
            if prints(&original) != prints(&other) {
                let lost: Vec<String> = prints(&original).difference(&prints(&other)).cloned().collect();
                failures.push(format!("{}: fingerprints that went {lost:#?}", text.name));
            }
            // Modes are shown in the order written, which is theirs to give.
            let sorted = |report: &harness_core::Report| {
                let mut summary = report.summary.clone();
                summary.modes.sort_by(|a, b| a.name.cmp(&b.name));
                summary
            };
            if sorted(&original) != sorted(&other) {
                failures.push(format!("{}: {:?} is now {:?}", text.name, original.summary, other.summary));
            }
        }
    }
    failures.sort();
    failures.dedup();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert!(moved > 50 / share("the_order_of_keys_never_matters"), "only {moved} texts were changed at all");
}

/// A thing of the design that has a name.
#[derive(Debug, Clone, PartialEq)]
enum Thing {
    Device(String),
    Loom(String),
    End(String, String),
    Wire(String, String),
}

fn things(model: &Model) -> Vec<Thing> {
    let mut things: Vec<Thing> = model.devices().map(|(id, _)| Thing::Device(model.device_name(id).to_owned())).take(4).collect();
    things.extend(model.looms().map(|(id, _)| Thing::Loom(model.loom_name(id).to_owned())).take(3));
    let ends = model.ends().map(|(_, end)| (model.loom_name(end.loom), model.text(end.name)));
    things.extend(ends.map(|(loom, end)| Thing::End(loom.to_owned(), end.to_owned())).take(4));
    let wires = model.wires().map(|(_, wire)| (model.loom_name(wire.loom), model.text(wire.name)));
    things.extend(wires.map(|(loom, wire)| Thing::Wire(loom.to_owned(), wire.to_owned())).take(4));
    // What a device and a loom are both called is left as it is: a reference to it is a matter of what else it names.
    let devices: BTreeSet<&str> = model.devices().map(|(id, _)| model.device_name(id)).collect();
    let looms: BTreeSet<&str> = model.looms().map(|(id, _)| model.loom_name(id)).collect();
    let both = |name: &String| devices.contains(name.as_str()) && looms.contains(name.as_str());
    things.retain(|thing| !matches!(thing, Thing::Device(name) | Thing::Loom(name) if both(name)));
    things
}

/// The places where the thing is named, each with what is there afterwards.
struct Renaming<'a> {
    tree: &'a Tree,
    names: &'a Names,
    thing: &'a Thing,
    new: &'a str,
    edits: Vec<(usize, usize, String)>,
}

impl Renaming<'_> {
    /// Follows the tree down; `path` holds the keys on the way.
    fn walk(&mut self, node: NodeId, path: &mut Vec<String>) {
        let (tree, names) = (self.tree, self.names);
        match tree.kind(node) {
            Kind::Scalar { text, .. } => {
                if let Some(new) = self.reference(names.text(text), path) {
                    self.edit(node, new);
                }
            }
            Kind::List => tree.items(node).for_each(|item| self.walk(item, path)),
            Kind::Map => {
                for (key, value) in tree.entries(node) {
                    let word = tree.text(key).map_or("", |name| names.text(name)).to_owned();
                    if self.defines(&word, path) {
                        self.edit(key, self.new.to_owned());
                    }
                    path.push(word);
                    self.walk(value, path);
                    path.pop();
                }
            }
            Kind::Missing => {}
        }
    }

    fn edit(&mut self, node: NodeId, new: String) {
        let span = self.tree.span(node);
        self.edits.push((span.start as usize, span.end as usize, new));
    }

    /// Whether the key `word` below `path` is where the thing is defined.
    fn defines(&self, word: &str, path: &[String]) -> bool {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        match self.thing {
            Thing::Device(name) => path == ["devices"] && word == name,
            Thing::Loom(name) => path == ["looms"] && word == name,
            Thing::End(loom, name) => path == ["looms", loom, "ends"] && word == name,
            Thing::Wire(loom, name) => path == ["looms", loom, "wires"] && word == name,
        }
    }

    /// What a reference to the thing becomes; `None` if `text` is none.
    fn reference(&self, text: &str, path: &[String]) -> Option<String> {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        let key = path.last().copied().unwrap_or("");
        let head = |name: &str| text.strip_prefix(name).filter(|rest| rest.is_empty() || rest.starts_with('.'));
        let is_mate = matches!(key, "mates" | "bolts-to" | "lands-on" | "body" | "exclusive" | "opens");
        // Full names are in the list of retired numbers too.
        let is_waiver = path == ["waivers", "at"] || path == ["retired"];
        match self.thing {
            Thing::Device(name) | Thing::Loom(name) if is_mate || is_waiver => {
                head(name).filter(|rest| !rest.is_empty()).map(|rest| format!("{}{rest}", self.new))
            }
            Thing::End(loom, name) => {
                let own = path.starts_with(&["looms", loom]);
                if own && (matches!(key, "from" | "to" | "interlock" | "link") || (is_mate && !text.contains('.'))) {
                    return head(name).map(|rest| format!("{}{rest}", self.new));
                }
                let rest = head(&format!("{loom}.{name}")).filter(|_| is_mate || is_waiver)?;
                Some(format!("{loom}.{}{rest}", self.new))
            }
            Thing::Wire(loom, name) => (is_waiver && text == format!("{loom}.{name}")).then(|| format!("{loom}.{}", self.new)),
            _ => None,
        }
    }
}

fn renamed(netlist: &str, thing: &Thing, new: &str) -> String {
    let (mut sources, mut names) = (Sources::new(), Names::new());
    let decoded = decode(&mut sources, "design.yaml".to_owned(), netlist.as_bytes().to_vec()).expect("a first file fits");
    let parsed = parse(&sources, decoded.file, &mut names);
    let mut renaming = Renaming { tree: &parsed.tree, names: &names, thing, new, edits: Vec::new() };
    renaming.walk(parsed.root.expect("the netlist has a top"), &mut Vec::new());
    let mut text = netlist.to_owned();
    let mut edits = renaming.edits;
    edits.sort();
    for (start, end, new) in edits.into_iter().rev() {
        text.replace_range(start..end, &new);
    }
    text
}

#[test]
fn another_name_changes_nothing_but_the_name() {
    let test = "another_name_changes_nothing_but_the_name";
    let mut tried = 0;
    let mut failures = Vec::new();
    // Of every text some things are taken, of the next one others.
    let mut taken = (0..share(test)).map(|at| at == 0).cycle();
    for (text, checked) in checked_texts() {
        let original = &checked.report;
        if original.findings.iter().any(|finding| finding.rule.starts_with("format/")) {
            continue;
        }
        let model = checked.analysis.model();
        // A number alone, retired or waived, means every thing of that name: another name is another design.
        let bare: BTreeSet<String> = (model.retired.iter().map(|(number, _)| *number))
            .chain(model.waivers.iter().map(|waiver| waiver.at.value))
            .map(|name| model.text(name).to_owned())
            .collect();
        for thing in things(model) {
            if matches!(&thing, Thing::Wire(_, name) | Thing::End(_, name) if bare.contains(name)) {
                continue;
            }
            if !taken.next().unwrap_or(true) {
                continue;
            }
            let old = match &thing {
                Thing::Device(name) | Thing::Loom(name) | Thing::End(_, name) | Thing::Wire(_, name) => name.clone(),
            };
            // Of equals the first by name is reported, so the new name keeps the place of the old one among the others.
            let new = &format!("{old}-renamed-9x7");
            let other = report(&renamed(&text.netlist, &thing, new));
            let mut expected: Vec<(usize, &str, String)> = original
                .findings
                .iter()
                .map(|finding| (line(original, finding), finding.rule, finding.headline.clone()))
                .collect();
            let mut found: Vec<(usize, &str, String)> = other
                .findings
                .iter()
                .map(|finding| (line(&other, finding), finding.rule, finding.headline.replace(new, &old)))
                .collect();
            expected.sort();
            found.sort();
            if found != expected {
                let lost: Vec<_> = expected.iter().filter(|finding| !found.contains(finding)).collect();
                let new: Vec<_> = found.iter().filter(|finding| !expected.contains(finding)).collect();
                failures.push(format!("{}: {thing:?}: lost {lost:#?}, found {new:#?}", text.name));
            }
            tried += 1;
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert!(tried > 400 / share(test), "only {tried} names were changed");
}

fn line(report: &harness_core::Report, finding: &harness_core::finding::Finding) -> usize {
    let span = finding.primary.span;
    report.sources.file(span.file).map_or(0, |file| file.line_column(span.start).0)
}
