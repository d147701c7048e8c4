//! A run as SARIF 2.1.0, the interchange format of OASIS for what static checks find.
//!
//! Columns count Unicode code points from 1, as everywhere in this program, which the standard calls `unicodeCodePoints`. The
//! standard has no level above `error`; which of the two a finding has is in the property `harnessLevel`.

use super::sarif_model::{
    Artifact, ArtifactChange, ArtifactLocation, Base, BaseText, Configuration, Descriptor, DescriptorProperties, Driver, Fix,
    FixProperties, Invocation, Location, Log, LogicalLocation, Notification, PhysicalLocation, Region, Replacement, ResultOf,
    ResultProperties, RowOf, RunOf, RunProperties, SCHEMA, Suppression, Text, Tool, VERSION,
};
use crate::render::kit::document;
use crate::{
    exit,
    render::{
        Checked, Run,
        kit::{caution::CAUTION, printable, words},
    },
};
use harness_core::{
    finding::{Judged, Level, RulePage},
    rule_pages,
    source::{FileId, SourceFile, Span},
};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use std::{
    collections::BTreeMap,
    io::{self, Write},
};

/// What stays in a path: the unreserved characters of RFC 3986 and the slash. A colon would make a scheme of a first part.
const PATH: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'/');

/// What relative paths start from.
const BASE: &str = "%SRCROOT%";

/// The key of our fingerprint; its number rises when the fingerprint is made in another way.
const FINGERPRINT: &str = "harnessFinding/v1";

/// Writes one run.
///
/// # Errors
/// If `out` can't be written.
pub fn write(run: &Run<'_>, out: &mut dyn Write) -> io::Result<()> {
    let rules = rule_pages();
    let numbers = rules.iter().enumerate().map(|(number, rule)| (rule.name, number)).collect();
    // Either all results say whether they are suppressed or none does.
    let suppressed = run.designs.iter().flat_map(|checked| &checked.report.findings).any(|finding| finding.waived.is_some());
    let mut writing = Writing { numbers, suppressed, files: BTreeMap::new(), artifacts: Vec::new() };
    for checked in run.designs {
        writing.artifact(&raw(checked, &checked.root), Some("analysisTarget"));
        for (_, file) in checked.report.sources.files() {
            writing.artifact(&raw(checked, file.name()), None);
        }
    }
    let results = run
        .designs
        .iter()
        .flat_map(|checked| checked.report.findings.iter().enumerate().map(move |(at, finding)| (checked, at, finding)))
        .map(|(checked, at, finding)| writing.result(checked, at, finding))
        .collect();
    let whole = run.failures.is_empty() && !run.designs.iter().any(|checked| exit::is_broken(&checked.report));
    let code = if whole { exit::code(run.designs, run.fail_on) } else { exit::FAILED };
    let invocation =
        Invocation { execution_successful: whole, exit_code: code, tool_execution_notifications: notifications(run) };
    let base = Base { description: BaseText { text: "the folder in which the check was started" } };
    let log = Log {
        schema: SCHEMA,
        version: VERSION,
        runs: [RunOf {
            tool: Tool { driver: driver(&rules) },
            invocations: [invocation],
            original_uri_base_ids: BTreeMap::from([(BASE, base)]),
            artifacts: writing.artifacts,
            results,
            column_kind: "unicodeCodePoints",
            properties: RunProperties {
                caution: &CAUTION,
                untouched: run.untouched.iter().flat_map(|it| &it.designs).map(String::as_str).collect(),
            },
        }],
    };
    document(&log, out)
}

fn driver(rules: &[&'static RulePage]) -> Driver {
    let version = env!("CARGO_PKG_VERSION");
    Driver {
        name: "harness",
        version,
        semantic_version: version,
        language: "en-GB",
        rules: rules.iter().map(|rule| descriptor(rule)).collect(),
    }
}

fn descriptor(rule: &'static RulePage) -> Descriptor {
    Descriptor {
        id: rule.name,
        short_description: plain(rule.finds),
        full_description: plain(&what_it_checks(rule)),
        help: Text { text: format!("`harness explain {}` shows this page", rule.name), markdown: Some(rule.docs.trim()) },
        default_configuration: Configuration { level: level(rule.level) },
        properties: DescriptorProperties { harness_level: rule.level.name(), since: rule.since, tags: [rule.group()] },
    }
}

/// The first section of a rule's page, in one line.
fn what_it_checks(rule: &RulePage) -> String {
    let section = rule.docs.split("## ").find_map(|section| section.strip_prefix("What it checks"));
    let words: Vec<&str> = section.unwrap_or(rule.finds).split_whitespace().collect();
    if words.is_empty() { rule.finds.to_owned() } else { words.join(" ") }
}

fn level(level: Level) -> &'static str {
    match level {
        Level::Danger | Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "note",
    }
}

fn plain(text: &str) -> Text {
    Text { text: text.to_owned(), markdown: None }
}

/// What could not be checked, and what was left out.
fn notifications<'a>(run: &Run<'_>) -> Vec<Notification<'a>> {
    let failed = run.failures.iter().map(|failed| Notification {
        level: "error",
        message: plain(&format!("failed to {}", printable(&failed.reason))),
        locations: vec![location(ArtifactLocation { index: None, ..uri(&failed.design) }, None)],
    });
    let left_out =
        run.untouched.iter().map(|it| Notification { level: "note", message: plain(&it.sentence()), locations: Vec::new() });
    failed.chain(left_out).collect()
}

/// The path of a file of a design as on the command line, letter for letter.
fn raw(checked: &Checked, name: &str) -> String {
    if name == "-" { checked.shown(name) } else { format!("{}{name}", checked.prefix) }
}

/// A path as a URI: relative to where the check was started, or absolute.
fn uri(path: &str) -> ArtifactLocation {
    let path = path.replace('\\', "/");
    let encoded = |path: &str| utf8_percent_encode(path, PATH).to_string();
    let drive = path.split('/').next().filter(|part| part.len() == 2 && part.ends_with(':'));
    let (uri, uri_base_id) = match (path.starts_with('/'), drive) {
        (true, _) => (format!("file://{}", encoded(&path)), None),
        (_, Some(drive)) => (format!("file:///{drive}{}", encoded(path.get(2..).unwrap_or(""))), None),
        _ => (encoded(path.strip_prefix("./").unwrap_or(&path)), Some(BASE)),
    };
    ArtifactLocation { uri, uri_base_id, index: None }
}

fn location<'a>(artifact_location: ArtifactLocation, region: Option<Region>) -> Location<'a> {
    let physical_location = PhysicalLocation { artifact_location, region };
    Location { id: None, physical_location, logical_locations: Vec::new(), message: None }
}

/// What results refer to.
struct Writing {
    /// The number of each rule in the table of rules.
    numbers: BTreeMap<&'static str, usize>,
    /// Whether results say whether they are suppressed.
    suppressed: bool,
    /// The number of each file by its URI.
    files: BTreeMap<String, usize>,
    artifacts: Vec<Artifact>,
}

impl Writing {
    fn artifact(&mut self, path: &str, role: Option<&'static str>) {
        let location = uri(path);
        let next = self.artifacts.len();
        let number = *self.files.entry(location.uri.clone()).or_insert(next);
        if number == next {
            self.artifacts.push(Artifact { location: ArtifactLocation { index: Some(next), ..location }, roles: None });
        }
        // A file may be a design and an include of another.
        if let (Some(role), Some(known)) = (role, self.artifacts.get_mut(number)) {
            known.roles = Some([role]);
        }
    }

    fn file(&self, path: &str) -> ArtifactLocation {
        let location = uri(path);
        let index = self.files.get(&location.uri).copied();
        ArtifactLocation { index, ..location }
    }

    fn result<'a>(&self, checked: &'a Checked, at: usize, finding: &'a Judged) -> ResultOf<'a> {
        let (cause, held_back) = checked.cause_of(at);
        let root = self.file(&raw(checked, &checked.root));
        let place = self.location(checked, finding.primary.span);
        let elsewhere = place.physical_location.artifact_location.uri != root.uri;
        let logical_locations = finding.concerns.iter().map(|name| LogicalLocation { fully_qualified_name: name }).collect();
        let related = finding.labels.iter().enumerate().map(|(number, label)| Location {
            id: Some(number + 1),
            message: (!label.text.is_empty()).then(|| plain(&printable(&label.text))),
            ..self.location(checked, label.span)
        });
        ResultOf {
            rule_id: finding.rule,
            rule_index: self.numbers.get(finding.rule).copied(),
            level: level(finding.level),
            message: plain(&message(checked, finding)),
            analysis_target: elsewhere.then_some(root),
            locations: [Location { logical_locations, ..place }],
            related_locations: related.collect(),
            partial_fingerprints: BTreeMap::from([(FINGERPRINT, finding.fingerprint.clone())]),
            suppressions: self.suppressed.then(|| self.suppression(checked, finding).into_iter().collect()),
            baseline_state: checked.report.compared.map(|_| if finding.known { "unchanged" } else { "new" }),
            fixes: self.fix(checked, finding).into_iter().collect(),
            properties: ResultProperties {
                harness_level: finding.level.name(),
                concerns: &finding.concerns,
                cause,
                held_back,
                follows: finding.follows,
                rests_on: words::rests_on_word(finding),
                rows: checked.rows(finding).into_iter().map(|row| RowOf { list: &row.list, row: row.row }).collect(),
            },
        }
    }

    /// The remedy that was tried; one that was not is left out, because whoever applies a fix asks nothing.
    fn fix<'a>(&self, checked: &Checked, finding: &'a Judged) -> Option<Fix<'a>> {
        let offer = finding.offer.as_ref().filter(|offer| offer.tried)?;
        let mut changes: BTreeMap<FileId, Vec<Replacement<'a>>> = BTreeMap::new();
        for edit in &offer.remedy.edits {
            let deleted_region = region(checked.report.sources.file(edit.span.file)?, edit.span);
            let replacement = Replacement { deleted_region, inserted_content: BaseText { text: &edit.text } };
            changes.entry(edit.span.file).or_default().push(replacement);
        }
        let changed = changes.into_iter().filter_map(|(file, replacements)| {
            let name = checked.report.sources.file(file)?.name();
            Some(ArtifactChange { artifact_location: self.file(&raw(checked, name)), replacements })
        });
        Some(Fix {
            description: plain(&printable(&offer.remedy.words)),
            artifact_changes: changed.collect(),
            properties: FixProperties { kind: offer.remedy.kind.name(), safe: offer.is_safe() },
        })
    }

    /// What accepts a finding: a waiver in the design itself, or something outside it.
    fn suppression<'a>(&self, checked: &'a Checked, finding: &'a Judged) -> Option<Suppression<'a>> {
        let waived = finding.waived.as_ref()?;
        let written = checked.report.sources.file(waived.span.file).is_some() && waived.span.end > waived.span.start;
        Some(Suppression {
            kind: if written { "inSource" } else { "external" },
            status: "accepted",
            justification: &waived.reason,
            location: written.then(|| self.location(checked, waived.span)),
        })
    }

    /// A place; a span in no file means the design as a whole.
    fn location<'a>(&self, checked: &Checked, span: Span) -> Location<'a> {
        let Some(file) = checked.report.sources.file(span.file) else {
            return location(self.file(&raw(checked, &checked.root)), None);
        };
        location(self.file(&raw(checked, file.name())), Some(region(file, span)))
    }
}

fn region(file: &SourceFile, span: Span) -> Region {
    let ((start_line, start_column), (end_line, end_column)) = (file.line_column(span.start), file.line_column(span.end));
    Region { start_line, start_column, end_line, end_column }
}

/// The finding in words. The other places are its related locations.
fn message(checked: &Checked, finding: &Judged) -> String {
    [words::headline(finding)]
        .into_iter()
        .chain(words::row_line(checked, finding))
        .chain(words::facts(finding))
        .collect::<Vec<_>>()
        .join("\n")
}

#[cfg(test)]
mod tests {
    use super::uri;

    #[test]
    fn paths_become_uris() {
        let cases = [
            ("designs/a b.yaml", "designs/a%20b.yaml", true),
            ("./ä/100%#?.yaml", "%C3%A4/100%25%23%3F.yaml", true),
            ("../a:b.yaml", "../a%3Ab.yaml", true),
            ("/designs/a.yaml", "file:///designs/a.yaml", false),
            ("C:\\designs\\a.yaml", "file:///C:/designs/a.yaml", false),
        ];
        for (path, expected, relative) in cases {
            let made = uri(path);
            assert_eq!((made.uri.as_str(), made.uri_base_id.is_some()), (expected, relative), "{path}");
        }
    }
}
