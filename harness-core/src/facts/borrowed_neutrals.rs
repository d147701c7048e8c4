//! Loads whose line and neutral do not pass the poles of one device: one residual-current device sees the current go out and not come back.
//!
//! The idea: take a group of poles out of the network. What is then still joined to the source is before them, what is not is behind them.
//! Line and neutral of a load must both be before or both be behind. Poles are stated (`residual`), or are the one contact in the line and the
//! one in the neutral that a box has; where a box has several of both, each way out must have its own way back.
//!
//! Cost: nothing where there is no mains; else for each group, source and mode a pass over the edges.

use super::{Facts, pins::points_of_elements};
use crate::{
    electrical::ModeState,
    model::{DeviceId, ElementId, ElementKind, Owner, PointId},
    network::{Components, Edge, EdgeId, Step},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeMap;

impl Facts {
    /// Poles past which a load is fed on one side only, in the order in which the poles are given, then of the boxes.
    ///
    /// Asked by `netlist/borrowed-neutral`.
    #[must_use]
    pub fn borrowed_neutrals(&self) -> &[BorrowedNeutral] {
        self.made.borrowed_neutrals.get_or_init(|| borrowed_neutrals(self))
    }
}

/// Poles past which loads are fed on one side only.
#[derive(Debug)]
pub struct BorrowedNeutral {
    /// The poles.
    pub poles: Vec<ElementId>,
    /// The poles of another device that the other side passes, if there are such.
    pub others: Vec<ElementId>,
    /// The design says that they are those of a residual-current device.
    pub is_residual: bool,
    /// The source.
    pub source: ElementId,
    /// The loads and sockets; at least one.
    pub users: Vec<User>,
    /// Whether the line of the first is behind the poles and its neutral before them.
    pub line_behind: bool,
    /// From the side of the first that is before the poles to the pole of the source; empty where loads only disagree.
    pub path: Vec<Step>,
}

/// A load, or a socket at which nothing is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct User {
    /// The load; none for a socket.
    pub load: Option<ElementId>,
    /// Where the line goes in.
    pub line: PointId,
    /// Where the neutral comes out.
    pub neutral: PointId,
}

/// Current to earth in A above which a residual-current device must trip: 30 mA of IEC 61008-1, from memory, not seen.
const TRIPS: f64 = 0.03;

/// A source of mains in one mode, and who is joined to its poles.
struct Fed<'a> {
    facts: &'a Facts,
    mode: &'a ModeState,
    source: ElementId,
    line: PointId,
    neutral: PointId,
    /// Contacts that no mode closes.
    idle: &'a FxHashSet<EdgeId>,
    whole: Components,
}

impl<'a> Fed<'a> {
    fn conducts(&self, id: EdgeId, edge: &Edge) -> bool {
        edge.role.conducts_when_closed() && (self.mode.conducts(id) || self.idle.contains(&id))
    }

    /// Who is joined to whom without some poles.
    fn without(&self, poles: &[ElementId]) -> Components {
        self.facts
            .network()
            .components(|id, edge| self.conducts(id, edge) && edge.element().is_none_or(|element| !poles.contains(&element)))
    }

    /// Whether the source feeds a user: each of its sides is joined to a pole.
    fn feeds(&self, user: &User) -> bool {
        let (line, neutral) = (self.whole.of(self.line), self.whole.of(self.neutral));
        let (a, b) = (self.whole.of(user.line), self.whole.of(user.neutral));
        line != neutral && ((a, b) == (line, neutral) || (a, b) == (neutral, line))
    }

    fn is_before(&self, without: &Components, point: PointId) -> bool {
        [self.line, self.neutral].iter().any(|pole| without.of(*pole) == without.of(point))
    }
}

fn borrowed_neutrals(facts: &Facts) -> Vec<BorrowedNeutral> {
    let (model, network) = (facts.model(), facts.network());
    let sources: Vec<(EdgeId, Edge, ElementId)> =
        facts.mains().iter().filter_map(|(id, _)| Some((*id, network[*id], network[*id].element()?))).collect();
    if sources.is_empty() {
        return Vec::new();
    }
    let users = users(facts);
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    let switched = network.edges().filter(|(_, edge)| edge.role.is_switched()).map(|(id, _)| id);
    let idle: FxHashSet<EdgeId> = switched.filter(|id| modes.iter().all(|mode| !mode.conducts(*id))).collect();
    let mut found: Vec<BorrowedNeutral> = Vec::new();
    for (id, edge, source) in &sources {
        let turned = model.role_at(edge.b) == Some(Role::Neutral) && model.role_at(edge.a) == Some(Role::Line);
        let (line, neutral) = if turned { (edge.a, edge.b) } else { (edge.b, edge.a) };
        for mode in modes.iter().filter(|mode| mode.conducts(*id) && !mode.is_shorted(edge.a)) {
            let conducts =
                |id: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && (mode.conducts(id) || idle.contains(&id));
            let whole = network.components(conducts);
            let fed = Fed { facts, mode, source: *source, line, neutral, idle: &idle, whole };
            let mine: Vec<User> = users.iter().filter(|user| fed.feeds(user)).copied().collect();
            if mine.is_empty() {
                continue;
            }
            for one in of_source(&fed, &mine) {
                match found.iter_mut().find(|known| known.poles == one.poles && known.line_behind == one.line_behind) {
                    Some(known) => {
                        let new: Vec<User> = one.users.into_iter().filter(|user| !known.users.contains(user)).collect();
                        known.users.extend(new);
                    }
                    None => found.push(one),
                }
            }
        }
    }
    paired(found)
}

/// Of a load whose line passes one device and whose neutral passes another both are one fault.
fn paired(mut found: Vec<BorrowedNeutral>) -> Vec<BorrowedNeutral> {
    let mut at = 0;
    while at < found.len() {
        let Some(one) = found.get(at).filter(|one| one.line_behind && !one.path.is_empty()) else {
            at += 1;
            continue;
        };
        let fits = |other: &BorrowedNeutral| !other.line_behind && other.users.iter().any(|user| one.users.contains(user));
        if let Some(other) = found.iter().position(fits) {
            let users = one.users.clone();
            let Some(pair) = found.get_mut(other) else { break };
            pair.users.retain(|user| !users.contains(user));
            let (poles, is_stated, is_used_up) = (pair.poles.clone(), pair.is_residual, pair.users.is_empty());
            if let Some(one) = found.get_mut(at) {
                one.others = poles;
                one.is_residual |= is_stated;
            }
            if is_used_up {
                found.remove(other);
                at = at.saturating_sub(usize::from(other < at));
            }
        }
        at += 1;
    }
    found
}

/// Loads with their two sides, and devices with a line and a neutral pin at which nothing is drawn.
pub(super) fn users(facts: &Facts) -> Vec<User> {
    let (model, network) = (facts.model(), facts.network());
    let loads = network.edges().filter(|(_, edge)| edge.role.draws() && model.is_fitted(edge.a));
    let mut users: Vec<User> = loads
        .filter_map(|(_, edge)| {
            // A box that one puts between line and neutral may name its points in any order.
            let is_turned = model.role_at(edge.a) == Some(Role::Neutral) || model.role_at(edge.b) == Some(Role::Line);
            let (line, neutral) = if is_turned { (edge.b, edge.a) } else { (edge.a, edge.b) };
            Some(User { load: Some(edge.element()?), line, neutral })
        })
        .collect();
    let drawn = points_of_elements(model);
    let mut sockets: BTreeMap<DeviceId, (Vec<PointId>, Vec<PointId>)> = BTreeMap::new();
    for (point, _) in model.points().filter(|(point, _)| !drawn[*point] && model.is_fitted(*point)) {
        let Some(device) = model.device_at(point) else { continue };
        match model.role_at(point) {
            Some(Role::Line) => sockets.entry(device).or_default().0.push(point),
            Some(Role::Neutral) => sockets.entry(device).or_default().1.push(point),
            Some(_) | None => {}
        }
    }
    for (lines, neutrals) in sockets.values() {
        // Of a box with several of both nobody knows which belong together.
        if let ([line], [neutral]) = (lines.as_slice(), neutrals.as_slice()) {
            users.push(User { load: None, line: *line, neutral: *neutral });
        }
    }
    users
}

fn of_source(fed: &Fed<'_>, users: &[User]) -> Vec<BorrowedNeutral> {
    let model = fed.facts.model();
    let stated: Vec<Vec<ElementId>> =
        model.residual.iter().map(|group| group.poles.iter().map(|(element, _)| *element).collect()).collect();
    let known: FxHashSet<ElementId> = stated.iter().flatten().copied().collect();
    let mut found: Vec<BorrowedNeutral> = stated.iter().filter_map(|poles| past(fed, users, poles, true)).collect();
    for (lines, neutrals) in boxes(fed, &known) {
        match (lines.as_slice(), neutrals.as_slice()) {
            ([line], [neutral]) if are_apart(fed, users, *line, *neutral) => {}
            ([line], [neutral]) => found.extend(past(fed, users, &[*line, *neutral], false)),
            (lines, neutrals) if lines.len() == neutrals.len() => found.extend(mixed(fed, users, lines, neutrals)),
            // Which pole belongs to which can't be seen.
            _ => {}
        }
    }
    found
}

/// Whether a pole in the line and one in the neutral are of two circuits: some users are behind the one, others behind the other, none behind both.
fn are_apart(fed: &Fed<'_>, users: &[User], line: ElementId, neutral: ElementId) -> bool {
    let behind = |pole: ElementId, side: fn(&User) -> PointId| -> Vec<bool> {
        let without = fed.without(&[pole]);
        users.iter().map(|user| !fed.is_before(&without, side(user))).collect()
    };
    let (out, back) = (behind(line, |user| user.line), behind(neutral, |user| user.neutral));
    let both = out.iter().zip(&back).any(|(out, back)| *out && *back);
    out.contains(&true) && back.contains(&true) && !both
}

/// The contacts and fuses that each device has in the line and in the neutral, those of one sort together, without what is stated.
fn boxes(fed: &Fed<'_>, known: &FxHashSet<ElementId>) -> Vec<(Vec<ElementId>, Vec<ElementId>)> {
    let (model, network) = (fed.facts.model(), fed.facts.network());
    let mut boxes: BTreeMap<(DeviceId, bool), (Vec<ElementId>, Vec<ElementId>)> = BTreeMap::new();
    let (line, neutral) = (fed.whole.of(fed.line), fed.whole.of(fed.neutral));
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_fuse() || edge.role.is_switched()) {
        let Some(element) = edge.element().filter(|element| !known.contains(element) && fed.conducts(id, edge)) else { continue };
        let Owner::Device(device) = model[element].owner else { continue };
        // The positions of a selector choose between sources.
        if matches!(model[element].kind, ElementKind::Switch { throw: Some(_), .. }) {
            continue;
        }
        let own = boxes.entry((device, edge.role.is_fuse())).or_default();
        let side = if fed.whole.of(edge.a) == line {
            &mut own.0
        } else if fed.whole.of(edge.a) == neutral {
            &mut own.1
        } else {
            continue;
        };
        if !side.contains(&element) {
            side.push(element);
        }
    }
    boxes.into_values().filter(|(lines, neutrals)| !lines.is_empty() && !neutrals.is_empty()).collect()
}

/// Whether a user is one of line and neutral, or leaks so little to earth that nothing trips.
fn counts(fed: &Fed<'_>, user: &User) -> bool {
    let model = fed.facts.model();
    let is_earth = |point: PointId| {
        let net = fed.facts.network().net_points(fed.facts.network().net(point)).iter();
        let mut roles = net.filter_map(|point| model.role_at(*point));
        roles.any(|role| matches!(role, Role::Earth | Role::Chassis))
    };
    if !is_earth(user.line) && !is_earth(user.neutral) {
        return true;
    }
    let edges = fed.facts.network().around(user.line);
    let mut amps = edges.filter(|(_, edge, _)| edge.element() == user.load).map(|(id, _, _)| fed.mode.amps(id).get().abs());
    user.load.is_some() && amps.any(|amps| amps > TRIPS)
}

/// The users that are behind some poles with one side only.
fn past(fed: &Fed<'_>, users: &[User], poles: &[ElementId], is_residual: bool) -> Option<BorrowedNeutral> {
    let network = fed.facts.network();
    let without = fed.without(poles);
    let one_sided = |user: &User| fed.is_before(&without, user.line) != fed.is_before(&without, user.neutral);
    let found: Vec<User> = users.iter().filter(|user| one_sided(user) && counts(fed, user)).copied().collect();
    let first = found.first()?;
    let line_behind = !fed.is_before(&without, first.line);
    let found: Vec<User> = found.iter().filter(|user| fed.is_before(&without, user.line) != line_behind).copied().collect();
    let start = if line_behind { first.neutral } else { first.line };
    let is_pole = |point: PointId| point == fed.line || point == fed.neutral;
    let past = |id: EdgeId, edge: &Edge| fed.conducts(id, edge) && edge.element().is_none_or(|element| !poles.contains(&element));
    let path = network.path(start, is_pole, past).unwrap_or_default();
    Some(BorrowedNeutral {
        poles: poles.to_vec(),
        others: Vec::new(),
        is_residual,
        source: fed.source,
        users: found,
        line_behind,
        path,
    })
}

/// What a box with several poles of both sorts shows: those that a line passes have one way back, and no other line has it.
fn mixed(fed: &Fed<'_>, users: &[User], lines: &[ElementId], neutrals: &[ElementId]) -> Option<BorrowedNeutral> {
    let passed = |poles: &[ElementId], side: &dyn Fn(&User) -> PointId| -> Vec<Vec<ElementId>> {
        let mut sets = vec![Vec::new(); users.len()];
        for pole in poles {
            let without = fed.without(&[*pole]);
            for (user, set) in users.iter().zip(&mut sets) {
                if !fed.is_before(&without, side(user)) {
                    set.push(*pole);
                }
            }
        }
        sets
    };
    let out = passed(lines, &|user| if fed.whole.of(user.line) == fed.whole.of(fed.line) { user.line } else { user.neutral });
    let back = passed(neutrals, &|user| if fed.whole.of(user.line) == fed.whole.of(fed.line) { user.neutral } else { user.line });
    let ways: Vec<(&User, Vec<ElementId>, Vec<ElementId>)> = users
        .iter()
        .zip(out)
        .zip(back)
        .map(|((user, out), back)| (user, out, back))
        .filter(|(user, ..)| counts(fed, user))
        .collect();
    let mut counted: FxHashMap<(&[ElementId], &[ElementId]), usize> = FxHashMap::default();
    for (_, out, back) in &ways {
        *counted.entry((out, back)).or_default() += 1;
    }
    let count = |out: &[ElementId], back: &[ElementId]| counted.get(&(out, back)).copied().unwrap_or_default();
    // Of two that disagree the one with fewer like it is the odd one; of equals the later.
    let odd: Vec<(&User, &Vec<ElementId>, &Vec<ElementId>)> = ways
        .iter()
        .enumerate()
        .filter(|(at, (_, out, back))| {
            out.len() != back.len()
                || ways.iter().enumerate().any(|(other, (_, its_out, its_back))| {
                    let (own, its) = (count(out, back), count(its_out, its_back));
                    (out == its_out) != (back == its_back) && (its > own || its == own && other < *at)
                })
        })
        .map(|(_, (user, out, back))| (*user, out, back))
        .collect();
    let (_, out, back) = odd.first()?;
    let poles: Vec<ElementId> = out.iter().chain(back.iter()).copied().collect();
    let line_behind = out.len() >= back.len();
    let users: Vec<User> = odd.iter().map(|(user, ..)| **user).collect();
    Some(BorrowedNeutral {
        poles,
        others: Vec::new(),
        is_residual: false,
        source: fed.source,
        users,
        line_behind,
        path: Vec::new(),
    })
}
