//! The ground of a sensor or bus node stands where the device that reads it takes it to be.

use crate::{
    analysis::Analysis,
    electrical::{conductors::drop::Authority, ground_shift::GroundShift},
    finding::{Finding, Level},
    model::PointKind,
    network::Step,
    quantity::{Ampere, Volt},
    rules::{Check, RulePage},
    text::Span,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "conductor/shared-return",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a ground of a sensor or bus node that the current of other loads lifts",
        docs: r#"
## What it checks
The ground of each sensor that gives a signal, and of each node of a CAN or LIN bus, against the ground of the device that reads
it: by how many volts the current of other loads lifts it in each mode, where both are one net. A sensor is a device with a pin
of role `sensor return` or `sensor supply`, or with a load of kind `sensor`. The limit is 90 mV for a sensor, 2 V on CAN, 11.5 %
of the nominal voltage on LIN; `policy: voltage-drop` sets others with `sensor-ground` and `bus-ground`. Equal values pass. What the device's own current lifts does not count, and neither do conductors of unknown length.
## Why it matters
A sensor reads wrong by just these volts: on a 5 V signal 90 mV are 2 % of the range. A bus node far above the others misreads
bits, now and then, while a pump runs.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
zones:
  deck: { ambient: 40 degC }
parts:
  housings:
    three-way-pins: { family: QL, positions: 3, contacts: pin, key: A, current: 13 A, sealed: true, takes: { size: 0.35 mm2 .. 2.5 mm2 } }
    three-way-sockets: { family: QL, positions: 3, contacts: socket, key: A, current: 13 A, sealed: true, takes: { size: 0.35 mm2 .. 2.5 mm2 } }
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin }
  fuses:
    blade-15: { standard: ISO 8820-3, rating: 15 A }
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
      F1: { fuse: blade-15, from: IN, to: OUT }
  pump:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      motor: { load: 10 A, from: A, to: B, kind: motor }
  controller:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: controller supply, role: supply, domain: aux }
          2: { signal: lift pressure, role: input, domain: aux }
          3: { signal: ground, role: return, domain: aux }
    inside:
      logic: { load: 200 mA, from: J1.1, to: J1.3, kind: electronics }
  pressure-sensor:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: controller supply, role: supply, domain: aux }
          2: { signal: lift pressure, role: output, domain: aux }
          3: { signal: ground, role: return, domain: aux }
    inside:
      cell: { load: 20 mA, from: J1.1, to: J1.3, kind: sensor }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M5, bolts-to: pump.A }
      R5: { ring: M5, bolts-to: pump.B }
      R6: { ring: M8, bolts-to: battery.NEG }
      R7: { ring: M8, bolts-to: battery.NEG }
      P1: { housing: three-way-sockets, mates: controller.J1 }
      P2: { housing: three-way-sockets, mates: pressure-sensor.J1 }
    splices: { S1: {}, S2: {}, S3: {} }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: S1, size: 2.5 mm2, colour: RD, length: 200 mm }
      3: { from: S1, to: R4, size: 2.5 mm2, colour: RD, length: 2 m }
      4: { from: S1, to: P1.1, size: 1.5 mm2, colour: RD/WH, length: 500 mm }
      5: { from: S1, to: P2.1, size: 1.5 mm2, colour: RD/WH, length: 2 m }
      6: { from: P2.2, to: P1.2, size: 0.5 mm2, colour: GN, length: 2 m }
      7: { from: R5, to: S2, size: 2.5 mm2, colour: BK, length: 200 mm }
      8: { from: S2, to: R6, size: 2.5 mm2, colour: BK, length: 2 m }
      9: { from: P1.3, to: S3, size: 1.5 mm2, colour: BK, length: 100 mm }
      10: { from: S3, to: R7, size: 1.5 mm2, colour: BK, length: 400 mm }
      11: { from: P2.3, to: S2, size: 1.5 mm2, colour: BK, length: 200 mm }
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
  housings:
    three-way-pins: { family: QL, positions: 3, contacts: pin, key: A, current: 13 A, sealed: true, takes: { size: 0.35 mm2 .. 2.5 mm2 } }
    three-way-sockets: { family: QL, positions: 3, contacts: socket, key: A, current: 13 A, sealed: true, takes: { size: 0.35 mm2 .. 2.5 mm2 } }
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin }
  fuses:
    blade-15: { standard: ISO 8820-3, rating: 15 A }
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
      F1: { fuse: blade-15, from: IN, to: OUT }
  pump:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      motor: { load: 10 A, from: A, to: B, kind: motor }
  controller:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: controller supply, role: supply, domain: aux }
          2: { signal: lift pressure, role: input, domain: aux }
          3: { signal: ground, role: return, domain: aux }
    inside:
      logic: { load: 200 mA, from: J1.1, to: J1.3, kind: electronics }
  pressure-sensor:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: controller supply, role: supply, domain: aux }
          2: { signal: lift pressure, role: output, domain: aux }
          3: { signal: ground, role: return, domain: aux }
    inside:
      cell: { load: 20 mA, from: J1.1, to: J1.3, kind: sensor }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M5, bolts-to: pump.A }
      R5: { ring: M5, bolts-to: pump.B }
      R6: { ring: M8, bolts-to: battery.NEG }
      R7: { ring: M8, bolts-to: battery.NEG }
      P1: { housing: three-way-sockets, mates: controller.J1 }
      P2: { housing: three-way-sockets, mates: pressure-sensor.J1 }
    splices: { S1: {}, S3: {} }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: S1, size: 2.5 mm2, colour: RD, length: 200 mm }
      3: { from: S1, to: R4, size: 2.5 mm2, colour: RD, length: 2 m }
      4: { from: S1, to: P1.1, size: 1.5 mm2, colour: RD/WH, length: 500 mm }
      5: { from: S1, to: P2.1, size: 1.5 mm2, colour: RD/WH, length: 2 m }
      6: { from: P2.2, to: P1.2, size: 0.5 mm2, colour: GN, length: 2 m }
      8: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 2 m }
      9: { from: P1.3, to: S3, size: 1.5 mm2, colour: BK, length: 100 mm }
      10: { from: S3, to: R7, size: 1.5 mm2, colour: BK, length: 400 mm }
      11: { from: P2.3, to: S3, size: 1.5 mm2, colour: BK, length: 2 m }
```
## What it cannot see
Grounds joined inside devices in ways the design does not show, and currents shorter than a mode.
## Source
Sensors: 0.01 to 0.09 V for computer connections, attributed to SAE by a battery supplier (seen second hand); its upper end is
taken. Buses: common mode of ISO 11898-2 receivers, ground shift of ISO 17987-4 (both from memory, not seen).
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.electrical().ground_shifts().iter().filter_map(|lift| finding(analysis, lift)).collect()
}

fn finding(analysis: &Analysis, lift: &GroundShift) -> Option<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let mode = analysis.electrical().modes().find(|mode| mode.id == lift.mode)?;
    let (ground, reader) = (model.point_name(lift.ground), model.point_name(lift.reader));
    let device = match model.point(lift.ground)?.kind {
        PointKind::Pin(port) | PointKind::Stud(port) => model.port(port).map(|port| model.device_name(port.device)),
        _ => None,
    };
    let (most, authority) = lift.limit;
    // Upwards, so that no excess reads as none.
    let volts = Volt::new((lift.volts.get() * 1e3).ceil() / 1e3);
    let mut finding = RULE
        .finding(
            place(analysis, &lift.way).or(model.point(lift.ground).map(|point| point.span))?,
            format!(
                "other loads lift the ground `{ground}` by {volts} above `{reader}` in mode `{}`; {most} is the most",
                model.mode_name(lift.mode)
            ),
        )
        .label(format!("the ground of `{}` goes here", device.unwrap_or_default()))
        .path(network.names(model, lift.ground, &lift.way))
        .concerns(ground);
    if let Some(wire) = network.edge(lift.dearest).and_then(|edge| edge.wire()) {
        let (name, item) = (model.wire_name(wire), model.wire(wire)?);
        let amps = Ampere::new(mode.amps(lift.dearest).get().abs());
        finding =
            finding.context(item.size.map_or(item.span, |size| size.span), format!("`{name}` lifts most: it carries {amps}"));
    }
    finding = finding.figure("lift", format!("{volts}, computed"));
    finding = match authority {
        Authority::Policy(place) => finding.context(place, "the policy's limit").figure("limit", format!("{most} (policy)")),
        Authority::Table(source) => finding.figure("limit", format!("{most}; {source}")),
    };
    Some(finding.help(format!(
        "lead the return of `{}` to `{reader}` on a conductor of its own, or join it where no other current flows",
        device.unwrap_or_default()
    )))
}

/// The far end of the first wire on a way: where the ground leaves its own conductor.
fn place(analysis: &Analysis, way: &[Step]) -> Option<Span> {
    way.iter().find_map(|step| {
        let wire = analysis.model().wire(analysis.network().edge(step.edge)?.wire()?)?;
        Some(if wire.to == Some(step.point) { wire.to_span } else { wire.from_span })
    })
}
