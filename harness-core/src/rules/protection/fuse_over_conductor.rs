//! A fuse opens before any conductor that it protects is overloaded.

use crate::{
    analysis::Analysis,
    electrical::{
        conductor::{capacity_of, least_size_of},
        protection::{Feed, Protection},
    },
    finding::{Finding, Level},
    model::{ElementKind, Model, WireId},
    quantity::Ampere,
    rules::{Check, Rule},
    standards::{
        capacity::Capacity,
        fuse::{ConductorRule, FuseStandard, largest_rating},
    },
};

pub(super) static RULE: Check = Check {
    rule: Rule {
        name: "protection/fuse-over-conductor",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a fuse rated above what the thinnest conductor it protects may carry",
        docs: r#"
## What it checks
The rating of each fuse against the capacity of every conductor behind it, up to the next fuse or load, where a source feeds
the fuse's other side; the fuse in the middle of a pack protects the leads of its poles too. Equal values pass. Capacity is that of `conductor/undersized`, with the loaded conductors of the
worst mode. One finding for each fuse, at the thinnest conductor.
## Why it matters
The wire, not the fuse, becomes the part that burns.
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
    blade-25: { standard: ISO 8820-3, rating: 25 A }
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
      F1: { fuse: blade-25, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 4 A, from: A, to: B, kind: lamp }
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
      2: { from: R3, to: R4, size: 1 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
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
    blade-10: { standard: ISO 8820-3, rating: 10 A }
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
      F1: { fuse: blade-10, from: IN, to: OUT }
  lamp:
    ports:
      A: { stud: M5 }
      B: { stud: M5 }
    inside:
      bulb: { load: 4 A, from: A, to: B, kind: lamp }
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
      1: { from: R1, to: R2, size: 2.5 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 1 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 1 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
Runs between a source and its first fuse (`protection/unfused-length`), and returns, which carry what their feeds carry.
## Source
Rating not above capacity: rules of a student race series, EV6.1.1, 2014 (seen). Boats under 50 V may go to 150 %, 33 CFR
183.455(c)(1) (seen): the stricter rule decides here. Capacity as in `conductor/undersized`.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis<'_>) -> Vec<Finding> {
    let protection = analysis.electrical.protection();
    let wires = wires_by_string(analysis.model, protection);
    let mut findings = Vec::new();
    for feed in protection.feeds() {
        let mut behind: Vec<WireId> = Vec::new();
        for cluster in feed.fed.iter().flatten() {
            let Some(point) = protection.members(*cluster).first() else { continue };
            let string = protection.string(*point);
            // A string that reaches its ground past no fuse is for the other rules of the group.
            if protection.is_ground(*cluster) || protection.is_grounded(string) {
                continue;
            }
            let first = wires.partition_point(|(of, _)| *of < string);
            behind.extend(wires.iter().skip(first).take_while(|(of, _)| *of == string).map(|(_, wire)| *wire));
        }
        findings.extend(finding(analysis, feed, &behind));
    }
    findings
}

/// All wires with the string that each lies in, sorted by string.
fn wires_by_string(model: &Model, protection: &Protection) -> Vec<(u32, WireId)> {
    let mut wires: Vec<(u32, WireId)> =
        model.wires().filter_map(|(id, wire)| wire.from.or(wire.to).map(|point| (protection.string(point), id))).collect();
    wires.sort_unstable();
    wires
}

fn finding(analysis: &Analysis<'_>, feed: &Feed, behind: &[WireId]) -> Option<Finding> {
    let model = analysis.model;
    let element = model.element(feed.fuse)?;
    let ElementKind::Fuse { kind: Some(kind), .. } = element.kind else { return None };
    let kind = model.fuse_kind(kind)?;
    let rating = kind.rating?;
    let standard = kind.standard.map(|standard| model.text(standard.value));
    let capacity = |id: WireId| -> Option<Capacity> {
        let beside = analysis.electrical.loading(id).map_or(1, |loading| loading.beside);
        capacity_of(model, model.wire(id)?, beside)
    };
    let allowed = |amps: Ampere| largest_rating(ConductorRule::default(), amps);
    let mut over: Vec<(WireId, Capacity)> = behind
        .iter()
        .filter_map(|id| Some((*id, capacity(*id)?)))
        .filter(|(_, capacity)| rating.value > allowed(capacity.amps).value)
        .collect();
    over.sort_by(|a, b| a.1.amps.get().total_cmp(&b.1.amps.get()).then(a.0.cmp(&b.0)));
    let (thinnest, least) = over.first()?;
    let wire = model.wire(*thinnest)?;
    let (fuse, name) = (model.element_name(feed.fuse), model.wire_name(*thinnest));
    let excess = Ampere::new(rating.value.get() - allowed(least.amps).value.get());
    let others = match over.len() - 1 {
        0 => String::new(),
        1 => ", and 1 wire more is too thin for it".to_owned(),
        more => format!(", and {more} wires more are too thin for it"),
    };
    let mut finding = RULE
        .finding(
            element.value_span,
            format!("fuse `{fuse}` passes {}, {excess} over what wire `{name}` takes{others}", rating.value),
        )
        .label(format!("rated {}", rating.value))
        .context(wire.size.map_or(wire.span, |size| size.span), format!("thinnest conductor behind `{fuse}`: {}", least.amps))
        .figure("rating", rating.value)
        .figure("capacity", least)
        .figure("rule", format!("rating not above capacity; {}", allowed(least.amps).source))
        .help(remedy(analysis, rating.value, fitting(standard, least.amps), *thinnest))
        .concerns(fuse);
    if rating.span.file != element.value_span.file || rating.span.start.abs_diff(element.value_span.start) > 0 {
        finding = finding.context(rating.span, "the rating");
    }
    for step in &least.chain {
        finding = finding.figure("source", step.source);
    }
    Some(over.iter().fold(finding, |finding, (wire, _)| finding.concerns(model.wire_name(*wire))))
}

fn remedy(analysis: &Analysis<'_>, rating: Ampere, fuse: Ampere, id: WireId) -> String {
    let name = analysis.model.wire_name(id);
    let beside = analysis.electrical.loading(id).map_or(1, |loading| loading.beside);
    let wire = analysis.model.wire(id);
    match wire.and_then(|wire| least_size_of(analysis.model, wire, rating, beside)) {
        Some(size) => format!("fit a fuse of {fuse} or less, or use {size} for `{name}`"),
        None => format!("fit a fuse of {fuse} or less"),
    }
}

/// The largest rating of the fuse's own kind that the capacity allows; the capacity itself where the ratings are not known.
fn fitting(standard: Option<&str>, capacity: Ampere) -> Ampere {
    let types = standard.and_then(FuseStandard::named).map(|standard| standard.types).unwrap_or_default();
    let ratings = types.iter().flat_map(|kind| kind.ratings()).map(|rating| rating.value).filter(|rating| *rating <= capacity);
    ratings.reduce(|most, other| if other > most { other } else { most }).unwrap_or(capacity)
}
