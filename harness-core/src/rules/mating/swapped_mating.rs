//! No plug fits another one's place where that would hurt someone or damage something.

use crate::{
    analysis::Analysis,
    evidence::{
        plug_swaps::{
            Consequence, Shorts, SwapShort, another_key, consequence, cure_words, ended, half_in_hand, housing_words, plug_words,
            taken_near, way_words,
        },
        swap_causes::{SwapCause, SwapCauses},
    },
    facts::{
        Facts,
        swaps::{Cure, Grade, Keys, PlugId, Turned, plug_name},
    },
    finding::{Finding, Level, Weighed},
    model::Mate,
    rules::{Rule, RulePage},
    wording::{count, quoted},
};
use rustc_hash::FxHashSet;
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/swapped-mating",
        level: Level::Danger,
        since: "0.1.0",
        finds: "plugs that fit each other's place, or their own turned round, where that shorts, damages or puts class B into class A",
        docs: include_str!("swapped_mating.md"),
    },
    check,
};

/// Other plugs that are shown with a finding.
const MOST_LABELS: usize = 6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let (model, swaps) = (facts.model(), facts.swaps());
    // A plug that is on a wrong port already is that finding: where it belongs it may fit nothing else.
    let slips = facts.plug_slips();
    let misplaced: FxHashSet<Mate> =
        slips.on_wrong_ports.iter().flat_map(|slip| &slip.plugs).map(|plug| Mate::End(plug.end)).collect();
    let is_misplaced = |id: PlugId| swaps.plug(id).halves().any(|half| misplaced.contains(&half.at));
    let mut causes = SwapCauses::default();
    swaps.each_of(model, &Keys::AsWritten, Grade::Damage, |pair| {
        if misplaced.is_empty() || !is_misplaced(pair.first) && !is_misplaced(pair.second) {
            causes.add(pair);
        }
    });
    let mut shorts = Shorts::new(facts, usize::MAX);
    let causes = causes.done(facts.swaps());
    let mut found: Vec<Finding> = causes.iter().filter_map(|cause| finding(facts, cause, &mut shorts)).collect();
    let turned = swaps.turns(model).turned;
    let mut by_plug: BTreeMap<PlugId, Turned> = BTreeMap::new();
    for turned in turned.into_iter().filter(|turned| turned.verdict.grade >= Grade::Damage && !is_misplaced(turned.plug)) {
        let known = by_plug.entry(turned.plug).or_insert(turned);
        if turned.verdict.outranks(&known.verdict) {
            *known = turned;
        }
    }
    found.extend(by_plug.values().filter_map(|turned| of_turned(facts, turned, &mut shorts)));
    found
}

fn finding(facts: &Facts, cause: &SwapCause, shorts: &mut Shorts<'_>) -> Option<Finding> {
    let (model, swaps) = (facts.model(), facts.swaps());
    let SwapCause { worst, pairs, dangerous, plugs } = cause;
    let found = consequence(facts, &swaps.verdict(model, worst)?, shorts);
    let name = |id: PlugId| plug_name(model, swaps.plug(id));
    let more = match pairs - 1 {
        0 => String::new(),
        more => format!(" (and {} more like it)", count(more, "pair")),
    };
    let headline =
        format!("{} and {} fit each other's place{more}: {}", quoted(name(worst.first)), quoted(name(worst.second)), found.words);
    let mut finding = stated(facts, &found, worst.first, headline);
    let others =
        std::iter::once(worst.second).chain(plugs.iter().copied().filter(|id| ![worst.first, worst.second].contains(id)));
    for id in others.take(MOST_LABELS) {
        finding = finding.context(half_in_hand(facts, id), format!("fits there: {}", housing_words(facts, id)));
    }
    if let Some(more) = (plugs.len() - 1).checked_sub(MOST_LABELS).filter(|more| *more > 0) {
        finding = finding.figure("more plugs that fit", more);
    }
    if *pairs > 1 {
        finding = finding.figure("pairs", format!("{dangerous} dangerous, {} that damage something", pairs - dangerous));
    }
    let near = taken_near(facts, worst);
    if let Some((assumed, _)) = &near {
        finding = finding.figure("assumed", assumed);
    }
    let of_fit = |cure: &&Cure| plugs.first().is_some_and(|plug| cure.members.contains(plug));
    if let Some(cure) = swaps.cures(model, Grade::Damage).iter().find(of_fit) {
        let cure_words = cure_words(facts, cure, plugs);
        let help = near.map_or(cure_words.clone(), |(_, help)| format!("{cure_words}; or, {help}"));
        finding = finding.help(help).remedy(another_key(facts, cure, plugs));
    }
    Some(plugs.iter().fold(finding, |finding, id| finding.concerns(name(*id))))
}

fn of_turned(facts: &Facts, turned: &Turned, shorts: &mut Shorts<'_>) -> Option<Finding> {
    let found = consequence(facts, &turned.verdict, shorts);
    let name = plug_name(facts.model(), facts.swaps().plug(turned.plug));
    let headline = format!("nothing keeps {} from going on {}: {}", quoted(&name), way_words(turned.way), found.words);
    let help = format!(
        "use a family with a key for {}; or, if its shape keeps it from that, write `key-at` where the shape is on the face",
        plug_words(facts, turned.plug)
    );
    Some(stated(facts, &found, turned.plug, headline).help(help).concerns(name))
}

fn stated(facts: &Facts, found: &Consequence, plug: PlugId, headline: String) -> Finding {
    let volts = found.volts.iter().map(Weighed::larger);
    let mut finding = RULE.finding(half_in_hand(facts, plug), headline, volts).label(housing_words(facts, plug));
    finding.stated = if found.grade >= Grade::Danger { Level::Danger } else { Level::Error };
    if let Some(short @ SwapShort { amps, .. }) = &found.short {
        finding = finding.figure("current", amps).figure("ends", ended(facts.model(), short));
    }
    finding
}
