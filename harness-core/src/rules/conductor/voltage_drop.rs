//! A load gets the voltage that it needs, and a battery the one that fills it.

use crate::{
    analysis::Analysis,
    electrical::{
        ModeState,
        conductors::{
            drop::{Authority, Drop, Fed},
            upsize::{self, Cost, Remedy, RoundTrip, round_trip},
        },
        current_path::Direction,
    },
    evidence::{Loser, larger_wires, loser, remedies, too_small},
    finding::{Finding, Level, Weighed},
    model::{ElementKind, WireId},
    quantity::{Ratio, SquareMillimetre, Volt},
    rules::{Rule, RulePage},
    wording::{commas, quoted},
};
use std::collections::BTreeSet;

/// Excess that is rounding, as a share of the limit.
const ROUNDING: f64 = 1e-9;
/// Things that a finding names as those that lose most.
const MOST: usize = 3;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/voltage-drop",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a larger voltage drop between a source and a load, or a battery on charge, than its kind allows",
        docs: include_str!("voltage_drop.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let network = analysis.network();
    let mut over: Vec<&Drop> =
        analysis.electrical().drops().iter().filter(|drop| drop.excess() > drop.most() * ROUNDING).collect();
    let state = |drop: &Drop| (drop.mode, drop.fed == Fed::Battery);
    over.sort_by_key(|drop| state(drop));
    let mut findings = Vec::new();
    for group in over.chunk_by(|a, b| state(a) == state(b)) {
        let Some(first) = group.first() else { continue };
        let Some(mode) = analysis.electrical().state_of(first) else { continue };
        let feeds = first.fed.path(network, mode, Direction::Feed);
        let backs = first.fed.path(network, mode, Direction::Return);
        // The modules of one pack are charged over one line.
        let mut lines = BTreeSet::new();
        for drop in group {
            if drop.fed == Fed::Battery && !lines.insert((drop.feed.source, drop.feed.worst.map(|(edge, _)| edge))) {
                continue;
            }
            let way = round_trip(network, &feeds, &backs, drop);
            findings.push(finding(analysis, drop, mode, &way));
        }
    }
    findings
}

fn finding(analysis: &Analysis, drop: &Drop, mode: &ModeState, way: &RoundTrip) -> Finding {
    let model = analysis.model();
    let element = &model[drop.element];
    let (name, mode_name) = (model.element_name(drop.element), model.mode_name(mode.id));
    let (volts, most) = (rounded_up(drop.volts()), drop.most());
    let share = |volts: Volt| Ratio::new((volts.get() / drop.nominal.get() * 1e3).round() / 1e3);
    let headline = match drop.fed {
        Fed::Load => {
            let what = kind_of(&element.kind);
            format!(
                "{what} `{name}` loses {volts}, {} of {}, in its wiring in mode `{mode_name}`; the limit is {most}",
                share(volts),
                drop.nominal
            )
        }
        Fed::Battery => {
            format!("the line that charges `{name}` loses {volts} in mode `{mode_name}`; the limit is {most}")
        }
    };
    let dearest = way.conductors.first();
    // What is not a wire and loses more than any wire.
    let other = way.others.first().filter(|(_, volts)| dearest.is_none_or(|cost| *volts > cost.volts));
    let other = other.map(|(edge, volts)| loser(analysis.facts(), *edge, *volts));
    let of_wire = dearest.and_then(|cost| model[cost.wire].size).map(|size| size.span);
    let span = other.as_ref().map(|other| other.at).or(of_wire).unwrap_or(element.value_span);
    let weighed = [Weighed::larger(volts), Weighed::larger(share(volts)), Weighed::neither(drop.nominal), Weighed::smaller(most)];
    let mut finding = RULE.finding(span, headline, weighed).concerns(name);
    if let Some(other) = &other {
        finding = finding
            .label(format!("{} loses most: {}{}", other.name, milli(other.volts), other.rated))
            .context(element.value_span, "what is fed");
    } else if let Some(cost) = dearest {
        let wire = model.wire_name(cost.wire);
        let length = model[cost.wire].length;
        let length = length.map_or(String::new(), |length| format!("; {} of {}", length.value, cost.size));
        finding = finding
            .label(format!("`{wire}` loses most: {}{length}", milli(cost.volts)))
            .context(element.value_span, "what is fed");
    }
    let path = path(analysis, drop, way);
    finding = finding
        .figure("loses most", dearest_of_all(analysis, way))
        .path(path)
        .figure("lost", format!("{} in the feed, {} in the return, computed", milli(drop.feed.volts), milli(drop.back.volts)));
    finding = match drop.limit.1 {
        Authority::Policy(place) => {
            finding.context(place, "the policy's limit").figure("limit", format!("{} (policy)", drop.limit.0))
        }
        Authority::Table(source) => finding.figure("limit", format!("{}; {source}", drop.limit.0)),
    };
    let (help, sizes) = remedy(analysis, drop, &way.conductors, other.as_ref());
    finding.help(help).remedy(remedies::sized(analysis.facts(), &sizes))
}

/// The three that lose most, wires and all else, each with its volts.
fn dearest_of_all(analysis: &Analysis, way: &RoundTrip) -> String {
    let model = analysis.model();
    let wires = way.conductors.iter().take(MOST).map(|cost| (cost.volts, format!("wire {}", quoted(model.wire_name(cost.wire)))));
    let others = way.others.iter().take(MOST).map(|(edge, volts)| (*volts, loser(analysis.facts(), *edge, *volts).name));
    let mut all: Vec<(Volt, String)> = wires.chain(others).collect();
    all.sort_by(|a, b| b.0.total_cmp(a.0));
    all.truncate(MOST);
    commas(&all.into_iter().map(|(volts, name)| format!("{name} {}", milli(volts))).collect::<Vec<_>>())
}

/// Volts to a hundredth, upwards, so that no excess reads as none.
fn rounded_up(volts: Volt) -> Volt {
    Volt::new((volts.get() * 100.0).ceil() / 100.0)
}

/// Volts to a thousandth.
fn milli(volts: Volt) -> Volt {
    Volt::new((volts.get() * 1e3).round() / 1e3)
}

fn kind_of(kind: &ElementKind) -> &'static str {
    match kind {
        ElementKind::Load { kind: Some(kind), .. } => kind.word(),
        ElementKind::Load { kind: None, .. }
        | ElementKind::Relay { .. }
        | ElementKind::Converter { .. }
        | ElementKind::Source { .. }
        | ElementKind::Resistor(_)
        | ElementKind::Capacitor(_)
        | ElementKind::Diode(_)
        | ElementKind::Fuse { .. }
        | ElementKind::Switch { .. }
        | ElementKind::Disconnect { .. }
        | ElementKind::Link { .. }
        | ElementKind::Interlock { .. } => "load",
    }
}

/// The points and conductors from the source over the load back to the source.
fn path(analysis: &Analysis, drop: &Drop, way: &RoundTrip) -> Vec<String> {
    let (model, network) = (analysis.model(), analysis.network());
    let mut path = network.names(drop.points.0, &way.feed);
    path.reverse();
    path.push(model.element_name(drop.element));
    path.extend(network.names(drop.points.1, &way.back));
    path
}

/// What to do in general, and the sizes that would do it. `other` is what loses more than any wire.
fn remedy(
    analysis: &Analysis,
    drop: &Drop,
    conductors: &[Cost],
    other: Option<&Loser>,
) -> (String, Vec<(WireId, SquareMillimetre)>) {
    let model = analysis.model();
    let nearer = "shorten the run";
    match upsize::remedy(model, drop, conductors) {
        Remedy::Sizes(sizes) => {
            let small = too_small(analysis.facts(), &sizes);
            let wires: Vec<WireId> = sizes.iter().map(|(wire, _)| *wire).collect();
            let help = match (wires.as_slice(), other) {
                ([], Some(other)) => format!("{}; or {nearer}", other.help),
                ([], None) => nearer.to_owned(),
                (many, Some(other)) => format!("{}; or {}, or {nearer}{small}", other.help, larger_wires(model, many)),
                (many, None) => format!("{}, or {nearer}{small}", larger_wires(model, many)),
            };
            (help, sizes)
        }
        Remedy::Nothing(left) => {
            let left = rounded_up(left);
            let first = other.map_or_else(String::new, |other| format!("{}; ", other.help));
            (format!("{first}no wire size alone is enough: {left} are lost with the largest; {nearer}"), Vec::new())
        }
    }
}
