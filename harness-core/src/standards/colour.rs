//! Wire colours by the letters of IEC 60757.

use super::source::Source;
use std::{fmt, str::FromStr};

/// Where the letters were read.
pub static LETTERS: Source = Source::seen("IEC 60757", "page on the national copy of the standard");

/// A colour of IEC 60757.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Colour {
    /// `BK`.
    Black,
    /// `BN`.
    Brown,
    /// `RD`.
    Red,
    /// `OG`.
    Orange,
    /// `YE`.
    Yellow,
    /// `GN`.
    Green,
    /// `BU`.
    Blue,
    /// `VT`.
    Violet,
    /// `GY`.
    Grey,
    /// `WH`.
    White,
    /// `PK`.
    Pink,
    /// `GD`.
    Gold,
    /// `TQ`.
    Turquoise,
    /// `SR`.
    Silver,
}

impl Colour {
    /// Every colour, in the order of the standard.
    pub const ALL: [Self; 14] = [
        Self::Black,
        Self::Brown,
        Self::Red,
        Self::Orange,
        Self::Yellow,
        Self::Green,
        Self::Blue,
        Self::Violet,
        Self::Grey,
        Self::White,
        Self::Pink,
        Self::Gold,
        Self::Turquoise,
        Self::Silver,
    ];

    /// The two letters.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Black => "BK",
            Self::Brown => "BN",
            Self::Red => "RD",
            Self::Orange => "OG",
            Self::Yellow => "YE",
            Self::Green => "GN",
            Self::Blue => "BU",
            Self::Violet => "VT",
            Self::Grey => "GY",
            Self::White => "WH",
            Self::Pink => "PK",
            Self::Gold => "GD",
            Self::Turquoise => "TQ",
            Self::Silver => "SR",
        }
    }

    /// The English name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Black => "black",
            Self::Brown => "brown",
            Self::Red => "red",
            Self::Orange => "orange",
            Self::Yellow => "yellow",
            Self::Green => "green",
            Self::Blue => "blue",
            Self::Violet => "violet",
            Self::Grey => "grey",
            Self::White => "white",
            Self::Pink => "pink",
            Self::Gold => "gold",
            Self::Turquoise => "turquoise",
            Self::Silver => "silver",
        }
    }

    fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|colour| colour.code() == code)
    }
}

/// Colours of live conductors in mains wiring: brown, black, grey and the blue of the neutral by IEC 60445; black, red, blue and the
/// white of the neutral by the practice of North America. Both from memory.
const MAINS: [Colour; 6] = [Colour::Brown, Colour::Black, Colour::Grey, Colour::Blue, Colour::Red, Colour::White];

/// The colour of a conductor: one colour, or a base with a stripe.
///
/// Read from `RD`, `RD/WH` and the joined form `RDWH`; printed as the first two. Green with yellow, in either order, is
/// the one combination the standard writes joined, and is printed `GNYE`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WireColour {
    /// The colour of the insulation.
    pub base: Colour,
    /// The colour of the stripe.
    pub stripe: Option<Colour>,
}

impl WireColour {
    /// Whether the conductor is orange, as those of voltage class B are; a stripe does not change it.
    #[must_use]
    pub fn is_orange(self) -> bool {
        self.base == Colour::Orange
    }

    /// Whether the conductor is green-yellow, kept for protective earth.
    #[must_use]
    pub fn is_green_yellow(self) -> bool {
        matches!((self.base, self.stripe), (Colour::Green, Some(Colour::Yellow)) | (Colour::Yellow, Some(Colour::Green)))
    }

    /// Whether mains wiring uses the colour for a live conductor, neutral included; a stripe does not count.
    #[must_use]
    pub fn is_of_mains(self) -> bool {
        !self.is_green_yellow() && MAINS.contains(&self.base)
    }

    /// Whether mains wiring keeps the colour for the neutral conductor: light blue where IEC 60445 is followed.
    #[must_use]
    pub fn is_of_neutral(self) -> bool {
        self.base == Colour::Blue
    }

    /// Whether a conductor of this colour is one of those called `allowed`: a colour without a stripe allows any stripe.
    #[must_use]
    pub fn is_among(self, allowed: Self) -> bool {
        match allowed.stripe {
            _ if self.is_green_yellow() || allowed.is_green_yellow() => self.is_green_yellow() && allowed.is_green_yellow(),
            Some(_) => self == allowed,
            None => self.base == allowed.base,
        }
    }

    /// The name in words: `red with white stripe`.
    #[must_use]
    pub fn name(self) -> String {
        match self.stripe {
            _ if self.is_green_yellow() => "green-yellow".to_owned(),
            Some(stripe) => format!("{} with {} stripe", self.base.name(), stripe.name()),
            None => self.base.name().to_owned(),
        }
    }
}

impl fmt::Display for WireColour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.stripe {
            _ if self.is_green_yellow() => f.write_str("GNYE"),
            Some(stripe) => write!(f, "{}/{}", self.base.code(), stripe.code()),
            None => f.write_str(self.base.code()),
        }
    }
}

/// Why a text is not a colour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColourError {
    /// The part of the text that is not a colour; the whole text if it has no such part.
    pub text: String,
    /// The whole text with its parts replaced by the nearest codes, if there is one nearest.
    pub nearest: Option<WireColour>,
}

impl fmt::Display for ColourError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is not a colour of IEC 60757", self.text)?;
        match self.nearest {
            Some(nearest) => write!(f, "; did you mean `{nearest}` ({})?", nearest.name()),
            None => f.write_str("; use two letters for the colour, as in `RD`, and a stripe as in `RD/WH`"),
        }
    }
}

impl std::error::Error for ColourError {}

impl FromStr for WireColour {
    type Err = ColourError;

    /// Reads a colour.
    ///
    /// # Errors
    /// A text that is not one or two codes of IEC 60757 in capitals, with what it was probably meant to be.
    fn from_str(text: &str) -> Result<Self, ColourError> {
        let (base, stripe) = match text.split_once('/') {
            Some((base, stripe)) => (base, Some(stripe)),
            None => match text.split_at_checked(2) {
                Some((base, stripe)) if text.len() == 4 => (base, Some(stripe)),
                _ => (text, None),
            },
        };
        let read = (Colour::from_code(base), stripe.map(Colour::from_code));
        match read {
            (Some(base), None) => Ok(Self { base, stripe: None }),
            (Some(base), Some(Some(stripe))) => Ok(Self { base, stripe: Some(stripe) }),
            _ => {
                let whole = nearest(text).map(|base| Self { base, stripe: None }).or_else(|| otherwise_parted(text));
                // A word such as `blue` has four letters too, so the whole text is tried before its halves.
                let halves = || match (nearest(base), stripe.map(nearest)) {
                    (Some(base), Some(Some(stripe))) => Some(Self { base, stripe: Some(stripe) }),
                    _ => None,
                };
                let guilty = match read {
                    (Some(_), _) => stripe.unwrap_or(text),
                    (None, Some(Some(_))) => base,
                    (None, _) => text,
                };
                // An empty half, as in `RD/`, shows nothing; the whole text does.
                let guilty = if guilty.is_empty() { text } else { guilty };
                Err(ColourError { text: guilty.to_owned(), nearest: whole.or_else(halves) })
            }
        }
    }
}

/// A base and a stripe with another sign between them than a stroke: `RD-BK`, `red black`.
fn otherwise_parted(text: &str) -> Option<WireColour> {
    let (base, stripe) = text.split_once(['-', ' ', '.', '_', '+', '|', '\\'])?;
    Some(WireColour { base: nearest(base)?, stripe: Some(nearest(stripe)?) })
}

/// Letters that the trade also uses, in capitals, mostly those of DIN and of older drawings.
const OTHER_LETTERS: &[(&str, Colour)] = &[
    ("SW", Colour::Black),
    ("BR", Colour::Brown),
    ("RT", Colour::Red),
    ("OR", Colour::Orange),
    ("GE", Colour::Yellow),
    ("YL", Colour::Yellow),
    ("BL", Colour::Blue),
    ("VI", Colour::Violet),
    ("PU", Colour::Violet),
    ("PURPLE", Colour::Violet),
    ("GRAY", Colour::Grey),
    ("WS", Colour::White),
    ("WT", Colour::White),
    ("RS", Colour::Pink),
];

/// The colour that a text was probably meant to be: its code in small letters, its name, letters of another custom, or one
/// edit away from exactly one code or name. `GR` is grey in one custom and green in another, so it has none.
fn nearest(text: &str) -> Option<Colour> {
    let capitals = text.trim().to_ascii_uppercase();
    if let Some(colour) = Colour::from_code(&capitals) {
        return Some(colour);
    }
    if let Some((_, colour)) = OTHER_LETTERS.iter().find(|(letters, _)| *letters == capitals) {
        return Some(*colour);
    }
    // Longer texts are not a slip of a code or a name, and comparing them would cost time for nothing.
    if capitals.len() > 12 {
        return None;
    }
    let near = |colour: &Colour| {
        strsim::osa_distance(colour.code(), &capitals) <= 1
            || strsim::osa_distance(&colour.name().to_ascii_uppercase(), &capitals) <= 1
    };
    let mut candidates = Colour::ALL.into_iter().filter(near);
    let first = candidates.next();
    if candidates.next().is_none() { first } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<String, (String, Option<String>)> {
        let colour = text.parse::<WireColour>();
        colour.map(|c| c.to_string()).map_err(|e| (e.text, e.nearest.map(|near| near.to_string())))
    }

    #[test]
    fn codes_stripes_and_joined_pairs() {
        for colour in Colour::ALL {
            assert_eq!(read(colour.code()), Ok(colour.code().to_owned()));
        }
        assert_eq!(read("RD/WH").as_deref(), Ok("RD/WH"));
        assert_eq!(read("RDWH").as_deref(), Ok("RD/WH"));
        for text in ["GNYE", "GN/YE", "YEGN", "YE/GN"] {
            assert_eq!(read(text).as_deref(), Ok("GNYE"));
            assert!(text.parse::<WireColour>().unwrap().is_green_yellow());
        }
        assert_eq!("RD/WH".parse::<WireColour>().unwrap().name(), "red with white stripe");
        assert!(!"GN".parse::<WireColour>().unwrap().is_green_yellow());
        assert!("OG/BK".parse::<WireColour>().unwrap().is_orange());
        assert!(!"BK/OG".parse::<WireColour>().unwrap().is_orange());
    }

    #[test]
    fn a_slip_is_answered_with_the_nearest_code() {
        let cases = [
            ("rd", "rd", Some("RD")),
            ("blue", "blue", Some("BU")),
            ("orange", "orange", Some("OG")),
            ("OR", "OR", Some("OG")),
            ("RD/WT", "WT", Some("RD/WH")),
            ("SW/RT", "SW/RT", Some("BK/RD")),
            ("RD-BK", "RD-BK", Some("RD/BK")),
            ("red black", "red black", Some("RD/BK")),
            ("RDXX", "XX", None),
            ("GR", "GR", None),
            ("", "", None),
            ("RD/", "RD/", Some("RD")),
            ("é", "é", None),
            ("éé", "éé", None),
            ("RD/WH/BK", "WH/BK", None),
        ];
        for (text, guilty, near) in cases {
            assert_eq!(read(text), Err((guilty.to_owned(), near.map(str::to_owned))), "{text}");
        }
    }
}
