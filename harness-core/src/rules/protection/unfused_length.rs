//! The run from a source to its first fuse is short.

use crate::{
    analysis::Analysis,
    electrical::fuses::protection::{LeadIn, Unfused},
    finding::{Finding, Level},
    model::WireId,
    quantity::Metre,
    rules::{Check, RulePage},
    standards::fuse::{Lead, unfused_length},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "protection/unfused-length",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a longer run from a source to its first fuse than the policy allows",
        docs: r#"
## What it checks
The length of the wires from the pole of a source to each first fuse, against `policy: unfused-length`, or 178 mm (7 in) where
the policy says nothing. Equal values pass.
## Why it matters
Nothing protects this run. The shorter it is, the less can touch it.
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
      1: { from: R1, to: R2, size: 2.5 mm2, colour: RD, length: 450 mm }
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
Whether the run lies in a sheath or box of its own, where boat rules allow 1016 mm: set `policy: unfused-length` for that. Wires without a length are named by `review/missing-fact`.
## Source
33 CFR 183.455(b)(1), 7 in along the conductor (seen); a boat rule, used as good practice on land.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let unfused = analysis.electrical().protection().unfused();
    unfused.iter().flat_map(|unfused| unfused.lead_ins.iter().filter_map(|run| finding(analysis, unfused, run))).collect()
}

fn finding(analysis: &Analysis, unfused: &Unfused, run: &LeadIn) -> Option<Finding> {
    let model = analysis.model();
    let usual = unfused_length(Lead::Bare);
    let limit = model.policy.unfused_length;
    let most = limit.map_or(usual.value, |at| at.value);
    // A run with a wire of unknown length is `review/missing-fact`'s to report.
    let length = run.length.filter(|length| *length > most)?;
    // Wires that feed a load past no fuse are a graver fault of their own.
    let unprotected = |wire: &WireId| unfused.to_loads.iter().any(|run| run.wires.contains(wire));
    let wire = run.wires.iter().rev().find(|wire| !unprotected(wire))?;
    let item = model.wire(*wire)?;
    let (name, fuse) = (model.wire_name(*wire), model.element_name(run.fuse));
    let excess = Metre::new(length.get() - most.get());
    let span = item.length.map_or(item.span, |at| at.span);
    let mut finding = RULE
        .finding(
            span,
            format!("{length} run from `{}` to its first fuse `{fuse}`, {excess} too long", model.point_name(run.pole)),
        )
        .label("last wire of the run")
        .figure("run", length)
        .help(format!("move `{fuse}` to within {most} of `{}`, or add a fuse there", model.point_name(run.pole)))
        .concerns(name)
        .concerns(fuse);
    if let Some(element) = model.element(run.fuse) {
        finding = finding.context(element.span, "the first fuse");
    }
    finding = match limit {
        Some(limit) => finding.context(limit.span, "the policy's limit").figure("limit", format!("{most} (policy)")),
        None => finding.figure("limit", format!("{most}, {}", usual.source)),
    };
    let mut path = vec![model.point_name(run.pole)];
    path.extend(run.wires.iter().map(|wire| format!("wire {}", model.wire_name(*wire))));
    path.push(model.element_name(run.fuse));
    Some(finding.path(path))
}
