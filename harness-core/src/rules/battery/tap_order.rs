//! Each tap is one cell above the one before it, over all ports of a monitor.

use crate::{
    analysis::Analysis,
    electrical::battery::Batteries,
    facts::{Tap, TapGroup},
    finding::{Finding, Level, Weighed},
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
        finds: "taps of a string that do not rise by one cell or module each: swapped, shifted or reversed wires or plugs",
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
    let groups = analysis.facts().taps();
    let mut findings: Vec<Finding> = groups
        .iter()
        .filter_map(|group| judge(analysis, batteries, &turned, group).map(|finding| counted(finding, group)))
        .collect();
    let restarting = |group: &TapGroup| group.port.is_some();
    for ports in groups.chunk_by(|a, b| restarting(a) && restarting(b) && a.device == b.device) {
        let own = between_ports(analysis, groups, &turned, ports);
        findings.extend(own.map(|finding| ports.first().map_or(finding.clone(), |first| counted(finding, first))));
    }
    findings
}

/// Where the design gives no numbers, the order of the positions is a habit and no statement.
fn counted(finding: Finding, group: &TapGroup) -> Finding {
    if group.is_numbered {
        return finding;
    }
    let mut finding = finding.figure("numbers", "the positions in the connector, counted from 0: the pins give no `tap`");
    finding.stated = Level::Warning;
    finding
}

/// The finding about ports of one device, each counted from its own first tap, of which one is not above the one before: its first tap
/// is at the last tap of the port before, or one step above it.
fn between_ports(analysis: &Analysis, all: &[TapGroup], turned: &dyn Fn(u32) -> bool, ports: &[TapGroup]) -> Option<Finding> {
    let range = |group: &TapGroup| -> Option<(u32, f64, f64)> {
        let known: Vec<(u32, f64)> =
            group.taps.iter().filter_map(|tap| tap.height.map(|(tree, volts)| (tree, volts.get()))).collect();
        let (tree, _) = *known.first()?;
        let of_tree = || known.iter().filter(|(other, _)| *other == tree).map(|(_, volts)| *volts);
        (known.len() == group.taps.len() && !turned(tree)).then_some(())?;
        Some((tree, of_tree().reduce(f64::min)?, of_tree().reduce(f64::max)?))
    };
    let share = tap_step().value.get();
    for pair in ports.windows(2) {
        let [lower, upper] = pair else { continue };
        let (Some((tree, low_start, low_end)), Some((other, high_start, high_end))) = (range(lower), range(upper)) else {
            continue;
        };
        let count = lower.taps.len().saturating_sub(1) + upper.taps.len().saturating_sub(1);
        let step = (low_end - low_start + high_end - high_start) / (count.max(1) as f64);
        let rise = high_start - low_end;
        // Two strings side by side begin at one height.
        let is_beside = (high_start - low_start).abs() <= share * step;
        let fits = rise >= -share * step && rise <= (1.0 + share) * step;
        let is_between =
            |tap: &Tap| tap.height.is_some_and(|(at, volts)| at == tree && volts.get() > low_end && volts.get() < high_start);
        let is_filled = all.iter().any(|group| group.device != lower.device && group.taps.iter().any(is_between));
        let are_swapped = high_end <= low_start + share * step;
        // Ports that measure mostly the same cells watch each other.
        let overlap = (low_end - high_start).max(0.0);
        let is_double = !are_swapped && overlap > 0.5 * f64::min(low_end - low_start, high_end - high_start);
        if tree != other || step <= 0.0 || is_beside || fits || is_filled || is_double {
            continue;
        }
        let (last, first) = (lower.taps.last()?, upper.taps.first()?);
        let (one, two) = (&lower.name, &upper.name);
        let way = if rise < 0.0 { "below" } else { "above" };
        let where_it_is =
            format!("tap {} of `{two}` is {} {way} tap {} of `{one}`", first.number, Volt::new(rise.abs()), last.number);
        let (headline, help) = if are_swapped {
            (
                format!("the tap plugs of `{one}` and `{two}` are swapped: {where_it_is}"),
                format!("swap the plugs of `{one}` and `{two}`"),
            )
        } else {
            (
                format!("the taps of `{two}` do not continue where those of `{one}` end: {where_it_is}"),
                format!(
                    "lead tap {} of `{two}` to the point of tap {} of `{one}`, or one step above it",
                    first.number, last.number
                ),
            )
        };
        let model = analysis.model();
        return Some(
            RULE.finding(
                first.span,
                headline,
                [Weighed::neither(first.number), Weighed::larger(Volt::new(rise.abs())), Weighed::neither(last.number)],
            )
            .label("first tap of this port")
            .context(last.span, "last tap of the port before")
            .figure("step from port to port", Volt::new(rise))
            .figure("most steps", format!("{}; none to one and a half of it passes, {}", Volt::new(step), tap_step().source))
            .help(format!("{help}; unplug both first"))
            .concerns(model.point_name(first.point))
            .concerns(model.point_name(last.point)),
        );
    }
    None
}

/// A step between two taps.
struct Step<'t> {
    low: &'t Tap,
    high: &'t Tap,
    volts: f64,
    /// By how much the numbers differ.
    cells: f64,
}

fn judge(analysis: &Analysis, batteries: &Batteries, turned: &dyn Fn(u32) -> bool, group: &TapGroup) -> Option<Finding> {
    let taps: Vec<&Tap> = group.taps.iter().filter(|tap| tap.height.is_some_and(|(tree, _)| !turned(tree))).collect();
    let steps: Vec<Step<'_>> = taps
        .windows(2)
        .filter_map(|pair| {
            let [low, high] = pair else { return None };
            let ((below, from), (above, to)) = (low.height?, high.height?);
            let cells = f64::from(high.number.checked_sub(low.number)?);
            (below == above).then_some(Step { low, high, volts: to.get() - from.get(), cells })
        })
        .collect();
    let counted = steps.iter().filter(|step| step.cells > 0.0);
    let mut sizes: Vec<f64> = counted.map(|step| step.volts.abs() / step.cells).collect();
    sizes.sort_by(f64::total_cmp);
    let usual = *sizes.get(sizes.len() / 2)?;
    let share = tap_step().value.get();
    let is_off = |step: &&Step<'_>| {
        // The last tap of one port and the first of the next have one number and are one point.
        if step.cells == 0.0 {
            return step.volts.abs() > share * usual;
        }
        let each = step.volts / step.cells;
        each <= 0.0 || (each - usual).abs() > share * usual
    };
    let off: Vec<&Step<'_>> = steps.iter().filter(is_off).collect();
    // Steps that differ by rounding alone are equal, and the finding is at the lowest.
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
    let is_at = match worst.volts.abs() {
        volts if volts < 1e-9 => format!("tap {high} is at the potential of tap {low}"),
        volts => format!("tap {high} is {} {way} tap {low}", Volt::new(volts)),
    };
    let one = Volt::new(usual);
    let name = &group.name;
    let mistake = mistake(taps);
    let step = matches!(mistake, Mistake::Other).then(|| Weighed::neither(one));
    let (headline, help) = match mistake {
        Mistake::Reversed => (
            format!("the taps of `{name}` run the other way: {is_at}"),
            format!("reverse the {} wires of `{name}`, so that tap 0 is at the negative end", taps.len()),
        ),
        Mistake::Swapped(a, b) => (
            format!("taps {} and {} of `{name}` are swapped: {is_at}", a.number, b.number),
            format!("swap the wires at `{}` and `{}`", model.point_name(a.point), model.point_name(b.point)),
        ),
        Mistake::Other => (
            format!("the taps of `{name}` do not rise one by one: {is_at}, one step is {one}"),
            format!("lead the wire at `{}` to the point one step above tap {low}", model.point_name(worst.high.point)),
        ),
    };
    let numbers = taps.iter().map(|tap| Weighed::neither(tap.number));
    let weighed = [Weighed::larger(Volt::new(worst.volts.abs()))].into_iter().chain(step).chain(numbers);
    let mut finding = RULE
        .finding(worst.high.span, headline, weighed)
        .label("not one step above the tap before it")
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
    Swapped(&'t Tap, &'t Tap),
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
        [a, b] if taps.len() > 2 => Mistake::Swapped(a, b),
        [_, ..] if sorted.iter().rev().zip(taps).all(|(a, b)| a.point == b.point) => Mistake::Reversed,
        _ => Mistake::Other,
    }
}

fn height(tap: &Tap) -> f64 {
    tap.height.map_or(0.0, |(_, volts)| volts.get())
}
