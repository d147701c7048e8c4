//! A page as a whole: its head, and what it allows itself, which is its own style and script, known by their hashes, and nothing from elsewhere.

use maud::{DOCTYPE, Markup, PreEscaped, html};

/// A style or script with the hash by which a page allows it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Allowed {
    pub text: &'static str,
    /// A test compares it with the text.
    pub hash: &'static str,
}

/// A page in English, with one style, and with one script at its end if it has one.
pub(crate) fn page(title: &Markup, style: Allowed, script: Option<Allowed>, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                // Before anything that it could refuse.
                meta http-equiv="Content-Security-Policy" content=(policy(style, script));
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(style.text)) }
            }
            body {
                (body)
                @if let Some(script) = script { script { (PreEscaped(script.text)) } }
            }
        }
    }
}

/// The content security policy of a page with this style, and with this script if it has one.
fn policy(style: Allowed, script: Option<Allowed>) -> String {
    let script = script.map_or_else(String::new, |script| format!(" script-src '{}';", script.hash));
    format!("default-src 'none'; style-src '{}';{script} img-src data:; base-uri 'none'; form-action 'none'", style.hash)
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
