//! The contacts of a charging inlet are dead while nothing is plugged in: two contactors keep the DC pair from the pack.

use crate::{
    analysis::Analysis,
    facts::{Facts, inlets::ChargingInlet},
    finding::{Finding, Level, Weighed},
    model::PointId,
    network::{Edge, EdgeRole},
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::{charging_inlet::InletContact, voltage::class_a_limit},
    wording::{list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/live-inlet",
        level: Level::Danger,
        since: "0.1.0",
        finds: "contacts of a charging inlet that a battery reaches with no contactor between, or in a mode without charging",
        docs: include_str!("live_inlet.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let mut findings = Vec::new();
    for inlet in facts.inlets() {
        let bare = without_contactor(facts, inlet);
        match bare {
            Some(finding) => findings.push(finding),
            None => findings.extend(closed(facts, inlet)),
        }
        findings.extend(live(facts, inlet));
    }
    findings
}

fn direct(inlet: &ChargingInlet) -> impl Iterator<Item = PointId> + '_ {
    [InletContact::Plus, InletContact::Minus].into_iter().filter_map(|contact| inlet.contact(contact))
}

/// Whether a contactor opens an edge: a disconnect is pulled by hand, and a contact that rests closed opens nothing at rest.
fn opens(edge: &Edge) -> bool {
    matches!(edge.role, EdgeRole::Switch { .. } | EdgeRole::MakeContact)
}

/// The pole of a battery: not one of what is drawn of the station.
fn is_battery(facts: &Facts, inlet: &ChargingInlet, point: PointId) -> bool {
    facts.network().around(point).any(|(_, edge, _)| {
        let element = edge.element();
        edge.role.takes_charge() && element.is_none_or(|element| !is_station(facts, inlet, element))
    })
}

fn is_station(facts: &Facts, inlet: &ChargingInlet, element: crate::model::ElementId) -> bool {
    let model = facts.model();
    let modes = model[element].kind.modes();
    let for_a_while = modes.is_some_and(|modes| facts.electrical().modes().any(|state| !modes.has(state.id)));
    model[element].owner == crate::model::Owner::Device(inlet.device) || for_a_while
}

/// DC contacts that reach a battery over metal, fuses and disconnects.
fn without_contactor(facts: &Facts, inlet: &ChargingInlet) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let reaches = |point: &PointId| {
        network.path(*point, |at| is_battery(facts, inlet, at), |_, edge| edge.role.conducts_when_closed() && !opens(edge))
    };
    let found: Vec<(PointId, Vec<crate::network::Step>)> =
        direct(inlet).filter_map(|point| Some((point, reaches(&point)?))).collect();
    let (first, way) = found.first()?;
    let names: Vec<String> = found.iter().map(|(point, _)| quoted(model.point_name(*point))).collect();
    let name = model.point_name(*first);
    let headline = if found.len() > 1 {
        format!("no contactor is between the battery and {} of the inlet", list(&names))
    } else {
        format!("no contactor is between the battery and `{name}` of the inlet: one pole alone is opened")
    };
    let finding = RULE
        .finding(model[*first].span, headline, [])
        .label("a contact that can be touched is at the battery for good")
        .path(network.names(*first, way))
        .help("fit a contactor in each of the two DC conductors of the inlet, closed only while it charges");
    Some(found.iter().fold(finding, |finding, (point, _)| finding.concerns(model.point_name(*point))))
}

/// DC contacts that closed contactors join to a battery in a mode without charging.
fn closed(facts: &Facts, inlet: &ChargingInlet) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    for state in facts.electrical().modes_as_written() {
        if inlet.charges_in(model, state.id) {
            continue;
        }
        for point in direct(inlet) {
            let way = network.path(
                point,
                |at| is_battery(facts, inlet, at),
                |id, edge| edge.role.conducts_when_closed() && state.conducts(id),
            );
            let Some(way) = way else { continue };
            let Some(contactor) = way.iter().find_map(|step| network[step.edge].element().filter(|_| opens(&network[step.edge])))
            else {
                continue;
            };
            let (name, contactor_name, mode) =
                (model.point_name(point), model.element_name(contactor), model.mode_name(state.id));
            return Some(
                RULE.finding(
                    model[point].span,
                    format!("`{name}` of the inlet is joined to the battery in mode `{mode}`, in which it does not charge"),
                    [],
                )
                .label("can be touched, and is live")
                .context(model[contactor].value_span, format!("closed in `{mode}`"))
                .path(network.names(point, &way))
                .help(format!(
                    "open `{contactor_name}` in `{mode}`; if the vehicle is charged then, state `immobile: true` there"
                ))
                .concerns(name)
                .concerns(contactor_name)
                .concerns(mode),
            );
        }
    }
    None
}

/// AC contacts with a voltage between them in a mode without charging: an inverter that feeds back.
fn live(facts: &Facts, inlet: &ChargingInlet) -> Option<Finding> {
    let model = facts.model();
    let of = |wanted: fn(InletContact) -> bool| {
        inlet.contacts.iter().filter(move |(contact, _)| wanted(*contact)).map(|(_, point)| *point)
    };
    let lines: Vec<PointId> =
        of(|contact| matches!(contact, InletContact::Line1 | InletContact::Line2 | InletContact::Line3)).collect();
    let others: Vec<PointId> =
        of(|contact| matches!(contact, InletContact::Neutral | InletContact::Earth)).chain(lines.clone()).collect();
    let limit = class_a_limit(true);
    let modes = facts.electrical().modes_as_written().into_iter().filter(|state| !inlet.charges_in(model, state.id));
    let (volts, point, mode) = modes
        .flat_map(|state| {
            let pairs = lines.iter().flat_map(|line| others.iter().map(move |other| (*line, *other)));
            pairs.map(move |(line, other)| ((state.volts(line) - state.volts(other)).abs(), line, state.id)).collect::<Vec<_>>()
        })
        .max_by(|a: &(Volt, PointId, _), b| a.0.get().total_cmp(&b.0.get()))?;
    if volts <= limit.value {
        return None;
    }
    let (name, mode) = (model.point_name(point), model.mode_name(mode));
    Some(
        RULE.finding(
            model[point].span,
            format!("`{name}` of the inlet has {volts} in mode `{mode}`, in which it does not charge"),
            [Weighed::larger(volts)],
        )
        .label("can be touched, and is live")
        .figure("limit", limit)
        .help(format!("open both poles between `{name}` and what feeds it in `{mode}`"))
        .concerns(name)
        .concerns(mode),
    )
}
