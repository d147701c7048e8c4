//! Facts without which nobody can say how long a battery lasts.

use super::note;
use crate::{analysis::Analysis, finding::Finding, model::ElementKind};
use std::collections::BTreeSet;

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

pub(super) fn missing(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut lacking = BTreeSet::new();
    for mode in analysis.electrical().modes().filter(|mode| model.mode(mode.id).is_some_and(|mode| mode.standing.is_some())) {
        for (id, edge) in analysis.network().edges() {
            let Some((source, _)) = edge.element() else { continue };
            let kind = model.element(source).map(|element| &element.kind);
            let unsaid = matches!(kind, Some(ElementKind::Source { capacity: None, .. }));
            if unsaid && mode.amps(id).get() > NOTHING && !mode.is_shorted(edge.a) {
                lacking.insert(source);
            }
        }
    }
    let notes = lacking.into_iter().filter_map(|source| {
        let name = model.element_name(source);
        Some(note(
            model.element(source)?.span,
            format!("how long `{name}` lasts while the vehicle stands was not checked: it gives no `capacity`"),
            "drained in a standing mode",
            format!("add `capacity` to `{name}`, such as `capacity: 60 Ah`"),
            name,
        ))
    });
    notes.collect()
}
