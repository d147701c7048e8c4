//! Facts without which nobody can say whether a relay lets go, and what becomes of its coil's energy.

use super::MissingFact;
use crate::{
    electrical::{
        HeldBy,
        coils::{Across, Driver},
    },
    facts::Facts,
    model::ElementId,
};
use rustc_hash::FxHashSet;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    second_states(facts).into_iter().chain(suppression(facts)).collect()
}

/// Coils of which nobody says how they are suppressed, on drivers that do not clamp.
fn suppression(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let unsaid = facts.coils().iter().filter(|coil| {
        coil.own.is_none() && coil.across == Across::Nothing && matches!(coil.driver, Driver::Pin(_) | Driver::Contact(_))
    });
    let notes = unsaid.map(|coil| {
        let name = model.element_name(coil.element);
        MissingFact::new(
            model[coil.element].span,
            format!("whether something limits the voltage of the coil `{name}` was not checked: it gives no `suppression`"),
            "switched by what does not clamp",
            format!("add `suppression` to `{name}`, such as `suppression: diode`, or `suppression: none`"),
            name,
        )
    });
    notes.collect()
}

/// Relays that hold themselves, of which nobody says whether they are in; second states of rest that were not found.
fn second_states(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut findings = Vec::new();
    let mut seen: FxHashSet<ElementId> = FxHashSet::default();
    for held in facts.electrical().latched() {
        let mode = model.mode_name(held.state.id);
        for coil in &held.coils {
            let Some(relay) = facts.network()[coil.edge].element() else { continue };
            if (coil.by != HeldBy::Own && held.state.is_settled()) || !seen.insert(relay) {
                continue;
            }
            let (item, coil) = (&model[relay], relay);
            let name = model.element_name(coil);
            if !held.state.is_settled() {
                findings.push(MissingFact::new(
                    item.span,
                    format!(
                        "whether `{name}` stays energised in mode `{mode}` was not checked: the state after `{}` does not settle",
                        model.mode_name(held.after)
                    ),
                    "pulled in before the mode begins",
                    "look for a relay whose contact switches its own coil".to_owned(),
                    name,
                ));
            } else {
                findings.push(MissingFact::new(
                    item.span,
                    format!(
                        "currents in `{mode}` were computed with `{name}` released, though it holds itself once it is energised"
                    ),
                    "holds itself through its own contact",
                    format!("close what energises `{name}` in this mode too, such as with `closed-in`, if it is energised then"),
                    name,
                ));
            }
        }
    }
    findings
}
