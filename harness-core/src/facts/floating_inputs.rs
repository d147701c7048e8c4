//! Inputs that nothing drives and nothing pulls, ever or in a mode.
//!
//! The idea: from an input all is followed that joins it to anything, through loads, coils and resistors too, because they pull. What gives a level
//! ends the search: a source, an output, a pole, a box that shows nothing of what it does there. With every contact closed the input floats for
//! ever; with the contacts as they are in a mode, while that mode lasts, unless the box pulls it itself (`pull`). Where a pin without a wire or a
//! wire that ends at nothing is reached, or where wires are in each other's places, that is the fault.
//!
//! Cost: for each input and mode what is reached before a level is, which is a wire or two.

use super::{Facts, pins::PinAt};
use crate::{
    electrical::ModeState,
    model::{DeviceId, ElementId, ModeId, PointId, PointKind},
    network::{Edge, EdgeId, NetId},
    vocabulary::{Drive, Pull, Role},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Inputs that nothing drives and nothing pulls, those that hang together in one entry.
    ///
    /// Asked by `netlist/floating-input` and for what is not known of inputs.
    #[must_use]
    pub fn floating_inputs(&self) -> &[FloatingInputs] {
        self.made.floating_inputs.get_or_init(|| floating_inputs(self))
    }
}

/// When an input has no level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Floats {
    /// Whatever is closed.
    Always,
    /// In this mode, the first of them, because the contacts on its way are open.
    In(ModeId),
    /// While the outputs that drive it are off: they drive to one side alone.
    WhileOff,
}

/// Inputs that hang together.
#[derive(Debug)]
pub struct FloatingInputs {
    /// When.
    pub when: Floats,
    /// The inputs; at least one.
    pub inputs: Vec<PinAt>,
    /// Contacts, resistors and what else is between them, or is open.
    pub between: Vec<ElementId>,
    /// Whether the boxes say that they pull none of them: `false` where some say nothing.
    pub is_certain: bool,
}

/// What gives a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Level {
    /// Always.
    Held,
    /// An output that drives to one side alone.
    OneSided,
    /// Something else is at fault there.
    Other,
}

/// What was reached from an input.
#[derive(Debug, Default)]
struct Reached {
    level: Option<Level>,
    points: Vec<PointId>,
    between: Vec<ElementId>,
}

/// Whether a pin of this role gives its net a level, or may.
fn holds(role: Role) -> bool {
    match role {
        Role::Input | Role::Screen => false,
        Role::Output | Role::Bidirectional | Role::Supply | Role::Reference | Role::Line | Role::Phase => true,
        Role::Return | Role::SensorReturn | Role::Chassis | Role::Earth | Role::Neutral => true,
        Role::CanHigh | Role::CanLow | Role::Lin | Role::Interlock | Role::Pilot | Role::Proximity => true,
    }
}

/// Where a search ends.
struct Search<'f> {
    facts: &'f Facts,
    /// Points at which another rule reports that something is missing, or that are left open on purpose.
    open: FxHashSet<PointId>,
}

/// Points at which another rule reports that something is missing, or that are left open on purpose.
pub(super) fn open_points(facts: &Facts) -> FxHashSet<PointId> {
    let model = facts.model();
    let ends = facts.dangling().iter().flat_map(|dangling| &dangling.wires).map(|end| end.point);
    let mut open: FxHashSet<PointId> = facts.unconnected().iter().copied().chain(ends).collect();
    // A lead that is capped on purpose waits for what will drive it.
    open.extend(model.wires().filter(|(_, wire)| wire.capped).flat_map(|(_, wire)| [wire.from, wire.to]).flatten());
    open
}

impl<'f> Search<'f> {
    fn new(facts: &'f Facts) -> Self {
        Self { facts, open: open_points(facts) }
    }

    /// What a point does to all that is joined to it.
    fn level(&self, point: PointId) -> Option<Level> {
        if self.open.contains(&point) {
            return Some(Level::Other);
        }
        let (model, network) = (self.facts.model(), self.facts.network());
        let item = &model[point];
        if !matches!(item.kind, PointKind::Pin(_) | PointKind::Stud(_)) {
            return None;
        }
        let said = item.pin.map(|pin| &model[pin]);
        let role = said.and_then(|pin| pin.role).map(|role| role.value);
        let drive = said.and_then(|pin| pin.drive).map(|drive| drive.value);
        // What is drawn inside a box at a point decides what the point does; of a pole, and of a box that shows nothing there, the role does.
        let is_drawn = network.around(point).any(|(_, edge, _)| edge.element().is_some());
        let is_pole = role.is_some_and(|role| role.takes_back() || role.gives_supply());
        if !role.is_none_or(holds) || (is_drawn && drive.is_none() && !is_pole) {
            return None;
        }
        Some(match drive {
            Some(Drive::LowSide | Drive::HighSide) => Level::OneSided,
            Some(Drive::PushPull) | None => Level::Held,
        })
    }

    /// Follows what joins an input to anything, over what `passes`.
    fn from(&self, start: PointId, passes: impl Fn(EdgeId, &Edge) -> bool) -> Reached {
        let network = self.facts.network();
        let mut reached = Reached { points: vec![start], ..Reached::default() };
        let mut seen: FxHashSet<PointId> = FxHashSet::from_iter([start]);
        let mut next = 0;
        while let Some(point) = reached.points.get(next).copied() {
            next += 1;
            match self.level(point) {
                Some(level @ Level::OneSided) => reached.level = Some(level),
                Some(level) => return Reached { level: Some(level), ..reached },
                None => {}
            }
            for (id, edge, other) in network.around(point) {
                reached.between.extend(edge.element());
                if !passes(id, edge) {
                    continue;
                }
                if edge.role.drives() {
                    return Reached { level: Some(Level::Held), ..reached };
                }
                if seen.insert(other) {
                    reached.points.push(other);
                }
            }
        }
        reached.between.sort_unstable();
        reached.between.dedup();
        reached
    }
}

/// Wires in each other's places, of which an input without a driver is one half.
struct Swapped {
    nets: FxHashSet<NetId>,
    /// Pairs of devices of which outputs meet.
    outputs: FxHashSet<(DeviceId, DeviceId)>,
}

impl Swapped {
    fn new(facts: &Facts) -> Self {
        let clashes = facts.role_clashes();
        let mixed = facts.mixed_signals().iter().flat_map(|mixed| &mixed.nets);
        let nets = clashes.iter().map(|clash| clash.net).chain(mixed.copied()).collect();
        let drive = |role: Option<Role>| role == Some(Role::Output);
        let pairs = clashes.iter().filter(|clash| drive(clash.one.role) && drive(clash.other.role));
        let outputs = pairs.flat_map(|clash| {
            let (one, other) = (clash.one.device, clash.other.device);
            [(one, other), (other, one)]
        });
        Self { nets, outputs: outputs.collect() }
    }

    fn explains(&self, facts: &Facts, inputs: &[PinAt]) -> bool {
        let pairs = inputs.iter().flat_map(|one| inputs.iter().map(move |other| (one.device, other.device)));
        inputs.iter().any(|pin| self.nets.contains(&facts.network().net(pin.point)))
            || pairs.into_iter().any(|pair| self.outputs.contains(&pair))
    }
}

fn floating_inputs(facts: &Facts) -> Vec<FloatingInputs> {
    let (model, network, pins) = (facts.model(), facts.network(), facts.pins());
    let search = Search::new(facts);
    let inputs = pins.runs().flat_map(|run| pins.of_run(run)).filter(|pin| pin.role == Some(Role::Input));
    let mut inputs: Vec<PinAt> = inputs.copied().collect();
    inputs.sort_unstable_by_key(|pin| pin.point);
    let modes: Vec<&ModeState> = facts.electrical().modes_as_written();
    let mut done: FxHashSet<PointId> = FxHashSet::default();
    let mut found = Vec::new();
    let swapped = Swapped::new(facts);
    for input in &inputs {
        let is_joined = network.around(input.point).any(|(_, edge, _)| edge.wire().is_some() || edge.role.is_place());
        if !is_joined || done.contains(&input.point) {
            continue;
        }
        let pull = |pin: &PinAt| model[pin.pin].pull.map(|pull| pull.value);
        let whole = search.from(input.point, |_, edge| edge.role.is_galvanic());
        let (when, reached) = match whole.level {
            Some(Level::Other) => continue,
            None => (Floats::Always, whole),
            // The box gives it a level of its own, or something drives it both ways all the time.
            Some(_) if matches!(pull(input), Some(Pull::Up | Pull::Down)) => continue,
            Some(_) => {
                let open = modes.iter().find_map(|mode| {
                    let passes =
                        |id: EdgeId, edge: &Edge| edge.role.is_galvanic() && (!edge.role.is_switched() || mode.conducts(id));
                    let reached = search.from(input.point, passes);
                    match reached.level {
                        None => Some((Floats::In(mode.id), reached)),
                        Some(Level::OneSided) => Some((Floats::WhileOff, reached)),
                        Some(Level::Held | Level::Other) => None,
                    }
                });
                let Some(open) = open else { continue };
                open
            }
        };
        let mut own: Vec<PinAt> = inputs.iter().filter(|pin| reached.points.contains(&pin.point)).copied().collect();
        // One of several that pulls is enough for all.
        if when != Floats::Always && own.iter().any(|pin| matches!(pull(pin), Some(Pull::Up | Pull::Down))) {
            continue;
        }
        done.extend(own.iter().map(|pin| pin.point));
        if when == Floats::Always && swapped.explains(facts, &own) {
            continue;
        }
        // Of an input that only passes something on inside its box, as a contact in a plug does, the box shows what pulls it: nothing.
        let is_drawn = |pin: &PinAt| network.around(pin.point).any(|(_, edge, _)| edge.element().is_some());
        let says_none = |pin: &PinAt| pull(pin) == Some(Pull::Neither);
        let is_certain =
            when == Floats::Always || (own.iter().any(says_none) && own.iter().all(|pin| says_none(pin) || is_drawn(pin)));
        // The one that is read comes first, before a contact that only passes it on.
        own.sort_by_key(|pin| !says_none(pin));
        found.push(FloatingInputs { when, inputs: own, between: reached.between, is_certain });
    }
    found
}
