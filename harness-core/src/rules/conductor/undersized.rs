//! A conductor carries, in every mode, no more than it may alone in the air where it lies.

use crate::{
    analysis::Analysis,
    electrical::{
        WireLoad,
        conductors::conductor::{capacity_of, least_size_of},
    },
    finding::{Finding, Level},
    model::{Wire, WireId},
    quantity::Ampere,
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "conductor/undersized",
        level: Level::Error,
        since: "0.1.0",
        finds: "a conductor that carries more than it may in the air where it lies, even alone",
        docs: r#"
## What it checks
The computed current of each conductor in its worst mode against its continuous capacity alone: the figure of the table
(`policy: capacity`) for its size, corrected for the air around it and its rated temperature. Equal values pass. What the
loaded conductors beside it add is `conductor/overheated`'s; conductors that would carry their current if they shared it
evenly are `conductor/uneven-parallel`'s.
## Why it matters
A conductor that runs too hot ages, softens its insulation and in the end burns the loom.
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
    blade-25: { standard: ISO 8820-3, type: F, rating: 25 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 12 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-25, from: IN, to: OUT }
  heater:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      coil: { resistor: 0.67 ohm, from: A, to: B }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M5, bolts-to: heater.A }
      R5: { ring: M5, bolts-to: heater.B }
      R6: { ring: M8, bolts-to: battery.NEG }
    wires:
      1: { from: R1, to: R2, size: 6 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 6 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 0.75 mm2, colour: BK, length: 800 mm }
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
    blade-25: { standard: ISO 8820-3, type: F, rating: 25 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 12 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-25, from: IN, to: OUT }
  heater:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      coil: { resistor: 0.67 ohm, from: A, to: B }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M5, bolts-to: heater.A }
      R5: { ring: M5, bolts-to: heater.B }
      R6: { ring: M8, bolts-to: battery.NEG }
    wires:
      1: { from: R1, to: R2, size: 6 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 6 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 800 mm }
```
## What it cannot see
Short-time currents such as starting, and heat from anything but its own current. Conductors whose size, rating
or surroundings are not given are named by `review/missing-fact`.
## Source
Capacity: DIN VDE 0298-4 guide values for vehicle cable, as an automotive handbook prints them (seen); or 33 CFR 183.425
table 5 or FAA AC 43.13-1B table 11-9 (both seen), where the policy says so. Ambient and rating: heat balance, checked
against the first table at 50 degC.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    for (id, wire) in model.wires() {
        let Some(loading) = analysis.electrical().loading(id) else { continue };
        // A conductor without a known capacity is `review/missing-fact`'s to report.
        let Some(capacity) = capacity_of(model, wire, 1) else { continue };
        let (Some(size), Some(mode)) = (wire.size, loading.mode) else { continue };
        if loading.amps <= capacity.amps || analysis.electrical().is_uneven(id) {
            continue;
        }
        let excess = Ampere::new(loading.amps.get() - capacity.amps.get());
        let name = model.wire_name(id);
        let mut finding = RULE
            .finding(size.span, format!("wire `{name}` carries {}, {excess} over what {} takes here", loading.amps, size.value))
            .label(format!("takes {} here", capacity.amps))
            .context(wire.span, format!("carries {} in mode `{}`", loading.amps, model.mode_name(mode)))
            .figure("current", format!("{} in mode `{}`, computed", loading.amps, model.mode_name(mode)))
            .figure("capacity", &capacity)
            .help(remedy(analysis, id, wire, loading))
            .concerns(name);
        for step in &capacity.chain {
            finding = finding.figure("source", step.source);
        }
        findings.push(finding);
    }
    findings
}

fn remedy(analysis: &Analysis, id: WireId, wire: &Wire, loading: &WireLoad) -> String {
    let name = analysis.model().wire_name(id);
    let least = least_size_of(analysis.model(), wire, loading.amps, loading.beside);
    match least {
        Some(least) => format!("use {least} or more for `{name}`, or lay it where it is cooler"),
        None => format!("share the current of `{name}` over several conductors with a fuse each, or lay it where it is cooler"),
    }
}
