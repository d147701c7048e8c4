//! Why a text is not a quantity, and what to write instead.

use std::fmt::Write as _;

/// Why a text is not a quantity of the unit asked for.
///
/// `measures` is what was asked for (`current`), `units` its accepted spellings.
#[derive(Debug, Clone, PartialEq)]
pub enum QuantityError {
    /// A bare number; `readings` are the likeliest quantities meant, one or two.
    MissingUnit {
        /// The number with the likeliest units, the likeliest first.
        readings: Vec<String>,
    },
    /// A unit that nothing is measured in; `nearest` may be empty.
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// Spellings that differ in capitals only, or else in one letter.
        nearest: Vec<&'static str>,
        /// What was asked for.
        measures: &'static str,
        /// Its accepted units.
        units: Vec<&'static str>,
    },
    /// A unit of another quantity.
    WrongUnit {
        /// The unit as written.
        unit: String,
        /// What the unit measures.
        found: &'static str,
        /// What was asked for.
        measures: &'static str,
        /// Its accepted units.
        units: Vec<&'static str>,
    },
    /// No number at the start.
    NotANumber {
        /// What was asked for.
        measures: &'static str,
        /// A text that would do.
        example: String,
    },
    /// A comma in the number; it may part thousands or be a decimal comma.
    Comma {
        /// The texts that may have been meant.
        readings: Vec<String>,
    },
    /// Blanks, apostrophes or underscores between the digits.
    Separator {
        /// The text without them.
        meant: String,
    },
    /// A gauge that is not between 4/0 and 40.
    NotAGauge,
    /// Below zero where that has no meaning.
    Negative {
        /// What was asked for.
        measures: &'static str,
    },
    /// Outside of what is sensible.
    OutOfRange {
        /// What was asked for.
        measures: &'static str,
        /// The smallest sensible value, with its unit.
        least: String,
        /// The largest sensible value, with its unit.
        most: String,
        /// Whether the value is above `most`.
        above: bool,
    },
    /// Infinite, or too large for any number.
    NotFinite {
        /// What was asked for.
        measures: &'static str,
    },
    /// One value where a range `a .. b` belongs.
    NotARange {
        /// A text that would do.
        example: String,
    },
    /// A range that ends below its start.
    Reversed {
        /// The range the other way round.
        meant: String,
    },
    /// One side of a range is at fault.
    Part {
        /// The side as written.
        part: String,
        /// What is at fault with it.
        error: Box<Self>,
    },
}

impl QuantityError {
    /// The fault in one line that makes sense by itself; `text` is what was read.
    #[must_use]
    pub fn headline(&self, text: &str) -> String {
        let text = &one_line(text);
        match self {
            Self::MissingUnit { .. } => format!("`{text}` has no unit"),
            Self::UnknownUnit { unit, measures, .. } => format!("`{}` in `{text}` is not a unit of {measures}", one_line(unit)),
            Self::WrongUnit { unit, found, measures, .. } => {
                format!("`{text}` is given in `{unit}`, which measures {found}, where {measures} belongs")
            }
            Self::NotANumber { measures, .. } => format!("`{text}` gives no {measures}: it does not begin with a number"),
            Self::Comma { .. } => format!("`{text}` has a comma in its number"),
            Self::Separator { .. } => format!("`{text}` has its digits in groups"),
            Self::NotAGauge => format!("`{text}` is not a wire gauge"),
            Self::Negative { measures } => format!("{measures} `{text}` is below zero"),
            Self::OutOfRange { measures, most, above: true, .. } => format!("{measures} `{text}` is above {most}"),
            Self::OutOfRange { measures, least, .. } => format!("{measures} `{text}` is below {least}"),
            Self::NotFinite { measures } => format!("{measures} `{text}` is not finite"),
            Self::NotARange { .. } => format!("`{text}` is one value where a range belongs"),
            Self::Reversed { .. } => format!("range `{text}` ends below its start"),
            Self::Part { part, error } => error.headline(part),
        }
    }

    /// What to do.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::MissingUnit { readings } => format!("write {}", either(readings)),
            Self::UnknownUnit { nearest, measures, units, .. } if nearest.is_empty() => {
                format!("give the {measures} in {}", either(units))
            }
            Self::UnknownUnit { nearest, .. } => format!("write {}; capitals count", either(nearest)),
            Self::WrongUnit { measures, units, .. } => format!("give the {measures} in {}", either(units)),
            Self::NotANumber { example, .. } => format!("write a number and a unit, such as `{example}`"),
            Self::Comma { readings } => {
                format!("write {}: a point separates the decimals and nothing separates thousands", either(readings))
            }
            Self::Separator { meant } => format!("write `{meant}`: nothing separates thousands"),
            Self::NotAGauge => "write a gauge from `4/0 AWG` to `40 AWG`, or the cross-section in `mm2`".to_owned(),
            Self::Negative { measures } => format!("give the {measures} without a sign"),
            Self::OutOfRange { least, most, .. } => {
                format!("write a value from {least} to {most}, and check the unit: one letter is often a factor of 1000")
            }
            Self::NotFinite { .. } => "write a number".to_owned(),
            Self::NotARange { example } => format!("write the least and the most, such as `{example}`"),
            Self::Reversed { meant } => format!("write `{meant}`"),
            Self::Part { error, .. } => error.help(),
        }
    }
}

/// A text as it may be written in a headline: one line of at most 60 characters.
fn one_line(text: &str) -> String {
    let text = text.trim();
    let mut line: String = text.chars().take(60).map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    if line.len() < text.len() {
        line.push('…');
    }
    line
}

/// `a`, `b` or `c` in backticks.
fn either<T: AsRef<str>>(texts: &[T]) -> String {
    let mut joined = String::new();
    for (index, text) in texts.iter().enumerate() {
        let between = match index {
            0 => "",
            last if last + 1 == texts.len() => " or ",
            _ => ", ",
        };
        // Writing to a string can't fail.
        let _ = write!(joined, "{between}`{}`", text.as_ref());
    }
    joined
}
