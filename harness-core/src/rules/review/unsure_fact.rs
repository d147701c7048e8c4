//! What the design itself marks as unsure is said, so that nobody takes it for measured.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "review/unsure-fact",
        level: Level::Note,
        since: "0.1.0",
        finds: "facts that the design gives and marks as still to be found out",
        docs: r#"
## What it checks
What stands in the lists `unsure` of looms, ends, wires, devices and pins: one note a thing, naming its facts.
## Why it matters
A guess that was written down looks like a measured value a week later. Every verdict that rests on it is as open as the guess.
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
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm, unsure: [length, size] }
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
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
Which verdicts rest on the fact, and guesses that are not marked.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    // The facts of one thing stand side by side, in the order written.
    let things = model.unsure.chunk_by(|(one, ..), (other, ..)| one == other);
    let mut findings = Vec::new();
    for facts in things {
        let Some((thing, _, span)) = facts.first() else { continue };
        let names: Vec<String> = facts.iter().map(|(_, fact, _)| format!("`{}`", model.text(*fact))).collect();
        let (names, is, them) = match names.split_last() {
            Some((last, rest)) if !rest.is_empty() => (format!("{} and {last}", rest.join(", ")), "are", "them"),
            _ => (names.concat(), "is", "it"),
        };
        let headline = format!("{names} of `{thing}` {is} still to be found out; verdicts that rest on {them} are open");
        let finding = RULE
            .finding(*span, headline)
            .label("marked `unsure`")
            .help(format!("find {them} out, and take {them} off the list `unsure` of `{thing}`"))
            .concerns(thing.clone());
        findings.push(facts.iter().skip(1).fold(finding, |finding, (.., span)| finding.context(*span, "this too")));
    }
    findings
}
