//! How wide a text is before anybody has drawn it.
//!
//! The reader's font is not known. Widths are those of a wide sans-serif (advances of DejaVu Sans and DejaVu Sans Bold 2.37, in thousandths of the
//! size, read from the fonts), and 8 % more, so that the usual fonts are narrower.

use unicode_width::UnicodeWidthChar;

/// What another font may need beyond these widths.
const ROOM: f64 = 1.08;

/// Advances from the blank to the tilde.
const PLAIN: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636, 636, 636,
    636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787,
    695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278,
    579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
];
const BOLD: [u16; 95] = [
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696, 696, 696, 696, 696,
    696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995, 837, 850, 733, 850,
    770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500, 500, 675, 716, 593, 716, 678, 435, 716, 712, 343, 343,
    665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712, 365, 712, 838,
];

/// A letter of another alphabet: most are narrower, the widest of Latin, Greek and Cyrillic in bold is this.
const OTHER: u16 = 1000;
/// A letter that fills two columns of a terminal.
const WIDE: u16 = 2000;

/// The width of `text` in letters of `size` units, at least what any usual sans-serif takes.
#[must_use]
pub fn width_of(text: &str, size: f64, is_bold: bool) -> f64 {
    text.chars().map(|ch| f64::from(advance(ch, is_bold))).sum::<f64>() * size * ROOM / 1000.0
}

fn advance(ch: char, is_bold: bool) -> u16 {
    let table = if is_bold { &BOLD } else { &PLAIN };
    let place = u32::from(ch).checked_sub(32).and_then(|place| usize::try_from(place).ok());
    if let Some(advance) = place.and_then(|place| table.get(place)) {
        return *advance;
    }
    match ch {
        '\u{b0}' | '\u{2013}' | '\u{b2}' | '\u{b3}' | '\u{202f}' | '\u{a0}' => 500,
        '\u{b7}' => 400,
        '\u{e0}'..='\u{ff}' | '\u{b5}' => 740,
        _ if ch.width().unwrap_or(0) > 1 => WIDE,
        _ => OTHER,
    }
}

/// `text` without its middle where it is wider than `most` units: both ends of a name distinguish it.
#[must_use]
pub fn clipped(text: &str, size: f64, is_bold: bool, most: f64) -> String {
    if width_of(text, size, is_bold) <= most {
        return text.to_owned();
    }
    let letters: Vec<char> = text.chars().collect();
    let mut kept = letters.len().saturating_sub(1);
    while kept > 2 {
        let head = kept.div_ceil(2);
        let shown: String = letters
            .iter()
            .take(head)
            .chain(std::iter::once(&'…'))
            .chain(letters.iter().skip(letters.len() - (kept - head)))
            .collect();
        if width_of(&shown, size, is_bold) <= most {
            return shown;
        }
        kept -= 1;
    }
    "…".to_owned()
}

/// `text` in lines no wider than `most` units, broken at blanks; a word that is wider loses its middle.
#[must_use]
pub fn broken(text: &str, size: f64, is_bold: bool, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        let word = clipped(word, size, is_bold, most);
        match lines.last_mut() {
            Some(line) if width_of(line, size, is_bold) + width_of(&format!(" {word}"), size, is_bold) <= most => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::{broken, clipped, width_of};

    #[test]
    fn lines_are_broken_at_blanks_and_lose_no_word() {
        let text = "short at the far end of a long lamp feed, in mode drive";
        let lines = broken(text, 12.0, false, 130.0);
        assert!(lines.len() > 2 && lines.iter().all(|line| width_of(line, 12.0, false) <= 130.0), "{lines:?}");
        assert_eq!(lines.join(" "), text);
        assert_eq!(broken("", 12.0, false, 10.0), [""]);
    }

    #[test]
    fn a_long_name_keeps_both_ends_and_fits() {
        let name = "junction-box-of-the-front-loom.F12";
        let shown = clipped(name, 12.0, false, 120.0);
        assert!(width_of(&shown, 12.0, false) <= 120.0 && shown.starts_with("junc") && shown.ends_with(".F12"), "{shown}");
        assert_eq!(clipped("F1", 12.0, false, 120.0), "F1");
        assert_eq!(clipped("", 12.0, true, 0.0), "");
        assert_eq!(clipped("abc", 12.0, true, 1.0), "…");
    }

    #[test]
    fn bold_and_wide_letters_take_more() {
        assert!(width_of("F12", 12.0, true) > width_of("F12", 12.0, false));
        assert!(width_of("漢", 12.0, false) > width_of("M", 12.0, false));
    }
}
