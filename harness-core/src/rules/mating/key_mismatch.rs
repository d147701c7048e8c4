//! Both halves of a mated pair have the same key, or neither has one.

use crate::{
    analysis::Analysis,
    evidence::{mated_pair, mating_remedies},
    facts::{
        Facts,
        mated_pairs::{Half, MatedPair},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/key-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a mated pair whose keys differ, or of which only one half has a key",
        docs: include_str!("key_mismatch.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.mated_pairs().of_one_family(facts.model()).filter_map(|pair| mismatch(facts, &pair)).collect()
}

fn mismatch(facts: &Facts, pair: &MatedPair<'_>) -> Option<Finding> {
    let model = facts.model();
    let key = |half: &Half<'_>| half.housing.key.map(|key| key.value);
    if key(&pair.own) == key(&pair.partner) {
        return None;
    }
    let words = |half: &Half<'_>| key(half).map_or("no key".to_owned(), |key| format!("key `{}`", model.text(key)));
    let names = (pair.own.name(model), pair.partner.name(model));
    let (own, partner) = (words(&pair.own), words(&pair.partner));
    let keyed = key(&pair.own).is_some() && key(&pair.partner).is_some();
    let effect = if keyed { ", so they do not join" } else { "" };
    let mut finding = mated_pair(
        facts,
        pair,
        RULE.finding(pair.own.place, format!("`{}` has {own} and its mate `{}` has {partner}{effect}", names.0, names.1), []),
        format!("housing with {own}"),
        format!("mate `{}`: {partner}", names.1),
    );
    for (half, words) in [(pair.own, own), (pair.partner, partner.clone())] {
        let place = half.housing.key.map_or(half.housing.span, |key| key.span);
        finding = finding.context(place, format!("`{}` has {words}", model.text(half.housing.name)));
    }
    let otherwise = format!("give `{}` a housing with {partner}", names.0);
    Some(mating_remedies(facts, pair, finding, &otherwise))
}
