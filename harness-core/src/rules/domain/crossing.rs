//! A voltage domain of class B is joined to no other domain.

use super::{
    facts::{domain_words, is_class_b},
    joint::{at_joint, joints},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::DomainId,
    network::{Potential, potentials},
    rules::{Check, RulePage},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "domain/crossing",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductor of voltage class B joined to another domain",
        docs: r#"
## What it checks
No way leads from a pin of a domain above 60 V DC or 30 V AC (`max`) to a pin of another domain, over wires, contacts, splices
and everything else that joins its two sides: fuse, switch, load, source, link, diode, resistor. Converters and capacitors part
domains, and so do the coil and the contact of a relay. A way whose resistors add up to the least isolation resistance of the
domain (100 ohm per volt of `max`, 500 ohm per volt of an AC domain) is a measuring path and no crossing. Each place where two
domains meet is one finding, with the whole way. A tie to the chassis itself is `domain/chassis-tied`.
## Why it matters
Whoever touches a 12 V part then touches the traction voltage.
## Example
```yaml
format: 1
design: Cellar hoist
domains:
  traction: { nominal: 96 V, max: 110 V, reference: floating }
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
devices:
  pack:
    ports:
      NEG: { signal: ground, role: return, domain: traction, stud: M8 }
  lamp:
    ports:
      GND: { signal: ground, role: return, domain: aux, stud: M8 }
looms:
  main:
    ends:
      R1: { ring: M8, bolts-to: pack.NEG }
      R2: { ring: M8, bolts-to: lamp.GND }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: BK, length: 400 mm }
```
## Remedy
```yaml
format: 1
design: Cellar hoist
domains:
  traction: { nominal: 96 V, max: 110 V, reference: floating }
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
devices:
  pack:
    ports:
      NEG: { signal: ground, role: return, domain: traction, stud: M8, need: optional }
  lamp:
    ports:
      GND: { signal: ground, role: return, domain: aux, stud: M8 }
  battery:
    ports:
      NEG: { signal: ground, role: return, domain: aux, stud: M8 }
looms:
  main:
    ends:
      R1: { ring: M8, bolts-to: battery.NEG }
      R2: { ring: M8, bolts-to: lamp.GND }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: BK, length: 400 mm }
```
## What it cannot see
Pins that name no domain. Ways inside a device that are not written under `inside`. Whether a converter, an optocoupler or a
relay isolates as well as the domain needs: what is drawn as one is taken to. Creepage, damaged insulation, water.
## Source
Class limits and isolation: UN R100 (high voltage above 60 V DC or 30 V AC rms; 5.1.3.1, 100 ohm/V of a DC circuit) and
ISO 6469-4:2015 5.2.3 (500 ohm/V of an AC circuit). That no conductor of class B may be joined to class A without isolation:
common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let potentials = potentials(analysis.network());
    let found = joints(analysis, &potentials, |_, held| match held {
        [Potential::Domain(a), Potential::Domain(b)] => graver(analysis, a, b),
        _ => None,
    });
    let mut findings = Vec::new();
    for joint in found {
        let Potential::Domain(other) = joint.other.0 else { continue };
        let (Some(own), Some(other)) = (model.domain(joint.domain.0), model.domain(other)) else { continue };
        let words = [own, other].map(|domain| domain_words(model, domain));
        let finding =
            at_joint(analysis, &potentials, &RULE, &joint, |what| format!("{} is joined to {} by {what}", words[0], words[1]));
        let [own, other] = [own, other].map(|domain| model.text(domain.name));
        findings.push(finding.help(format!(
            "take `{own}` off `{other}` here; what must pass between them goes through an isolating converter, or correct the \
             `domain` of the pin that names the other one"
        )));
    }
    findings
}

/// Which of two domains is that of class B; the higher one if both are.
fn graver(analysis: &Analysis, a: DomainId, b: DomainId) -> Option<usize> {
    let model = analysis.model();
    match (is_class_b(model, a), is_class_b(model, b)) {
        (true, true) => Some(usize::from(model.domain(b)?.max > model.domain(a)?.max)),
        (true, false) => Some(0),
        (false, true) => Some(1),
        (false, false) => None,
    }
}
