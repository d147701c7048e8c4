//! Of a mated pair one half has pins and the other sockets.

use super::pair::{Kinds, Pair, pairs};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::Model,
    rules::{Check, RulePage},
    vocabulary::Contacts,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "mating/contact-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a mated pair with pins in both halves, or sockets in both",
        docs: r#"
## What it checks
The contacts of both housings of a mated pair of one family.
## Why it matters
Two halves of the same kind never make contact. On the live side of a pair the open pins are also what a hand touches.
## Example
```yaml
format: 1
design: Cider press
parts:
  housings:
    QL-2F: { family: QL, positions: 2, contacts: socket }
devices:
  press-motor: { ports: { J1: { housing: QL-2F } } }
looms:
  press:
    ends:
      P1: { housing: QL-2F, mates: press-motor.J1 }
```
## Remedy
```yaml
format: 1
design: Cider press
parts:
  housings:
    QL-2F: { family: QL, positions: 2, contacts: socket }
    QL-2M: { family: QL, positions: 2, contacts: pin }
devices:
  press-motor: { ports: { J1: { housing: QL-2M } } }
looms:
  press:
    ends:
      P1: { housing: QL-2F, mates: press-motor.J1 }
```
## What it cannot see
Housings that take either kind of contact: write one kind for each.
## Source
Common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let kinds = Kinds::new(model);
    pairs(model).iter().filter(|pair| !pair.differs_in_family()).filter_map(|pair| mismatch(model, &kinds, pair)).collect()
}

fn mismatch(model: &Model, kinds: &Kinds<'_>, pair: &Pair<'_>) -> Option<Finding> {
    let (own, partner) = (pair.own.housing.contacts?, pair.partner.housing.contacts?);
    if own.value != partner.value {
        return None;
    }
    let (both, needed) = match own.value {
        Contacts::Socket => ("sockets", "pins"),
        Contacts::Pin => ("pins", "sockets"),
    };
    let names = (pair.own.name(model), pair.partner.name(model));
    let mut finding = pair.finding(
        &RULE,
        model,
        format!("`{}` and its mate `{}` both have {both}, so they do not join", names.0, names.1),
        format!("housing with {both}"),
        format!("mate `{}`: {both} too", names.1),
    );
    for (half, contacts) in [(pair.own, own), (pair.partner, partner)] {
        finding = finding.context(contacts.span, format!("`{}` has {both}", model.text(half.housing.name)));
    }
    // One housing kind on both sides has its contacts written once.
    finding.labels.dedup();
    Some(finding.help(kinds.remedy(pair, format!("give `{}` the half of its family with {needed}", names.0))))
}
