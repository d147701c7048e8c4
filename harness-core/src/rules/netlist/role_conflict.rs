//! The roles that meet on a net can live together.

use super::{
    meeting::{Meetings, told},
    names::Mixed,
    roles::Conflict,
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/role-conflict",
        level: Level::Error,
        since: "0.1.0",
        finds: "roles that cannot share a net: supply with return, two outputs, CAN high with CAN low",
        docs: include_str!("role_conflict.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.shared(told).roles.clone()
}

pub(super) fn findings(analysis: &Analysis, meetings: &Meetings<'_>) -> Vec<Finding> {
    meetings.roles.iter().filter_map(|(conflict, mixed)| finding(analysis, meetings, conflict, mixed)).collect()
}

fn finding(analysis: &Analysis, meetings: &Meetings<'_>, conflict: &Conflict, mixed: &Mixed) -> Option<Finding> {
    let model = analysis.model();
    let of = meetings.pins.of(conflict.net);
    let (one, other) = (of.get(conflict.one)?, of.get(conflict.other)?);
    let moved = mixed.moves.iter().find(|a_move| analysis.network().net(a_move.from) == conflict.net);
    let place = moved.and_then(|a_move| meetings.wire_at(a_move.from)).or(meetings.wire_at(other.point));
    let place = place.map(|end| end.span).or(other.pin.role.map(|role| role.span))?;
    let (role, clash) = (one.role()?.word(), other.role()?.word());
    let (name, partner) = (model.point_name(one.point), model.point_name(other.point));
    let headline = if role == clash {
        format!("`{name}` and `{partner}` are joined, and both are {role}s")
    } else {
        format!("`{name}`, {role}, is joined to `{partner}`, {clash}")
    };
    let help = match meetings.instruction(analysis, &mixed.moves) {
        Some(instruction) => format!("{instruction}; or correct the roles if the wiring is meant"),
        None => format!("part `{name}` from `{partner}`, or correct the role of one of them"),
    };
    let finding = RULE.finding(place, headline).label(conflict.clash.effect).help(help);
    Some(meetings.evidence(analysis, finding, &mixed.nets, (one, other)))
}
