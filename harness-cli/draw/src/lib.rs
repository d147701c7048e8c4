//! Engineering drawings: plain lines, the symbols of IEC 60617, texts that never cover anything, the same bytes each time.
//!
//! A [`Sheet`] takes what is to be drawn: lines of a kind, symbols, texts in fixed places, and labels whose place is found when all else is known.
//! [`Sheet::finish`] places the labels and gives a [`Drawing`], which writes itself as SVG and measures itself: what crosses, what covers
//! what, what is outside. What a thing is called is a text of the caller; the library knows neither designs nor files.
//!
//! One unit is a quarter of a millimetre on paper and about a pixel on a screen. x grows to the right and y downward.
//!
//! ```
//! use harness_draw::{LineKind, Links, Point, Sheet, Symbol, Text, Turn};
//!
//! let mut sheet = Sheet::new("tree", "Power tree", "One fuse feeds one lamp.");
//! let fuse = sheet.thing("fuse-box.F1", "fuse fuse-box.F1, 10 A");
//! sheet.line(LineKind::ClassA, &[Point::new(0.0, 0.0), Point::new(35.0, 0.0)], None);
//! sheet.symbol(Symbol::Fuse, Point::new(50.0, 0.0), Turn::None, LineKind::ClassA, Some(fuse));
//! sheet.name(Symbol::Fuse, Point::new(50.0, 0.0), Turn::None, Text::bold("F1"), Some(fuse));
//! let drawing = sheet.finish();
//! assert!(drawing.measured().is_clean());
//! assert!(drawing.svg(&Links::none()).contains("<title>fuse fuse-box.F1, 10 A</title>"));
//! ```

pub mod axes;
mod drawing;
mod geometry;
mod ink;
mod labels;
pub mod layers;
mod letters;
mod line;
mod measure;
#[cfg(feature = "png")]
mod png;
mod printable;
mod sheet;
mod squares;
mod svg;
mod symbol;
mod tiles;

pub use drawing::{Drawing, Links, ThingId};
pub use geometry::{Point, Rect, Turn};
pub use ink::{Ink, contrast};
pub use letters::{broken, clipped, width_of};
pub use line::LineKind;
pub use measure::Measured;
#[cfg(feature = "png")]
pub use png::Png;
pub use printable::{commandless, each, escaped, printable};
pub use sheet::{Anchor, Near, Sheet, Text};
pub use symbol::{Current, Symbol};
