//! No plug fits another one's place where that mixes up signals, for workshops that want it so.

use crate::{
    analysis::Analysis,
    evidence::{
        plug_swaps::{Shorts, consequence, half_in_hand, housing_words},
        swap_causes::{SwapCause, SwapCauses},
    },
    facts::{
        Facts,
        swaps::{Grade, Keys, plug_name},
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
    let mut causes = SwapCauses::default();
    facts.swaps().each_of(model, &Keys::AsWritten, Grade::Mixed, |pair| {
        if pair.grade == Grade::Mixed {
            causes.add(pair);
        }
    });
    causes.done(facts.swaps()).into_iter().filter_map(|cause| finding(facts, &cause)).collect()
}

fn finding(facts: &Facts, cause: &SwapCause) -> Option<Finding> {
    let (model, swaps) = (facts.model(), facts.swaps());
    let SwapCause { worst, pairs, plugs, .. } = cause;
    let consequence = consequence(facts, &swaps.verdict(model, worst)?, &mut Shorts::new(facts, 0));
    let name = |id| plug_name(model, swaps.plug(id));
    let more = match pairs - 1 {
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
    let mut plugs: Vec<String> = plugs.iter().map(|id| name(*id)).collect();
    plugs.sort();
    Some(plugs.into_iter().fold(finding, Finding::concerns))
}
