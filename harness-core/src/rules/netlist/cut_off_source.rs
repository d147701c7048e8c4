//! What a source gives in a mode in which it is on gets back to it.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    facts::{
        Facts,
        idle_sources::{IdleSource, OpenWay},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/cut-off-source",
        level: Level::Error,
        since: "0.1.0",
        finds: "a source, alternator or charger that is on and cannot deliver: its negative leads nowhere",
        docs: include_str!("cut_off_source.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let is_open = |source: &IdleSource| {
        // A pin without a wire was reported.
        [source.positive, source.negative].iter().any(|point| facts.unconnected().contains(point))
    };
    let idle = || facts.idle_sources().iter().filter(|source| !is_open(source));
    let cut = idle().filter(|source| source.is_cut()).map(|source| finding(facts, source));
    let separated = idle().filter_map(|source| Some(separated(facts, source, source.open_way(facts)?)));
    cut.chain(separated).collect()
}

/// A source that runs while something between it and its battery is open.
fn separated(facts: &Facts, source: &IdleSource, way: OpenWay) -> Finding {
    let model = facts.model();
    let [name, open, battery] = [source.element, way.open, way.battery].map(|element| model.element_name(element));
    let modes = in_modes(model, &source.alone);
    let mut finding = RULE
        .finding(
            model[source.element].value_span,
            format!("`{name}` is on{modes} and reaches nothing: `{open}` separates it from `{battery}`"),
            [],
        )
        .label("delivers nothing")
        .context(model[way.open].value_span, "open, or not fitted")
        .help(format!("close or fit `{open}`, or correct the modes in which `{name}` is on"))
        .concerns(name)
        .concerns(open)
        .concerns(battery);
    finding.stated = Level::Warning;
    finding
}

fn finding(facts: &Facts, source: &IdleSource) -> Finding {
    let model = facts.model();
    let name = model.element_name(source.element);
    let negative = model.point_name(source.negative);
    let modes = in_modes(model, &source.cut);
    let mut finding = RULE
        .finding(model[source.element].value_span, format!("`{name}` is on{modes} and delivers nothing: its circuit is open"), [])
        .label(format!("no way back to `{negative}`"))
        .help(match model.domains().any(|(_, domain)| domain.is_class_b()) {
            // A bridge to whatever its loads happen to be joined to may tie what must keep apart.
            true => format!(
                "find where the way from the loads of `{name}` back to `{negative}` is open or on a wrong conductor, and put that right; or \
                 correct the modes in which it is on"
            ),
            false => format!("join `{negative}` to the return of what `{name}` feeds, or correct the modes in which it is on"),
        })
        .concerns(&name)
        .concerns(negative);
    if let Some(taker) = source.taker {
        let taker = model.element_name(taker);
        finding = finding.figure("does not feed", format!("`{taker}`")).concerns(taker);
    }
    finding
}
