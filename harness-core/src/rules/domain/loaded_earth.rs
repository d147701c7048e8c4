//! A load of voltage class B takes its current back by its own return, never by the protective earth.

use crate::{
    analysis::Analysis,
    facts::{Facts, loaded_earths::LoadedEarth},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/loaded-earth",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a load of the mains or of voltage class B whose current goes home through the protective earth",
        docs: include_str!("loaded_earth.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.loaded_earths().iter().map(|loaded| finding(facts, loaded)).collect()
}

fn finding(facts: &Facts, loaded: &LoadedEarth) -> Finding {
    let model = facts.model();
    let (name, earth) = (model.element_name(loaded.load), model.point_name(loaded.earth));
    let help = match loaded.back {
        Some(back) => {
            format!("lead the return of `{name}` to `{}`, and nothing but the case to the earth", model.point_name(back))
        }
        None => format!("give its box a pin that takes its current back, and lead the return of `{name}` there"),
    };
    RULE.finding(
        model[loaded.load].value_span,
        format!("the current of `{name}` goes home through the protective earth `{earth}`"),
        [],
    )
    .label("its return is joined to an earth")
    .context(model[loaded.earth].span, "the earth")
    .figure(
        "effect",
        "every case on this earth is live as soon as it opens; a residual-current device trips whenever the load is on",
    )
    .help(help)
    .concerns(name)
    .concerns(earth)
}
