//! Papers as one page: to be printed on A4 or Letter in black alone, and to be read on a screen. No script, no picture from elsewhere, no style
//! but its own.

use super::{
    Cell, Column, Group, Paper, Section, Table,
    style::{STYLE, STYLE_HASH, WRITE_WIDTHS},
    text::identity_line,
};
use crate::render::kit::{
    caution::CAUTION,
    html::{self as whole, Allowed},
    markup::{figure, sentence, shown, swatch, warning_sign},
};
use harness_core::bench::Identity;
use maud::{Markup, PreEscaped, html};

/// A table of more columns than this is set closer and smaller, so that nothing is lost on paper.
const MANY: usize = 9;

/// Groups of about so many lines are kept on one page: a longer one would leave half a page empty.
const KEPT_TOGETHER: usize = 16;
/// Letters of a line of a cell, about.
const LINE: usize = 28;

/// The page.
pub(super) fn page(papers: &[Paper], identity: &Identity) -> String {
    let title = match papers {
        [one] => one.heading(),
        _ => "papers of the bench".to_owned(),
    };
    let design = if identity.design.is_empty() { "a design without a name" } else { &identity.design };
    let body = html! {
        header {
            h1 { (sentence(&title)) }
            p.id { (shown(&identity_line(identity))) }
        }
        @if papers.len() > 1 {
            nav aria-label="papers" { ul {
                @for (number, paper) in papers.iter().enumerate() {
                    li { a href=(format!("#p{number}")) { (sentence(&paper.heading())) } }
                }
            } }
        }
        main {
            @for (number, paper) in papers.iter().enumerate() {
                (one(paper, identity, number, papers.len() == 1))
            }
        }
        footer { @for line in CAUTION { p { (line) } } }
    };
    let title = html! { (shown(&title)) " – " (shown(design)) };
    whole::page(&title, Allowed { text: STYLE, hash: STYLE_HASH }, None, &body).into_string()
}

fn one(paper: &Paper, identity: &Identity, number: usize, alone: bool) -> Markup {
    html! {
        section id=(format!("p{number}")) class=(if number == 0 { "paper first" } else { "paper" }) {
            @if !alone {
                h2 { (sentence(&paper.heading())) }
                p.id { (shown(&identity_line(identity))) }
            }
            @if paper.has_class_b {
                p.b { (warning_sign()) span { (CAUTION[1]) } }
            }
            @for line in &paper.lead { p { (shown(line)) } }
            @if !paper.unknown.is_empty() {
                p { strong { "Not known:" } }
                ul { @for line in &paper.unknown { li { (shown(line)) } } }
            }
            @for (place, part) in paper.sections.iter().enumerate() { (section(part, paper, identity, place, alone)) }
            @if !paper.sources.is_empty() {
                p.id { "Sources: " (shown(&paper.sources.join("; "))) }
            }
        }
    }
}

fn section(section: &Section, paper: &Paper, identity: &Identity, place: usize, alone: bool) -> Markup {
    let class = match (section.own_sheet, place) {
        (true, 0) => "sheet first",
        (true, _) => "sheet",
        (false, _) => "plain",
    };
    html! {
        section class=(class) {
            @if !section.heading.is_empty() {
                @if alone { h2 { (sentence(&section.heading)) } } @else { h3 { (sentence(&section.heading)) } }
            }
            @for line in &section.lines { p { (shown(line)) } }
            @if let Some(picture) = &section.picture { figure { (PreEscaped(&picture.svg)) } }
            @if let Some(found) = &section.table { (table(found, paper, identity)) }
            @if !section.slips.is_empty() { (slips(&section.slips)) }
            @for line in &section.after { p { (shown(line)) } }
        }
    }
}

/// Slips to cut out, the first with a measure: what it says to be 40 mm is 40 mm long on paper that was printed in its true size.
fn slips(slips: &[Vec<String>]) -> Markup {
    html! {
        p { "Print in true size: this line is 40 mm long. " span.w.measure role="img" aria-label="40 mm" {} }
        ul.slips {
            @for lines in slips {
                li { @for _ in 0..3 { span { @for (at, line) in lines.iter().enumerate() { @if at > 0 { br; } (shown(line)) } } } }
            }
        }
    }
}

fn table(table: &Table, paper: &Paper, identity: &Identity) -> Markup {
    let kept = table.for_people();
    let columns: Vec<&Column> = kept.iter().filter_map(|at| table.columns.get(*at)).collect();
    let places: Vec<usize> = kept.iter().map(|at| decimals(table, *at)).collect();
    let width = columns.len();
    html! {
        div.box tabindex="0" role="region" aria-label=(shown(&table.caption)) {
            table class=(if width > MANY { "many" } else { "few" }) {
                caption { (sentence(&table.caption)) }
                thead {
                    tr.id { th colspan=(width) scope="colgroup" { (shown(&paper.heading())) " · " (shown(&identity_line(identity))) } }
                    tr { @for column in &columns { (head(column)) } }
                }
                @for group in &table.groups {
                    tbody class=(if height(group) <= KEPT_TOGETHER { "keep" } else { "long" }) {
                        @if !group.heading.is_empty() {
                            tr.g { th colspan=(width) scope="rowgroup" { (shown(&group.heading)) } }
                        }
                        @for row in &group.rows {
                            tr { @for (at, held) in kept.iter().filter_map(|at| row.get(*at)).enumerate() {
                                (cell(held, at == 0, columns.get(at).copied(), places.get(at).copied().unwrap_or(0)))
                            } }
                        }
                    }
                }
            }
        }
    }
}

/// How many lines a group takes, about.
fn height(group: &Group) -> usize {
    let lines = |cell: &Cell| match cell {
        Cell::Text(text) => text.lines().map(|line| line.chars().count() / LINE + 1).sum(),
        _ => 1,
    };
    group.rows.iter().map(|row| row.iter().map(lines).max().unwrap_or(1)).sum()
}

fn head(column: &Column) -> Markup {
    html! {
        th scope="col" class=(if column.figures { "n" } else { "" }) {
            (column.head)
            @if !column.unit.is_empty() {
                @if !column.head.is_empty() { " " }
                span.u { (column.unit) }
            }
        }
    }
}

fn cell(cell: &Cell, first: bool, column: Option<&Column>, places: usize) -> Markup {
    let class = if column.is_some_and(|column| column.figures) { "n" } else { "" };
    let content = match cell {
        Cell::Text(text) => html! { @for (at, line) in text.lines().enumerate() { @if at > 0 { br; } (shown(line)) } },
        Cell::Figure(_, text) => figure(text, places),
        Cell::Colour(colour) => html! { span.c { (swatch(*colour)) (colour.to_string()) } },
        Cell::None("") => html! { span.none { "–" } },
        Cell::None(why) => html! { span.none { (why) } },
        Cell::Tick => html! { span.tick role="img" aria-label="box to tick" {} },
        Cell::Write(width) => {
            let width = WRITE_WIDTHS.iter().find(|known| *known >= width).or(WRITE_WIDTHS.last()).copied().unwrap_or(*width);
            html! { span class=(format!("w w{width}")) role="img" aria-label="room to write" {} }
        }
    };
    if first {
        html! { th scope="row" class=(class) { (content) } }
    } else {
        html! { td class=(class) { (content) } }
    }
}

/// The most decimals of a column.
fn decimals(table: &Table, at: usize) -> usize {
    let of = |cell: &Cell| match cell {
        Cell::Figure(_, text) => text.split_once('.').map_or(0, |(_, fraction)| fraction.len()),
        _ => 0,
    };
    table.rows().filter_map(|row| row.get(at)).map(of).max().unwrap_or(0)
}
