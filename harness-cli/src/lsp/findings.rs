//! Findings as the protocol shows them.

use super::{
    buffers::Buffers,
    place::{Encoding, Lines},
};
use harness_core::{
    finding::{Judged, Level},
    source::{Sources, Span},
};
use lsp_types::{Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Uri};
use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

/// A place in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// The file.
    pub path: PathBuf,
    /// First byte.
    pub start: usize,
    /// One past the last.
    pub end: usize,
}

/// A finding with its places in bytes, so that it can move with the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// Its place.
    pub spot: Spot,
    /// The other places, each with its words.
    pub related: Vec<(Spot, String)>,
    /// Its level.
    pub level: Level,
    /// The rule.
    pub rule: &'static str,
    /// What is said.
    pub message: String,
    /// What distinguishes it.
    pub identity: String,
    /// Whether it is a mistake of reading, which is known at once.
    pub is_reading: bool,
}

/// The path of a file of a design.
#[must_use]
pub fn path_of(folder: &Path, sources: &Sources, span: Span) -> Option<PathBuf> {
    sources.file(span.file).map(|file| folder.join(file.name()))
}

impl Spot {
    /// The place of a span.
    #[must_use]
    pub fn of(folder: &Path, sources: &Sources, span: Span) -> Option<Self> {
        let path = path_of(folder, sources, span)?;
        Some(Self { path, start: span.start as usize, end: span.end as usize })
    }

    /// Moves it with a stretch that was replaced; `false` if it was in that stretch.
    pub fn shift(&mut self, path: &Path, replaced: super::buffers::Replaced) -> bool {
        if self.path != path || replaced.start >= self.end {
            return true;
        }
        if replaced.end > self.start {
            return false;
        }
        let moved = |byte: usize| (byte + replaced.now).saturating_sub(replaced.end - replaced.start);
        (self.start, self.end) = (moved(self.start), moved(self.end));
        true
    }
}

impl Shown {
    /// A finding; `None` if its file is not known.
    #[must_use]
    pub fn of(folder: &Path, sources: &Sources, finding: &Judged) -> Option<Self> {
        let related = finding.labels.iter().filter(|label| !label.text.is_empty());
        let mut message = match finding.level {
            // The protocol has no level above an error.
            Level::Danger => format!("danger: {}", finding.headline),
            Level::Error | Level::Warning | Level::Note => finding.headline.clone(),
        };
        for (lead, text) in [("", &finding.primary.text), ("help: ", &finding.help)] {
            if !text.is_empty() {
                message.push_str(&format!("\n{lead}{text}"));
            }
        }
        Some(Self {
            spot: Spot::of(folder, sources, finding.primary.span)?,
            related: related.filter_map(|label| Some((Spot::of(folder, sources, label.span)?, label.text.clone()))).collect(),
            level: finding.level,
            rule: finding.rule,
            message,
            identity: finding.identity(),
            is_reading: finding.rule.starts_with("format/"),
        })
    }

    /// A note on a whole file that is about no text of it.
    #[must_use]
    pub fn note(path: &Path, message: &str) -> Self {
        Self {
            spot: Spot { path: path.to_owned(), start: 0, end: 0 },
            related: Vec::new(),
            level: Level::Note,
            rule: "editor/no-design",
            message: message.to_owned(),
            identity: message.to_owned(),
            is_reading: true,
        }
    }
}

/// Texts of files with their lines, each made once.
#[derive(Debug)]
pub struct Texts<'t> {
    texts: BTreeMap<PathBuf, Lines<'t>>,
}

impl<'t> Texts<'t> {
    /// The files of a design.
    #[must_use]
    pub fn new(folder: &Path, sources: &'t Sources, encoding: Encoding) -> Self {
        let texts = sources.files().map(|(_, file)| (folder.join(file.name()), Lines::new(file.text(), encoding)));
        Self { texts: texts.collect() }
    }

    /// Where a spot is, if its file is one of the design.
    #[must_use]
    pub fn location(&self, buffers: &Buffers, spot: &Spot) -> Option<Location> {
        let range = self.texts.get(&spot.path)?.range(spot.start, spot.end);
        Some(Location { uri: buffers.address(&spot.path)?, range })
    }

    /// The lines of a file.
    #[must_use]
    pub fn lines(&self, path: &Path) -> Option<&Lines<'t>> {
        self.texts.get(path)
    }
}

/// A finding for the client; with the other places if it shows them.
#[must_use]
pub fn diagnostic(shown: &Shown, texts: &Texts<'_>, buffers: &Buffers, shows_related: bool) -> Option<(Uri, Diagnostic)> {
    let Location { uri, range } = texts.location(buffers, &shown.spot)?;
    let related = |(spot, message): &(Spot, String)| {
        let location = texts.location(buffers, spot)?;
        Some(DiagnosticRelatedInformation { location, message: message.clone() })
    };
    let related: Vec<_> = shown.related.iter().filter(|_| shows_related).filter_map(related).collect();
    let severity = match shown.level {
        Level::Danger | Level::Error => DiagnosticSeverity::ERROR,
        Level::Warning => DiagnosticSeverity::WARNING,
        Level::Note => DiagnosticSeverity::INFORMATION,
    };
    let diagnostic = Diagnostic {
        range,
        severity: Some(severity),
        code: Some(NumberOrString::String(shown.rule.to_owned())),
        source: Some("harness".to_owned()),
        message: shown.message.clone(),
        related_information: (!related.is_empty()).then_some(related),
        ..Diagnostic::default()
    };
    Some((uri, diagnostic))
}
