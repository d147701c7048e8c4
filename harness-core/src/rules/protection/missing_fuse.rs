//! Nothing that takes current is fed from a source past no fuse.

use crate::{
    analysis::Analysis,
    electrical::fuses::protection::{Run, Unfused},
    finding::{Finding, Level},
    network::Edge,
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "protection/missing-fuse",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductor that a source feeds with no fuse between",
        docs: r#"
## What it checks
Each conductor between the pole of a source and something that takes current: a fuse lies on the way. Switches, contactors
and disconnects count as closed. A pin with role `supply` of which nothing inside is known takes current too. One finding
for each wire that leaves the pole, however many hang on it. The pole on which no other source stands lower is the return and needs
no fuse; a pack is protected by one fuse anywhere in its string. Sources with a `limit` are left out.
## Why it matters
A chafed wire without a fuse glows from end to end, and there is no way to switch it off.
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
      IN: { stud: M6, need: optional }
      OUT: { stud: M6, need: optional }
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
      R4: { ring: M5, bolts-to: lamp.A }
      R5: { ring: M5, bolts-to: lamp.B }
      R6: { ring: M8, bolts-to: battery.NEG }
    wires:
      1: { from: R1, to: R4, size: 1 mm2, colour: RD/WH, length: 1400 mm }
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
A fuse that is in the drawing and not in the holder; whether a `limit` is kept. Runs that only lead to a first fuse are judged by `protection/unfused-length`.
## Source
Common practice, no source; on boats 33 CFR 183.455 (seen) asks for it in every ungrounded conductor.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let unfused = analysis.electrical().protection().unfused();
    unfused.iter().flat_map(|unfused| unfused.to_loads.iter().filter_map(|run| finding(analysis, unfused, run))).collect()
}

fn finding(analysis: &Analysis, unfused: &Unfused, run: &Run) -> Option<Finding> {
    let model = analysis.model();
    let first = *run.wires.first()?;
    let wire = model.wire(first)?;
    let source = model.element(unfused.source)?;
    let (name, fed_by, pole) = (model.wire_name(first), model.element_name(unfused.source), model.point_name(run.pole));
    let what = match run.wires.len() - 1 {
        0 => format!("wire `{name}` is"),
        1 => format!("wire `{name}` and 1 wire behind it are"),
        more => format!("wire `{name}` and {more} wires behind it are"),
    };
    let mut finding = RULE
        .finding(wire.span, format!("{what} fed by `{fed_by}` with no fuse between"))
        .label("no fuse before this wire")
        .context(source.span, "this source feeds it")
        .help(format!("put a fuse between `{pole}` and `{name}`, as near to the source as it goes"));
    let protection = analysis.electrical().protection();
    let cluster = protection.cluster(run.load);
    let inside = |edge: &Edge| protection.cluster(edge.a) == cluster && protection.cluster(edge.b) == cluster;
    if let Some(path) = analysis.network().path(run.pole, |point| point == run.load, |_, edge| inside(edge)) {
        finding = finding.path(analysis.network().names(model, run.pole, &path));
    }
    Some(run.wires.iter().fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire))))
}
