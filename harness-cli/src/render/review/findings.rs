//! The findings: those of danger and the first errors in full, the rest in one line each, none left out.

use super::{
    Page, Section,
    link::{Kind, href_of_finding, plain},
    list::{CHUNK, Cell, Column, List, Row},
};
use crate::{
    phrase::counted,
    render::{Checked, Entry, check::reviewed, kit::words},
};
use harness_core::finding::{Judged, Level, review_text};
use maud::{Markup, html};

/// Errors, warnings and notes that are shown in full.
const IN_FULL: usize = 50;
/// Letters of a line of a file that are shown.
const LINE: usize = 160;

const COLUMNS: [Column; 4] = [Column::words("finding"), Column::words("level"), Column::words("rule"), Column::words("place")];

/// Whether an article is the one that links lead to.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum As {
    Itself,
    Copy,
}

/// What is shown: one entry a cause, without what is accepted or held back.
pub(super) fn entries(checked: &Checked) -> Vec<Entry<'_>> {
    checked.entries(false, reviewed::is_drawn)
}

/// The id of the findings of a level.
pub(super) fn group_id(level: Level) -> String {
    format!("findings-{}", level.name())
}

/// The link to a finding.
pub(super) fn href(finding: &Judged) -> String {
    href_of_finding(&finding.fingerprint)
}

/// The word of a level in its frame.
pub(super) fn level(level: Level) -> Markup {
    html! { span class=(format!("lv {}", level.name())) { (level.name()) } }
}

pub(super) fn section(page: &Page<'_>) -> Section {
    let entries = entries(page.review.checked);
    let held: Vec<&Judged> = page.review.checked.held_back().collect();
    let body = html! {
        @if entries.is_empty() && held.is_empty() {
            p {
                (counted(page.review.checked.report.summary.rules, "rule")) " found nothing in "
                (counted(page.review.checked.report.summary.modes.len(), "mode")) ". "
                a href="#checked" { "What was not checked" } " is as much of the answer."
            }
        }
        @if let Some(about) = page.pictured.about() { p.small { (page.links.shown(&about)) } }
        @for of in Level::ALL {
            @let group: Vec<&Entry<'_>> = entries.iter().filter(|entry| entry.lead.level == of).collect();
            @let most = if of == Level::Danger { group.len() } else { IN_FULL.min(group.len()) };
            @let (full, brief) = group.split_at(most);
            div.group id=(group_id(of)) {
                @if !group.is_empty() { h3 { (super::sentence(of.name())) "s (" (group.len()) ")" } }
                @for entry in full { (article(page, entry, As::Itself)) }
                @if !brief.is_empty() { (rest(page, brief)) }
            }
        }
        @if !held.is_empty() {
            div.group {
                h3 { "May follow from a reading mistake (" (held.len()) ")" }
                p { "Not judged until what could not be read is put right." }
                ul { @for finding in &held { li id=(page.links.define(Kind::Finding, &finding.fingerprint)) { (line(page, finding)) } } }
            }
        }
    };
    Section { id: "findings", title: "Findings", body }
}

/// Findings in one line each.
fn rest(page: &Page<'_>, entries: &[&Entry<'_>]) -> Markup {
    let of = |finding: &Judged| Row {
        id: page.links.define(Kind::Finding, &finding.fingerprint),
        cells: vec![
            Cell::text(finding.headline.clone()),
            Cell::Other(level(finding.level), finding.level.name().to_owned()),
            Cell::text(finding.rule),
            Cell::Place(finding.primary.span),
        ],
    };
    let rows = entries.iter().flat_map(|entry| std::iter::once(entry.lead).chain(entry.others.iter().copied())).map(of).collect();
    let list = List {
        kind: "finding",
        caption: "one line each, the most severe first".to_owned(),
        columns: &COLUMNS,
        rows,
        identity: page.identity.clone(),
    };
    list.markup(&page.links)
}

/// A finding in one line.
fn line(page: &Page<'_>, finding: &Judged) -> Markup {
    html! { (level(finding.level)) " " (page.links.shown(&finding.headline)) " " (page.links.place(finding.primary.span)) }
}

/// A finding in full, with the others of its cause.
pub(super) fn article(page: &Page<'_>, entry: &Entry<'_>, as_what: As) -> Markup {
    let finding = entry.lead;
    let links = &page.links;
    let itself = as_what == As::Itself;
    let own = itself.then(|| links.define(Kind::Finding, &finding.fingerprint));
    // What a waiver says of it.
    let at = finding.concerns.first().cloned();
    let reviewed = at.as_deref().filter(|_| itself).map(|at| review_text(finding, at));
    html! {
        article class=(format!("finding {}", finding.level.name())) id=[own] data-k=[itself.then_some("finding")] data-rule=[itself.then_some(finding.rule)] data-at=[at.as_deref().filter(|_| itself)] data-reviewed=[reviewed.as_deref()] {
            @let head = html! { (level(finding.level)) " " (links.shown(&super::sentence(&finding.headline))) };
            @if itself { h4 { (head) } } @else { p.h { (head) } }
            @if !finding.help.is_empty() { p { strong { "What to do: " } (links.shown(&finding.help)) } }
            @if let Some(tried) = words::tried(finding) { p { strong { "Tried: " } (links.shown(&tried)) } }
            @if itself && !finding.path.is_empty() { p.path { strong { "Path: " } (links.chain(&finding.path)) } }
            @if itself && !finding.figures.is_empty() {
                dl { @for figure in &finding.figures { div { dt { (figure.name) } dd { (links.shown(&figure.value)) } } } }
            }
            @if !itself {
                dl { @for figure in finding.figures.iter().filter(|figure| figure.name != "source").take(2) { div { dt { (figure.name) } dd { (links.shown(&figure.value)) } } } }
            }
            @if let Some(trust) = words::trust(finding) { p { strong { "Rests on: " } (links.shown(&trust)) } }
            @if itself { (page.pictured.at(page, finding)) (written(page, finding)) }
            p.small {
                (links.place(finding.primary.span)) " · rule " (links.of_kind(Kind::Rule, finding.rule))
                @if !itself { " · " a href=(href(finding)) { "in full" } }
                @if itself { " · cite as " a href=(href(finding)) { (plain(&finding.fingerprint)) } }
            }
            @if itself && !entry.others.is_empty() {
                p { strong { (counted(entry.others.len(), "more finding")) " of the same cause:" } }
                @for some in entry.others.chunks(CHUNK) {
                    ul.chunk { @for other in some {
                        @let other_id = links.define(Kind::Finding, &other.fingerprint);
                        li id=(other_id) { (line(page, other)) }
                    } }
                }
            }
        }
    }
}

/// The line of the file, and what else it is about.
fn written(page: &Page<'_>, finding: &Judged) -> Markup {
    let sources = &page.review.checked.report.sources;
    let text = sources.file(finding.primary.span.file).and_then(|file| {
        let (number, _) = file.line_column(finding.primary.span.start);
        file.text().lines().nth(number.saturating_sub(1)).map(str::trim)
    });
    html! {
        @if let Some(text) = text.filter(|text| !text.is_empty()) {
            pre.line { (crate::render::kit::printable(&text.chars().take(LINE).collect::<String>())) @if text.chars().count() > LINE { "…" } }
        }
        @if !finding.primary.text.is_empty() { p.small { "there: " (page.links.shown(&finding.primary.text)) } }
        @if !finding.labels.is_empty() {
            ul.small { @for label in &finding.labels { li { (page.links.place(label.span)) ": " (page.links.shown(&label.text)) } } }
        }
    }
}
