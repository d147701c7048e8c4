//! Conductors in parallel share what they carry, and the rest carries it when one opens.

use crate::{
    analysis::Analysis,
    electrical::conductors::{
        conductor::{capacity_of, least_size_of},
        parallel::{Parallel, Trouble},
    },
    finding::{Finding, Level},
    model::{Model, WireId},
    quantity::Ampere,
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "conductor/uneven-parallel",
        level: Level::Warning,
        since: "0.1.0",
        finds: "conductors in parallel of which one carries more than it may, or would if another opened",
        docs: r#"
## What it checks
Conductors that join the same two places, contacts and links included. First, whether one carries more than it may though all of
them together would carry the whole: lengths, sizes and contacts then share it unevenly. That is an error, as it would be
for a single conductor. Second, whether one would carry more than it may if the one that carries most opened: a warning.
Where there is too little copper in all, `conductor/undersized` and `conductor/overheated` tell it at each of them.
## Why it matters
The shorter of two conductors takes the larger part. And a contact that fails in one of them is not noticed: everything
still works, on a conductor that is now too thin and behind a fuse that is too large for it.
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
    blade-25: { standard: ISO 8820-3, rating: 25 A, gates: [{ at: 400 %, opens-within: 100 ms }] }
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
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 16 A, from: A, to: B, kind: lamp }
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
      1: { from: R1, to: R2, size: 6 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 6 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 0.75 mm2, colour: BK, length: 1400 mm }
      4: { from: R5, to: R6, size: 0.75 mm2, colour: BK, length: 1400 mm }
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
    blade-25: { standard: ISO 8820-3, rating: 25 A, gates: [{ at: 400 %, opens-within: 100 ms }] }
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
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 16 A, from: A, to: B, kind: lamp }
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
      1: { from: R1, to: R2, size: 6 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 6 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
Conductors in parallel over a further splice, and how a contact ages. Conductors whose size, rating or surroundings are not
given are named by `review/missing-fact`.
## Source
Sharing by resistance: Kirchhoff's laws, as computed. Conductors in parallel protected by one device must each carry what is
left when one opens: IEC 60364-4-43 clause 433.4 asks for even sharing (from memory, not seen). Capacity as in
`conductor/overheated`.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.electrical().parallel().iter().filter_map(|group| finding(analysis, group)).collect()
}

fn finding(analysis: &Analysis, group: &Parallel) -> Option<Finding> {
    let model = analysis.model();
    let wire = model.wire(group.over)?;
    let (name, mode) = (model.wire_name(group.over), model.mode_name(group.mode));
    let excess = Ampere::new(group.carries.get() - group.takes.get());
    let others: Vec<String> =
        group.wires.iter().filter(|other| **other != group.over).map(|other| format!("`{}`", model.wire_name(*other))).collect();
    let others = others.join(", ");
    let (headline, label) = match group.trouble {
        Trouble::Uneven => (
            format!("wire `{name}` takes {} of what it shares with {others}, {excess} over what it takes", group.carries),
            format!("takes {} here", group.takes),
        ),
        Trouble::Opened(opens) => (
            format!(
                "wire `{name}` would carry {}, {excess} over what it takes, if `{}` opened",
                group.carries,
                model.wire_name(opens)
            ),
            format!("takes {} here", group.takes),
        ),
    };
    let size = wire.size.map_or(wire.span, |size| size.span);
    let mut finding = RULE.finding(size, headline).label(label);
    // A conductor over its capacity is an error, whoever tells it.
    if group.trouble == Trouble::Uneven {
        finding.stated = Level::Error;
    }
    for (other, amps) in group.wires.iter().zip(&group.amps) {
        if let Some(item) = model.wire(*other).filter(|_| *other != group.over) {
            finding = finding.context(item.size.map_or(item.span, |size| size.span), format!("carries {amps} in mode `{mode}`"));
        }
    }
    let shares: Vec<String> =
        group.wires.iter().zip(&group.amps).map(|(wire, amps)| format!("`{}` {amps}", model.wire_name(*wire))).collect();
    finding = finding.figure("shares", format!("{} in mode `{mode}`, computed", shares.join(", ")));
    if let Some(capacity) = capacity_of(model, wire, group.beside) {
        finding = finding.figure("capacity", &capacity);
        for step in &capacity.chain {
            finding = finding.figure("source", step.source);
        }
    }
    let finding = finding.help(remedy(model, group, &name));
    Some(group.wires.iter().fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire))))
}

fn remedy(model: &Model, group: &Parallel, name: &str) -> String {
    let total = Ampere::new(group.amps.iter().map(|amps| amps.get()).sum());
    let single = |wire: WireId| model.wire(wire).and_then(|wire| least_size_of(model, wire, total, group.beside));
    match (group.trouble, single(group.over)) {
        (Trouble::Uneven, Some(size)) => {
            format!("make the conductors alike in size and length, or lay one of {size} in place of them")
        }
        (Trouble::Uneven, None) => "make the conductors alike in size and length".to_owned(),
        (Trouble::Opened(_), Some(size)) => {
            format!("use {size} or more for `{name}` and those beside it, lay one of {size}, or give each a fuse of its own")
        }
        (Trouble::Opened(_), None) => "give each conductor a fuse of its own".to_owned(),
    }
}
