//! What comes of the check in one look: the verdict in a sentence, counts, the most severe finding in full, the smallest margins.

use super::{
    Page, findings,
    link::{Kind, plain},
    margin,
    margin::Least,
};
use crate::{
    phrase::counted,
    render::{check::summary::counts, kit::markup::warning_sign},
};
use harness_core::{Covered, finding::Level, inspect::Margin};
use maud::{Markup, html};

/// Findings in one line each.
const LISTED: usize = 8;
/// Smallest margins of fuses and of conductors.
const SMALLEST: usize = 5;

pub(super) fn verdict(page: &Page<'_>, has_class_b: bool) -> Markup {
    let checked = page.review.checked;
    let counts = counts(checked);
    let entries = findings::entries(page.review.checked);
    let summary = &checked.report.summary;
    html! {
        section #verdict aria-labelledby="verdict-h" {
            h2 #verdict-h { (sentence(page, &counts)) }
            @if let Some(mistakes) = &page.review.mistakes {
                p.partly { strong { "Partly read: " } (page.links.shown(mistakes)) }
            }
            @if !checked.report.broken_rules.is_empty() {
                p.partly { strong { "Not whole: " } "these rules broke off: " (checked.report.broken_rules.join(", ")) }
            }
            ul.counts {
                @for (level, count) in counts {
                    li class=(if count > 0 { level.name() } else { "none" }) { a href=(format!("#{}", findings::group_id(level))) { strong { (count) } " " (plural(level, count)) } }
                }
                li { a href="#checked" { strong { (summary.unchecked) } " not checked" } }
                @let waived = checked.report.findings.iter().filter(|finding| finding.waived.is_some()).count();
                @if waived > 0 { li { a href="#waivers" { strong { (waived) } " accepted" } } }
            }
            div.first {
                @if let Some(worst) = entries.first() {
                    div.worst { p.small { "The most severe:" } (findings::article(page, worst, findings::As::Copy)) }
                } @else {
                    div.worst { p.big { (unjudged(page)) } }
                }
                p.caution {
                    @if has_class_b { (warning_sign()) " " }
                    "A clean result is no safety certificate. " a href="#cautions" { "Cautions" }
                }
            }
            div.glance {
                @if entries.len() > 1 {
                    div.next {
                        h3 { "Next" }
                        ol start="2" {
                            @for entry in entries.iter().skip(1).take(LISTED - 1) {
                                li { (findings::level(entry.lead.level)) " " a href=(findings::href(entry.lead)) { (plain(&super::people(&entry.lead.headline.replace('`', "")))) } }
                            }
                        }
                        @if entries.len() > LISTED { p { a href="#findings" { "all " (entries.len()) } } }
                    }
                }
                (smallest(page, "Smallest margins of fuses", page.review.loads.fuses.iter().map(|row| (row.name.as_str(), row.least()))))
                (smallest(page, "Smallest margins of conductors", page.review.loads.conductors.iter().map(|row| (row.name.as_str(), row.least()))))
                div.sm {
                    h3 { "Modes" }
                    ul.plain {
                        @for mode in &summary.modes {
                            li { (page.links.of_kind(Kind::Mode, &mode.name)) ": "
                                @if mode.solved { (counted(mode.loaded, "conductor")) " loaded" } @else { strong { "not computed" } }
                            }
                        }
                        @if summary.modes.is_empty() { li { "none, so no current was computed" } }
                    }
                }
            }
        }
    }
}

fn plural(level: Level, count: usize) -> String {
    if count == 1 { level.name().to_owned() } else { format!("{}s", level.name()) }
}

fn sentence(page: &Page<'_>, counts: &[(Level, usize)]) -> String {
    let count = |level: Level| counts.iter().find(|(known, _)| *known == level).map_or(0, |(_, count)| *count);
    let (dangers, errors, warnings) = (count(Level::Danger), count(Level::Error), count(Level::Warning));
    let summary = &page.review.checked.report.summary;
    match (dangers, errors) {
        (0, 0) if warnings > 0 => format!("No danger and no error found; {} to look at first", counted(warnings, "warning")),
        (0, 0) => format!(
            "{} found no danger, error or warning in {}",
            counted(summary.rules, "rule"),
            counted(summary.modes.len(), "mode")
        ),
        (0, errors) => format!("{}: do not build", counted(errors, "error")),
        (dangers, 0) => format!("{}: do not build", counted(dangers, "danger")),
        (dangers, errors) => format!("{} and {}: do not build", counted(dangers, "danger"), counted(errors, "error")),
    }
}

fn smallest<'a>(page: &Page<'_>, heading: &str, rows: impl Iterator<Item = (&'a str, Option<&'a Margin>)>) -> Markup {
    let rows: Vec<(&str, Option<Least>)> =
        rows.map(|(name, margin)| (name, Least::of(margin))).filter(|(_, least)| least.is_some()).take(SMALLEST).collect();
    html! {
        div.sm {
            h3 { (heading) }
            @if rows.is_empty() { p { "none could be computed" } }
            ul.plain.mgs { @for (name, least) in &rows { li { (page.links.name(name)) " " (margin::cell(least.as_ref())) } } }
        }
    }
}

/// What was not judged, as large as what was: nothing found says no more than what was looked at.
fn unjudged(page: &Page<'_>) -> Markup {
    let summary = &page.review.checked.report.summary;
    let covered = &summary.coverage;
    let left = |of: &Covered| of.unjudged.iter().map(|(_, count)| count).sum::<usize>();
    html! {
        "Of " (counted(summary.conductors, "conductor")) " not judged: " (left(&covered.load)) " for load, " (left(&covered.shorts)) " for shorts, "
        (left(&covered.drop)) " for voltage drop; " a href="#checked" { "why" } ". "
        @if summary.unchecked > 0 { (counted(summary.unchecked, "check")) " could not be made for want of a fact." }
    }
}
