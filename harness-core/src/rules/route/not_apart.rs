//! Circuits that back each other up run by separate ways.

use crate::{
    analysis::Analysis,
    facts::apart::{NotApart, SharedPlace},
    finding::{Finding, Level},
    model::Model,
    rules::{Rule, RulePage},
    wording::{count, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "route/not-apart",
        level: Level::Error,
        since: "0.1.0",
        finds: "circuits that a device names in `apart` and that share a segment, a cable or a connector between looms",
        docs: include_str!("not_apart.md"),
    },
    check,
};

/// Places that a finding shows beside the first.
const SHOWN: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    analysis.facts().not_apart().iter().filter_map(|found| finding(model, found)).collect()
}

fn finding(model: &Model, found: &NotApart) -> Option<Finding> {
    let (place, [one, other]) = found.shared.first()?;
    let (first, second) = (model.wire_name(*one), model.wire_name(*other));
    let more = match found.shared.len() - 1 {
        0 => String::new(),
        more => format!(" (and {} more)", count(more, "place")),
    };
    let device = model.device_name(found.device);
    let headline = format!(
        "two circuits of {} that must run apart share {}{more}: {} is of the one, {} of the other",
        quoted(&device),
        words(model, *place),
        quoted(&first),
        quoted(&second)
    );
    let help = match place {
        SharedPlace::Segment(_) => format!("lead {} or {} through other segments", quoted(&first), quoted(&second)),
        SharedPlace::Cable(_) => format!("lead {} and {} in a cable each, by separate ways", quoted(&first), quoted(&second)),
        SharedPlace::Connector(_) => format!("lead {} and {} through a connector each", quoted(&first), quoted(&second)),
    };
    let [named, against] = found.named;
    let mut finding = RULE
        .finding(model[*one].span, headline, [])
        .label("of the one circuit")
        .context(model[*other].span, "of the other")
        .context(named, "must run apart")
        .context(against, "from this one")
        .help(format!("{help}; one cut, chafe or fire there takes both circuits"));
    for (place, [one, other]) in found.shared.iter().take(SHOWN + 1) {
        let wires = [one, other].map(|wire| quoted(model.wire_name(*wire))).join(" and ");
        finding = finding.figure("shared", format!("{}: {wires}", words(model, *place)));
    }
    Some(finding.concerns(device).concerns(first).concerns(second))
}

fn words(model: &Model, place: SharedPlace) -> String {
    match place {
        SharedPlace::Segment(segment) => format!("segment {}", quoted(model.segment_name(segment))),
        SharedPlace::Cable(cable) => format!("cable {}", quoted(model.cable_name(cable))),
        SharedPlace::Connector(end) => format!("connector {}", quoted(model.end_name(end))),
    }
}
