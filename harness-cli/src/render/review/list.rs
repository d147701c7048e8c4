//! Tables of the page. One with many rows is written as lines of text with a link each: a browser lays out ten thousand cells in seconds and
//! ten thousand lines at once.

use super::{
    LARGE,
    link::{Kind, Links, plain},
    margin::{self, Least},
    people,
};
use crate::render::kit::paper::three_digits;
use harness_core::{colours::WireColour, source::Span};
use maud::{Markup, html};
use unicode_width::UnicodeWidthStr;

/// Names of a list in a line.
const NAMES: usize = 24;

/// Tables of more rows may go over several sheets: each then says what it is of.
const ON_ONE_SHEET: usize = 12;

/// Decimals up to which figures of a column are below each other.
const MOST_PLACES: usize = 6;

/// Lines that a browser lays out together, when they come near the window.
pub(super) const CHUNK: usize = 100;

/// A column.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    pub head: &'static str,
    pub unit: &'static str,
    pub figures: bool,
}

impl Column {
    pub(super) const fn words(head: &'static str) -> Self {
        Self { head, unit: "", figures: false }
    }

    pub(super) const fn figures(head: &'static str, unit: &'static str) -> Self {
        Self { head, unit, figures: true }
    }
}

/// What is in a cell.
#[derive(Debug)]
pub(super) enum Cell {
    /// Running text with names between backticks.
    Text(String),
    /// The same, without links to contacts and pins: the row leads to what it is about.
    Brief(String),
    /// The name of a thing, as a link to it.
    Name(String),
    /// The name of a mode, as a link to it.
    Mode(String),
    /// Names of things.
    Names(Vec<String>),
    /// Names of points: what is in a device or loom is a link, contacts and pins are found where their connector is.
    Points(Vec<String>),
    /// The colours of a conductor.
    Colour(WireColour),
    /// A figure in the unit of its column.
    Figure(f64),
    /// The least margin.
    Margin(Option<Least>),
    /// Where something is written.
    Place(Span),
    /// Markup, with the same as text.
    Other(Markup, String),
    /// Nothing.
    None,
}

impl Cell {
    pub(super) fn text(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() { Self::None } else { Self::Text(text) }
    }

    pub(super) fn name(name: Option<impl Into<String>>) -> Self {
        name.map_or(Self::None, |name| Self::Name(name.into()))
    }

    pub(super) fn mode(mode: Option<&String>) -> Self {
        mode.map_or(Self::None, |mode| Self::Mode(mode.clone()))
    }

    pub(super) fn figure(value: Option<f64>) -> Self {
        value.map_or(Self::None, Self::Figure)
    }

    /// Text of a design as it is: a label, a signal.
    pub(super) fn plain(text: &str) -> Self {
        if text.is_empty() { Self::None } else { Self::Other(html! { (plain(text)) }, text.to_owned()) }
    }

    /// What it says, as text.
    fn words(&self, links: &Links<'_>) -> String {
        match self {
            Self::Text(text) | Self::Brief(text) => people(&text.replace('`', "")),
            Self::Name(name) | Self::Mode(name) => name.clone(),
            Self::Names(names) | Self::Points(names) if names.len() > NAMES => {
                let first: Vec<&str> = names.iter().take(NAMES).map(String::as_str).collect();
                format!("{} and {} more", first.join(", "), names.len() - NAMES)
            }
            Self::Names(names) | Self::Points(names) => names.join(", "),
            Self::Colour(colour) => colour.to_string(),
            Self::Place(span) => links.place_words(*span),
            Self::Figure(value) => three_digits(*value).replace('-', "\u{2212}"),
            Self::Margin(least) => least.as_ref().map_or_else(|| "\u{2013}".to_owned(), Least::words),
            Self::Other(_, text) => text.clone(),
            Self::None => "\u{2013}".to_owned(),
        }
    }

    fn markup(&self, links: &Links<'_>) -> Markup {
        match self {
            Self::Text(text) => links.shown(text),
            Self::Brief(text) => links.brief(text, ""),
            Self::Name(name) => links.name(name),
            Self::Mode(name) => links.of_kind(Kind::Mode, name),
            Self::Names(names) => links.names(names),
            Self::Points(names) => html! {
                @for (at, name) in names.iter().enumerate() { @if at > 0 { ", " } (links.step(name)) }
            },
            Self::Figure(value) => html! { (three_digits(*value).replace('-', "\u{2212}")) },
            Self::Colour(colour) => html! { (colour.to_string()) },
            Self::Margin(least) => margin::cell(least.as_ref()),
            Self::Place(span) => links.place(*span),
            Self::Other(markup, _) => html! { (markup) },
            Self::None => html! { "\u{2013}" },
        }
    }

    /// What is seen and not read: how many digits a figure has less than others of its column, with or without a point of its own; the swatch
    /// of a colour.
    fn class(&self, places: usize) -> Option<String> {
        match self {
            Self::Figure(value) => {
                let text = three_digits(*value);
                let (kind, short) = match text.split_once('.') {
                    Some((_, fraction)) => ('p', places.saturating_sub(fraction.len())),
                    None => ('q', places),
                };
                (short > 0).then(|| format!("{kind}{}", short.min(MOST_PLACES)))
            }
            Self::Colour(WireColour { base, stripe, .. }) => {
                let stripe = stripe.map_or_else(String::new, |stripe| format!(" s{}", stripe.code()));
                Some(format!("k {}{stripe}", base.code()))
            }
            Self::Text(_) | Self::Brief(_) | Self::Name(_) | Self::Mode(_) | Self::Names(_) => None,
            Self::Points(_) | Self::Margin(_) | Self::Place(_) | Self::Other(..) | Self::None => None,
        }
    }

    /// Whether it is a link, so that the keyboard comes to what holds it.
    fn leads(&self) -> bool {
        match self {
            Self::Name(_) | Self::Mode(_) | Self::Place(_) => true,
            Self::Names(names) => !names.is_empty(),
            Self::Text(_) | Self::Brief(_) | Self::Points(_) | Self::Figure(_) | Self::Colour(_) | Self::Margin(_) => false,
            Self::Other(..) | Self::None => false,
        }
    }
}

/// A row; the first cell names it.
#[derive(Debug, Default)]
pub(super) struct Row {
    /// Its id; empty for none.
    pub id: String,
    pub cells: Vec<Cell>,
}

/// A table.
#[derive(Debug)]
pub(super) struct List {
    /// What its rows are, for the find box; empty where they are found elsewhere on the page.
    pub kind: &'static str,
    /// What it holds and in which order, in one line.
    pub caption: String,
    pub columns: &'static [Column],
    pub rows: Vec<Row>,
    /// The design, for the head of each sheet.
    pub identity: String,
}

impl List {
    /// The table, or its lines.
    pub(super) fn markup(&self, links: &Links<'_>) -> Markup {
        if self.rows.len() > LARGE { self.lines(links) } else { self.table(links) }
    }

    fn table(&self, links: &Links<'_>) -> Markup {
        let places: Vec<usize> = (0..self.columns.len()).map(|at| self.decimals(at)).collect();
        let kind = (!self.kind.is_empty()).then_some(self.kind);
        // The keyboard scrolls what it can come to; a table without a link needs a stop of its own.
        let own_stop = !self.rows.iter().any(|row| row.cells.iter().any(Cell::leads));
        let figures = self.columns.iter().enumerate().filter(|(_, column)| column.figures).map(|(at, _)| format!("n{}", at + 1));
        let figures = figures.collect::<Vec<_>>().join(" ");
        html! {
            div.box tabindex=[own_stop.then_some("0")] role=[own_stop.then_some("group")] aria-label=[own_stop.then(|| self.name())] {
                table data-k=[kind] class=[(!figures.is_empty()).then_some(figures)] {
                    caption { (plain(&self.caption)) }
                    thead {
                        @if self.rows.len() > ON_ONE_SHEET {
                            tr.id { th colspan=(self.columns.len()) scope="colgroup" { (plain(&self.identity)) } }
                        }
                        tr { @for column in self.columns { th scope="col" {
                            (column.head)
                            @if !column.unit.is_empty() { " " span.u { (column.unit) } }
                        } } }
                    }
                    tbody {
                        @for row in &self.rows {
                            tr id=[(!row.id.is_empty()).then_some(&row.id)] {
                                @for (at, cell) in row.cells.iter().take(self.columns.len()).enumerate() {
                                    @let class = cell.class(places.get(at).copied().unwrap_or(0));
                                    @let held = cell.markup(links);
                                    // The first cell of a row is its header without a word, as the only one of its column that is a header.
                                    @if at == 0 { th class=[class] { (held) } } @else { td class=[class] { (held) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn lines(&self, links: &Links<'_>) -> Markup {
        html! {
            div.box.lines tabindex="0" role="group" aria-label=(self.name()) data-k=(self.kind) {
                p.caption { (plain(&self.caption)) }
                @for rows in self.rows.chunks(CHUNK) { pre.chunk { (self.chunk(rows, links)) } }
            }
        }
    }

    /// Lines that are below one head, each column as wide as what they have in it.
    fn chunk(&self, rows: &[Row], links: &Links<'_>) -> Markup {
        let texts: Vec<Vec<String>> = rows.iter().map(|row| row.cells.iter().map(|cell| cell.words(links)).collect()).collect();
        let heads: Vec<String> =
            self.columns.iter().map(|column| [column.head, column.unit].join(" ").trim().to_owned()).collect();
        let widest = |at: usize| {
            let cells = texts.iter().chain([&heads]).filter_map(|row| row.get(at)).map(|text| text.width());
            cells.max().unwrap_or(0).min(40)
        };
        let widths: Vec<usize> = (0..self.columns.len()).map(widest).collect();
        let padded = |at: usize, text: &str| {
            let room = widths.get(at).copied().unwrap_or(0).saturating_sub(text.width());
            let is_figure = self.columns.get(at).is_some_and(|column| column.figures);
            let (before, after) = if is_figure { (room, 0) } else { (0, room) };
            format!("{}{text}{}", " ".repeat(before), " ".repeat(after))
        };
        let line = |texts: &[String]| {
            let cells: Vec<String> = texts.iter().enumerate().map(|(at, text)| padded(at, text)).collect();
            cells.join("  ").trim_end().to_owned()
        };
        html! {
            b { (line(&heads)) "\n" }
            @for (row, texts) in rows.iter().zip(&texts) {
                @let all = line(texts);
                @let name = texts.first().map_or("", String::as_str);
                @let rest = all.strip_prefix(name).unwrap_or("");
                @let href = match row.cells.first() { Some(Cell::Name(name)) => links.href(name), _ => None };
                // A line that is the place of its thing leads nowhere else.
                @let href = href.filter(|href| href.strip_prefix('#') != Some(row.id.as_str()));
                @if row.id.is_empty() && href.is_none() { (plain(name)) } @else {
                    a id=[(!row.id.is_empty()).then_some(&row.id)] href=[href] { (plain(name)) }
                }
                (plain(rest)) "\n"
            }
        }
    }

    /// The caption up to its first comma.
    fn name(&self) -> &str {
        self.caption.split(',').next().unwrap_or(&self.caption)
    }

    /// The most decimals of a column.
    fn decimals(&self, at: usize) -> usize {
        let of = |row: &Row| match row.cells.get(at) {
            Some(Cell::Figure(value)) => three_digits(*value).split_once('.').map_or(0, |(_, fraction)| fraction.len()),
            _ => 0,
        };
        self.rows.iter().map(of).max().unwrap_or(0)
    }
}
