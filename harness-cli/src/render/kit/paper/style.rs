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
    use sha2::{Digest, Sha256};

    /// RFC 4648, base 64.
    fn base64(bytes: &[u8]) -> String {
        const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
        let mut text = String::new();
        for three in bytes.chunks(3) {
            let word = three.iter().fold(0_u32, |word, byte| word << 8 | u32::from(*byte)) << (8 * (3 - three.len()));
            for place in 0..4 {
                let letter = LETTERS[(word >> (18 - 6 * place) & 63) as usize] as char;
                text.push(if place <= three.len() { letter } else { '=' });
            }
        }
        text
    }

    #[test]
    fn base64_is_that_of_the_standard() {
        for (bytes, text) in [("f", "Zg=="), ("fooba", "Zm9vYmE="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")] {
            assert_eq!(base64(bytes.as_bytes()), text, "RFC 4648, section 10");
        }
    }

    #[test]
    fn the_page_allows_its_own_style_and_no_other() {
        assert_eq!(STYLE_HASH, format!("sha256-{}", base64(&Sha256::digest(STYLE.as_bytes()))));
        assert!(STYLE.len() < 12_000);
    }
}
