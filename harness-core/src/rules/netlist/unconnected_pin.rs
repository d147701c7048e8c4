//! Every pin that needs a wire has one, and every open cavity is meant to be open.

use crate::{
    analysis::Analysis,
    document::devices::Need,
    finding::{Finding, Level},
    model::{EndKind, PinId, PointId, PointKind},
    network::EdgeKind,
    rules::{Check, Rule},
};

pub(super) static RULE: Check = Check {
    rule: Rule {
        name: "netlist/unconnected-pin",
        level: Level::Error,
        since: "0.1.0",
        finds: "a device pin that needs a wire and has none",
        docs: r#"
## What it checks
Each pin and stud of a device of which the design says what it needs: a wire, a ring or a cable screen reaches it through
whatever mates there. Pins marked `spare` or `need: optional` are left out.
## Why it matters
A pin left open on paper is left open on the vehicle: the pump that does not run, the input that floats.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
parts:
  housings:
    two-way-pins: { family: QL, positions: 2, contacts: pin }
devices:
  horn:
    ports:
      J1:
        housing: two-way-pins
        pins:
          1: { signal: horn feed, role: supply, domain: aux }
          2: spare
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
parts:
  housings:
    two-way-pins: { family: QL, positions: 2, contacts: pin }
devices:
  horn:
    ports:
      J1:
        housing: two-way-pins
        pins:
          1: { signal: horn feed, role: supply, domain: aux, need: optional }
          2: spare
```
## What it cannot see
Pins of which the design says nothing.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis<'_>) -> Vec<Finding> {
    let model = analysis.model;
    let mut findings = Vec::new();
    for (id, point) in model.points() {
        let (PointKind::Pin(_) | PointKind::Stud(_)) = point.kind else { continue };
        let Some(pin) = point.pin else { continue };
        if needs_no_wire(analysis, pin) || is_reached(analysis, id) {
            continue;
        }
        let name = model.point_name(id);
        findings.push(
            RULE.finding(point.span, format!("pin `{name}`{} has no wire", signal(analysis, pin)))
                .label("nothing reaches this pin")
                .help(remedy(analysis, id))
                .concerns(name),
        );
    }
    findings
}

fn needs_no_wire(analysis: &Analysis<'_>, pin: PinId) -> bool {
    analysis.model.pin(pin).is_none_or(|pin| pin.spare.is_some() || pin.need.is_some_and(|need| need.value == Need::Optional))
}

/// Whether anything of a loom reaches the point.
fn is_reached(analysis: &Analysis<'_>, point: PointId) -> bool {
    analysis.network.around(point).any(|(_, edge, _)| {
        matches!(edge.kind, EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Wire(_) | EdgeKind::Screen(_))
    })
}

fn signal(analysis: &Analysis<'_>, pin: PinId) -> String {
    let signal = analysis.model.pin(pin).and_then(|pin| pin.signal);
    signal.map_or_else(String::new, |signal| format!(" (`{}`)", analysis.model.text(signal.value)))
}

fn remedy(analysis: &Analysis<'_>, id: PointId) -> String {
    let model = analysis.model;
    let otherwise = "or mark the pin `need: optional` or `spare`";
    let Some(point) = model.point(id) else { return String::new() };
    let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { return String::new() };
    let mate = model.ends().find(|(_, end)| end.mate == Some(crate::model::Mate::Port(port)));
    match mate {
        Some((end, item)) if matches!(item.kind, EndKind::Connector(_)) => {
            format!("add a wire to cavity `{}` of `{}`, {otherwise}", model.text(point.label), model.end_name(end))
        }
        _ => format!("add a loom end that mates `{}`, {otherwise}", model.port_name(port)),
    }
}
