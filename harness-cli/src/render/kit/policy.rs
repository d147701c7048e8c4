//! What a page allows itself: its own style and script, known by their hashes, and nothing from elsewhere.

/// The content security policy of a page with this style, and with this script if it has one.
#[must_use]
pub(crate) fn policy(style: &str, script: Option<&str>) -> String {
    let script = script.map_or_else(String::new, |hash| format!(" script-src '{hash}';"));
    format!("default-src 'none'; style-src '{style}';{script} img-src data:; base-uri 'none'; form-action 'none'")
}

/// The hash of a style or script as a policy names it (CSP level 3; RFC 4648, base 64).
#[cfg(test)]
pub(crate) fn hash(text: &str) -> String {
    use sha2::{Digest, Sha256};
    format!("sha256-{}", tests::base64(&Sha256::digest(text.as_bytes())))
}

#[cfg(test)]
mod tests {
    /// RFC 4648, base 64.
    pub(super) fn base64(bytes: &[u8]) -> String {
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
}
