//! Both halves of a mated pair belong to one family.

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
        name: "mating/family-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a mated pair of two connector families",
        docs: include_str!("family_mismatch.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.mated_pairs().iter(facts.model()).filter(|pair| pair.differs_in_family()).map(|pair| finding(facts, &pair)).collect()
}

fn finding(facts: &Facts, pair: &MatedPair<'_>) -> Finding {
    let model = facts.model();
    let family = |half: &Half<'_>| half.housing.family.map_or("", |family| model.text(family.value));
    let (own, partner) = (family(&pair.own), family(&pair.partner));
    let names = (pair.own.name(model), pair.partner.name(model));
    let headline =
        format!("`{}` is of family `{own}` and its mate `{}` of family `{partner}`, so they do not join", names.0, names.1);
    let otherwise = format!("give `{}` a housing of family `{partner}`", names.0);
    let mut finding = mated_pair(
        facts,
        pair,
        RULE.finding(pair.own.place, headline, []),
        format!("family `{own}`"),
        format!("mate `{}`: family `{partner}`", names.1),
    );
    for (half, text) in [(pair.own, own), (pair.partner, partner)] {
        if let Some(family) = half.housing.family {
            let housing = model.text(half.housing.name);
            finding = finding.context(family.span, format!("`{housing}` is of family `{text}`"));
        }
    }
    mating_remedies(facts, pair, finding, &otherwise)
}
