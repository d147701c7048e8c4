//! A number as its number format shows it: the digits behind the point, zeros in front, and texts such as a unit.

/// The number as its owner sees it. Formats for which that is not plain (powers of ten, fractions, dates) give the number itself.
pub(super) fn shown(number: f64, code: &str) -> String {
    let (code, number) = section(code, number);
    match Pattern::of(code) {
        Some(pattern) => pattern.show(number),
        None => plain(number),
    }
}

/// The number itself, where the format shows one that is more than a hundredth off.
pub(super) fn rounded(number: f64, code: &str) -> Option<String> {
    let (code, own) = section(code, number);
    let pattern = Pattern::of(code)?;
    let own = if pattern.percent { own * 100.0 } else { own };
    let shown: f64 = format!("{:.*}", (pattern.decimals + pattern.optional).min(15), own.abs()).parse().ok()?;
    ((shown - own.abs()).abs() > own.abs() * 0.01).then(|| plain(number))
}

/// Whether the format shows powers of ten.
pub(super) fn is_exponent(code: &str) -> bool {
    let bare: String = bare(code);
    bare.contains("E+") || bare.contains("E-")
}

/// The shortest form that gives the number back.
fn plain(number: f64) -> String {
    if number.fract() == 0.0 && number.abs() < 1e15 { format!("{number:.0}") } else { format!("{number}") }
}

/// The section of the code that is for the number (above zero, below, zero), and the number without a sign that the section shows itself.
fn section(code: &str, number: f64) -> (&str, f64) {
    let mut sections = Vec::new();
    let (mut start, mut in_quotes, mut escaped) = (0, false, false);
    for (at, letter) in code.char_indices() {
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => in_quotes = !in_quotes,
            ';' if !in_quotes => {
                sections.push(code.get(start..at).unwrap_or(""));
                start = at + 1;
            }
            _ => {}
        }
    }
    sections.push(code.get(start..).unwrap_or(""));
    match (sections.as_slice(), number) {
        ([_, below, ..], ..0.0) => (below, -number),
        ([_, _, zero, ..], 0.0) => (zero, number),
        ([first, ..], _) => (first, number),
        ([], _) => ("", number),
    }
}

/// The code without its texts in quotes.
fn bare(code: &str) -> String {
    code.split('"').step_by(2).collect()
}

/// A format of plain digits with texts around them.
struct Pattern {
    before: String,
    after: String,
    zeros: usize,
    decimals: usize,
    /// Digits behind the point that are shown only if they are not zero.
    optional: usize,
    percent: bool,
}

impl Pattern {
    fn of(code: &str) -> Option<Self> {
        let mut pattern =
            Self { before: String::new(), after: String::new(), zeros: 0, decimals: 0, optional: 0, percent: false };
        let (mut in_digits, mut behind_point) = (false, false);
        let mut letters = code.chars();
        while let Some(letter) = letters.next() {
            let mut text = String::new();
            match letter {
                '"' => text.extend(letters.by_ref().take_while(|letter| *letter != '"')),
                '\\' => text.extend(letters.next()),
                // Room as wide as the next letter, or filled with it: nothing to read.
                '_' | '*' => {
                    letters.next();
                }
                '0' | '#' | '?' => {
                    in_digits = true;
                    match (behind_point, letter) {
                        (false, '0') => pattern.zeros += 1,
                        (true, '0') => pattern.decimals += 1,
                        (true, _) => pattern.optional += 1,
                        (false, _) => {}
                    }
                }
                '.' => behind_point = true,
                ',' => {}
                '%' => {
                    pattern.percent = true;
                    text.push('%');
                }
                ' ' | '-' | '+' | '(' | ')' | '~' | '\'' | '<' | '=' | '>' | '²' | 'Ω' | '°' => text.push(letter),
                _ => return None,
            }
            if in_digits { pattern.after.push_str(&text) } else { pattern.before.push_str(&text) }
        }
        in_digits.then_some(pattern)
    }

    fn show(&self, number: f64) -> String {
        let number = if self.percent { number * 100.0 } else { number };
        let most = (self.decimals + self.optional).min(15);
        let mut digits = format!("{:.most$}", number.abs());
        if let Some(point) = digits.find('.') {
            while digits.len() > point + 1 + self.decimals && digits.ends_with('0') {
                digits.pop();
            }
            if digits.ends_with('.') {
                digits.pop();
            }
        }
        let whole = digits.find('.').unwrap_or(digits.len());
        let zeros = "0".repeat(self.zeros.min(30).saturating_sub(whole));
        let sign = if number < 0.0 { "-" } else { "" };
        format!("{}{sign}{zeros}{digits}{}", self.before, self.after)
    }
}

/// A text on one line, blanks at both ends taken off.
pub(super) fn one_line(text: &str) -> String {
    let trimmed = text.trim();
    if trimmed.contains(['\n', '\r']) {
        trimmed.split(['\n', '\r']).map(str::trim).filter(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
    } else {
        trimmed.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::{is_exponent, rounded, shown};

    /// What spreadsheets show (ECMA-376 part 1, 18.8.31, number formats; from memory).
    #[test]
    fn numbers_are_shown_as_their_format_says() {
        let cases = [
            (1.0, "General", "1"),
            (0.5, "General", "0.5"),
            (1.0, "00", "01"),
            (7.0, "000", "007"),
            (0.5, "0.00", "0.50"),
            (0.5, "0.00\" mm²\"", "0.50 mm²"),
            (20.0, "0\" AWG\"", "20 AWG"),
            (4.6, "#,##0.0\" ft\"", "4.6 ft"),
            (350.0, "0\\ \\m\\m", "350 mm"),
            (2.5, "0.0##", "2.5"),
            (2.0, "0.##", "2"),
            (0.03, "0%", "3%"),
            (-2.0, "0.0;-0.0;0", "-2.0"),
            (12000.0, "0.00E+00", "12000"),
            (0.5, "# ?/?", "0.5"),
            (3.0, "\"~\"0\" ft\"", "~3 ft"),
            (3.0, "", "3"),
        ];
        for (number, code, expected) in cases {
            assert_eq!(shown(number, code), expected, "{code}");
        }
        for (number, code, held) in [
            (0.35, "0\" mm\"", Some("0.35")),
            (0.75, "0.0\" mm²\"", Some("0.75")),
            (620.0, "0\" mm\"", None),
            (1233.4, "0", None),
            (0.125, "General", None),
            (0.5, "0.00", None),
        ] {
            assert_eq!(rounded(number, code).as_deref(), held, "{code}");
        }
        assert!(is_exponent("0.00E+00") && !is_exponent("0\" E+ \""));
    }
}
