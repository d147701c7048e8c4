//! Elements that exclude each other are closed in one mode.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    finding::{Finding, Level},
    model::{ElementId, ModeId},
    network::{EdgeId, EdgeKind},
    rules::{Rule, RulePage},
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/closed-together",
        level: Level::Error,
        since: "0.1.0",
        finds: "two elements that are stated as exclusive and are both closed in one mode",
        docs: include_str!("closed_together.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let mut findings = Vec::new();
    if model.exclusive.is_empty() {
        return findings;
    }
    // The contact of each element that closes: of a changeover relay the one that closes when it is energised, which comes first.
    let mut contacts: FxHashMap<ElementId, EdgeId> = FxHashMap::default();
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_switched()) {
        if let EdgeKind::Element(element) = edge.kind {
            contacts.entry(element).or_insert(id);
        }
    }
    let closed = |element: &ElementId, mode: ModeId| {
        let state = || analysis.electrical().modes().find(|state| state.id == mode);
        let moved = || state().zip(contacts.get(element)).is_some_and(|(state, contact)| state.conducts(*contact));
        contacts.contains_key(element) && model[*element].kind.is_closed(mode).unwrap_or_else(moved)
    };
    for group in &model.exclusive {
        for (at, (one, _)) in group.elements.iter().enumerate() {
            for (other, span) in group.elements.iter().skip(at + 1) {
                let both = |mode: &ModeId| closed(one, *mode) && closed(other, *mode);
                let modes: Vec<ModeId> = analysis.electrical().modes().map(|mode| mode.id).filter(both).collect();
                if modes.is_empty() {
                    continue;
                }
                let (first, second) = (model.element_name(*one), model.element_name(*other));
                let finding = RULE
                    .finding(
                        *span,
                        format!("`{first}` and `{second}` exclude each other, and both are closed{}", in_modes(model, &modes)),
                        [],
                    )
                    .label("stated as exclusive here")
                    .context(model[*one].value_span, "closed")
                    .context(model[*other].value_span, "closed in the same mode")
                    .help(format!(
                        "open `{first}` or `{second}` in this mode, or remove one of them from `exclusive` if both may be closed"
                    ));
                findings.push(finding.concerns(first).concerns(second));
            }
        }
    }
    findings
}
