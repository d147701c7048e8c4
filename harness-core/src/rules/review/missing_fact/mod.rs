//! A check that could not be made is said, never skipped in silence.
//!
//! The one owner of missing facts: every rule that stays silent for want of one relies on this file. One file a group of
//! facts: what flows (`flow`), coils (`coils`), batteries (`batteries`), conductors (`conductors`), shorts (`faults`), what is
//! joined (`joints`) and voltages (`voltages`).

mod batteries;
mod coils;
mod conductors;
mod faults;
mod flow;
mod joints;
mod voltages;

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
    text::Span,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "review/missing-fact",
        level: Level::Note,
        since: "0.1.0",
        finds: "a check that could not be made because a fact is missing",
        docs: r#"
## What it checks
For every check that can't be made, or rests on an assumption, for want of a fact: the fact is named, once for each thing that
lacks it. What carries no current and joins nothing of interest needs no facts and is left out. Facts that are given and
marked with `unsure` are told by `review/unsure-fact`.
## Why it matters
A check that is skipped in silence is worse than none: it is taken for a clean result.
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
    blade-10: { standard: ISO 8820-3, rating: 10 A }
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
      F1: { fuse: blade-10, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 4 A, from: A, to: B, kind: lamp }
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
      3: { from: R5, to: R6, colour: BK, length: 1400 mm }
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
    blade-10: { standard: ISO 8820-3, rating: 10 A }
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
      F1: { fuse: blade-10, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 4 A, from: A, to: B, kind: lamp }
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
Facts that are given and not true.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let parts = [
        flow::missing,
        coils::missing,
        batteries::missing,
        conductors::missing,
        faults::missing,
        joints::missing,
        voltages::missing,
    ];
    parts.into_iter().flat_map(|part| part(analysis)).collect()
}

/// A finding about `thing`: what was not checked, what is missing, what to add.
fn note(span: Span, headline: String, lacks: &str, help: String, thing: String) -> Finding {
    RULE.finding(span, headline).label(lacks).help(help).concerns(thing)
}
