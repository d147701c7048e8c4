//! Conductors in parallel share what they carry, and the rest carries it when one opens.

use crate::{
    analysis::Analysis,
    electrical::conductors::{
        conductor::{capacity_of, least_size_of},
        parallel::{Parallel, Trouble},
    },
    evidence::beside,
    finding::{Finding, Level, Weighed},
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

/// Share of the mean current by which alike conductors may differ: contacts differ more.
const EVEN: f64 = 0.1;

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
            format!(
                "wire `{name}` carries {} of the current that it shares with {others}, {excess} over its limit",
                group.carries
            ),
            format!("at most {} here", group.takes),
        ),
        Trouble::Opened(opens) => (
            format!(
                "wire `{name}` would carry {}, {excess} over its limit, if `{}` opened",
                group.carries,
                model.wire_name(opens)
            ),
            format!("at most {} here", group.takes),
        ),
    };
    let size = wire.size.map_or(wire.span, |size| size.span);
    let mut finding = RULE.finding(size, headline, [Weighed::larger(group.carries), Weighed::larger(excess)]).label(label);
    match group.trouble {
        // A conductor over its capacity is an error, whichever rule reports it.
        Trouble::Uneven => finding.stated = Level::Error,
        // Alike conductors may share one fuse by common practice; what an open one does is for the reader to weigh.
        Trouble::Opened(_) if is_alike(model, group) => finding.stated = Level::Note,
        Trouble::Opened(_) => {}
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
    let neighbours = analysis.electrical().modes().find(|mode| mode.id == group.mode);
    let neighbours = neighbours.map(|mode| analysis.electrical().neighbours_in(group.over, mode));
    let finding = beside(analysis.facts(), group.over, finding, neighbours.as_ref()).help(remedy(model, group, &name));
    group.wires.iter().fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire)))
}

/// Whether the conductors of a group are of one size, length and kind and share the current evenly.
fn is_alike(model: &Model, group: &Parallel) -> bool {
    let made = |wire: WireId| {
        let wire = &model[wire];
        (wire.size.map(|at| at.value), wire.length.map(|at| at.value), wire.kind, wire.core.map(|(cable, _)| model[cable].kind))
    };
    let share = group.amps.iter().map(|amps| amps.get()).sum::<f64>() / group.amps.len().max(1) as f64;
    group.wires.windows(2).all(|pair| matches!(pair, [a, b] if made(*a) == made(*b)))
        && group.amps.iter().all(|amps| (amps.get() - share).abs() <= EVEN * share)
}

fn remedy(model: &Model, group: &Parallel, name: &str) -> String {
    let total = Ampere::new(group.amps.iter().map(|amps| amps.get()).sum());
    let single = |wire: WireId| least_size_of(model, &model[wire], total, group.beside);
    match (group.trouble, single(group.over)) {
        (Trouble::Uneven, Some(_)) => {
            "make the wires alike in size and length, or fit one larger wire in place of them".to_owned()
        }
        (Trouble::Uneven, None) => "make the wires alike in size and length".to_owned(),
        (Trouble::Opened(_), Some(_)) => {
            format!("use a larger wire for `{name}` and those in parallel with it, or give each a fuse of its own")
        }
        (Trouble::Opened(_), None) => "give each wire a fuse of its own".to_owned(),
    }
}
