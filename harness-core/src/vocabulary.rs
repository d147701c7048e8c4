//! Words that the netlist and the resolved design share: what a pin does, what a load is, how a relay's contact rests.
//!
//! Owns the words as written and what each means. Is below both `format`, which reads them, and `model`, which keeps them, so
//! that rules and figures ask for a role without knowing how a netlist is written.

mod words;

pub use words::*;

use crate::quantity::{Ampere, Second, Watt};

/// A word of the format; made by the macro `words!`.
pub trait Word: Sized {
    /// The words with what they mean.
    const WORDS: &'static [(&'static str, &'static str)];
    /// The word written `word`.
    fn from_word(word: &str) -> Option<Self>;
    /// The word as it is written.
    fn written(self) -> &'static str;
}

/// The names that the template of a label may have in braces.
pub const LABEL_NAMES: [&str; 9] = ["design", "revision", "loom", "wire", "size", "colour", "signal", "here", "there"];

/// The pieces of a template: text as it is, and names that were in braces. A brace that is not closed is text.
#[must_use]
pub fn template(line: &str) -> Vec<(bool, &str)> {
    let mut pieces = Vec::new();
    let mut rest = line;
    while let Some((before, after)) = rest.split_once('{') {
        let Some((name, behind)) = after.split_once('}') else { break };
        pieces.push((false, before));
        pieces.push((true, name));
        rest = behind;
    }
    pieces.push((false, rest));
    pieces
}

impl Role {
    /// Takes a current back to its source: every kind of return.
    #[must_use]
    pub const fn takes_back(self) -> bool {
        match self {
            Self::Return | Self::Chassis | Self::Earth | Self::Neutral | Self::SensorReturn => true,
            Self::Supply | Self::Line | Self::Reference | Self::Phase | Self::Input | Self::Output | Self::Bidirectional => false,
            Self::CanHigh | Self::CanLow | Self::Lin | Self::Screen | Self::Interlock | Self::Pilot | Self::Proximity => false,
        }
    }

    /// Gives or passes on a supply: direct, alternating or that of a sensor. The phase of a motor is none: what drives it is an
    /// output.
    #[must_use]
    pub const fn gives_supply(self) -> bool {
        match self {
            Self::Supply | Self::Line | Self::Reference => true,
            Self::Return | Self::Chassis | Self::Earth | Self::Neutral | Self::SensorReturn | Self::Phase | Self::Input => false,
            Self::Output | Self::Bidirectional | Self::CanHigh | Self::CanLow | Self::Lin | Self::Screen => false,
            Self::Interlock | Self::Pilot | Self::Proximity => false,
        }
    }
}

impl LoadKind {
    /// Works whenever it has its voltage; electronics and sensors decide for themselves.
    #[must_use]
    pub const fn works_when_fed(self) -> bool {
        match self {
            Self::Lamp | Self::Motor | Self::Starter | Self::Heater | Self::Coil => true,
            Self::Electronics | Self::Sensor => false,
        }
    }
}

/// What a load asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Demand {
    /// Constant current.
    Current(Ampere),
    /// Constant power.
    Power(Watt),
}

impl Side {
    /// The places that it names: left or right, and front or rear; `None` where it says nothing of the pair.
    #[must_use]
    pub const fn places(self) -> [Option<Place>; 2] {
        let hand = match self {
            Self::Left | Self::FrontLeft | Self::RearLeft => Some(Place::Left),
            Self::Right | Self::FrontRight | Self::RearRight => Some(Place::Right),
            Self::Front | Self::Rear => None,
        };
        let axle = match self {
            Self::Front | Self::FrontLeft | Self::FrontRight => Some(Place::Front),
            Self::Rear | Self::RearLeft | Self::RearRight => Some(Place::Rear),
            Self::Left | Self::Right => None,
        };
        [hand, axle]
    }
}

/// One of a pair of places on a vehicle that are taken for each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Place {
    /// On the left.
    Left,
    /// On the right.
    Right,
    /// At the front.
    Front,
    /// At the rear.
    Rear,
}

impl Place {
    /// The pairs: one and its opposite.
    pub const PAIRS: [[Self; 2]; 2] = [[Self::Left, Self::Right], [Self::Front, Self::Rear]];

    /// What people call it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Front => "front",
            Self::Rear => "rear",
        }
    }

    /// Where that is.
    #[must_use]
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Left => "on the left",
            Self::Right => "on the right",
            Self::Front => "at the front",
            Self::Rear => "at the rear",
        }
    }

    /// The place that a word names.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        match word {
            "left" | "lh" | "lhs" => Some(Self::Left),
            "right" | "rh" | "rhs" | "starboard" => Some(Self::Right),
            "front" | "bow" => Some(Self::Front),
            "rear" | "aft" | "stern" => Some(Self::Rear),
            _ => None,
        }
    }
}

impl Strand {
    /// The class of IEC 60228.
    #[must_use]
    pub const fn class(self) -> u8 {
        match self {
            Self::Solid => 1,
            Self::Stranded => 2,
            Self::Fine => 5,
            Self::ExtraFine => 6,
        }
    }
}

/// A short-time current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// The current.
    pub current: Ampere,
    /// How long it flows; `None` where nothing is said.
    pub lasts: Option<Second>,
}

impl Peak {
    /// `40 A for 200 ms`, or `40 A for a short time`.
    #[must_use]
    pub fn in_words(self) -> String {
        match self.lasts {
            Some(time) => format!("{} for {time}", self.current),
            None => format!("{} for a short time", self.current),
        }
    }
}
