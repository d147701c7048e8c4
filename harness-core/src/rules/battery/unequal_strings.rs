//! Batteries side by side rest at one voltage.

use super::parts::{batteries, chain_name, conducts};
use crate::{
    analysis::Analysis,
    electrical::battery::{Cell, Chain, Link},
    finding::{Finding, Level},
    model::{ElementId, PointId},
    network::Components,
    quantity::{Ampere, Ohm, Volt},
    rules::{Check, RulePage},
    standards::battery::apart,
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "battery/unequal-strings",
        level: Level::Error,
        since: "0.1.0",
        finds: "batteries or strings side by side whose open voltages differ, with the current that then flows between them",
        docs: r#"
## What it checks
Sources without a limit, and strings of them, that have both ends in common in some mode: their open voltages must not stand more
than 1 % apart. The current is the difference over the internal resistances; wires, which lower it, are left out. From a difference
of 40 % on it is a short, which `netlist/sneak-short` tells.
## Why it matters
The higher one charges the lower one without a limit, day and night: both age, and the first moment is a spark at the last ring.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
devices:
  bank:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: aux, need: optional }
      NEG: { stud: M8, signal: ground, role: return, domain: aux, need: optional }
    inside:
      left: { source: 12.7 V, resistance: 8 mohm, positive: POS, negative: NEG }
      right: { source: 13.2 V, resistance: 8 mohm, positive: POS, negative: NEG }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
devices:
  bank:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: aux, need: optional }
      NEG: { stud: M8, signal: ground, role: return, domain: aux, need: optional }
    inside:
      left: { source: 12.7 V, resistance: 8 mohm, positive: POS, negative: NEG }
      right: { source: 12.7 V, resistance: 8 mohm, positive: POS, negative: NEG }
```
## What it cannot see
Different states of charge: the design gives one open voltage for each. Chargers and sources with a `limit` take no current back.
## Source
Kirchhoff's voltage law, Ohm's law. The 1 %: common practice, no source.
"#,
    },
    run: check,
};

/// Share of the larger voltage from which a difference is a short.
const SHORT: f64 = 0.4;

/// A battery or string, for the comparison with what lies beside it.
struct Side {
    name: String,
    source: ElementId,
    ends: (PointId, PointId),
    volts: f64,
    ohms: f64,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let strings = batteries(analysis);
    let mut findings = Vec::new();
    let mut joined = Joined { analysis, modes: None };
    for link in strings.chains.iter().flat_map(|chain| &chain.links) {
        findings.extend(compare(analysis, &mut joined, cells(analysis, link)));
    }
    let mut beside: FxHashMap<(u32, u32), usize> = FxHashMap::default();
    let mut groups: Vec<Vec<Side>> = Vec::new();
    for chain in strings.chains.iter().filter(|chain| chain.is_straight()) {
        let at = *beside.entry((strings.lump(chain.bottom), strings.lump(chain.top))).or_insert(groups.len());
        if at == groups.len() {
            groups.push(Vec::new());
        }
        if let (Some(group), Some(side)) = (groups.get_mut(at), side(analysis, chain)) {
            group.push(side);
        }
    }
    for group in groups {
        findings.extend(compare(analysis, &mut joined, group));
    }
    findings
}

/// The sources of one link that take current back.
fn cells(analysis: &Analysis, link: &Link) -> Vec<Side> {
    let side = |cell: &Cell| {
        let element = analysis.model().element(cell.source)?;
        let [plus, minus] = &*element.points else { return None };
        let name = format!("`{}`", analysis.model().element_name(cell.source));
        let (volts, ohms) = (cell.emf.get(), cell.resistance.get());
        Some(Side { name, source: cell.source, ends: (*minus, *plus), volts, ohms })
    };
    link.cells.iter().filter(|cell| !cell.limited).filter_map(side).collect()
}

/// A chain as a whole; `None` if a source in it takes no current back.
fn side(analysis: &Analysis, chain: &Chain) -> Option<Side> {
    let first = chain.links.first()?.cells.first()?;
    let limited = chain.links.iter().any(|link| link.cells.first().is_none_or(|cell| cell.limited));
    let (volts, ohms) = (chain.voltage().get(), chain.resistance().get());
    let name = chain_name(analysis.model(), chain);
    (!limited).then_some(Side { name, source: first.source, ends: (chain.bottom, chain.top), volts, ohms })
}

/// The highest of those side by side against the first that is too low.
fn compare(analysis: &Analysis, joined: &mut Joined<'_>, mut sides: Vec<Side>) -> Option<Finding> {
    // Of equal ones the first by name tells the fault, so that the order of the file does not matter.
    sides.sort_by(|a, b| a.name.cmp(&b.name));
    let high = sides.iter().rev().max_by(|a, b| a.volts.total_cmp(&b.volts))?;
    let differs = |side: &&Side| {
        let share = (high.volts - side.volts) / high.volts;
        share > apart().value.get() && share < SHORT
    };
    let low = sides.iter().filter(differs).min_by(|a, b| a.volts.total_cmp(&b.volts)).filter(|low| joined.are(high, low))?;
    let model = analysis.model();
    let (volts, ohms) = (Volt::new(high.volts - low.volts), Ohm::new(high.ohms + low.ohms));
    let amps = Ampere::new(volts.get() / ohms.get().max(f64::MIN_POSITIVE));
    let (own, other) = (Volt::new(high.volts), Volt::new(low.volts));
    let finding = RULE
        .finding(
            model.element(low.source)?.value_span,
            format!("{} of {other} lies beside {} of {own}: up to {amps} flow between them at rest", low.name, high.name),
        )
        .label("charged by what lies beside it")
        .context(model.element(high.source)?.value_span, "stands higher")
        .figure("difference", volts)
        .figure("allowed", format!("{} of the higher; {}", apart().value, apart().source))
        .figure("resistance", format!("{ohms} inside both; wires left out"))
        .help("use batteries of one kind, age and state of charge, or part them by a switch; give a charger its `limit`")
        .concerns(model.element_name(low.source))
        .concerns(model.element_name(high.source));
    Some(finding)
}

/// Whether both ends of two batteries are joined in one mode; looked up only where two differ.
struct Joined<'a> {
    analysis: &'a Analysis,
    modes: Option<Vec<Components>>,
}

impl Joined<'_> {
    fn are(&mut self, a: &Side, b: &Side) -> bool {
        let analysis = self.analysis;
        let modes = self.modes.get_or_insert_with(|| {
            let lumps = analysis
                .electrical()
                .modes()
                .map(|mode| analysis.network().components(|id, edge| conducts(analysis.model(), edge) && mode.conducts(id)));
            lumps.collect()
        });
        modes.iter().any(|lumps| lumps.of(a.ends.0) == lumps.of(b.ends.0) && lumps.of(a.ends.1) == lumps.of(b.ends.1))
    }
}
