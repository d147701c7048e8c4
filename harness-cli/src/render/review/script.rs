//! The one script of the page, and the hash by which the page allows it.

use crate::render::kit::html::Allowed;

/// Finding, filtering, sorting, exploring. The page is complete without it.
pub(super) const SCRIPT: Allowed = Allowed {
    text: concat!(include_str!("shared.js"), include_str!("find.js"), include_str!("explore.js")),
    hash: "sha256-z7Jc85ab7E8L1MMheOspoMS1ZVEo7XIxF/7fYzU2ArE=",
};

#[cfg(test)]
mod tests {
    use super::SCRIPT;
    use crate::render::kit::html::hash;

    #[test]
    fn the_page_allows_its_own_script_and_no_other() {
        assert_eq!(SCRIPT.hash, hash(SCRIPT.text));
        assert!(SCRIPT.text.len() < 20_000);
        for evil in ["innerHTML", "eval(", "document.write", "fetch(", "XMLHttp", "import(", "</script"] {
            assert!(!SCRIPT.text.contains(evil), "{evil}");
        }
    }
}
