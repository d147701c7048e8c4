//! A number that was taken out of use stays out of use.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
};
use std::collections::BTreeMap;

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "review/retired-number",
        level: Level::Error,
        since: "0.1.0",
        finds: "a wire whose number is on the list of those that may never come back",
        docs: r#"
## What it checks
The number of every wire and core of every loom against the list `retired`. An entry such as `104` bars the number in all
looms, `front.104` in the loom `front` alone. Numbers are text: `0104` and `104a` are other numbers than `104`.
## Why it matters
A retired number still stands in old drawings, on printed labels and in people's heads: whoever meets it again on a new wire
measures, cuts or connects what it used to be.
## Example
```yaml
format: 1
design: Orchard lift
retired: [deck.3]
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
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
```
## Remedy
```yaml
format: 1
design: Orchard lift
retired: [deck.3]
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
      4: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
Numbers that were used once and are not on the list, and numbers of pins, ends and devices.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut retired = BTreeMap::new();
    for (number, span) in &model.retired {
        // Written twice it is still one number.
        retired.entry(model.text(*number)).or_insert(*span);
    }
    let mut findings = Vec::new();
    if retired.is_empty() {
        return findings;
    }
    for (id, wire) in model.wires() {
        let name = model.wire_name(id);
        let number = model.text(wire.name);
        let (barred, span) = match (retired.get(name.as_str()), retired.get(number)) {
            (Some(span), _) => ("a retired number".to_owned(), *span),
            (None, Some(span)) => (format!("the number `{number}`, which is retired in all looms"), *span),
            (None, None) => continue,
        };
        findings.push(
            RULE.finding(wire.span, format!("wire `{name}` bears {barred}"))
                .label("may not come back")
                .context(span, "retired here")
                .help(format!("give `{name}` a number that was never used"))
                .concerns(name),
        );
    }
    findings
}
