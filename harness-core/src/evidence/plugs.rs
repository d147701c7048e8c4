//! What puts a whole plug right, as changes of the text: plugs that are mated elsewhere, wires that go to other cavities all at once.

use super::{remedies::in_same_end, swaps::are_alike};
use crate::{
    facts::{
        Facts,
        plug_slips::{Misnumbered, WrongPorts},
    },
    finding::{Remedy, RemedyKind},
    model::{Mate, PointId},
    text::Span,
    wording::{list, quoted},
};

/// Each plug mated where it belongs. `None` where it is written nowhere what a plug mates.
#[must_use]
pub fn remated(facts: &Facts, slip: &WrongPorts) -> Option<Remedy> {
    let model = facts.model();
    let names: Vec<String> = slip.plugs.iter().map(|plug| model.end_name(plug.end)).collect();
    let words = match names.as_slice() {
        [one, other] if slip.is_ring => format!("swap the plugs `{one}` and `{other}`"),
        _ => {
            let each =
                slip.plugs.iter().zip(&names).map(|(plug, name)| format!("`{name}` on `{}`", model.mate_name(plug.belongs)));
            format!("put {}", list(&each.collect::<Vec<_>>()))
        }
    };
    let kind = if slip.is_ring { RemedyKind::Swap } else { RemedyKind::Mating };
    let mut remedy = Remedy::new(kind, words);
    for (plug, name) in slip.plugs.iter().zip(&names) {
        remedy = remedy.edit(model[plug.end].mate_span?, model.mate_name(plug.belongs));
        // The other half may say it too.
        if let Mate::End(other) = plug.belongs
            && let Some(span) = model[other].mate_span
        {
            remedy = remedy.edit(span, name.as_str());
        }
    }
    // A plug that is named for its place stays there: then its wires are in the other one.
    let ends: Vec<&str> = slip.plugs.iter().map(|plug| model.text(model[plug.end].name)).collect();
    let is_numbered = ends.iter().zip(ends.iter().skip(1)).all(|(one, other)| are_numbered(one, other));
    Some(if is_numbered && slip.others.is_empty() { remedy } else { remedy.one_of_several() })
}

/// Whether two names differ in their last number alone, as `P1` and `P2` do: they say nothing of a place.
fn are_numbered(one: &str, other: &str) -> bool {
    let stem = |name: &str| name.trim_end_matches(|letter: char| letter.is_ascii_digit()).len();
    let (first, second) = (stem(one), stem(other));
    first < one.len() && second < other.len() && one.get(..first) == other.get(..second)
}

/// All wires of a plug moved to the cavities in which they belong, and the plugs of free cavities where the wires came from. `None` where what is in a cavity
/// is not a wire.
#[must_use]
pub fn renumbered(facts: &Facts, slip: &Misnumbered) -> Option<Remedy> {
    let (model, ends, sources) = (facts.model(), facts.wire_ends(), facts.design().sources());
    let mut words = Vec::new();
    let mut moved = Vec::new();
    let mut edits: Vec<(Span, String)> = Vec::new();
    for (from, to) in &slip.moves {
        let wires = ends.wires(*from);
        if wires.len() != ends.count(*from) {
            return None;
        }
        for end in wires {
            moved.push(end.wire);
            words.push(format!("{} to `{}`", quoted(model.wire_name(end.wire)), model.point_name(*to)));
            edits.push((end.span, in_same_end(model, sources, end, *to)?));
        }
    }
    let is_left = |cavity: PointId| slip.moves.iter().any(|(from, _)| *from == cavity);
    let is_taken = |cavity: PointId| slip.moves.iter().any(|(_, to)| *to == cavity);
    let is_closed = slip.moves.iter().all(|(from, to)| is_taken(*from) && is_left(*to));
    let freed = slip.moves.iter().map(|(from, _)| *from).filter(|cavity| !is_taken(*cavity));
    let closed = model[slip.plug].plugged.iter().filter(|(cavity, _)| is_taken(*cavity));
    edits.extend(closed.zip(freed).map(|((_, span), cavity)| (*span, model.text(model[cavity].label).to_owned())));
    let kind = if is_closed { RemedyKind::Swap } else { RemedyKind::Move };
    let remedy = Remedy::new(kind, format!("move {}", list(&words)));
    let remedy = edits.into_iter().fold(remedy, |remedy, (span, text)| remedy.edit(span, text));
    // Of wires that differ in nothing it does not matter at which end they are moved.
    Some(if slip.others.is_empty() || are_alike(model, &moved) { remedy } else { remedy.one_of_several() })
}
