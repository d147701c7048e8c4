//! Lengths as cut.

use super::number::{leading, shown};

/// What a bare number of a column is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LengthUnit {
    /// Millimetre.
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Inch.
    Inch,
    /// Foot.
    Foot,
}

impl LengthUnit {
    /// Every unit with the words for it, the shortest first.
    pub const WORDS: [(Self, &'static [&'static str]); 5] = [
        (Self::Millimetre, &["mm", "millimeter", "millimeters", "millimetre", "millimetres"]),
        (Self::Centimetre, &["cm", "centimeter", "centimeters", "centimetre", "centimetres"]),
        (Self::Metre, &["m", "meter", "meters", "metre", "metres", "mtr"]),
        (Self::Inch, &["in", "inch", "inches", "\"", "”", "″", "''"]),
        (Self::Foot, &["ft", "foot", "feet", "'", "’", "′"]),
    ];

    /// Its shortest word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(unit, _)| *unit == self).and_then(|(_, words)| words.first()).copied().unwrap_or("")
    }

    /// The unit that a word is for.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        let word = word.trim().trim_end_matches('.').to_lowercase();
        Self::WORDS.iter().find(|(_, words)| words.contains(&word.as_str())).map(|(unit, _)| *unit)
    }

    /// Inch and foot are exact by the international agreement of 1959 (25.4 mm and 304.8 mm; from memory).
    fn millimetres(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
            Self::Inch => 25.4,
            Self::Foot => 304.8,
        }
    }
}

/// The length that a cell gives, as the netlist writes it: `1402.1 mm`. `unit` is that of the heading.
///
/// Several figures with units add up, as in `4 ft 6 in` and in `350 mm + 20 mm` for an allowance.
///
/// # Errors
/// Why the cell is not a length.
pub fn length(cell: &str, unit: Option<LengthUnit>) -> Result<String, String> {
    let mut rest = cell.trim();
    let mut sum = 0.0;
    let mut last: Option<LengthUnit> = None;
    let mut figures = 0;
    while !rest.is_empty() {
        let Some((value, behind)) = leading(rest) else { return Err("is not a length".to_owned()) };
        let behind = behind.trim_start();
        let end = behind
            .find(|letter: char| letter.is_ascii_digit() || letter == '+' || letter.is_whitespace())
            .unwrap_or(behind.len());
        let (mut word, mut after) = behind.split_at(end);
        if ALLOWANCE.contains(&word.to_lowercase().as_str()) {
            (word, after) = ("", behind);
        }
        let own = LengthUnit::of(word.trim_end_matches([',', '.']));
        if !word.is_empty() && own.is_none() {
            return Err(format!("`{word}` is not a unit of length"));
        }
        let Some(unit) = own.or(unit) else {
            return Err("is a bare number, and neither the heading nor the number format says a unit".to_owned());
        };
        after = after.trim_start();
        // Two figures without a sign between them are feet and inches; anything else is not one length.
        let joined = matches!(
            (last, unit),
            (Some(LengthUnit::Foot), LengthUnit::Inch) | (Some(LengthUnit::Metre), LengthUnit::Centimetre)
        );
        if figures > 0 && !rest_is_added(cell, rest) && !joined {
            return Err("holds two lengths".to_owned());
        }
        sum += value * unit.millimetres();
        last = Some(unit);
        figures += 1;
        // What is said of an allowance by word: `+ 2 in slack`.
        let letters = after.find(|letter: char| !letter.is_alphabetic()).unwrap_or(after.len());
        if after.get(..letters).is_some_and(|word| ALLOWANCE.contains(&word.to_lowercase().as_str())) {
            after = after.get(letters..).unwrap_or("").trim_start();
        }
        rest = after.strip_prefix('+').unwrap_or(after).trim_start();
        if after.starts_with('+') && rest.is_empty() {
            return Err("ends with a plus".to_owned());
        }
    }
    if figures == 0 || sum <= 0.0 {
        return Err("is not a length".to_owned());
    }
    let millimetres = (sum * 10.0).round() / 10.0;
    Ok(if millimetres >= 10_000.0 { format!("{} m", shown(millimetres / 1000.0)) } else { format!("{} mm", shown(millimetres)) })
}

/// Words for what is added to a length.
const ALLOWANCE: [&str; 6] = ["slack", "allowance", "spare", "extra", "long", "total"];

/// Whether a plus is before `rest` in `cell`.
fn rest_is_added(cell: &str, rest: &str) -> bool {
    let before = cell.len().checked_sub(rest.len()).and_then(|at| cell.get(..at)).unwrap_or("");
    before.trim_end().ends_with('+')
}
