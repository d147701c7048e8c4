//! No conductor runs through air that is hotter than its insulation is rated for.

use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::surroundings,
    finding::{Finding, Level, Weighed},
    model::{CableKindId, ConductorId, Model, Wire, WireId, ZoneId},
    quantity::Celsius,
    rules::{Rule, RulePage},
    text::{At, Span},
    wording::{agree, count, list, list_of_first, quoted},
};
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/hot-zone",
        level: Level::Error,
        since: "0.1.0",
        finds: "a zone hotter than the conductors in it are rated for",
        docs: include_str!("hot_zone.md"),
    },
    check,
};

/// What the conductors of one finding share: the zone, `None` for the air of the policy, and what they are made as.
type Shared = (Option<ZoneId>, Option<CableKindId>, Option<ConductorId>);

/// Names that a finding lists in its help.
const MOST: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut hot: BTreeMap<Shared, Vec<(WireId, Celsius, Celsius)>> = BTreeMap::new();
    for (id, wire) in model.wires() {
        let around = surroundings(model, wire);
        let (Some(rated), Some(air)) = (around.rated, around.ambient) else { continue };
        if air > rated {
            hot.entry(shared(model, wire, around.zone)).or_default().push((id, rated, air));
        }
    }
    hot.into_iter().filter_map(|(shared, wires)| finding(model, shared, &wires)).collect()
}

fn shared(model: &Model, wire: &Wire, zone: Option<ZoneId>) -> Shared {
    match wire.core {
        Some((cable, _)) => (zone, model[cable].kind, None),
        None => (zone, None, wire.kind),
    }
}

fn finding(model: &Model, (zone, cable, conductor): Shared, wires: &[(WireId, Celsius, Celsius)]) -> Option<Finding> {
    let (first, rated, air) = wires.first()?;
    let names: Vec<String> = wires.iter().map(|(id, ..)| model.wire_name(*id)).collect();
    let quoted_names: Vec<String> = names.iter().map(quoted).collect();
    let (place, ambient) = match zone.map(|zone| &model[zone]) {
        Some(zone) => (format!("zone `{}`", model.text(zone.name)), zone.ambient),
        None => ("the air of the policy".to_owned(), model.policy.ambient),
    };
    let (made, written): (String, Option<At<Celsius>>) = match (cable, conductor) {
        (Some(kind), _) => (format!("cable kind `{}`", model.text(model[kind].name)), model[kind].rated),
        (None, Some(kind)) => (quoted(model.text(model[kind].name)), model[kind].rated),
        (None, None) => (count(wires.len(), "wire"), None),
    };
    let verb = if cable.is_none() && conductor.is_none() { agree(wires.len(), "is", "are") } else { "is" };
    let span: Span = ambient.map_or(model[*first].span, |at| at.span);
    let over = format!("{} K", ((air.get() - rated.get()) * 10.0).ceil() / 10.0);
    let mut finding = RULE
        .finding(
            span,
            format!("{place} ({air}) is hotter than {made} {verb} rated for ({rated})"),
            [Weighed::larger(air), Weighed::smaller(rated)],
        )
        .label(format!("{over} too hot"))
        .figure("conductors", list(&quoted_names))
        .help(format!(
            "use a kind that is rated for {air} or more for {}, route {} where it is cooler, or correct the `ambient`",
            list_of_first(&quoted_names, MOST, 0),
            agree(wires.len(), "it", "them")
        ));
    if let Some(written) = written.or(model.policy.rated) {
        finding = finding.context(written.span, "what it is rated for");
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}
