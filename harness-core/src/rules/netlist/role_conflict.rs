//! The roles that meet on a net can live together.

use crate::{
    analysis::Analysis,
    evidence::{instruction, meeting, remedies},
    facts::{
        Facts,
        meetings::Meeting,
        pins::PinAt,
        pole_roles::{FedReturn, PoleRole},
        role_clashes::RoleClash,
        signals::MixedSignals,
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    vocabulary::Role,
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
    let facts = analysis.facts();
    let clashes = facts.meetings().iter().filter_map(|meeting| match meeting {
        Meeting::Roles(clash, mixed) => Some((clash, mixed)),
        Meeting::Signals(_) => None,
    });
    let poles = facts.pole_roles().iter().filter_map(|pole| at_pole(facts, pole));
    // What a reversed source feeds is fed the wrong way round by that source.
    let is_reversed = |fed: &FedReturn| {
        facts.reversed_sources().iter().any(|reversed| reversed.is_certain() && reversed.sources.contains(&fed.source))
    };
    let fed = facts.fed_returns().into_iter().filter(|fed| !is_reversed(fed)).filter_map(|fed| fed_return(facts, &fed));
    // Line and neutral that are swapped at a device clash at both: that is one fault, shown at the first.
    let is_second = |clash: &RoleClash| counterpart(facts, clash).is_some_and(|first| first.net < clash.net);
    let clashes = clashes.filter(|(clash, _)| !is_second(clash) && !of_swapped_earth(facts, clash));
    clashes.filter_map(|(clash, mixed)| finding(facts, clash, mixed)).chain(poles).chain(fed).collect()
}

/// Of line and neutral that meet: where the neutral and line of one of the two devices meet too, the two are swapped there.
fn counterpart<'f>(facts: &'f Facts, clash: &RoleClash) -> Option<&'f RoleClash> {
    let is_mains = |clash: &RoleClash| clash.one.role == Some(Role::Line) && clash.other.role == Some(Role::Neutral);
    let swaps = |other: &RoleClash| {
        let at_one_device = other.one.device == clash.other.device || other.other.device == clash.one.device;
        other.net != clash.net && is_mains(other) && at_one_device
    };
    // Between the same two devices before any other.
    let is_pair = |other: &RoleClash| other.one.device == clash.other.device && other.other.device == clash.one.device;
    let others =
        || facts.role_clashes().iter().filter(|other| is_mains(clash) && swaps(other) && !of_swapped_earth(facts, other));
    others().find(|other| is_pair(other)).or_else(|| others().next())
}

/// Whether a clash is one of wires that are swapped with a protective earth: that is the fault.
fn of_swapped_earth(facts: &Facts, clash: &RoleClash) -> bool {
    [clash.one, clash.other].iter().any(|pin| facts.is_of_swapped_earth(facts.pins().run(pin.point)))
}

/// A return that only the positive pole of a source reaches.
fn fed_return(facts: &Facts, fed: &FedReturn) -> Option<Finding> {
    let model = facts.model();
    let role = model[fed.pin.pin].role?;
    let (name, source) = (model.point_name(fed.pin.point), model.element_name(fed.source));
    Some(
        RULE.finding(role.span, format!("`{name}`, {}, is fed by the positive pole of `{source}`", role.value.word()), [])
            .label("a return by its role, and the supply reaches it")
            .context(model[fed.source].value_span, "the source")
            .help(format!("write `role: supply` at `{name}` if it is fed here; or lead its wire to the return"))
            .concerns(name)
            .concerns(source),
    )
}

fn finding(facts: &Facts, clash: &RoleClash, mixed: &MixedSignals) -> Option<Finding> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let (one, other) = (&clash.one, &clash.other);
    let misplaced = mixed.rewires.iter().find(|rewire| facts.network().net(rewire.from) == clash.net);
    // Of a run of wires the pin with a wire of its own is the place; at a bar or stud there may be many.
    let is_lone = |pin: &PinAt| {
        clash.run.is_some() && facts.network().around(pin.point).filter(|(_, edge, _)| edge.is_metal()).count() == 1
    };
    let own = |pin: &PinAt| ends.reaching(model, pin.point).filter(|at| is_lone(pin) && ends.wires(*at).len() == 1);
    let own = [one, other].into_iter().find_map(|pin| ends.wires(own(pin)?).first().copied());
    let wire = misplaced.and_then(|rewire| ends.wire_at(model, rewire.from)).or(own).or(ends.wire_at(model, other.point));
    let place = wire.map(|end| end.span).or(model[other.pin].role.map(|role| role.span))?;
    let (role, partner_role) = (one.role?.word(), other.role?.word());
    let (name, partner) = (model.point_name(one.point), model.point_name(other.point));
    let swapped = counterpart(facts, clash);
    let headline = if let Some(second) = swapped {
        format!(
            "line and neutral are swapped: `{name}` is joined to `{partner}`, and `{}` to `{}`",
            model.point_name(second.one.point),
            model.point_name(second.other.point)
        )
    } else if role == partner_role {
        format!("`{name}` and `{partner}` are joined, and both are {role}s")
    } else {
        format!("`{name}`, {role}, is joined to `{partner}`, {partner_role}")
    };
    // What a terminal of the mains is, its mark says: writing another role would only hide the fault.
    let is_marked = [one, other].iter().any(|pin| matches!(pin.role, Some(Role::Line | Role::Neutral | Role::Earth)));
    let help = match instruction(facts, &mixed.rewires) {
        Some(_) if is_marked => "lead each wire to a pin of its own role".to_owned(),
        Some(_) => "lead each wire to a pin of its own role; or correct the roles if the wiring is meant".to_owned(),
        None if swapped.is_some() => "swap the two wires at one of their ends".to_owned(),
        None if is_marked => {
            format!("disconnect `{name}` from `{partner}`, and lead the wires of each to the conductor of its own role")
        }
        None => format!("disconnect `{name}` from `{partner}`, or correct the role of one of them"),
    };
    let label = match swapped {
        Some(_) => "what opens the line behind it opens the neutral: what is off stays live",
        None => clash.exclusion.effect,
    };
    let finding = RULE.finding(place, headline, []).label(label).help(help).remedy(remedies::rewired(facts, &mixed.rewires));
    Some(meeting(facts, finding, &mixed.nets, one, other))
}

/// A pin at a pole of the source in its own device, with the role of the other pole.
fn at_pole(facts: &Facts, pole: &PoleRole) -> Option<Finding> {
    let model = facts.model();
    let role = model[pole.pin.pin].role?;
    let (name, source) = (model.point_name(pole.pin.point), model.element_name(pole.source));
    let (which, meant) = if pole.positive { ("positive", "supply") } else { ("negative", "return") };
    Some(
        RULE.finding(role.span, format!("`{name}`, {}, is the {which} pole of `{source}`", role.value.word()), [])
            .label("the role of the other pole")
            .context(model[pole.source].value_span, "the source")
            .help(format!("write `role: {meant}` at `{name}`; or swap the poles of `{source}` if they are the wrong way round"))
            .concerns(name)
            .concerns(source),
    )
}
