//! What is in line with a wire: fuses, resistors, diodes, capacitors.

use super::number::{leading, shown};

/// An element in line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Element {
    /// A fuse, with its name and rating where they are given.
    Fuse {
        /// Such as `F7`.
        name: Option<String>,
        /// Such as `7.5 A`.
        rating: Option<String>,
    },
    /// A resistor of so much, such as `10 kohm`.
    Resistor(String),
    /// A capacitor of so much, such as `100 nF`.
    Capacitor(String),
    /// A diode: its anode towards the first end.
    Diode,
}

/// The element that a text names, such as `10k resistor`, `100nF cap`, `diode`, `F7`, `F15 inline (7.5 A)`, `15A fuse`.
#[must_use]
pub fn element(text: &str) -> Option<Element> {
    let lower = text.trim().to_lowercase();
    let lower = lower.strip_prefix("via ").or_else(|| lower.strip_prefix("through ")).unwrap_or(&lower).trim();
    let lower = lower.strip_prefix("a ").unwrap_or(lower);
    let words: Vec<&str> = lower
        .split(|letter: char| letter.is_whitespace() || letter == '(' || letter == ')' || letter == ',')
        .filter(|word| !word.is_empty())
        .collect();
    let has = |names: &[&str]| words.iter().any(|word| names.contains(word));
    if has(&["diode"]) {
        return Some(Element::Diode);
    }
    if has(&["resistor", "res", "ohm", "ohms", "kohm", "widerstand", "résistance", "resistenza"]) || lower.ends_with('ω') {
        return ohms(lower).map(Element::Resistor);
    }
    if has(&["cap", "capacitor"])
        && let Some(farads) = farads(lower)
    {
        return Some(Element::Capacitor(farads));
    }
    fuse(text, &words)
}

fn ohms(text: &str) -> Option<String> {
    let start = text.find(|letter: char| letter.is_ascii_digit())?;
    let (value, rest) = leading(text.get(start..)?)?;
    let rest = rest.trim_start();
    // `4k7`: the letter is the point.
    let (value, unit) = if let Some(behind) = rest.strip_prefix('k') {
        match leading(behind) {
            Some((tail, _)) if tail < 10.0 && behind.starts_with(|letter: char| letter.is_ascii_digit()) => {
                (value + tail / 10.0, "kohm")
            }
            _ => (value, "kohm"),
        }
    } else if rest.starts_with("meg") {
        (value, "Mohm")
    } else {
        (value, "ohm")
    };
    Some(format!("{} {unit}", shown(value)))
}

fn farads(text: &str) -> Option<String> {
    let start = text.find(|letter: char| letter.is_ascii_digit())?;
    let (value, rest) = leading(text.get(start..)?)?;
    let unit = match rest.trim_start().chars().next()? {
        'n' => "nF",
        'u' | 'µ' | 'μ' => "uF",
        'p' => "pF",
        'm' => "mF",
        _ => return None,
    };
    Some(format!("{} {unit}", shown(value)))
}

/// Words for a fuse; conventions seen, and the same in other languages (common practice, no source).
const FUSE: [&str; 9] = ["fuse", "fused", "fuseholder", "inline", "in-line", "sicherung", "fusible", "fusibile", "zekering"];

fn fuse(text: &str, words: &[&str]) -> Option<Element> {
    let says_fuse = words.iter().any(|word| FUSE.contains(word));
    let name = text
        .split(|letter: char| letter.is_whitespace() || letter == '(' || letter == ')' || letter == ',')
        .find(|word| is_fuse_name(word))
        .map(str::to_owned);
    if !says_fuse && (name.is_none() || words.len() > 3) {
        return None;
    }
    let rating = words.iter().enumerate().find_map(|(at, word)| {
        let (value, rest) = leading(word)?;
        let unit = if rest.is_empty() { words.get(at + 1).copied().unwrap_or("") } else { rest };
        ["a", "amp", "amps", "ampere"].contains(&unit.trim_end_matches('.')).then(|| format!("{} A", shown(value)))
    });
    if name.is_none()
        && rating.is_none()
        && !words.iter().any(|word| word.contains("fuse") || FUSE.contains(word) && !word.starts_with("in"))
    {
        return None;
    }
    // A name with something else behind it is an end, not a fuse: `F7 2`.
    let extra = words.iter().filter(|word| !FUSE.contains(word) && !["a", "amp", "amps"].contains(word)).count();
    let known = usize::from(name.is_some()) + usize::from(rating.is_some());
    (extra <= known).then_some(Element::Fuse { name, rating })
}

/// `F7`, `F12A`, `FU3`, `FL1`: how fuses are numbered (conventions seen).
pub(super) fn is_fuse_name(word: &str) -> bool {
    let upper = word.trim();
    let rest = upper.strip_prefix("FU").or_else(|| upper.strip_prefix("FL")).or_else(|| upper.strip_prefix('F')).unwrap_or("");
    let digits = rest.trim_start_matches('-');
    let number = digits.trim_end_matches(|letter: char| letter.is_ascii_uppercase());
    !number.is_empty()
        && number.len() <= 3
        && number.bytes().all(|digit| digit.is_ascii_digit())
        && digits.len() <= number.len() + 1
}

/// The rating of a fuse cell: `15`, `15A`, `7.5 A`.
#[must_use]
pub fn rating(cell: &str) -> Option<String> {
    let (value, rest) = leading(cell)?;
    let unit = rest.trim().trim_end_matches('.').to_lowercase();
    let unit = unit.strip_suffix("fuse").map_or(unit.as_str(), str::trim_end);
    (value > 0.0 && (unit.is_empty() || ["a", "amp", "amps", "ampere"].contains(&unit))).then(|| format!("{} A", shown(value)))
}
