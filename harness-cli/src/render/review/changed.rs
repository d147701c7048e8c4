//! What changed since an older revision, what that does, before and after in one picture, and the order of rework.

use super::{
    Page, Section, findings,
    link::plain,
    list::{Cell, Column, List, Row},
    pictures,
};
use crate::{
    phrase::counted,
    render::{
        diff::{
            Compared,
            effect::{Item, nothing, sections},
            picture,
        },
        rework::text as steps,
    },
};
use harness_core::diff::rework::Rework;
use maud::{Markup, html};

const COLUMNS: [Column; 2] = [Column::words("where"), Column::words("what")];

/// The section, if there is an older revision.
pub(super) fn section(page: &Page<'_>) -> Option<Section> {
    let (compared, rework) = page.review.changed?;
    let body = html! {
        p { strong { (plain(&super::sentence(&compared.design()))) } "." }
        @for unread in compared.unread() { p.partly { strong { "Not compared: " } (page.links.shown(&unread)) } }
        @if let Some(nothing) = nothing(compared) { p { (page.links.shown(&super::sentence(&nothing))) "." } }
        @if !compared.is_same() {
            p { (counted(compared.changes.len(), "change")) "; findings that " (compared.findings()) "." }
            @for part in sections(compared).iter().filter(|part| part.title == "findings that came") { (effect(page, part.title, &part.items)) }
            (changes(page, compared))
            p { "Before and after, where wires or ends changed:" }
            (pictures::drawn(page, &picture::draw(compared)))
            h3 { "What the changes do" }
            @for part in sections(compared).iter().filter(|part| part.title != "findings that came") { (effect(page, part.title, &part.items)) }
            (order(page, rework))
        }
    };
    Some(Section { id: "changed", title: "What changed", body })
}

fn changes(page: &Page<'_>, compared: &Compared) -> Markup {
    let groups = compared.groups();
    let rows = groups.iter().flat_map(|group| {
        group.changes.iter().map(|change| {
            let because = match change.rests_on() {
                [] => String::new(),
                joins => format!(" (recognised by this: {})", joins.join(", ")),
            };
            let cells = vec![Cell::text(group.title.clone()), Cell::text(format!("{}{because}", change.headline()))];
            Row { id: String::new(), cells }
        })
    });
    let list = List {
        kind: "",
        caption: "what changed, by what it is in".to_owned(),
        columns: &COLUMNS,
        rows: rows.collect(),
        identity: page.identity.clone(),
    };
    list.markup(&page.links)
}

/// What the changes do, one kind of it.
fn effect(page: &Page<'_>, title: &str, items: &[Item]) -> Markup {
    html! {
        h4 { (super::sentence(title)) " (" (items.len()) ")" }
        ul { @for item in items {
            li {
                @match item.level.and_then(|level| Some((level, item.text.strip_prefix(level.name())?))) {
                    Some((level, rest)) => { (findings::level(level)) " " (page.links.shown(rest)) }
                    None => (page.links.shown(&item.text)),
                }
                @if !item.more.is_empty() { ul.small { @for line in &item.more { li { (page.links.shown(without_folder(page, line))) } } } }
            }
        } }
    }
}

/// A place without the folder that the design is in: the page names files as the design does.
fn without_folder<'a>(page: &Page<'_>, line: &'a str) -> &'a str {
    let folders = page.review.changed.map(|(compared, _)| [&compared.new.prefix, &compared.old.prefix]);
    let cut =
        folders.into_iter().flatten().filter(|folder| !folder.is_empty()).find_map(|folder| line.strip_prefix(folder.as_str()));
    cut.unwrap_or(line)
}

/// The steps at the bench.
fn order(page: &Page<'_>, rework: &Rework) -> Markup {
    html! {
        h3 { "Order of rework" }
        p { (super::sentence(&steps::amount(rework))) "." }
        @if rework.steps.is_empty() { p { (super::sentence(steps::nothing(rework))) "." } }
        ul { @for caution in &rework.cautions { li { (page.links.shown(caution)) } } }
        @for (stage, own) in steps::stages(&rework.steps) {
            h4 { (super::sentence(stage.title())) }
            ul.plain { @for step in own { (entry(page, step.number, step.trained, step.headline(), &step.detail)) } }
        }
        @for (when, tests) in steps::times(&rework.tests) {
            h4 { "Tests, " (when.title()) }
            ul.plain { @for test in tests { (entry(page, test.number, test.trained, test.headline(), &test.detail)) } }
        }
        @if !rework.paper.is_empty() {
            h4 { "On paper only" }
            ul { @for paper in &rework.paper { li { (page.links.shown(&steps::on_paper(paper))) } } }
        }
    }
}

fn entry(page: &Page<'_>, number: u32, trained: bool, headline: &str, detail: &[String]) -> Markup {
    html! {
        li {
            "\u{2610} " b { (number) } " " @if trained { strong { "[" (steps::TRAINED) "] " } } (page.links.shown(headline))
            @if !detail.is_empty() { ul.small { @for line in detail { li { (page.links.shown(line)) } } } }
        }
    }
}
