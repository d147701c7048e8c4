//! What holds for any input, and for any way of writing the same design.

mod changes;
mod files;
mod in_line;
mod like;
mod physics;
mod soundness;
mod terse;
mod tidy;
mod worded;

use harness_core::{Report, finding::Judged};

/// What a finding says, apart from where: rule, level and the things concerned.
fn gist(finding: &Judged) -> String {
    let mut concerns = finding.concerns.clone();
    concerns.sort();
    let said = if concerns.is_empty() { finding.headline.clone() } else { concerns.join(", ") };
    format!("{}[{}]: {said}", finding.level, finding.rule)
}

fn gists(report: &Report) -> Vec<String> {
    let mut gists: Vec<String> = report.findings.iter().map(gist).collect();
    gists.sort();
    gists
}
