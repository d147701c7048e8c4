//! Marks of doubt in a cell, taken off it.

/// A text without its marks of doubt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubted {
    /// What is left; may be empty.
    pub text: String,
    /// Whether there was a mark.
    pub is_doubtful: bool,
}

/// Words that make a cell unsure wherever they are in it; conventions seen.
const WORDS: [&str; 30] = [
    "assumed",
    "assume",
    "todo",
    "tbd",
    "tbc",
    "unverified",
    "provisional",
    "planned",
    "approx",
    "approximately",
    "estimated",
    "estimate",
    "est",
    "guess",
    "guessed",
    "unsure",
    "verify",
    "maybe",
    "circa",
    "etwa",
    "geschätzt",
    "unklar",
    "prüfen",
    "environ",
    "estimé",
    "vérifier",
    "verificare",
    "stimato",
    "aprox",
    "verificar",
];

/// Words that do before a figure: elsewhere they may be names.
const BEFORE_FIGURES: [&str; 2] = ["ca", "env"];

/// Signs that do.
const SIGNS: [&str; 8] = ["~", "≈", "<=", "≤", ">=", "≥", "±", "[ ]"];

/// Takes the marks of doubt off a cell.
#[must_use]
pub fn doubt(cell: &str) -> Doubted {
    let mut text = format!(" {} ", cell.trim());
    let mut is_doubtful = false;
    for sign in SIGNS {
        if text.contains(sign) {
            is_doubtful = true;
            text = text.replace(sign, " ");
        }
    }
    // A question mark doubts what it follows; as a whole cell it is all there is.
    if text.contains('?') {
        is_doubtful = true;
        text = text.replace('?', " ");
    }
    let mut kept = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(start) = rest.find(char::is_alphabetic) {
        let (before, from) = rest.split_at(start);
        let end = from.find(|letter: char| !letter.is_alphanumeric()).unwrap_or(from.len());
        let (word, behind) = from.split_at(end);
        kept.push_str(before);
        // A digit or dash before the word makes it a piece of a name: `C3-check`.
        let joins = |letter: char| letter.is_alphanumeric() || letter == '-' || letter == '_';
        let is_alone = !before.ends_with(joins) && !behind.starts_with(joins);
        let lower = word.to_lowercase();
        let is_before_figure = || behind.trim_start_matches(['.', ' ']).starts_with(|letter: char| letter.is_ascii_digit());
        if is_alone && (WORDS.contains(&lower.as_str()) || BEFORE_FIGURES.contains(&word) && is_before_figure()) {
            is_doubtful = true;
        } else {
            kept.push_str(word);
        }
        rest = behind;
    }
    kept.push_str(rest);
    if !is_doubtful {
        return Doubted { text: cell.trim().to_owned(), is_doubtful };
    }
    for empty in ["( )", "()", "[]", "[ ]", "(.)", "( :)"] {
        kept = kept.replace(empty, " ");
    }
    let kept = kept.split_whitespace().collect::<Vec<_>>().join(" ");
    let kept = kept.replace("( ", "(").replace(" )", ")").replace("()", "");
    let kept = kept.trim_matches([' ', ':', ';', '.', ',']);
    Doubted { text: kept.to_owned(), is_doubtful }
}
