//! What the batteries lose while the vehicle is parked.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    finding::{Finding, Level, Weighed},
    model::{ElementId, ElementKind},
    network::EdgeId,
    quantity::{Ampere, AmpereHour},
    rules::{Rule, RulePage},
    standards::battery::day,
    text::Span,
    wording::commas,
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "battery/standing-drain",
        level: Level::Note,
        since: "0.1.0",
        finds: "how long a battery lasts in a mode in which the vehicle is parked for days, and what drains it",
        docs: include_str!("standing_drain.md"),
    },
    check,
};

/// Current that counts as none.
const NOTHING: f64 = 1e-6;
/// Consumers that are named.
const NAMED: usize = 3;
/// Seconds in an hour.
const HOUR: f64 = 3600.0;

/// The source of a string that is flat first.
struct Drain {
    source: ElementId,
    edge: EdgeId,
    amps: Ampere,
    capacity: AmpereHour,
    hours: f64,
}

/// Hours after which a battery is flat by itself, whatever is joined to it: five years. Common practice, no source.
const AGES: f64 = 5.0 * 365.0 * 24.0;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    for mode in analysis.electrical().modes() {
        let Some(standing) = model[mode.id].standing else { continue };
        findings.extend(drains(analysis, mode).iter().map(|drain| finding(analysis, mode, standing, drain)));
    }
    findings
}

fn drains(analysis: &Analysis, mode: &ModeState) -> Vec<Drain> {
    let mut of: FxHashMap<ElementId, usize> = FxHashMap::default();
    for (at, string) in analysis.facts().batteries().strings.iter().enumerate() {
        of.extend(string.banks.iter().flat_map(|bank| &bank.cells).map(|cell| (cell.source, at)));
    }
    let mut found: Vec<Drain> = Vec::new();
    let mut by_chain: FxHashMap<usize, usize> = FxHashMap::default();
    for (id, edge) in analysis.network().edges() {
        let Some(source) = edge.element() else { continue };
        let ElementKind::Source { capacity: Some(capacity), .. } = analysis.model()[source].kind else { continue };
        let amps = mode.amps(id);
        if amps.get() <= NOTHING || mode.is_shorted(edge.a) {
            continue;
        }
        let drain = Drain { source, edge: id, amps, capacity: capacity.value, hours: capacity.value.get() / amps.get() };
        if drain.hours > AGES {
            continue;
        }
        let known = of.get(&source).and_then(|string| by_chain.get(string)).and_then(|at| found.get_mut(*at));
        match known {
            Some(known) if !is_sooner(analysis, &drain, known) => {}
            Some(known) => *known = drain,
            None => {
                if let Some(string) = of.get(&source) {
                    by_chain.insert(*string, found.len());
                }
                found.push(drain);
            }
        }
    }
    found
}

/// Whether a source is flat before another one; of two that are flat at once, whether its name comes first.
fn is_sooner(analysis: &Analysis, one: &Drain, other: &Drain) -> bool {
    if (one.hours - other.hours).abs() > 1e-9 * other.hours {
        return one.hours < other.hours;
    }
    analysis.model().element_name(one.source) < analysis.model().element_name(other.source)
}

fn finding(analysis: &Analysis, mode: &ModeState, standing: Span, drain: &Drain) -> Finding {
    let model = analysis.model();
    let name = model.element_name(drain.source);
    let consumers = consumers(analysis, mode, drain);
    let named: Vec<String> = consumers
        .iter()
        .take(NAMED)
        .map(|(load, amps)| format!("`{}` {}", model.element_name(*load), Ampere::new(*amps)))
        .collect();
    let largest = consumers.first().map(|(load, _)| model.element_name(*load));
    let time = lasts(drain.hours);
    let mut finding = RULE
        .finding(
            model[drain.source].value_span,
            format!("`{name}` is flat after {time} in `{}`, which draws {} from it", model.mode_name(mode.id), drain.amps),
            [Weighed::smaller(&time), Weighed::larger(drain.amps)],
        )
        .label(format!("{} from full to flat", drain.capacity))
        .context(standing, "this mode lasts for days")
        .figure("current", drain.amps)
        .figure("capacity", drain.capacity)
        .figure("lasts", format!("{time}, without self-discharge"))
        .figure("largest", commas(&named))
        .help(match largest {
            Some(load) => {
                format!("switch `{load}` off while the vehicle is parked, or disconnect the battery when it is parked for longer")
            }
            None => "disconnect the battery when the vehicle is parked for longer".to_owned(),
        })
        .concerns(name);
    // A mode that lasts for days and a battery that lasts for hours contradict each other.
    if drain.hours < day().value.get() / HOUR {
        finding.stated = Level::Warning;
    }
    finding
}

/// Hours in words, as days where it is more than two.
fn lasts(hours: f64) -> String {
    let days = hours * HOUR / day().value.get();
    if days >= 2.0 { format!("{days:.0} days") } else { format!("{hours:.0} hours") }
}

/// What takes current in the island of the source, the most first.
fn consumers(analysis: &Analysis, mode: &ModeState, drain: &Drain) -> Vec<(ElementId, f64)> {
    let island = analysis.network().components(|id, _| mode.conducts(id));
    let own = island.of(analysis.network()[drain.edge].a);
    let loads = analysis.network().edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let amps = mode.amps(id).get().abs();
        (edge.role.drains() && amps > NOTHING && island.of(edge.a) == own).then_some((element, amps))
    });
    let mut loads: Vec<(ElementId, f64)> = loads.collect();
    loads.sort_by(|a, b| b.1.total_cmp(&a.1));
    loads
}
