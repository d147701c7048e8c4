//! The one style of the page, and the hash by which the page allows it.

use crate::render::kit::html::Allowed;

/// Screen, phone, dark, and paper within 190 mm by 259 mm, inside the margins of both A4 and Letter.
pub(super) const STYLE: Allowed =
    Allowed { text: include_str!("style.css"), hash: "sha256-0M34SRUNBo/ujoKHO7muEmUHlLfEdoKftBq4TsggTpw=" };

#[cfg(test)]
mod tests {
    use super::STYLE;
    use crate::render::kit::{html::hash, markup::tint};
    use harness_core::colours::Colour;

    #[test]
    fn the_page_allows_its_own_style_and_no_other() {
        assert_eq!(STYLE.hash, hash(STYLE.text));
        assert!(STYLE.text.len() < 12 * 1024);
    }

    #[test]
    fn a_swatch_has_the_colours_of_those_on_paper() {
        for colour in Colour::ALL {
            let (code, tint) = (colour.code(), tint(colour).replace("#000000", "#000").replace("#ffffff", "#fff"));
            assert!(STYLE.text.contains(&format!(".{code}{{--a:{tint}}}.s{code}{{--b:{tint}}}")), "{code}");
        }
    }
}
