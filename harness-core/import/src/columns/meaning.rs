//! What a column may mean, and the word for it in the mapping.

use crate::cell::{LengthUnit, SizeUnit};
use std::fmt;

/// What a column means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Meaning {
    /// The number or name of a wire.
    Number,
    /// Where a wire begins: the whole end, or the plug alone.
    From,
    /// The cavity where it begins.
    FromPin,
    /// Where it ends.
    To,
    /// The cavity where it ends.
    ToPin,
    /// Its size; what a bare number is in.
    Size(Option<SizeUnit>),
    /// Its colour.
    Colour,
    /// The colour of its stripe, in a column of its own.
    Stripe,
    /// Its length; what a bare number is in.
    Length(Option<LengthUnit>),
    /// The signal, or what the wire is for.
    Signal,
    /// Spare, plugged, capped, reserved, retired.
    State,
    /// A fuse: in line with the wire, or the fuse of the row.
    Fuse,
    /// The rating of a fuse.
    Rating,
    /// The wire that a fuse protects.
    Protects,
    /// The loom.
    Loom,
    /// The plug of a row of pins or of housings.
    Plug,
    /// The cavity of a row of pins.
    Pin,
    /// The part of a housing.
    Housing,
    /// The key or coding of a housing.
    Key,
    /// Where a screen is grounded.
    Grounded,
    /// The group of wires that it is twisted with.
    Twist,
    /// The cable that it is a core of.
    Cable,
    /// The core of that cable, or cable and core as `W1.2`.
    Core,
    /// The part of the housing where it begins.
    FromHousing,
    /// The part of the housing where it ends.
    ToHousing,
    /// Whether it is screened, or what its screen is.
    Screen,
    /// The kind of its conductor.
    WireKind,
    /// The terminal kind of a cavity or of a plug.
    Terminal,
    /// What a plug mates, a ring is bolted to or a bare end lands on.
    Mates,
    /// The position of the mate that a cavity meets, where the two halves number differently.
    Meets,
    /// The device of a row of pins.
    Device,
    /// The kind of device that its pins are of.
    DeviceKind,
    /// The port of a device.
    Port,
    /// What something is: `splice`, `fuse`, `stud` …
    What,
    /// What more is said of that: a kind of part, a value.
    Value,
    /// Worked out by an export from other cells: read by nothing.
    WorkedOut,
    /// What is unsure, several behind semicolons.
    Unsure,
    /// A note that goes with the thing.
    Note,
    /// Read by nothing; it comes along in a file of its own.
    Unread,
    /// Two columns may mean the same: somebody must say which.
    Asked,
}

/// The words of the mapping, in the order in which they are listed.
const WORDS: [(Meaning, &str); 40] = [
    (Meaning::Number, "number"),
    (Meaning::From, "from"),
    (Meaning::FromPin, "from pin"),
    (Meaning::To, "to"),
    (Meaning::ToPin, "to pin"),
    (Meaning::Size(None), "size"),
    (Meaning::Colour, "colour"),
    (Meaning::Stripe, "stripe"),
    (Meaning::Length(None), "length"),
    (Meaning::Signal, "signal"),
    (Meaning::State, "state"),
    (Meaning::Fuse, "fuse"),
    (Meaning::Rating, "rating"),
    (Meaning::Protects, "protects"),
    (Meaning::Loom, "loom"),
    (Meaning::Plug, "plug"),
    (Meaning::Pin, "pin"),
    (Meaning::Housing, "housing"),
    (Meaning::Key, "key"),
    (Meaning::Grounded, "screen grounded at"),
    (Meaning::Twist, "twist"),
    (Meaning::Cable, "cable"),
    (Meaning::Core, "core"),
    (Meaning::FromHousing, "from housing"),
    (Meaning::ToHousing, "to housing"),
    (Meaning::Screen, "screen"),
    (Meaning::WireKind, "wire kind"),
    (Meaning::Terminal, "terminal"),
    (Meaning::Mates, "mates"),
    (Meaning::Meets, "meets"),
    (Meaning::Device, "device"),
    (Meaning::DeviceKind, "device kind"),
    (Meaning::Port, "port"),
    (Meaning::What, "what it is"),
    (Meaning::Value, "part or value"),
    (Meaning::WorkedOut, "worked out"),
    (Meaning::Unsure, "unsure"),
    (Meaning::Note, "note"),
    (Meaning::Unread, "unread"),
    (Meaning::Asked, "to be decided"),
];

impl Meaning {
    /// Reads a word of the mapping: `size in AWG`.
    ///
    /// # Errors
    /// What may be written.
    pub fn of(word: &str) -> Result<Self, String> {
        let word = word.trim();
        let (plain, unit) = word.split_once(" in ").map_or((word, None), |(plain, unit)| (plain, Some(unit.trim())));
        let known = WORDS.iter().find(|(_, known)| *known == plain).map(|(meaning, _)| *meaning);
        match (known, unit) {
            (Some(meaning), None) => Ok(meaning),
            (Some(Self::Size(_)), Some(unit)) => match SizeUnit::named_in(unit) {
                Some(unit) => Ok(Self::Size(Some(unit))),
                None => Err(format!("`{unit}` is not a unit of size; write `size in AWG` or `size in mm2`")),
            },
            (Some(Self::Length(_)), Some(unit)) => match LengthUnit::of(unit) {
                Some(unit) => Ok(Self::Length(Some(unit))),
                None => Err(format!("`{unit}` is not a unit of length; write `length in mm`, `cm`, `m`, `in` or `ft`")),
            },
            _ => {
                let words: Vec<&str> = WORDS.iter().map(|(_, word)| *word).collect();
                Err(format!("`{word}` is not a meaning of a column; write one of {}", words.join(", ")))
            }
        }
    }

    /// The same whatever its unit.
    #[must_use]
    pub fn is_like(self, other: Self) -> bool {
        std::mem::discriminant(&self) == std::mem::discriminant(&other)
    }
}

impl fmt::Display for Meaning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Size(Some(unit)) => write!(f, "size in {}", unit.word()),
            Self::Length(Some(unit)) => write!(f, "length in {}", unit.word()),
            plain => f.write_str(WORDS.iter().find(|(known, _)| known == plain).map_or("", |(_, word)| *word)),
        }
    }
}

/// What a tab lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Wires, one a row.
    Wires,
    /// Pins of a plug, one a row.
    Pins,
    /// Fuses.
    Fuses,
    /// The housings of ends.
    Housings,
    /// Screens and where they are grounded.
    Screens,
    /// Numbers that must not be used again.
    Retired,
    /// The wires of a loom as `harness export` lists them.
    ExportedWires,
    /// The looms themselves as it lists them.
    ExportedLooms,
    /// The ends of looms as it lists them.
    ExportedEnds,
    /// The contacts of ends as it lists them.
    ExportedContacts,
    /// The pins of devices as it lists them.
    ExportedPins,
    /// Splices, what is in line and cables as it lists them.
    ExportedJoints,
    /// Fuses as it lists them.
    ExportedFuses,
    /// Cells that an earlier import did not read as it lists them.
    ExportedRest,
    /// Nothing that is read.
    Skip,
}

impl Kind {
    /// Every kind with its word.
    pub const WORDS: [(Self, &'static str); 15] = [
        (Self::Wires, "wires"),
        (Self::Pins, "pins"),
        (Self::Fuses, "fuses"),
        (Self::Housings, "housings"),
        (Self::Screens, "screens"),
        (Self::Retired, "retired"),
        (Self::ExportedWires, "exported wires"),
        (Self::ExportedLooms, "exported looms"),
        (Self::ExportedEnds, "exported ends"),
        (Self::ExportedContacts, "exported contacts"),
        (Self::ExportedPins, "exported pins"),
        (Self::ExportedJoints, "exported joints"),
        (Self::ExportedFuses, "exported fuses"),
        (Self::ExportedRest, "exported rest"),
        (Self::Skip, "skip"),
    ];

    /// The word of the mapping.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| *word)
    }

    /// Whether `harness export` lists it.
    #[must_use]
    pub fn is_exported(self) -> bool {
        self.word().starts_with("exported ")
    }

    /// Reads the word of the mapping.
    ///
    /// # Errors
    /// What may be written.
    pub fn of(word: &str) -> Result<Self, String> {
        let words: Vec<&str> = Self::WORDS.iter().map(|(_, word)| *word).collect();
        let found = Self::WORDS.iter().find(|(_, known)| *known == word.trim()).map(|(kind, _)| *kind);
        found.ok_or_else(|| format!("`{word}` is not a kind of list; write one of {}", words.join(", ")))
    }
}
