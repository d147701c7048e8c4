//! The control pilot reaches one controller, with protective earth as return, and shows the station the levels of the standard.

use crate::{
    analysis::Analysis,
    evidence::inlets,
    facts::{
        Facts,
        pilot_circuits::{Level as Read, SignalCircuit},
    },
    finding::{Finding, Level, Weighed},
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::charging_inlet::{
        InletContact, PilotState, level_tolerance, nearest_level, pilot_state, station_voltage, vehicle_resistors,
    },
    wording::{list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/pilot",
        level: Level::Error,
        since: "0.1.0",
        finds: "a control pilot that reaches no controller or several, has no return to protective earth, or shows a wrong level",
        docs: include_str!("pilot.md"),
    },
    check,
};

/// Share of the station's voltage that may be lost with nothing drawn on it: what a volt meter takes.
const NO_LOAD: f64 = 0.005;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let circuits = facts.pilot_circuits().iter().filter(|circuit| circuit.contact == InletContact::Pilot);
    circuits
        .filter_map(|circuit| {
            inlets::unread(facts, |span, headline| RULE.finding(span, headline, []), circuit).or_else(|| level(facts, circuit))
        })
        .collect()
}

/// What is wrong with the level, the cause first: another voltage on the conductor, no diode, a wrong resistance.
fn level(facts: &Facts, circuit: &SignalCircuit) -> Option<Finding> {
    let tolerance = level_tolerance().value;
    let off = |volts: Option<Volt>| volts.is_some_and(|volts| volts.get().abs() > tolerance.get());
    if let Some(read) = circuit.levels.iter().find(|read| off(read.alone)) {
        return fed(facts, circuit, read);
    }
    let rest = -(station_voltage().value.get() - tolerance.get());
    if let Some(read) = circuit.levels.iter().find(|read| read.low.is_some_and(|low| low.get() > rest)) {
        return no_diode(facts, circuit, read);
    }
    wrong(facts, circuit)
}

fn names(facts: &Facts, circuit: &SignalCircuit) -> String {
    list(&circuit.drawn.iter().map(|element| quoted(facts.model().element_name(*element))).collect::<Vec<_>>())
}

/// A finding at the contact, with what is drawn beside it. Of its figures one is the level that is wrong, the first; the others are the standard's.
fn at(facts: &Facts, circuit: &SignalCircuit, headline: &str, worse: Weighed) -> Finding {
    let model = facts.model();
    let finding = circuit.drawn.iter().fold(
        RULE.finding(model[circuit.point].span, headline, [worse, Weighed::neither(headline)])
            .concerns(model.point_name(circuit.point)),
        |finding, element| finding.concerns(model.element_name(*element)),
    );
    match circuit.drawn.first() {
        Some(first) => {
            finding.context(model[*first].value_span, format!("between it and protective earth: {}", names(facts, circuit)))
        }
        None => finding,
    }
}

fn fed(facts: &Facts, circuit: &SignalCircuit, read: &Read) -> Option<Finding> {
    let model = facts.model();
    let name = model.point_name(circuit.point);
    let volts = read.alone?;
    let headline = format!("the control pilot `{name}` has {volts} without a station");
    Some(
        at(facts, circuit, &headline, Weighed::off(volts, volts > Volt::ZERO))
            .label(format!("fed by the vehicle in mode `{}`", model.mode_name(read.mode)))
            .help(format!("take what joins `{name}` to a supply off it: the station alone gives it a voltage")),
    )
}

fn no_diode(facts: &Facts, circuit: &SignalCircuit, read: &Read) -> Option<Finding> {
    let (low, name) = (read.low?, facts.model().point_name(circuit.point));
    // A diode that is turned round lets the negative half through alone.
    let is_turned = read.high.is_some_and(|high| pilot_state(high).value == Some(PilotState::A));
    let what = if is_turned { "the diode of the control pilot is turned round" } else { "the control pilot has no diode" };
    let (volts, expected) = (low, station_voltage().value);
    let headline = format!("{what}: `{name}` is at {volts} in the negative half, not at -{expected}");
    Some(
        at(facts, circuit, &headline, Weighed::larger(volts))
            .label("the station takes this for a fault and gives no voltage")
            .figure("negative half", format!("{volts}, computed with {} behind the station's resistance", expected))
            .help(format!(
                "fit a diode between `{name}` and the resistors, its anode at `{name}`{}",
                if is_turned { ": turn the one that is there" } else { "" }
            )),
    )
}

fn wrong(facts: &Facts, circuit: &SignalCircuit) -> Option<Finding> {
    let model = facts.model();
    let inlet = facts.inlets().get(circuit.inlet)?;
    let state = |read: &Read| read.high.and_then(|high| pilot_state(high).value);
    let name = model.point_name(circuit.point);
    let [always, asks, ventilation] = vehicle_resistors().value;
    let resistors = format!(
        "fit {always} from behind the diode to protective earth, and {asks} beside it while the vehicle asks for voltage"
    );
    // The worst is a level that has no meaning.
    let of_none = circuit.levels.iter().find(|read| read.high.is_some() && state(read).is_none());
    // A resistance that is too large shows no vehicle; one that a contact takes out altogether does so on purpose.
    let is_faint = |read: &&Read| {
        let least = station_voltage().value.get() * (1.0 - NO_LOAD);
        state(read) == Some(PilotState::A) && read.high.is_some_and(|high| high.get() < least)
    };
    let of_none = of_none.or_else(|| circuit.levels.iter().find(is_faint));
    let figure = |finding: Finding, read: &Read| {
        let level = read.high.map_or_else(|| "open".to_owned(), |high| high.to_string());
        finding
            .figure("level", format!("{level} in mode `{}`, computed", model.mode_name(read.mode)))
            .figure("levels of the standard", pilot_state(Volt::ZERO).source)
    };
    if let Some(read) = of_none {
        let high = read.high?;
        let meaning = if state(read).is_none() { "between the states" } else { "at which the station sees no vehicle" };
        let headline =
            format!("the control pilot `{name}` is at {high}, {meaning}: 9, 6 or 3 V, within {}", level_tolerance().value);
        let found = at(facts, circuit, &headline, Weighed::off(high, high > nearest_level(high).value));
        return Some(figure(found.label("the station takes this for a fault").help(resistors), read));
    }
    let in_charge = circuit.levels.iter().filter(|read| inlet.plugged.has(read.mode));
    if let Some(read) = in_charge.into_iter().find(|read| matches!(state(read), Some(PilotState::A | PilotState::B) | None)) {
        let level = read.high.map_or_else(|| "open".to_owned(), |high| format!("at {high}"));
        let state = state(read).map_or_else(String::new, |state| format!(", {}", state.name()));
        let headline = format!(
            "the control pilot `{name}` is {level}{state}, in mode `{}`: the station gives no voltage",
            model.mode_name(read.mode)
        );
        let help = format!("close {asks} beside the {always} of the control pilot in `{}`", model.mode_name(read.mode));
        // The further up, the less the station sees of the vehicle.
        let found = at(facts, circuit, &headline, Weighed::larger(&level));
        return Some(figure(found.label("does not ask for voltage").help(help), read));
    }
    let mut asking = circuit.levels.iter().filter(|read| state(read) == Some(PilotState::D));
    let has_rest = circuit.levels.iter().any(|read| matches!(state(read), Some(PilotState::B | PilotState::C)));
    let read = asking.next().filter(|_| !has_rest)?;
    let high = read.high?;
    let headline = format!("the control pilot `{name}` asks for ventilation all the time: {high}, state D");
    let mut finding = figure(at(facts, circuit, &headline, Weighed::smaller(high)), read)
        .label("most stations give no voltage in this state")
        .help(format!(
            "{resistors}; {ventilation} beside it is for batteries that give off gas, and only while they are charged"
        ));
    finding.stated = Level::Warning;
    Some(finding)
}
