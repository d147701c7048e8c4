//! Of a mated pair one half has pins and the other sockets.

use crate::{
    analysis::Analysis,
    evidence::{mated_pair, mating_remedies},
    facts::{Facts, mated_pairs::MatedPair},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    vocabulary::Contacts,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/contact-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a mated pair with pins in both halves, or sockets in both",
        docs: include_str!("contact_mismatch.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.mated_pairs().of_one_family(facts.model()).filter_map(|pair| mismatch(facts, &pair)).collect()
}

fn mismatch(facts: &Facts, pair: &MatedPair<'_>) -> Option<Finding> {
    let model = facts.model();
    let (own, partner) = (pair.own.housing.contacts?, pair.partner.housing.contacts?);
    if own.value != partner.value {
        return None;
    }
    let (both, needed) = match own.value {
        Contacts::Socket => ("sockets", "pins"),
        Contacts::Pin => ("pins", "sockets"),
    };
    let names = (pair.own.name(model), pair.partner.name(model));
    let mut finding = mated_pair(
        facts,
        pair,
        RULE.finding(
            pair.own.place,
            format!("`{}` and its mate `{}` both have {both}, so they do not join", names.0, names.1),
            [],
        ),
        format!("housing with {both}"),
        format!("mate `{}`: {both} too", names.1),
    );
    for (half, contacts) in [(pair.own, own), (pair.partner, partner)] {
        finding = finding.context(contacts.span, format!("`{}` has {both}", model.text(half.housing.name)));
    }
    // One housing kind on both sides has its contacts written once.
    finding.labels.dedup();
    Some(mating_remedies(facts, pair, finding, &format!("give `{}` the half of its family with {needed}", names.0)))
}
