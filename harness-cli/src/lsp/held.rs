//! One design as it is now: read at once, its names, currents and findings when they are asked for.

use super::{buffers::Buffers, findings::Shown};
use harness_core::{
    Analysis, Checker, Date, Design, Document, Head, Report, Trees,
    editor::{self, Index},
    finding::Judged,
    head,
    source::{FileId, Sources},
};
use std::{
    cell::{OnceCell, RefCell},
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

/// What is said where a file is read without its design.
const NO_DESIGN: &str = "no design of this folder or of one above includes this file: its own spelling is checked, nothing else\n\
help: name it under `include` of the design that it belongs to";

/// A design, or a file that belongs to none, as the client has it.
#[derive(Debug)]
pub struct Held {
    /// The design's own file.
    pub root: PathBuf,
    /// The folder of the design.
    pub folder: PathBuf,
    /// A file that belongs to no design.
    pub is_alone: bool,
    /// The files that were read.
    sources: Sources,
    /// The trees of the files, until the design is made of them.
    trees: RefCell<Trees>,
    design: OnceCell<Design>,
    /// The findings of a file that belongs to no design.
    alone: Vec<Shown>,
    index: OnceCell<Index>,
    analysis: OnceCell<Analysis>,
    report: OnceCell<Report>,
    offers: OnceCell<Report>,
}

impl Held {
    /// Reads the files of the design at `root`, or the one file.
    #[must_use]
    pub fn read(buffers: &Buffers, root: &Path, is_alone: bool) -> Self {
        let files = buffers.files(root);
        let folder = root.parent().unwrap_or(Path::new("")).to_owned();
        let trees = Trees::read(&files, files.root());
        let mut alone = Vec::new();
        let is_netlist = || head(buffers.text(root).unwrap_or_default().as_bytes()) != Head::Other;
        // What is hardly begun is not judged.
        if is_alone && is_netlist() {
            let (sources, findings) = editor::read_alone(&files, files.root());
            let shown = findings.into_iter().filter_map(|finding| Shown::of(&folder, &sources, &Judged::from(finding)));
            alone.extend([Shown::note(root, NO_DESIGN)].into_iter().chain(shown));
        }
        Self {
            root: root.to_owned(),
            folder,
            is_alone,
            sources: trees.sources().clone(),
            trees: RefCell::new(trees),
            design: OnceCell::new(),
            alone,
            index: OnceCell::new(),
            analysis: OnceCell::new(),
            report: OnceCell::new(),
            offers: OnceCell::new(),
        }
    }

    /// The files that were read.
    #[must_use]
    pub fn sources(&self) -> &Sources {
        // Reading notes in them what is written once for several things.
        self.design.get().map_or(&self.sources, |design| design.sources())
    }

    /// What the files say.
    #[must_use]
    pub fn design(&self) -> &Design {
        self.design.get_or_init(|| Design::of(Document::of(self.trees.take())))
    }

    /// The file at a path.
    #[must_use]
    pub fn file(&self, path: &Path) -> Option<FileId> {
        self.sources().files().find(|(_, file)| self.folder.join(file.name()) == path).map(|(id, _)| id)
    }

    /// Its names: from the trees while they are there, so that what is asked right behind a key waits for one reading and not for two.
    #[must_use]
    pub fn index(&self) -> &Index {
        self.index.get_or_init(|| match self.design.get() {
            Some(_) => Index::new(self.sources()),
            None => Index::of_trees(&self.trees.borrow()),
        })
    }

    /// What flows in it.
    #[must_use]
    pub fn analysis(&self) -> &Analysis {
        self.analysis.get_or_init(|| Analysis::of_all(self.design()))
    }

    /// What was found.
    #[must_use]
    pub fn report(&self, today: Option<Date>) -> &Report {
        self.report.get_or_init(|| checker(today).check(self.analysis()))
    }

    /// What was found, with remedies that were tried.
    #[must_use]
    pub fn offers(&self, today: Option<Date>) -> &Report {
        self.offers.get_or_init(|| checker(today).try_remedies().check(self.analysis()))
    }

    /// Whether remedies were tried already.
    #[must_use]
    pub fn has_offers(&self) -> bool {
        self.offers.get().is_some()
    }

    /// The findings of reading, known before anything is computed.
    #[must_use]
    pub fn reading(&self) -> Vec<Shown> {
        if self.is_alone {
            return self.alone.clone();
        }
        let mistakes = self.design().mistakes().iter().cloned().map(Judged::from);
        mistakes.filter_map(|finding| Shown::of(&self.folder, self.sources(), &finding)).collect()
    }

    /// All findings that a check shows; how long it took. What may only follow from a reading mistake is held back, as everywhere.
    #[must_use]
    pub fn check(&self, today: Option<Date>) -> (Vec<Shown>, Duration) {
        let begun = Instant::now();
        if self.is_alone {
            return (self.alone.clone(), begun.elapsed());
        }
        let report = self.report(today);
        let took = begun.elapsed();
        let held_back = report.causes.iter().filter(|cause| cause.held_back).flat_map(|cause| cause.findings.clone());
        let held_back: std::collections::BTreeSet<usize> = held_back.collect();
        let counts = |(number, finding): &(usize, &Judged)| finding.waived.is_none() && !held_back.contains(number);
        let findings = report.findings.iter().enumerate().filter(counts);
        (findings.filter_map(|(_, finding)| Shown::of(&self.folder, &report.sources, finding)).collect(), took)
    }
}

fn checker(today: Option<Date>) -> Checker {
    today.into_iter().fold(Checker::new(), Checker::today)
}
