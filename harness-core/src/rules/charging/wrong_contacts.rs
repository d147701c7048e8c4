//! A charging inlet has the contacts of its type, and no others.

use crate::{
    analysis::Analysis,
    facts::{Facts, inlets::ChargingInlet},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    standards::charging_inlet::{InletContact, foreign, needed},
    vocabulary::Word,
    wording::{agree, list},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/wrong-contacts",
        level: Level::Error,
        since: "0.1.0",
        finds: "a charging inlet without a contact of its type, with one that the type does not have, or with one name twice",
        docs: include_str!("wrong_contacts.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.inlets().iter().flat_map(|inlet| [missing(facts, inlet), others(facts, inlet), twice(facts, inlet)]).flatten().collect()
}

/// Contacts that the type needs and the inlet does not have.
fn missing(facts: &Facts, inlet: &ChargingInlet) -> Option<Finding> {
    let (model, kind) = (facts.model(), inlet.kind?);
    let needed = needed(kind.value);
    let lacking: Vec<&str> =
        needed.value.iter().filter(|contact| inlet.contact(**contact).is_none()).map(|contact| contact.name()).collect();
    if lacking.is_empty() {
        return None;
    }
    let (name, kind_name) = (model.port_name(inlet.port), kind.value.written());
    Some(
        RULE.finding(kind.span, format!("the inlet `{name}`, {kind_name}, has no {}", list(&lacking)), [])
            .label(format!("a {kind_name} inlet has {}", agree(lacking.len(), "this contact", "these contacts")))
            .figure("contacts of the type", list(&needed.value.iter().map(|contact| contact.name()).collect::<Vec<_>>()))
            .figure("source", needed.source)
            .help(format!(
                "add {} to `{name}`, named as in the standard or by `role`: `line`, `neutral`, `earth`, `control pilot`, `proximity`; if the inlet is of another type, \
                 correct `inlet`",
                list(&lacking)
            ))
            .concerns(name),
    )
}

/// Contacts that the type does not have.
fn others(facts: &Facts, inlet: &ChargingInlet) -> Option<Finding> {
    let (model, kind) = (facts.model(), inlet.kind?);
    let foreign = foreign(kind.value);
    let port = |at| model.port_at(at).is_some_and(|port| model[port].inlet.is_some());
    let (contact, point) = inlet.contacts.iter().find(|(contact, point)| foreign.value.contains(contact) && port(*point))?;
    let (name, kind_name) = (model.point_name(*point), kind.value.written());
    Some(
        RULE.finding(model[*point].span, format!("a {kind_name} inlet has no {}, and `{name}` is one", contact.name()), [])
            .label("no contact of this type")
            .context(kind.span, format!("{kind_name} here"))
            .figure("source", foreign.source)
            .help(format!(
                "if the inlet has this contact, state its type: {}; else take `{name}` out",
                if matches!(contact, InletContact::Line3) { "`Type 2`" } else { "`Combined 1` or `Combined 2`" }
            ))
            .concerns(name),
    )
}

/// Two pins of one port with the name of one contact.
fn twice(facts: &Facts, inlet: &ChargingInlet) -> Option<Finding> {
    let model = facts.model();
    let is_single = |contact: InletContact| matches!(contact, InletContact::Pilot | InletContact::Proximity);
    let (contact, first, second) = inlet.contacts.iter().enumerate().find_map(|(at, (contact, point))| {
        let before = inlet.contacts.iter().take(at);
        let first = before.into_iter().find(|(other, _)| other == contact && is_single(*contact))?.1;
        (model.port_at(first) == model.port_at(*point)).then_some((*contact, first, *point))
    })?;
    let (one, other) = (model.point_name(first), model.point_name(second));
    Some(
        RULE.finding(
            model[second].span,
            format!("`{one}` and `{other}` are both the {} contact of one inlet", contact.name()),
            [],
        )
        .label("second one")
        .context(model[first].span, "first one")
        .help(format!("correct the role of `{one}` or of `{other}`: an inlet has one {} contact", contact.name()))
        .concerns(one)
        .concerns(other),
    )
}
