//! Conductors in parallel share what they carry, and the rest carries it when one opens.

use crate::{
    analysis::Analysis,
    electrical::conductors::{
        conductor::{capacity_of, least_size_of},
        parallel::{Parallel, Trouble},
    },
    finding::{Finding, Level},
    model::{Model, WireId},
    quantity::Ampere,
    rules::{Rule, RulePage},
    wording::commas,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/uneven-parallel",
        level: Level::Warning,
        since: "0.1.0",
        finds: "conductors in parallel of which one carries more than it may, or would if another opened",
        docs: include_str!("uneven_parallel.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.electrical().parallel().iter().map(|group| finding(analysis, group)).collect()
}

fn finding(analysis: &Analysis, group: &Parallel) -> Finding {
    let model = analysis.model();
    let wire = &model[group.over];
    let (name, mode) = (model.wire_name(group.over), model.mode_name(group.mode));
    let excess = Ampere::new(group.carries.get() - group.takes.get());
    let others: Vec<String> =
        group.wires.iter().filter(|other| **other != group.over).map(|other| format!("`{}`", model.wire_name(*other))).collect();
    let others = commas(&others);
    let (headline, label) = match group.trouble {
        Trouble::Uneven => (
            format!("wire `{name}` takes {} of what it shares with {others}, {excess} over what it takes", group.carries),
            format!("takes {} here", group.takes),
        ),
        Trouble::Opened(opens) => (
            format!(
                "wire `{name}` would carry {}, {excess} over what it takes, if `{}` opened",
                group.carries,
                model.wire_name(opens)
            ),
            format!("takes {} here", group.takes),
        ),
    };
    let size = wire.size.map_or(wire.span, |size| size.span);
    let mut finding = RULE.finding(size, headline).label(label);
    // A conductor over its capacity is an error, whoever tells it.
    if group.trouble == Trouble::Uneven {
        finding.stated = Level::Error;
    }
    for (other, amps) in group.wires.iter().zip(&group.amps) {
        if *other != group.over {
            let item = &model[*other];
            finding = finding.context(item.size.map_or(item.span, |size| size.span), format!("carries {amps} in mode `{mode}`"));
        }
    }
    let shares: Vec<String> =
        group.wires.iter().zip(&group.amps).map(|(wire, amps)| format!("`{}` {amps}", model.wire_name(*wire))).collect();
    finding = finding.figure("shares", format!("{} in mode `{mode}`, computed", commas(&shares)));
    if let Some(capacity) = capacity_of(model, wire, group.beside) {
        finding = finding.figure("capacity", &capacity);
        for step in &capacity.chain {
            finding = finding.figure("source", step.source);
        }
    }
    let finding = finding.help(remedy(model, group, &name));
    group.wires.iter().fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire)))
}

fn remedy(model: &Model, group: &Parallel, name: &str) -> String {
    let total = Ampere::new(group.amps.iter().map(|amps| amps.get()).sum());
    let single = |wire: WireId| least_size_of(model, &model[wire], total, group.beside);
    match (group.trouble, single(group.over)) {
        (Trouble::Uneven, Some(_)) => {
            format!("make the conductors alike in size and length, or lay one larger conductor in place of them")
        }
        (Trouble::Uneven, None) => "make the conductors alike in size and length".to_owned(),
        (Trouble::Opened(_), Some(_)) => {
            format!(
                "use a larger conductor for `{name}` and those beside it, lay one in place of them, or give each a fuse of its own"
            )
        }
        (Trouble::Opened(_), None) => "give each conductor a fuse of its own".to_owned(),
    }
}
