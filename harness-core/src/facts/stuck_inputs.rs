//! Inputs whose level never changes: what pulls them and what switches them lead to the same side. And those of which a pin says one pull and its
//! box draws the other, so that nobody knows.
//!
//! The idea: from an input all is followed that joins it to anything, as for inputs without a level, with every contact closed, up to poles, outputs
//! and what shows nothing of its inside. Each end is at the plus, at the ground, or may be either. Where all are at one side, the pull is, and a
//! contact or an output that drives to one side alone is on the way, that contact or output changes nothing.
//!
//! Cost: two passes over the edges; for each input what is reached before a pole is, which is a wire or two.

use super::{Facts, floating_inputs::open_points, pins::PinAt};
use crate::{
    model::{ElementId, Owner, PointId, PointKind},
    network::{Components, EdgeRole, GroupId},
    vocabulary::{Drive, Pull, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Inputs whose level never changes, in the order of their points.
    ///
    /// Asked by `netlist/stuck-input`.
    #[must_use]
    pub fn stuck_inputs(&self) -> &[StuckInput] {
        self.made.stuck_inputs.get_or_init(|| stuck_inputs(self))
    }
}

/// The side to which something leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RailSide {
    /// The positive pole.
    Plus,
    /// The negative pole or the chassis.
    Ground,
}

/// What is meant to change the level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Changer {
    /// A contact.
    Contact(ElementId),
    /// An output that drives to one side alone.
    Output(PointId),
    /// Not known: the pin says the other pull than its box draws.
    Unknown,
}

/// An input whose level never changes, or of which two pulls are given.
#[derive(Debug)]
pub struct StuckInput {
    /// The input.
    pub input: PinAt,
    /// The side at which it is for good, or to which its box draws the pull.
    pub side: RailSide,
    /// A resistor, coil or load that pulls it; `None` where its pin says that its box does.
    pub by: Option<ElementId>,
    /// What is meant to change it.
    pub changer: Changer,
}

/// The sides to which the ends of a search lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Sides {
    plus: bool,
    ground: bool,
}

impl Sides {
    const PLUS: Self = Self { plus: true, ground: false };
    const GROUND: Self = Self { plus: false, ground: true };
    const EITHER: Self = Self { plus: true, ground: true };

    fn with(self, other: Self) -> Self {
        Self { plus: self.plus || other.plus, ground: self.ground || other.ground }
    }

    fn of_pull(pull: Pull) -> Option<Self> {
        match pull {
            Pull::Up => Some(Self::PLUS),
            Pull::Down => Some(Self::GROUND),
            Pull::Neither => None,
        }
    }

    fn alone(self) -> Option<RailSide> {
        match (self.plus, self.ground) {
            (true, false) => Some(RailSide::Plus),
            (false, true) => Some(RailSide::Ground),
            _ => None,
        }
    }
}

/// Where a search ends.
struct Ends<'f> {
    facts: &'f Facts,
    /// What metal and fuses join, whatever is switched.
    lumps: Components,
    poles: FxHashMap<GroupId, Sides>,
    /// Points at which another rule reports that something is missing.
    open: FxHashSet<PointId>,
}

/// What a point does to an input that is joined to it.
enum End {
    /// It leads on.
    Further,
    /// It is at a side, or may be at either.
    At(Sides),
    /// An output that drives to one side alone.
    Drives(Sides),
}

impl<'f> Ends<'f> {
    fn new(facts: &'f Facts) -> Self {
        let network = facts.network();
        let lumps = network
            .components(|_, edge| edge.role.conducts_when_closed() && !edge.role.is_switched() && edge.role != EdgeRole::Diode);
        let mut poles: FxHashMap<GroupId, Sides> = FxHashMap::default();
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            for (point, side) in [(edge.a, Sides::GROUND), (edge.b, Sides::PLUS)] {
                let known = poles.entry(lumps.of(point)).or_default();
                *known = known.with(side);
            }
        }
        Self { facts, lumps, poles, open: open_points(facts) }
    }

    fn pole(&self, point: PointId) -> Option<Sides> {
        self.poles.get(&self.lumps.of(point)).copied()
    }

    /// What a point does to `input`.
    fn end(&self, input: &PinAt, point: PointId) -> End {
        if self.open.contains(&point) {
            return End::At(Sides::EITHER);
        }
        if let Some(sides) = self.pole(point) {
            return End::At(sides);
        }
        let (model, network) = (self.facts.model(), self.facts.network());
        let item = &model[point];
        if point == input.point || !matches!(item.kind, PointKind::Pin(_) | PointKind::Stud(_)) {
            return End::Further;
        }
        let said = item.pin.map(|pin| &model[pin]);
        let is_drawn = network.around(point).any(|(_, edge, _)| edge.element().is_some());
        let drive = said.and_then(|pin| pin.drive).map(|drive| drive.value);
        match (said.and_then(|pin| pin.role).map(|role| role.value), drive) {
            (_, Some(Drive::HighSide)) => End::Drives(Sides::PLUS),
            (_, Some(Drive::LowSide)) => End::Drives(Sides::GROUND),
            (_, Some(Drive::PushPull)) => End::At(Sides::EITHER),
            (Some(Role::Supply | Role::Reference), None) => End::At(Sides::PLUS),
            (Some(role), None) if role.takes_back() => End::At(Sides::GROUND),
            (Some(Role::Input), None) => match said.and_then(|pin| pin.pull).map(|pull| pull.value) {
                Some(pull) => Sides::of_pull(pull).map_or(End::Further, End::At),
                None if is_drawn => End::Further,
                None => End::At(Sides::EITHER),
            },
            (None | Some(Role::Output | Role::Screen), None) if is_drawn => End::Further,
            (_, None) => End::At(Sides::EITHER),
        }
    }
}

fn stuck_inputs(facts: &Facts) -> Vec<StuckInput> {
    let pins = facts.pins();
    let inputs = pins.runs().flat_map(|run| pins.of_run(run)).filter(|pin| pin.role == Some(Role::Input));
    let mut inputs: Vec<PinAt> = inputs.copied().collect();
    if inputs.is_empty() {
        return Vec::new();
    }
    inputs.sort_unstable_by_key(|pin| pin.point);
    let ends = Ends::new(facts);
    inputs.iter().filter_map(|input| stuck(&ends, input)).collect()
}

fn stuck(ends: &Ends<'_>, input: &PinAt) -> Option<StuckInput> {
    let (model, network) = (ends.facts.model(), ends.facts.network());
    // What is joined to a pole for good is coded so.
    if ends.pole(input.point).is_some() {
        return None;
    }
    let stated = model[input.pin].pull.map(|pull| pull.value);
    if let Some((by, side)) = contradicted(ends, input, stated) {
        return Some(StuckInput { input: *input, side, by: Some(by), changer: Changer::Unknown });
    }
    let mut sides = stated.and_then(Sides::of_pull).unwrap_or_default();
    let (mut by, mut changer) = (None, None);
    let mut seen: FxHashSet<PointId> = FxHashSet::from_iter([input.point]);
    let mut waiting = vec![input.point];
    while let Some(point) = waiting.pop() {
        match ends.end(input, point) {
            End::At(at) => {
                sides = sides.with(at);
                continue;
            }
            End::Drives(at) => {
                sides = sides.with(at);
                changer = changer.or(Some(Changer::Output(point)));
                continue;
            }
            End::Further => {}
        }
        // An early end: it may be at either side.
        if sides == Sides::EITHER {
            return None;
        }
        for (_, edge, other) in network.around(point).filter(|(_, edge, _)| edge.role.is_galvanic()) {
            if edge.role.is_switched() {
                changer = edge.element().map(Changer::Contact).or(changer);
            } else if edge.role.draws() || edge.role.holds_back() {
                let own = edge.element().filter(|element| pulls(ends, input, stated, *element));
                by = by.or(own.filter(|_| ends.pole(other).is_some()));
            }
            if seen.insert(other) {
                waiting.push(other);
            }
        }
    }
    let side = sides.alone()?;
    let is_pulled = by.is_some() || stated.is_some_and(|pull| pull != Pull::Neither);
    let changer = changer.filter(|_| is_pulled)?;
    let by = by.filter(|_| stated.is_none_or(|pull| pull == Pull::Neither));
    Some(StuckInput { input: *input, side, by, changer })
}

/// The resistor that a box draws from an input to a pole, where all of them lead to the other side than the pin says.
fn contradicted(ends: &Ends<'_>, input: &PinAt, stated: Option<Pull>) -> Option<(ElementId, RailSide)> {
    let said = stated.and_then(Sides::of_pull)?.alone()?;
    let (model, network) = (ends.facts.model(), ends.facts.network());
    let drawn = network.around(input.point).filter_map(|(_, edge, other)| {
        let element = edge.element().filter(|_| edge.role == EdgeRole::Resistor)?;
        let is_own = model[element].owner == Owner::Device(input.device);
        Some((element, ends.pole(other).filter(|_| is_own)?.alone()?))
    });
    let drawn: Vec<(ElementId, RailSide)> = drawn.collect();
    if drawn.iter().any(|(_, side)| *side == said) { None } else { drawn.first().copied() }
}

/// Whether a resistor or load is known to be all that pulls an input: one outside a box that says nothing of its own pull is not.
fn pulls(ends: &Ends<'_>, input: &PinAt, stated: Option<Pull>, element: ElementId) -> bool {
    stated.is_some() || ends.facts.model()[element].owner == Owner::Device(input.device)
}
