//! Both halves of a mated pair have the same positions.

use crate::{
    analysis::Analysis,
    evidence::{face_map::face_map, mated_pair, mating_remedies},
    facts::{
        Facts,
        faces::met_by_faces,
        mated_pairs::{Half, MatedPair},
    },
    finding::{Finding, Level},
    model::{Mate, Model, PointId},
    rules::{Rule, RulePage},
    text::{Name, Span},
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
/// Positions of which the help writes the whole map.
const MOST_MAPPED: usize = 12;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.mated_pairs().of_one_family(facts.model()).filter_map(|pair| mismatch(facts, &pair)).collect()
}

fn mismatch(facts: &Facts, pair: &MatedPair<'_>) -> Option<Finding> {
    let model = facts.model();
    let names = (pair.own.name(model), pair.partner.name(model));
    let met = met(model, pair);
    if let Some(finding) = sent_twice(model, pair, &met, (&names.0, &names.1)) {
        return Some(finding);
    }
    if let Some(finding) = contradicted(model, pair, (&names.0, &names.1)) {
        return Some(finding);
    }
    let labels = |label: &Name| model.text(*label);
    let is_there = |label: &Name| pair.partner.housing.index.binary_search_by_key(label, |(known, _)| *known).is_ok();
    let own: Vec<&str> = met.iter().filter(|(_, met)| !is_there(met)).map(|(own, _)| labels(own)).collect();
    let is_met = |label: &&Name| met.iter().any(|(_, met)| met == *label);
    let partner: Vec<&str> = pair.partner.housing.labels.iter().filter(|label| !is_met(label)).map(labels).collect();
    if own.is_empty() && partner.is_empty() {
        return None;
    }
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
        let by_faces = met_by_faces(&pair.own, &pair.partner).filter(|map| map.len() <= MOST_MAPPED);
        let map = match by_faces {
            Some(map) => {
                let each: Vec<String> = map.iter().map(|two| two.map(|label| model.text(label)).join(": ")).collect();
                format!("`pins: {{ {} }}` at `{}`, as the faces have it", each.join(", "), names.0)
            }
            None => format!("`pins: {{ .. }}` at `{}`", names.0),
        };
        format!("label the positions of both housings by one scheme, or state which meets which: {map}")
    } else {
        format!("give `{}` a housing with {}", names.0, positions(&pair.partner))
    };
    let map = face_map(facts, &[[pair.own.connector, pair.partner.connector]]);
    Some(mating_remedies(facts, pair, finding.remedy(map), &otherwise))
}

/// The positions of the own half, each with the one of its mate that it meets.
fn met(model: &Model, pair: &MatedPair<'_>) -> Vec<(Name, Name)> {
    let end = |half: Mate| match half {
        Mate::End(end) => Some(&model[end]),
        Mate::Port(_) => None,
    };
    let (own, partner) = (end(pair.own.connector), end(pair.partner.connector));
    match own {
        Some(own) => own.points.iter().map(|cavity| (model[cavity].label, model.met_label(own, partner, cavity))).collect(),
        None => pair.own.housing.labels.iter().map(|label| (*label, *label)).collect(),
    }
}

/// Two cavities that `pins` sends to one position.
fn sent_twice(model: &Model, pair: &MatedPair<'_>, met: &[(Name, Name)], names: (&str, &str)) -> Option<Finding> {
    let Mate::End(end) = pair.own.connector else { return None };
    let mut sorted = met.to_vec();
    sorted.sort_by_key(|(_, to)| *to);
    let (one, other, to) = sorted
        .iter()
        .zip(sorted.iter().skip(1))
        .find_map(|(one, other)| (one.1 == other.1).then_some((one.0, other.0, one.1)))?;
    let place = model[end].pins.iter().find(|(_, label, _)| *label == to)?.2;
    let [one, other, to] = [one, other, to].map(|label| quoted(model.text(label)));
    let headline = format!("cavities {one} and {other} of `{}` both meet position {to} of `{}`", names.0, names.1);
    let help = format!("name another position for one of the two in `pins` of `{}`", names.0);
    Some(RULE.finding(place, headline, []).label("sent to one position").help(help).concerns(names.0).concerns(names.1))
}

/// A position that `pins` of the one half leads elsewhere than `pins` of the other.
fn contradicted(model: &Model, pair: &MatedPair<'_>, names: (&str, &str)) -> Option<Finding> {
    let (Mate::End(own), Mate::End(other)) = (pair.own.connector, pair.partner.connector) else { return None };
    let label = |cavity: PointId| model[cavity].label;
    let (one, two) = model[own].pins.iter().find_map(|one| {
        let (cavity, to, _) = one;
        let differs = |(theirs, back, _): &&(PointId, Name, Span)| (label(*theirs) == *to) != (*back == label(*cavity));
        model[other].pins.iter().find(differs).map(|two| (one, two))
    })?;
    let [cavity, to, theirs, back] = [label(one.0), one.1, label(two.0), two.1].map(|label| quoted(model.text(label)));
    let (own, other) = names;
    let headline = format!(
        "`pins` of `{own}` and of its mate `{other}` contradict each other: {cavity} of `{own}` meets {to}, but {theirs} of `{other}` meets {back}"
    );
    let finding = RULE.finding(one.2, headline, []).label(format!("{cavity} meets {to}"));
    let finding = finding.context(two.2, format!("{theirs} meets {back}"));
    Some(
        finding
            .help("state in one of the two which position meets which, and leave it out in the other")
            .concerns(own)
            .concerns(other),
    )
}

fn positions(half: &Half<'_>) -> String {
    count(half.housing.labels.len(), "position")
}

fn listed(labels: &[&str]) -> String {
    let labels: Vec<String> = labels.iter().map(quoted).collect();
    first(&labels, MOST_LISTED)
}
