//! A conductor stands being pulled, tied and shaken.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
    standards::handling::road_single,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "conductor/thin-for-handling",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a single wire thinner than the least size for mechanical strength",
        docs: r#"
## What it checks
The size of each single wire against `policy: handling-size`, or 0.35 mm2 where the policy says nothing. Equal values pass.
Cores of a cable are left out: the sheath carries the strain.
## Why it matters
A thin wire breaks at the crimp when the loom is pulled through a panel, and the break is found on the road.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
zones:
  deck: { ambient: 40 degC }
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin }
  fuses:
    blade-5: { standard: ISO 8820-3, rating: 5 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 8 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-5, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 0.1 A, from: A, to: B, kind: lamp }
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
      3: { from: R5, to: R6, size: 0.22 mm2, colour: BK, length: 1400 mm }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
zones:
  deck: { ambient: 40 degC }
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin }
  fuses:
    blade-5: { standard: ISO 8820-3, rating: 5 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 8 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-5, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 0.1 A, from: A, to: B, kind: lamp }
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
      3: { from: R5, to: R6, size: 0.35 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
How a wire is laid, and whether its terminal holds it.
## Source
Common practice, no source; on boats ISO 10133:2012 7.7 asks for 1 mm2 laid separately (seen): set it by `policy: handling-size`.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let usual = road_single();
    let limit = model.policy.handling_size;
    let least = limit.map_or(usual.value, |at| at.value);
    let mut findings = Vec::new();
    for (id, wire) in model.wires() {
        let Some(size) = wire.size else { continue };
        if wire.core.is_some() || size.value >= least {
            continue;
        }
        let name = model.wire_name(id);
        let finding = RULE
            .finding(size.span, format!("wire `{name}` is {}, thinner than the {least} that stand handling", size.value))
            .label(format!("{least} or more"))
            .help(format!("use {least} or more for `{name}`, or run it as the core of a cable"))
            .concerns(name);
        findings.push(match limit {
            Some(limit) => finding.context(limit.span, "the policy's limit").figure("limit", format!("{least} (policy)")),
            None => finding.figure("limit", format!("{least}, {}", usual.source)),
        });
    }
    findings
}
