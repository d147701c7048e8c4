//! A conductive case with voltage class B is bonded to the chassis, and a protective earth leads there.

use crate::{
    analysis::Analysis,
    facts::bonds::{BondedBox, EarthPoint, Needs},
    finding::{Finding, Level},
    model::Model,
    rules::{Rule, RulePage},
    standards::bonding::continuity,
    vocabulary::Case,
    wording::{count_of, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/missing-bond",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductive case with voltage class B, or a protective earth, that does not reach the chassis",
        docs: include_str!("missing_bond.md"),
    },
    check,
};

/// Most boxes that one sentence names.
const MOST: usize = 5;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, bonds) = (analysis.model(), analysis.facts().bonds());
    if !bonds.has_goal {
        // `review/missing-fact` says so.
        return Vec::new();
    }
    let mut findings = Vec::new();
    let mut unknown: Vec<&BondedBox> = Vec::new();
    for one in &bonds.boxes {
        let name = model.device_name(one.device);
        let ends: Vec<&EarthPoint> = one.earths.iter().filter(|earth| earth.is_earth && earth.way.is_none()).collect();
        match one.needs {
            Needs::Case if one.is_bonded() => {}
            Needs::Case => match ends.first() {
                Some(earth) => findings.push(dead_end(model, one, earth)),
                // A case that nothing describes, in a circuit that is isolated from the chassis: it may well be plastic.
                None if one.case.is_none() && one.mains.is_none() => unknown.push(one),
                None => findings.push(bare(model, one)),
            },
            Needs::Supply if one.earths.is_empty() => findings.push(
                RULE.finding(model[one.device].span, format!("`{name}` brings in the mains and has no protective earth"))
                    .label("no pin of role `earth`")
                    .help(format!("add the protective earth of the mains as a pin with `role: earth` to `{name}`, and wire it to the chassis"))
                    .concerns(name),
            ),
            // An insulating case joins nothing: each of its earths has to get there by itself.
            Needs::Supply | Needs::Nothing => {
                findings.extend(ends.iter().filter(|earth| earth.is_wired || one.needs == Needs::Supply).map(|earth| dead_end(model, one, earth)));
            }
        }
    }
    findings.extend(undescribed(model, &unknown));
    findings
}

/// An earth point whose conductors do not lead to the chassis.
fn dead_end(model: &Model, one: &BondedBox, earth: &EarthPoint) -> Finding {
    let (name, point) = (model.device_name(one.device), model.point_name(earth.point));
    let (headline, label) = if earth.is_wired {
        (format!("protective earth `{point}` does not reach the chassis"), "what is wired to it does not lead to the chassis")
    } else {
        (format!("nothing is connected to the protective earth `{point}`"), "no wire, ring or bar")
    };
    let help = match one.needs {
        Needs::Case => format!("wire `{point}` to a stud of the chassis, near `{name}`"),
        Needs::Supply | Needs::Nothing => {
            format!("wire `{point}` to a stud of the chassis, or to the case of a box that is bonded to it")
        }
    };
    let finding = RULE.finding(model[earth.point].span, headline).label(label).figure("limit", continuity()).help(help);
    assumed(finding, one).concerns(point)
}

/// A box without an earth point.
fn bare(model: &Model, one: &BondedBox) -> Finding {
    let name = model.device_name(one.device);
    let finding = RULE
        .finding(model[one.device].span, format!("the conductive case of `{name}` has no bond to the chassis"))
        .label("no stud or pin of role `earth`")
        .figure("limit", continuity())
        .help(format!(
            "add a stud with `role: earth` to `{name}` and wire it to a stud of the chassis; if the case is plastic, state `case: insulating`"
        ));
    assumed(finding, one).concerns(name)
}

fn assumed(finding: Finding, one: &BondedBox) -> Finding {
    match one.case {
        None => finding.figure("case", "taken as conductive: `case` is not stated"),
        Some(case) => finding.figure("case", Case::word(case)),
    }
}

/// Boxes of isolated circuits of which neither the case nor a bond is described: one finding.
fn undescribed(model: &Model, boxes: &[&BondedBox]) -> Option<Finding> {
    let first = boxes.first()?;
    let names: Vec<String> = boxes.iter().map(|one| quoted(model.device_name(one.device))).collect();
    let mut finding = RULE
        .finding(
            model[first.device].span,
            format!(
                "{} class B and no bond to the chassis, and no stated `case`: {}",
                count_of(boxes.len(), "box has", "boxes have"),
                list_of_first(&names, MOST, 0)
            ),
        )
        .label("its case is taken as conductive")
        .figure("limit", continuity())
        .help(
            "for each box, state `case: insulating` or `case: bolted to chassis`, or add a stud with `role: earth` and wire it to the \
             chassis",
        );
    finding.stated = Level::Warning;
    Some(boxes.iter().fold(finding, |finding, one| finding.concerns(model.device_name(one.device))))
}
