//! What opens the neutral opens the line too.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::ElementId,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/opened-neutral",
        level: Level::Error,
        since: "0.1.0",
        finds: "a fuse or switch in the neutral of the mains that leaves the line live",
        docs: include_str!("opened_neutral.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let sides = analysis.facts().mains_sides().iter();
    let mut opened: Vec<(ElementId, bool, ElementId)> =
        sides.flat_map(|sides| sides.opened.iter().map(|opened| (opened.element, opened.is_apart, sides.source))).collect();
    opened.sort_unstable();
    opened.dedup_by_key(|(element, ..)| *element);
    opened.into_iter().map(|(element, is_apart, source)| finding(analysis, element, is_apart, source)).collect()
}

fn finding(analysis: &Analysis, element: ElementId, is_apart: bool, source: ElementId) -> Finding {
    let model = analysis.model();
    let (name, from) = (model.element_name(element), model.element_name(source));
    if is_apart {
        let mut finding = RULE
            .finding(
                model[element].value_span,
                format!("fuse `{name}` in the neutral of `{from}` melts by itself: the line stays live when it does"),
                [],
            )
            .label("in the neutral, with a fuse beside it in the line")
            .context(model[source].span, "gives line and neutral")
            .help(format!(
                "join the neutral solidly in place of `{name}`, or fit a circuit breaker of two poles that open together"
            ))
            .concerns(name);
        finding.stated = Level::Warning;
        return finding;
    }
    RULE.finding(model[element].value_span, format!("`{name}` opens the neutral of `{from}` and leaves the line live"), [])
        .label("in the neutral alone")
        .context(model[source].span, "gives line and neutral")
        .help(format!(
            "move `{name}` to the line, or use a device that opens line and neutral together; if it is a pole of a residual-current device, name \
             all its poles as `residual`, and draw both poles of a circuit breaker as fuses of its kind"
        ))
        .concerns(name)
}
