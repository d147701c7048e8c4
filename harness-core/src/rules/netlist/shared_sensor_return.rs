//! The return of a sensor leads to its reader and carries nothing else.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        sensor_returns::{SharedReturn, SharedWith},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/shared-sensor-return",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a return of a sensor that carries the current of a load or is grounded a second time",
        docs: include_str!("shared_sensor_return.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.shared_sensor_returns().iter().map(|shared| finding(facts, shared)).collect()
}

fn finding(facts: &Facts, shared: &SharedReturn) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let (reader, other, sensor) =
        (model.point_name(shared.reader), model.point_name(shared.other), model.point_name(shared.sensor));
    let device = model.device_at(shared.other).map_or("", |device| model.device_name(device));
    let (headline, label, help) = match shared.with {
        SharedWith::Load => (
            format!("`{reader}`, the return of `{sensor}`, is joined to `{other}`: the current of `{device}` shifts what is read"),
            "the return of a load",
            format!("lead the return of `{device}` to the pole of its source by a wire of its own"),
        ),
        SharedWith::Ground => (
            format!("`{reader}`, the return of `{sensor}`, is grounded at `{other}` too: currents of others take it as a way"),
            "the second ground",
            format!("take the wire to `{other}` out: the return of a sensor leads to its reader alone"),
        ),
        SharedWith::Body => (
            format!("`{reader}`, the return of `{sensor}`, is grounded at `{other}` too, by the body of the sensor"),
            "the ground of its body",
            "mount the sensor insulated, take one whose body is not its return, or read it against the chassis without a return wire".to_owned(),
        ),
    };
    let path = network.path(shared.reader, |point| point == shared.other, |_, edge| edge.is_metal());
    let mut finding = RULE
        .finding(model[shared.reader].span, headline, [])
        .label("the return of a sensor")
        .context(model[shared.other].span, label)
        .context(model[shared.sensor].span, "the sensor")
        .help(help)
        .concerns(reader)
        .concerns(other);
    if let Some(steps) = path {
        finding = finding.path(network.names(shared.reader, &steps));
    }
    finding
}
