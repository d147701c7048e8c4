//! Which conductors of the mains are line and which are neutral by their source, over fuses and closed contacts, and what is on the wrong
//! one.
//!
//! Pins that meet on one conductor are the matter of the roles; here a fuse, a residual-current device or a relay may be between.

use super::{
    Facts,
    borrowed_neutrals::{User, users},
};
use crate::{
    model::{DeviceId, DomainId, ElementId, ElementKind, Model, Owner, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId},
    standards::fuse_standard::{FuseStandard, breaker_standard, general_standard},
    vocabulary::{Case, Role},
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
    pub opened: Vec<OpenedNeutral>,
}

/// What opens the neutral.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct OpenedNeutral {
    /// The fuse or contact.
    pub element: ElementId,
    /// The line has a fuse beside it, and each of the two melts by itself.
    pub is_apart: bool,
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
        let opened = if is_swapped { Vec::new() } else { opened(facts, &lumps, &edge, (plus, minus), domain) };
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
        let mates: Vec<usize> =
            neutrals.iter().enumerate().filter(|(_, (other, _))| *other == neutral).map(|(at, _)| at).collect();
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

/// What opens the neutral alone: a fuse or contact whose circuits have none of its sort in their lines in the same box, that opens with it.
fn opened(
    facts: &Facts,
    lumps: &Components,
    edge: &Edge,
    (line, neutral): (PointId, PointId),
    domain: DomainId,
) -> Vec<OpenedNeutral> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let in_side = |edge: &Edge, side: PointId| {
        let is_of = |point: PointId| lumps.of(point) == lumps.of(side) && domains.of(point) == Some(domain);
        is_of(edge.a) && is_of(edge.b) && edge.a != edge.b
    };
    let of_side = |side: PointId| -> Vec<(ElementId, Edge)> {
        let edges = network.edges().filter(|(_, edge)| opens(edge.role) && in_side(edge, side));
        edges.filter_map(|(_, edge)| Some((edge.element()?, *edge))).collect()
    };
    let (in_line, in_neutral) = (of_side(line), of_side(neutral));
    if in_neutral.is_empty() {
        return Vec::new();
    }
    // The poles of one residual-current device open together, of whatever sort each is.
    let has_line = |element: ElementId| {
        let mut groups = model.residual.iter().map(|group| &group.poles);
        groups.any(|poles| {
            let is_pole = |wanted: ElementId| poles.iter().any(|(pole, _)| *pole == wanted);
            is_pole(element) && in_line.iter().any(|(other, _)| is_pole(*other))
        })
    };
    let is_turned = |user: &User| lumps.of(user.line) == lumps.of(neutral) && lumps.of(user.neutral) == lumps.of(line);
    let is_mine = |user: &User| lumps.of(user.line) == lumps.of(line) && lumps.of(user.neutral) == lumps.of(neutral);
    let users =
        users(facts).into_iter().filter(|user| user.load.is_some_and(|load| Some(load) != edge.element()) || user.load.is_none());
    let users: Vec<(PointId, PointId)> = users
        .filter_map(|user| match (is_mine(&user), is_turned(&user)) {
            (true, _) => Some((user.line, user.neutral)),
            (false, true) => Some((user.neutral, user.line)),
            (false, false) => None,
        })
        .collect();
    // The users that an element cuts off from a pole.
    let behind = |element: ElementId, pole: PointId, side: fn(&(PointId, PointId)) -> PointId| -> FxHashSet<usize> {
        let without = network.components(|_, edge| edge.role.conducts_when_closed() && edge.element() != Some(element));
        users.iter().enumerate().filter(|(_, user)| without.of(side(user)) != without.of(pole)).map(|(at, _)| at).collect()
    };
    let mut found: Vec<OpenedNeutral> = Vec::new();
    for (element, edge) in &in_neutral {
        // The contact that bonds the neutral while an inverter runs feeds nothing.
        if has_line(*element) || [edge.a, edge.b].iter().any(|point| is_earth(model, *point)) {
            continue;
        }
        let of_sort = |(other, its): &&(ElementId, Edge)| {
            model[*other].owner == model[*element].owner && its.role.is_fuse() == edge.role.is_fuse()
        };
        let pairs: Vec<ElementId> = in_line.iter().filter(of_sort).map(|(other, _)| *other).collect();
        let mine = behind(*element, neutral, |user| user.1);
        let rivals: Vec<FxHashSet<usize>> = in_neutral
            .iter()
            .filter(|other| of_sort(other) && other.0 != *element)
            .map(|(other, _)| behind(*other, neutral, |user| user.1))
            .collect();
        let mut is_matched = false;
        let mut covered: FxHashSet<usize> = FxHashSet::default();
        for pair in &pairs {
            let its = behind(*pair, line, |user| user.0);
            let own = alike(&its, &mine);
            is_matched |= own > 0.0 && rivals.iter().all(|rival| alike(&its, rival) <= own);
            covered.extend(its);
        }
        // What cuts off nothing that is drawn opens no circuit of this source.
        let is_paired = match users.is_empty() {
            true => !pairs.is_empty(),
            false => mine.is_empty() || is_matched && mine.is_subset(&covered),
        };
        if !is_paired {
            found.push(OpenedNeutral { element: *element, is_apart: false });
        } else if edge.role.is_fuse() && is_single_fuse(model, *element) {
            found.push(OpenedNeutral { element: *element, is_apart: true });
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// How alike two sets are: what they share of all that is in them.
fn alike(one: &FxHashSet<usize>, other: &FxHashSet<usize>) -> f64 {
    let shared = one.intersection(other).count();
    let all = one.len() + other.len() - shared;
    if all == 0 { 0.0 } else { shared as f64 / all as f64 }
}

/// Whether a fuse melts by itself, where the poles of a circuit breaker open together.
fn is_single_fuse(model: &Model, element: ElementId) -> bool {
    let ElementKind::Fuse { kind: Some(kind), .. } = model[element].kind else { return false };
    let kind = &model[kind];
    let Some(standard) = kind.standard.map(|standard| model.text(standard.value)) else { return false };
    !breaker_standard(standard) && (FuseStandard::named(standard).is_some() || general_standard(standard))
}

/// Whether a point is of the chassis or states that it is an earth.
#[must_use]
pub fn is_earth(model: &Model, point: PointId) -> bool {
    let of_chassis = model.device_at(point).is_some_and(|device| model[device].chassis);
    of_chassis || matches!(model.role_at(point), Some(Role::Earth | Role::Chassis))
}

/// Whether a source is a generator on board rather than the grid behind an inlet: its box states a conductive case.
#[must_use]
pub fn is_machine(model: &Model, source: ElementId) -> bool {
    let Owner::Device(device) = model[source].owner else { return false };
    model[device].case.is_some_and(|case| case.value == Case::Conductive)
}

/// Whether an element is there to open a conductor.
fn opens(role: EdgeRole) -> bool {
    role.is_fuse() || role.is_switched()
}
