//! Safe remedies written into the text, so often until none is left.

use super::{
    Checker,
    overlay::{Overlay, touch},
    trial::Trial,
};
use crate::{
    analysis::Analysis,
    causes,
    design::Design,
    files::{FileError, Files},
    finding::{Edit, Finding, Judged, Level, RemedyKind},
    format::rules::INCLUDE,
    report::Report,
    text::SourceFile,
};
use std::collections::BTreeMap;

/// Most rounds: each removes at least one finding and adds none, so that this is never reached by a design that people write.
const MOST_ROUNDS: usize = 100;

/// What was changed in one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// `file:line:column` of the place, in the text as it was before this change.
    pub place: String,
    /// The rule whose finding it removes.
    pub rule: &'static str,
    /// The step in words.
    pub words: String,
}

/// A design with the safe remedies written into it.
#[derive(Debug)]
pub struct Applied {
    /// The files that changed, by name, with their old and new texts.
    pub files: BTreeMap<String, (String, String)>,
    /// The steps, in the order in which they were made.
    pub written: Vec<Written>,
    /// The check of the changed text.
    pub report: Report,
}

/// Writes every safe remedy of a design into its texts in memory: spelling, colours, unambiguous swaps, each tried before. A misspelt include
/// comes first, alone: the file that it names has to be read.
///
/// What touches another step of the same round waits for the next round. Nothing else of the text is changed, and a text to which
/// this was done is left as it is. Files are neither read nor written here, except through `files`.
///
/// # Cost
/// A check with trials for each round; a design without safe remedies takes one.
#[must_use]
pub fn apply(files: &dyn Files, root: &str, checker: &Checker) -> Applied {
    let mut now = Edited { files, texts: BTreeMap::new() };
    let mut changed: BTreeMap<String, (String, String)> = BTreeMap::new();
    let mut written = Vec::new();
    let checker = checker.try_remedies();
    for _ in 0..MOST_ROUNDS {
        let design = Design::load(&now, root);
        let analysis = Analysis::of_all(&design);
        let report = checker.check(&analysis);
        let (edits, steps) = included(&now, &design, &report).unwrap_or_else(|| round(&checker, &analysis, &report));
        let texts = if steps.is_empty() { None } else { Overlay::new(design.sources(), &edits).map(Overlay::edited) };
        let Some(texts) = texts else { return Applied { files: changed, written, report } };
        for (id, text) in texts {
            let Some(file) = design.sources().file(id) else { continue };
            let name = file.name().to_owned();
            changed.entry(name.clone()).or_insert_with(|| (file.text().to_owned(), String::new())).1.clone_from(&text);
            now.texts.insert(name, text);
        }
        written.extend(steps);
    }
    let report = checker.check(&Analysis::of_all(&Design::load(&now, root)));
    Applied { files: changed, written, report }
}

/// The first include that names a file which is there under a name close by, corrected. What that file says is new, so nothing but the reading
/// is asked: it is read, and no file that was read before has a mistake more.
fn included(now: &Edited<'_>, design: &Design, report: &Report) -> Option<(Vec<Edit>, Vec<Written>)> {
    let sources = design.sources();
    let mistakes = |design: &Design| {
        let known = |finding: &&Finding| {
            let name = design.sources().file(finding.primary.span.file).map(SourceFile::name);
            finding.stated >= Level::Error && sources.files().any(|(_, file)| Some(file.name()) == name)
        };
        design.mistakes().iter().filter(known).count()
    };
    let includes = report.findings.iter().filter(|finding| finding.rule == INCLUDE.name);
    includes.filter_map(|finding| finding.remedies.first()).find_map(|remedy| {
        let mut texts = now.texts.clone();
        for (id, text) in Overlay::new(sources, &remedy.edits)?.edited() {
            texts.insert(sources.file(id)?.name().to_owned(), text);
        }
        let after = Design::load(&Edited { files: now.files, texts }, design.root());
        let is_read = after.sources().files().count() > sources.files().count();
        let written =
            Written { place: sources.place(remedy.edits.first()?.span), rule: INCLUDE.name, words: remedy.words.clone() };
        (is_read && mistakes(&after) < mistakes(design)).then(|| (remedy.edits.clone(), vec![written]))
    })
}

/// The steps of one round that can be made together.
fn round(checker: &Checker, analysis: &Analysis, report: &Report) -> (Vec<Edit>, Vec<Written>) {
    let trial = Trial::new(checker, analysis, &report.findings);
    let safe: Vec<&Judged> =
        report.findings.iter().filter(|finding| finding.offer.as_ref().is_some_and(|offer| offer.is_safe())).collect();
    let safe: Vec<&Judged> = waits_for_roots(report, safe);
    let (mut edits, mut steps): (Vec<Edit>, Vec<Written>) = (Vec::new(), Vec::new());
    let mut chosen: Vec<(&Judged, &[Edit])> = Vec::new();
    for finding in safe {
        let Some(offer) = &finding.offer else { continue };
        let own = offer.remedy.edits.as_slice();
        let is_same = own.iter().all(|edit| edits.contains(edit));
        if !is_same && own.iter().any(|edit| edits.iter().any(|other| touch(edit, other))) {
            continue;
        }
        edits.extend(own.iter().filter(|_| !is_same).cloned());
        chosen.push((finding, own));
    }
    // Each was tried alone. Where they do not go together, the first is made and the others wait.
    if chosen.len() > 1 && !trial.adds_nothing(&edits) {
        chosen.truncate(1);
        edits = chosen.first().map(|(_, own)| own.to_vec()).unwrap_or_default();
    }
    for (finding, own) in chosen {
        let span = own.first().map_or(finding.primary.span, |edit| edit.span);
        let words = finding.offer.as_ref().map_or_else(String::new, |offer| offer.remedy.words.clone());
        steps.push(Written { place: report.sources.place(span), rule: finding.rule, words });
    }
    (edits, steps)
}

/// Where a source is connected the wrong way round, it is corrected before wires trade places for any other reason: what its polarity has
/// turned round would be turned twice.
fn waits_for_roots<'r>(report: &'r Report, safe: Vec<&'r Judged>) -> Vec<&'r Judged> {
    if !report.findings.iter().any(causes::turns_nets) {
        return safe;
    }
    let is_swap = |finding: &Judged| finding.offer.as_ref().is_some_and(|offer| offer.remedy.kind == RemedyKind::Swap);
    safe.into_iter().filter(|finding| causes::turns_nets(finding) || !is_swap(finding)).collect()
}

/// Files of which some were changed in memory.
struct Edited<'f> {
    files: &'f dyn Files,
    texts: BTreeMap<String, String>,
}

impl Files for Edited<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        match self.texts.get(name) {
            Some(text) => Ok(text.as_bytes().to_vec()),
            None => self.files.read(name),
        }
    }

    fn beside(&self, name: &str) -> Vec<String> {
        self.files.beside(name)
    }
}
