//! No plug fits another one's place where that mixes up signals, for workshops that want it so.

use crate::{
    analysis::Analysis,
    evidence::plug_swaps::{by_cause, consequence, half_in_hand, housing_words},
    facts::{
        Facts,
        swaps::{Grade, Keys, Pair, plug_name},
    },
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    wording::{count, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/swapped-signals",
        level: Level::Note,
        since: "0.1.0",
        finds: "plugs that fit each other's place, where that mixes up signals: where the policy names the rule",
        docs: include_str!("swapped_signals.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let model = facts.model();
    if !model.policy.levels.iter().any(|(name, ..)| model.text(*name) == RULE.page.name) {
        return Vec::new();
    }
    let mut pairs: Vec<Pair> = Vec::new();
    facts.swaps().each_pair(model, &Keys::AsWritten, |pair| {
        // Many plugs of one family make a pair each: those of one cause are one finding, and the first pairs say enough.
        if pair.verdict.grade == Grade::Mixed && pairs.len() < MOST_PAIRS {
            pairs.push(pair);
        }
    });
    by_cause(&pairs).into_iter().filter_map(|cause| finding(facts, &cause)).collect()
}

/// Pairs that are kept.
const MOST_PAIRS: usize = 100_000;

fn finding(facts: &Facts, cause: &[Pair]) -> Option<Finding> {
    let (model, swaps) = (facts.model(), facts.swaps());
    let worst = cause.first()?;
    let consequence = consequence(facts, &worst.verdict, &mut 0);
    let name = |id| plug_name(model, swaps.plug(id));
    let more = match cause.len() - 1 {
        0 => String::new(),
        more => format!(" (and {} more like it)", count(more, "pair")),
    };
    let (first, second) = (name(worst.first), name(worst.second));
    let headline = format!("{} and {} fit each other's place{more}: {}", quoted(&first), quoted(&second), consequence.words);
    let finding = RULE
        .finding(half_in_hand(facts, worst.first), headline, consequence.volts.iter().map(Weighed::larger))
        .label(housing_words(facts, worst.first))
        .context(half_in_hand(facts, worst.second), format!("fits there: {}", housing_words(facts, worst.second)))
        .help("give one of the two another key, both halves; `harness swaps` lists all pairs");
    let mut plugs: Vec<String> = cause.iter().flat_map(|pair| [name(pair.first), name(pair.second)]).collect();
    plugs.sort();
    plugs.dedup();
    Some(plugs.into_iter().fold(finding, Finding::concerns))
}
