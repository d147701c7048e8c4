//! Each tap stands one cell above the one before it.

use super::{
    parts::{batteries, conducts},
    taps::{Group, Tap, groups},
};
use crate::{
    analysis::Analysis,
    electrical::battery::Strings,
    finding::{Finding, Level},
    quantity::Volt,
    rules::{Check, RulePage},
    standards::battery::tap_step,
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "battery/tap-order",
        level: Level::Danger,
        since: "0.1.0",
        finds: "taps of a string that do not rise by one cell or module each: exchanged, shifted or reversed wires",
        docs: r#"
## What it checks
Pins that say `tap:`, counted from the negative end, tap 0 being the negative end itself. By the open voltages of the sources that
they hang on, with every fuse fitted and every disconnect in: each tap stands above the one before it, and by about as much as most
others do (half to one and a half times as much). The numbers of a device are counted together; where one comes twice in a device,
those of each port.
## Why it matters
A monitor with two taps exchanged has twice the voltage of a cell, backwards, across an input: it is destroyed, often with smoke,
and the wires carry what the pack can give. A meter check overlooks the minus sign.
## Example
```yaml
format: 1
design: Orchard lift
domains:
  traction: { nominal: 24 V, max: 30 V, reference: floating }
parts:
  fuses:
    sense: { standard: ISO 8820-3, rating: 1 A }
devices:
  pack:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: traction, need: optional }
      NEG: { stud: M6, signal: minus, role: return, domain: traction }
      S1: { stud: M4, signal: tap 1 }
      S2: { stud: M5, signal: tap 2 }
    nodes: [MID]
    inside:
      module1: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: MID, negative: NEG }
      module2: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: POS, negative: MID }
      F1: { fuse: sense, from: MID, to: S1 }
      F2: { fuse: sense, from: POS, to: S2 }
  monitor:
    ports:
      J1:
        pins:
          1: { signal: minus, role: input, domain: traction, tap: 0 }
          2: { signal: tap 1, role: input, domain: traction, tap: 2 }
          3: { signal: tap 2, role: input, domain: traction, tap: 1 }
looms:
  sense:
    ends:
      P1: { mates: monitor.J1 }
      R0: { ring: M6, bolts-to: pack.NEG }
      R1: { ring: M4, bolts-to: pack.S1 }
      R2: { ring: M5, bolts-to: pack.S2 }
    wires:
      0: { from: R0, to: P1.1, size: 0.75 mm2, colour: BK, length: 400 mm }
      1: { from: R1, to: P1.2, size: 0.75 mm2, colour: WH, length: 400 mm }
      2: { from: R2, to: P1.3, size: 0.75 mm2, colour: RD, length: 400 mm }
```
## Remedy
```yaml
format: 1
design: Orchard lift
domains:
  traction: { nominal: 24 V, max: 30 V, reference: floating }
parts:
  fuses:
    sense: { standard: ISO 8820-3, rating: 1 A }
devices:
  pack:
    ports:
      POS: { stud: M8, signal: plus, role: supply, domain: traction, need: optional }
      NEG: { stud: M6, signal: minus, role: return, domain: traction }
      S1: { stud: M4, signal: tap 1 }
      S2: { stud: M5, signal: tap 2 }
    nodes: [MID]
    inside:
      module1: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: MID, negative: NEG }
      module2: { source: 12.8 V, resistance: 4 mohm, limit: 90 A, positive: POS, negative: MID }
      F1: { fuse: sense, from: MID, to: S1 }
      F2: { fuse: sense, from: POS, to: S2 }
  monitor:
    ports:
      J1:
        pins:
          1: { signal: minus, role: input, domain: traction, tap: 0 }
          2: { signal: tap 1, role: input, domain: traction, tap: 1 }
          3: { signal: tap 2, role: input, domain: traction, tap: 2 }
looms:
  sense:
    ends:
      P1: { mates: monitor.J1 }
      R0: { ring: M6, bolts-to: pack.NEG }
      R1: { ring: M4, bolts-to: pack.S1 }
      R2: { ring: M5, bolts-to: pack.S2 }
    wires:
      0: { from: R0, to: P1.1, size: 0.75 mm2, colour: BK, length: 400 mm }
      1: { from: R1, to: P1.2, size: 0.75 mm2, colour: WH, length: 400 mm }
      2: { from: R2, to: P1.3, size: 0.75 mm2, colour: RD, length: 400 mm }
```
## What it cannot see
Taps within a module that the design gives as one source; taps while wires are plugged in one after the other. A tap that hangs on
nothing is left out: `netlist/unconnected-pin` and `netlist/dangling-wire` tell it. Where a module is turned round,
`battery/string-voltage` tells that and taps are left out.
## Source
Kirchhoff's voltage law. Half a step: common practice, no source.
"#,
    },
    run: check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let strings = batteries(analysis);
    let turned = |tree: u32| {
        strings.chains.iter().any(|chain| !chain.is_straight() && strings.height(chain.top).is_some_and(|(at, _)| at == tree))
    };
    let groups = groups(analysis, &strings);
    groups.iter().filter_map(|group| judge(analysis, &strings, &turned, group)).collect()
}

/// A step between two taps.
struct Step<'t> {
    low: &'t Tap,
    high: &'t Tap,
    volts: f64,
    /// How many numbers lie between.
    cells: f64,
}

fn judge(analysis: &Analysis, strings: &Strings, turned: &dyn Fn(u32) -> bool, group: &Group) -> Option<Finding> {
    let taps: Vec<&Tap> = group.taps.iter().filter(|tap| tap.height.is_some_and(|(tree, _)| !turned(tree))).collect();
    let steps: Vec<Step<'_>> = taps
        .windows(2)
        .filter_map(|pair| {
            let [low, high] = pair else { return None };
            let ((below, from), (above, to)) = (low.height?, high.height?);
            let cells = f64::from(high.number.checked_sub(low.number).filter(|cells| *cells > 0)?);
            (below == above).then_some(Step { low, high, volts: to.get() - from.get(), cells })
        })
        .collect();
    let mut sizes: Vec<f64> = steps.iter().map(|step| step.volts.abs() / step.cells).collect();
    sizes.sort_by(f64::total_cmp);
    let usual = *sizes.get(sizes.len() / 2)?;
    let share = tap_step().value.get();
    let is_off = |step: &&Step<'_>| {
        let each = step.volts / step.cells;
        each <= 0.0 || (each - usual).abs() > share * usual
    };
    let off: Vec<&Step<'_>> = steps.iter().filter(is_off).collect();
    // Steps that differ by rounding alone are equal, and the lowest tells the fault.
    let rounded = |step: &Step<'_>| (step.volts * 1e6).round();
    let worst = off.iter().min_by(|a, b| rounded(a).total_cmp(&rounded(b)))?;
    finding(analysis, strings, group, &taps, (worst, usual, off.len(), steps.len()))
}

fn finding(
    analysis: &Analysis,
    strings: &Strings,
    group: &Group,
    taps: &[&Tap],
    (worst, usual, off, all): (&Step<'_>, f64, usize, usize),
) -> Option<Finding> {
    let model = analysis.model();
    let (low, high) = (worst.low.number, worst.high.number);
    let way = if worst.volts < 0.0 { "below" } else { "above" };
    let stands = match worst.volts.abs() {
        volts if volts < 1e-9 => format!("tap {high} stands as high as tap {low}"),
        volts => format!("tap {high} stands {} {way} tap {low}", Volt::new(volts)),
    };
    let one = Volt::new(usual);
    let name = &group.name;
    let (headline, help) = match mistake(taps) {
        Mistake::Reversed => (
            format!("the taps of `{name}` run the other way: {stands}"),
            format!("reverse the {} wires of `{name}`, so that tap 0 lies at the negative end", taps.len()),
        ),
        Mistake::Exchanged(a, b) => (
            format!("taps {} and {} of `{name}` are exchanged: {stands}", a.number, b.number),
            format!("exchange the wires at `{}` and `{}`", model.point_name(a.point), model.point_name(b.point)),
        ),
        Mistake::Other => (
            format!("the taps of `{name}` do not rise one by one: {stands}, one step is {one}"),
            format!("lead the wire at `{}` to the point one step above tap {low}", model.point_name(worst.high.point)),
        ),
    };
    let mut finding = RULE
        .finding(worst.high.span, headline)
        .label("does not stand one step above the tap before it")
        .context(worst.low.span, "the tap before it")
        .figure("step", Volt::new(worst.volts))
        .figure("most steps", format!("{one}; half to one and a half of it passes, {}", tap_step().source))
        .figure("at fault", format!("{off} of {all} steps"))
        .help(format!("{help}; unplug `{name}` first"))
        .concerns(model.point_name(worst.high.point))
        .concerns(model.point_name(worst.low.point));
    let passes = |edge: &crate::network::Edge| conducts(model, edge);
    let pole = |point| strings.height(point).is_some() && is_pole(analysis, point);
    if let Some(steps) = analysis.network().path(worst.high.point, pole, |_, edge| passes(edge)) {
        finding = finding.path(analysis.network().names(model, worst.high.point, &steps));
    }
    Some(finding)
}

fn is_pole(analysis: &Analysis, point: crate::model::PointId) -> bool {
    analysis.network().around(point).any(|(_, edge, _)| {
        let element = edge.element().and_then(|(element, _)| analysis.model().element(element));
        element.is_some_and(|element| matches!(element.kind, crate::model::ElementKind::Source { .. }))
    })
}

/// What would put the order right.
enum Mistake<'t> {
    Reversed,
    Exchanged(&'t Tap, &'t Tap),
    Other,
}

fn mistake<'t>(taps: &[&'t Tap]) -> Mistake<'t> {
    let mut sorted: Vec<&Tap> = taps.to_vec();
    sorted.sort_by(|a, b| height(a).total_cmp(&height(b)));
    let differs = sorted.windows(2).all(|pair| matches!(pair, [a, b] if height(b) - height(a) > 1e-9));
    if !differs {
        return Mistake::Other;
    }
    let moved: Vec<&'t Tap> =
        taps.iter().zip(&sorted).filter(|(own, right)| own.point != right.point).map(|(own, _)| *own).collect();
    match moved.as_slice() {
        [a, b] if taps.len() > 2 => Mistake::Exchanged(a, b),
        [_, ..] if sorted.iter().rev().zip(taps).all(|(a, b)| a.point == b.point) => Mistake::Reversed,
        _ => Mistake::Other,
    }
}

fn height(tap: &Tap) -> f64 {
    tap.height.map_or(0.0, |(_, volts)| volts.get())
}
