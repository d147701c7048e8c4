//! The row of a list that a thing was made from: read, judged, and kept by nobody. Whoever shows a place looks it up (`origin`).

use super::{
    Attribute,
    content::Content,
    reader::{Field, Reader},
    rules,
    shape::Shape,
};
use crate::text::{Names, NodeId};

/// The last row that a list may have.
const LAST: u32 = 9_999_999;

/// A row of the list that the file's `from` names. It takes no room in a design and is not a fact of it.
#[derive(Debug, Default, Clone, Copy)]
pub struct Row;

/// The number of a row as it is written.
pub(super) fn number(text: &str) -> Option<u32> {
    text.parse().ok().filter(|row| (1..=LAST).contains(row))
}

impl Field for Row {
    fn read(_: &mut Self, reader: &mut Reader<'_>, node: NodeId) {
        let Some((_, text)) = reader.scalar(node, || "the number of a row") else { return };
        if number(text).is_none() {
            reader.unexpected(node, "the number of a row, from 1");
            return;
        }
        let span = reader.tree.span(node);
        // A file without `from` lacks it once, however many rows it gives.
        if !reader.has_list(span.file) && reader.without_list.insert(span.file) {
            reader.findings.push(
                rules::MISSING_KEY
                    .finding(span, format!("a row is given, and the key `{}` is missing in its file", Attribute::From))
                    .label("row of which list?")
                    .help(format!("add `{}: LIST` at the top of the file, with the name of the list that was turned into it, or take the rows out", Attribute::From)),
            );
        }
    }

    fn shape() -> Shape {
        Shape::Whole(1, LAST)
    }

    fn tell(&self, _: &Names) -> Option<Content> {
        None
    }
}
