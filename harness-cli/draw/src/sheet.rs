//! A sheet on which is drawn. Lines, symbols and texts have their places; labels get theirs at the end.

use crate::{
    Drawing, Ink, LineKind, Point, Rect, Symbol, ThingId, Turn,
    drawing::{Item, Shape, Thing},
    labels::{self, Label, Rank},
    letters::width_of,
    printable,
};

/// From a drawing to the edge of its sheet.
const MARGIN: f64 = 12.0;

/// Which point of a text its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// Its beginning.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A text and how it is set.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    pub(crate) words: String,
    pub(crate) size: f64,
    pub(crate) is_bold: bool,
    pub(crate) ink: Ink,
}

impl Text {
    /// A name or figure, 2.5 mm high.
    #[must_use]
    pub fn plain(words: impl AsRef<str>) -> Self {
        Self { words: printable(words.as_ref()).into_owned(), size: 14.0, is_bold: false, ink: Ink::Black }
    }

    /// A name that leads.
    #[must_use]
    pub fn bold(words: impl AsRef<str>) -> Self {
        Self { is_bold: true, ..Self::plain(words) }
    }

    /// What is said beside a name, 2.2 mm high: the smallest there is.
    #[must_use]
    pub fn small(words: impl AsRef<str>) -> Self {
        Self { size: 12.0, ..Self::plain(words) }
    }

    /// A title.
    #[must_use]
    pub fn title(words: impl AsRef<str>) -> Self {
        Self { size: 20.0, ..Self::bold(words) }
    }

    /// The same in bold.
    #[must_use]
    pub fn strong(self) -> Self {
        Self { is_bold: true, ..self }
    }

    /// The same in another colour.
    #[must_use]
    pub fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// The same without its middle where it is wider than `most`.
    #[must_use]
    pub fn within(self, most: f64) -> Self {
        Self { words: crate::clipped(&self.words, self.size, self.is_bold, most), ..self }
    }

    /// Its words, as they are seen.
    #[must_use]
    pub fn words(&self) -> &str {
        &self.words
    }

    /// Its width, at least what any usual font takes.
    #[must_use]
    pub fn width(&self) -> f64 {
        width_of(&self.words, self.size, self.is_bold)
    }
}

/// What a label is to be near.
#[derive(Debug, Clone, PartialEq)]
pub enum Near {
    /// A line, along its longest stretches.
    Line(Vec<Point>),
    /// A symbol, above or beside it.
    Symbol(Symbol, Point, Turn),
    /// A point, at its right, left, above or below.
    Point(Point),
}

/// A sheet under construction.
#[derive(Debug, Clone)]
pub struct Sheet {
    name: String,
    title: String,
    about: String,
    things: Vec<Thing>,
    items: Vec<Item>,
    labels: Vec<Label>,
    least: Option<Rect>,
}

impl Sheet {
    /// An empty sheet. `name` begins the ids within it, because one page holds several; `about` says the main thing in words to those who
    /// can't see it.
    #[must_use]
    pub fn new(name: impl Into<String>, title: impl AsRef<str>, about: impl AsRef<str>) -> Self {
        Self {
            name: name.into(),
            title: printable(title.as_ref()).into_owned(),
            about: printable(about.as_ref()).into_owned(),
            things: Vec::new(),
            items: Vec::new(),
            labels: Vec::new(),
            least: None,
        }
    }

    /// Says the main thing anew, where it is known only after drawing.
    pub fn about(&mut self, about: impl AsRef<str>) {
        self.about = printable(about.as_ref()).into_owned();
    }

    /// A thing to which shapes belong: `key` leads to it in a page, `title` is shown where it is pointed at.
    pub fn thing(&mut self, key: impl Into<String>, title: impl AsRef<str>) -> ThingId {
        let id = ThingId(u32::try_from(self.things.len()).unwrap_or(u32::MAX));
        self.things.push(Thing { key: key.into(), title: printable(title.as_ref()).into_owned() });
        id
    }

    /// Makes the sheet at least as large as this.
    pub fn reserve(&mut self, rect: Rect) {
        self.least = Some(self.least.map_or(rect, |least| least.with(rect)));
    }

    /// A line through `points`. Conductors run along the axes.
    pub fn line(&mut self, kind: LineKind, points: &[Point], of: Option<ThingId>) {
        let mut kept: Vec<Point> = Vec::with_capacity(points.len());
        for point in points {
            if kept.last() != Some(point) {
                kept.push(*point);
            }
        }
        if kept.len() > 1 {
            self.put(Shape::Line { kind, points: kept }, of);
        }
    }

    /// The outline of a box.
    pub fn frame(&mut self, kind: LineKind, rect: Rect, of: Option<ThingId>) {
        let Rect { least, most } = rect;
        self.line(kind, &[least, Point::new(most.x, least.y), most, Point::new(least.x, most.y), least], of);
    }

    /// A box filled with a colour.
    pub fn fill(&mut self, ink: Ink, rect: Rect, of: Option<ThingId>) {
        self.put(Shape::Fill { ink, rect }, of);
    }

    /// An area filled with a colour, below all lines.
    pub fn area(&mut self, ink: Ink, points: Vec<Point>, of: Option<ThingId>) {
        if points.len() > 2 {
            self.put(Shape::Area { ink, points }, of);
        }
    }

    /// A filled dot that marks a point of a curve.
    pub fn dot(&mut self, kind: LineKind, at: Point, radius: f64, of: Option<ThingId>) {
        let (x, y) = (crate::svg::num(at.x), crate::svg::num(at.y));
        let r = crate::svg::num(radius);
        let across = crate::svg::num(2.0 * radius);
        let data = format!("M{x},{y}m-{r},0a{r},{r} 0 1 0 {across},0a{r},{r} 0 1 0 -{across},0");
        self.path(kind, data, true, Rect::between(at, at).grown(radius), of);
    }

    /// A symbol with its middle at `at`; what it conducts with is drawn as a line of `of_line`.
    pub fn symbol(&mut self, symbol: Symbol, at: Point, turn: Turn, of_line: LineKind, of: Option<ThingId>) {
        self.put(Shape::Symbol { symbol, at, turn, of: of_line }, of);
    }

    /// A shape as path data, for what is neither a line nor a symbol: a curve, an arrow. `extent` is the box that it fills.
    pub fn path(&mut self, kind: LineKind, data: impl Into<String>, is_filled: bool, extent: Rect, of: Option<ThingId>) {
        self.put(Shape::Path { kind, data: data.into(), is_filled, extent }, of);
    }

    /// The warning sign for electricity (ISO 7010, W012), its upper left corner at `at`; 24 units high. Once on a sheet with class B.
    pub fn warning(&mut self, at: Point) {
        self.put(Shape::Warning { at }, None);
    }

    /// A text in a fixed place; `at` is on its base line.
    pub fn text(&mut self, at: Point, anchor: Anchor, text: Text, of: Option<ThingId>) {
        let Text { words, size, is_bold, ink } = text;
        if !words.is_empty() {
            self.put(Shape::Text { at, anchor, size, is_bold, ink, upright: false, words }, of);
        }
    }

    /// The name of an axis, read from below; `at` is its middle.
    pub fn axis_name(&mut self, at: Point, text: Text) {
        let Text { words, size, is_bold, ink } = text;
        self.put(Shape::Text { at, anchor: Anchor::Middle, size, is_bold, ink, upright: true, words }, None);
    }

    /// A figure whose decimal point is at `at`, so that figures below one another can be compared.
    pub fn figure(&mut self, at: Point, text: Text, of: Option<ThingId>) {
        let behind: String = text.words.find('.').map_or(String::new(), |point| text.words.chars().skip(point).collect());
        // Without the room for other fonts: that would shift the point.
        let shift = width_of(&behind, text.size, text.is_bold) / 1.08;
        self.text(at.by(shift, 0.0), Anchor::End, text, of);
    }

    /// The name of a symbol, placed at the end.
    pub fn name(&mut self, symbol: Symbol, at: Point, turn: Turn, text: Text, of: Option<ThingId>) {
        self.label(Rank::Name, Near::Symbol(symbol, at, turn), vec![text], of);
    }

    /// The name of a symbol with what is said of it below, placed together at the end.
    pub fn names(&mut self, symbol: Symbol, at: Point, turn: Turn, lines: Vec<Text>, of: Option<ThingId>) {
        self.label(Rank::Name, Near::Symbol(symbol, at, turn), lines, of);
    }

    /// The number of a wire, placed at the end.
    pub fn number(&mut self, near: Near, text: Text, of: Option<ThingId>) {
        self.label(Rank::Number, near, vec![text], of);
    }

    /// What is said of something, placed last.
    pub fn value(&mut self, near: Near, text: Text, of: Option<ThingId>) {
        self.label(Rank::Value, near, vec![text], of);
    }

    fn label(&mut self, rank: Rank, near: Near, lines: Vec<Text>, of: Option<ThingId>) {
        let lines: Vec<Text> = lines.into_iter().filter(|line| !line.words.is_empty()).collect();
        if !lines.is_empty() {
            self.labels.push(Label { rank, near, lines, of });
        }
    }

    fn put(&mut self, shape: Shape, of: Option<ThingId>) {
        self.items.push(Item { shape, of });
    }

    /// Places the labels and closes the drawing. A label for which there is no room becomes a number in a ring, or is named without one, and its
    /// text is in a list below the drawing.
    #[must_use]
    pub fn finish(self) -> Drawing {
        let Self { name, title, about, things, mut items, labels, least } = self;
        let refused = labels::place(&mut items, labels);
        let extents = items.iter().filter_map(|item| crate::measure::extent(&item.shape)).chain(least);
        let frame = extents.reduce(|all, one| all.with(one)).unwrap_or(Rect::at(Point::default(), 1.0, 1.0)).grown(MARGIN);
        let Rect { least, most } = frame;
        let whole = Rect { least: Point::new(least.x.floor(), least.y.floor()), most: Point::new(most.x.ceil(), most.y.ceil()) };
        Drawing { name, title, about, things, items, frame: whole, refused }
    }
}
