//! The proximity contact reaches one controller, with protective earth as return; the coded resistor is in the plug and fits the cable.

use crate::{
    analysis::Analysis,
    evidence::inlets,
    facts::{
        Facts,
        inlets::ChargingInlet,
        pilot_circuits::{PlugResistor, SignalCircuit, resistors_to_earth},
    },
    finding::{Finding, Level, Weighed},
    model::{ModeId, PointId},
    quantity::{Ampere, Ohm, Volt},
    rules::{Rule, RulePage},
    standards::charging_inlet::{
        CableCode, InletContact, cable_codes, cable_of, code_tolerance, has_latch_switch, inlet_mark, latch_band, latch_levels,
        latch_resistors, levels_apart,
    },
    wording::any,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/proximity",
        level: Level::Error,
        since: "0.1.0",
        finds: "a proximity contact that reaches no controller or several, has no return, or has a resistor of the wrong place or value",
        docs: include_str!("proximity.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let mut findings = Vec::new();
    for circuit in facts.pilot_circuits().iter().filter(|circuit| circuit.contact == InletContact::Proximity) {
        let Some(inlet) = facts.inlets().get(circuit.inlet) else { continue };
        // Where the control pilot of the same controller has no return, it is one fault, and reported there.
        let is_known = |pilot: &SignalCircuit| {
            pilot.contact == InletContact::Pilot
                && !pilot.is_reported
                && pilot.inlet == circuit.inlet
                && pilot.other_return.is_some()
        };
        if circuit.other_return.is_some() && facts.pilot_circuits().iter().any(is_known) {
            continue;
        }
        if let Some(finding) = inlets::unread(facts, |span, headline| RULE.finding(span, headline, []), circuit) {
            findings.push(finding);
            continue;
        }
        let (vehicle, plug) = resistors_to_earth(facts, inlet, circuit.point);
        let misplaced = vehicle.iter().find_map(|resistor| misplaced(facts, inlet, circuit, *resistor));
        match misplaced {
            Some(finding) => findings.push(finding),
            None => findings.extend(levels(facts, inlet, circuit)),
        }
        findings.extend(plug_code(facts, inlet, circuit, &plug));
    }
    findings
}

fn has_latch(inlet: &ChargingInlet) -> bool {
    inlet.kind.is_some_and(|kind| has_latch_switch(kind.value))
}

/// A resistor of the plug in the vehicle: it reads as plugged in for good.
fn misplaced(facts: &Facts, inlet: &ChargingInlet, circuit: &SignalCircuit, resistor: PlugResistor) -> Option<Finding> {
    let model = facts.model();
    let near = |ohm: Ohm| (resistor.ohm.get() - ohm.get()).abs() <= code_tolerance().value.get() * ohm.get();
    let cable = cable_of(resistor.ohm).value;
    let stands_for = match cable {
        Some(cable) => format!("a cable for {}", cable.amps),
        None if has_latch(inlet) && latch_resistors().value.into_iter().any(near) => "a Type 1 plug".to_owned(),
        None => return None,
    };
    let (name, contact) = (model.element_name(resistor.element), model.point_name(circuit.point));
    let mark = inlet_mark();
    let amps = cable.map(|cable| Weighed::larger(cable.amps));
    let headline = format!(
        "`{name}` of {} is the resistor of {stands_for}, and is in the vehicle, from `{contact}` to protective earth",
        resistor.ohm
    );
    Some(
        // The smaller it is, the more the station believes that it may give.
        RULE.finding(model[resistor.element].value_span, &headline, [Weighed::smaller(resistor.ohm)].into_iter().chain(amps))
            .label("reads as plugged in for good")
            .figure("codes", cable_codes().source)
            .help(format!(
                "take `{name}` out: this resistor is in the plug of the cable (a Combined 2 inlet itself may have {})",
                mark.value
            ))
            .concerns(name)
            .concerns(contact),
    )
}

/// The resistor of the plug that is drawn: its value, and the current against what it permits.
fn plug_code(facts: &Facts, inlet: &ChargingInlet, circuit: &SignalCircuit, plug: &[PlugResistor]) -> Option<Finding> {
    let model = facts.model();
    // Two and more are a network, of which no single value decides.
    let [resistor] = plug else { return plug.is_empty().then(|| without_code(facts, inlet, circuit)).flatten() };
    let name = model.element_name(resistor.element);
    let contact = model.point_name(circuit.point);
    if has_latch(inlet) {
        let near = |ohm: &Ohm| (resistor.ohm.get() - ohm.get()).abs() <= latch_band().value.get() * ohm.get();
        let [latched, pressed] = latch_resistors().value;
        if [latched, pressed].iter().any(near) {
            return None;
        }
        let text = format!(
            "`{name}` of {} is not a resistor of a Type 1 plug: {latched} latched, {pressed} with the latch pressed",
            resistor.ohm
        );
        return Some(
            no_code(facts, resistor, &[latched, pressed], text, latch_resistors().source)
                .help(format!("draw `{name}` with {latched}"))
                .concerns(contact),
        );
    }
    let Some(cable) = cable_of(resistor.ohm).value else {
        let codes: Vec<String> = cable_codes().value.iter().map(|code| format!("{} for {}", code.ohm, code.amps)).collect();
        let text = format!("`{name}` of {} is not the code of a cable: {}", resistor.ohm, any(&codes));
        return Some(
            no_code(facts, resistor, &cable_codes().value.map(|code| code.ohm), text, cable_codes().source)
                .help(format!("draw `{name}` with the code of the cable"))
                .concerns(contact),
        );
    };
    overloaded(facts, inlet, resistor, cable)
}

/// A plug that is drawn at the contact, with no resistor to protective earth.
fn without_code(facts: &Facts, inlet: &ChargingInlet, circuit: &SignalCircuit) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let net = network.net(circuit.point);
    let mut drawn = inlet.station.iter().filter(|element| model[**element].kind.throw().is_none());
    let element = *drawn.find(|element| model[**element].points.iter().any(|point| network.net(*point) == net))?;
    let (name, contact) = (model.element_name(element), model.point_name(circuit.point));
    let (codes, source) = if has_latch(inlet) {
        let [latched, pressed] = latch_resistors().value;
        (format!("{latched} latched, {pressed} with the latch pressed"), latch_resistors().source)
    } else {
        let codes: Vec<String> = cable_codes().value.iter().map(|code| format!("{} for {}", code.ohm, code.amps)).collect();
        (any(&codes), cable_codes().source)
    };
    let headline = format!("the plug at `{contact}` has no resistor to protective earth: {codes}");
    Some(
        // All its figures are the standard's.
        RULE.finding(model[element].value_span, &headline, [Weighed::neither(&headline)])
            .label("drawn at the contact, and leads to no resistor")
            .context(model[circuit.point].span, "reads as if nothing were plugged in")
            .figure("codes", source)
            .help(format!("draw the resistor of the plug between `{name}` and protective earth"))
            .concerns(name)
            .concerns(contact),
    )
}

/// A resistor of the plug that has none of the published values; it is worse the further it is from the nearest.
fn no_code(facts: &Facts, resistor: &PlugResistor, codes: &[Ohm], text: String, source: impl std::fmt::Display) -> Finding {
    let model = facts.model();
    let off = |code: &Ohm| (resistor.ohm.get() / code.get()).ln().abs();
    let nearest = codes.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    let worse = Weighed::off(resistor.ohm, nearest.is_none_or(|code| resistor.ohm > *code));
    RULE.finding(model[resistor.element].value_span, &text, [worse, Weighed::neither(&text)])
        .label("no published value")
        .figure("codes", source)
        .concerns(model.element_name(resistor.element))
}

/// The vehicle takes more than the cable is coded for.
fn overloaded(facts: &Facts, inlet: &ChargingInlet, resistor: &PlugResistor, cable: CableCode) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let lines = inlet
        .contacts
        .iter()
        .filter(|(contact, _)| matches!(contact, InletContact::Line1 | InletContact::Line2 | InletContact::Line3));
    let through = |point: PointId, mode: ModeId| -> Ampere {
        let state = facts.electrical().in_mode(mode);
        let edges = network.around(point).filter(|(_, edge, _)| edge.role.is_place());
        edges.fold(Ampere::ZERO, |sum, (id, ..)| Ampere::new(sum.get() + state.map_or(0.0, |state| state.amps(id).get().abs())))
    };
    let modes = || facts.electrical().modes().map(|state| state.id).filter(|mode| inlet.plugged.has(*mode));
    let (point, mode, amps) = lines
        .flat_map(|(_, point)| modes().map(|mode| (*point, mode, through(*point, mode))))
        .max_by(|a, b| a.2.get().total_cmp(&b.2.get()))?;
    if amps <= cable.amps {
        return None;
    }
    let (name, contact) = (model.element_name(resistor.element), model.point_name(point));
    let excess = Ampere::new(amps.get() - cable.amps.get());
    Some(
        RULE.finding(
            model[resistor.element].value_span,
            format!("the vehicle takes {amps} through `{contact}`, {excess} more than the cable coded by `{name}` carries"),
            [Weighed::larger(amps), Weighed::larger(excess)],
        )
        .label(format!("{} codes {}", resistor.ohm, cable.amps))
        .context(model[point].span, format!("{amps} in mode `{}`", model.mode_name(mode)))
        .figure("codes", cable_codes().source)
        .help(format!("limit the charger to {}, or draw the cable with which it is charged", cable.amps))
        .concerns(name)
        .concerns(contact),
    )
}

/// What the controller reads: nothing that pulls the contact up, levels that are too close to each other, or not those of Type 1.
fn levels(facts: &Facts, inlet: &ChargingInlet, circuit: &SignalCircuit) -> Option<Finding> {
    let model = facts.model();
    let read = circuit.levels.iter().find(|level| !level.plugged.is_empty())?;
    let name = model.point_name(circuit.point);
    let first = *circuit.drawn.first()?;
    let alone = read.alone.unwrap_or(Volt::ZERO);
    let apart = levels_apart();
    let mut all: Vec<(String, Volt)> = vec![("nothing plugged in".to_owned(), alone)];
    all.extend(read.plugged.iter().map(|(ohm, volts)| (ohm.to_string(), *volts)));
    all.sort_by(|a, b| a.1.get().total_cmp(&b.1.get()));
    let shown: Vec<String> = all.iter().map(|(what, volts)| format!("{volts} with {what}")).collect();
    let alike = all.windows(2).find(|pair| matches!(pair, [one, other] if (other.1 - one.1).get() < apart.value.get()));
    if let Some([one, other]) = alike {
        let between = format!("with {} and with {}", one.0, other.0);
        let headline = format!("`{name}` reads alike {between}: {} and {}", one.1, other.1);
        return Some(
            // The closer they are, the worse.
            RULE.finding(
                model[first].value_span,
                &headline,
                [Weighed::neither(between), Weighed::larger(one.1), Weighed::smaller(other.1)],
            )
            .label("what is drawn at the proximity contact")
            .context(model[circuit.point].span, "the contact")
            .figure("levels", crate::wording::commas(&shown))
            .figure("limit", apart)
            .help(format!(
                "pull `{name}` up in its controller by a resistor of the size of the codes, such as 330 ohm to 1 kohm to 5 V"
            ))
            .concerns(name),
        );
    }
    if !has_latch(inlet) {
        return None;
    }
    let [idle, pressed, latched] = latch_levels().value;
    let of = |ohm: Ohm| read.plugged.iter().find(|(known, _)| *known == ohm).map(|(_, volts)| *volts);
    let [latched_ohm, pressed_ohm] = latch_resistors().value;
    let pairs = [(Some(alone), idle), (of(pressed_ohm), pressed), (of(latched_ohm), latched)];
    let (volts, published) = pairs
        .into_iter()
        .filter_map(|(volts, published)| Some((volts?, published)))
        .find(|(volts, published)| (*volts - *published).get().abs() > latch_band().value.get() * published.get())?;
    let headline = format!("`{name}` is at {volts} where a Type 1 inlet has {published}");
    let mut finding = RULE
        .finding(model[first].value_span, &headline, [Weighed::off(volts, volts > published), Weighed::neither(published)])
        .label("what is drawn at the proximity contact")
        .context(model[circuit.point].span, "the contact")
        .figure("levels", crate::wording::commas(&shown))
        .figure("published", latch_levels().source)
        .help("pull the contact up by 330 ohm to 5 V, with 2.7 kohm to protective earth, unless the thresholds of the controller are made for what is drawn")
        .concerns(name);
    finding.stated = Level::Warning;
    Some(finding)
}
