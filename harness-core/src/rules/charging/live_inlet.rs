//! The contacts of a charging inlet are dead while nothing is plugged in: two contactors keep the DC pair from the pack. So are ports that nothing
//! mates, and the lead of a charger while it does not charge.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    facts::{
        Facts,
        inlets::ChargingInlet,
        live_leads::{BarePort, LiveLead},
    },
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
        finds: "contacts of a charging inlet, of a port that nothing mates or of a charger's lead that a battery reaches with no contactor between, or in a mode without charging",
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
    findings.extend(facts.bare_ports().iter().map(|bare| unmated(facts, bare)));
    findings.extend(facts.live_leads().iter().map(|lead| lead_of_charger(facts, lead)));
    findings
}

/// A port that nothing mates: whoever drives or parks has its contacts at hand.
fn unmated(facts: &Facts, bare: &BarePort) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let (pair, port) = (&bare.pair, model.port_name(bare.port));
    let name = model.point_name(pair.contact);
    let against = pair.other.map_or_else(|| "the chassis".to_owned(), |other| quoted(model.point_name(other)));
    let mut finding = RULE
        .finding(
            model[pair.contact].span,
            format!(
                "nothing mates `{port}`: its contact `{name}` has {} against {against}{}",
                pair.volts,
                in_modes(model, &bare.modes)
            ),
            [Weighed::larger(pair.volts)],
        )
        .label("can be touched, and is live")
        .figure("limit", class_a_limit(pair.is_ac));
    if let Some((source, start, path)) = &pair.from {
        let source = model.element_name(*source);
        let mut way = network.names(*start, path);
        way.insert(0, source.clone());
        finding = finding.path(way).concerns(source);
    }
    finding
        .help(format!(
            "put a contactor between `{port}` and the battery that is closed only while something is plugged in; where it is shut for good, write \
             `access: sealed` at the port; where the vehicle stays put then, `immobile: true` at the mode"
        ))
        .concerns(port)
        .concerns(name)
}

/// A charger that the contactors of its battery never separate. Its plug covers the contacts while it is in, and many light vehicles are built so: a
/// note, but where the control of a contactor is there without the contactor, or where the plug is said to open by hand.
fn lead_of_charger(facts: &Facts, lead: &LiveLead) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let (charger, plug) = (model.element_name(lead.charger), model.end_name(lead.plug));
    let contactor = model.element_name(lead.contactor);
    let volts = lead.volts;
    let level = if lead.is_stated || lead.control.is_some() { Level::Warning } else { Level::Note };
    let mut finding = RULE
        .finding(
            model[lead.charger].value_span,
            format!(
                "the lead of charger `{charger}` stays at the battery with every contactor open: {volts}{}, in which it does not charge",
                in_modes(model, &lead.modes)
            ),
            [Weighed::larger(volts)],
        )
        .at_level(level)
        .label("no contact is between it and the cells")
        .context(model[lead.contactor].value_span, "opens other leads of this battery, not this one")
        .path(network.names(lead.start, &lead.path));
    if let Some((control, pin)) = lead.control {
        let (control, pin) = (model.element_name(control), model.point_name(pin));
        finding = finding
            .figure(
                "control",
                format!("`{control}` closes only while it charges and leads to `{pin}`, behind which nothing is drawn"),
            )
            .concerns(control)
            .concerns(pin);
    }
    finding
        .figure("at hand", format!("the contacts of `{plug}`, once it is unmated"))
        .figure("limit", class_a_limit(false))
        .help(format!(
            "fit a contactor in the charging lead that is closed only while it charges, or feed it from behind `{contactor}`; where `{plug}` can be \
             reached with a tool alone, write `access: with tool` at the port that it mates"
        ))
        .concerns(charger)
        .concerns(plug)
        .concerns(contactor)
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
