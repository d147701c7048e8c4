//! Reading of quantities as the trade writes them: a number, a unit, nothing left out.

use super::{QuantityError, Unit, gauge, known_units};
use std::borrow::Cow;

/// A quantity that was read.
pub type Quantity<U> = Result<U, QuantityError>;

/// The unit of conductor sizes that is not a factor of the others.
const AWG: &str = "AWG";

/// Reads `text` as a quantity of unit `U`.
///
/// A number (`0.5`, `.5`, `1450`, `1e3`), at most one blank or more, and a unit as listed in [`Unit::SPELLINGS`];
/// capitals count. Signs that look alike are taken for one: both micro signs, both ohm signs, minus and hyphen,
/// non-breaking and plain blanks. Sizes of conductors may be gauges: `20 AWG`, `AWG 20`, `2/0 AWG`.
///
/// # Errors
/// A [`QuantityError`] if the number or unit is missing or no such, or the value is outside [`Unit::LEAST`] to
/// [`Unit::MOST`], both of which are accepted.
pub fn parse<U: Unit>(text: &str) -> Quantity<U> {
    let written = normal(text);
    let written = written.trim();
    if let Some(gauge) = written.strip_prefix(AWG).or_else(|| written.strip_suffix(AWG)) {
        return read_gauge(gauge.trim());
    }
    let Some((number, rest)) = split_number(written) else {
        return Err(no_number::<U>(written));
    };
    if let Some(error) = groups(written, number, rest) {
        return Err(error);
    }
    let unit = rest.trim_start();
    if unit.is_empty() || (U::GAUGES && gauge::number(written).is_some()) {
        return Err(QuantityError::MissingUnit { readings: readings::<U>(written, number) });
    }
    let Some((_, factor)) = U::SPELLINGS.iter().find(|(spelling, _)| *spelling == unit) else {
        return Err(no_such_unit::<U>(unit));
    };
    let Ok(value) = number.parse::<f64>() else { return Err(no_number::<U>(written)) };
    within(scaled(value, *factor))
}

/// Whether a text is a number with a unit of `U`, or a gauge where sizes may be gauges: what it measures, whether it is sensible or not.
///
/// Unlike [`parse`] it makes no message for those that are not.
#[must_use]
pub fn is_of<U: Unit>(text: &str) -> bool {
    let written = normal(text);
    let written = written.trim();
    if let Some(gauge) = written.strip_prefix(AWG).or_else(|| written.strip_suffix(AWG)) {
        return U::GAUGES && gauge::number(gauge.trim()).is_some();
    }
    let unit = split_number(written).map(|(_, rest)| rest.trim_start());
    unit.is_some_and(|unit| U::SPELLINGS.iter().any(|(spelling, _)| *spelling == unit))
}

/// Reads `text` as a range `0.35 mm2 .. 1.0 mm2`, both ends included.
///
/// # Errors
/// A [`QuantityError`] if there is no `..`, one of the sides is at fault, or the second is below the first.
pub fn parse_range<U: Unit>(text: &str) -> Result<(U, U), QuantityError> {
    let Some((least, most)) = text.split_once("..") else {
        // A text that is not a quantity either is better reported as that.
        parse::<U>(text)?;
        return Err(QuantityError::NotARange { example: format!("{} .. {}", text.trim(), text.trim()) });
    };
    let (least, most) = (least.trim(), most.trim());
    let side =
        |part: &str| parse::<U>(part).map_err(|error| QuantityError::Part { part: part.to_owned(), error: Box::new(error) });
    let (low, high) = (side(least)?, side(most)?);
    if high < low {
        return Err(QuantityError::Reversed { meant: format!("{most} .. {least}") });
    }
    Ok((low, high))
}

/// `text` with signs that look alike made one.
fn normal(text: &str) -> Cow<'_, str> {
    if text.is_ascii() && !text.contains('\t') {
        return Cow::Borrowed(text);
    }
    let mut normal = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\u{3bc}' => normal.push('\u{b5}'),
            '\u{2126}' => normal.push('\u{3a9}'),
            '\u{2103}' => normal.push_str("°C"),
            '\u{22c5}' => normal.push('\u{b7}'),
            '\u{2212}' => normal.push('-'),
            '\u{a0}' | '\u{202f}' | '\u{2009}' | '\t' => normal.push(' '),
            other => normal.push(other),
        }
    }
    Cow::Owned(normal)
}

/// The number at the start of `text` and what follows it.
fn split_number(text: &str) -> Option<(&str, &str)> {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes.iter().skip(from).take_while(|byte| byte.is_ascii_digit()).count();
    let sign = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let whole = digits(sign);
    let mut end = sign + whole;
    let mut decimals = 0;
    if bytes.get(end) == Some(&b'.') {
        decimals = digits(end + 1);
        end += 1 + decimals;
    }
    if whole + decimals == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits(end + 1 + sign);
        if exponent > 0 {
            end += 1 + sign + exponent;
        }
    }
    text.split_at_checked(end)
}

/// Whether the number goes on behind a comma or in a further group of digits.
fn groups(text: &str, number: &str, rest: &str) -> Option<QuantityError> {
    let digit = |text: &str| text.starts_with(|letter: char| letter.is_ascii_digit());
    if let Some(behind) = rest.strip_prefix(',').filter(|behind| digit(behind)) {
        let mut readings = Vec::new();
        if text.matches(',').count() == 1 && !number.contains('.') {
            readings.push(format!("{number}.{behind}"));
        }
        let group = behind.bytes().take_while(u8::is_ascii_digit).count();
        if group == 3 || readings.is_empty() {
            readings.push(text.replace(',', ""));
        }
        return Some(QuantityError::Comma { readings });
    }
    let separated = [" ", "_", "'", "\u{2019}"].iter().any(|separator| rest.strip_prefix(separator).is_some_and(digit));
    separated.then(|| {
        let digits = rest.rfind(|letter: char| letter.is_ascii_digit()).map_or(0, |last| last + 1);
        let (more, unit) = rest.split_at_checked(digits).unwrap_or((rest, ""));
        // The 2 of `mm2` is a digit too.
        let (more, unit) = match more.find(char::is_alphabetic) {
            Some(letter) => rest.split_at_checked(letter).unwrap_or((more, unit)),
            None => (more, unit),
        };
        let joined: String = more.chars().filter(|letter| letter.is_ascii_digit() || *letter == '.').collect();
        QuantityError::Separator { meant: format!("{number}{joined} {}", unit.trim()).trim().to_owned() }
    })
}

fn no_number<U: Unit>(text: &str) -> QuantityError {
    let word = text.trim_start_matches(['+', '-', '.']).to_ascii_lowercase();
    if word.starts_with("inf") || word.starts_with("nan") {
        return QuantityError::NotFinite { measures: U::MEASURES };
    }
    QuantityError::NotANumber { measures: U::MEASURES, example: U::EXAMPLE.to_owned() }
}

/// The likeliest quantities that a bare number could mean: those in the first two units that differ, sensible ones first.
fn readings<U: Unit>(text: &str, number: &str) -> Vec<String> {
    let gauge = (U::GAUGES && gauge::number(text).is_some()).then(|| format!("{text} {AWG}"));
    if number != text {
        return gauge.into_iter().collect();
    }
    let mut units: Vec<(&str, f64)> = Vec::new();
    for &(spelling, factor) in U::SPELLINGS {
        if units.len() < 2 && units.iter().all(|&(_, known)| known != factor) {
            units.push((spelling, factor));
        }
    }
    let value = number.parse::<f64>().unwrap_or(f64::NAN);
    let sensible = |&(_, factor): &(&str, f64)| (U::LEAST..=U::MOST).contains(&(value * factor));
    units.sort_by_key(|unit| !sensible(unit));
    let readings = units.iter().map(|(spelling, _)| format!("{number} {spelling}"));
    readings.chain(gauge).take(2).collect()
}

fn no_such_unit<U: Unit>(unit: &str) -> QuantityError {
    let (measures, units) = (U::MEASURES, units::<U>());
    let others = known_units().into_iter().find(|(_, spellings)| spellings.iter().any(|(spelling, _)| *spelling == unit));
    if let Some((found, _)) = others {
        return QuantityError::WrongUnit { unit: unit.to_owned(), found, measures, units };
    }
    let mut candidates: Vec<&'static str> = U::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect();
    if U::GAUGES {
        candidates.push(AWG);
    }
    let lower = unit.to_lowercase();
    let mut nearest: Vec<&str> = candidates.iter().copied().filter(|spelling| spelling.to_lowercase() == lower).collect();
    // Any prefix of SI before the bare unit: what was meant is open, so all spellings are named.
    let is_prefixed = candidates.iter().any(|base| base.len() == 1 && unit.len() == 2 && unit.ends_with(base));
    if nearest.is_empty() && unit.chars().count() > 1 && !is_prefixed {
        let near = |spelling: &&str| spelling.chars().count() > 1 && strsim::osa_distance(spelling, unit) == 1;
        nearest = candidates.iter().copied().filter(near).take(2).collect();
    }
    QuantityError::UnknownUnit { unit: unit.to_owned(), nearest, measures, units }
}

/// Accepted units, one spelling for each size.
fn units<U: Unit>() -> Vec<&'static str> {
    let mut seen: Vec<f64> = Vec::new();
    let mut units = Vec::new();
    for &(spelling, factor) in U::SPELLINGS {
        if !seen.contains(&factor) {
            seen.push(factor);
            units.push(spelling);
        }
    }
    if U::GAUGES {
        units.push(AWG);
    }
    units
}

fn read_gauge<U: Unit>(written: &str) -> Quantity<U> {
    if !U::GAUGES {
        let unit = AWG.to_owned();
        return Err(QuantityError::WrongUnit { unit, found: "cross-section", measures: U::MEASURES, units: units::<U>() });
    }
    match gauge::number(written) {
        Some(number) => within(gauge::square_millimetre(number)),
        None => Err(QuantityError::NotAGauge),
    }
}

/// `value` times `factor`, rounded once: powers of ten below one divide, so that `350 mm` is the number nearest 0.35.
fn scaled(value: f64, factor: f64) -> f64 {
    let inverse = (1.0 / factor).round();
    if factor < 1.0 && (inverse * factor - 1.0).abs() < 1e-12 { value / inverse } else { value * factor }
}

fn within<U: Unit>(value: f64) -> Quantity<U> {
    let measures = U::MEASURES;
    let Some(quantity) = U::from_stored(value) else { return Err(QuantityError::NotFinite { measures }) };
    if value < 0.0 && U::LEAST >= 0.0 {
        return Err(QuantityError::Negative { measures });
    }
    if (U::LEAST..=U::MOST).contains(&value) {
        return Ok(quantity);
    }
    let limit = |value| U::from_stored(value).map_or_else(String::new, |limit| limit.to_string());
    Err(QuantityError::OutOfRange { measures, least: limit(U::LEAST), most: limit(U::MOST), above: value > U::MOST })
}
