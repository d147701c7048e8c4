//! Papers as one page: to be printed on A4 or Letter in black alone, and to be read on a screen. No script, no picture from elsewhere, no style
//! but its own.

use super::{
    Cell, Column, Group, Paper, Section, Table,
    style::{STYLE, STYLE_HASH, WRITE_WIDTHS},
    text::identity_line,
};
use crate::render::kit::{caution::CAUTION, printable};
use harness_core::{
    bench::Identity,
    colours::{Colour, WireColour},
};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Words beyond so many letters may break behind a point, a hyphen and the like.
const LONG_WORD: usize = 12;

/// So many letters without such a place may break anywhere.
const LONG_STRETCH: usize = 14;

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
    let policy = format!("default-src 'none'; style-src '{STYLE_HASH}'; img-src data:; base-uri 'none'; form-action 'none'");
    let design = if identity.design.is_empty() { "a design without a name" } else { &identity.design };
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (shown(&title)) " – " (shown(design)) }
                style { (PreEscaped(STYLE)) }
            }
            body {
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
            }
        }
    };
    page.into_string()
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

/// A figure whose decimal point is below those of its column.
fn figure(text: &str, places: usize) -> Markup {
    let text = text.replace('-', "\u{2212}");
    let (whole, fraction) = text.split_at(text.find('.').unwrap_or(text.len()));
    html! {
        (whole)
        @if places > 0 { span class=(format!("f f{}", places.min(6))) { (fraction) } }
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

/// Text without what would act on a reader, what is between backticks as code.
fn shown(text: &str) -> Markup {
    let is_paired = text.matches('`').count().is_multiple_of(2);
    html! {
        @for (at, piece) in text.split('`').enumerate() {
            @if at % 2 == 1 && is_paired { code { (plain(piece)) } } @else { @if at > 0 && !is_paired { "`" } (plain(piece)) }
        }
    }
}

/// Text in which control characters are shown and marks of direction stay inside; a word that is too long for its column may break.
fn plain(text: &str) -> Markup {
    let safe = printable(text);
    let turns = |letter: char| matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let is_long = safe
        .split(|letter: char| letter.is_whitespace() || BREAKS_BEHIND.contains(&letter))
        .any(|stretch| stretch.chars().count() > LONG_STRETCH);
    let words = html! {
        @for word in safe.split_inclusive(char::is_whitespace) {
            @if word.chars().count() <= LONG_WORD { (word) } @else {
                @for (at, stretch) in word.split_inclusive(BREAKS_BEHIND).enumerate() {
                    @if at > 0 { wbr; }
                    (stretch)
                }
            }
        }
    };
    match (safe.contains(turns), is_long) {
        (true, _) => html! { bdi.long { (words) } },
        (false, true) => html! { span.long { (words) } },
        (false, false) => words,
    }
}

/// Behind these a long word may break.
const BREAKS_BEHIND: [char; 6] = ['.', '-', '_', '/', ':', ','];

/// The same with a capital at its beginning.
fn sentence(text: &str) -> Markup {
    let mut letters = text.chars();
    let first: String = letters.next().map(|letter| letter.to_uppercase().collect()).unwrap_or_default();
    shown(&format!("{first}{}", letters.as_str()))
}

/// ISO 7010 W012, warning of electricity, drawn plainly: triangle, rim and arrow work without the yellow.
fn warning_sign() -> Markup {
    html! {
        svg width="24" height="22" viewBox="0 0 24 22" role="img" aria-label="warning: electricity" {
            path d="M12 1.5L23 20.5H1z" fill="#f9a800" stroke="#000" stroke-width="2" stroke-linejoin="round" {}
            path d="M13.6 6.5L9 13h3l-1.6 3.2H9l2 3.3 2.6-2.9h-1.4L15 12h-3.2z" fill="#000" {}
        }
    }
}

/// The colours of a conductor beside its letters.
fn swatch(colour: WireColour) -> Markup {
    let [base, stripe] = [colour.base, colour.stripe.unwrap_or(colour.base)].map(tint);
    html! {
        svg width="22" height="12" viewBox="0 0 22 12" aria-hidden="true" {
            rect x=".5" y=".5" width="21" height="11" fill=(base) stroke="#000" {}
            @if colour.stripe.is_some() { rect x="1" y="4.5" width="20" height="3" fill=(stripe) {} }
        }
    }
}

fn tint(colour: Colour) -> &'static str {
    match colour {
        Colour::Black => "#000000",
        Colour::Brown => "#7a4a21",
        Colour::Red => "#d01c1c",
        Colour::Orange => "#f28500",
        Colour::Yellow => "#f7d917",
        Colour::Green => "#1e8a3c",
        Colour::Blue => "#1c5fd0",
        Colour::Violet => "#7a3fa0",
        Colour::Grey => "#8c8c8c",
        Colour::White => "#ffffff",
        Colour::Pink => "#f5a3bd",
        Colour::Gold => "#c9a227",
        Colour::Turquoise => "#35b5b0",
        Colour::Silver => "#c4c8cc",
    }
}
