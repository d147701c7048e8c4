//! Facts without which nobody can say how long a battery lasts.

use super::MissingFact;
use crate::{facts::Facts, model::ElementKind};
use std::collections::BTreeSet;

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut lacking = BTreeSet::new();
    for mode in facts.electrical().modes().filter(|mode| model[mode.id].standing.is_some()) {
        for (id, edge) in facts.network().edges() {
            let Some(source) = edge.element().filter(|_| edge.role.is_source()) else { continue };
            let unsaid = matches!(model[source].kind, ElementKind::Source { capacity: None, .. });
            if unsaid && mode.amps(id).get() > NOTHING && !mode.is_shorted(edge.a) {
                lacking.insert(source);
            }
        }
    }
    let notes = lacking.into_iter().map(|source| {
        let name = model.element_name(source);
        MissingFact::new(
            model[source].span,
            format!("how long `{name}` lasts while the vehicle is parked was not checked: it gives no `capacity`"),
            "drained while the vehicle is parked",
            format!("add `capacity` to `{name}`, such as `capacity: 60 Ah`"),
            name,
        )
    });
    notes.collect()
}
