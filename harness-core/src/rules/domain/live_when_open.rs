//! Where the design says that nothing live can be touched, nothing live can be touched.

use crate::{
    analysis::Analysis,
    evidence::{few_names, in_modes},
    facts::{Facts, live_parts::LivePair, openings::Opening},
    finding::{Finding, Level, Weighed},
    model::{DomainId, ModeId},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/live-when-open",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a contact above 60 V DC or 30 V AC that can be touched in a mode that is to be safe to touch",
        docs: include_str!("live_when_open.md"),
    },
    check,
};

/// Further contacts that a finding shows.
const MOST: usize = 5;

/// A live contact with the mode and what was opened to get at it.
struct Hit {
    mode: ModeId,
    opened: Option<Opening>,
    pair: LivePair,
}

/// What one finding is of: a domain, and whether the voltage is alternating.
type Of = (Option<DomainId>, bool);

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let model = facts.model();
    let mut groups: Vec<(Of, Vec<Hit>)> = Vec::new();
    for mode in facts.electrical().modes_as_written().into_iter().filter(|mode| model[mode.id].touch_safe) {
        let steps = facts.fed_steps(mode.id);
        for step in steps.standing.into_iter().chain(steps.unsafe_steps) {
            for pair in step.pairs {
                let key = (facts.electrical().domains().of(pair.contact), pair.is_ac);
                let hit = Hit { mode: mode.id, opened: step.opened, pair };
                match groups.iter_mut().find(|(known, _)| *known == key) {
                    Some((_, hits)) => hits.push(hit),
                    None => groups.push((key, vec![hit])),
                }
            }
        }
    }
    groups.iter().filter_map(|(_, hits)| finding(facts, hits)).collect()
}

fn finding(facts: &Facts, hits: &[Hit]) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let worst = hits.iter().max_by(|one, other| one.pair.volts.get().total_cmp(&other.pair.volts.get()))?;
    let first = hits.iter().find(|hit| hit.pair.volts >= worst.pair.volts).unwrap_or(worst);
    let pair = &first.pair;
    let name = model.point_name(pair.contact);
    let against = pair.other.map_or_else(|| "the chassis".to_owned(), |other| format!("`{}`", model.point_name(other)));
    let opened = first.opened.map_or_else(String::new, |opening| format!(" with `{}` {}", opening.name(facts), opening.done()));
    let mut modes: Vec<ModeId> = hits.iter().map(|hit| hit.mode).collect();
    modes.sort_unstable();
    modes.dedup();
    let when = in_modes(model, &modes);
    let current = if pair.is_ac { "AC" } else { "DC" };
    let mut finding = RULE
        .finding(
            model[pair.contact].span,
            format!(
                "`{name}` can be touched{opened}{when} and has {} against {against}, above {} {current}",
                pair.volts,
                pair.limit()
            ),
            [Weighed::larger(pair.volts), Weighed::neither(pair.limit())],
        )
        .label(format!("live at {}", pair.volts));
    if let Some((source, start, path)) = &pair.from {
        let source = model.element_name(*source);
        let mut way = network.names(*start, path);
        way.insert(0, source.clone());
        finding = finding.path(way).concerns(source);
    }
    let mut others: Vec<String> = Vec::new();
    for hit in hits {
        let other = model.point_name(hit.pair.contact);
        if other != name && !others.contains(&other) {
            if others.len() < MOST {
                let how = hit.opened.map_or_else(
                    || "can be touched as it is".to_owned(),
                    |opening| format!("can be touched with `{}` {}", opening.name(facts), opening.done()),
                );
                finding = finding.context(model[hit.pair.contact].span, format!("{} too; {how}", hit.pair.volts));
            }
            others.push(other);
        }
    }
    if !others.is_empty() {
        finding = finding.figure("live too", few_names(&others));
    }
    finding = finding
        .help(
            "move the service disconnect or the contactors so that they cut this off, or state how the contact can be reached: `access: with \
             tool` or `sealed` at its port",
        )
        .concerns(name);
    if let Some(other) = pair.other {
        finding = finding.concerns(model.point_name(other));
    }
    Some(others.into_iter().fold(finding, Finding::concerns))
}
