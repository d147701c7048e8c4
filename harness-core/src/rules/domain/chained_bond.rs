//! A bond leads to the chassis by itself, not through the case of another box.

use crate::{
    analysis::Analysis,
    facts::bonds::{BondedBox, EarthPoint, Way},
    finding::{Finding, Level},
    model::Owner,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/chained-bond",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a bond that continues through the case of another box, and is lost when that box is removed",
        docs: include_str!("chained_bond.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let boxes = &analysis.facts().bonds().boxes;
    boxes.iter().filter_map(|one| finding(analysis, one)).collect()
}

fn finding(analysis: &Analysis, one: &BondedBox) -> Option<Finding> {
    let model = analysis.model();
    let ways = || one.earths.iter().filter_map(|earth| earth.way.as_ref().map(|way| (earth, way)));
    // A way that a link inside the box leads on to another point does not leave by the plug of the first.
    let leaves = |way: &Way| way.steps.first().is_none_or(|step| analysis.network()[step.edge].element().is_none());
    let stands_alone = |(earth, way): (&EarthPoint, &Way)| match way.rests_on {
        None => true,
        // In one plug with the live conductors the bond is unplugged when they are.
        Some(rests) => earth.is_with_live && leaves(way) || rests.is_with_live,
    };
    if one.is_mounted() || ways().any(stands_alone) {
        return None;
    }
    let (earth, way, rests) = ways().find_map(|(earth, way)| Some((earth, way, way.rests_on?)))?;
    // What opens an earth inside that box is the fault.
    let opened = analysis.facts().opened_earths().iter();
    if opened.map(|opened| model[opened.element].owner).any(|owner| owner == Owner::Device(rests.device)) {
        return None;
    }
    let (name, other) = (model.device_name(one.device), model.device_name(rests.device));
    let point = model.point_name(earth.point);
    let (headline, place) = if rests.goes_on {
        let at = model.point_name(rests.point);
        (format!("the bond of `{name}` goes on from `{at}` and is lost when `{other}` is taken out"), "goes on from here")
    } else {
        (format!("the bond of `{name}` ends at `{other}` and reaches the chassis only through the case of that box"), "ends here")
    };
    Some(
        RULE.finding(model[earth.point].span, headline, [])
            .label("bonded to another box")
            .context(model[rests.point].span, place)
            .path(analysis.network().names(earth.point, &way.steps))
            .help(format!("wire `{point}` to a stud of the chassis: without `{other}` the case of `{name}` would have no bond"))
            .concerns(point),
    )
}
