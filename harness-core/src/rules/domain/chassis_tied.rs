//! A floating voltage domain is not tied to the chassis.

use super::{
    facts::{domain_words, is_class_b},
    joint::{at_joint, joints},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::DomainId,
    network::{Edge, EdgeKind, Potential, potentials},
    rules::{Check, RulePage},
    vocabulary::Reference,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "domain/chassis-tied",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a floating voltage domain tied to the chassis",
        docs: r#"
## What it checks
No way leads from a pin of a domain with `reference: floating` to the metal of the chassis (a device with `chassis: true`) or
to a pin of role `chassis` or `earth`, over everything that joins its two sides. A way whose resistors add up to the least
isolation resistance (100 ohm per volt of `max`, 500 ohm per volt of an AC domain) is an isolation monitor or a measuring path
and no tie; capacitors and converters part. A domain of class B with `reference: earth` is tied to earth by its supply, so what
devices do inside is not looked at, but a conductor of a loom that lands on chassis or earth is reported; its pins of role
`earth` may be there. Where a 12 V conductor lies between, the joint is `domain/crossing` and this rule is silent.
## Why it matters
With one pole on the chassis, the whole vehicle is one hand of the circuit: touching the other pole is enough, and a second
fault is a short circuit. The isolation monitor then stops the drive.
## Example
```yaml
format: 1
design: Cellar hoist
domains:
  traction: { nominal: 96 V, max: 110 V, reference: floating }
devices:
  pack:
    ports:
      NEG: { signal: pack minus, role: return, domain: traction, stud: M8 }
  frame:
    chassis: true
    ports:
      G1: { signal: pack minus, stud: M8 }
looms:
  main:
    ends:
      R1: { ring: M8, bolts-to: pack.NEG }
      R2: { ring: M8, bolts-to: frame.G1 }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: OG, length: 400 mm }
```
## Remedy
```yaml
format: 1
design: Cellar hoist
domains:
  traction: { nominal: 96 V, max: 110 V, reference: floating }
devices:
  pack:
    ports:
      NEG: { signal: pack minus, role: return, domain: traction, stud: M8 }
  hoist:
    ports:
      NEG: { signal: pack minus, role: return, domain: traction, stud: M8 }
looms:
  main:
    ends:
      R1: { ring: M8, bolts-to: pack.NEG }
      R2: { ring: M8, bolts-to: hoist.NEG }
    wires:
      1: { from: R1, to: R2, size: 2.5 mm2, colour: OG, length: 400 mm }
```
## What it cannot see
Pins that name no domain. Ties inside a device that are not written under `inside`. Capacitors to chassis, however large.
Damaged insulation and water: those are measured on the vehicle.
## Source
UN R100 5.1.3.1 (100 ohm/V of a DC circuit) and ISO 6469-4:2015 5.2.3 (500 ohm/V of an AC circuit) for the isolation resistance.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let potentials = potentials(analysis.network());
    let found = joints(analysis, &potentials, |edge, held| match held {
        [Potential::Domain(domain), ground] | [ground, Potential::Domain(domain)] if !matches!(ground, Potential::Domain(_)) => {
            keeps_off(analysis, domain, edge).then(|| usize::from(held[0] == ground))
        }
        _ => None,
    });
    let mut findings = Vec::new();
    for joint in found {
        let Some(domain) = model.domain(joint.domain.0) else { continue };
        let ground = if joint.other.0 == Potential::Earth { "protective earth" } else { "the chassis" };
        let floating = if domain.reference == Reference::Floating { "floating domain" } else { "domain" };
        let words = domain_words(model, domain);
        let finding =
            at_joint(analysis, &potentials, &RULE, &joint, |what| format!("{floating} {words} is tied to {ground} by {what}"));
        findings.push(finding.help(format!(
            "take it off {ground}: both poles of `{}` stay isolated; a measuring path needs its least isolation resistance",
            model.text(domain.name)
        )));
    }
    findings
}

/// Whether `edge` may not tie `domain` to the chassis.
fn keeps_off(analysis: &Analysis, domain: DomainId, edge: &Edge) -> bool {
    let model = analysis.model();
    match model.domain(domain).map(|domain| domain.reference) {
        Some(Reference::Floating) => true,
        Some(Reference::Earth) => {
            is_class_b(model, domain) && matches!(edge.kind, EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Joint(_))
        }
        Some(Reference::Chassis) | None => false,
    }
}
