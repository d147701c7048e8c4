//! How a printed paper looks: black on white, within 190 mm by 259 mm, inside the margins of both A4 and Letter.

/// The one style of a page.
pub(super) const STYLE: &str = include_str!("style.css");

/// The hash by which the page allows it, and nothing else; a test compares it with the style.
pub(super) const STYLE_HASH: &str = "sha256-D/zaiflxFKa1jhXiMXvxxwrwJJo+I4WHB9gb3dluGrg=";

/// Widths in millimetres for which the style has room to write in.
pub(super) const WRITE_WIDTHS: [u8; 6] = [12, 18, 25, 35, 45, 55];

#[cfg(test)]
mod tests {
    use super::{STYLE, STYLE_HASH};
    use crate::render::kit::html::hash;

    #[test]
    fn the_page_allows_its_own_style_and_no_other() {
        assert_eq!(STYLE_HASH, hash(STYLE));
        assert!(STYLE.len() < 12_000);
    }
}
