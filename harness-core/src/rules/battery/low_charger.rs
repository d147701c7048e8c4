//! What charges a battery gives more than the battery has.

use crate::{
    analysis::Analysis,
    electrical::{battery::BatteryString, connectivity::Connectivity},
    evidence::{in_modes, string_name},
    finding::{Finding, Level, Weighed},
    model::{ElementId, ModeId},
    network::Edge,
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::battery::charger_below,
};
use rustc_hash::FxHashSet;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "battery/low-charger",
        level: Level::Error,
        since: "0.1.0",
        finds: "a charger or generator that gives far less than the battery it is joined to has",
        docs: include_str!("low_charger.md"),
    },
    check,
};

/// A source beside a battery, and the modes in which closed conductors join them.
struct Beside<'a> {
    source: ElementId,
    gives: Volt,
    string: &'a BatteryString,
    has: Volt,
    modes: Vec<ModeId>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, network, batteries) = (analysis.model(), analysis.network(), analysis.facts().batteries());
    let cells = batteries.strings.iter().flat_map(|string| &string.banks).flat_map(|bank| &bank.cells);
    let cells: FxHashSet<ElementId> = cells.map(|cell| cell.source).collect();
    let strings: Vec<&BatteryString> = batteries.strings.iter().filter(|string| string.is_straight()).collect();
    if strings.is_empty() {
        return Vec::new();
    }
    let views: Vec<(ModeId, &Connectivity)> =
        analysis.electrical().modes().map(|mode| (mode.id, analysis.facts().joined_in(mode))).collect();
    let mut findings = Vec::new();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
        // A converter whose input and output are swapped is a fault of its own.
        let is_judged = |source: &ElementId| !cells.contains(source) && !analysis.facts().is_swapped(*source);
        let Some(source) = edge.element().filter(is_judged) else { continue };
        let (Some(gives), Some(runs)) = (model[source].kind.open_voltage(), model[source].kind.modes()) else { continue };
        if analysis.electrical().domains().of(edge.b).is_some_and(|domain| model[domain].ac) {
            continue;
        }
        let beside = strings.iter().filter_map(|string| {
            let joined = views.iter().filter(|(mode, view)| runs.has(*mode) && is_beside(view, edge, string));
            let modes: Vec<ModeId> = joined.map(|(mode, _)| *mode).collect();
            let one = Beside { source, gives, string, has: batteries.voltage(string), modes };
            (!one.modes.is_empty()).then_some(one)
        });
        // It may be there for the lower of two batteries.
        let lowest = beside.min_by(|a, b| a.has.get().total_cmp(&b.has.get()));
        findings.extend(lowest.filter(|one| one.gives < least(one.has)).map(|one| finding(analysis, &one)));
    }
    findings
}

/// Whether closed conductors join both poles of a source to the ends of a string.
fn is_beside(view: &Connectivity, edge: &Edge, string: &BatteryString) -> bool {
    view.closed.of(edge.b) == view.closed.of(string.top) && view.closed.of(edge.a) == view.closed.of(string.bottom)
}

/// The least that what charges a battery may give.
fn least(has: Volt) -> Volt {
    Volt::new(has.get() * (1.0 - charger_below().value.get()))
}

fn finding(analysis: &Analysis, one: &Beside<'_>) -> Finding {
    let model = analysis.model();
    let (name, string) = (model.element_name(one.source), string_name(model, one.string));
    let below = Volt::new(one.has.get() - one.gives.get());
    let finding = RULE
        .finding(
            model[one.source].value_span,
            format!("`{name}` gives {}, {below} below {string}, and never charges", one.gives),
            [Weighed::smaller(one.gives), Weighed::larger(below)],
        )
        .label(format!("gives {}", one.gives))
        .figure("open circuit", format!("{} of {string}{}", one.has, in_modes(model, &one.modes)))
        .figure("limit", format!("{}, {} below it; {}", least(one.has), charger_below().value, charger_below().source))
        .help(format!("fit a charger for {string}, or join `{name}` to the battery that it is made for"))
        .concerns(name);
    one.string.modules().fold(finding, |finding, module| finding.concerns(model.element_name(module)))
}
