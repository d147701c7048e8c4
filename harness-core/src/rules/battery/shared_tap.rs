//! Each tap has a wire of its own down to the cell.

use super::{
    parts::{batteries, conducts},
    taps::{Tap, groups},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{ElementKind, PointId, WireId},
    rules::{Check, RulePage},
};
use rustc_hash::{FxHashMap, FxHashSet};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "battery/shared-tap",
        level: Level::Warning,
        since: "0.1.0",
        finds: "one wire that serves two taps, such as the top of one monitor and the bottom of the next",
        docs: r#"
## What it checks
Two pins with `tap:`, of two monitors or of two ports that count their taps apart, which hang on one point of a string: they share
no wire on their way to it.
## Why it matters
Two monitors that meet at one cell both draw balancing current through the shared wire. Its voltage drop is added to one cell and
taken from the next: 15 to 20 mV, enough to balance the wrong cells.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  traction: { nominal: 24 V, max: 30 V, reference: floating }
devices:
  pack:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: traction, need: optional }
      NEG: { stud: M6, signal: minus, role: return, domain: traction, need: optional }
      S1: { stud: M4, signal: middle }
    inside:
      module1: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: S1, negative: NEG }
      module2: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: POS, negative: S1 }
  lower:
    ports: { J1: { pins: { 1: { signal: middle, role: input, domain: traction, tap: 1 } } } }
  upper:
    ports: { J1: { pins: { 1: { signal: middle, role: input, domain: traction, tap: 0 } } } }
looms:
  sense:
    ends:
      P1: { mates: lower.J1 }
      P2: { mates: upper.J1 }
      R1: { ring: M4, bolts-to: pack.S1 }
    splices: { S: {} }
    wires:
      1: { from: R1, to: S, size: 0.75 mm2, colour: WH, length: 300 mm }
      2: { from: S, to: P1.1, size: 0.75 mm2, colour: WH, length: 100 mm }
      3: { from: S, to: P2.1, size: 0.75 mm2, colour: WH, length: 100 mm }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  traction: { nominal: 24 V, max: 30 V, reference: floating }
devices:
  pack:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: traction, need: optional }
      NEG: { stud: M6, signal: minus, role: return, domain: traction, need: optional }
      S1: { stud: M4, signal: middle }
    inside:
      module1: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: S1, negative: NEG }
      module2: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: POS, negative: S1 }
  lower:
    ports: { J1: { pins: { 1: { signal: middle, role: input, domain: traction, tap: 1 } } } }
  upper:
    ports: { J1: { pins: { 1: { signal: middle, role: input, domain: traction, tap: 0 } } } }
looms:
  sense:
    ends:
      P1: { mates: lower.J1 }
      P2: { mates: upper.J1 }
      R1: { ring: M4, bolts-to: pack.S1 }
      R2: { ring: M4, bolts-to: pack.S1 }
    wires:
      1: { from: R1, to: P1.1, size: 0.75 mm2, colour: WH, length: 400 mm }
      2: { from: R2, to: P2.1, size: 0.75 mm2, colour: WH, length: 400 mm }
```
## What it cannot see
How large the balancing current is; wires that are shared inside a device.
## Source
Ohm's law; common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let strings = batteries(analysis);
    let model = analysis.model();
    let groups = groups(analysis, &strings);
    let taps = groups.iter().enumerate().flat_map(|(group, of)| of.taps.iter().map(move |tap| (group, *tap)));
    let taps = taps.filter(|(_, tap)| tap.height.is_some());
    let mut first: FxHashMap<u32, (usize, Tap, Vec<WireId>)> = FxHashMap::default();
    let mut findings = Vec::new();
    for (group, tap) in taps {
        let wires = wires(analysis, tap.point);
        let lump = strings.lump(tap.point);
        let Some((by, other, others)) = first.get(&lump) else {
            first.insert(lump, (group, tap, wires));
            continue;
        };
        // Two pins of one monitor at one cell are one tap.
        if *by == group {
            continue;
        }
        let known: FxHashSet<WireId> = others.iter().copied().collect();
        // The last one that both pass lies nearest to the cell.
        let Some(shared) = wires.iter().rev().find(|wire| known.contains(wire)) else { continue };
        let Some(item) = model.wire(*shared) else { continue };
        let (name, one, two) = (model.wire_name(*shared), model.point_name(other.point), model.point_name(tap.point));
        findings.push(
            RULE.finding(
                item.span,
                format!("wire `{name}` serves two taps: {} at `{one}` and {} at `{two}`", other.number, tap.number),
            )
            .label("carries the balancing current of both")
            .context(other.span, "one tap")
            .context(tap.span, "the other")
            .help(format!("lead a wire of its own from `{two}` to the cell"))
            .concerns(name)
            .concerns(one)
            .concerns(two),
        );
    }
    findings
}

/// The wires from a pin to the nearest pole of a source.
fn wires(analysis: &Analysis, pin: PointId) -> Vec<WireId> {
    let (model, network) = (analysis.model(), analysis.network());
    let pole = |point: PointId| {
        network.around(point).any(|(_, edge, _)| {
            let element = edge.element().and_then(|(element, _)| model.element(element));
            element.is_some_and(|element| matches!(element.kind, ElementKind::Source { .. }))
        })
    };
    let steps = network.path(pin, pole, |_, edge| conducts(model, edge)).unwrap_or_default();
    steps.iter().filter_map(|step| network.edge(step.edge)?.wire()).collect()
}
