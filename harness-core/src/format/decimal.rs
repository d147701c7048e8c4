//! A comma in a number: in a map it ends the value, and what is behind it looks like a key.

use super::{
    reader::{Reader, clip},
    rules,
};
use crate::{
    finding::{Remedy, RemedyKind},
    text::{Kind, NodeId, Span},
};

impl Reader<'_> {
    /// Whether a key is what a comma has cut off a number: `1,5 mm2` in a map is `1` and a key `5 mm2`.
    pub(super) fn decimals(&self, value: NodeId, next: NodeId, rest: NodeId) -> Option<NodeId> {
        let (Kind::Scalar { text: whole, .. }, Kind::Scalar { text: word, .. }) = (self.tree.kind(value), self.tree.kind(next))
        else {
            return None;
        };
        let (whole, word) = (self.names.text(whole), self.names.text(word));
        let is_number = !whole.is_empty() && whole.bytes().all(|letter| letter.is_ascii_digit());
        let decimals = word.bytes().take_while(u8::is_ascii_digit).count();
        let (before, after) = (self.tree.span(value), self.tree.span(next));
        let is_cut = before.file == after.file && before.end.saturating_add(1) == after.start;
        let is_empty = matches!(self.tree.kind(rest), Kind::Missing);
        (is_number && decimals > 0 && decimals < word.len() && is_cut && is_empty).then_some(next)
    }

    /// A comma in a number in a map.
    pub(super) fn decimal_comma(&mut self, value: NodeId, rest: NodeId) {
        let (Kind::Scalar { text: whole, .. }, Kind::Scalar { text: word, .. }) = (self.tree.kind(value), self.tree.kind(rest))
        else {
            return;
        };
        let (whole, word) = (self.names.text(whole).to_owned(), self.names.text(word).to_owned());
        let (before, after) = (self.tree.span(value), self.tree.span(rest));
        let span = Span::new(before.file, before.start, after.end);
        let meant = format!("{whole}.{}", clip(&word));
        self.findings.push(
            rules::QUANTITY
                .finding(span, format!("`{whole},{}` has a comma in its number", clip(&word)))
                .label("a comma ends the value here")
                .help(format!("write `{meant}`: a point separates the decimals and nothing separates thousands"))
                .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{meant}`")).edit(span, meant.as_str())),
        );
    }
}
