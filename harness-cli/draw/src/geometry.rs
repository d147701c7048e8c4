//! Points, boxes and turns, in units of a quarter of a millimetre.

/// A place on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downward.
    pub y: f64,
}

impl Point {
    /// A place.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The place that is so far to the right and down of this one.
    #[must_use]
    pub fn by(self, right: f64, down: f64) -> Self {
        Self::new(self.x + right, self.y + down)
    }
}

/// By how much a symbol is turned, clockwise. Unturned, the current enters a symbol at the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Turn {
    /// Not turned.
    #[default]
    None,
    /// A quarter: what was left is up.
    Quarter,
    /// Half: what was left is right.
    Half,
    /// Three quarters: what was left is down.
    Back,
}

impl Turn {
    /// The angle in degrees.
    #[must_use]
    pub const fn degrees(self) -> u16 {
        match self {
            Self::None => 0,
            Self::Quarter => 90,
            Self::Half => 180,
            Self::Back => 270,
        }
    }

    /// Where a place of an unturned symbol at the origin is after the turn.
    #[must_use]
    pub fn of(self, point: Point) -> Point {
        let Point { x, y } = point;
        match self {
            Self::None => point,
            Self::Quarter => Point::new(-y, x),
            Self::Half => Point::new(-x, -y),
            Self::Back => Point::new(y, -x),
        }
    }

    /// Whether the leads of a symbol are above and below it.
    #[must_use]
    pub const fn is_upright(self) -> bool {
        matches!(self, Self::Quarter | Self::Back)
    }
}

/// A box with its sides along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// The corner at the upper left.
    pub least: Point,
    /// The corner at the lower right.
    pub most: Point,
}

impl Rect {
    /// The box between two corners, whichever they are.
    #[must_use]
    pub fn between(a: Point, b: Point) -> Self {
        Self { least: Point::new(a.x.min(b.x), a.y.min(b.y)), most: Point::new(a.x.max(b.x), a.y.max(b.y)) }
    }

    /// The box from its upper left corner.
    #[must_use]
    pub fn at(corner: Point, width: f64, height: f64) -> Self {
        Self::between(corner, corner.by(width, height))
    }

    /// Its width.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.most.x - self.least.x
    }

    /// Its height.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.most.y - self.least.y
    }

    /// The box that is so much larger at each side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self { least: self.least.by(-by, -by), most: self.most.by(by, by) }
    }

    /// The smallest box round both.
    #[must_use]
    pub fn with(&self, other: Self) -> Self {
        Self {
            least: Point::new(self.least.x.min(other.least.x), self.least.y.min(other.least.y)),
            most: Point::new(self.most.x.max(other.most.x), self.most.y.max(other.most.y)),
        }
    }

    /// Whether the boxes share more than an edge.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        const SHARED: f64 = 1e-6;
        self.least.x + SHARED < other.most.x
            && other.least.x + SHARED < self.most.x
            && self.least.y + SHARED < other.most.y
            && other.least.y + SHARED < self.most.y
    }

    /// Whether the whole of `other` is inside.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.least.x <= other.least.x
            && self.least.y <= other.least.y
            && self.most.x >= other.most.x
            && self.most.y >= other.most.y
    }

    /// Whether the segment from `a` to `b` runs through the inside: the interval of the segment that is within both pairs of sides is not empty.
    #[must_use]
    pub fn is_cut_by(&self, a: Point, b: Point) -> bool {
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (from, to, low, high) in [(a.x, b.x, self.least.x, self.most.x), (a.y, b.y, self.least.y, self.most.y)] {
            let along = to - from;
            if along.abs() < 1e-9 {
                if from <= low || from >= high {
                    return false;
                }
                continue;
            }
            let (first, second) = ((low - from) / along, (high - from) / along);
            enters = enters.max(first.min(second));
            leaves = leaves.min(first.max(second));
        }
        enters + 1e-9 < leaves
    }
}
