//! What the text of an end is made of: its pieces between arrows, and what may be a cavity or a thread among its words.

/// The pieces of a chain, as in `A -> F7 -> B`.
pub(super) fn pieces_of_chain(cell: &str) -> Vec<String> {
    let cell = cell.replace('→', "->").replace("=>", "->").replace("-->", "->").replace(">>", "->");
    cell.split("->").map(|piece| piece.trim().to_owned()).filter(|piece| !piece.is_empty()).collect()
}

/// A metric thread of a stud.
pub(crate) fn is_thread(word: &str) -> bool {
    word.strip_prefix('M').is_some_and(|size| ["3", "4", "5", "6", "8", "10", "12", "14", "16"].contains(&size))
}

/// `P1 pin 3`, `P1, cavity 3`: the words in between.
pub(super) fn without_words(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let is_word = |word: &str| {
        ["pin", "cavity", "cav", "cav.", "terminal", "term", "term.", "way", "pos", "pos.", "position", "contact", "pin:"]
            .contains(&word.trim_start_matches('(').to_lowercase().as_str())
    };
    match words.as_slice() {
        [name @ .., word, label] if !name.is_empty() && is_word(word) => {
            let name = name.join(" ");
            format!("{} {}", name.trim_end_matches([',', ':', '-']).trim_end(), label.trim_end_matches(')'))
        }
        _ => words.join(" "),
    }
}

/// What may be a cavity without a colon before it: `3`, `A26`, `1A`, `b`, `86`.
pub(crate) fn is_cavity(text: &str) -> bool {
    let letters = text.chars().filter(char::is_ascii_alphabetic).count();
    let digits = text.chars().filter(char::is_ascii_digit).count();
    if text.chars().count() != letters + digits || text.is_empty() {
        return false;
    }
    match (letters, digits) {
        (0, 1..=3) | (1, 0) => true,
        (1 | 2, 1..=2) => {
            text.starts_with(|letter: char| letter.is_ascii_digit()) || text.ends_with(|letter: char| letter.is_ascii_digit())
        }
        _ => false,
    }
}
