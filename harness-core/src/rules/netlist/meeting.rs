//! Signals and roles that meet on a net, sorted into faults: which rule tells which, so that one fault is told once.
//!
//! A real short through a source is `sneak-short`'s alone. A clash of supply and return is `role-conflict`'s, with the
//! exchange that mends it; every other net with several signals is `signal-mismatch`'s, whatever its roles; and a clash
//! of roles under one signal is `role-conflict`'s again.

use super::{
    ends::{Ends, WireEnd},
    names::{Mixed, Move, PinAt, Pins, crowded, is_crowded, mixed, pieces},
    role_conflict,
    roles::{Conflict, conflicts},
    shorts::shorts,
    signal_mismatch,
};
use crate::{
    analysis::Analysis,
    finding::Finding,
    model::{PointId, PointKind},
    network::NetId,
};
use rustc_hash::FxHashSet;

/// What the two rules tell.
#[derive(Debug)]
pub(super) struct Meetings<'m> {
    /// All pins.
    pub(super) pins: Pins<'m>,
    /// What hangs where.
    pub(super) ends: Ends<'m>,
    /// For `signal-mismatch`.
    pub(super) signals: Vec<Mixed>,
    /// For `role-conflict`: the conflict, and the nets and moves that belong to it.
    pub(super) roles: Vec<(Conflict, Mixed)>,
}

/// The findings of both rules, made from one look at the meetings.
#[derive(Debug, Default)]
pub(super) struct Told {
    /// Of `role-conflict`.
    pub(super) roles: Vec<Finding>,
    /// Of `signal-mismatch`.
    pub(super) signals: Vec<Finding>,
}

/// What the two rules tell of a design.
pub(super) fn told(analysis: &Analysis) -> Told {
    let meetings = meetings(analysis);
    Told { roles: role_conflict::findings(analysis, &meetings), signals: signal_mismatch::findings(analysis, &meetings) }
}

/// Sorts the meetings of a design.
fn meetings<'m>(analysis: &'m Analysis) -> Meetings<'m> {
    let pins = Pins::new(analysis);
    let ends = Ends::new(analysis.model());
    let shorted: FxHashSet<NetId> = shorts(analysis).iter().flat_map(|short| short.nets(analysis)).collect();
    let mut conflicts: Vec<Conflict> = conflicts(analysis, &pins);
    let crowded = crowded(analysis, &ends);
    conflicts.retain(|conflict| {
        let of = pins.of(conflict.net);
        let both = |piece: &Vec<PinAt<'_>>| {
            let holds = |at: usize| of.get(at).is_some_and(|pin| piece.iter().any(|other| other.point == pin.point));
            holds(conflict.one) && holds(conflict.other)
        };
        // Roles that only meet in a crowded cavity are that cavity's fault.
        let meet = !is_crowded(&crowded, conflict.net) || pieces(analysis, of, &crowded).iter().any(both);
        meet && !shorted.contains(&conflict.net)
    });
    let mut signals = Vec::new();
    let mut roles = Vec::new();
    let mut told: FxHashSet<NetId> = shorted;
    for group in mixed(analysis, &pins, &ends, &crowded) {
        if group.nets.iter().any(|net| told.contains(net)) {
            continue;
        }
        told.extend(group.nets.iter().copied());
        match conflicts.iter().find(|conflict| conflict.clash.hot && group.nets.contains(&conflict.net)) {
            Some(conflict) => roles.push((*conflict, group)),
            None => signals.push(group),
        }
    }
    for conflict in conflicts {
        if told.insert(conflict.net) {
            roles.push((conflict, Mixed { nets: vec![conflict.net], moves: Vec::new() }));
        }
    }
    Meetings { pins, ends, signals, roles }
}

impl Meetings<'_> {
    /// The wire end in the cavity that meets a pin.
    pub(super) fn wire_at(&self, pin: PointId) -> Option<WireEnd> {
        self.ends.wires(self.ends.reaching(pin)?).first().copied()
    }

    /// The cavity that meets a pin, whether a wire is in it or not; the pin itself where no end is there.
    pub(super) fn cavity(&self, analysis: &Analysis, pin: PointId) -> String {
        let model = analysis.model();
        let cavity = || {
            let point = model.point(pin)?;
            let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { return None };
            let end = model.end(self.ends.at_port(port).next()?)?;
            match point.kind {
                PointKind::Pin(_) => model.position_of(end.points, point.label),
                _ => None,
            }
        };
        model.point_name(self.ends.reaching(pin).or_else(cavity).unwrap_or(pin))
    }

    /// What the moves are, as an instruction.
    pub(super) fn instruction(&self, analysis: &Analysis, moves: &[Move]) -> Option<String> {
        let wire = |pin: PointId| self.wire_at(pin).map(|end| format!("`{}`", analysis.model().wire_name(end.wire)));
        let cavity = |pin: PointId| format!("`{}`", self.cavity(analysis, pin));
        match moves {
            [] => None,
            [one] => Some(format!("move wire {} from {} to {}", wire(one.from)?, cavity(one.from), cavity(one.to))),
            [one, other] if one.from == other.to && one.to == other.from => Some(format!(
                "exchange wires {} and {} in {} and {}",
                wire(one.from)?,
                wire(other.from)?,
                cavity(one.from),
                cavity(other.from)
            )),
            many => {
                let each: Option<Vec<String>> =
                    many.iter().map(|one| Some(format!("{} to {}", wire(one.from)?, cavity(one.to)))).collect();
                Some(format!("move wires {}", super::ends::listed(&each?)))
            }
        }
    }

    /// Adds to a finding what two pins of a net say, the path between them, and what it concerns.
    pub(super) fn evidence(
        &self,
        analysis: &Analysis,
        mut finding: Finding,
        nets: &[NetId],
        (one, other): (&PinAt<'_>, &PinAt<'_>),
    ) -> Finding {
        let model = analysis.model();
        for pin in [one, other] {
            let said = pin.pin.signal.map(|signal| signal.span).or(pin.pin.role.map(|role| role.span));
            let name = model.point_name(pin.point);
            let role = pin.pin.role.map_or_else(String::new, |role| format!(", {}", role.value.word()));
            let signal = self.pins.signal(pin);
            let says = if signal.is_empty() { format!("`{name}`{role}") } else { format!("`{name}`: `{signal}`{role}") };
            if let Some(span) = said.or(model.point(pin.point).map(|point| point.span)) {
                finding = finding.context(span, says);
            }
        }
        let path = analysis.network().path(one.point, |point| point == other.point, |_, edge| edge.is_metal());
        if let Some(path) = path {
            finding = finding.path(analysis.network().names(model, one.point, &path));
        }
        let pins = nets.iter().take(4).flat_map(|net| self.pins.of(*net).iter().take(8));
        pins.fold(finding, |finding, pin| finding.concerns(model.point_name(pin.point)))
    }

    /// Two pins of a net that name different signals: the odd one first, and one that most others agree with.
    pub(super) fn odd(&self, analysis: &Analysis, group: &Mixed) -> Option<(&PinAt<'_>, &PinAt<'_>)> {
        let net = *group.nets.first()?;
        let of = self.pins.of(net);
        let moved = group.moves.iter().find_map(|one| of.iter().find(|pin| pin.point == one.from));
        let count = |pin: &PinAt<'_>| of.iter().filter(|other| other.signal == pin.signal).take(64).count();
        let named = || of.iter().filter(|pin| pin.signal.is_some()).take(64);
        let odd = match moved {
            Some(moved) => moved,
            // Of equals the later one is the odd one.
            None => named().min_by_key(|pin| (count(pin), std::cmp::Reverse(pin.point)))?,
        };
        let other = of.iter().find(|pin| pin.signal.is_some() && pin.signal != odd.signal)?;
        debug_assert_eq!(analysis.network().net(odd.point), net);
        Some((odd, other))
    }
}
