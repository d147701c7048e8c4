//! How much one design may hold: every figure that keeps a small file from filling the memory of a machine.
//!
//! What goes with the size of the text needs no limit of its own; what a few bytes multiply does: a housing of 9,999 positions, a
//! device kind with a thousand elements used a thousand times. Each limit is well above the largest design that anybody
//! builds in one piece, and well below what a small machine holds. Beyond one the rest is left out, which `format/limit` reports.

use super::rules;
use crate::{
    finding::Finding,
    text::{self, Span},
};

/// Most of something that one design, file or value may have.
#[derive(Debug, PartialEq, Eq)]
pub struct Limit {
    /// What is counted, in the plural.
    pub what: &'static str,
    /// The largest number that is read.
    pub most: usize,
    /// What to do about one that is larger.
    pub remedy: &'static str,
}

impl Limit {
    /// The finding that something goes beyond the limit; `headline` says what and by how much.
    #[must_use]
    pub fn exceeded(&self, at: Span, headline: String) -> Finding {
        rules::LIMIT.finding(at, headline).label(format!("more than {} {}", grouped(self.most), self.what)).help(self.remedy)
    }
}

/// A number with a comma between its thousands.
#[must_use]
pub fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

macro_rules! limits {
    ($($(#[doc = $doc:literal])+ $id:ident = $most:expr, $what:literal, $remedy:literal;)+) => {
        $($(#[doc = $doc])+ pub static $id: Limit = Limit { what: $what, most: $most, remedy: $remedy };)+

        /// All limits, from the file inwards.
        pub static ALL: &[&Limit] = &[$(&$id),+];
    };
}

limits! {
    /// Size of one file. Offsets are 32 bits wide, and a netlist of 100,000 wires takes a sixth of it.
    FILE_BYTES = text::MAX_BYTES, "bytes in one file", "split it with `include`";
    /// Files of one design.
    FILES = 10_000, "files in one design", "join files, or split the design";
    /// Size of all files of a design together.
    DESIGN_BYTES = 4 * text::MAX_BYTES, "bytes in all files of a design", "split the design";
    /// Letters of a name. Every message repeats it.
    NAME = 200, "letters in a name", "give it a shorter name, and write what it is into `note`";
    /// Letters of any other text.
    TEXT = 4_000, "letters in a text", "shorten it, or keep it in a document of its own";
    /// Modes of a design. A set of them is one machine word.
    MODES = 64, "modes in one design", "join modes that are electrically the same";
    /// The figure of `positions`, `rings`, `max-wires` and other counts.
    COUNT = 10_000, "as a count", "write the count that the thing has";
    /// Positions of all housing kinds together.
    POSITIONS = 1_000_000, "positions in all housing kinds", "take out the housings that nothing uses, or correct their `positions`";
    /// Ports, pins, cavities, rings, splices and nodes of a design. A device kind gives its own to every device of the kind.
    POINTS = 500_000, "ports, pins and cavities in one design", "correct `positions` of the largest housings, or split the design";
    /// Elements of a design. A device kind gives its own to every device of the kind.
    ELEMENTS = 200_000, "elements in one design", "take elements out of the device kinds that are used most, or split the design";
    /// Values that things have from others which they are `like`.
    TAKEN = 1_000_000, "values taken over by `like`", "make the largest of these things a device kind, or split the design";
    /// Open questions (`unsure`) of a design.
    UNSURE = 10_000, "entries of `unsure` in one design", "settle some, or keep them at the device kind";
    /// Findings of one rule. Whoever has that many has one cause, or has to begin somewhere.
    FINDINGS = 10_000, "findings of one rule", "correct what was found so far and check again";
}

#[cfg(test)]
mod tests {
    use super::{ALL, grouped};
    use crate::format::rules;

    #[test]
    fn the_page_of_the_rule_names_every_limit() {
        for limit in ALL {
            let most = grouped(limit.most);
            let row = format!("- {most} {}\n", limit.what);
            assert!(rules::LIMIT.docs.contains(&row), "the page of `format/limit` lacks `{row}`");
        }
    }

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!([0, 64, 999, 1_000, 67_108_864].map(grouped), ["0", "64", "999", "1,000", "67,108,864"]);
    }
}
