//! One source of alternating voltage feeds a circuit at a time.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    facts::{Facts, parallel_mains::ParallelMains},
    finding::{Finding, Level},
    network::{Edge, EdgeId},
    rules::{Rule, RulePage},
    wording::{list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/parallel-mains",
        level: Level::Danger,
        since: "0.1.0",
        finds: "two sources of alternating voltage, or two lines of one supply, joined at both poles in one mode",
        docs: include_str!("parallel_mains.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.parallel_mains().iter().filter_map(|parallel| finding(facts, parallel)).collect()
}

fn finding(facts: &Facts, parallel: &ParallelMains) -> Option<Finding> {
    let model = facts.model();
    let (first, rest) = parallel.sources.split_first()?;
    let names: Vec<String> = parallel.sources.iter().map(|source| model.element_name(*source)).collect();
    let modes = in_modes(model, &parallel.modes);
    let all = list(&names.iter().map(quoted).collect::<Vec<_>>());
    let (what, label, help) = if parallel.is_one_supply && !parallel.may_keep_step {
        (
            format!("lines of one supply are joined{modes}: {all}"),
            "one of these lines",
            "lead each line to the point of its own; if the box has one line alone, draw one source".to_owned(),
        )
    } else {
        let keeps = if parallel.may_keep_step {
            "; an inverter that keeps step with the grid is sound only if its maker says so"
        } else {
            ""
        };
        (
            format!("{all} are joined{modes}: sources of alternating voltage that are out of step"),
            "one of these sources",
            format!(
                "let a changeover (`selector`, or contacts stated as `exclusive`) join one of them at a time, line and neutral, or correct the modes in which they are on{keeps}"
            ),
        )
    };
    let mut finding = RULE
        .finding(model[*first].value_span, what, [])
        .label(label)
        .figure("effect", "out of step, or of another phase, up to twice the voltage drives a short between them")
        .help(help);
    for source in rest {
        finding = finding.context(model[*source].value_span, "joined to it at both poles");
    }
    if let Some(path) = path(facts, parallel) {
        finding = finding.path(path);
    }
    if parallel.may_keep_step {
        finding.stated = Level::Warning;
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}

/// The way from the live pole of the first to that of the second.
fn path(facts: &Facts, parallel: &ParallelMains) -> Option<Vec<String>> {
    let network = facts.network();
    let [one, other, ..] = parallel.edges.as_slice() else { return None };
    let mode = facts.electrical().modes().find(|mode| parallel.modes.first() == Some(&mode.id))?;
    let keep = |id: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && mode.conducts(id);
    let (start, goal) = (network[*one].b, network[*other]);
    let steps =
        network.path(start, |point| point == goal.b, keep).or_else(|| network.path(start, |point| point == goal.a, keep))?;
    Some(network.names(start, &steps))
}
