//! The netlist itself with line numbers: each line leads to what it writes, and every place on the page leads to its line.

use super::{
    Page, Section, findings,
    link::{Kind, kind, line_id, plain},
    list::CHUNK,
};
use crate::render::kit::printable;
use harness_core::{
    finding::Judged,
    inspect::{Names, Thing},
    source::{FileId, SourceFile},
};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// What is written on a line.
#[derive(Default)]
struct Written<'a> {
    things: Vec<(Kind, String)>,
    findings: Vec<&'a Judged>,
}

pub(super) fn section(page: &Page<'_>) -> Section {
    let sources = &page.review.checked.report.sources;
    let written = written(page);
    let body = html! {
        p { "A number leads to the first thing that its line writes; what a finding is about is marked at the end of its line." }
        @for (id, file) in sources.files() {
            h3 { (plain(if file.name() == "-" { "standard input" } else { file.name() })) }
            (listing(page, id, file, &written))
        }
    };
    Section { id: "netlist", title: "The netlist", body }
}

fn written<'a>(page: &Page<'a>) -> BTreeMap<(FileId, usize), Written<'a>> {
    let model = page.review.analysis.model();
    let report = &page.review.checked.report;
    let line = |span: harness_core::source::Span| {
        let file = report.sources.file(span.file)?;
        Some((span.file, file.line_column(span.start).0))
    };
    let mut written: BTreeMap<(FileId, usize), Written<'a>> = BTreeMap::new();
    let mut things: Vec<Thing> = Names::new(model).all().map(|(_, thing)| thing).collect();
    things.sort_unstable_by_key(|thing| thing.span(model));
    things.dedup();
    for thing in things {
        let kind = kind(thing, thing.kind(model));
        // A cavity is written where its end or wire is, and where devices are one line each a pin where its device is.
        if kind == Kind::Contact || (kind == Kind::Pin && page.links.kind(&thing.name(model)) != Some(Kind::Pin)) {
            continue;
        }
        if let Some(at) = line(thing.span(model)) {
            written.entry(at).or_default().things.push((kind, thing.name(model)));
        }
    }
    for finding in &report.findings {
        if let Some(at) = line(finding.primary.span) {
            written.entry(at).or_default().findings.push(finding);
        }
    }
    written
}

fn listing(page: &Page<'_>, id: FileId, file: &SourceFile, written: &BTreeMap<(FileId, usize), Written<'_>>) -> Markup {
    let lines: Vec<&str> = file.text().lines().collect();
    let width = lines.len().to_string().len();
    html! {
        div.box.src tabindex="0" role="group" aria-label=(format!("lines of {}", file.name())) {
            @for (chunk, texts) in lines.chunks(CHUNK).enumerate() {
                pre.chunk {
                    @for (at, text) in texts.iter().enumerate() {
                        @let number = chunk * CHUNK + at + 1;
                        @let on_line = written.get(&(id, number));
                        @let own = page.links.is_led_to(id, number).then(|| line_id(file.name(), number));
                        @let target = on_line.and_then(|written| written.things.first());
                        @let href = target.map(|(kind, name)| format!("#{}", super::link::id(*kind, name)));
                        @let shown = format!("{number:>width$}");
                        @if own.is_some() || href.is_some() { a id=[own] href=[href] { (shown) } } @else { (shown) }
                        "  " (printable(text))
                        @if let Some(on_line) = on_line {
                            @for finding in &on_line.findings { "  " (mark(finding)) }
                        }
                        "\n"
                    }
                }
            }
        }
    }
}

fn mark(finding: &Judged) -> Markup {
    html! { a.mark href=(findings::href(finding)) { "\u{25c4} " (finding.level.name()) " " (finding.rule) } }
}
