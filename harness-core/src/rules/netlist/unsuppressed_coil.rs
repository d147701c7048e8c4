//! A coil that is switched off has somewhere to put its energy.

use crate::{
    analysis::Analysis,
    electrical::coils::{Across, Coil, Driver, coils},
    finding::{Finding, Level},
    rules::{Check, RulePage},
    vocabulary::Suppression,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "netlist/unsuppressed-coil",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a coil without suppression on a driver that does not clamp, or with its diode the wrong way round",
        docs: r#"
## What it checks
Each relay coil and each load of kind coil that says `suppression: none`: where an output pin switches it that is not `clamped`, or
the contact of a switch or relay, there is a diode, a resistor or a capacitor across it. A diode across a coil blocks while the
coil is fed: its cathode is at the positive side, the first point of the coil.
## Why it matters
A coil that is switched off drives its current on and raises its voltage to hundreds of volts: the driver breaks down, contacts
burn, controllers nearby reset. A diode the wrong way round is a short as soon as the coil is fed.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
devices:
  battery:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: aux }
      NEG: { stud: M8, signal: ground, role: return, domain: aux, need: optional }
    inside:
      cells: { source: 12.6 V, resistance: 8 mohm, limit: 20 A, positive: POS, negative: NEG }
  controller:
    ports:
      J1:
        pins:
          1: { signal: valve drive, role: output, domain: aux, drive: low-side }
  valve:
    ports:
      A: { stud: M5, signal: plus, role: supply, domain: aux }
      B: { stud: M6, signal: valve drive, role: input, domain: aux }
    inside:
      coil: { load: 1 A, from: A, to: B, kind: coil, suppression: none }
looms:
  deck:
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M5, bolts-to: valve.A }
      R3: { ring: M6, bolts-to: valve.B }
      P1: { mates: controller.J1 }
    wires:
      1: { from: R1, to: R2, size: 1 mm2, colour: RD, length: 300 mm }
      2: { from: R3, to: P1.1, size: 1 mm2, colour: BK, length: 300 mm }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
devices:
  battery:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: aux }
      NEG: { stud: M8, signal: ground, role: return, domain: aux, need: optional }
    inside:
      cells: { source: 12.6 V, resistance: 8 mohm, limit: 20 A, positive: POS, negative: NEG }
  controller:
    ports:
      J1:
        pins:
          1: { signal: valve drive, role: output, domain: aux, drive: low-side }
  valve:
    ports:
      A: { stud: M5, signal: plus, role: supply, domain: aux }
      B: { stud: M6, signal: valve drive, role: input, domain: aux }
    inside:
      coil: { load: 1 A, from: A, to: B, kind: coil, suppression: clamp }
looms:
  deck:
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M5, bolts-to: valve.A }
      R3: { ring: M6, bolts-to: valve.B }
      P1: { mates: controller.J1 }
    wires:
      1: { from: R1, to: R2, size: 1 mm2, colour: RD, length: 300 mm }
      2: { from: R3, to: P1.1, size: 1 mm2, colour: BK, length: 300 mm }
```
## What it cannot see
Whether the suppression suits: a plain diode slows release, which wears a contactor. A coil of which `suppression` is not said is
named by `review/missing-fact`. A diode that shorts a source in some mode is told by `netlist/sneak-short`.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis
        .shared(|analysis| coils(analysis.network()))
        .0
        .iter()
        .filter_map(|coil| reversed(analysis, coil).or_else(|| bare(analysis, coil)))
        .collect()
}

/// A diode that conducts while the coil is fed.
fn reversed(analysis: &Analysis, coil: &Coil) -> Option<Finding> {
    let model = analysis.model();
    let Across::Reversed(diode) = coil.across else { return None };
    let edge = analysis.network().edge(coil.edge)?;
    if analysis.electrical().modes().any(|mode| mode.is_shorted(edge.a) || mode.is_shorted(edge.b)) {
        return None;
    }
    let (name, coil_name) = (model.element_name(diode), model.element_name(coil.element));
    let finding = RULE
        .finding(model.element(diode)?.value_span, format!("the diode `{name}` conducts when the coil `{coil_name}` is fed"))
        .label("its cathode is at the negative side of the coil")
        .context(model.element(coil.element)?.value_span, "this coil")
        .help(format!("turn `{name}` round: its cathode (`to`) at `{}`", model.point_name(edge.a)))
        .concerns(name)
        .concerns(coil_name);
    Some(finding)
}

/// A coil with nothing that takes its voltage.
fn bare(analysis: &Analysis, coil: &Coil) -> Option<Finding> {
    let model = analysis.model();
    if coil.own != Some(Suppression::Nothing) || coil.across != Across::Nothing {
        return None;
    }
    let by = match coil.driver {
        Driver::Pin(point) => model.point_name(point),
        Driver::Contact(element) => model.element_name(element),
        Driver::Unknown | Driver::Clamped => return None,
    };
    let name = model.element_name(coil.element);
    let edge = analysis.network().edge(coil.edge)?;
    let mut finding = RULE
        .finding(
            model.element(coil.element)?.value_span,
            format!("nothing takes the voltage of the coil `{name}` when `{by}` lets go"),
        )
        .label("no suppression, and its driver does not clamp")
        .help(format!(
            "fit a diode or a clamp at the coil, its cathode at `{}`, or switch it by an output that clamps",
            model.point_name(edge.a)
        ))
        .concerns(name);
    let place = match coil.driver {
        Driver::Pin(point) => model.point(point).map(|point| point.span),
        Driver::Contact(element) => model.element(element).map(|element| element.value_span),
        _ => None,
    };
    if let Some(place) = place {
        finding = finding.context(place, "switches it");
    }
    Some(finding.concerns(by))
}
