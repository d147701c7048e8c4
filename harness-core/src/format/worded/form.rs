//! What may be said in words of a wire and of a pin: which facts are known by their form, and which need their key.

use super::{
    super::{
        Attribute,
        devices::Pin,
        looms::Wire,
        reader::Record,
        shape::{FieldShape, RecordShape, Shape},
    },
    pin,
};
use crate::{
    quantity::{self, Ampere, Metre, SquareMillimetre},
    standards::colour::WireColour,
    suggest::nearest,
    vocabulary::{Role, Word},
};

/// How a thing is written as words.
#[derive(Debug)]
pub(crate) struct Form {
    /// Its facts.
    pub(crate) record: &'static RecordShape,
    /// What one is called.
    pub(super) noun: &'static str,
    /// One in words.
    pub(crate) example: &'static str,
    /// How it is written, for the reference.
    pub(crate) doc: &'static str,
    /// What every text of it looks like, for the schema.
    #[cfg_attr(not(feature = "schema"), expect(dead_code, reason = "only the schema asks for it"))]
    pub(crate) pattern: &'static str,
    /// What its first piece says: one key, or two with ` to ` between.
    pub(crate) first: &'static [Attribute],
    /// The keys of pieces that are known by their form.
    pub(crate) bare: &'static [Attribute],
}

/// A wire.
pub(super) static WIRE: Form = Form {
    record: Wire::SHAPE,
    noun: "wire",
    example: "P1.2 to P2.1, 0.75 mm2, RD/BK, 1900 mm, via TRUNK",
    doc: "The two ends come first. Behind them a size, a colour and a length are known by their form; every other fact has its key before it, \
          such as `twist T1` or `core C1.2`, and several segments are `via TRUNK and REAR`. A text with a comma in it needs the map.",
    pattern: "(^| )to ",
    first: &[Attribute::From, Attribute::To],
    bare: &[Attribute::Size, Attribute::Colour, Attribute::Length],
};

/// A pin.
pub(super) static PIN: Form = Form {
    record: Pin::SHAPE,
    noun: "pin",
    example: "coolant pump supply, supply, domain aux",
    doc: "The signal comes first, the role behind it; every other fact has its key before it, such as `network drive-can` or `pull down`. A text \
          with a comma in it needs the map, and so does a pin without a signal.",
    pattern: "^[^,]+(,[^,]+)*$",
    first: &[Attribute::Signal],
    bare: &[Attribute::Role],
};

/// How things of a record may be written as words, if they may.
pub(crate) fn form_of(record: &RecordShape) -> Option<&'static Form> {
    [&WIRE, &PIN].into_iter().find(|form| form.record.name == record.name)
}

impl Form {
    /// Whether a text is one word that whoever reads the design judges: `spare`, and what is near to it.
    pub(super) fn leaves(&self, text: &str) -> bool {
        self.noun == PIN.noun && (text == pin::SPARE || pin::doubt(text).is_some())
    }

    /// The field of a key.
    pub(crate) fn field(&self, word: &str) -> Option<&'static FieldShape> {
        // Keys begin with a small letter; most pieces do not.
        if !word.starts_with(|letter: char| letter.is_ascii_lowercase()) {
            return None;
        }
        self.record.fields.iter().find(|field| field.key.word() == word)
    }

    /// The key of a piece that is known by its form.
    pub(crate) fn bare(&self, text: &str) -> Option<Attribute> {
        let is = |key: &Attribute| match key {
            Attribute::Size => quantity::is_of::<SquareMillimetre>(text),
            Attribute::Length => quantity::is_of::<Metre>(text),
            Attribute::Colour => is_colour(text),
            Attribute::Role => Role::from_word(text).is_some(),
            _ => false,
        };
        self.bare.iter().copied().find(is)
    }

    /// The key of a piece that is probably meant to be one of those: what is wrong with it is said where its value is read.
    pub(super) fn leaning(&self, text: &str) -> Option<Attribute> {
        let lower = text.to_lowercase();
        let is_figure = lower
            .trim_start_matches(|letter: char| !letter.is_alphanumeric())
            .starts_with(|letter: char| letter.is_ascii_digit());
        let key = if self.first == PIN.first {
            nearest(text, Role::WORDS.iter().map(|(word, _)| *word)).map(|_| Attribute::Role)
        } else if is_figure {
            let is_area = ["²", "mm2", "m2", "mm^2", "sq", "awg", "qmm"].iter().any(|unit| lower.contains(unit));
            let has_unit = lower.contains(char::is_alphabetic);
            if is_area { Some(Attribute::Size) } else { has_unit.then_some(Attribute::Length) }
        } else {
            let is_named = text.parse::<WireColour>().is_err_and(|error| error.nearest.is_some());
            (is_named && !text.contains(|letter: char| letter.is_ascii_digit())).then_some(Attribute::Colour)
        };
        key.filter(|key| self.bare.contains(key))
    }

    /// The keys behind which a piece without a key could be written.
    pub(super) fn keys_for(&self, text: &str) -> Vec<Attribute> {
        let takes = |field: &&FieldShape| match (field.shape)() {
            Shape::Word(words) => words.iter().any(|(word, _)| *word == text),
            Shape::Quantity { measures, .. } => {
                measures == <Ampere as quantity::Unit>::MEASURES && quantity::parse::<Ampere>(text).is_ok()
            }
            _ => false,
        };
        self.record.fields.iter().filter(takes).map(|field| field.key).collect()
    }
}

/// Whether a text is a colour. Others are not compared with colours: that is done where something is said of them.
fn is_colour(text: &str) -> bool {
    let may_be = text.len() <= "RD/BK".len() && text.bytes().all(|letter| letter.is_ascii_uppercase() || letter == b'/');
    may_be && text.parse::<WireColour>().is_ok()
}
