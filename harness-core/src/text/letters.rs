//! Letters that a reader can't distinguish, or can't see.
//!
//! Owns what makes a name look like another: invisible characters, letters of another script among those of a word, spellings that
//! Unicode holds for one. Leaves to others which texts are names and what is said about them.

use unicode_normalization::{UnicodeNormalization, is_nfc};
use unicode_script::{Script, UnicodeScript};
use unicode_security::{MixedScript, confusable_detection::skeleton};

/// What makes a text look like another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Oddity {
    /// A character that is not drawn, or that turns the order of what follows.
    Invisible(char),
    /// A blank at the start or the end that YAML does not take away.
    Blank(char),
    /// A letter written as several characters, or as one that Unicode holds for another.
    Composed {
        /// As written.
        written: String,
        /// The one spelling that is compared by everyone.
        composed: String,
    },
    /// A letter of another script than the rest of its word, where the script of the word has one that looks like it.
    Mixed {
        /// The word.
        word: String,
        /// The letter.
        letter: char,
        /// The letter of the word's script that looks like it.
        twin: char,
    },
}

/// The first thing that makes `text` look like another; `None` for what is as it seems.
///
/// A text wholly in one script is as it seems, whatever the script; signs of units (µ, Ω) and digits belong to every script.
/// Cost: nothing for ASCII.
#[must_use]
pub fn oddity(text: &str) -> Option<Oddity> {
    if text.is_ascii() {
        return None;
    }
    invisible(text).or_else(|| edge(text)).or_else(|| composed(text)).or_else(|| text.split(is_border).find_map(mixed))
}

fn invisible(text: &str) -> Option<Oddity> {
    let letters: Vec<char> = text.chars().collect();
    let hidden = |at: usize, letter: char| match letter {
        // Joiners shape the letters of some scripts and belong between those.
        '\u{200c}' | '\u{200d}' => {
            let around = [at.checked_sub(1), Some(at + 1)].map(|at| at.and_then(|at| letters.get(at)).copied());
            !around.iter().all(|letter| letter.is_some_and(is_joined))
        }
        letter => is_invisible(letter),
    };
    letters.iter().enumerate().find(|(at, letter)| hidden(*at, **letter)).map(|(_, letter)| Oddity::Invisible(*letter))
}

/// Whether a character is not drawn: Unicode's marks of direction and what it says need not be drawn (properties `Bidi_Control` and `Default_Ignorable_Code_Point`).
#[must_use]
pub fn is_invisible(letter: char) -> bool {
    matches!(letter,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180b}'..='\u{180f}'
        | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}'
        | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fff8}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

fn is_joined(letter: char) -> bool {
    !matches!(
        letter.script(),
        Script::Latin
            | Script::Greek
            | Script::Cyrillic
            | Script::Armenian
            | Script::Georgian
            | Script::Common
            | Script::Inherited
    ) && letter.is_alphanumeric()
        || unicode_normalization::char::is_combining_mark(letter)
}

fn edge(text: &str) -> Option<Oddity> {
    let blank = |letter: &char| !letter.is_ascii() && letter.is_whitespace();
    text.chars().next().filter(blank).or_else(|| text.chars().next_back().filter(blank)).map(Oddity::Blank)
}

fn composed(text: &str) -> Option<Oddity> {
    /// The sign for ohm, which Unicode holds for the letter; keyboards and tables of characters offer both.
    const OHM: char = '\u{2126}';
    if is_nfc(text) {
        return None;
    }
    // The first letter with its marks that is spelt otherwise.
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let marks = |letter: char| unicode_normalization::char::is_combining_mark(letter);
        let length = rest.char_indices().skip(1).find(|(_, letter)| !marks(*letter)).map_or(rest.len(), |(at, _)| at);
        let (letter, behind) = rest.split_at(length);
        let composed: String = letter.nfc().collect();
        if composed != letter && first != OHM {
            return Some(Oddity::Composed { written: letter.to_owned(), composed });
        }
        rest = behind;
    }
    None
}

fn is_border(letter: char) -> bool {
    !letter.is_alphanumeric() && !unicode_normalization::char::is_combining_mark(letter)
}

fn mixed(word: &str) -> Option<Oddity> {
    if word.is_single_script() {
        return None;
    }
    let scripts = || word.chars().map(|letter| letter.script()).filter(|script| alphabet(*script).is_some());
    let count = |wanted: Script| scripts().filter(|script| *script == wanted).count();
    // Of equally many letters those of the first script are the word's own.
    let own = scripts().reduce(|most, script| if count(script) > count(most) { script } else { most })?;
    word.chars().filter(|letter| letter.script() != own).find_map(|letter| {
        let twin = twin(letter, own)?;
        Some(Oddity::Mixed { word: word.to_owned(), letter, twin })
    })
}

/// The letters of a script that has look-alikes in others.
fn alphabet(script: Script) -> Option<std::ops::RangeInclusive<char>> {
    match script {
        Script::Latin => Some('A'..='z'),
        Script::Greek => Some('\u{370}'..='\u{3ff}'),
        Script::Cyrillic => Some('\u{400}'..='\u{4ff}'),
        Script::Armenian => Some('\u{530}'..='\u{58f}'),
        _ => None,
    }
}

/// The letter of `script` that looks like `letter`.
fn twin(letter: char, script: Script) -> Option<char> {
    // A letter of a script without a table here resembles none that is known.
    alphabet(letter.script())?;
    let wanted = look(letter.encode_utf8(&mut [0; 4]));
    alphabet(script)?.filter(|own| own.is_alphabetic()).find(|own| look(own.encode_utf8(&mut [0; 4])) == wanted)
}

/// What a text looks like: equal for two texts that a reader can't distinguish (the skeleton of Unicode Technical Standard 39).
#[must_use]
pub fn look(text: &str) -> String {
    skeleton(text).collect()
}

/// Whether two texts differ but look the same.
#[must_use]
pub fn are_twins(one: &str, other: &str) -> bool {
    let drawn = |text: &str| look(&text.chars().filter(|letter| !is_invisible(*letter)).collect::<String>());
    one != other && !(one.is_ascii() && other.is_ascii()) && drawn(one) == drawn(other)
}

/// The first letters in which two texts differ.
#[must_use]
pub fn first_difference(one: &str, other: &str) -> Option<(char, char)> {
    one.chars().zip(other.chars()).find(|(one, other)| one != other)
}

/// A character by its number, with its script where it has one of its own: `U+0440, Cyrillic`.
#[must_use]
pub fn described(letter: char) -> String {
    let number = format!("U+{:04X}", u32::from(letter));
    match letter.script() {
        Script::Common | Script::Inherited | Script::Unknown => number,
        script => format!("{number}, {}", script.full_name()),
    }
}

/// A text in which every character that can't be seen is written as its number: `pu<U+200B>mp`.
#[must_use]
pub fn visible(text: &str) -> String {
    let mut visible = String::with_capacity(text.len());
    for letter in text.chars() {
        match is_invisible(letter) || (!letter.is_ascii() && letter.is_whitespace()) {
            true => visible.push_str(&format!("<U+{:04X}>", u32::from(letter))),
            false => visible.push(letter),
        }
    }
    visible
}

#[cfg(test)]
mod tests {
    use super::{Oddity, described, first_difference, look, oddity, visible};

    #[test]
    fn names_in_one_script_are_as_they_seem() {
        let sound = [
            "pump",
            "Kühlmittelpumpe",
            "Żarówka",
            "насос-1",
            "Ελλάδα",
            "помпа 12",
            "Трактор T-25",
            "470µF",
            "10kΩ",
            "10k\u{2126}",
            "m\u{3bc}F",
            "Δt",
            "zażółć",
            "前照灯",
            "ポンプ1",
            "조명",
            "مصباح",
            "می\u{200c}خواهم",
            "क्\u{200d}ष",
            "Ångström",
            "naïve-ß",
            "№7",
            "25°C",
            "±5%",
            "a×b",
        ];
        for name in sound {
            assert_eq!(oddity(name), None, "{name}");
        }
    }

    #[test]
    fn a_letter_of_another_script_is_found_with_the_one_it_looks_like() {
        let mixed = |name: &str| match oddity(name) {
            Some(Oddity::Mixed { letter, twin, .. }) => Some((letter, twin)),
            other => panic!("{name}: {other:?}"),
        };
        // UTS 39 confusables.txt: 0440 to 0070, 0430 to 0061, 03BF to 006F, 0391 to 0041.
        assert_eq!(mixed("\u{440}ump"), Some(('\u{440}', 'p')));
        assert_eq!(mixed("main-b\u{430}ttery"), Some(('\u{430}', 'a')));
        assert_eq!(mixed("m\u{3bf}tor"), Some(('\u{3bf}', 'o')));
        assert_eq!(mixed("\u{391}BC"), Some(('\u{391}', 'A')));
        // The other way round: a Latin letter in a Cyrillic word.
        assert_eq!(mixed("нас\u{6f}с"), Some(('o', '\u{43e}')));
    }

    #[test]
    fn what_is_not_drawn_is_found() {
        for (name, letter) in [
            ("pu\u{200b}mp", '\u{200b}'),
            ("\u{feff}pump", '\u{feff}'),
            ("pump\u{202e}", '\u{202e}'),
            ("pu\u{ad}mp", '\u{ad}'),
            ("a\u{200d}b", '\u{200d}'),
        ] {
            assert_eq!(oddity(name), Some(Oddity::Invisible(letter)), "{name:?}");
        }
        assert_eq!(oddity("pump\u{a0}"), Some(Oddity::Blank('\u{a0}')));
        assert_eq!(oddity("\u{2007}pump"), Some(Oddity::Blank('\u{2007}')));
        assert_eq!(oddity("pompe n°\u{a0}4"), None);
        assert_eq!(visible("pu\u{200b}mp\u{a0}"), "pu<U+200B>mp<U+00A0>");
    }

    #[test]
    fn one_letter_has_one_spelling() {
        // Unicode Standard Annex 15, figure 3: A with a ring has three spellings; the composed one is U+00C5.
        for written in ["A\u{30a}", "\u{212b}"] {
            let expected = Oddity::Composed { written: written.to_owned(), composed: "\u{c5}".to_owned() };
            assert_eq!(oddity(&format!("x{written}y")), Some(expected));
        }
        assert_eq!(oddity("x\u{c5}y"), None);
    }

    #[test]
    fn two_texts_that_look_alike_have_one_look() {
        assert_eq!(look("\u{441}\u{43e}\u{440}"), look("cop"));
        assert_ne!(look("cap"), look("cop"));
        assert_eq!(first_difference("\u{440}ump", "pump"), Some(('\u{440}', 'p')));
        assert_eq!(
            (described('\u{440}'), described('p'), described('\u{200b}')),
            ("U+0440, Cyrillic".to_owned(), "U+0070, Latin".to_owned(), "U+200B".to_owned())
        );
    }
}
