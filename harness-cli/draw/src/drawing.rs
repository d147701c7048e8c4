//! A finished drawing: what is where.

use crate::{Anchor, Ink, LineKind, Point, Rect, Symbol, Turn};

/// What a shape belongs to: a thing of the caller, such as a wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ThingId(pub(crate) u32);

/// A thing that is drawn: its key, by which a page links to it, and what is said of it where it is pointed at.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Thing {
    pub(crate) key: String,
    pub(crate) title: String,
}

/// A shape in its place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    Line { kind: LineKind, points: Vec<Point> },
    Fill { ink: Ink, rect: Rect },
    Area { ink: Ink, points: Vec<Point> },
    Symbol { symbol: Symbol, at: Point, turn: Turn, of: LineKind },
    Text { at: Point, anchor: Anchor, size: f64, is_bold: bool, ink: Ink, upright: bool, words: String },
    Path { kind: LineKind, data: String, is_filled: bool, extent: Rect },
    Warning { at: Point },
    Cover { rect: Rect },
}

/// A shape and what it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Item {
    pub(crate) shape: Shape,
    pub(crate) of: Option<ThingId>,
}

/// A drawing: to be written as SVG, and measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) about: String,
    pub(crate) things: Vec<Thing>,
    pub(crate) items: Vec<Item>,
    pub(crate) frame: Rect,
    pub(crate) refused: Vec<String>,
}

/// Where the things of a drawing lead to.
pub enum Links<'a> {
    /// Nowhere: a picture by itself.
    None,
    /// To the address of each by its key, if it has one: a picture in a page. The names of those that are marked have a double frame.
    By(&'a Address<'a>, Option<&'a Marks<'a>>),
    /// Nowhere, and nothing says its name where it is pointed at: a picture in a page beside a table that says all.
    Quiet,
}

/// The address of a thing by its key, which is `#` and an id for a place of the same page.
type Address<'a> = dyn Fn(&str) -> Option<String> + 'a;

/// Whether a thing is marked, by its key.
type Marks<'a> = dyn Fn(&str) -> bool + 'a;

impl<'a> Links<'a> {
    /// Nothing is linked.
    #[must_use]
    pub const fn none() -> Self {
        Self::None
    }

    /// Linked by `address`.
    #[must_use]
    pub const fn by(address: &'a Address<'a>) -> Self {
        Self::By(address, None)
    }

    /// The same with some marked.
    #[must_use]
    pub const fn marking(address: &'a Address<'a>, marks: &'a Marks<'a>) -> Self {
        Self::By(address, Some(marks))
    }

    pub(crate) fn is_marked(&self, key: &str) -> bool {
        match self {
            Self::By(_, Some(marks)) => marks(key),
            Self::By(_, None) | Self::None | Self::Quiet => false,
        }
    }

    pub(crate) fn address(&self, key: &str) -> Option<String> {
        match self {
            Self::By(address, _) => address(key),
            Self::None | Self::Quiet => None,
        }
    }
}

impl Drawing {
    /// Its title.
    #[must_use]
    pub fn title(&self) -> &str {
        &self.title
    }

    /// What it shows, in words.
    #[must_use]
    pub fn about(&self) -> &str {
        &self.about
    }

    /// Its width and height in units.
    #[must_use]
    pub fn size(&self) -> (f64, f64) {
        (self.frame.width(), self.frame.height())
    }

    /// The keys of all things in it, in the order in which they were named.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.things.iter().map(|thing| thing.key.as_str())
    }

    /// The keys of those things of which something is drawn.
    pub fn drawn(&self) -> impl Iterator<Item = &str> {
        let mut is_drawn = vec![false; self.things.len()];
        for of in self.items.iter().filter_map(|item| item.of) {
            is_drawn.get_mut(of.0 as usize).into_iter().for_each(|is_drawn| *is_drawn = true);
        }
        self.things.iter().zip(is_drawn).filter(|(_, is_drawn)| *is_drawn).map(|(thing, _)| thing.key.as_str())
    }

    /// All its texts, in the order drawn.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.items.iter().filter_map(|item| match &item.shape {
            Shape::Text { words, .. } => Some(words.as_str()),
            _ => None,
        })
    }

    /// The labels that found no room beside what they name: they are in a list below, by number.
    #[must_use]
    pub fn refused(&self) -> &[String] {
        &self.refused
    }
}
