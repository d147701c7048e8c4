//! The shape of the format as data: what the JSON Schema, the format reference and the hints are made from.

use super::{Attribute, Class};

/// What may be written at one place of a netlist.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// Any text, kept as written.
    Text,
    /// `yes` or `no`, `true` or `false`.
    Flag,
    /// A whole number from the first to the second figure.
    Whole(u32, u32),
    /// A quantity with its unit.
    Quantity {
        /// What it measures.
        measures: &'static str,
        /// The unit spellings that are accepted.
        units: fn() -> Vec<&'static str>,
    },
    /// Two quantities joined by ` .. `, the smaller first.
    Range {
        /// What they measure.
        measures: &'static str,
        /// The unit spellings that are accepted.
        units: fn() -> Vec<&'static str>,
    },
    /// A quantity, with the time for which it holds behind `for`.
    Lasting {
        /// What it measures.
        measures: &'static str,
        /// The unit spellings that are accepted.
        units: fn() -> Vec<&'static str>,
    },
    /// A rated quantity: one figure, or two with a stroke between, and the kind of voltage behind it.
    Rating {
        /// What it measures.
        measures: &'static str,
        /// The unit spellings that are accepted.
        units: fn() -> Vec<&'static str>,
    },
    /// One of a few words, each with what it means.
    Word(&'static [(&'static str, &'static str)]),
    /// A colour in IEC 60757 letters.
    Colour,
    /// A date, year-month-day.
    Date,
    /// A list of things of one shape.
    List(fn() -> Shape),
    /// A map from names to things of one shape.
    Map(fn() -> Shape),
    /// A map with fixed keys.
    Record(&'static RecordShape),
    /// One of several records, distinguished by the first key of each.
    Variants(&'static VariantsShape),
    /// Either of several shapes.
    Either(&'static [fn() -> Shape]),
}

/// A map with fixed keys.
#[derive(Debug)]
pub struct RecordShape {
    /// Its name in the schema.
    pub name: &'static str,
    /// What it is.
    pub doc: &'static str,
    /// Its keys in the order of the reference.
    pub fields: &'static [FieldShape],
    /// Whether it has a key that nothing reads.
    pub has_unread: bool,
}

/// One key of a record.
#[derive(Debug)]
pub struct FieldShape {
    /// Its key.
    pub key: Attribute,
    /// What it means for a comparison and at the bench.
    pub class: Class,
    /// What it says.
    pub doc: &'static str,
    /// Whether a record without it is a mistake.
    pub required: bool,
    /// The key that takes the place of a required one: what it names gives the fact too.
    pub unless: Option<Attribute>,
    /// What a quantity behind it must keep to, beyond what its unit asks for.
    pub limit: Option<Limit>,
    /// Whether a rule, a figure or a paper reads it; what does not is counted, and the report says so.
    pub is_read: bool,
    /// What may be written behind it.
    pub shape: fn() -> Shape,
}

/// What a quantity must keep to, beyond what its unit asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// More than zero: a fuse rated for nothing is none.
    AboveZero,
    /// More than zero and at most the whole.
    Share,
}

/// One of several records.
#[derive(Debug)]
pub struct VariantsShape {
    /// Its name in the schema.
    pub name: &'static str,
    /// What it is.
    pub doc: &'static str,
    /// The variants, each by the key that names it.
    pub variants: &'static [(&'static str, &'static RecordShape)],
}
