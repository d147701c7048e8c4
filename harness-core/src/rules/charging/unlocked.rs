//! The plug in an inlet is locked while it charges, and the vehicle knows whether it is.

use crate::{
    analysis::Analysis,
    facts::{Facts, inlets::ChargingInlet},
    finding::{Finding, Level},
    model::PointId,
    rules::{Rule, RulePage},
    standards::charging_inlet::{is_combined, lock},
    vocabulary::{Inlet, Word},
    wording::{list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/unlocked",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a Type 2 or combined inlet without a lock, with one that has no feedback, or with one whose wires lead nowhere",
        docs: include_str!("unlocked.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.inlets().iter().flat_map(|inlet| of_inlet(facts, inlet)).collect()
}

fn of_inlet(facts: &Facts, inlet: &ChargingInlet) -> Vec<Finding> {
    let model = facts.model();
    let Some(kind) = inlet.kind else { return Vec::new() };
    let locked = model[inlet.device].ports.iter().find_map(|port| model[port].lock.as_ref());
    let (name, kind_name) = (model.port_name(inlet.port), kind.value.written());
    let Some(locked) = locked else {
        // Type 1 is held by its latch; whether a Type 2 inlet has a lock is asked for.
        if !is_combined(kind.value) {
            return Vec::new();
        }
        return vec![
            RULE.finding(kind.span, format!("the inlet `{name}`, {kind_name}, has no lock"), [])
                .label("the plug can be pulled under direct current")
                .figure("source", lock())
                .help(format!(
                    "state the lock of the inlet: `lock: {{ motor: [pins], feedback: [pins] }}` at `{name}`, and wire it; fit one if there is none"
                ))
                .concerns(name),
        ];
    };
    let mut findings = Vec::new();
    let empty = [("motor", locked.motor.is_empty()), ("feedback", locked.feedback.is_empty())];
    let lacking: Vec<&str> = empty.into_iter().filter(|(_, is_empty)| *is_empty).map(|(what, _)| what).collect();
    if kind.value != Inlet::Type1 && !lacking.is_empty() {
        findings.push(
            RULE.finding(locked.span, format!("the lock of the inlet `{name}`, {kind_name}, has no {}", list(&lacking)), [])
                .label("nobody knows whether the plug is locked")
                .figure("source", lock())
                .help(format!(
                    "name the pins: `lock: {{ {} }}`",
                    lacking.iter().map(|what| format!("{what}: [pins]")).collect::<Vec<_>>().join(", ")
                ))
                .concerns(name.clone()),
        );
    }
    for (what, points) in [("motor", &locked.motor), ("feedback", &locked.feedback)] {
        let loose: Vec<PointId> = points.iter().copied().filter(|point| is_loose(facts, inlet, *point)).collect();
        let Some(first) = loose.first() else { continue };
        let names: Vec<String> = loose.iter().map(|point| quoted(model.point_name(*point))).collect();
        let finding = RULE
            .finding(model[*first].span, format!("the {what} of the lock leads to no other box: {}", list(&names)), [])
            .label("no wire to a controller")
            .context(locked.span, format!("a pin of the lock of `{name}`"))
            .figure("source", lock())
            .help(format!("wire {} to the charge controller", list(&names)));
        findings.push(loose.iter().fold(finding, |finding, point| finding.concerns(model.point_name(*point))));
    }
    findings
}

/// Whether a pin reaches no pin of another box; one without a wire that needs one is reported as such.
fn is_loose(facts: &Facts, inlet: &ChargingInlet, point: PointId) -> bool {
    let network = facts.network();
    let others = network.net_points(network.net(point)).iter();
    let mut devices = others.filter_map(|at| facts.model().device_at(*at));
    !facts.unconnected().contains(&point) && devices.all(|device| device == inlet.device)
}
