//! A fuse can break the largest current that a short may drive through it.

use crate::{
    analysis::Analysis,
    electrical::{
        faults::Duty,
        fuses::fuse::{breaking_capacity_of, kind_of},
    },
    finding::{Finding, Level},
    quantity::Ampere,
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "protection/breaking-capacity",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a fuse in a short of more current than it can break",
        docs: r#"
## What it checks
The largest current that a short at either terminal of a fuse drives through it, conductors cold, against the breaking
capacity of its kind, or of its standard where the kind gives none. Equal values pass. Whether its voltage suits is for
`domain/under-rated-insulation`.
## Why it matters
A fuse that is asked for more than it can break bursts, or its arc burns on and the short with it.
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
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }
  fuses:
    blade-40: { standard: ISO 8820-3, rating: 40 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 2 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-40, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 10 A, from: A, to: B, kind: lamp }
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
      1: { from: R1, to: R2, size: 16 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 16 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 16 mm2, colour: BK, length: 1400 mm }
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
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }
  fuses:
    strip-40: { standard: ISO 8820-5, rating: 40 A, breaking: 4 kA }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 2 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: strip-40, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 10 A, from: A, to: B, kind: lamp }
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
      1: { from: R1, to: R2, size: 16 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 16 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 16 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
A fuse before it that opens first and lets less through, and the resistance of the short itself. A fuse without a breaking
capacity is named by `review/missing-fact`.
## Source
Breaking capacities: scopes of the parts of ISO 8820 (seen). Interrupt rating above the prospective current: rules of a
student race series, EV6.1.3, 2014 (seen).
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let fuses = analysis.model().elements().filter_map(|(id, _)| analysis.electrical().faults().of_fuse(id));
    fuses.filter_map(|duty| finding(analysis, duty)).collect()
}

fn finding(analysis: &Analysis, duty: &Duty) -> Option<Finding> {
    let model = analysis.model();
    let element = model.element(duty.fuse)?;
    let kind = kind_of(model, duty.fuse)?;
    let capacity = breaking_capacity_of(model, kind)?;
    if duty.amps <= capacity.value {
        return None;
    }
    let name = model.element_name(duty.fuse);
    let excess = Ampere::new(duty.amps.get() - capacity.value.get());
    let (point, back) = duty.short;
    let finding = RULE
        .finding(
            element.value_span,
            format!("a short drives {} through fuse `{name}`, {excess} more than it can break", duty.amps),
        )
        .label(format!("breaks {} at most", capacity.value))
        .figure(
            "short",
            format!(
                "`{}` to `{}` in mode `{}`: {}, conductors at 20 degC, computed",
                model.point_name(point),
                model.point_name(back),
                model.mode_name(duty.mode),
                duty.amps
            ),
        )
        .figure("breaking capacity", capacity)
        .help(format!(
            "fit a fuse that breaks {} or more for `{name}`, or one that does in series before it; a fuse that can't break its \
             current bursts or goes on burning",
            duty.amps
        ))
        .concerns(name);
    Some(match kind.breaking {
        Some(own) => finding.context(own.span, "the breaking capacity"),
        None => finding,
    })
}
