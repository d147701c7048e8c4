//! Both halves of a mated pair have the same positions.

use crate::{
    analysis::Analysis,
    evidence::{mated_pair, mating_remedies},
    facts::{
        Facts,
        mated_pairs::{Half, MatedPair},
    },
    finding::{Finding, Level},
    model::{Housing, Model},
    rules::{Rule, RulePage},
    wording::{count, first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/position-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a mated pair whose halves do not have the same positions",
        docs: include_str!("position_mismatch.md"),
    },
    check,
};

/// Labels that a message lists before it only counts them.
const MOST_LISTED: usize = 6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.mated_pairs().of_one_family(facts.model()).filter_map(|pair| mismatch(facts, &pair)).collect()
}

fn mismatch(facts: &Facts, pair: &MatedPair<'_>) -> Option<Finding> {
    let model = facts.model();
    let own = only_in(model, pair.own.housing, pair.partner.housing);
    let partner = only_in(model, pair.partner.housing, pair.own.housing);
    if own.is_empty() && partner.is_empty() {
        return None;
    }
    let names = (pair.own.name(model), pair.partner.name(model));
    let parts = [(&own, &names.0), (&partner, &names.1)].map(|(labels, name)| match labels.as_slice() {
        [] => None,
        [one] => Some(format!("position `{one}` is only in `{name}`")),
        labels => Some(format!("positions {} are only in `{name}`", listed(labels))),
    });
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let mut finding = mated_pair(
        facts,
        pair,
        RULE.finding(
            pair.own.place,
            format!("`{}` and its mate `{}` do not have the same positions: {}", names.0, names.1, parts.join(", ")),
            [],
        ),
        positions(&pair.own),
        format!("mate `{}`: {}", names.1, positions(&pair.partner)),
    );
    for half in [pair.own, pair.partner] {
        let text = format!("`{}` has {}", model.text(half.housing.name), positions(&half));
        finding = finding.context(half.housing.labels_span, text);
    }
    let otherwise = if pair.own.housing.labels.len() == pair.partner.housing.labels.len() {
        "label the positions of both housings by one scheme".to_owned()
    } else {
        format!("give `{}` a housing with {}", names.0, positions(&pair.partner))
    };
    Some(mating_remedies(facts, pair, finding, &otherwise))
}

/// The labels of `housing` that `other` does not have, in the order written.
fn only_in<'m>(model: &'m Model, housing: &Housing, other: &Housing) -> Vec<&'m str> {
    let lacks = |label| other.index.binary_search_by_key(&label, |(known, _)| *known).is_err();
    housing.labels.iter().copied().filter(|label| lacks(*label)).map(|label| model.text(label)).collect()
}

fn positions(half: &Half<'_>) -> String {
    count(half.housing.labels.len(), "position")
}

fn listed(labels: &[&str]) -> String {
    let labels: Vec<String> = labels.iter().map(quoted).collect();
    first(&labels, MOST_LISTED)
}
