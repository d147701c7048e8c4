//! A source reaches every load in the modes in which it runs.

use crate::{
    analysis::Analysis,
    evidence::{blame, in_modes, supply_cut},
    facts::{
        Facts,
        supply_cuts::{Lost, SupplyCut},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::and_more,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/no-source",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load that no source reaches in a mode in which it runs",
        docs: include_str!("no_source.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    // What is at the input of a converter that is swapped has no voltage for that reason.
    let cuts = facts.supply_cuts().iter().filter(|cut| !facts.is_at_swapped_input(cut.dead));
    cuts.filter_map(|cut| finding(facts, cut)).collect()
}

fn finding(facts: &Facts, cut: &SupplyCut) -> Option<Finding> {
    let model = facts.model();
    let load = *cut.loads.first()?;
    let (name, place) = (model.element_name(load), model[load].value_span);
    let more = and_more(cut.loads.len() - 1, "load");
    let modes = in_modes(model, &cut.modes);
    let dead = model.point_name(cut.dead);
    let finding = match cut.lost {
        Lost::Bridged => RULE
            .finding(place, format!("`{name}` gets no voltage{modes}: both its sides are joined to one conductor"), [])
            .label("runs without voltage")
            .help(format!("move the wire at `{dead}` or at its other side to the feed that it is meant for")),
        Lost::Feed => {
            let (why, help) = blame(facts, cut, "feed");
            RULE.finding(place, format!("no source reaches `{name}`{more}{modes}{why}"), [])
                .label(format!("runs without voltage; the feed ends at `{dead}`"))
                .help(help)
        }
        Lost::Return => return None,
    };
    Some(supply_cut(facts, cut, finding))
}
