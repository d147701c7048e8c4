//! A source reaches every load in the modes in which it runs.

use super::{
    ends::{and_more, in_modes},
    reach::{blame, reach},
    starved::{Cut, Starved, starved},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
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
    let starved = analysis.shared(starved);
    starved.0.iter().filter(|starved| starved.cut != Cut::Return).filter_map(|starved| finding(analysis, starved)).collect()
}

fn finding(analysis: &Analysis, starved: &Starved) -> Option<Finding> {
    let model = analysis.model();
    let (name, item) = reach(analysis, starved)?;
    let more = and_more(starved.loads.len() - 1, "load");
    let modes = in_modes(model, &starved.modes);
    let dead = model.point_name(starved.dead);
    let finding = match starved.cut {
        Cut::Bridged => RULE
            .finding(item.value_span, format!("`{name}` gets no voltage{modes}: both its sides are joined to one conductor"))
            .label("runs without voltage")
            .help(format!("move the wire at `{dead}` or at its other side to the feed that it is meant for")),
        _ => {
            let (why, help) = blame(analysis, starved, "feed");
            RULE.finding(item.value_span, format!("no source reaches `{name}`{more}{modes}{why}"))
                .label(format!("runs without voltage; the feed ends at `{dead}`"))
                .help(help)
        }
    };
    Some(super::reach::evidence(analysis, starved, finding))
}
