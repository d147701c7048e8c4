//! The one script of the page, and the hash by which the page allows it.

/// Finding, filtering, sorting, exploring. The page is complete without it.
pub(super) const SCRIPT: &str = concat!(include_str!("shared.js"), include_str!("find.js"), include_str!("explore.js"));

/// The hash by which the page allows it, and nothing else; a test compares it with the script.
pub(super) const SCRIPT_HASH: &str = "sha256-lhAlP7LmdaifHZ2fIlsrHHSpHlDEbnrXu3HGK5ta2rI=";

#[cfg(test)]
mod tests {
    use super::{SCRIPT, SCRIPT_HASH};
    use crate::render::kit::policy::hash;

    #[test]
    fn the_page_allows_its_own_script_and_no_other() {
        assert_eq!(SCRIPT_HASH, hash(SCRIPT));
        assert!(SCRIPT.len() < 20_000);
        for evil in ["innerHTML", "eval(", "document.write", "fetch(", "XMLHttp", "import(", "</script"] {
            assert!(!SCRIPT.contains(evil), "{evil}");
        }
    }
}
