//! The ground of a sensor or bus node is at the voltage that the device that reads it assumes.

use crate::{
    analysis::Analysis,
    electrical::{conductors::drop::Authority, ground_shift::GroundShift},
    finding::{Finding, Level, Weighed},
    network::Step,
    quantity::{Ampere, Volt},
    rules::{Rule, RulePage},
    text::Span,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/shared-return",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a ground of a sensor or bus node that the current of other loads lifts",
        docs: include_str!("shared_return.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.electrical().ground_shifts().iter().filter_map(|lift| finding(analysis, lift)).collect()
}

fn finding(analysis: &Analysis, lift: &GroundShift) -> Option<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let mode = analysis.electrical().modes().find(|mode| mode.id == lift.mode)?;
    let (ground, reader) = (model.point_name(lift.ground), model.point_name(lift.reader));
    let device = model.device_at(lift.ground).map_or("", |device| model.device_name(device));
    let (most, authority) = lift.limit;
    // Upwards, so that no excess reads as none.
    let volts = Volt::new((lift.volts.get() * 1e3).ceil() / 1e3);
    let mut finding = RULE
        .finding(
            place(analysis, &lift.way).unwrap_or(model[lift.ground].span),
            format!(
                "other loads lift the ground `{ground}` by {volts} above `{reader}` in mode `{}`; at most {most} is allowed",
                model.mode_name(lift.mode)
            ),
            [Weighed::larger(volts), Weighed::smaller(most)],
        )
        .label(format!("the ground of `{}` goes here", device))
        .path(network.names(lift.ground, &lift.way))
        .concerns(ground);
    if let Some(wire) = network[lift.dearest].wire() {
        let (name, item) = (model.wire_name(wire), &model[wire]);
        let amps = Ampere::new(mode.amps(lift.dearest).get().abs());
        finding =
            finding.context(item.size.map_or(item.span, |size| size.span), format!("`{name}` lifts most: it carries {amps}"));
    }
    finding = finding.figure("lift", format!("{volts}, computed"));
    finding = match authority {
        Authority::Policy(place) => finding.context(place, "the policy's limit").figure("limit", format!("{most} (policy)")),
        Authority::Table(source) => finding.figure("limit", format!("{most}; {source}")),
    };
    Some(finding.help(format!(
        "run the return of `{}` to `{reader}` on a wire of its own, or join it where no other current flows",
        device
    )))
}

/// The far end of the first wire on a way: where the ground leaves its own conductor.
fn place(analysis: &Analysis, way: &[Step]) -> Option<Span> {
    way.iter().find_map(|step| {
        let wire = &analysis.model()[analysis.network()[step.edge].wire()?];
        Some(if wire.to == Some(step.point) { wire.to_span } else { wire.from_span })
    })
}
