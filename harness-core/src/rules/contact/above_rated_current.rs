//! No contact of a relay or switch, no bus bar, stud, ring or input carries more than it is rated for.

use crate::{
    analysis::Analysis,
    facts::rated_currents::RatedCurrent,
    finding::{Finding, Level, Weighed},
    model::Model,
    quantity::Ampere,
    rules::{Rule, RulePage},
    wording::list_of_first,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "contact/above-rated-current",
        level: Level::Error,
        since: "0.1.0",
        finds: "a relay, switch, disconnect, bus bar, stud, ring or converter input that carries more than its rated current",
        docs: include_str!("above_rated_current.md"),
    },
    check,
};

/// Share of a limit by which a computed current may miss it and still count as equal.
const EQUAL: f64 = 1e-6;
/// Modes whose current is shown.
const SHOWN: usize = 6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().rated_currents().iter().filter_map(|rated| finding(analysis.model(), rated)).collect()
}

fn finding(model: &Model, rated: &RatedCurrent) -> Option<Finding> {
    let (amps, mode) = *rated.carries.first()?;
    let limit = rated.rated.value;
    if amps.get() <= limit.get() * (1.0 + EQUAL) {
        return None;
    }
    let (what, name, excess) = (rated.what, rated.of.name(model), Ampere::new(amps.get() - limit.get()));
    let shown: Vec<String> = rated.carries.iter().map(|(amps, mode)| format!("{amps} in `{}`", model.mode_name(*mode))).collect();
    let mut finding = RULE
        .finding(
            rated.place,
            format!("{what} `{name}` carries {amps}, {excess} above its rating of {limit}"),
            [Weighed::larger(amps), Weighed::larger(excess), Weighed::smaller(limit)],
        )
        .label(format!("rated {limit}"))
        .figure("current", list_of_first(&shown, SHOWN, 0))
        .figure("rating", limit)
        .figure("mode", model.mode_name(mode))
        .help(format!("what is fitted here must be rated for the {amps} that flow, with the margin that its maker asks for; or take loads off it"))
        .concerns(name);
    if let Some(wire) = rated.given {
        finding =
            finding.figure("given", format!("`current` of wire `{}`: no element of the design draws it", model.wire_name(wire)));
    }
    if rated.rated.span != rated.place {
        finding = finding.context(rated.rated.span, format!("says {limit}"));
    }
    Some(finding)
}
