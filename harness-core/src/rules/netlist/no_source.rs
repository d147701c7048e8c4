//! A source reaches every load in the modes in which it runs.

use super::{
    ends::{and_more, in_modes},
    reach::{blame, reach},
    starved::{Cut, Starved, starved},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "netlist/no-source",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load that no source reaches in a mode in which it runs",
        docs: r#"
## What it checks
Each load and converter in the modes of its `in:`: a source that is on reaches its feed through closed switches, fitted
fuses and metal. A load without `in:` must be fed in one mode at least; a relay coil in one position of the switches.
A load whose two sides are one conductor is reported here too. Loads that one open thing starves are one finding.
## Why it matters
The load does not run, and on the drawing everything looks joined.
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
      NEG: { stud: M8, signal: ground, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 8 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-10, from: IN, to: OUT, fitted: false }
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
      R6: { ring: M8, bolts-to: battery.NEG }
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
      OUT: { stud: M6, need: optional }
      LAMP: { stud: M6 }
    inside:
      F1: { fuse: blade-10, from: IN, to: OUT }
      main: { switch: open, from: OUT, to: LAMP, closed-in: [drive], current: 10 A }
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
      R3: { ring: M6, bolts-to: fuse-box.LAMP }
      R4: { ring: M5, bolts-to: lamp.A }
      R5: { ring: M5, bolts-to: lamp.B }
      R6: { ring: M8, bolts-to: battery.NEG }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 1 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
Feeds that come from a box of which the design does not say what is inside; a design without any source. Pins without a
wire, dangling wires and exchanged signals are reported by their own rules, and not a second time here. A voltage that is
there but too low is for `conductor/voltage-drop`.
## Source
Circuit laws; common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let starved = analysis.shared(starved);
    starved.0.iter().filter(|starved| starved.cut != Cut::Return).filter_map(|starved| finding(analysis, starved)).collect()
}

fn finding(analysis: &Analysis, starved: &Starved) -> Option<Finding> {
    let model = analysis.model();
    let (name, item) = reach(analysis, starved)?;
    let more = and_more(starved.loads.len() - 1, "load");
    let modes = in_modes(model, &starved.modes);
    let dead = model.point_name(starved.dead);
    let finding = match starved.cut {
        Cut::Bridged => RULE
            .finding(item.value_span, format!("`{name}` gets no voltage{modes}: both its sides are joined to one conductor"))
            .label("runs without voltage")
            .help(format!("move the wire at `{dead}` or at its other side to the feed that it is meant for")),
        _ => {
            let (why, help) = blame(analysis, starved, "feed");
            RULE.finding(item.value_span, format!("no source reaches `{name}`{more}{modes}{why}"))
                .label(format!("runs without voltage; the feed ends at `{dead}`"))
                .help(help)
        }
    };
    Some(super::reach::evidence(analysis, starved, finding))
}
