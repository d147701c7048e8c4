//! The one style of the page, and the hash by which the page allows it.

/// Screen, phone, dark, and paper within 190 mm by 259 mm, inside the margins of both A4 and Letter.
pub(super) const STYLE: &str = include_str!("style.css");

/// The hash by which the page allows it, and nothing else; a test compares it with the style.
pub(super) const STYLE_HASH: &str = "sha256-UjFvo8FBjdnWC+3J2OcZu/2dssVz5K9M7iG2KhZkSYc=";

#[cfg(test)]
mod tests {
    use super::{STYLE, STYLE_HASH};
    use crate::render::kit::policy::hash;

    #[test]
    fn the_page_allows_its_own_style_and_no_other() {
        assert_eq!(STYLE_HASH, hash(STYLE));
        assert!(STYLE.len() < 12_000);
    }
}
