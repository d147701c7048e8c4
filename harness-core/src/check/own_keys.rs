//! Edits of what a thing has from elsewhere, made into keys of its own: the edit of one wire must not change those beside it.
//!
//! A size or colour that a loom gives to its wires, and a housing that follows from a mate, have a place without letters behind a value of
//! the thing. What would be written there becomes a key with that value.

use crate::{
    finding::{Edit, Judged},
    format::Attribute,
    model::Model,
    text::{Sources, Span},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// Makes the edits of a design's findings such that each changes what it says and nothing else.
pub(super) fn own_keys(model: &Model, sources: &Sources, findings: &mut [Judged]) {
    let mut implied: Option<FxHashMap<Span, Attribute>> = None;
    let shared = shared(model);
    for finding in findings {
        // A word that names several cavities can't be changed for one of them.
        finding.finding.remedies.retain(|remedy| !remedy.edits.iter().any(|edit| shared.contains(&edit.span)));
        // Nor can what others have from a thing that they are like.
        let is_of_several =
            |edit: &Edit| sources.file(edit.span.file).is_some_and(|file| file.is_shared(edit.span.start, edit.span.end));
        finding.finding.remedies.retain(|remedy| !remedy.edits.iter().any(is_of_several));
        for edit in finding.finding.remedies.iter_mut().flat_map(|remedy| &mut remedy.edits) {
            let is_value = edit.span.start == edit.span.end && !edit.text.starts_with([',', '\n', ' ']);
            if !is_value {
                continue;
            }
            let places = implied.get_or_insert_with(|| places(model));
            let Some(key) = places.get(&edit.span) else { continue };
            if let Some((place, text)) = in_words(sources, edit, *key) {
                *edit = Edit { span: place, text };
                continue;
            }
            let text = own_key(sources, edit, *key);
            edit.text = text;
        }
    }
}

/// The places of words that name several plugged cavities.
fn shared(model: &Model) -> FxHashSet<Span> {
    let (mut once, mut shared) = (FxHashSet::default(), FxHashSet::default());
    for (_, end) in model.ends() {
        for (_, span) in &end.plugged {
            if span.start == span.end || !once.insert(*span) {
                shared.insert(*span);
            }
        }
    }
    shared
}

/// The places without letters of a design's values.
fn places(model: &Model) -> FxHashMap<Span, Attribute> {
    let mut places = FxHashMap::default();
    for (_, wire) in model.wires() {
        places.extend(wire.size.map(|size| (size.span, Attribute::Size)));
        places.extend(wire.colour.map(|colour| (colour.span, Attribute::Colour)));
    }
    places.extend(model.ends().map(|(_, end)| (end.housing_span, Attribute::Housing)));
    places.retain(|span, _| span.start == span.end);
    places
}

/// A further piece of the words that the place is in, behind `A to B`: a size is known by its form, and so is a colour.
fn in_words(sources: &Sources, edit: &Edit, key: Attribute) -> Option<(Span, String)> {
    let text = sources.file(edit.span.file)?.text();
    let (before, behind) = text.split_at_checked(edit.span.start as usize)?;
    let line = before.rsplit('\n').next()?;
    let end = |behind: &str| behind.find([',', '"', '\'', '\n', '\r']).map_or(behind.len(), |end| end);
    let follows = |text: &str| text.trim_start().strip_prefix("to ").is_some_and(|_| text.starts_with(char::is_whitespace));
    let place = match key {
        Attribute::Size => {
            let (rest, _) = line.rsplit_once(char::is_whitespace)?;
            rest.trim_end().ends_with(" to").then_some(edit.span.start)?
        }
        Attribute::Colour if follows(behind) => {
            let words = behind.get(..end(behind))?;
            let words = words.split(" #").next()?.trim_end();
            edit.span.start + u32::try_from(words.len()).ok()?
        }
        _ => return None,
    };
    Some((Span::new(edit.span.file, place, place), format!(", {}", edit.text)))
}

/// A further key of the map that the place is in: in its braces, or on a line of its own.
fn own_key(sources: &Sources, edit: &Edit, key: Attribute) -> String {
    let before = sources.file(edit.span.file).and_then(|file| file.text().get(..edit.span.start as usize)).unwrap_or("");
    let line = before.rsplit('\n').next().unwrap_or("");
    let text = &edit.text;
    if line.contains('{') {
        return format!(", {key}: {text}");
    }
    let indent: String = line.chars().take_while(|letter| letter.is_whitespace()).collect();
    format!("\n{indent}{key}: {text}")
}
