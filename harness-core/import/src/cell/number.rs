//! Numbers as people write them.

/// A number with a decimal point or comma; `None` if the text is anything else.
pub(crate) fn decimal(text: &str) -> Option<f64> {
    let text = text.trim();
    let digits = text.strip_prefix('+').unwrap_or(text);
    let plain = !digits.is_empty() && digits.chars().all(|letter| letter.is_ascii_digit() || letter == '.' || letter == ',');
    if !plain || digits.matches(['.', ',']).count() > 1 {
        return None;
    }
    digits.replace(',', ".").parse().ok().filter(|value: &f64| value.is_finite())
}

/// The number that a text begins with, and what follows it.
pub(crate) fn leading(text: &str) -> Option<(f64, &str)> {
    let text = text.trim_start();
    let end = text.find(|letter: char| !(letter.is_ascii_digit() || letter == '.' || letter == ',')).unwrap_or(text.len());
    // A comma or point at the end is that of the sentence.
    let (mut number, mut rest) = text.split_at(end);
    while number.ends_with(['.', ',']) {
        let (shorter, _) = number.split_at(number.len() - 1);
        rest = text.get(shorter.len()..).unwrap_or("");
        number = shorter;
    }
    decimal(number).map(|value| (value, rest))
}

/// A number without zeros at its end.
pub(crate) fn shown(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
