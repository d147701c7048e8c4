//! What is switched off is off: nothing feeds a load in a mode in which it does not run.

use crate::{
    analysis::Analysis,
    evidence::{few_names, in_modes},
    facts::{Facts, fed_coils::FedCoil, feed_paths::FeedPaths, relay_loads::ALIVE, switched_loads::SwitchedLoads},
    finding::{Finding, Level, Weighed},
    model::{ElementId, ElementKind, ModeId, ModeSet, Owner, PointId},
    network::{Edge, EdgeId, NetId},
    quantity::{Ohm, Volt},
    rules::{Rule, RulePage},
    vocabulary::{Demand, LoadKind, Role},
    wording::{agree, and_more},
};
use rustc_hash::{FxHashMap, FxHashSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/back-feed",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load that stays live in a mode in which it should be off",
        docs: include_str!("back_feed.md"),
    },
    check,
};

/// Loads on one net that stay alive.
struct Alive {
    /// At least one.
    loads: Vec<ElementId>,
    modes: Vec<ModeId>,
    volts: Volt,
    nominal: Volt,
    path: Vec<String>,
}

/// A load that works whenever it has its voltage.
struct Suspect {
    edge: EdgeId,
    ends: Edge,
    load: ElementId,
    modes: ModeSet,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let coils = facts.fed_coils().iter().map(|coil| coil_finding(facts, coil));
    coils.chain(alive(facts).into_iter().filter_map(|alive| finding(facts, alive))).collect()
}

/// The loads that stay alive, by the net of their live side; those behind the contact of a coil that something else feeds are in the
/// finding of that coil.
fn alive(facts: &Facts) -> Vec<Alive> {
    let (model, network) = (facts.model(), facts.network());
    let behind: FxHashSet<ElementId> = facts.fed_coils().iter().flat_map(|coil| coil.behind.iter().copied()).collect();
    let suspects = network.edges().filter_map(|(edge, ends)| {
        let load = ends.element()?;
        let ElementKind::Load { kind: Some(kind), modes, .. } = model[load].kind else { return None };
        (kind.works_when_fed() && !behind.contains(&load)).then_some(Suspect { edge, ends: *ends, load, modes })
    });
    let suspects: Vec<Suspect> = suspects.collect();
    let others = other_states(facts, &suspects);
    let mut found: Vec<Alive> = Vec::new();
    if suspects.is_empty() {
        return found;
    }
    let mut switched = SwitchedLoads::new(facts);
    let mut paths = FeedPaths::default();
    let mut by_net: FxHashMap<NetId, usize> = FxHashMap::default();
    let mut members: FxHashSet<(usize, ElementId)> = FxHashSet::default();
    for mode in facts.electrical().modes() {
        let view = facts.joined_in(mode);
        let mut candidates: Vec<Candidate> = Vec::new();
        for Suspect { edge, ends, load, modes } in &suspects {
            if modes.has(mode.id)
                || view.all.of(ends.a) != view.all.of(ends.b)
                || others.get(load).is_some_and(|others| others.has(mode.id))
            {
                continue;
            }
            let Some(nominal) = facts.nominal(*load) else { continue };
            let across = mode.volts(ends.a).get() - mode.volts(ends.b).get();
            if across.abs() < ALIVE * nominal.get() || !switched.is_switched(*edge, *modes) {
                continue;
            }
            // A switch that something bridges for ever is `netlist/bypassed-part`.
            if switched.has_bypassed_switch(*edge, *modes, mode)
                || (switches_itself(facts, *load) && switched.is_own_feed_closed(*edge, *modes, mode))
            {
                continue;
            }
            candidates.push(Candidate { edge: *edge, ends: *ends, load: *load, nominal, open: Volt::new(across.abs()) });
        }
        for (Candidate { edge, ends, load, nominal, .. }, volts) in loaded(facts, mode.id, &candidates) {
            let hot = if mode.volts(ends.a) > mode.volts(ends.b) { ends.a } else { ends.b };
            let next = found.len();
            let at = *by_net.entry(network.net(hot)).or_insert(next);
            let is_new = members.insert((at, load));
            match found.get_mut(at) {
                Some(known) => {
                    if is_new {
                        known.loads.push(load);
                    }
                    if known.loads.first() == Some(&load) {
                        known.modes.push(mode.id);
                    }
                }
                None => {
                    let path = paths.names(network, mode, edge, hot);
                    found.push(Alive { loads: vec![load], modes: vec![mode.id], volts, nominal, path });
                }
            }
        }
    }
    found
}

/// The modes in which another load draws what the load is in another state of it: a machine that draws another current in each of its
/// states is drawn as one load for each, of one kind, between the same two points either way round, and no two run at a time.
fn other_states(facts: &Facts, suspects: &[Suspect]) -> FxHashMap<ElementId, ModeSet> {
    let model = facts.model();
    let mut between: FxHashMap<[PointId; 2], Vec<&Suspect>> = FxHashMap::default();
    for suspect in suspects {
        let Edge { a, b, .. } = suspect.ends;
        between.entry([a.min(b), a.max(b)]).or_default().push(suspect);
    }
    let kind = |load: ElementId| match model[load].kind {
        ElementKind::Load { kind, .. } => kind,
        _ => None,
    };
    let mut others: FxHashMap<ElementId, ModeSet> = FxHashMap::default();
    for same in between.values().filter(|same| same.len() > 1) {
        for one in same {
            let states = same.iter().filter(|other| kind(other.load) == kind(one.load) && !other.modes.meets(one.modes));
            for mode in model.modes().map(|(id, _)| id).filter(|mode| states.clone().any(|other| other.modes.has(*mode))) {
                others.entry(one.load).or_insert(ModeSet::NONE).add(mode);
            }
        }
    }
    others
}

/// A load that has its voltage while it takes no current.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    edge: EdgeId,
    ends: Edge,
    load: ElementId,
    nominal: Volt,
    /// What is across it then.
    open: Volt,
}

/// Those that still have it when they draw what they are made for: a resistor in the way, such as that of precharge, or another load
/// leaves a large load next to nothing.
fn loaded(facts: &Facts, mode: ModeId, candidates: &[Candidate]) -> Vec<(Candidate, Volt)> {
    let with = candidates.iter().filter_map(|one| Some((*one, own_resistance(facts, one)?)));
    let (drawing, resistances): (Vec<Candidate>, Vec<(EdgeId, Ohm)>) = with.map(|(one, ohms)| (one, (one.edge, ohms))).unzip();
    let volts = if drawing.is_empty() { None } else { facts.electrical().volts_across(mode, &resistances) };
    let drawing: FxHashMap<EdgeId, Volt> = drawing.iter().map(|one| one.edge).zip(volts.unwrap_or_default()).collect();
    let with = candidates.iter().map(|one| (*one, drawing.get(&one.edge).copied().unwrap_or(one.open)));
    with.filter(|(one, volts)| volts.get() >= ALIVE * one.nominal.get()).collect()
}

/// What a load of stated power is as a resistor: that which draws it at its nominal voltage. `None` for a load of stated current, which may
/// be anything at another voltage.
fn own_resistance(facts: &Facts, one: &Candidate) -> Option<Ohm> {
    let nominal = one.nominal.get();
    let ElementKind::Load { demand, .. } = facts.model()[one.load].kind else { return None };
    match demand.value {
        Demand::Current(_) => None,
        Demand::Power(watts) => Some(Ohm::new(nominal * nominal / watts.get())),
    }
}

/// Whether a load may be switched inside its own box: what runs on voltage class B has electronics before it, and so has a motor or
/// heater whose device takes a signal.
fn switches_itself(facts: &Facts, load: ElementId) -> bool {
    let model = facts.model();
    let element = &model[load];
    let domains = facts.electrical().domains();
    if element.points.iter().any(|point| domains.of(*point).is_some_and(|domain| model[domain].is_class_b())) {
        return true;
    }
    let (ElementKind::Load { kind: Some(LoadKind::Motor | LoadKind::Heater), .. }, Owner::Device(device)) =
        (&element.kind, element.owner)
    else {
        return false;
    };
    facts
        .pins()
        .of_device(device)
        .iter()
        .any(|pin| matches!(pin.role, Some(Role::Input | Role::Bidirectional | Role::CanHigh | Role::CanLow | Role::Lin)))
}

fn coil_finding(facts: &Facts, coil: &FedCoil) -> Finding {
    let model = facts.model();
    let name = model.element_name(coil.relay);
    let modes = in_modes(model, &coil.modes);
    let mut finding = RULE
        .finding(
            model[coil.relay].value_span,
            format!("`{name}` is pulled in{modes} while its own switch is open: {} across its coil", coil.volts),
            [Weighed::larger(coil.volts)],
        )
        .label("its own switch is open")
        .path(coil.path.clone())
        .figure("coil voltage", coil.volts)
        .help("interrupt the path shown: give the coil a contact or a diode of its own")
        .concerns(name);
    let behind: Vec<String> = coil.behind.iter().map(|load| model.element_name(*load)).collect();
    if !behind.is_empty() {
        finding = finding.figure("keeps live", few_names(&behind));
    }
    behind.into_iter().fold(finding, Finding::concerns)
}

fn finding(facts: &Facts, alive: Alive) -> Option<Finding> {
    let model = facts.model();
    let first = *alive.loads.first()?;
    let name = model.element_name(first);
    // The point before the last one, where the path has more than its two ends.
    let through = match alive.path.as_slice() {
        [_, .., through, _] => format!("`{through}`"),
        [] | [_] | [_, _] => "the way shown".to_owned(),
    };
    let finding = RULE
        .finding(
            model[first].value_span,
            format!(
                "`{name}`{} {}{}, {} of {}",
                and_more(alive.loads.len() - 1, "load"),
                agree(alive.loads.len(), "stays live", "stay live"),
                in_modes(model, &alive.modes),
                alive.volts,
                alive.nominal
            ),
            [Weighed::larger(alive.volts), Weighed::neither(alive.nominal)],
        )
        .label("does not run in this mode")
        .path(alive.path)
        .figure("voltage across it", alive.volts)
        .figure("limit", format!("half of {}", alive.nominal))
        .help(format!(
            "open the path shown, which reaches it last through {through}; if the load has a switch of its own, draw that in its device, \
             else add the mode to its `in:`"
        ));
    Some(alive.loads.iter().fold(finding, |finding, load| finding.concerns(model.element_name(*load))))
}
