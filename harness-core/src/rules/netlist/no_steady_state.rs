//! In each mode the design settles: no relay and no converter keeps switching itself.
//!
//! Where a mode does not, nothing else is judged in that circuit and mode, so this rule reports for all the others.

use crate::{
    analysis::Analysis,
    electrical::{self, Charged, ModeState, Swing},
    evidence::{few_names, in_modes, round_of},
    facts::{Facts, rings::Ring},
    finding::{Finding, Level, Weighed},
    model::{Element, ElementId, ElementKind, ModeId, Model},
    network::{EdgeId, NetId},
    rules::{Rule, RulePage},
    wording::{count, list},
};
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/no-steady-state",
        level: Level::Error,
        since: "0.1.0",
        finds: "a mode in which a relay or converter keeps switching itself, so that what is joined to it is not judged",
        docs: include_str!("no_steady_state.md"),
    },
    check,
};

/// A circuit that does not settle, in the modes in which it is for one reason.
struct Restless<'a> {
    first: &'a ModeState,
    /// Its number in the first of the modes.
    circuit: u32,
    unsettled: Vec<EdgeId>,
    modes: Vec<ModeId>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let mut found: Vec<Restless<'_>> = Vec::new();
    let mut findings = Vec::new();
    for mode in analysis.electrical().modes() {
        if !mode.is_exact() {
            findings.extend(inexact(facts.model(), mode));
        }
        if !mode.at_rest {
            findings.extend(warming(facts.model(), mode));
        }
        let mut circuits: BTreeMap<u32, Vec<EdgeId>> = BTreeMap::new();
        for edge in &mode.unsettled {
            if let Some(circuit) = mode.circuit_adrift(analysis.network()[*edge].a) {
                circuits.entry(circuit).or_default().push(*edge);
            }
        }
        for (circuit, unsettled) in circuits {
            match found.iter_mut().find(|known| known.unsettled == unsettled) {
                Some(known) => known.modes.push(mode.id),
                None => found.push(Restless { first: mode, circuit, unsettled, modes: vec![mode.id] }),
            }
        }
    }
    // What is fed by a ring of sources that is shorted does not settle for that reason.
    let shorted: Vec<NetId> = facts.shorts().iter().flat_map(|short| short.nets(analysis.network())).collect();
    let is_shorted = |edge: &EdgeId| {
        let edge = &analysis.network()[*edge];
        [edge.a, edge.b].iter().all(|point| shorted.contains(&analysis.network().net(*point)))
    };
    found.retain(|restless| !restless.unsettled.iter().any(is_shorted));
    findings.extend(found.iter().filter_map(|restless| finding(facts, restless)));
    findings.extend(races(facts, analysis.electrical().modes()));
    findings.extend(analysis.electrical().restless_charges().iter().filter_map(|restless| charge(facts, restless)));
    findings
}

/// The elements of these edges by name, each once.
fn named(facts: &Facts, edges: impl Iterator<Item = EdgeId>) -> Vec<String> {
    let mut names: Vec<String> =
        edges.filter_map(|edge| facts.network()[edge].element()).map(|element| facts.model().element_name(element)).collect();
    names.sort_unstable();
    names.dedup();
    names
}

fn quoted(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    list(&quoted)
}

/// Modes that settle only if relays and converters do not all switch at once, by what switches.
fn races<'a>(facts: &Facts, modes: impl Iterator<Item = &'a ModeState>) -> Vec<Finding> {
    let model = facts.model();
    let mut found: BTreeMap<Vec<EdgeId>, Vec<ModeId>> = BTreeMap::new();
    for mode in modes {
        // What does not settle has a finding of its own, and so has a ring of converters.
        let in_ring = |edge: EdgeId| facts.network()[edge].element().is_some_and(|element| turns(facts, mode.id, element));
        let raced = mode.swings.iter().map(|swing| swing.edge);
        let raced = raced.filter(|edge| !mode.unsettled.contains(edge) && !in_ring(*edge));
        let raced: Vec<EdgeId> = raced.collect();
        if !raced.is_empty() {
            found.entry(raced).or_default().push(mode.id);
        }
    }
    let findings = found.iter().filter_map(|(edges, modes)| {
        let names = named(facts, edges.iter().copied());
        let place = edges.iter().find_map(|edge| facts.network()[*edge].element())?;
        let (what, verb) = if names.len() == 1 { ("switches", "it does") } else { ("switch", "they do") };
        let headline = format!(
            "{} {what} on and off again{} if all relays and converters switch at once; the mode settles only if {verb} not",
            quoted(&names),
            in_modes(model, modes)
        );
        let finding = RULE
            .finding(model[place].value_span, headline, [])
            .label("which of them switches first decides")
            .help("make sure of the order: switch one of them by the contact of another, or give it a delay")
            .figure("checked", "the one state in which all of them stay as they are");
        Some(names.into_iter().fold(finding, Finding::concerns))
    });
    findings.collect()
}

/// Whether the converter is in a ring of which each gives something in the mode.
fn turns(facts: &Facts, mode: ModeId, converter: ElementId) -> bool {
    facts.rings().iter().any(|ring| ring.turning.contains(&mode) && ring.converters.contains(&converter))
}

/// The ring of converters that is why these do not settle.
fn cause<'a>(facts: &'a Facts, mode: ModeId, switching: &[ElementId]) -> Option<&'a Ring> {
    let of = |ring: &&Ring| ring.restless.contains(&mode) && switching.iter().all(|element| ring.converters.contains(element));
    facts.rings().iter().find(of).filter(|_| !switching.is_empty())
}

/// A state of charge that does not settle, though the mode does at the open-circuit voltages that the design gives.
fn charge(facts: &Facts, restless: &electrical::Restless) -> Option<Finding> {
    let model = facts.model();
    let state = &restless.state;
    let batteries = named(facts, restless.batteries.iter().copied());
    let place = restless.batteries.iter().find_map(|edge| facts.network()[*edge].element())?;
    // What does not settle elsewhere is a matter of the mode.
    let circuit = |edge: EdgeId| state.circuit_adrift(facts.network()[edge].a);
    let theirs = |edge: &EdgeId| restless.batteries.iter().any(|battery| circuit(*battery) == circuit(*edge));
    let swinging = named(facts, state.swings.iter().map(|swing| swing.edge).filter(theirs));
    let unsettled = named(facts, state.unsettled.iter().copied().filter(theirs));
    let switching = if swinging.is_empty() { unsettled } else { swinging };
    let (word, unchecked) = match state.battery {
        Charged::Flat => ("flat", "conductors, contacts and fuses while it takes all that the charger gives"),
        Charged::Full | Charged::AsGiven => ("full", "what loads get while it takes nothing"),
    };
    let why = if switching.is_empty() {
        "currents and temperatures keep changing each other".to_owned()
    } else {
        format!("{} switch on and off again and again", quoted(&switching))
    };
    let why = if switching.len() == 1 { why.replace(" switch on", " switches on") } else { why };
    let headline = format!(
        "no steady state was found{} while {} {} {word}: {why}",
        in_modes(model, &[restless.mode]),
        quoted(&batteries),
        if batteries.len() == 1 { "is" } else { "are" }
    );
    let finding = RULE
        .finding(model[place].value_span, headline, [])
        .label("on charge in this mode")
        .help("feed what switches from a point that the charging of this battery does not pull down or lift")
        .figure("not checked", unchecked)
        .figure("checked", "the open-circuit voltage that the design gives");
    Some(batteries.into_iter().chain(switching).fold(finding, Finding::concerns))
}

fn finding(facts: &Facts, restless: &Restless<'_>) -> Option<Finding> {
    let (model, mode) = (facts.model(), restless.first);
    let element = |edge: &EdgeId| facts.network()[*edge].element();
    let mut swinging: Vec<(ElementId, Swing)> = mode
        .swings
        .iter()
        .filter(|swing| restless.unsettled.binary_search(&swing.edge).is_ok())
        .filter_map(|swing| Some((element(&swing.edge)?, *swing)))
        .collect();
    swinging.sort_by_cached_key(|(element, _)| model.element_name(*element));
    let mut names: Vec<String> = swinging.iter().map(|(element, _)| model.element_name(*element)).collect();
    if names.is_empty() {
        names = named(facts, restless.unsettled.iter().copied());
    }
    let place = swinging.first().map(|(element, _)| *element).or_else(|| restless.unsettled.iter().find_map(element))?;
    let at = &model[place];
    let modes = in_modes(model, &restless.modes);
    let switching: Vec<ElementId> = swinging.iter().map(|(element, _)| *element).collect();
    let ring = cause(facts, mode.id, &switching);
    let contested = named(facts, mode.contested.iter().copied().filter(|edge| is_of(facts, mode, restless.circuit, *edge)));
    let (headline, label, help) = match swinging.as_slice() {
        _ if ring.is_some() => ring.map(|ring| circle(model, ring, &modes)).unwrap_or_default(),
        _ if !contested.is_empty() => (
            format!(
                "more than one state of {} holds{modes}: which is reached depends on what switches first",
                quoted(&contested)
            ),
            "on in one of these states, off in another".to_owned(),
            "make sure of the order: switch one of them by the contact of another, or give it a delay".to_owned(),
        ),
        [(_, swing)] => one(at, &names.concat(), *swing, &modes),
        [] => (
            format!("no steady state was found{modes}: the search did not converge at {}", few_names(&names)),
            "its current could not be determined".to_owned(),
            "check the values of the elements named; report the design if they are right".to_owned(),
        ),
        _ => (
            format!("{} keep switching each other{modes}: no steady state was found", quoted(&names)),
            "switches what switches it".to_owned(),
            "break the circle: feed one of these coils from a point that none of their contacts switches".to_owned(),
        ),
    };
    let weighed = match swinging.as_slice() {
        _ if ring.is_some() || !contested.is_empty() => Vec::new(),
        [(_, swing)] => vec![Weighed::neither(swing.off), Weighed::smaller(swing.on)],
        _ => Vec::new(),
    };
    let mut finding = RULE.finding(at.value_span, headline, weighed).label(label).help(help);
    if let [(_, swing)] = swinging.as_slice() {
        finding = finding.figure("voltage while off", swing.off).figure("voltage while on", swing.on);
    }
    if let Some(feeder) = ring.and_then(|ring| ring.feeder) {
        finding = finding.figure("fed by", format!("`{}`", model.element_name(feeder)));
    }
    if ring.is_none() && restless.unsettled.iter().any(|edge| mode.unexplored.contains(edge)) {
        finding = finding.figure("search", "ended before every order of switching was tried");
    }
    let ring_names = ring.map_or(Vec::new(), |ring| ring.converters.iter().map(|one| model.element_name(*one)).collect());
    names.extend(ring_names.into_iter().chain(contested));
    names.sort_unstable();
    names.dedup();
    finding = finding.figure("not checked", unjudged(facts, mode, restless.circuit, &modes));
    Some(names.into_iter().fold(finding, Finding::concerns))
}

/// Whether the edge is in that circuit without a steady state.
fn is_of(facts: &Facts, mode: &ModeState, circuit: u32, edge: EdgeId) -> bool {
    mode.circuit_adrift(facts.network()[edge].a) == Some(circuit)
}

/// Headline, label and help for a ring of converters.
fn circle(model: &Model, ring: &Ring, modes: &str) -> (String, String, String) {
    let names: Vec<String> = ring.converters.iter().map(|one| model.element_name(*one)).collect();
    let headline = match names.as_slice() {
        [one] => format!("`{one}` feeds its own input{modes}, starts and stops: no steady state was found"),
        _ => format!("{} feed each other in a ring{modes}, start and stop: no steady state was found", quoted(&names)),
    };
    let help = match names.as_slice() {
        [_] => "feed it from a source that it does not feed",
        _ => "feed one of them from a source that none of them feeds, or let one of them run in other modes alone",
    };
    (headline, round_of(&names), help.to_owned())
}

/// Headline, label and help for a single relay or converter.
fn one(at: &Element, name: &str, swing: Swing, modes: &str) -> (String, String, String) {
    let Swing { off, on, .. } = swing;
    if let ElementKind::Converter { .. } = at.kind {
        return (
            format!(
                "converter `{name}` starts and stops again and again{modes}: while it runs, its input falls from {off} to {on}"
            ),
            "stops below half of its nominal input voltage".to_owned(),
            format!("feed `{name}` from a source that can deliver what it draws, or take loads off its output"),
        );
    }
    (
        format!("relay `{name}` chatters{modes}: it pulls in at {off}, and then {on} is left across its coil and it drops out"),
        "no steady state: it switches its own supply off and on".to_owned(),
        format!("feed the coil of `{name}` from a point that its own contact does not switch or pull down"),
    )
}

/// What got no verdict.
fn unjudged(facts: &Facts, mode: &ModeState, circuit: u32, modes: &str) -> String {
    let adrift = || facts.network().edges().filter(|(_, edge)| mode.circuit_adrift(edge.a) == Some(circuit));
    let conductors = adrift().filter(|(_, edge)| edge.wire().is_some()).count();
    let loads = adrift().filter(|(_, edge)| edge.role.draws()).count();
    format!(
        "current, temperature, voltage drop and supply of {} and {}{modes}",
        count(conductors, "conductor"),
        count(loads, "load")
    )
}

/// What lends its place to a fault of a whole mode: the first source, else the first converter.
fn driver(model: &Model) -> Option<&Element> {
    let first =
        |which: fn(&ElementKind) -> bool| model.elements().map(|(_, element)| element).find(|element| which(&element.kind));
    first(ElementKind::is_source).or_else(|| first(ElementKind::drives))
}

/// A mode in which currents and temperatures keep changing each other.
fn warming(model: &Model, mode: &ModeState) -> Option<Finding> {
    let name = model.mode_name(mode.id);
    let headline = format!("temperatures and voltage drops of mode `{name}` are not settled: each changes the other again");
    let finding = RULE
        .finding(driver(model)?.span, headline, [])
        .label("a source of this network")
        .help("look for conductors in parallel, or loads of constant power, that are overloaded")
        .concerns(name);
    Some(finding)
}

/// A mode whose network has resistances of too different a size for the arithmetic.
fn inexact(model: &Model, mode: &ModeState) -> Option<Finding> {
    let name = model.mode_name(mode.id);
    let headline =
        format!("nothing was checked in mode `{name}`: its currents are off by up to {:.0e} of the largest", mode.residual);
    let finding = RULE
        .finding(driver(model)?.span, headline, [Weighed::larger(format!("{:.0e}", mode.residual))])
        .label("a source of this network")
        .help("look for resistances in one loop that differ by a factor of 1,000,000,000")
        .concerns(name);
    Some(finding)
}
