//! Reading of a design: the root file and all that it includes, joined into one document.

use super::{
    design::Design,
    reader::{Reader, clip},
    rules,
    values::Map,
};
use crate::{
    files::{FileError, Files},
    finding::Finding,
    rule::RulePage,
    suggest::nearest,
    text::{self, FileId, Name, Names, ProblemKind, SourceFile, Sources, Span, Text},
};
use std::collections::VecDeque;

/// A document that was read: the joined files and every mistake in them.
#[derive(Debug)]
pub struct Loaded {
    /// The files.
    pub sources: Sources,
    /// All texts.
    pub names: Names,
    /// The joined document.
    pub design: Design,
    /// Every mistake of reading.
    pub findings: Vec<Finding>,
}

/// Most files of one design.
const MOST_FILES: usize = 10_000;

/// Reads the file `root` and all that it includes. Never fails: mistakes are findings.
#[must_use]
pub fn read(files: &dyn Files, root: &str) -> Loaded {
    let mut loaded = Loaded { sources: Sources::new(), names: Names::new(), design: Design::default(), findings: Vec::new() };
    let mut known = Known::new(root);
    let mut waiting: VecDeque<(usize, Option<Span>)> = VecDeque::from([(0, None)]);
    while let Some((number, asked_at)) = waiting.pop_front() {
        let name = known.path(number).to_owned();
        let Some(file) = loaded.open(files, &name, asked_at) else { continue };
        let design = loaded.read(file, asked_at.is_none());
        for include in &design.include {
            loaded.include(number, include, &mut known, &mut waiting);
        }
        loaded.join(design);
    }
    for include in known.circles() {
        let written = clip(loaded.names.text(include.value));
        loaded.findings.push(
            rules::INCLUDE
                .finding(include.span, format!("the include `{written}` leads back to a file that includes it"))
                .label("a circle")
                .help("take it out: each file is read once"),
        );
    }
    loaded
}

/// The files that were asked for, and who includes whom.
struct Known {
    files: Vec<(String, Vec<(usize, Text)>)>,
    numbers: rustc_hash::FxHashMap<String, usize>,
}

impl Known {
    fn new(root: &str) -> Self {
        Self { files: vec![(root.to_owned(), Vec::new())], numbers: [(root.to_owned(), 0)].into_iter().collect() }
    }

    fn path(&self, number: usize) -> &str {
        self.files.get(number).map_or("", |(path, _)| path)
    }

    fn add(&mut self, path: String) -> usize {
        let number = self.files.len();
        self.numbers.insert(path.clone(), number);
        self.files.push((path, Vec::new()));
        number
    }

    fn note(&mut self, from: usize, to: usize, include: &Text) {
        if let Some((_, includes)) = self.files.get_mut(from) {
            includes.push((to, *include));
        }
    }

    /// The includes that lead back to a file they are reached from, found by walking down from the root once.
    fn circles(&self) -> Vec<Text> {
        let mut circles = Vec::new();
        let mut open = vec![false; self.files.len()];
        let mut seen = open.clone();
        let mut way: Vec<(usize, usize)> = vec![(0, 0)];
        while let Some((file, next)) = way.last_mut() {
            let (file, step) = (*file, *next);
            *next += 1;
            if let (Some(open), Some(seen)) = (open.get_mut(file), seen.get_mut(file)) {
                (*open, *seen) = (true, true);
            }
            match self.files.get(file).and_then(|(_, includes)| includes.get(step)) {
                Some((to, text)) if open.get(*to) == Some(&true) => circles.push(*text),
                Some((to, _)) if seen.get(*to) == Some(&false) => way.push((*to, 0)),
                Some(_) => {}
                None => {
                    if let Some(open) = open.get_mut(file) {
                        *open = false;
                    }
                    way.pop();
                }
            }
        }
        circles
    }
}

impl Loaded {
    /// Reads the bytes of a file and adds it to the sources.
    fn open(&mut self, files: &dyn Files, name: &str, asked_at: Option<Span>) -> Option<FileId> {
        let bytes = match files.read(name) {
            Ok(bytes) => bytes,
            Err(error) => {
                self.unreadable(name, asked_at, &error);
                return None;
            }
        };
        let decoded = text::decode(&mut self.sources, name.to_owned(), bytes)?;
        self.take(decoded.problems);
        Some(decoded.file)
    }

    fn unreadable(&mut self, name: &str, asked_at: Option<Span>, error: &FileError) {
        // A root that can't be read has no text: it stands as an empty file, so that the finding has a place.
        let span = asked_at.unwrap_or_else(|| {
            let file = self.sources.add(SourceFile::new(name.to_owned(), String::new())).unwrap_or_default();
            Span::new(file, 0, 0)
        });
        let name = clip(name);
        let finding = match error {
            FileError::Missing { near } => {
                let finding = rules::INCLUDE.finding(span, format!("there is no file `{name}`")).label("not found");
                match nearest(&name, near.iter().map(String::as_str)) {
                    Some(near) => finding.help(format!("did you mean `{near}`?")),
                    None => finding.help("name a file relative to the one that includes it"),
                }
            }
            FileError::Unreadable(why) => rules::INCLUDE
                .finding(span, format!("the file `{name}` can't be read: {why}"))
                .label("not read")
                .help("make the file readable, or take the include out"),
        };
        self.findings.push(finding);
    }

    /// Reads one file into a document of its own; its tree is gone when this returns.
    fn read(&mut self, file: FileId, root: bool) -> Design {
        let parsed = text::parse(&self.sources, file, &mut self.names);
        self.take(parsed.problems);
        let Some(node) = parsed.root else { return Design::default() };
        let mut reader = Reader::new(&parsed.tree, &self.names);
        let design = reader.record::<Design>(node);
        let findings = reader.findings;
        self.findings.extend(findings);
        // What is no map at all was told to be one already.
        let Some(design) = design else { return Design::default() };
        if root {
            let written = |key: &str| {
                let mut keys = parsed.tree.entries(node).filter_map(|(written, _)| parsed.tree.text(written));
                keys.any(|name| self.names.text(name) == key)
            };
            let lost = parsed.tree.is_incomplete(node);
            let absent = [!lost && !written("format"), !lost && !written("design")];
            self.check_root(&design, absent, file);
        }
        design
    }

    fn check_root(&mut self, design: &Design, [no_format, no_design]: [bool; 2], file: FileId) {
        let top = Span::new(file, design.span.start, design.span.start);
        match design.format {
            Some(format) if format.value != 1 => self.findings.push(
                rules::VERSION
                    .finding(format.span, format!("the format's version is {}; this program reads version 1", format.value))
                    .label("version")
                    .help("write `format: 1`, or use a program that reads this version"),
            ),
            None if no_format => self.findings.push(
                rules::MISSING_KEY
                    .finding(top, "the key `format` is missing here")
                    .label("no `format`")
                    .help("begin the file with `format: 1`"),
            ),
            _ => {}
        }
        if no_design {
            self.findings.push(
                rules::MISSING_KEY
                    .finding(top, "the key `design` is missing here")
                    .label("no `design`")
                    .help("name the design: `design: Terrace tractor`"),
            );
        }
    }

    /// Queues an include, unless it leaves the project or was asked for already.
    fn include(&mut self, from: usize, include: &Text, known: &mut Known, waiting: &mut VecDeque<(usize, Option<Span>)>) {
        let written = self.names.text(include.value).to_owned();
        let Some(path) = join(known.path(from), &written) else {
            self.findings.push(
                rules::INCLUDE
                    .finding(include.span, format!("the include `{}` leads out of the project", clip(&written)))
                    .label("above the folder of the design")
                    .help("keep included files in the folder of the design or below it"),
            );
            return;
        };
        if let Some(&number) = known.numbers.get(&path) {
            known.note(from, number, include);
            return;
        }
        if known.files.len() >= MOST_FILES {
            self.findings.push(
                rules::LIMIT
                    .finding(include.span, format!("the design has more than {MOST_FILES} files"))
                    .label("one too many")
                    .help("join files, or split the design"),
            );
            return;
        }
        let number = known.add(path);
        known.note(from, number, include);
        waiting.push_back((number, Some(include.span)));
    }

    /// Joins a file's document to the whole; what stands in two files is a mistake that names both places.
    fn join(&mut self, from: Design) {
        let Self { design: into, findings, names, .. } = self;
        let mut joiner = Joiner { findings, names };
        if into.format.is_none() {
            into.span = from.span;
        }
        into.format = into.format.or(from.format);
        joiner.one("design", &mut into.design, from.design, |text| text.span);
        joiner.one("revision", &mut into.revision, from.revision, |text| text.span);
        joiner.one("policy", &mut into.policy, from.policy, |policy| policy.span);
        into.include.extend(from.include);
        into.waivers.extend(from.waivers);
        into.retired.extend(from.retired);
        joiner.maps("domain", &mut into.domains, from.domains);
        joiner.maps("zone", &mut into.zones, from.zones);
        joiner.maps("mode", &mut into.modes, from.modes);
        joiner.maps("device", &mut into.devices, from.devices);
        joiner.maps("loom", &mut into.looms, from.looms);
        let Some(parts) = from.parts else { return };
        let Some(have) = &mut into.parts else {
            into.parts = Some(parts);
            return;
        };
        joiner.maps("housing", &mut have.housings, parts.housings);
        joiner.maps("terminal", &mut have.terminals, parts.terminals);
        joiner.maps("conductor", &mut have.conductors, parts.conductors);
        joiner.maps("cable", &mut have.cables, parts.cables);
        joiner.maps("fuse", &mut have.fuses, parts.fuses);
        joiner.maps("device kind", &mut have.devices, parts.devices);
    }

    fn take(&mut self, problems: impl IntoIterator<Item = text::Problem>) {
        for problem in problems {
            let mut finding =
                rule_of(problem.kind).finding(problem.span, problem.headline).label(problem.label).help(problem.help);
            if let Some((span, words)) = problem.context {
                finding = finding.context(span, words);
            }
            self.findings.push(finding);
        }
    }
}

/// Joins the documents of two files.
struct Joiner<'a> {
    findings: &'a mut Vec<Finding>,
    names: &'a Names,
}

impl Joiner<'_> {
    fn one<T>(&mut self, key: &str, into: &mut Option<T>, from: Option<T>, span: impl Fn(&T) -> Span) {
        match (&into, from) {
            (Some(first), Some(second)) => self.repeated(key, "", span(first), span(&second)),
            (None, Some(second)) => *into = Some(second),
            _ => {}
        }
    }

    fn maps<T>(&mut self, what: &str, into: &mut Map<T>, from: Map<T>) {
        if into.0.is_empty() {
            *into = from;
            return;
        }
        let mut have: rustc_hash::FxHashMap<Name, Span> = into.iter().map(|entry| (entry.name.value, entry.name.span)).collect();
        for entry in from.0 {
            match have.get(&entry.name.value) {
                Some(&first) => {
                    let name = self.names.text(entry.name.value).to_owned();
                    self.repeated(what, &name, first, entry.name.span);
                }
                None => {
                    have.insert(entry.name.value, entry.name.span);
                    into.0.push(entry);
                }
            }
        }
    }

    fn repeated(&mut self, what: &str, name: &str, first: Span, second: Span) {
        let called = if name.is_empty() { format!("`{what}`") } else { format!("{what} `{}`", clip(name)) };
        self.findings.push(
            rules::REPEATED_NAME
                .finding(second, format!("{called} stands in two files"))
                .label("second time")
                .context(first, "first time")
                .help("take one of them out, or give it another name"),
        );
    }
}

/// The rule that a problem of the text belongs to.
fn rule_of(kind: ProblemKind) -> &'static RulePage {
    rules::FAULTS.iter().copied().find(|rule| rule.name == kind.rule()).unwrap_or(&rules::SYNTAX)
}

/// Joins `include` to the folder of `from`; `None` if it leads above the root or is absolute.
fn join(from: &str, include: &str) -> Option<String> {
    let include = include.replace('\\', "/");
    if include.starts_with('/') || include.contains(':') {
        return None;
    }
    let folder = from.rsplit_once('/').map_or("", |(folder, _)| folder);
    let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
    for part in include.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            _ => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

#[cfg(test)]
mod tests {
    use super::join;

    #[test]
    fn includes_stay_below_the_folder_of_the_design() {
        assert_eq!(join("tractor.yaml", "parts/a.yaml").as_deref(), Some("parts/a.yaml"));
        assert_eq!(join("looms/front.yaml", "../parts/a.yaml").as_deref(), Some("parts/a.yaml"));
        assert_eq!(join("looms/front.yaml", "./b.yaml").as_deref(), Some("looms/b.yaml"));
        assert_eq!(join("tractor.yaml", "../a.yaml"), None);
        assert_eq!(join("tractor.yaml", "/a.yaml"), None);
        assert_eq!(join("tractor.yaml", "c:\\a.yaml"), None);
    }
}
