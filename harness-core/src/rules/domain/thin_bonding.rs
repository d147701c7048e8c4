//! A bond is as thick as the live conductors ask for, and conducts as well as it must.

use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::resistance_of,
    evidence::{larger_wire, remedies},
    facts::bonds::{BondedBox, Way},
    finding::{Finding, Level, Weighed},
    model::WireId,
    quantity::SquareMillimetre,
    rules::{Rule, RulePage},
    standards::bonding::{continuity, least_size},
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/thin-bonding",
        level: Level::Error,
        since: "0.1.0",
        finds: "a bond or protective earth thinner than the live conductors of its box require, or of 0.1 ohm or more",
        docs: include_str!("thin_bonding.md"),
    },
    check,
};

/// A live conductor and its size.
type Live = (SquareMillimetre, WireId);

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = Vec::new();
    // Each wire once: with the thickest live conductor that it has to match.
    let mut thin: FxHashMap<WireId, (Live, &BondedBox)> = FxHashMap::default();
    for one in &analysis.facts().bonds().boxes {
        let ways = || one.earths.iter().filter_map(|earth| Some((earth, earth.way.as_ref()?)));
        let mut add = |way: &Way, live: Live| {
            for wire in too_thin(analysis, way, live) {
                let known = thin.entry(wire).or_insert((live, one));
                if live.0 > known.0.0 {
                    *known = (live, one);
                }
            }
        };
        for (earth, way) in ways().filter(|(earth, _)| earth.is_earth) {
            if let Some(live) = earth.live {
                add(way, live);
            }
        }
        findings.extend(resistive(analysis, one));
        // One of the bonds of a conductive case has to match its thickest conductor.
        let Some(live) = one.live.filter(|_| one.is_conductive() && !one.is_mounted()) else { continue };
        if ways().all(|(_, way)| !too_thin(analysis, way, live).is_empty())
            && let Some((_, way)) = ways().min_by_key(|(earth, _)| (!earth.is_earth, earth.is_with_live))
        {
            add(way, live);
        }
    }
    let mut thin: Vec<_> = thin.into_iter().collect();
    thin.sort_unstable_by_key(|(wire, _)| *wire);
    findings.extend(thin.into_iter().filter_map(|(wire, (live, one))| too_thin_finding(analysis, wire, live, one)));
    findings
}

/// The wires of a way that are thinner than a live conductor asks for; one without a size is `review/missing-fact`'s to report.
fn too_thin(analysis: &Analysis, way: &Way, (live, _): Live) -> Vec<WireId> {
    let (model, least) = (analysis.model(), least_size(live).value);
    let is_thin = |wire: &WireId| model[*wire].size.is_some_and(|size| size.value < least);
    way.wires(analysis.network()).filter(is_thin).collect()
}

fn too_thin_finding(analysis: &Analysis, wire: WireId, (live, thickest): Live, one: &BondedBox) -> Option<Finding> {
    let model = analysis.model();
    let size = model[wire].size?;
    let least = least_size(live);
    let (name, bond, feed) = (model.device_name(one.device), model.wire_name(wire), model.wire_name(thickest));
    let place = model[thickest].size.map_or(model[thickest].span, |size| size.span);
    let finding = RULE
        .finding(
            size.span,
            format!("wire `{bond}` bonds `{name}` with {}, where {} is needed", size.value, least.value),
            [Weighed::smaller(size.value), Weighed::larger(least.value)],
        )
        .label(format!("{} or more", least.value))
        .figure("live conductor", format!("{live}, wire `{feed}`"))
        .figure("least size", least)
        .help(larger_wire(model, wire))
        .concerns(bond);
    let finding = remedies::larger(analysis.facts(), wire, least.value).into_iter().fold(finding, Finding::remedy);
    Some(finding.context(place, format!("thickest class B conductor of `{name}` that this bond protects")))
}

/// The limit is that of the exposed parts of a vehicle: the cord of a charging station is not a part of it.
fn resistive(analysis: &Analysis, one: &BondedBox) -> Option<Finding> {
    let model = analysis.model();
    let limit = continuity();
    if one.is_supply || one.is_mounted() || !one.is_conductive() {
        return None;
    }
    let ways = one.earths.iter().filter_map(|earth| Some((earth, earth.way.as_ref()?)));
    let (earth, way) = ways.reduce(|a, b| if b.1.resistance < a.1.resistance { b } else { a })?;
    let ohms = |wire: WireId| resistance_of(model, &model[wire]).get();
    let longest = way.wires(analysis.network()).reduce(|a, b| if ohms(b) > ohms(a) { b } else { a })?;
    if way.resistance < limit.value {
        return None;
    }
    let (name, bond, point) = (model.device_name(one.device), model.wire_name(longest), model.point_name(earth.point));
    Some(
        RULE.finding(
            model[longest].span,
            format!("the bond of `{name}` from `{point}` to the chassis has {}, not below {}", way.resistance, limit.value),
            [Weighed::larger(way.resistance), Weighed::smaller(limit.value)],
        )
        .label("the longest piece of it")
        .figure("resistance", format!("{} at 20 degC, computed", way.resistance))
        .figure("limit", limit)
        .help(format!("bond `{name}` to the chassis near it, or {}", larger_wire(model, longest)))
        .concerns(bond),
    )
}
