//! What a vehicle is brought to life with: its batteries and where they come off, its other supplies, fuses, disconnects, and its modes in order.

use super::{
    batteries::{Battery, batteries, is_battery},
    pieces::Pieces,
    trials::{Trial, trials},
};
use crate::{
    electrical::ModeState,
    facts::Facts,
    model::{DomainId, ElementId, ElementKind, EndId, ModeId, PointId, PointKind},
    network::{Edge, EdgeId},
    quantity::Volt,
    standards::reading::bolted_above,
};
use std::collections::BTreeSet;

/// Power in watt from which on a mode runs something.
const RUNS: f64 = 1.0;
/// A vehicle, as hands that bring it to life see it.
pub(super) struct Vehicle<'f> {
    pub(super) facts: &'f Facts,
    /// The mode in which hands work: touch-safe where the design has such a mode, with nothing of class B switched on and the least running.
    pub(super) quiet: ModeId,
    /// The mode in which class B comes in: disconnects in, contactors open, the least running.
    pub(super) rest: ModeId,
    pub(super) pieces: Pieces,
    /// All modes, in the order in which they are tried.
    pub(super) modes: Vec<Stage>,
    pub(super) batteries: Vec<Battery>,
    pub(super) supplies: Vec<Supply>,
    /// Fuses of class A that are fitted, in the order written.
    pub(super) fuses: Vec<Fuse>,
    pub(super) disconnects: Vec<Disconnect>,
    /// What must let contacts go.
    pub(super) trials: Vec<Trial>,
}

/// A mode with what it switches on.
pub(super) struct Stage {
    pub(super) mode: ModeId,
    /// Contactors of class B are closed in it, or loads of class B run.
    pub(super) has_class_b: bool,
    /// Supplies from outside that are there in it and not in the quiet mode, by their place among the supplies.
    pub(super) supplies: Vec<usize>,
}

/// A source that is not a battery: mains with all of its phases, a generator, panels of cells in the sun, a converter that makes class B of
/// class A.
pub(super) struct Supply {
    /// One, or several of one box that come at once.
    pub(super) elements: Vec<ElementId>,
    pub(super) edges: Vec<EdgeId>,
    pub(super) class_b: bool,
    /// It is there in the quiet mode too, so that somebody has to keep it off.
    pub(super) always: bool,
    /// It gives no more than its limit.
    pub(super) limited: bool,
}

/// A fuse of class A.
pub(super) struct Fuse {
    pub(super) element: ElementId,
    pub(super) edge: EdgeId,
    pub(super) bolted: bool,
}

/// A service disconnect or main switch.
pub(super) struct Disconnect {
    pub(super) element: ElementId,
    pub(super) edges: Vec<EdgeId>,
    pub(super) class_b: bool,
}

impl<'f> Vehicle<'f> {
    /// `None` for a design without a mode that was computed.
    pub(super) fn new(facts: &'f Facts) -> Option<Self> {
        let disconnects = disconnects(facts);
        let states = facts.electrical().modes_as_written();
        let quiet = least(facts, states.iter().copied())?;
        let is_in = |mode: ModeId| {
            disconnects.iter().all(|one| match facts.model()[one.element].kind {
                ElementKind::Disconnect { out, .. } => !out.has(mode),
                _ => true,
            })
        };
        let rest = if is_in(quiet) {
            quiet
        } else {
            least(facts, states.iter().copied().filter(|state| is_in(state.id))).unwrap_or(quiet)
        };
        let mut supplies = supplies(facts);
        for supply in &mut supplies {
            supply.always = supply.is_on(facts, quiet);
        }
        let modes = stages(facts, &supplies);
        let opened = disconnects.iter().flat_map(|one| one.edges.iter().copied()).collect();
        Some(Self {
            facts,
            quiet,
            rest,
            pieces: Pieces::new(facts),
            trials: trials(facts, &modes),
            modes,
            batteries: batteries(facts, &opened),
            supplies,
            fuses: fuses(facts),
            disconnects,
        })
    }

    /// The piece that an edge belongs to.
    pub(super) fn piece(&self, edge: EdgeId) -> u32 {
        self.pieces.of(self.facts.network()[edge].a)
    }

    /// Whether a point is of class B; one of which no domain is known is not.
    pub(super) fn is_class_b(&self, point: PointId) -> bool {
        is_class_b(self.facts, point)
    }

    /// Whether an end of a loom stays at its battery, whatever is off.
    pub(super) fn is_plugged_in(&self, end: EndId) -> bool {
        self.batteries.iter().all(|battery| battery.lead.is_empty() || !battery.ends.contains(&end))
    }

    /// The domains of class B in which a battery has a pole.
    pub(super) fn domains_with_cells(&self) -> BTreeSet<DomainId> {
        let poles = self.batteries.iter().filter(|battery| battery.class_b).flat_map(|battery| battery.poles);
        let domains = poles.filter_map(|point| self.facts.electrical().domains().of(point));
        domains.filter(|domain| self.facts.model()[*domain].is_class_b()).collect()
    }

    /// Whether a motor has current in a mode.
    pub(super) fn turns_motors(&self, mode: ModeId) -> bool {
        let (model, network) = (self.facts.model(), self.facts.network());
        let is_motor = |edge: &Edge| edge.element().is_some_and(|element| model[element].kind.is_motor());
        let turns =
            |state: &ModeState| network.edges().any(|(id, edge)| edge.role.draws() && is_motor(edge) && state.conducts(id));
        self.facts.electrical().in_mode(mode).is_some_and(turns)
    }

    /// What is open before the first step: where batteries come off, fuses of class A, disconnects, and supplies.
    pub(super) fn all_open(&self) -> BTreeSet<EdgeId> {
        let leads = self.batteries.iter().flat_map(|battery| battery.lead.iter().copied());
        let fuses = self.fuses.iter().map(|fuse| fuse.edge);
        let disconnects = self.disconnects.iter().flat_map(|one| one.edges.iter().copied());
        leads
            .chain(fuses)
            .chain(disconnects)
            .chain(self.supplies.iter().flat_map(|supply| supply.edges.iter().copied()))
            .collect()
    }
}

pub(super) fn is_class_b(facts: &Facts, point: PointId) -> bool {
    facts.electrical().domains().of(point).is_some_and(|domain| facts.model()[domain].is_class_b())
}

/// The mode with the least of class B, then of what runs; touch-safe where two have as little.
fn least<'a>(facts: &Facts, from: impl Iterator<Item = &'a ModeState>) -> Option<ModeId> {
    let scored =
        from.map(|state| (has_class_b(facts, state), !facts.model()[state.id].touch_safe, power(facts, state), state.id));
    let least = scored.min_by(|(one_b, one_unsafe, one_power, _), (other_b, other_unsafe, other_power, _)| {
        one_b.cmp(other_b).then(one_unsafe.cmp(other_unsafe)).then(one_power.total_cmp(other_power))
    });
    least.map(|(.., mode)| mode)
}

/// The modes in the order that the design gives; else what runs least first, what needs a supply from outside last.
fn stages(facts: &Facts, supplies: &[Supply]) -> Vec<Stage> {
    let given = |mode: ModeId| facts.model().sequence.iter().position(|(known, _)| *known == mode).unwrap_or(usize::MAX);
    let stage = |(at, state): (usize, &ModeState)| {
        let comes = |supply: &Supply| !supply.always && supply.is_on(facts, state.id);
        let stage = Stage {
            mode: state.id,
            has_class_b: has_class_b(facts, state),
            supplies: (0..).zip(supplies).filter(|(_, supply)| comes(supply)).map(|(at, _)| at).collect(),
        };
        (stage, power(facts, state), at)
    };
    let mut modes: Vec<(Stage, f64, usize)> = facts.electrical().modes_as_written().into_iter().enumerate().map(stage).collect();
    modes.sort_by(|(one, one_power, one_at), (other, other_power, other_at)| {
        let key = |stage: &Stage| (!stage.supplies.is_empty(), given(stage.mode), stage.has_class_b);
        key(one).cmp(&key(other)).then(one_power.total_cmp(other_power)).then(one_at.cmp(other_at))
    });
    modes.into_iter().map(|(stage, ..)| stage).collect()
}

fn supplies(facts: &Facts) -> Vec<Supply> {
    let sources = facts.network().edges().filter(|(_, edge)| edge.role.is_source() && !is_battery(facts, edge));
    let found = sources.filter_map(|(id, edge)| {
        Some(Supply {
            elements: vec![edge.element()?],
            edges: vec![id],
            class_b: is_class_b(facts, edge.a) || is_class_b(facts, edge.b),
            always: false,
            limited: !edge.role.drives_without_limit(),
        })
    });
    let mut found: Vec<Supply> = found.collect();
    // An inverter that makes class B of class A has to be off as long as class B is.
    let is_b = |edge: &Edge| is_class_b(facts, edge.a) || is_class_b(facts, edge.b);
    for (id, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drives() && !edge.role.is_source() && is_b(edge)) {
        let Some(element) = edge.element() else { continue };
        let own = || facts.network().edges().filter(|(_, other)| other.element() == Some(element));
        if own().any(|(other, edge)| other != id && is_b(edge)) {
            continue;
        }
        let edges = own().map(|(id, _)| id).collect();
        found.push(Supply { elements: vec![element], edges, class_b: true, always: false, limited: false });
    }
    at_once(facts, found)
}

/// The supplies of one box that come in the same modes as one: the phases of the mains.
fn at_once(facts: &Facts, found: Vec<Supply>) -> Vec<Supply> {
    let model = facts.model();
    let key = |supply: &Supply| {
        let owner = supply.elements.first().map(|element| model[*element].owner);
        let modes: Vec<bool> = model.modes().map(|(mode, _)| supply.is_on(facts, mode)).collect();
        (owner, supply.class_b, supply.limited, modes)
    };
    let mut joined: Vec<(_, Supply)> = Vec::new();
    for supply in found {
        let own = key(&supply);
        match joined.iter_mut().find(|(known, _)| *known == own) {
            Some((_, known)) => {
                known.elements.extend(supply.elements);
                known.edges.extend(supply.edges);
            }
            None => joined.push((own, supply)),
        }
    }
    joined.into_iter().map(|(_, supply)| supply).collect()
}

impl Supply {
    fn is_on(&self, facts: &Facts, mode: ModeId) -> bool {
        self.elements.iter().any(|element| match facts.model()[*element].kind {
            ElementKind::Source { modes, .. } | ElementKind::Converter { modes, .. } => modes.has(mode),
            _ => false,
        })
    }
}

fn disconnects(facts: &Facts) -> Vec<Disconnect> {
    let mut found: Vec<Disconnect> = Vec::new();
    for (id, edge) in facts.network().edges() {
        let is_cut = edge.role.is_switched() && !edge.role.cuts_coils();
        let Some(element) = edge.element().filter(|_| is_cut) else { continue };
        match found.iter_mut().find(|known| known.element == element) {
            Some(known) => known.edges.push(id),
            None => {
                let class_b = is_class_b(facts, edge.a) || is_class_b(facts, edge.b);
                found.push(Disconnect { element, edges: vec![id], class_b });
            }
        }
    }
    found
}

fn fuses(facts: &Facts) -> Vec<Fuse> {
    let model = facts.model();
    let found = facts.network().edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let ElementKind::Fuse { kind, fitted: true } = model[element].kind else { return None };
        if is_class_b(facts, edge.a) || is_class_b(facts, edge.b) {
            return None;
        }
        let is_stud = |point: PointId| matches!(model[point].kind, PointKind::Stud(_) | PointKind::Ring(_));
        let rating = kind.and_then(|kind| model[kind].rating).map(|rating| rating.value);
        let bolted = is_stud(edge.a) && is_stud(edge.b) || rating.is_some_and(|rating| rating > bolted_above().value);
        Some(Fuse { element, edge: id, bolted })
    });
    found.collect()
}

/// What runs in a mode, in watt.
fn power(facts: &Facts, state: &ModeState) -> f64 {
    let drawing = facts.network().edges().filter(|(id, edge)| edge.role.draws() && state.conducts(*id));
    drawing.map(|(id, edge)| ((state.volts(edge.a) - state.volts(edge.b)).get() * state.amps(id).get()).abs()).sum()
}

/// Whether a mode closes a contactor of class B, or runs something of class B.
fn has_class_b(facts: &Facts, state: &ModeState) -> bool {
    facts.network().edges().any(|(id, edge)| {
        let is_b = || is_class_b(facts, edge.a) && is_class_b(facts, edge.b);
        let works = |volts: Volt| edge.role.draws() && (volts.get() * state.amps(id).get()).abs() > RUNS;
        let closes = edge.role.is_relay_contact() && edge.role.is_outward();
        state.conducts(id) && is_b() && (closes || works(state.volts(edge.a) - state.volts(edge.b)))
    })
}
