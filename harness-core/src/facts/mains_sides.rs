//! Which conductors of the mains are line and which are neutral by their source, over fuses and closed contacts, and what is on the wrong
//! one.
//!
//! Pins that meet on one conductor are the matter of the roles; here a fuse, a residual-current device or a relay may be between.

use super::Facts;
use crate::{
    model::{DeviceId, DomainId, ElementId, Model, Owner, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// What is on the wrong side of each source of mains, in the order of the sources.
    ///
    /// Asked by `netlist/swapped-mains` and `netlist/opened-neutral`. Cost: a search of the network where there is mains, a pass over its
    /// points, and one over its edges for each source.
    #[must_use]
    pub fn mains_sides(&self) -> &[MainsSides] {
        self.made.mains_sides.get_or_init(|| mains_sides(self))
    }

    /// What drives a domain of mains (alternating voltage of class B against earth), with the domain. Cost: a pass over the edges.
    pub(super) fn mains(&self) -> Vec<(EdgeId, DomainId)> {
        let (model, domains) = (self.model(), self.electrical().domains());
        let drives = self.network().edges().filter(|(_, edge)| edge.role.drives());
        let mains = drives.filter_map(|(id, edge)| {
            let domain = domains.of(edge.b).or(domains.of(edge.a)).filter(|domain| model[*domain].is_mains())?;
            Some((id, domain))
        });
        mains.collect()
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
}

fn mains_sides(facts: &Facts) -> Vec<MainsSides> {
    let (model, network) = (facts.model(), facts.network());
    let mains = facts.mains();
    let sources: Vec<(ElementId, Edge, DomainId)> =
        mains.iter().filter_map(|(id, domain)| Some((network[*id].element()?, network[*id], *domain))).collect();
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
    let pins = pins(facts, &lumps);
    let mut neutrals: Vec<(GroupId, bool)> = Vec::new();
    let sides = sources.into_iter().map(|(source, edge, domain)| {
        // The second leg of a split-phase supply has its neutral at the positive pole.
        let turned = model.role_at(edge.b) == Some(Role::Neutral) && model.role_at(edge.a) == Some(Role::Line);
        let (plus, minus) = if turned { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let (line, neutral) = (lumps.of(plus), lumps.of(minus));
        let own = model.device_at(edge.b);
        let is_clash = line == neutral || clashing.contains(&line) || clashing.contains(&neutral);
        neutrals.push((neutral, is_clash));
        let on = |group: GroupId, role: Role| -> Vec<PointId> {
            let of_role = pins.get(&(group, role)).into_iter().flatten().filter(|_| !is_clash);
            of_role.copied().filter(|point| model.device_at(*point) != own).collect()
        };
        let (on_line, on_neutral) = (on(line, Role::Neutral), on(neutral, Role::Line));
        // Where the two are swapped, what was meant to open the line opens the neutral.
        let is_swapped = is_clash || !(on_line.is_empty() && on_neutral.is_empty());
        let opened = if is_swapped { Vec::new() } else { opened(facts, &lumps, (line, neutral), domain) };
        MainsSides { source, poles: (edge.b, edge.a), on_line, on_neutral, opened }
    });
    let mut sides: Vec<MainsSides> = sides.collect();
    settle_neutrals(model, &mut sides, &neutrals);
    sides
}

/// Of the phases that share a neutral, a line pin on that neutral is the matter of the one whose line is on the neutral of the same device; of none where
/// line and neutral of one of them meet on a conductor; else of the first.
fn settle_neutrals(model: &Model, sides: &mut [MainsSides], neutrals: &[(GroupId, bool)]) {
    for at in 0..sides.len() {
        let Some((neutral, _)) = neutrals.get(at).copied() else { continue };
        let mates: Vec<usize> = neutrals.iter().enumerate().filter(|(_, (other, _))| *other == neutral).map(|(at, _)| at).collect();
        if mates.len() < 2 {
            continue;
        }
        let is_clash = mates.iter().any(|mate| neutrals.get(*mate).is_some_and(|(_, is_clash)| *is_clash));
        let lines: Vec<(usize, Vec<DeviceId>)> = mates
            .iter()
            .filter_map(|mate| Some((*mate, sides.get(*mate)?.on_line.iter().filter_map(|pin| model.device_at(*pin)).collect())))
            .collect();
        let owner = |pin: PointId| {
            let device = model.device_at(pin);
            let own = lines.iter().find(|(_, devices)| device.is_some_and(|device| devices.contains(&device)));
            own.map(|(mate, _)| *mate).or(mates.first().copied())
        };
        if let Some(one) = sides.get_mut(at) {
            one.on_neutral.retain(|pin| !is_clash && owner(*pin) == Some(at));
        }
    }
}

/// The fitted line and neutral pins of each lump, in the order written.
fn pins(facts: &Facts, lumps: &Components) -> FxHashMap<(GroupId, Role), Vec<PointId>> {
    let model = facts.model();
    let mut pins: FxHashMap<(GroupId, Role), Vec<PointId>> = FxHashMap::default();
    for (point, _) in model.points().filter(|(point, _)| model.is_fitted(*point)) {
        if let Some(role) = model.role_at(point).filter(|role| matches!(role, Role::Line | Role::Neutral)) {
            pins.entry((lumps.of(point), role)).or_default().push(point);
        }
    }
    pins
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
    // So are the poles of one residual-current device, of whatever sort each is.
    let in_line: FxHashSet<ElementId> = of_side(line).filter_map(|(_, edge)| edge.element()).collect();
    let has_line = |element: ElementId| {
        let mut groups = model.residual.iter().map(|group| &group.poles);
        groups.any(|poles| poles.iter().any(|(pole, _)| *pole == element) && poles.iter().any(|(pole, _)| in_line.contains(pole)))
    };
    let mut found: Vec<ElementId> = of_side(neutral)
        .filter_map(|(_, edge)| {
            let element = edge.element().filter(|element| !has_line(*element))?;
            let is_paired = paired.contains(&(model[element].owner, edge.role.is_fuse()));
            // The contact that bonds the neutral while an inverter runs feeds nothing.
            (!is_paired && ![edge.a, edge.b].iter().any(|point| is_earth(model, *point))).then_some(element)
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// Whether a point is of the chassis or states that it is an earth.
#[must_use]
pub fn is_earth(model: &Model, point: PointId) -> bool {
    let of_chassis = model.device_at(point).is_some_and(|device| model[device].chassis);
    of_chassis || matches!(model.role_at(point), Some(Role::Earth | Role::Chassis))
}

/// Whether an element is there to open a conductor.
fn opens(role: EdgeRole) -> bool {
    role.is_fuse() || role.is_switched()
}
