//! Reading of a design: the trees of the root file and of all that it includes, joined and read as one document.

use super::{
    Attribute, astray, case,
    collect::Findings,
    defaults,
    design::Design,
    include::{self, Includes},
    join::{Forest, Joined},
    like,
    limits::{DESIGN_BYTES, grouped},
    mates, order,
    reader::{Field, Read, Reader, Record, Unread, clip},
    repeated, rules, steps, worded,
};
use crate::{
    files::{FileError, Files},
    finding::{Finding, Remedy, RemedyKind},
    suggest::{Candidates, question},
    text::{self, At, FileId, Kind, Names, NodeId, SourceFile, Sources, Span, Text, Tree},
};
use rustc_hash::FxHashMap;

/// What the files of a design say, before any name is resolved: the joined files and every mistake in them.
///
/// A design is made of it and lets it go; a comparison first takes its [inventory](crate::diff::inventory).
#[derive(Debug)]
pub struct Document {
    /// The name of the design's own file, as it was asked for.
    pub(crate) root: String,
    /// The files.
    pub(crate) sources: Sources,
    /// All texts.
    #[doc(hidden)]
    pub names: Names,
    /// The records of all files, joined.
    #[doc(hidden)]
    pub design: Design,
    /// Every mistake of reading.
    pub(crate) findings: Vec<Finding>,
    /// How often keys were given that nothing reads yet.
    pub(crate) unread: Unread,
}

impl Document {
    /// Reads the file `root` and all that it includes. Never fails: mistakes are findings.
    ///
    /// # Cost
    /// Linear in the size of the files.
    #[must_use]
    pub fn read(files: &dyn Files, root: &str) -> Self {
        Self::of(Trees::read(files, root))
    }

    /// Joins the trees of files and reads what they say. Never fails, as [`read`](Self::read).
    #[must_use]
    pub fn of(trees: Trees) -> Self {
        let Trees { root, mut reading, forest, includes } = trees;
        let mut design = reading.read(forest);
        let circles = includes.circles();
        reading.findings.extend(circles.iter().map(|include| include::circle(include, &reading.names)));
        let Reading { sources, names, mut findings, unread, .. } = reading;
        astray::check(&mut design, &mut findings, &names);
        case::check(&design, &mut findings, &names);
        mates::derive(&mut design, &mut findings, &names);
        defaults::lay(&mut design, &mut findings, &names);
        order::by_name(&mut design, &names);
        Self { root, sources, names, design, findings: findings.into_vec(), unread }
    }
}

/// The files of a design, opened and parsed, before they are joined and read: what an editor needs to know of names while a key is down.
#[derive(Debug, Default)]
pub struct Trees {
    root: String,
    reading: Reading,
    forest: Forest,
    includes: Includes,
}

impl Trees {
    /// Opens and parses the file `root` and all that it includes. Never fails: mistakes are kept for the document that is made of it.
    ///
    /// # Cost
    /// Linear in the size of the files.
    #[must_use]
    pub fn read(files: &dyn Files, root: &str) -> Self {
        let mut reading = Reading::default();
        let mut includes = Includes::new(root);
        let mut forest = Forest::default();
        while let Some(asked) = includes.next() {
            let Some(file) = reading.open(files, &asked.path, asked.at) else { continue };
            let Some((tree, top)) = reading.tree(file) else { continue };
            reading.check_file(&tree, top, asked.at.is_none());
            reading.list(&tree, top);
            for named in reading.included(&tree, top) {
                let refused = includes.ask(&asked, &named, &reading.names).err();
                reading.findings.extend(refused.map(|finding| *finding));
            }
            forest.add(tree, top);
        }
        Self { root: root.to_owned(), reading, forest, includes }
    }

    /// The files.
    #[must_use]
    pub fn sources(&self) -> &Sources {
        &self.reading.sources
    }

    /// All texts.
    pub(crate) fn names(&self) -> &Names {
        &self.reading.names
    }

    /// The maps at the top of the files.
    pub(crate) fn tops(&self) -> (&Tree, &[NodeId]) {
        self.forest.tops()
    }
}

/// What was read so far.
#[derive(Debug, Default)]
struct Reading {
    sources: Sources,
    names: Names,
    findings: Findings,
    unread: Unread,
    /// The files of each folder in which one is missing.
    folders: FxHashMap<String, Candidates>,
    bytes: usize,
    is_full: bool,
}

impl Reading {
    /// Reads the bytes of a file and adds it to the sources.
    fn open(&mut self, files: &dyn Files, name: &str, asked_at: Option<Span>) -> Option<FileId> {
        if self.is_full {
            return None;
        }
        let bytes = match files.read(name) {
            Ok(bytes) => bytes,
            Err(error) => {
                self.unreadable(files, name, asked_at, &error);
                return None;
            }
        };
        self.bytes = self.bytes.saturating_add(bytes.len());
        if let (Some(at), true) = (asked_at, self.bytes > DESIGN_BYTES.most) {
            self.is_full = true;
            let headline =
                format!("with `{}` the design has {} bytes; it and later files are not read", clip(name), grouped(self.bytes));
            self.findings.push(DESIGN_BYTES.exceeded(at, headline));
            return None;
        }
        let decoded = text::decode(&mut self.sources, name.to_owned(), bytes)?;
        self.take(decoded.problems);
        Some(decoded.file)
    }

    fn unreadable(&mut self, files: &dyn Files, name: &str, asked_at: Option<Span>, error: &FileError) {
        // A root that can't be read has no text: it is as an empty file, so that the finding has a place.
        let span = asked_at.unwrap_or_else(|| {
            let file = self.sources.add(SourceFile::new(name.to_owned(), String::new())).unwrap_or_default();
            Span::new(file, 0, 0)
        });
        let shown = clip(name);
        let finding = match error {
            FileError::Missing => {
                let finding = rules::INCLUDE.finding(span, format!("there is no file `{shown}`")).label("not found");
                let (folder, file) = name.rsplit_once('/').unwrap_or(("", name));
                let candidates = self.folders.entry(folder.to_owned()).or_insert_with(|| {
                    let beside = files.beside(name);
                    Candidates::new(beside.iter().map(String::as_str))
                });
                let near = candidates.nearest(file);
                // The file's own name is what is misspelt; the folder stays as it is written.
                let place = self.sources.slice(span).rfind(file).filter(|_| asked_at.is_some());
                let remedy = near.zip(place).map(|(near, place)| {
                    let start = span.start + place as u32;
                    let written = Span::new(span.file, start, start + file.len() as u32);
                    Remedy::new(RemedyKind::Spelling, format!("include `{near}` in place of `{file}`")).edit(written, near)
                });
                let finding = finding.remedy(remedy);
                match near {
                    Some(near) if folder.is_empty() => finding.help(question(file, near)),
                    Some(near) => finding.help(question(name, &format!("{folder}/{near}"))),
                    None => finding.help("name a file relative to the one that includes it"),
                }
            }
            FileError::Unreadable(why) => rules::INCLUDE
                .finding(span, format!("the file `{shown}` can't be read: {why}"))
                .label("not read")
                .help("make the file readable, or take the include out"),
        };
        self.findings.push(finding);
    }

    /// The tree of one file with the map at its top; `None` if there is none, which is noted.
    fn tree(&mut self, file: FileId) -> Option<(Tree, NodeId)> {
        let mut parsed = text::parse(&self.sources, file, &mut self.names);
        let problems = std::mem::take(&mut parsed.problems);
        let mut problems = repeated::in_words(&parsed, &self.names, problems);
        let spelled = worded::spell_out(&self.sources, &mut parsed, &mut self.names);
        // What a comma has cut off between braces is not a key.
        problems.retain(|problem| !spelled.is_torn(problem));
        self.take(problems);
        self.findings.extend(spelled.findings);
        let top = parsed.root?;
        if parsed.tree.kind(top) == Kind::Map {
            return Some((parsed.tree, top));
        }
        self.with_reader(&parsed.tree, |reader| reader.expected_map(top, Design::SHAPE));
        None
    }

    /// The files that a file includes. What is wrong with the list is noted when the design is read.
    fn included(&self, tree: &Tree, top: NodeId) -> Vec<Text> {
        let mut included = Vec::new();
        if let Some((_, value)) = self.entry(tree, top, Attribute::Include) {
            Field::read(&mut included, &mut Reader::new(tree, &self.names, &self.sources), value);
        }
        included
    }

    /// Keeps which list a file was made from, for whoever shows its places.
    fn list(&mut self, tree: &Tree, top: NodeId) {
        let list = self.entry(tree, top, Attribute::From).and_then(|(_, value)| tree.text(value));
        let list = list.map(|name| self.names.text(name).to_owned()).filter(|list| !list.is_empty());
        if let (Some(list), Some(file)) = (list, self.sources.file_mut(tree.span(top).file)) {
            file.set_list(list);
        }
    }

    /// The entry of a key at the top of a file.
    fn entry(&self, tree: &Tree, top: NodeId, key: Attribute) -> Option<(NodeId, NodeId)> {
        let is = |written: NodeId| tree.text(written).is_some_and(|name| self.names.text(name) == key.word());
        tree.entries(top).find(|(written, _)| is(*written))
    }

    /// Reads the design from the trees of its files, which are gone when this returns.
    fn read(&mut self, forest: Forest) -> Design {
        let Some(joined) = forest.join(&mut self.findings, &self.names) else { return Design::default() };
        let Joined { mut tree, top: written, of_files } = joined;
        let top = steps::spread(&mut tree, written, &mut self.names, &mut self.sources, &mut self.findings);
        let top = like::take_over(&mut tree, top, &self.names, &mut self.sources, &mut self.findings);
        let design = self.with_reader(&tree, |reader| {
            let mut apart = Design::default();
            for (key, value) in &of_files {
                apart.set(reader.names.text(*key), reader, *value);
            }
            reader.record::<Design>(top).unwrap_or_default()
        });
        if top != written {
            self.findings.once();
        }
        design
    }

    fn with_reader<T>(&mut self, tree: &Tree, read: impl FnOnce(&mut Reader<'_>) -> T) -> T {
        let mut reader = Reader::new(tree, &self.names, &self.sources);
        reader.findings = std::mem::take(&mut self.findings);
        let value = read(&mut reader);
        self.findings = reader.findings;
        for (key, count) in reader.unread {
            *self.unread.entry(key).or_default() += count;
        }
        value
    }

    /// Notes another version of the format in any file, and what the design's own file lacks.
    fn check_file(&mut self, tree: &Tree, top: NodeId, is_root: bool) {
        let format = self.entry(tree, top, Attribute::Format).map(|(_, value)| value);
        let place = tree.span(top);
        let lacks = |key: Attribute| is_root && !tree.is_incomplete(top) && self.entry(tree, top, key).is_none();
        let (no_format, no_design) = (lacks(Attribute::Format), lacks(Attribute::Design));
        // What is not a number is noted when the design is read.
        let version = format.and_then(|value| <At<u32> as Read>::read(&mut Reader::new(tree, &self.names, &self.sources), value));
        let top = Span::new(place.file, place.start, place.start);
        if let Some(format) = version.filter(|format| format.value != 1) {
            self.findings.push(
                rules::VERSION
                    .finding(format.span, format!("the format's version is {}; this program reads version 1", format.value))
                    .label("version")
                    .help("write `format: 1`, or use a program that reads this version"),
            );
        }
        if no_format {
            self.findings.push(
                rules::MISSING_KEY
                    .finding(top, "the key `format` is missing here")
                    .label("no `format`")
                    .help("begin the file with `format: 1`"),
            );
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

    fn take(&mut self, problems: impl IntoIterator<Item = text::Problem>) {
        for problem in problems {
            let mut finding =
                rules::rule_of(problem.kind).finding(problem.span, problem.headline).label(problem.label).help(problem.help);
            if let Some((span, words)) = problem.context {
                finding = finding.context(span, words);
            }
            self.findings.push(finding);
        }
    }
}
