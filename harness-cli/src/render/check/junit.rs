//! A run as JUnit XML, the form in which CI servers read the results of tests.
//!
//! One suite per design, one case per rule. A rule whose findings fail the check is one failure, however many they are: most readers look
//! at the first failure of a case only. No times, so that the same input gives the same bytes.

use super::summary;
use crate::{
    exit::counts,
    render::{
        Checked, Failed, Run,
        kit::{caution::CAUTION, printable, words, xml::lines},
    },
};
use harness_core::{finding::Judged, rule_pages};
use quick_xml::{
    Writer,
    events::{BytesDecl, BytesText, Event},
};
use std::{
    collections::BTreeMap,
    io::{self, Write},
};

/// One case of a suite, with what it holds.
struct Case {
    group: String,
    name: String,
    holds: Vec<Part>,
}

/// A child of a case.
enum Part {
    /// What fails the check: the first headline, the most severe level, all in words.
    Failure { message: String, level: &'static str, text: String },
    /// What could not be done.
    Error(String),
    /// What was accepted, or left out.
    Skipped(String),
    /// What fails nothing.
    Output(String),
}

/// A suite: its name, its cases and the words at its end.
struct Suite {
    name: String,
    cases: Vec<Case>,
    end: String,
}

/// Writes one run.
///
/// # Errors
/// If `out` can't be written.
pub fn write(run: &Run<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut suites: Vec<Suite> = run.designs.iter().map(|checked| design(checked, run)).collect();
    suites.extend(run.failures.iter().map(unread));
    if let Some(untouched) = run.untouched {
        let why = format!("untouched since {}, not checked again", untouched.revision);
        suites.extend(untouched.designs.iter().map(|name| single(name, Part::Skipped(why.clone()))));
    }
    let mut xml = Writer::new_with_indent(&mut *out, b' ', 2);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let sum = |count: fn(&Part) -> bool| suites.iter().map(|suite| suite.count(count)).sum::<usize>().to_string();
    let tests = suites.iter().map(|suite| suite.cases.len()).sum::<usize>().to_string();
    let (failures, errors) = (sum(is_failure), sum(is_error));
    xml.create_element("testsuites")
        .with_attributes([("name", "harness"), ("tests", &tests), ("failures", &failures), ("errors", &errors)])
        .write_inner_content(|xml| suites.iter().try_for_each(|suite| suite.write(xml)))?;
    drop(xml);
    writeln!(out)
}

/// The suite of a design: a case for each rule, and for each rule unknown here that a finding names.
fn design(checked: &Checked, run: &Run<'_>) -> Suite {
    let mut found: BTreeMap<&str, Vec<&Judged>> = BTreeMap::new();
    for finding in &checked.report.findings {
        found.entry(finding.rule).or_default().push(finding);
    }
    let mut rules: Vec<&str> = rule_pages().iter().map(|rule| rule.name).chain(found.keys().copied()).collect();
    rules.sort_unstable();
    rules.dedup();
    let case = |rule: &str| {
        let findings = found.get(rule).map_or(&[][..], Vec::as_slice);
        let (group, name) = rule.split_once('/').unwrap_or(("", rule));
        Case { group: group.to_owned(), name: name.to_owned(), holds: parts(checked, findings, run) }
    };
    let cases = rules.into_iter().map(case).collect();
    let end = format!("found: {}\n{}", summary::found(checked), CAUTION.join("\n"));
    Suite { name: checked.shown(&checked.root), cases, end }
}

fn parts(checked: &Checked, findings: &[&Judged], run: &Run<'_>) -> Vec<Part> {
    let mut parts = Vec::new();
    let all = |findings: &[&Judged]| findings.iter().map(|it| words_of(checked, it)).collect::<Vec<_>>().join("\n\n");
    let (failing, others): (Vec<&Judged>, Vec<&Judged>) = findings.iter().partition(|it| counts(it, run.fail_on));
    if let (Some(first), Some(worst)) = (failing.first(), failing.iter().map(|it| it.level).max()) {
        let more = match failing.len() - 1 {
            0 => String::new(),
            more => format!(" (and {more} more)"),
        };
        let message = format!("{}{more}", words::headline(first));
        parts.push(Part::Failure { message, level: worst.name(), text: all(&failing) });
    }
    let accepted: Vec<String> = others.iter().filter_map(|it| words::accepted(it)).collect();
    // A case that fails is not skipped too; what was accepted is listed in its text then.
    if failing.is_empty() && !accepted.is_empty() && accepted.len() == others.len() {
        parts.push(Part::Skipped(accepted.join("; ")));
    }
    if !others.is_empty() {
        parts.push(Part::Output(all(&others)));
    }
    parts
}

/// A finding in full, as lines.
fn words_of(checked: &Checked, finding: &Judged) -> String {
    let place = checked.place(finding.primary.span);
    let head = format!("{place}: {}[{}]: {}", finding.level, finding.rule, words::headline(finding));
    [head]
        .into_iter()
        .chain(words::accepted(finding))
        .chain(words::row_line(checked, finding))
        .chain(words::places(checked, finding))
        .chain(words::facts(finding))
        .collect::<Vec<_>>()
        .join("\n  ")
}

fn unread(failed: &Failed) -> Suite {
    single(&failed.design, Part::Error(format!("failed to {}", printable(&failed.reason))))
}

fn single(design: &str, part: Part) -> Suite {
    let case = Case { group: "check".to_owned(), name: "read".to_owned(), holds: vec![part] };
    Suite { name: design.to_owned(), cases: vec![case], end: String::new() }
}

fn is_failure(part: &Part) -> bool {
    matches!(part, Part::Failure { .. })
}

fn is_error(part: &Part) -> bool {
    matches!(part, Part::Error(_))
}

impl Suite {
    fn count(&self, is: fn(&Part) -> bool) -> usize {
        self.cases.iter().filter(|case| case.holds.iter().any(is)).count()
    }

    fn write<W: Write>(&self, xml: &mut Writer<W>) -> io::Result<()> {
        let skipped = self.count(|part| matches!(part, Part::Skipped(_)));
        let [tests, failures, errors, skipped] =
            [self.cases.len(), self.count(is_failure), self.count(is_error), skipped].map(|number| number.to_string());
        xml.create_element("testsuite")
            .with_attributes([
                ("name", &*lines(&self.name)),
                ("tests", &tests),
                ("failures", &failures),
                ("errors", &errors),
                ("skipped", &skipped),
            ])
            .write_inner_content(|xml| {
                self.cases.iter().try_for_each(|case| case.write(xml))?;
                if !self.end.is_empty() {
                    xml.create_element("system-out").write_text_content(BytesText::new(&lines(&self.end)))?;
                }
                Ok(())
            })?;
        Ok(())
    }
}

impl Case {
    fn write<W: Write>(&self, xml: &mut Writer<W>) -> io::Result<()> {
        let case = xml.create_element("testcase").with_attributes([("classname", &*self.group), ("name", &*self.name)]);
        match self.holds.as_slice() {
            [] => case.write_empty()?,
            holds => case.write_inner_content(|xml| holds.iter().try_for_each(|part| part.write(xml)))?,
        };
        Ok(())
    }
}

impl Part {
    fn write<W: Write>(&self, xml: &mut Writer<W>) -> io::Result<()> {
        match self {
            Self::Failure { message, level, text } => xml
                .create_element("failure")
                .with_attributes([("type", *level), ("message", &lines(message))])
                .write_text_content(BytesText::new(&lines(text)))?,
            Self::Error(message) => xml
                .create_element("error")
                .with_attributes([("type", "unreadable"), ("message", &lines(message))])
                .write_empty()?,
            Self::Skipped(message) => {
                xml.create_element("skipped").with_attribute(("message", &*lines(message))).write_empty()?
            }
            Self::Output(text) => xml.create_element("system-out").write_text_content(BytesText::new(&lines(text)))?,
        };
        Ok(())
    }
}
