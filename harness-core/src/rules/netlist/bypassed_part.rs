//! No element has both its points on one conductor.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    evidence::in_modes,
    facts::{Facts, bridged::Bridged, live_past::LivePast, relay_loads::ALIVE, supply_cuts::Lost, switched_loads::SwitchedLoads},
    finding::{Finding, Level, Weighed},
    model::{ElementId, ModeId, PointId},
    network::{Edge, EdgeId, EdgeRole, NetId, Step},
    quantity::{Volt, Watt},
    rules::{Rule, RulePage},
    wording::{agree, and_more},
};
use rustc_hash::FxHashSet;
use std::cell::LazyCell;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/bypassed-part",
        level: Level::Error,
        since: "0.1.0",
        finds: "a fuse, switch, contact, coil or other part with both its points on one conductor",
        docs: include_str!("bypassed_part.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, network) = (analysis.facts(), analysis.network());
    // A load without voltage, and a source that is shorted, have rules of their own.
    let bridged = facts.supply_cuts().iter().filter(|cut| cut.lost == Lost::Bridged).flat_map(|cut| cut.loads.iter().copied());
    // So has the bridge of an interlock loop that opens nothing.
    let in_loop = facts.loops().bypasses.iter().flat_map(|bypass| bypass.bridges.iter().copied());
    let bridges = facts.bypassed_interlocks().iter().filter_map(|bypassed| bypassed.bridge).chain(in_loop);
    let mut seen: FxHashSet<ElementId> = bridged.chain(facts.shorts().iter().map(|short| short.source)).chain(bridges).collect();
    // Most designs have no bridged switch.
    let switched = LazyCell::new(|| SwitchedLoads::new(facts));
    let shorted: FxHashSet<NetId> = facts.shorts().iter().flat_map(|short| short.nets(network)).collect();
    let found = network.edges().filter_map(|(id, edge)| {
        let element = edge.element().filter(|_| !edge.is_metal() && network.net(edge.a) == network.net(edge.b))?;
        // What is in a short of a source is bridged by it.
        if edge.a != edge.b && shorted.contains(&network.net(edge.a)) {
            return None;
        }
        let (what, effect) = kind(edge)?;
        seen.insert(element).then(|| {
            let behind = if edge.role.is_switched() { behind(facts, &switched, id) } else { Behind::default() };
            finding(facts, element, edge, (what, effect), &behind)
        })
    });
    let mut found: Vec<Finding> = found.collect();
    found.extend(facts.bridged().iter().filter_map(|one| {
        let element = network[one.contact].element()?;
        let (what, _) = kind(&network[one.contact])?;
        seen.insert(element).then(|| bridged_contact(facts, element, what, one, &behind(facts, &switched, one.contact)))
    }));
    found.extend(facts.live_past().iter().map(|one| resistor_across(facts, one)));
    found
}

/// A contact of class B with a resistor across it for good.
fn resistor_across(facts: &Facts, one: &LivePast) -> Finding {
    let model = facts.model();
    let [contact, resistor] = [one.contact, one.resistor].map(|element| model.element_name(element));
    if let Some((start, way)) = &one.past_fuse {
        return past_fuse(facts, one, (*start, way), [contact, resistor]);
    }
    RULE.finding(
        model[one.resistor].value_span,
        format!(
            "`{resistor}` of {} is across `{contact}` for good: what is behind it stays live with `{contact}` open",
            one.ohms
        ),
        [Weighed::smaller(one.ohms)],
    )
    .label("no contact in series with it")
    .context(model[one.contact].value_span, "opens in vain")
    .help(format!("put `{resistor}` behind a contact of its own, which opens with `{contact}`"))
    .concerns(contact)
    .concerns(resistor)
}

/// A precharge path that begins before the fuse of what it charges.
fn past_fuse(facts: &Facts, one: &LivePast, (start, way): (PointId, &[Step]), [fuse, resistor]: [String; 2]) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let volts = facts.electrical().domains().of(start).map(|domain| model[domain].max);
    let mut finding = RULE
        .finding(
            model[one.resistor].value_span,
            format!("with fuse `{fuse}` blown what is behind it stays joined to the cells through `{resistor}` of {}", one.ohms),
            [Weighed::smaller(one.ohms)],
        )
        .at_level(Level::Warning)
        .label("leads past the fuse")
        .context(model[one.contact].value_span, "opens in vain while that path is closed")
        .path(network.names(start, way))
        .concerns(&fuse)
        .concerns(&resistor);
    if let Some(volts) = volts {
        let (amps, watts) = (volts / one.ohms, volts.get() * volts.get() / one.ohms.get());
        let into = format!("{amps} and {} in `{resistor}`, until its contact opens", Watt::new(watts));
        finding = finding.figure("into a short behind it", into);
    }
    let by = way.iter().find(|step| network[step.edge].role.cuts_coils()).and_then(|step| network[step.edge].element());
    let from = by.map_or_else(|| resistor.clone(), |by| model.element_name(by));
    finding.help(format!("feed `{from}` from behind `{fuse}`, so that the fuse cuts off all that it protects")).concerns(from)
}

/// A contact that another one, closed in every mode, bridges.
fn bridged_contact(facts: &Facts, element: ElementId, what: &str, one: &Bridged, behind: &Behind) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let on_the_way = one.steps.iter().filter_map(|step| Some((network[step.edge].role, network[step.edge].element()?)));
    let on_the_way: Vec<_> = on_the_way.filter(|(role, _)| !role.is_metal()).collect();
    let first = on_the_way.iter().find(|(role, _)| role.is_switched()).or(on_the_way.first());
    let by = first.map_or(element, |(_, by)| *by);
    let (name, by_name) = (model.element_name(element), model.element_name(by));
    let goes_on = goes_on(facts, behind);
    let headline = format!("{what} `{name}` switches nothing: `{by_name}` bridges it in every mode{goes_on}");
    let finding = RULE
        .finding(model[element].value_span, headline, [])
        .label("opens in some mode, but the current flows around it")
        .context(model[by].value_span, "closed in every mode")
        .path(network.names(network[one.contact].a, &one.steps))
        .help(format!("open or take out `{by_name}`, or state the modes in which it is closed"))
        .concerns(name)
        .concerns(by_name);
    with_what_goes_on(facts, finding, behind)
}

/// What the part is, and what it no longer does; `None` for sources, of which a short is a fault of its own.
fn kind(edge: &Edge) -> Option<(&'static str, &'static str)> {
    Some(match edge.role {
        EdgeRole::Fuse => ("fuse", "protects nothing"),
        EdgeRole::Switch { .. } => ("switch", "switches nothing"),
        EdgeRole::Disconnect => ("disconnect", "disconnects nothing"),
        EdgeRole::Interlock => ("interlock bridge", "opens nothing"),
        EdgeRole::MakeContact | EdgeRole::BreakContact => ("contact of relay", "switches nothing"),
        EdgeRole::Coil => ("coil of relay", "never pulls in"),
        EdgeRole::ConverterInput => ("input of converter", "gets no voltage"),
        EdgeRole::ConverterOutput { .. } => ("output of converter", "is shorted"),
        EdgeRole::Load => ("load", "gets no voltage"),
        EdgeRole::Resistor => ("resistor", "has no effect"),
        EdgeRole::Shunt => ("shunt", "measures nothing"),
        EdgeRole::Capacitor => ("capacitor", "has no effect"),
        EdgeRole::Diode => ("diode", "blocks nothing"),
        EdgeRole::Source { .. } | EdgeRole::Metal(_) => return None,
    })
}

fn finding(facts: &Facts, element: ElementId, edge: &Edge, (what, effect): (&str, &str), behind: &Behind) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let (name, [a, b]) = (model.element_name(element), [edge.a, edge.b].map(|point| model.point_name(point)));
    let goes_on = goes_on(facts, behind);
    let finding = RULE
        .finding(model[element].value_span, format!("{what} `{name}` {effect}: one conductor joins both its sides{goes_on}"), [])
        .concerns(name);
    let finding = with_what_goes_on(facts, finding, behind);
    if edge.a == edge.b {
        return finding.label(format!("both its points are `{a}`")).help("name a second point, at the other side of the part");
    }
    let path = network.path(edge.a, |point| point == edge.b, |_, edge| edge.is_metal());
    let finding = finding.label(format!("`{a}` and `{b}` are on one net"));
    let finding = match path {
        Some(steps) => finding.path(network.names(edge.a, &steps)),
        None => finding,
    };
    finding.help(format!("take out the wire that joins `{a}` and `{b}`, or move it to where it is meant to go"))
}

/// What goes on behind a bridged switch while it is open.
#[derive(Default)]
struct Behind {
    /// It is closed in most modes and stops something when it opens.
    is_stop: bool,
    live: Vec<Live>,
    /// Relays that stay pulled in, each with a mode in which it is.
    held: Vec<(ElementId, ModeId)>,
}

/// The end of a headline about a bridged switch.
fn goes_on(facts: &Facts, behind: &Behind) -> String {
    let model = facts.model();
    let of = |first: ElementId, rest: usize, what: &str| format!("`{}`{}", model.element_name(first), and_more(rest, what));
    match (behind.live.split_first(), behind.held.split_first()) {
        (Some((first, rest)), _) if behind.is_stop => {
            let goes = agree(1 + rest.len(), "goes", "go");
            format!(" and with it open {} {goes} on", of(first.load, rest.len(), "load"))
        }
        (Some((first, rest)), _) => format!(" and keeps {} live", of(first.load, rest.len(), "load")),
        (None, Some(((first, _), rest))) => {
            let stays = agree(1 + rest.len(), "stays", "stay");
            format!(" and with it open {} {stays} pulled in", of(*first, rest.len(), "relay"))
        }
        (None, None) => String::new(),
    }
}

fn with_what_goes_on(facts: &Facts, finding: Finding, behind: &Behind) -> Finding {
    let model = facts.model();
    let finding = behind.live.iter().fold(finding, |finding, live| {
        let (load, modes) = (model.element_name(live.load), in_modes(model, &live.modes));
        finding.figure("stays live", format!("`{load}`: {} of {}{modes}", live.volts, live.nominal)).concerns(load)
    });
    behind.held.iter().fold(finding, |finding, (relay, mode)| {
        let relay = model.element_name(*relay);
        finding.figure("stays pulled in", format!("`{relay}`{}", in_modes(model, &[*mode]))).concerns(relay)
    })
}

/// What goes on behind a switch.
fn behind(facts: &Facts, switched: &SwitchedLoads<'_>, switch: EdgeId) -> Behind {
    let network = facts.network();
    let modes = || facts.electrical().modes();
    let is_closed = modes().filter(|mode| mode.conducts(switch)).count();
    let is_stop = 2 * is_closed > modes().count();
    let coils = if is_stop { switched.coils_behind(switch) } else { Vec::new() };
    // The contact by which a relay holds itself is not what stops it.
    let own = network[switch].element();
    let held =
        coils.into_iter().filter_map(|(coil, mode)| Some((network[coil].element().filter(|relay| Some(*relay) != own)?, mode)));
    Behind { is_stop, live: live_behind(facts, switched, switch), held: held.collect() }
}

/// A load that keeps its voltage although a switch before it is open.
struct Live {
    load: ElementId,
    modes: Vec<ModeId>,
    volts: Volt,
    nominal: Volt,
}

/// The loads behind a bridged switch that keep their voltage in the modes in which it is open, whether they are meant to run in them or
/// not: who opens it relies on it.
fn live_behind(facts: &Facts, switched: &SwitchedLoads<'_>, switch: EdgeId) -> Vec<Live> {
    let (network, electrical) = (facts.network(), facts.electrical());
    let mut found = Vec::new();
    for edge in switched.behind(switch) {
        let ends = network[edge];
        let Some((load, nominal)) = ends.element().and_then(|load| Some((load, facts.nominal(load)?))) else { continue };
        let across = |mode: &ModeState| (mode.volts(ends.a) - mode.volts(ends.b)).abs();
        let open = electrical.modes().filter(|mode| !mode.conducts(switch));
        let live = open.filter(|mode| across(mode).get() >= ALIVE * nominal.get());
        let live: Vec<(ModeId, Volt)> = live.map(|mode| (mode.id, across(mode))).collect();
        let Some(volts) = live.iter().map(|(_, volts)| *volts).reduce(Volt::max) else { continue };
        found.push(Live { load, modes: live.into_iter().map(|(mode, _)| mode).collect(), volts, nominal });
    }
    found
}
