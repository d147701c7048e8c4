//! Facts without which nobody knows what a plug in another one's place does: what a pin takes that would meet a supply there.

use super::MissingFact;
use crate::{
    facts::{
        Facts,
        swaps::{Grade, Keys, Pair, plug_name},
    },
    model::{PointId, PointKind},
    text::Span,
    wording::count,
};
use std::collections::BTreeMap;

/// Pairs that are looked at: of plugs alike the first ones say what is missing.
const MOST_PAIRS: usize = 10_000;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let (model, swaps) = (facts.model(), facts.swaps());
    // One note for each pin that decides, however many pairs it does.
    let mut by_point: BTreeMap<PointId, (Pair, usize)> = BTreeMap::new();
    let mut looked_at = 0;
    swaps.each_of(model, &Keys::AsWritten, Grade::Unjudged, |pair| {
        if pair.grade != Grade::Unjudged || looked_at == MOST_PAIRS {
            return;
        }
        looked_at += 1;
        let Some((own, other)) = swaps.verdict(model, &pair).and_then(|verdict| swaps.met(&verdict)) else { return };
        let is_held = |kind| swaps.kind(kind).is_some_and(|kind| kind.pole.is_some());
        let point = if is_held(own.kind) { other.point } else { own.point };
        let known = by_point.entry(point).or_insert((pair, 0));
        known.1 += 1;
        if (pair.first, pair.second) < (known.0.first, known.0.second) {
            known.0 = pair;
        }
    });
    let note = |(point, (pair, pairs)): (PointId, (Pair, usize))| {
        let [one, other] = [pair.first, pair.second].map(|id| plug_name(model, swaps.plug(id)));
        let more = match pairs - 1 {
            0 => String::new(),
            more => format!(" (and {} more)", count(more, "pair")),
        };
        let name = model.point_name(point);
        MissingFact::new(
            place(facts, point),
            format!(
                "what `{one}` and `{other}` in each other's place do{more} was not checked: a supply would meet `{name}`, and nothing says what that takes"
            ),
            "takes an unknown voltage",
            format!(
                "write the `role` and `domain` of the pin that is joined to `{name}`, and what is inside its box; or give one of the two plugs another key, both halves"
            ),
            name,
        )
    };
    by_point.into_iter().map(note).collect()
}

/// Where a pin is written; for a cavity without a pin its end.
fn place(facts: &Facts, point: PointId) -> Span {
    let model = facts.model();
    let of_end = match model[point].kind {
        PointKind::Cavity(end) => Some(model[end].span),
        _ => None,
    };
    of_end.unwrap_or(model[point].span)
}
