//! What a row says of a wire or pin.

use super::Place;
use crate::cell::{self, End, Size, State};

/// A row that is a wire, or says something of one.
#[derive(Debug, Clone, Default)]
pub(crate) struct RowWire {
    pub(crate) number: Option<String>,
    pub(crate) from: Vec<End>,
    pub(crate) to: Vec<End>,
    pub(crate) size: Option<Size>,
    /// The heading and the text of the size, as they are.
    pub(crate) size_cell: (String, String),
    pub(crate) colour: Option<String>,
    pub(crate) length: Option<String>,
    pub(crate) signal: Option<String>,
    pub(crate) twist: Option<String>,
    /// The cable that it is a core of, and which.
    pub(crate) cable: Option<String>,
    pub(crate) core: Option<String>,
    /// The part of the housing where it begins and where it ends.
    pub(crate) housings: [Option<String>; 2],
    pub(crate) state: Option<State>,
    pub(crate) fuse: Option<cell::Element>,
    pub(crate) loom: String,
    pub(crate) notes: Vec<String>,
    pub(crate) unsure: Vec<String>,
    pub(crate) place: Option<Place>,
    /// Cells that nothing reads, by heading.
    pub(crate) unread: Vec<(String, String)>,
}

impl RowWire {
    /// What it says of a wire that is not made.
    pub(crate) fn unmade(&self) -> impl Iterator<Item = (&'static str, String)> {
        let size = self.size.as_ref().map(|size| size.sizes.join(" / "));
        let said = [("size", size), ("colour", self.colour.clone()), ("length", self.length.clone())];
        said.into_iter().filter_map(|(column, text)| Some((column, text?)))
    }

    pub(crate) fn place(&self) -> Place {
        self.place.clone().unwrap_or_else(|| Place::of_row("", 0))
    }
}
