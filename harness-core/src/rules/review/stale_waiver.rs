//! A waiver holds for what it was written for, or it is told.

use crate::{finding::Level, rules::RulePage};

pub(crate) static RULE: RulePage = RulePage {
    name: "review/stale-waiver",
    level: Level::Warning,
    since: "0.1.0",
    finds: "a waiver that has expired, accepts nothing, or lacks what it needs to be applied",
    docs: r#"
## What it checks
Every entry of `waivers`: that its rule exists, that `at` names one thing, that a finding of that rule concerns it, that `until`
has not passed, that `by` says who accepted it. A danger is accepted only with both `by` and `until`. What can't be read
(`format/...`) and this rule itself are accepted by no waiver. A waiver that has expired or lacks what it needs for a danger
accepts nothing; one that lacks only `by` holds for the rest. Without mistakes of reading and in all modes only: a waiver whose
finding was never looked for is not said to accept nothing.
## Why it matters
A waiver outlives its reason. What was accepted for one season, or for a wire that has since been replaced, would keep the next
fault at that place from being seen.
## Example
```yaml
format: 1
design: Orchard lift
waivers:
  - { finding: conductor/thin-for-handling, at: deck.3, reason: lies in a tube and is never pulled, by: A. Fitter }
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
Whether the reason is true. Without the day (the library alone) no waiver expires; the program takes the day of the clock in
UTC, of `SOURCE_DATE_EPOCH`, or of `--today`.
## Source
Common practice, no source.
"#,
};
