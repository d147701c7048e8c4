//! Facts without which nobody can say whether a relay lets go, and what becomes of its coil's energy.

use super::note;
use crate::{
    analysis::Analysis,
    electrical::{
        Way,
        coils::{Across, Driver},
    },
    finding::Finding,
    model::ElementId,
};

pub(super) fn missing(analysis: &Analysis) -> Vec<Finding> {
    second_states(analysis).into_iter().chain(suppression(analysis)).collect()
}

/// Coils of which nobody says how they are suppressed, on drivers that do not clamp.
fn suppression(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let unsaid = analysis.facts().coils().iter().filter(|coil| {
        coil.own.is_none() && coil.across == Across::Nothing && matches!(coil.driver, Driver::Pin(_) | Driver::Contact(_))
    });
    let notes = unsaid.filter_map(|coil| {
        let name = model.element_name(coil.element);
        Some(note(
            model.element(coil.element)?.span,
            format!("whether something takes the voltage of the coil `{name}` was not checked: it gives no `suppression`"),
            "switched by what does not clamp",
            format!("add `suppression` to `{name}`, such as `suppression: diode`, or `suppression: none`"),
            name,
        ))
    });
    notes.collect()
}

/// Relays that hold themselves, of which nobody says whether they are in; second states of rest that were not found.
fn second_states(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let element = |edge| analysis.network().edge(edge).and_then(|edge| edge.element()).map(|(element, _)| element);
    let mut findings = Vec::new();
    let mut told: Vec<ElementId> = Vec::new();
    for held in analysis.electrical().held() {
        let mode = model.mode_name(held.state.id);
        for coil in &held.coils {
            let Some(coil) = element(coil.edge).filter(|_| coil.way == Way::Own || !held.state.is_settled()) else { continue };
            let Some(item) = model.element(coil).filter(|_| !told.contains(&coil)) else { continue };
            told.push(coil);
            let name = model.element_name(coil);
            if !held.state.is_settled() {
                findings.push(note(
                    item.span,
                    format!(
                        "whether `{name}` stays in in `{mode}` was not checked: the state after `{}` finds no rest",
                        model.mode_name(held.after)
                    ),
                    "changes with what it changes",
                    "look for a relay that cuts its own coil".to_owned(),
                    name,
                ));
            } else {
                findings.push(note(
                    item.span,
                    format!("currents in `{mode}` were computed with `{name}` released, though it holds itself once it is in"),
                    "holds itself through its own contact",
                    format!("close what pulls `{name}` in in this mode too, such as by `closed-in`, if it is in then"),
                    name,
                ));
            }
        }
    }
    findings
}
