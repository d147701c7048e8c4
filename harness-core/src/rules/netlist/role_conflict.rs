//! The roles that meet on a net can live together.

use super::{
    meeting::{Meetings, told},
    names::Mixed,
    roles::Conflict,
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "netlist/role-conflict",
        level: Level::Error,
        since: "0.1.0",
        finds: "roles that cannot share a net: supply with return, two outputs, CAN high with CAN low",
        docs: r#"
## What it checks
On each net: supply with return, chassis or earth of the same domain; line with neutral or earth; CAN high with CAN low; a
screen with a signal; control pilot with proximity; two outputs that drive high-side or push-pull, or of which neither
`drive` nor an element inside says how they drive. Low-side outputs may share, outputs of one device under one signal too,
and sources may stand in series. If the pins also name different signals, only a supply on a return is told here.
## Why it matters
Two drivers on one wire end in smoke, a supply on a return in a short circuit.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
parts:
  housings:
    three-way-pins: { family: QL, positions: 3, contacts: pin, key: A, voltage: 60 V }
    three-way-sockets: { family: QL, positions: 3, contacts: socket, key: A, voltage: 60 V }
devices:
  controller:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: lift up, role: output, domain: aux, drive: push-pull }
          2: { signal: lift down, role: output, domain: aux, drive: push-pull }
          3: { signal: lever return, role: return, domain: aux }
  valve:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: lift up, role: output, drive: push-pull, domain: aux }
          2: { signal: lift down, role: input, domain: aux }
          3: { signal: lever return, role: return, domain: aux }
looms:
  deck:
    ends:
      P1: { housing: three-way-sockets, mates: controller.J1 }
      P2: { housing: three-way-sockets, mates: valve.J1 }
    wires:
      1: { from: P1.1, to: P2.1, size: 0.5 mm2, colour: GN/WH, length: 800 mm, twist: T1 }
      2: { from: P1.2, to: P2.2, size: 0.5 mm2, colour: GN/BK, length: 800 mm, twist: T1 }
      3: { from: P1.3, to: P2.3, size: 0.5 mm2, colour: BN, length: 800 mm }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
parts:
  housings:
    three-way-pins: { family: QL, positions: 3, contacts: pin, key: A, voltage: 60 V }
    three-way-sockets: { family: QL, positions: 3, contacts: socket, key: A, voltage: 60 V }
devices:
  controller:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: lift up, role: output, domain: aux, drive: push-pull }
          2: { signal: lift down, role: output, domain: aux, drive: push-pull }
          3: { signal: lever return, role: return, domain: aux }
  valve:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: lift up, role: input, domain: aux }
          2: { signal: lift down, role: input, domain: aux }
          3: { signal: lever return, role: return, domain: aux }
looms:
  deck:
    ends:
      P1: { housing: three-way-sockets, mates: controller.J1 }
      P2: { housing: three-way-sockets, mates: valve.J1 }
    wires:
      1: { from: P1.1, to: P2.1, size: 0.5 mm2, colour: GN/WH, length: 800 mm, twist: T1 }
      2: { from: P1.2, to: P2.2, size: 0.5 mm2, colour: GN/BK, length: 800 mm, twist: T1 }
      3: { from: P1.3, to: P2.3, size: 0.5 mm2, colour: BN, length: 800 mm }
```
## What it cannot see
Pins without a role. A supply that really meets its own return through a source is `netlist/sneak-short`'s; conductors of
several domains are `domain/crossing`'s.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.shared(told).roles.clone()
}

pub(super) fn findings(analysis: &Analysis, meetings: &Meetings<'_>) -> Vec<Finding> {
    meetings.roles.iter().filter_map(|(conflict, mixed)| finding(analysis, meetings, conflict, mixed)).collect()
}

fn finding(analysis: &Analysis, meetings: &Meetings<'_>, conflict: &Conflict, mixed: &Mixed) -> Option<Finding> {
    let model = analysis.model();
    let of = meetings.pins.of(conflict.net);
    let (one, other) = (of.get(conflict.one)?, of.get(conflict.other)?);
    let moved = mixed.moves.iter().find(|a_move| analysis.network().net(a_move.from) == conflict.net);
    let place = moved.and_then(|a_move| meetings.wire_at(a_move.from)).or(meetings.wire_at(other.point));
    let place = place.map(|end| end.span).or(other.pin.role.map(|role| role.span))?;
    let (role, clash) = (one.role()?.word(), other.role()?.word());
    let (name, partner) = (model.point_name(one.point), model.point_name(other.point));
    let headline = if role == clash {
        format!("`{name}` and `{partner}` are joined, and both are {role}s")
    } else {
        format!("`{name}`, {role}, is joined to `{partner}`, {clash}")
    };
    let help = match meetings.instruction(analysis, &mixed.moves) {
        Some(instruction) => format!("{instruction}; or correct the roles if the wiring is meant"),
        None => format!("part `{name}` from `{partner}`, or correct the role of one of them"),
    };
    let finding = RULE.finding(place, headline).label(conflict.clash.effect).help(help);
    Some(meetings.evidence(analysis, finding, &mixed.nets, (one, other)))
}
