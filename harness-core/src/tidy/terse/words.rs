//! Wires and pins as words where all of their facts can be said so, and maps made of words.

use super::{
    super::sheet::{Edit, Sheet},
    Proposal,
};
use crate::{
    format::{
        Attribute,
        worded::{self, Fact, Form, Room},
    },
    text::{Kind, NodeId},
};

/// Sentences stay behind their key: a thing with one is a map.
const SENTENCES: [Attribute; 2] = [Attribute::Note, Attribute::Unsure];

/// Things in words as maps, so that what they share is seen.
pub(super) fn spelled_out(sheet: &Sheet<'_>) -> Vec<Proposal> {
    each(sheet, |sheet, form, _, value, _| {
        let Kind::Scalar { plain, .. } = sheet.tree.kind(value) else { return None };
        let written = sheet.written(value);
        let facts = worded::understood(form, written, plain)?;
        // What can't become words again stays as it is.
        in_words(form, &facts)?;
        let text = in_map(form, &facts)?;
        Some(Edit { at: sheet.range(value), text })
    })
}

/// Things that are maps as words.
pub(super) fn proposals(sheet: &Sheet<'_>) -> Vec<Proposal> {
    each(sheet, |sheet, form, key, value, is_flow| {
        let words = in_words(form, &facts(sheet, form, value)?)?;
        let text = written(&words, is_flow)?;
        let at = sheet.range(value);
        if sheet.is_flow(value) {
            return Some(Edit { at, text });
        }
        // On the line of its key.
        let colon = sheet.range(key).end;
        let before = sheet.text.get(colon..at.start)?.trim_start().strip_prefix(':')?;
        before.trim().is_empty().then(|| Edit { at: colon..at.end, text: format!(": {text}") })
    })
}

/// What becomes of each wire and pin of a text.
fn each(sheet: &Sheet<'_>, edit: impl Fn(&Sheet<'_>, &'static Form, NodeId, NodeId, bool) -> Option<Edit>) -> Vec<Proposal> {
    let rooms = sheet.root.into_iter().flat_map(|root| worded::rooms(&sheet.tree, root, &sheet.names));
    let proposals = rooms.filter_map(|Room { owner, map, form }| {
        let is_flow = sheet.is_flow(map);
        let place = sheet.range(map);
        let is_here = |node: NodeId| {
            let own = sheet.range(node);
            place.start <= own.start && own.end <= place.end
        };
        let entries = sheet.tree.entries(map).filter(|(key, value)| is_here(*key) && is_here(*value));
        let is_behind = |(key, value): &(NodeId, NodeId)| sheet.range(*key).end <= sheet.range(*value).start;
        let edits = entries.filter(is_behind).filter_map(|(key, value)| edit(sheet, form, key, value, is_flow));
        let edits: Vec<Edit> = edits.collect();
        (!edits.is_empty()).then(|| Some(Proposal { owner: sheet.scalar(owner)?.to_owned(), edits }))?
    });
    proposals.collect()
}

/// The facts of a thing that is a map, in the order of the reference; `None` where one is more than a word.
fn facts(sheet: &Sheet<'_>, form: &Form, thing: NodeId) -> Option<Vec<Fact>> {
    let place = sheet.range(thing);
    let written = sheet.written(thing);
    if !sheet.is_map(thing) || written.contains(['#', '&', '*']) {
        return None;
    }
    let mut facts: Vec<(usize, Fact)> = Vec::new();
    for (key, value) in sheet.tree.entries(thing) {
        if sheet.range(key).start < place.start || sheet.range(value).end > place.end {
            return None;
        }
        let word = sheet.scalar(key)?;
        let at = form.record.fields.iter().position(|field| field.key.word() == word)?;
        let key = form.record.fields.get(at)?.key;
        let fact = match sheet.tree.kind(value) {
            Kind::Scalar { .. } => (key, vec![sheet.scalar(value)?.to_owned()], false),
            Kind::List => {
                let items = sheet.tree.items(value).map(|item| sheet.scalar(item).map(str::to_owned));
                (key, items.collect::<Option<Vec<_>>>()?, true)
            }
            Kind::Map | Kind::Missing => return None,
        };
        facts.push((at, fact));
    }
    facts.sort_by_key(|(at, _)| *at);
    Some(facts.into_iter().map(|(_, fact)| fact).collect())
}

/// The words that give these facts and no others.
fn in_words(form: &'static Form, facts: &[Fact]) -> Option<String> {
    if facts.iter().any(|(key, ..)| SENTENCES.contains(key)) {
        return None;
    }
    let value = |key: &Attribute| facts.iter().find(|(own, ..)| own == key).and_then(|(_, values, _)| values.first());
    let first: Vec<&str> = form.first.iter().map(|key| value(key).map(String::as_str)).collect::<Option<_>>()?;
    let mut pieces = vec![first.join(" to ")];
    pieces.extend(form.bare.iter().filter_map(|key| value(key).cloned()));
    let rest = facts.iter().filter(|(key, ..)| !form.first.contains(key) && !form.bare.contains(key));
    pieces.extend(rest.map(|(key, values, _)| format!("{key} {}", values.join(" and "))));
    let words = pieces.join(", ");
    let sorted = |facts: &[Fact]| {
        let mut facts = facts.to_vec();
        facts.sort();
        facts
    };
    let read = worded::understood(form, &words, true)?;
    (sorted(&read) == sorted(facts) && !words.contains('\n')).then_some(words)
}

/// Words as a value: bare where they read the same, in quotes otherwise.
fn written(words: &str, is_flow: bool) -> Option<String> {
    let is_cut = is_flow && words.contains([',', '[', ']', '{', '}']);
    let is_bare = !is_cut && words.starts_with(char::is_alphanumeric) && !words.contains([':', '#']);
    if is_bare { Some(words.to_owned()) } else { quoted(words) }
}

fn quoted(text: &str) -> Option<String> {
    (!text.contains(['"', '\\'])).then(|| format!("\"{text}\""))
}

/// A map on one line, its keys in the order of the reference.
fn in_map(form: &Form, facts: &[Fact]) -> Option<String> {
    let value = |text: &String| {
        let is_bare = text.starts_with(char::is_alphanumeric)
            && !text.contains([',', ':', '#', '[', ']', '{', '}', '"', '\'', '\\', '\t'])
            && text.trim() == text;
        if is_bare { Some(text.clone()) } else { quoted(text) }
    };
    let mut shown = Vec::new();
    for field in form.record.fields {
        let Some((key, values, is_list)) = facts.iter().find(|(key, ..)| *key == field.key) else { continue };
        let values: Vec<String> = values.iter().map(value).collect::<Option<_>>()?;
        let values = values.join(", ");
        shown.push(if *is_list { format!("{key}: [{values}]") } else { format!("{key}: {values}") });
    }
    Some(format!("{{ {} }}", shown.join(", ")))
}
