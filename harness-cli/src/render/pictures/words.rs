//! How figures and names are written in pictures.

use super::frame::plain;
use harness_core::{quantity::Unit, views::WireOf};
use harness_draw::{Text, width_of};

/// A figure with three significant digits and no nought behind its decimal point.
pub(super) fn figure(value: f64) -> String {
    let size = value.abs();
    let places = match size {
        _ if size >= 100.0 || size == 0.0 => 0,
        _ if size >= 10.0 => 1,
        _ if size >= 1.0 => 2,
        _ => 3,
    };
    let written = format!("{value:.places$}");
    let short = if written.contains('.') { written.trim_end_matches('0').trim_end_matches('.') } else { &written };
    short.replace('-', "\u{2212}")
}

/// A figure, or the dash for none.
pub(super) fn figure_or_none<U: Unit>(value: Option<U>) -> String {
    value.map_or_else(|| "\u{2013}".to_owned(), |value| figure(value.get()))
}

/// A quantity as pictures write its unit: `mm²`, `Ω`, `°C`, `µ`.
pub(super) fn quantity(value: impl ToString) -> String {
    plain(&value.to_string())
}

/// Names of wires: the first, and how many more.
pub(super) fn wires(wires: &[WireOf]) -> String {
    match wires {
        [] => String::new(),
        [only] => only.name.clone(),
        [first, more @ ..] => format!("{} +{}", first.name, more.len()),
    }
}

/// A name without what holds it, where that is `holder`.
pub(super) fn short<'a>(name: &'a str, holder: &str) -> &'a str {
    name.strip_prefix(holder).and_then(|rest| rest.strip_prefix('.')).unwrap_or(name)
}

/// What holds a thing: the name up to its first full stop.
pub(super) fn holder(name: &str) -> &str {
    name.split_once('.').map_or(name, |(holder, _)| holder)
}

/// Words in lines no wider than `most`; a word that is wider has a line of its own.
pub(super) fn wrapped(words: &[String], between: &str, size: f64, most: f64) -> Vec<Vec<usize>> {
    let mut lines: Vec<Vec<usize>> = Vec::new();
    let mut width = 0.0;
    for (at, word) in words.iter().enumerate() {
        let own = width_of(word, size, false) + width_of(between, size, false);
        match lines.last_mut().filter(|_| width + own <= most) {
            Some(line) => {
                line.push(at);
                width += own;
            }
            None => {
                lines.push(vec![at]);
                width = own;
            }
        }
    }
    lines
}

/// A text that is not wider than `most`.
pub(super) fn fitted(words: &str, most: f64) -> Text {
    Text::small(words).within(most)
}

#[cfg(test)]
mod tests {
    use super::{figure, quantity, short, wrapped};

    #[test]
    fn figures_have_three_digits_and_units_their_signs() {
        let written: Vec<String> = [0.0, 0.15, 4.0, 12.34, 112.0, 200_000.0, -0.5].into_iter().map(figure).collect();
        assert_eq!(written, ["0", "0.15", "4", "12.3", "112", "200000", "\u{2212}0.5"]);
        assert_eq!(quantity("2.5 mm2"), "2.5 mm²");
        assert_eq!(quantity("16 mohm"), "16 mΩ");
        assert_eq!(quantity("49.5 uA"), "49.5 µA");
        assert_eq!(quantity("100 A"), "100 A");
    }

    #[test]
    fn names_are_short_beside_what_holds_them() {
        assert_eq!(short("fusebox.F1", "fusebox"), "F1");
        assert_eq!(short("fusebox-2.F1", "fusebox"), "fusebox-2.F1");
    }

    #[test]
    fn every_word_is_in_one_line() {
        let words: Vec<String> = (0..20).map(|at| "x".repeat(at + 1)).collect();
        let lines = wrapped(&words, ", ", 12.0, 90.0);
        assert_eq!(lines.concat(), (0..20).collect::<Vec<_>>());
        assert!(lines.len() > 3);
    }
}
