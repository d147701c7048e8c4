//! Which conductors of the mains are line and which are neutral by their source, over fuses and closed contacts, and what is on the wrong
//! one.
//!
//! Pins that meet on one conductor are the matter of the roles; here a fuse, a residual-current device or a relay may be between.

use super::Facts;
use crate::{
    electrical::{ModeState, connectivity::Connectivity},
    model::{DomainId, ElementId, ElementKind, ModeId, Model, Owner, PointId},
    network::{Components, Edge, EdgeRole, GroupId},
    vocabulary::{Reference, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// What is on the wrong side of each source of mains, in the order of the sources.
    ///
    /// Asked by `netlist/swapped-mains`, `netlist/opened-neutral`, `netlist/half-switched` and `domain/unbonded-neutral`. Cost: a search of the network where there is mains, and two passes over
    /// its points and edges for each source.
    #[must_use]
    pub fn mains_sides(&self) -> &[MainsSides] {
        self.made.mains_sides.get_or_init(|| mains_sides(self))
    }
}

/// A source of mains, and what is on the wrong side of it.
#[derive(Debug)]
pub struct MainsSides {
    /// The source, or the converter that makes the mains.
    pub source: ElementId,
    /// Its line pole and its neutral pole.
    pub poles: (PointId, PointId),
    /// Neutral pins that its line reaches.
    pub on_line: Vec<PointId>,
    /// Line pins that its neutral reaches.
    pub on_neutral: Vec<PointId>,
    /// Fuses and contacts that open its neutral and leave the line as it is.
    pub opened: Vec<ElementId>,
    /// Loads of which one conductor alone passes the contacts of a two-pole switch.
    pub half_switched: Vec<HalfSwitched>,
    /// Modes in which a converter makes this mains and nothing joins its neutral to protective earth or the chassis.
    pub unbonded: Vec<ModeId>,
}

/// A load of which one conductor goes round a two-pole switch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct HalfSwitched {
    /// A contact that one conductor of the load passes.
    pub passed: ElementId,
    /// The contact in the other conductor, which the load does not pass.
    pub missed: ElementId,
    /// The load or converter.
    pub load: ElementId,
    /// Whether it is the line that passes.
    pub is_line: bool,
    /// The point of the load at which the other conductor comes in.
    pub at: PointId,
}

fn mains_sides(facts: &Facts) -> Vec<MainsSides> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let is_mains = |domain: DomainId| {
        let domain = &model[domain];
        domain.is_class_b() && domain.ac && domain.reference == Reference::Earth
    };
    let drives = network.edges().filter(|(_, edge)| edge.role.drives());
    let sources: Vec<(ElementId, Edge, DomainId)> = drives
        .filter_map(|(_, edge)| {
            let domain = domains.of(edge.b).or(domains.of(edge.a)).filter(|domain| is_mains(*domain))?;
            Some((edge.element()?, *edge, domain))
        })
        .collect();
    if sources.is_empty() {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed());
    // Where line and neutral meet on one conductor, that is the fault.
    let clash = facts.role_clashes().iter().filter(|clash| {
        let of = [clash.one.role, clash.other.role];
        of.contains(&Some(Role::Line)) && of.contains(&Some(Role::Neutral))
    });
    let clashing: FxHashSet<GroupId> = clash.map(|clash| lumps.of(clash.one.point)).collect();
    let sides = sources.into_iter().map(|(source, edge, domain)| {
        // The second leg of a split-phase supply has its neutral at the positive pole.
        let turned = model.role_at(edge.b) == Some(Role::Neutral) && model.role_at(edge.a) == Some(Role::Line);
        let (plus, minus) = if turned { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let (line, neutral) = (lumps.of(plus), lumps.of(minus));
        let own = model.device_at(edge.b);
        let pins = |group: GroupId, role: Role| -> Vec<PointId> {
            if line == neutral || clashing.contains(&line) || clashing.contains(&neutral) {
                return Vec::new();
            }
            let of_role = model.points().filter(|(point, _)| lumps.of(*point) == group && model.role_at(*point) == Some(role));
            of_role.map(|(point, _)| point).filter(|point| model.device_at(*point) != own && model.is_fitted(*point)).collect()
        };
        let (on_line, on_neutral) = (pins(line, Role::Neutral), pins(neutral, Role::Line));
        // Where the two are swapped, what was meant to open the line opens the neutral.
        let is_swapped = line == neutral || !(on_line.is_empty() && on_neutral.is_empty());
        let is_swapped = is_swapped || clashing.contains(&line) || clashing.contains(&neutral);
        let opened = if is_swapped { Vec::new() } else { opened(facts, &lumps, (line, neutral), domain) };
        let half_switched = if is_swapped { Vec::new() } else { half_switched(facts, &lumps, (plus, minus), domain) };
        let unbonded = unbonded(facts, source, minus);
        MainsSides { source, poles: (edge.b, edge.a), on_line, on_neutral, opened, half_switched, unbonded }
    });
    sides.collect()
}

/// What opens the neutral alone: a fuse without one in the line beside it, a contact where the line has none at all.
fn opened(facts: &Facts, lumps: &Components, (line, neutral): (GroupId, GroupId), domain: DomainId) -> Vec<ElementId> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let in_side = |edge: &Edge, side: GroupId| {
        let is_of = |point: PointId| lumps.of(point) == side && domains.of(point) == Some(domain);
        is_of(edge.a) && is_of(edge.b) && edge.a != edge.b
    };
    let of_side = |side: GroupId| network.edges().filter(move |(_, edge)| opens(edge.role) && in_side(edge, side));
    // What opens line and neutral together is in one box: a fuse beside a fuse, a contact beside a contact.
    let paired: FxHashSet<(Owner, bool)> =
        of_side(line).filter_map(|(_, edge)| Some((model[edge.element()?].owner, edge.role.is_fuse()))).collect();
    let mut found: Vec<ElementId> = of_side(neutral)
        .filter_map(|(_, edge)| {
            let element = edge.element()?;
            let is_paired = paired.contains(&(model[element].owner, edge.role.is_fuse()));
            // The contact that bonds the neutral while an inverter runs feeds nothing.
            (!is_paired && ![edge.a, edge.b].iter().any(|point| is_earth(model, *point))).then_some(element)
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// Loads of which one conductor goes round a two-pole switch: a box with as many contacts in the line as in the neutral. Without its contacts in
/// the line one conductor of such a load is cut off, without those in the neutral the other is not, or the other way round.
fn half_switched(facts: &Facts, lumps: &Components, (plus, minus): (PointId, PointId), domain: DomainId) -> Vec<HalfSwitched> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let side = |edge: &Edge, pole: PointId| {
        [edge.a, edge.b].iter().all(|point| lumps.of(*point) == lumps.of(pole) && domains.of(*point) == Some(domain))
    };
    let mut boxes: FxHashMap<Owner, [Vec<ElementId>; 2]> = FxHashMap::default();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.is_switched() && edge.a != edge.b) {
        let Some(element) = edge.element() else { continue };
        let [line, neutral] = boxes.entry(model[element].owner).or_default();
        for (contacts, pole) in [(line, plus), (neutral, minus)] {
            if side(edge, pole) {
                contacts.push(element);
            }
        }
    }
    let loads: Vec<(ElementId, PointId, PointId)> = network
        .edges()
        .filter(|(_, edge)| edge.role.draws() && model.is_fitted(edge.a))
        .filter_map(|(_, edge)| match (lumps.of(edge.a), lumps.of(edge.b)) {
            (a, b) if a == lumps.of(plus) && b == lumps.of(minus) => Some((edge.element()?, edge.a, edge.b)),
            (a, b) if b == lumps.of(plus) && a == lumps.of(minus) => Some((edge.element()?, edge.b, edge.a)),
            _ => None,
        })
        .collect();
    let mut found = Vec::new();
    for [line, neutral] in boxes.into_values() {
        let (Some(in_line), Some(in_neutral)) = (line.first(), neutral.first()) else { continue };
        if line.len() != neutral.len() {
            continue;
        }
        let without = |out: &[ElementId]| {
            let left = |edge: &Edge| edge.element().is_none_or(|element| !out.contains(&element));
            network.components(|_, edge| edge.role.conducts_when_closed() && left(edge))
        };
        let (no_line, no_neutral) = (without(&line), without(&neutral));
        for (load, hot, cold) in &loads {
            let passes_line = no_line.of(*hot) != no_line.of(plus);
            let passes_neutral = no_neutral.of(*cold) != no_neutral.of(minus);
            if passes_line != passes_neutral {
                let (passed, missed) = if passes_line { (*in_line, *in_neutral) } else { (*in_neutral, *in_line) };
                let at = if passes_line { *cold } else { *hot };
                found.push(HalfSwitched { passed, missed, load: *load, is_line: passes_line, at });
            }
        }
    }
    found.sort_unstable();
    found
}

/// Modes in which a converter gives mains against earth and its neutral pole reaches no earth. Where it is joined to the neutral of a supply
/// from outside, the bond is there.
fn unbonded(facts: &Facts, source: ElementId, neutral: PointId) -> Vec<ModeId> {
    let (model, network) = (facts.model(), facts.network());
    let ElementKind::Converter { modes, .. } = model[source].kind else { return Vec::new() };
    let mut running = facts.electrical().modes().filter(|mode| modes.has(mode.id)).peekable();
    if running.peek().is_none() {
        return Vec::new();
    }
    let mut bonds: Vec<PointId> = model.points().map(|(point, _)| point).filter(|point| is_earth(model, *point)).collect();
    let outside = network.edges().filter(|(_, edge)| {
        let is_source = edge.element().is_some_and(|element| model[element].kind.is_source());
        is_source && facts.electrical().domains().of(edge.a).is_some_and(|of| model[of].ac && model[of].is_class_b())
    });
    bonds.extend(outside.map(|(_, edge)| edge.a));
    let is_open = |mode: &&ModeState| {
        let view = Connectivity::new(network, Some(mode));
        !bonds.iter().any(|bond| view.closed.of(*bond) == view.closed.of(neutral))
    };
    running.filter(is_open).map(|mode| mode.id).collect()
}

/// Whether a point is of the chassis or states that it is an earth.
fn is_earth(model: &Model, point: PointId) -> bool {
    let of_chassis = model.device_at(point).is_some_and(|device| model[device].chassis);
    of_chassis || matches!(model.role_at(point), Some(Role::Earth | Role::Chassis))
}

/// Whether an element is there to open a conductor.
fn opens(role: EdgeRole) -> bool {
    role.is_fuse() || role.is_switched()
}
