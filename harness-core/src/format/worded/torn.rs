//! Words between braces without quotes: a comma ends the value there, and what is behind it looks like a key.

use super::{
    super::{reader::clip, rules},
    form::{Form, PIN},
};
use crate::{
    finding::{Finding, Remedy, RemedyKind},
    text::{Kind, NodeId, Span, Tree},
};

/// A text that commas have cut.
#[derive(Debug, Clone, Copy)]
pub(super) struct Torn {
    /// The whole of it.
    pub(super) span: Span,
    /// How many entries behind its own are pieces of it.
    pub(super) entries: usize,
}

/// What belongs to the text of the entry `at` of a map between braces, if it is cut.
pub(super) fn of(tree: &Tree, text: &str, (map, entries): (NodeId, &[(NodeId, NodeId)]), at: usize, form: &Form) -> Option<Torn> {
    let (_, value) = entries.get(at)?;
    let Kind::Scalar { plain: true, .. } = tree.kind(*value) else { return None };
    let (whole, own) = (tree.span(map), tree.span(*value));
    let is_here = whole.start <= own.start && own.end <= whole.end;
    if !is_here || !text.get(whole.start as usize..)?.starts_with('{') {
        return None;
    }
    let behind = entries.get(at + 1..)?;
    let is_bare = |value: &NodeId| matches!(tree.kind(*value), Kind::Missing);
    let count = behind.iter().take_while(|(_, value)| is_bare(value)).count();
    let next = behind.get(count).map(|(key, _)| tree.span(*key).start).filter(|next| *next >= own.end);
    // A key that is there twice is not among the entries, so the text is asked.
    let gap = text.get(own.end as usize..next.unwrap_or(whole.end) as usize)?;
    let gap = gap.split(['\n', '#', '}']).next()?.trim_end().trim_end_matches(',');
    let rest = gap.strip_prefix(',')?.trim();
    if rest.is_empty() || rest.contains([':', '{', '[']) {
        return None;
    }
    let first = rest.split(',').next()?.trim();
    // Labels of pins before a colon are a list that braces have torn, which is another slip.
    let is_piece = form.noun != PIN.noun
        || form.bare(first).is_some()
        || form.leaning(first).is_some()
        || first.split_once(' ').is_some_and(|(key, _)| form.field(key).is_some());
    let end = own.end + gap.trim_end().len() as u32;
    let entries = behind.iter().take(count).take_while(|(key, _)| tree.span(*key).end <= end).count();
    is_piece.then(|| Torn { span: Span::new(own.file, own.start, end), entries })
}

/// Notes a text that commas have cut.
pub(super) fn finding(text: &str, key: Span, torn: &Torn, form: &Form) -> Finding {
    let slice = |span: Span| text.get(span.start as usize..span.end as usize).unwrap_or_default();
    let (name, words) = (clip(slice(key)), slice(torn.span));
    let quoted = format!("\"{words}\"");
    let is_plain = !words.contains(['"', '\\']);
    let remedy = is_plain
        .then(|| Remedy::new(RemedyKind::Spelling, format!("put the words of `{name}` in quotes")).edit(torn.span, quoted));
    rules::UNEXPECTED_VALUE
        .finding(
            torn.span,
            format!("the words of {} `{name}` are not in quotes, and a comma between braces ends a value", form.noun),
        )
        .label("one text?")
        .help(format!("put them in quotes: `{name}: \"{}\"`, or write the {} on a line of its own", clip(words), form.noun))
        .remedy(remedy)
}
