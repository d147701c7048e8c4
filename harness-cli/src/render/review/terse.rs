//! The page without the end tags that HTML lets one leave out: a browser makes the same of it, and a table of ten thousand rows is a tenth smaller.

/// End tags that are needless wherever the page has them: what follows is always the next of their kind, or the end of what holds them (HTML
/// standard, 13.1.2.4, optional tags).
const NEEDLESS: [&str; 9] = ["</td>", "</th>", "</tr>", "</li>", "</dt>", "</dd>", "</thead>", "</tbody>", "</caption>"];

/// The end of a paragraph is needless before the end of what holds it, which is never a link here, and before these.
const AFTER_PARAGRAPH: [&str; 14] =
    ["p", "ul", "ol", "dl", "div", "article", "figure", "table", "h2", "h3", "h4", "pre", "section", "nav"];

/// Shapes of a picture end with their own tag: in SVG that is as good as an end tag behind it.
const SHAPE: &str = "></path>";

/// `page` without them. Texts of a design hold no `<`, so that only tags are left out.
pub(super) fn terse(page: &str) -> String {
    let mut shown = String::with_capacity(page.len());
    let mut rest = page;
    while let Some(at) = rest.find("</") {
        let (before, tag) = rest.split_at(at);
        let is_shape = before.ends_with('>') && SHAPE.strip_prefix('>').is_some_and(|end| tag.starts_with(end));
        let length = match NEEDLESS.iter().find(|end| tag.starts_with(*end)) {
            Some(end) => end.len(),
            None if is_shape => SHAPE.len() - 1,
            None => tag.strip_prefix("</p>").filter(|next| is_needless(next)).map_or(0, |_| "</p>".len()),
        };
        if is_shape {
            shown.push_str(before.strip_suffix('>').unwrap_or(before));
            shown.push_str("/>");
        } else {
            shown.push_str(before);
            if length == 0 {
                shown.push_str("</");
            }
        }
        rest = tag.get(length.max(2)..).unwrap_or_default();
    }
    shown.push_str(rest);
    shown
}

/// Whether a paragraph ends by what is behind it.
fn is_needless(next: &str) -> bool {
    let Some(tag) = next.strip_prefix('<') else { return false };
    let name = tag.split(['>', ' ']).next().unwrap_or(tag);
    name.starts_with('/') || AFTER_PARAGRAPH.contains(&name)
}

#[cfg(test)]
mod tests {
    use super::terse;

    #[test]
    fn end_tags_that_say_nothing_are_left_out_and_all_else_stays() {
        let page = "<table><tbody><tr><th>a</th><td>b <b>c</b></td></tr></tbody></table><ul><li>d</li></ul><p>e</p>";
        assert_eq!(terse(page), "<table><tbody><tr><th>a<td>b <b>c</b></table><ul><li>d</ul><p>e</p>");
        let page = "<div><p>a</p><p>b</p> c <p>d</p><path d=\"M0\"></path><p>e</p></div>";
        assert_eq!(terse(page), "<div><p>a<p>b</p> c <p>d</p><path d=\"M0\"/><p>e</div>");
        assert_eq!(terse("no tag at all </"), "no tag at all </");
    }
}
