//! What flows to a load flows back to its source.

use super::{
    ends::{and_more, in_modes},
    feeds::few,
    reach::{blame, evidence, reach},
    starved::{Cut, Starved, starved},
    views::{Part, part},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "netlist/no-return",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load that is fed and whose other side never gets back to that source",
        docs: r#"
## What it checks
Each load and converter in the modes of its `in:`: if its feed is alive, its other side gets back to the same source
through closed switches, fitted fuses and metal. A way back through other loads alone does not count where the shared
conductor is a return. A load without `in:` must have its return in one mode at least. Loads that share an open return are
one finding. Where its current goes back through other loads, they are named.
## Why it matters
Without its return a load does not run, or its current finds a way back through other loads, which then glow or hold.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
modes:
  parked: {}
  drive: {}
zones:
  deck: { ambient: 40 degC }
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin }
  fuses:
    blade-10: { standard: ISO 8820-3, rating: 10 A }
devices:
  battery:
    ports:
      POS: { stud: M8, signal: battery plus, role: supply, domain: aux }
      NEG: { stud: M8, signal: ground, role: return, domain: aux, need: optional }
    inside:
      cells: { source: 12.6 V, resistance: 8 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-10, from: IN, to: OUT }
  chassis:
    chassis: true
    ports:
      G0: { stud: M8, signal: ground, role: chassis, domain: aux, need: optional }
      G1: { stud: M8, signal: ground, role: chassis, domain: aux }
  lamp:
    ports:
      A: { stud: M5, signal: lamp feed, role: supply, domain: aux }
      B: { stud: M5, signal: ground, role: return, domain: aux }
    inside:
      bulb: { load: 4 A, from: A, to: B, in: [drive], kind: lamp }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M5, bolts-to: lamp.A }
      R5: { ring: M5, bolts-to: lamp.B }
      R6: { ring: M8, bolts-to: chassis.G1 }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 1 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
modes:
  parked: {}
  drive: {}
zones:
  deck: { ambient: 40 degC }
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin }
  fuses:
    blade-10: { standard: ISO 8820-3, rating: 10 A }
devices:
  battery:
    ports:
      POS: { stud: M8, signal: battery plus, role: supply, domain: aux }
      NEG: { stud: M8, signal: ground, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 8 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-10, from: IN, to: OUT }
  chassis:
    chassis: true
    ports:
      G0: { stud: M8, signal: ground, role: chassis, domain: aux }
      G1: { stud: M8, signal: ground, role: chassis, domain: aux }
  lamp:
    ports:
      A: { stud: M5, signal: lamp feed, role: supply, domain: aux }
      B: { stud: M5, signal: ground, role: return, domain: aux }
    inside:
      bulb: { load: 4 A, from: A, to: B, in: [drive], kind: lamp }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M5, bolts-to: lamp.A }
      R5: { ring: M5, bolts-to: lamp.B }
      R6: { ring: M8, bolts-to: chassis.G1 }
      R7: { ring: M8, bolts-to: battery.NEG }
      R8: { ring: M8, bolts-to: chassis.G0 }
    wires:
      4: { from: R7, to: R8, size: 6 mm2, colour: BK, length: 300 mm }
      1: { from: R1, to: R2, size: 2.5 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 1 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
Returns that lead into a box of which the design does not say what is inside. Pins without a wire, dangling wires and
exchanged signals are reported by their own rules, and not a second time here.
## Source
Circuit laws; common practice, no source.
"#,
    },
    run: check,
};

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let starved = analysis.shared(starved);
    starved.0.iter().filter(|starved| starved.cut == Cut::Return).filter_map(|starved| finding(analysis, starved)).collect()
}

fn finding(analysis: &Analysis, starved: &Starved) -> Option<Finding> {
    let model = analysis.model();
    let (name, item) = reach(analysis, starved)?;
    let more = and_more(starved.loads.len() - 1, "load");
    let (why, help) = blame(analysis, starved, "return");
    let headline = format!("the return of `{name}`{more} never gets back to its source{}{why}", in_modes(model, &starved.modes));
    let back = back_through(analysis, starved);
    let mut finding = RULE
        .finding(item.value_span, headline)
        .label(format!("fed, but its return ends at `{}`", model.point_name(starved.dead)))
        .help(help);
    if !back.is_empty() {
        finding = finding.figure("goes back through", few(&back));
    }
    Some(evidence(analysis, starved, finding))
}

/// The loads through which the current leaves the return that leads nowhere, in the first mode.
fn back_through(analysis: &Analysis, starved: &Starved) -> Vec<String> {
    let (model, network) = (analysis.model(), analysis.network());
    let Some(mode) = analysis.electrical().modes().find(|mode| starved.modes.first() == Some(&mode.id)) else {
        return Vec::new();
    };
    let lumps = network.components(|id, edge| part(model, edge) == Part::Conductor && mode.conducts(id));
    let dead = lumps.of(starved.dead);
    let loads = network.edges().filter_map(|(id, edge)| {
        let (element, _) = edge.element().filter(|_| matches!(part(model, edge), Part::Load | Part::Resistor))?;
        let (from, to) = if mode.amps(id).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let leaves = lumps.of(from) == dead && lumps.of(to) != dead && mode.amps(id).get().abs() > NOTHING;
        leaves.then(|| model.element_name(element))
    });
    let mut loads: Vec<String> = loads.collect();
    loads.sort();
    loads
}
