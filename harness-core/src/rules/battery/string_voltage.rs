//! A string of modules gives the voltage of its domain.

use super::parts::{batteries, chain_name, modules};
use crate::{
    analysis::Analysis,
    electrical::battery::{Chain, Strings},
    finding::{Finding, Level},
    model::{Domain, DomainId, ElementId},
    quantity::Volt,
    rules::{Check, RulePage},
    standards::battery::below_nominal,
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "battery/string-voltage",
        level: Level::Error,
        since: "0.1.0",
        finds: "a string of cells or modules that does not give the voltage of its domain",
        docs: r#"
## What it checks
The sum of the open voltages of all sources that stand in a row, with every fuse fitted and every disconnect in, against the domain
that a supply pin at its positive end names: not above its `max`, not more than 10 % below its `nominal`. A module that is the other
way round than the rest is named. Sources with `in:` and alternating ones are no part of a string.
## Why it matters
One module too many destroys the inverter, one too few or turned round never reaches the precharge voltage; a turned module is
charged backwards by the others.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  traction: { nominal: 48 V, max: 58 V, reference: floating }
devices:
  pack:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: traction, need: optional }
      NEG: { stud: M8, signal: minus, role: return, domain: traction, need: optional }
    nodes: [A, B, C]
    inside:
      module1: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: A, negative: NEG }
      module2: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: A, negative: B }
      module3: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: C, negative: B }
      module4: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: POS, negative: C }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  traction: { nominal: 48 V, max: 58 V, reference: floating }
devices:
  pack:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: traction, need: optional }
      NEG: { stud: M8, signal: minus, role: return, domain: traction, need: optional }
    nodes: [A, B, C]
    inside:
      module1: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: A, negative: NEG }
      module2: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: B, negative: A }
      module3: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: C, negative: B }
      module4: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: POS, negative: C }
```
## What it cannot see
A string in which one module of ten or more is missing, where nothing but its voltage tells; modules whose `source` is not the
open voltage at the state of charge in which they are built in.
## Source
Kirchhoff's voltage law. The 10 %: common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let strings = batteries(analysis);
    if strings.chains.is_empty() {
        return Vec::new();
    }
    let named = named(analysis, &strings);
    strings.chains.iter().filter_map(|chain| finding(analysis, &strings, &named, chain)).collect()
}

/// The domain that the supply pins of each lump name; `None` where they name several.
fn named(analysis: &Analysis, strings: &Strings) -> FxHashMap<u32, Option<DomainId>> {
    let mut named = FxHashMap::default();
    for (id, point) in analysis.model().points() {
        let Some(pin) = point.pin.and_then(|pin| analysis.model().pin(pin)) else { continue };
        let (Some((domain, _)), Some(Role::Supply)) = (pin.domain, pin.role.map(|role| role.value)) else { continue };
        let slot = named.entry(strings.lump(id)).or_insert(Some(domain));
        *slot = slot.filter(|known| *known == domain);
    }
    named
}

fn finding(analysis: &Analysis, strings: &Strings, named: &FxHashMap<u32, Option<DomainId>>, chain: &Chain) -> Option<Finding> {
    let model = analysis.model();
    let domain = named.get(&strings.lump(chain.top)).copied().flatten().and_then(|domain| model.domain(domain))?;
    let volts = strings.voltage(chain);
    let tolerance = below_nominal();
    let least = Volt::new(domain.nominal.get() * (1.0 - tolerance.value.get()));
    if domain.ac || domain.max.get() <= 0.0 || (volts >= least && volts <= domain.max) {
        return None;
    }
    let turned: Vec<ElementId> =
        chain.links.iter().filter(|link| !link.rises).flat_map(|link| link.cells.iter().map(|cell| cell.source)).collect();
    let at = turned.first().copied().or_else(|| modules(chain).next_back())?;
    let (headline, label, help) = words(analysis, chain, domain, (volts, least), &turned);
    let mut finding = RULE
        .finding(model.element(at)?.value_span, headline)
        .label(label)
        .context(domain.span, "the domain of its positive end")
        .figure("string", format!("{volts} in {} steps", chain.links.len()))
        .figure("nominal", domain.nominal)
        .figure("highest", domain.max)
        .figure("least", format!("{least}, {} below nominal; {}", tolerance.value, tolerance.source))
        .help(help);
    for module in if turned.is_empty() { modules(chain).collect() } else { turned } {
        finding = finding.concerns(model.element_name(module));
    }
    Some(finding)
}

fn words(
    analysis: &Analysis,
    chain: &Chain,
    domain: &Domain,
    (volts, least): (Volt, Volt),
    turned: &[ElementId],
) -> (String, &'static str, String) {
    let model = analysis.model();
    let (name, wanted) = (chain_name(model, chain), model.text(domain.name));
    let gives = if chain.links.len() == 1 { "gives" } else { "give" };
    match turned.first() {
        Some(first) => {
            let first = model.element_name(*first);
            let (more, stands) = match turned.len() {
                1 => (String::new(), "stands"),
                more => (format!(" and {} more", more - 1), "stand"),
            };
            (
                format!(
                    "`{first}`{more} {stands} the other way round than the rest of {name}: {volts} for `{wanted}` of {}",
                    domain.nominal
                ),
                "turned round",
                format!("exchange the poles of `{first}`, and prove the string with a meter before anything is joined to it"),
            )
        }
        None if volts > domain.max => (
            format!(
                "{name} {gives} {volts}, {} above the highest voltage of `{wanted}`",
                Volt::new(volts.get() - domain.max.get())
            ),
            "the positive end",
            format!("take modules out until the string keeps to {}, or correct `max` of `{wanted}`", domain.max),
        ),
        None => (
            format!(
                "{name} {gives} {volts}, {} below the least for `{wanted}` of {}",
                Volt::new(least.get() - volts.get()),
                domain.nominal
            ),
            "the positive end",
            format!("add the modules that are missing, or correct `nominal` of `{wanted}`"),
        ),
    }
}
