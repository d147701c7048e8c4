//! How wires fit where they may end: by the names, roles and domains of what they lead to.
//!
//! Cost: for each wire what is behind it, at most so many points.

use crate::{
    facts::{
        Facts,
        open_points::needs_wire,
        pins::{PinAt, differ, is_crossing, is_in_loom},
        role_clashes::exclude,
        signals::are_free,
        wire_ends::WireEnd,
    },
    model::{EndId, Mate, PointId, PointKind},
    text::Name,
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

/// Points that are looked at behind one position, and pins that are compared there.
const MOST_POINTS: usize = 512;
const MOST_PINS: usize = 16;

/// How what is behind a wire fits a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Fit {
    /// They can't be joined, or a wire is missing or leads to nothing.
    Bad,
    /// Nothing is known against it or for it.
    Open,
    /// The name of one is a closer form of the other's.
    Close,
    /// They have one name.
    Same,
}

/// One position of a connector, as seen from the connector that mates it.
#[derive(Debug, Clone, Default)]
pub(super) struct Position {
    /// Its label.
    pub(super) label: Option<Name>,
    /// Its point.
    pub(super) point: Option<PointId>,
    /// The wire in it, where it is one of a loom.
    pub(super) wire: Option<WireEnd>,
    /// The pins that are behind it.
    pub(super) pins: Vec<PinAt>,
    /// Whether it has a use: a wire in a loom, a pin that is not spare.
    is_used: bool,
    /// Whether it needs something opposite.
    needs: bool,
}

impl Position {
    /// Whether a pin behind it says what it is for.
    pub(super) fn is_named(&self) -> bool {
        self.pins.iter().any(|pin| pin.signal.is_some() || pin.role.is_some())
    }
}

/// The positions of a connector of a loom in the order of its labels, with what its wires lead to, past the mating halves of others but not past its own.
pub(super) fn positions(facts: &Facts, half: Mate) -> Vec<Position> {
    let model = facts.model();
    match half {
        Mate::End(end) => model[end].points.iter().map(|point| of_cavity(facts, end, point)).collect(),
        Mate::Port(port) => model[port].points.iter().map(|point| of_pin(facts, point)).collect(),
    }
}

fn of_pin(facts: &Facts, point: PointId) -> Position {
    let model = facts.model();
    let pin = model[point].pin;
    let is_spare = pin.is_some_and(|pin| model[pin].spare.is_some());
    Position {
        label: Some(model[point].label),
        point: Some(point),
        wire: None,
        pins: pin_at(facts, point).into_iter().collect(),
        is_used: pin.is_none() || !is_spare,
        needs: pin.is_some_and(|pin| needs_wire(model, pin)),
    }
}

fn pin_at(facts: &Facts, point: PointId) -> Option<PinAt> {
    let device = facts.model().device_at(point)?;
    facts.pins().of_device(device).iter().find(|pin| pin.point == point).copied()
}

fn of_cavity(facts: &Facts, end: EndId, point: PointId) -> Position {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let is_used = ends.count(point) > 0;
    let pins = if is_used { behind(facts, end, point) } else { Vec::new() };
    let partner = match ends.partner(end) {
        Some(Mate::End(other)) => Some(&model[other]),
        Some(Mate::Port(_)) | None => None,
    };
    Position {
        // As its mate calls it.
        label: Some(model.met_label(&model[end], partner, point)),
        point: Some(point),
        wire: ends.wires(point).first().copied(),
        pins,
        is_used,
        needs: is_used,
    }
}

/// The pins that wires lead to from a cavity, not through the connector itself.
fn behind(facts: &Facts, end: EndId, cavity: PointId) -> Vec<PinAt> {
    let model = facts.model();
    let partner = facts.wire_ends().partner(end);
    let is_partner = |point: PointId| match model[point].kind {
        PointKind::Pin(port) => partner == Some(Mate::Port(port)),
        PointKind::Cavity(end) => partner == Some(Mate::End(end)),
        PointKind::Stud(_) | PointKind::Node(_) | PointKind::Ring(_) | PointKind::Splice(_) => false,
    };
    led_to(facts, cavity, is_partner)
}

/// The pins that wires lead to from a point, not over points that are left out.
fn led_to(facts: &Facts, from: PointId, is_left_out: impl Fn(PointId) -> bool) -> Vec<PinAt> {
    let (model, network) = (facts.model(), facts.network());
    let mut seen: FxHashSet<PointId> = FxHashSet::default();
    let mut queue = vec![from];
    seen.insert(from);
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(point) = queue.get(at).copied() {
        at += 1;
        found.extend(pin_at(facts, point));
        if at >= MOST_POINTS || found.len() >= MOST_PINS {
            break;
        }
        for (_, edge, other) in network.around(point) {
            if edge.role.runs_on(is_in_loom(model, edge)) && !is_left_out(other) && seen.insert(other) {
                queue.push(other);
            }
        }
    }
    found
}

/// The pins that a wire leads to from one of its ends, not over that end.
fn behind_wire(facts: &Facts, end: &WireEnd) -> Vec<PinAt> {
    let wire = &facts.model()[end.wire];
    let far = if wire.from == Some(end.point) { wire.to } else { wire.from };
    far.map_or_else(Vec::new, |far| led_to(facts, far, |point| point == end.point))
}

impl Facts {
    /// Whether wires that end at one place carry one signal, as far as names, roles and domains say: all lead to something, nothing that one leads to
    /// excludes what another does, and each has a name, or a role and domain, in common with the first.
    ///
    /// Asked by `netlist/crowded-cavity`.
    #[must_use]
    pub fn carry_one_signal(&self, wires: &[WireEnd]) -> bool {
        let led: Vec<Vec<PinAt>> = wires.iter().map(|end| behind_wire(self, end)).collect();
        let Some((first, others)) = led.split_first() else { return false };
        let has_role_and_domain = |one: &PinAt, other: &PinAt| {
            one.role.is_some() && one.role == other.role && one.domain.is_some() && one.domain == other.domain
        };
        let is_power = |pin: &PinAt| pin.role.is_some_and(|role| role.takes_back() || role.gives_supply());
        let agree = |one: &[PinAt], other: &[PinAt]| match of_pins(self, one, other) {
            Fit::Bad => false,
            Fit::Same | Fit::Close => true,
            Fit::Open => one.iter().any(|one| is_power(one) && other.iter().any(|other| has_role_and_domain(one, other))),
        };
        others.iter().all(|other| agree(first, other))
            && others
                .iter()
                .enumerate()
                .all(|(at, one)| others.iter().skip(at + 1).all(|other| of_pins(self, one, other) != Fit::Bad))
    }

    /// How what a wire leads to fits a pin: `None` where nothing may join them, else the larger the better.
    ///
    /// Asked by `netlist/crowded-cavity`.
    #[must_use]
    pub fn fit_of_wire(&self, end: &WireEnd, pin: PointId) -> Option<u8> {
        match of_pins(self, &behind_wire(self, end), &pin_at(self, pin).into_iter().collect::<Vec<_>>()) {
            Fit::Bad => None,
            Fit::Open => Some(0),
            Fit::Close => Some(1),
            Fit::Same => Some(2),
        }
    }
}

/// How the wire in `own` fits the position `other` of what its connector mates; `None` for a position that the partner does not have.
pub(super) fn fit(facts: &Facts, own: Option<&Position>, other: Option<&Position>) -> Fit {
    match (own.filter(|own| own.is_used), other) {
        (None, other) => {
            if other.is_some_and(|other| other.needs) {
                Fit::Bad
            } else {
                Fit::Open
            }
        }
        (Some(_), None) => Fit::Bad,
        (Some(_), Some(other)) if !other.is_used => Fit::Bad,
        (Some(own), Some(other)) => of_pins(facts, &own.pins, &other.pins),
    }
}

fn of_pins(facts: &Facts, own: &[PinAt], others: &[PinAt]) -> Fit {
    let pairs = || own.iter().flat_map(|one| others.iter().map(move |other| (one, other)));
    if pairs().any(|(one, other)| clash(facts, one, other)) {
        return Fit::Bad;
    }
    let mut best = None;
    for (one, other) in pairs() {
        best = best.max(named(facts, one, other));
    }
    best.unwrap_or(Fit::Open)
}

/// Whether roles or domains of two pins exclude each other.
fn clash(facts: &Facts, one: &PinAt, other: &PinAt) -> bool {
    let model = facts.model();
    let gives = |pin: &PinAt| pin.role.is_some_and(Role::gives_supply);
    let differ = one.domain.zip(other.domain).is_some_and(|(one, other)| differ(model, one, other));
    exclude(one.role, other.role) || is_crossing(model, one.domain, other.domain) || (differ && gives(one) && gives(other))
}

/// How the names of two pins fit; `None` where one has none.
fn named(facts: &Facts, one: &PinAt, other: &PinAt) -> Option<Fit> {
    let pins = facts.pins();
    let (own, theirs) = (pins.named_as(one)?, pins.named_as(other)?);
    if one.signal == other.signal {
        return Some(Fit::Same);
    }
    let is_line = own.is_one_line(&theirs);
    if !own.agrees(&theirs) && !is_line && !are_free(pins, one, other) {
        return Some(Fit::Bad);
    }
    let is_close = own.label.shortens(theirs.label) && !own.label.is_opposite_of(theirs.label);
    Some(if is_line {
        Fit::Same
    } else if is_close {
        Fit::Close
    } else {
        Fit::Open
    })
}
