//! A fuse carries its continuous load without tiring.

use crate::{
    analysis::Analysis,
    electrical::{
        FuseLoad,
        fuses::fuse::{kind_of, standard_of},
    },
    finding::{Finding, Level},
    model::ElementId,
    network::EdgeId,
    quantity::Ampere,
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "protection/fuse-under-load",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse whose continuous load is above what its rating allows at its ambient",
        docs: r#"
## What it checks
The computed current through each fuse in its worst mode against its rating times `policy: fuse-loading` (75 % where the policy
says nothing) times what the air around it leaves of a fuse. Equal values pass.
## Why it matters
A fuse that runs near its rating opens one day on a hot slope, for no fault at all.
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
      bulb: { load: 9 A, from: A, to: B, kind: lamp }
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
      2: { from: R3, to: R4, size: 2.5 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 1400 mm }
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
      bulb: { load: 7 A, from: A, to: B, kind: lamp }
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
      2: { from: R3, to: R4, size: 2.5 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
Starting and inrush currents. A fuse in a place of unknown ambient is judged at 25 degC.
## Source
75 % at 25 degC: a trade page on fuse practice (seen). Loss with ambient: from memory, not seen; take the curve of the fuse in hand.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let fuses = analysis.network().edges().filter_map(|(id, edge)| edge.element().map(|(element, _)| (id, element)));
    fuses.filter_map(|(edge, element)| finding(analysis, edge, element)).collect()
}

fn finding(analysis: &Analysis, edge: EdgeId, id: ElementId) -> Option<Finding> {
    let model = analysis.model();
    let element = model.element(id)?;
    let loading = analysis.electrical().fuse_loading(edge)?;
    let FuseLoad { amps: load, limit, rating, share, rerating, ambient, .. } = loading;
    if load <= limit {
        return None;
    }
    let name = model.element_name(id);
    let excess = Ampere::new(load.get() - limit.get());
    let least = Ampere::new(load.get() / (share.value.get() * rerating.value.get()).max(1e-9));
    // A rating that can be bought, where the ratings of the standard are known.
    let standard = kind_of(model, id).and_then(|kind| standard_of(model, kind));
    let types = standard.map(|standard| standard.types).unwrap_or_default();
    let made = types.iter().filter_map(|kind| kind.rating_at_least(least)).map(|rating| rating.value);
    let least = made.reduce(|a, b| if b < a { b } else { a }).unwrap_or(least);
    let finding = RULE
        .finding(element.value_span, format!("fuse `{name}` carries {load}, {excess} more than {rating} allow for long"))
        .label(format!("{limit} for long"))
        .figure("load", format!("{load} in mode `{}`, computed", model.mode_name(loading.mode?)))
        .figure("limit", format!("{rating} x {} x {} = {limit}", share.value, rerating.value))
        .figure("ambient", ambient.map_or_else(|| "not given, taken as 25 degC".to_owned(), |ambient| ambient.to_string()))
        .figure("rerating", rerating.source)
        .help(format!("fit a fuse of {least} or more for `{name}` with conductors to match, or share its load over two fuses"))
        .concerns(name);
    Some(match loading.policy {
        Some(policy) => finding.context(policy, "the policy's share"),
        None => finding.figure("share", format!("{}, {}", share.value, share.source)),
    })
}
