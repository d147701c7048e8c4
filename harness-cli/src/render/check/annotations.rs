//! Findings as workflow commands: lines that a hosted runner takes out of a log and shows beside the changed lines.
//!
//! `::error file=…,line=…,col=…,title=…::message`, with `%`, carriage return and line feed written as `%25`, `%0D`, `%0A`, and in
//! what is before the message also `:` and `,` as `%3A` and `%2C`. Everything else in the log is shown as it is.

use super::summary;
use crate::render::{
    Checked, Run,
    kit::{caution::CAUTION, printable, words},
};
use harness_core::finding::{Judged, Level};
use std::io::{self, Write};

/// Writes the findings of one run, a line each, and what was checked.
///
/// # Errors
/// If `out` can't be written.
pub fn write(run: &Run<'_>, out: &mut dyn Write) -> io::Result<()> {
    for checked in run.designs {
        for found in &checked.report.findings {
            finding(checked, found, out)?;
        }
    }
    for failed in run.failures {
        let message = format!("failed to {}", printable(&failed.reason));
        command("error", &[("title", "not checked")], &message, out)?;
    }
    if let Some(untouched) = run.untouched {
        command("notice", &[("title", "not checked again")], &untouched.sentence(), out)?;
    }
    for checked in run.designs {
        writeln!(out, "checked {}: {}", checked.shown(&checked.root), summary::found(checked))?;
    }
    writeln!(out, "{}", CAUTION.join(" "))
}

fn finding(checked: &Checked, finding: &Judged, out: &mut dyn Write) -> io::Result<()> {
    let accepted = words::accepted(finding);
    let kind = match finding.level {
        _ if accepted.is_some() => "notice",
        Level::Danger | Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "notice",
    };
    let title = format!("{}[{}]", finding.level, finding.rule);
    let file = checked.raw_name(finding.primary.span);
    let mut properties = Vec::new();
    let (line, column);
    // What came by standard input has no file to be shown beside.
    if let Some(file) = &file {
        properties.push(("file", file.as_str()));
        if let Some(source) = checked.report.sources.file(finding.primary.span.file) {
            let place = source.line_column(finding.primary.span.start);
            (line, column) = (place.0.to_string(), place.1.to_string());
            properties.extend([("line", line.as_str()), ("col", column.as_str())]);
        }
    }
    properties.push(("title", &title));
    let lines = [words::headline(finding)]
        .into_iter()
        .chain(accepted)
        .chain(words::row_line(checked, finding))
        .chain(words::places(checked, finding))
        .chain(words::facts(finding));
    command(kind, &properties, &lines.collect::<Vec<_>>().join("\n"), out)
}

fn command(kind: &str, properties: &[(&str, &str)], message: &str, out: &mut dyn Write) -> io::Result<()> {
    let properties: Vec<String> = properties.iter().map(|(name, value)| format!("{name}={}", property(value))).collect();
    writeln!(out, "::{kind} {}::{}", properties.join(","), escaped(message))
}

/// A message; `%` goes first, or it would escape the others twice.
fn escaped(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// A value before the message, where `:` and `,` separate things.
fn property(text: &str) -> String {
    escaped(text).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    use super::{escaped, property};

    #[test]
    fn what_parts_things_is_escaped() {
        assert_eq!(escaped("50 %, a:b\r\n%0A"), "50 %25, a:b%0D%0A%250A");
        assert_eq!(property("a,b:c%\n"), "a%2Cb%3Ac%25%0A");
    }
}
