//! Of two fuses in series the one nearer the fault opens, and only that.

use crate::{
    analysis::Analysis,
    electrical::{
        faults::Overlap,
        fuses::fuse::{kind_of, standard_of},
    },
    finding::{Finding, Level},
    model::{ElementId, Model},
    quantity::Ampere,
    rules::{Check, RulePage},
    standards::fuse_time::FuseCurve,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "protection/selectivity",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse near the source that may open before the one behind it",
        docs: r#"
## What it checks
For every short behind two fuses in series: the earliest time of the one nearer the source against the latest time of the
one nearer the short, at the current that each carries. One finding for each fuse near a source, with the pair that
overlaps most.
## Why it matters
A short in one lamp then takes the whole vehicle down, and the fuse that is found open is not the one at fault.
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
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }
  fuses:
    blade-15: { standard: ISO 8820-3, type: C, rating: 15 A }
    blade-10: { standard: ISO 8820-3, type: C, rating: 10 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 12 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    nodes: [BUS]
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-15, from: IN, to: BUS }
      F2: { fuse: blade-10, from: BUS, to: OUT }
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
      2: { from: R3, to: R4, size: 2.5 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 1400 mm }
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
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }
  fuses:
    blade-30: { standard: ISO 8820-3, type: C, rating: 30 A }
    blade-10: { standard: ISO 8820-3, type: C, rating: 10 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 12 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    nodes: [BUS]
    ports:
      IN: { stud: M6 }
      OUT: { stud: M6 }
    inside:
      F1: { fuse: blade-30, from: IN, to: BUS }
      F2: { fuse: blade-10, from: BUS, to: OUT }
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
      2: { from: R3, to: R4, size: 2.5 mm2, colour: RD/WH, length: 1400 mm }
      3: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 1400 mm }
```
## What it cannot see
How far a fuse has aged or warmed before the short. Gates are bands: two fuses of one make may be told apart by their
datasheet (`gates`) where the bands of the standard overlap.
## Source
Operating times: ISO 8820, mostly from memory: each finding says so. Between two gates, and above the last, constant I2t
(common practice, no source).
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut overlaps: Vec<&Overlap> = analysis.electrical().faults().overlaps().iter().collect();
    let share = |overlap: &Overlap| overlap.upper_holds.time.get() / overlap.lower_opens.time.get();
    overlaps.sort_by(|a, b| a.upper.cmp(&b.upper).then(share(a).total_cmp(&share(b))).then(a.lower.cmp(&b.lower)));
    overlaps.chunk_by(|a, b| a.upper == b.upper).filter_map(|group| finding(analysis.model(), group)).collect()
}

fn finding(model: &Model, group: &[&Overlap]) -> Option<Finding> {
    let worst = group.first()?;
    let (upper, lower) = (model.element(worst.upper)?, model.element(worst.lower)?);
    let (name, behind) = (model.element_name(worst.upper), model.element_name(worst.lower));
    let others = match group.len() - 1 {
        0 => String::new(),
        1 => " and 1 fuse more behind it".to_owned(),
        more => format!(" and {more} fuses more behind it"),
    };
    let (point, back) = worst.short;
    let finding = RULE
        .finding(upper.value_span, format!("fuse `{name}` is not sure to outlast `{behind}`{others}"))
        .label(format!("may open after {}", worst.upper_holds.time))
        .context(lower.value_span, format!("may take {}", worst.lower_opens.time))
        .figure(
            "short",
            format!(
                "`{}` to `{}` in mode `{}`, computed",
                model.point_name(point),
                model.point_name(back),
                model.mode_name(worst.mode)
            ),
        )
        .figure("before", format!("`{name}` carries {} and holds {}", worst.upper_amps, worst.upper_holds))
        .figure("behind", format!("`{behind}` carries {} and opens within {}", worst.lower_amps, worst.lower_opens))
        .help(remedy(model, worst))
        .concerns(name);
    Some(group.iter().fold(finding, |finding, overlap| finding.concerns(model.element_name(overlap.lower))))
}

/// Ratings of the fuses' own standards with which the pair would be selective at these currents.
fn remedy(model: &Model, overlap: &Overlap) -> String {
    let larger = ratings(model, overlap.upper)
        .into_iter()
        .find(|(_, curve)| curve.opening(overlap.upper_amps).fastest.is_some_and(|edge| edge.time >= overlap.lower_opens.time));
    let smaller = ratings(model, overlap.lower)
        .into_iter()
        .rev()
        .find(|(_, curve)| curve.opening(overlap.lower_amps).slowest.is_some_and(|edge| edge.time <= overlap.upper_holds.time));
    let (upper, lower) = (model.element_name(overlap.upper), model.element_name(overlap.lower));
    match (larger, smaller) {
        (Some((larger, _)), Some((smaller, _))) => format!(
            "fit {larger} or more for `{upper}` with conductors to match, or {smaller} or less for `{lower}`; gates of the \
             fuses in hand (`gates`) may be narrower"
        ),
        (Some((larger, _)), None) => format!("fit {larger} or more for `{upper}` with conductors to match, or a slower fuse"),
        (None, Some((smaller, _))) => format!("fit {smaller} or less for `{lower}`, or a slower fuse for `{upper}`"),
        (None, None) => format!("fit a slower fuse for `{upper}` or a faster one for `{lower}`"),
    }
}

/// The ratings that the standard of a fuse makes, rising, with their curves.
fn ratings(model: &Model, fuse: ElementId) -> Vec<(Ampere, FuseCurve)> {
    let Some(kind) = kind_of(model, fuse) else { return Vec::new() };
    let Some(standard) = standard_of(model, kind) else { return Vec::new() };
    let types = standard.types.iter().filter(|of| kind.body.is_none_or(|body| body.value == **of));
    let mut ratings: Vec<Ampere> = types.flat_map(|of| of.ratings()).map(|rating| rating.value).collect();
    ratings.sort_by(|a, b| a.get().total_cmp(&b.get()));
    ratings.dedup();
    let curve = |rating: Ampere| match kind.body {
        Some(body) => FuseCurve::of_type(rating, body.value),
        None => FuseCurve::of_standard(rating, standard),
    };
    ratings.into_iter().filter_map(|rating| Some((rating, curve(rating)?))).collect()
}
