//! Texts of a design in XML and SVG.

use super::printable;

/// `text` in several lines for a writer that escapes by itself.
pub(crate) fn lines(text: &str) -> String {
    text.split('\n').map(printable).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::lines;
    use harness_draw::escaped;
    use quick_xml::{Reader, events::Event};

    #[test]
    fn whatever_a_design_says_is_well_formed_and_comes_back() {
        let all: String = ('\0'..=char::MAX).filter(|ch| ch.is_ascii() || u32::from(*ch) & 0xff > 0xf0).collect();
        let xml = format!("<a b=\"{0}\" c='{0}'>{0}</a>", escaped(&all));
        let mut reader = Reader::from_str(&xml);
        reader.config_mut().check_comments = true;
        let Event::Start(start) = reader.read_event().unwrap() else { panic!("no tag") };
        for attribute in start.attributes() {
            assert!(!attribute.unwrap().value.contains('<'));
        }
        assert_eq!(escaped("<script>\"a\" & b</script>\u{1b}"), "&lt;script&gt;&quot;a&quot; &amp; b&lt;/script&gt;␛");
        assert_eq!(escaped("\u{fffe}"), "&lt;U+FFFE&gt;");
        assert_eq!(lines("a\u{ffff}\nb\r"), "a<U+FFFF>\nb␍");
    }
}
