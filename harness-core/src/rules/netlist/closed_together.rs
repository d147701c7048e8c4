//! Elements that exclude each other, by what is stated or by what they reverse, are closed in one mode.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    facts::bridged_fields::BridgedField,
    finding::{Finding, Level},
    model::{ElementId, Exclusive, ModeId},
    network::{EdgeId, EdgeKind},
    rules::{Rule, RulePage},
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/closed-together",
        level: Level::Error,
        since: "0.1.0",
        finds: "two elements that are stated as exclusive, or reverse one winding, and are both closed in one mode",
        docs: include_str!("closed_together.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = stated(analysis);
    findings.extend(reversing(analysis));
    findings
}

/// Reversing contacts that bridge what they reverse.
fn reversing(analysis: &Analysis) -> Vec<Finding> {
    let (model, facts) = (analysis.model(), analysis.facts());
    let is_stated = |one: ElementId, other: ElementId| {
        let names = |element: ElementId, group: &Exclusive| group.elements.iter().any(|(member, _)| *member == element);
        model.exclusive.iter().any(|group| names(one, group) && names(other, group))
    };
    let found = facts.bridged_fields().into_iter().filter(|one| !is_stated(one.contacts.0, one.contacts.1));
    let finding = |one: BridgedField| {
        let (first, second) = one.contacts;
        let (field, modes) = (model.element_name(one.field), in_modes(model, &one.modes));
        let (name, other) = (model.element_name(first), model.element_name(second));
        RULE.finding(
            model[second].value_span,
            format!("`{name}` and `{other}` are both closed{modes} and bridge `{field}`, which they reverse"),
            [],
        )
        .label("closed together with the other")
        .context(model[first].value_span, "the other")
        .context(model[one.field].value_span, "gets no current")
        .help(format!("open `{name}` or `{other}` in each of these modes: one direction closes one of them"))
        .concerns(name)
        .concerns(other)
        .concerns(field)
    };
    found.map(finding).collect()
}

/// Elements that a device lists as exclusive.
fn stated(analysis: &Analysis) -> Vec<Finding> {
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
