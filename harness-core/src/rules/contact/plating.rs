//! Mated terminals of two platings: tin against gold frets and corrodes.

use super::cavities::Cavities;
use crate::{
    finding::{Finding, Level},
    model::{End, EndId, Mate, Model, TerminalId},
    rules::Rule,
    vocabulary::Plating,
};
use rustc_hash::FxHashSet;

/// A warning of `rule` for every two terminals of known and different plating that meet in a pair of loom ends.
///
/// Terminals of devices are not part of a design, so only pairs of loom ends are compared. Cost: linear in the cavities.
pub(super) fn mixed(rule: &Rule, model: &Model, cavities: &Cavities<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (id, end) in model.ends() {
        let Some(Mate::End(other)) = end.mate else { continue };
        let Some(partner) = model.end(other) else { continue };
        // Two ends that name each other are one pair.
        if partner.mate == Some(Mate::End(id)) && other <= id {
            continue;
        }
        pair(rule, model, cavities, (id, end), (other, partner), &mut findings);
    }
    findings
}

fn pair(
    rule: &Rule,
    model: &Model,
    cavities: &Cavities<'_>,
    (id, end): (EndId, &End),
    (other, partner): (EndId, &End),
    findings: &mut Vec<Finding>,
) {
    let mut said: FxHashSet<(TerminalId, TerminalId)> = FxHashSet::default();
    for cavity in end.points.iter() {
        if !cavities.is_filled(cavity) {
            continue;
        }
        let Some(point) = model.point(cavity) else { continue };
        let Some(mate) = model.position_of(partner.points, point.label).filter(|mate| cavities.is_filled(*mate)) else {
            continue;
        };
        let (Some(own), Some(theirs)) = (cavities.terminal(cavity), cavities.terminal(mate)) else { continue };
        let (Some(plating), Some(against)) = (own.1.plating, theirs.1.plating) else { continue };
        if plating.value == against.value || !said.insert((own.0, theirs.0)) {
            continue;
        }
        let (name, partner_name) = (model.end_name(id), model.end_name(other));
        let (a, b) = (word(plating.value), word(against.value));
        let mut finding = rule
            .finding(own.2, format!("{a} contacts of `{name}` meet {b} contacts of `{partner_name}`"))
            .label(format!("{a}-plated"))
            .context(theirs.2, format!("`{partner_name}`: {b}-plated"))
            .context(plating.span, format!("`{}`: {a}", model.text(own.1.name)))
            .context(against.span, format!("`{}`: {b}", model.text(theirs.1.name)))
            .help(format!("use a {b}-plated terminal in `{name}`, or a {a}-plated one in `{partner_name}`"))
            .concerns(name)
            .concerns(partner_name);
        finding.stated = Level::Warning;
        findings.push(finding);
    }
}

fn word(plating: Plating) -> &'static str {
    match plating {
        Plating::Tin => "tin",
        Plating::Silver => "silver",
        Plating::Gold => "gold",
        Plating::Nickel => "nickel",
    }
}
