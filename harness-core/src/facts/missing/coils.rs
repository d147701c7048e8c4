//! Facts without which nobody can say whether a relay lets go, and what becomes of its coil's energy.

use super::MissingFact;
use crate::{
    electrical::{
        HeldBy,
        coils::{Across, Driver},
    },
    facts::{Facts, pins::OTHER},
    model::{ElementId, ElementKind},
    standards::{
        contact,
        precharge::{harmless_pulse, too_long, usual},
    },
};
use rustc_hash::FxHashSet;

/// Nominal voltage in V from which coils are sold for it; below are supplies of electronics.
const LEAST_OF_COILS: f64 = 6.0;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    second_states(facts)
        .into_iter()
        .chain(suppression(facts))
        .chain(made_for(facts))
        .chain(precharge_time(facts))
        .chain(precharge_energy(facts))
        .chain(undrawn_capacitors(facts))
        .collect()
}

/// Modes that charge a capacitor for longer than usual and don't say how long they last.
fn precharge_time(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let open = facts.precharges().iter().filter(|one| one.given(facts).is_none());
    let slow = open.filter_map(|one| Some((one, one.time.filter(|time| *time > usual().value && *time <= too_long().value)?)));
    let notes = slow.map(|(one, time)| {
        let (mode, resistor) = (model.mode_name(one.mode).to_owned(), model.element_name(one.resistor));
        let capacitor = model.element_name(one.capacitor);
        MissingFact::new(
            model[one.mode].span,
            format!("whether `{capacitor}` is charged before the main contact closes was not checked: `{resistor}` takes {time}, and `{mode}` gives no `lasts`"),
            "gives no time",
            format!("add `lasts` to the mode `{mode}`: the time after which the main contact closes"),
            mode,
        )
    });
    notes.collect()
}

/// Precharge resistors that say nothing of the energy that they take in one pulse, each with all that it charges.
fn precharge_energy(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let loaded = facts.precharge_loads();
    let unrated = loaded.iter().filter(|one| one.energy > harmless_pulse().value).filter(|one| match &model[one.resistor].kind {
        ElementKind::Resistor(resistor) => resistor.energy.is_none(),
        _ => false,
    });
    let notes = unrated.map(|one| {
        let resistor = model.element_name(one.resistor);
        MissingFact::new(
            model[one.resistor].value_span,
            format!(
                "whether `{resistor}` bears {} in one pulse, {} at first, was not checked: it gives no `energy`",
                one.energy, one.power
            ),
            "gives no energy of a pulse",
            format!("add `energy` to `{resistor}`, the energy of one pulse in its datasheet, such as `energy: {}`", one.energy),
            resistor,
        )
    });
    notes.collect()
}

/// Precharges of which nobody can say whether they are done in time, because no capacitor is drawn behind them.
fn undrawn_capacitors(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let notes = facts.undrawn_precharges().iter().map(|one| {
        let [resistor, main] = [one.resistor, one.main].map(|element| model.element_name(element));
        MissingFact::new(
            model[one.resistor].span,
            format!("whether `{resistor}` charges what is behind it before `{main}` closes was not checked: no capacitor is drawn there"),
            "what it charges is not drawn",
            "add the capacitors of the boxes behind it, such as `capacitor: 500 uF`".to_owned(),
            resistor,
        )
    });
    notes.collect()
}

/// Coils of which nothing says what voltage they are made for, where it may be another than the one that they get.
///
/// A `pull-in` bounds it: coils pull in at half of their voltage or more. Without one it is asked for where the design has several voltages,
/// so that a relay of the wrong one is in the workshop.
fn made_for(facts: &Facts) -> Vec<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let nominals = model.domains().map(|(_, domain)| domain).filter(|domain| !domain.is_class_b() && !domain.ac);
    let nominals: Vec<f64> = nominals.map(|domain| domain.nominal.get()).filter(|volts| *volts >= LEAST_OF_COILS).collect();
    let (least, most) = nominals.iter().fold((f64::INFINITY, 0.0), |(a, b), volts| (volts.min(a), volts.max(b)));
    let are_several = least < OTHER * most;
    let mut seen: FxHashSet<ElementId> = FxHashSet::default();
    let mut notes: Vec<MissingFact> = Vec::new();
    for mode in facts.electrical().modes() {
        for id in &mode.energised {
            let edge = &network[*id];
            let Some(relay) = edge.element() else { continue };
            let ElementKind::Relay { pull_in, resistance, coil_voltage: None, .. } = &model[relay].kind else { continue };
            let across = (mode.volts(edge.a) - mode.volts(edge.b)).abs();
            let is_open = pull_in.map_or(are_several, |pull_in| {
                let (sure, far) = (contact::coil_sure().value, contact::coil_most().value);
                resistance.is_none()
                    && across.get() > sure.get() * pull_in.value.get()
                    && across.get() <= far.get() * pull_in.value.get()
            });
            if !is_open || mode.is_shorted(edge.a) || !seen.insert(relay) {
                continue;
            }
            let name = model.element_name(relay);
            let why = pull_in.map_or_else(String::new, |pull_in| format!(" and pulls in at {}", pull_in.value));
            notes.push(MissingFact::new(
                model[relay].span,
                format!("whether the coil `{name}` is made for the {across} that it gets in `{}` was not checked: it gives no `coil-voltage`{why}", model.mode_name(mode.id)),
                "may be made for another voltage",
                format!("add `coil-voltage` to `{name}`, such as `coil-voltage: 24 V`, or its working range, `coil-voltage: 9 V .. 36 V`"),
                name,
            ));
        }
    }
    notes
}

/// Coils of which nobody says how they are suppressed, on drivers that do not clamp.
fn suppression(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let unsaid = facts.coils().iter().filter(|coil| {
        coil.own.is_none() && coil.across == Across::Nothing && matches!(coil.driver, Driver::Pin(_) | Driver::Contact(_))
    });
    let notes = unsaid.map(|coil| {
        let name = model.element_name(coil.element);
        MissingFact::new(
            model[coil.element].span,
            format!("whether something limits the voltage of the coil `{name}` was not checked: it gives no `suppression`"),
            "switched by what does not clamp",
            format!("add `suppression` to `{name}`, such as `suppression: diode`, or `suppression: none`"),
            name,
        )
    });
    notes.collect()
}

/// Relays that hold themselves, of which nobody says whether they are in; second states of rest that were not found.
fn second_states(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut findings = Vec::new();
    let mut seen: FxHashSet<ElementId> = FxHashSet::default();
    for held in facts.electrical().latched() {
        let mode = model.mode_name(held.state.id);
        for coil in &held.coils {
            let Some(relay) = facts.network()[coil.edge].element() else { continue };
            if (coil.by != HeldBy::Own && held.state.is_settled()) || !seen.insert(relay) {
                continue;
            }
            let (item, coil) = (&model[relay], relay);
            let name = model.element_name(coil);
            if !held.state.is_settled() {
                findings.push(MissingFact::new(
                    item.span,
                    format!(
                        "whether `{name}` stays energised in mode `{mode}` was not checked: the state after `{}` does not settle",
                        model.mode_name(held.after)
                    ),
                    "pulled in before the mode begins",
                    "look for a relay whose contact switches its own coil".to_owned(),
                    name,
                ));
            } else {
                findings.push(MissingFact::new(
                    item.span,
                    format!(
                        "currents in `{mode}` were computed with `{name}` released, though it holds itself once it is energised"
                    ),
                    "holds itself through its own contact",
                    format!("close what energises `{name}` in this mode too, such as with `closed-in`, if it is energised then"),
                    name,
                ));
            }
        }
    }
    findings
}
