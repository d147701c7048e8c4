//! The colours of a drawing. Each is read on white, and none has a meaning that width, dash or a word does not have too.

/// A colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ink {
    /// What is drawn.
    #[default]
    Black,
    /// Voltage class B, as the orange of its cables in a shade that is read on white.
    ClassB,
    /// What is the same as before, what explains.
    Grey,
    /// Rules of tables and grids: seen, never read.
    Faint,
    /// The inside of an area: what is on it is read as on white.
    Pale,
    /// Letters on black.
    White,
}

impl Ink {
    /// All colours.
    pub const ALL: [Self; 6] = [Self::Black, Self::ClassB, Self::Grey, Self::Faint, Self::Pale, Self::White];

    /// As SVG writes it.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Black => "#000000",
            Self::ClassB => "#a33d00",
            Self::Grey => "#5a5a5a",
            Self::Faint => "#767676",
            Self::Pale => "#e9e9e9",
            Self::White => "#ffffff",
        }
    }
}

/// The contrast of two colours as WCAG 2.2 defines it, from 1 to 21; each colour as `#rrggbb`. `None` if one is not such a text.
#[must_use]
pub fn contrast(one: &str, other: &str) -> Option<f64> {
    let (one, other) = (luminance(one)?, luminance(other)?);
    Some((one.max(other) + 0.05) / (one.min(other) + 0.05))
}

/// Relative luminance, WCAG 2.2.
fn luminance(code: &str) -> Option<f64> {
    let digits = code.strip_prefix('#').filter(|digits| digits.len() == 6 && digits.is_ascii())?;
    let mut sum = 0.0;
    for (place, weight) in [(0, 0.2126), (2, 0.7152), (4, 0.0722)] {
        let level = f64::from(u8::from_str_radix(digits.get(place..place + 2)?, 16).ok()?) / 255.0;
        sum += weight * if level <= 0.04045 { level / 12.92 } else { ((level + 0.055) / 1.055).powf(2.4) };
    }
    Some(sum)
}

#[cfg(test)]
mod tests {
    use super::{Ink, contrast};

    /// WCAG 2.2, understanding 1.4.3, printed examples: black on white 21:1, `#777777` on white 4.48:1.
    #[test]
    fn contrast_is_that_of_the_published_examples() {
        assert!((contrast("#000000", "#ffffff").unwrap() - 21.0).abs() < 0.01);
        assert!((contrast("#777777", "#ffffff").unwrap() - 4.48).abs() < 0.01);
        assert_eq!(contrast("red", "#ffffff"), None);
    }

    #[test]
    fn every_ink_can_be_read_on_white_and_on_an_area() {
        for ink in Ink::ALL.into_iter().filter(|ink| !matches!(ink, Ink::White | Ink::Pale)) {
            assert!(contrast(ink.code(), "#ffffff").unwrap() >= 4.5, "{ink:?}");
            let least = if ink == Ink::Faint { 3.0 } else { 4.5 };
            assert!(contrast(ink.code(), Ink::Pale.code()).unwrap() >= least, "{ink:?}");
        }
    }
}
