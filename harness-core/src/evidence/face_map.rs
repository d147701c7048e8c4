//! Which position of one half meets which of the other, as their faces have it, written at the loom's end.

use crate::{
    facts::{Facts, faces::met_by_faces, mated_pairs::Half},
    finding::{Remedy, RemedyKind},
    model::Mate,
    text::{Sources, Span},
    wording::list,
};

/// Positions of which a remedy writes the whole map.
const MOST_MAPPED: usize = 60;

/// `pins` at the loom's end of each pair, as its faces have it. `None` where a face does not say it, or an end has `pins` already: which of the two
/// is wrong then is for people to say.
#[must_use]
pub fn face_map(facts: &Facts, pairs: &[[Mate; 2]]) -> Option<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    let mut names = Vec::new();
    let mut edits = Vec::new();
    for [own, partner] in pairs {
        let Mate::End(end) = own else { return None };
        let (half, mate) = (Half::of(model, *own)?, Half::of(model, *partner)?);
        let is_mapped = match partner {
            Mate::End(other) => !model[*other].pins.is_empty(),
            Mate::Port(_) => false,
        };
        if is_mapped || !model[*end].pins.is_empty() {
            return None;
        }
        let map = met_by_faces(&half, &mate).filter(|map| map.len() <= MOST_MAPPED)?;
        let each: Vec<String> = map.iter().map(|two| two.map(|label| model.text(label)).join(": ")).collect();
        edits.push(after(sources, half.place, &format!("pins: {{ {} }}", each.join(", ")))?);
        names.push(format!("`{}`", model.end_name(*end)));
    }
    let remedy =
        Remedy::new(RemedyKind::Record, format!("state at {} which position meets which, as the faces have it", list(&names)));
    Some(edits.into_iter().fold(remedy, |remedy, (span, text)| remedy.edit(span, text)))
}

/// The place after the value of a key, and the text that makes `entry` the next key of the same map.
fn after(sources: &Sources, value: Span, entry: &str) -> Option<(Span, String)> {
    let line = sources.file(value.file)?.text().get(..value.start as usize)?.rsplit('\n').next()?;
    let indent: String = line.chars().take_while(|letter| letter.is_whitespace()).collect();
    // A map in braces, or a key on a line of its own.
    let text = if line.contains('{') { format!(", {entry}") } else { format!("\n{indent}{entry}") };
    Some((Span::new(value.file, value.end, value.end), text))
}
