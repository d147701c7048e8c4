//! Facts without which nobody can say how long a battery lasts, or whether its modules belong together.

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
    notes.chain(uneven(facts)).collect()
}

/// Voltage of the lowest module of a string over that of the highest below which they can't be of the same cells.
const EVEN: f64 = 0.95;

/// Strings whose modules differ in voltage: of other cells, of another count, or a slip.
fn uneven(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let notes = facts.batteries().strings.iter().filter_map(|string| {
        let cells = || string.banks.iter().map(|bank| &bank.first);
        let low = cells().min_by(|a, b| a.emf.get().total_cmp(&b.emf.get()))?;
        let high = cells().max_by(|a, b| a.emf.get().total_cmp(&b.emf.get()))?;
        if low.emf.get() >= EVEN * high.emf.get() {
            return None;
        }
        let (name, other) = (model.element_name(high.source), model.element_name(low.source));
        let mut note = MissingFact::new(
            model[high.source].value_span,
            format!(
                "whether `{name}` ({}) and `{other}` ({}) charge evenly in one string was not checked: their voltages differ",
                high.emf, low.emf
            ),
            "another voltage than the other modules of its string",
            "correct the voltage, or make sure that both are made of the same cells and are balanced together".to_owned(),
            name,
        );
        note.others = vec![(model[low.source].value_span, other)];
        Some(note)
    });
    notes.collect()
}
