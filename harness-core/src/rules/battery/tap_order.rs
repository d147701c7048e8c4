//! Each tap is one cell above the one before it.

use crate::{
    analysis::Analysis,
    electrical::battery::Batteries,
    facts::{Tap, TapGroup},
    finding::{Finding, Level},
    model::PointId,
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::battery::tap_step,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "battery/tap-order",
        level: Level::Danger,
        since: "0.1.0",
        finds: "taps of a string that do not rise by one cell or module each: swapped, shifted or reversed wires",
        docs: include_str!("tap_order.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let batteries = analysis.facts().batteries();
    let turned = |tree: u32| {
        batteries
            .strings
            .iter()
            .any(|string| !string.is_straight() && batteries.height(string.top).is_some_and(|(at, _)| at == tree))
    };
    analysis.facts().taps().iter().filter_map(|group| judge(analysis, batteries, &turned, group)).collect()
}

/// A step between two taps.
struct Step<'t> {
    low: &'t Tap,
    high: &'t Tap,
    volts: f64,
    /// How many numbers lie between.
    cells: f64,
}

fn judge(analysis: &Analysis, batteries: &Batteries, turned: &dyn Fn(u32) -> bool, group: &TapGroup) -> Option<Finding> {
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
    // Steps that differ by rounding alone are equal, and the lowest says the fault.
    let rounded = |step: &Step<'_>| (step.volts * 1e6).round();
    let worst = off.iter().min_by(|a, b| rounded(a).total_cmp(&rounded(b)))?;
    finding(analysis, batteries, group, &taps, (worst, usual, off.len(), steps.len()))
}

fn finding(
    analysis: &Analysis,
    batteries: &Batteries,
    group: &TapGroup,
    taps: &[&Tap],
    (worst, usual, off, all): (&Step<'_>, f64, usize, usize),
) -> Option<Finding> {
    let model = analysis.model();
    let (low, high) = (worst.low.number, worst.high.number);
    let way = if worst.volts < 0.0 { "below" } else { "above" };
    let stands = match worst.volts.abs() {
        volts if volts < 1e-9 => format!("tap {high} is as high as tap {low}"),
        volts => format!("tap {high} is {} {way} tap {low}", Volt::new(volts)),
    };
    let one = Volt::new(usual);
    let name = &group.name;
    let (headline, help) = match mistake(taps) {
        Mistake::Reversed => (
            format!("the taps of `{name}` run the other way: {stands}"),
            format!("reverse the {} wires of `{name}`, so that tap 0 is at the negative end", taps.len()),
        ),
        Mistake::Exchanged(a, b) => (
            format!("taps {} and {} of `{name}` are swapped: {stands}", a.number, b.number),
            format!("swap the wires at `{}` and `{}`", model.point_name(a.point), model.point_name(b.point)),
        ),
        Mistake::Other => (
            format!("the taps of `{name}` do not rise one by one: {stands}, one step is {one}"),
            format!("lead the wire at `{}` to the point one step above tap {low}", model.point_name(worst.high.point)),
        ),
    };
    let mut finding = RULE
        .finding(worst.high.span, headline)
        .label("is not one step above the tap before it")
        .context(worst.low.span, "the tap before it")
        .figure("step", Volt::new(worst.volts))
        .figure("most steps", format!("{one}; half to one and a half of it passes, {}", tap_step().source))
        .figure("at fault", format!("{off} of {all} steps"))
        .help(format!("{help}; unplug `{name}` first"))
        .concerns(model.point_name(worst.high.point))
        .concerns(model.point_name(worst.low.point));
    let pole = |point| batteries.height(point).is_some() && is_pole(analysis, point);
    if let Some(steps) = analysis.network().path(worst.high.point, pole, |_, edge| edge.role.leads_to_battery()) {
        finding = finding.path(analysis.network().names(worst.high.point, &steps));
    }
    Some(finding)
}

fn is_pole(analysis: &Analysis, point: PointId) -> bool {
    analysis.network().around(point).any(|(_, edge, _)| edge.role.is_source())
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
