//! The pins that a net joins name one signal.

use super::{
    meeting::{Meetings, told},
    names::Mixed,
    sides::{Sided, sided},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "netlist/signal-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a net whose pins name different signals: wires exchanged or shifted",
        docs: r#"
## What it checks
The signals that the pins of each net name; a net is joined by metal alone. Pins that give or take power may differ from
end to end, unless the device at one end has the signal of the other end at another pin. If one move, one exchange or one
shift of wires within a connector or a device puts all nets right, it is one finding and is shown. A device with `side: left`
must not meet a signal of the right, nor the other way round.
## Why it matters
Exchanged wires fit, look right, and pass every continuity check that was written from the same drawing.
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
          1: { signal: lift up, role: input, domain: aux, pull: up }
          2: { signal: lift down, role: input, domain: aux, pull: up }
          3: { signal: lever return, role: sensor return, domain: aux }
  lever:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: lift up, role: output, domain: aux, drive: low-side }
          2: { signal: lift down, role: output, domain: aux, drive: low-side }
          3: { signal: lever return, role: sensor return, domain: aux }
looms:
  deck:
    ends:
      P1: { housing: three-way-sockets, mates: controller.J1 }
      P2: { housing: three-way-sockets, mates: lever.J1 }
    wires:
      1: { from: P1.1, to: P2.2, size: 0.5 mm2, colour: GN/WH, length: 800 mm, twist: T1 }
      2: { from: P1.2, to: P2.1, size: 0.5 mm2, colour: GN/BK, length: 800 mm, twist: T1 }
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
          1: { signal: lift up, role: input, domain: aux, pull: up }
          2: { signal: lift down, role: input, domain: aux, pull: up }
          3: { signal: lever return, role: sensor return, domain: aux }
  lever:
    ports:
      J1:
        housing: three-way-pins
        pins:
          1: { signal: lift up, role: output, domain: aux, drive: low-side }
          2: { signal: lift down, role: output, domain: aux, drive: low-side }
          3: { signal: lever return, role: sensor return, domain: aux }
looms:
  deck:
    ends:
      P1: { housing: three-way-sockets, mates: controller.J1 }
      P2: { housing: three-way-sockets, mates: lever.J1 }
    wires:
      1: { from: P1.1, to: P2.1, size: 0.5 mm2, colour: GN/WH, length: 800 mm, twist: T1 }
      2: { from: P1.2, to: P2.2, size: 0.5 mm2, colour: GN/BK, length: 800 mm, twist: T1 }
      3: { from: P1.3, to: P2.3, size: 0.5 mm2, colour: BN, length: 800 mm }
```
## What it cannot see
Pins that name no signal. Signals that are exchanged alike at both ends. Nets that join several voltage domains are
`domain/crossing`'s, supply on return is `netlist/role-conflict`'s.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.shared(told).signals.clone()
}

pub(super) fn findings(analysis: &Analysis, meetings: &Meetings<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = meetings.signals.iter().filter_map(|mixed| finding(analysis, meetings, mixed)).collect();
    findings.extend(sided(analysis, meetings).iter().filter_map(|sided| side_finding(analysis, meetings, sided)));
    findings
}

fn finding(analysis: &Analysis, meetings: &Meetings<'_>, mixed: &Mixed) -> Option<Finding> {
    let model = analysis.model();
    let (odd, other) = meetings.odd(analysis, mixed)?;
    let (one, two) = (meetings.pins.signal(odd), meetings.pins.signal(other));
    let wire = |pin| meetings.wire_at(pin);
    let place = wire(odd.point).or(wire(other.point)).map(|end| end.span).or(odd.pin.signal.map(|signal| signal.span))?;
    let names: Option<Vec<String>> =
        mixed.moves.iter().map(|one| Some(format!("`{}`", model.wire_name(wire(one.from)?.wire)))).collect();
    let names = names.unwrap_or_default();
    let instruction = meetings.instruction(analysis, &mixed.moves);
    let (headline, label) = match (names.as_slice(), &instruction) {
        ([first, second], Some(_)) => (
            format!("wires {first} and {second} are exchanged: `{one}` meets `{two}`"),
            format!("`{}`, which meets `{one}`", meetings.cavity(analysis, odd.point)),
        ),
        ([first], Some(_)) => (
            format!("wire {first} joins `{one}` to `{two}`"),
            format!("`{}`, which meets `{one}`", meetings.cavity(analysis, odd.point)),
        ),
        ([_, _, _, ..], Some(_)) => (
            format!("{} wires are shifted: `{one}` meets `{two}`, and so on", names.len()),
            format!("first of them; `{}` meets `{one}`", meetings.cavity(analysis, odd.point)),
        ),
        _ => (
            format!(
                "`{}` and `{}` are joined and name `{one}` and `{two}`",
                model.point_name(odd.point),
                model.point_name(other.point)
            ),
            format!("leads to `{one}`"),
        ),
    };
    let help = match instruction {
        Some(instruction) => format!("{instruction}; or give the pins one signal name if the wiring is meant"),
        None => "end each wire at pins of one signal, or give the pins one signal name if the wiring is meant".to_owned(),
    };
    let mut finding = RULE.finding(place, headline).label(label).help(help);
    for other in mixed.moves.iter().skip(1).filter_map(|one| wire(one.from)) {
        finding = finding.context(other.span, format!("wire `{}`", model.wire_name(other.wire)));
    }
    finding = meetings.evidence(analysis, finding, &mixed.nets, (odd, other));
    Some(names.iter().fold(finding, |finding, name| finding.concerns(name.trim_matches('`'))))
}

fn side_finding(analysis: &Analysis, meetings: &Meetings<'_>, sided: &Sided<'_>) -> Option<Finding> {
    let model = analysis.model();
    let device = model.device_name(sided.pin.device);
    let side = model.device(sided.pin.device)?.side?;
    let signal = meetings.pins.signal(&sided.other);
    let place = meetings.wire_at(sided.pin.point).map(|end| end.span).or(model.point(sided.pin.point).map(|point| point.span))?;
    let other = sided.counterpart.map(|pin| format!("`{}`", model.device_name(pin.device)));
    let (what, help) = match &other {
        Some(other) => (
            format!(", and {other} the opposite"),
            format!("exchange the feeds of `{device}` and {other}, or correct their `side`"),
        ),
        None => {
            (String::new(), format!("lead the signal of the {} side to `{device}`, or correct its `side`", side.value.word()))
        }
    };
    let finding = RULE
        .finding(place, format!("`{device}` on the {} gets `{signal}`{what}", side.value.word()))
        .label(format!("leads to `{}`", model.point_name(sided.pin.point)))
        .context(side.span, "this side")
        .help(help);
    let nets = [analysis.network().net(sided.pin.point)];
    Some(meetings.evidence(analysis, finding, &nets, (&sided.pin, &sided.other)))
}
