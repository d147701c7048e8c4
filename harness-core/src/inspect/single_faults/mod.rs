//! Single faults as a reviewer reads them: what has the fault, what follows in each mode, how severe it is.
//!
//! Owns names, levels (`grade`) and the order; what changes is [`electrical::single_faults`](crate::electrical::single_faults)'. The most
//! severe faults come first, then by kind and name.

mod grade;
mod outcomes;
mod words;

pub use words::{FaultKind, What};

use self::outcomes::{joins_classes, outcomes};
use super::{Found, Names, Thing};
use crate::{
    analysis::Analysis,
    electrical::single_faults::{Effects, Fault, HowTried, StateOf, Tried, Unplugged},
    finding::Level,
    model::{PointId, PointKind},
    network::{EdgeId, EdgeKind, EdgeRole},
    quantity::{Ampere, Ohm, Second, Volt, Watt},
    text::Span,
    vocabulary::Function,
};
use std::{cmp::Reverse, num::NonZero};

/// One thing that follows from a fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// How severe it is.
    pub level: Level,
    /// What it is.
    pub what: What,
    /// The thing that it happens to.
    pub name: String,
    /// What a signal means now; empty for all else.
    pub note: &'static str,
    /// Its voltage before.
    pub before: Option<Volt>,
    /// Its voltage after.
    pub after: Option<Volt>,
    /// The voltage that it is made for, or that it may have at most.
    pub limit: Option<Volt>,
    /// The current through what has the fault.
    pub amps: Option<Ampere>,
    /// The heat in it.
    pub heat: Option<Watt>,
    /// When a fuse has opened at the latest, after the one before it.
    pub time: Option<Second>,
    /// What the vehicle needs the device for.
    pub function: Option<Function>,
}

/// What follows in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct InState {
    /// The mode, or the mode with the one before it where relays stay in.
    pub state: String,
    /// What follows, the most severe first.
    pub outcomes: Vec<Outcome>,
}

/// A fault with what follows.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultRow {
    /// What kind of fault it is.
    pub kind: FaultKind,
    /// What has the fault: one name, or the two contacts of a bridge.
    pub names: Vec<String>,
    /// Where the first of them is written.
    pub span: Span,
    /// How severe it is; `None` where nothing follows.
    pub level: Option<Level>,
    /// States in which something follows, the most severe first.
    pub states: Vec<InState>,
    /// States in which nothing is known of it.
    pub unknown: Vec<String>,
    /// Whether it has nothing to do with any current that is computed: what a signal means to a box is not known.
    pub idle: bool,
}

/// How many faults of a kind were tried, and what came of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FaultCount {
    /// How many were tried.
    pub tried: usize,
    /// How many are of each level, in the order of [`Level::ALL`].
    pub levels: [usize; 4],
    /// How many change nothing.
    pub harmless: usize,
    /// How many have to do with no current that is computed, so that nobody knows what follows.
    pub idle: usize,
    /// How many could not be judged in some state.
    pub unknown: usize,
}

/// Single faults of a design.
#[derive(Debug, Clone, PartialEq)]
pub struct SingleFaults {
    /// The states in which they were tried.
    pub states: Vec<String>,
    /// The faults, the most severe first.
    pub rows: Vec<FaultRow>,
    /// What came of the faults of each kind, in the order of [`FaultKind::ALL`].
    pub counts: [FaultCount; 6],
    /// By how much the resistance of contacts was raised.
    pub raised: Ohm,
}

impl SingleFaults {
    /// Tries faults in the modes of an analysis; all that a design can have are [`Electrical::single_faults`](crate::electrical::Electrical::single_faults)
    /// (crate::electrical::Electrical::single_faults). `progress` is called from any thread with the number of faults done since it was last
    /// called. Cost: see there.
    #[must_use]
    pub fn of(analysis: &Analysis, faults: &[Fault], how: HowTried, progress: &(dyn Fn(usize) + Sync)) -> Self {
        let electrical = analysis.electrical();
        let tried = electrical.try_faults(faults, how, progress);
        let first = electrical.modes_as_written().into_iter().map(|state| StateOf { mode: state.id, after: None });
        let second = electrical.latched().iter().map(|latched| StateOf { mode: latched.state.id, after: Some(latched.after) });
        let states = first.chain(second).map(|state| state_name(analysis, state)).collect();
        let mut rows: Vec<FaultRow> = tried.iter().map(|tried| row(analysis, tried)).collect();
        let mut counts = [FaultCount::default(); 6];
        for row in &rows {
            let Some(count) = counts.get_mut(row.kind as usize) else { continue };
            count.tried += 1;
            count.unknown += usize::from(!row.unknown.is_empty());
            match row.level.and_then(|level| Level::ALL.iter().position(|of| *of == level)) {
                Some(place) => count.levels.iter_mut().skip(place).take(1).for_each(|many| *many += 1),
                None if row.idle => count.idle += 1,
                None if row.unknown.is_empty() => count.harmless += 1,
                None => {}
            }
        }
        rows.sort_by(|a, b| (Reverse(a.level), a.kind, &a.names).cmp(&(Reverse(b.level), b.kind, &b.names)));
        Self { states, rows, counts, raised: how.raised }
    }
}

/// A connector taken apart, with what follows.
#[derive(Debug, Clone, PartialEq)]
pub struct UnpluggedRow {
    /// The end of the loom: `front.P3`.
    pub name: String,
    /// States in which something follows, in the order written.
    pub states: Vec<InState>,
    /// States in which nothing is known of it.
    pub unknown: Vec<String>,
}

/// What follows from each connector that is taken apart by itself, in the order of the ends. Cost: that of
/// [`Electrical::unplug`](crate::electrical::Electrical::unplug).
#[must_use]
pub fn unplugged(analysis: &Analysis) -> Vec<UnpluggedRow> {
    let row = |found: Unplugged| {
        let mut effects: Vec<&(StateOf, Effects)> = found.effects.iter().collect();
        effects.sort_by_key(|(state, _)| (state.after.is_some(), analysis.model()[state.mode].span));
        let states = effects.into_iter().map(|(state, effects)| InState {
            state: state_name(analysis, *state),
            outcomes: outcomes(analysis, Fault::Open(found.contact), *state, effects),
        });
        UnpluggedRow {
            name: analysis.model().end_name(found.end),
            states: states.filter(|state| !state.outcomes.is_empty()).collect(),
            unknown: found.unknown.iter().map(|state| state_name(analysis, *state)).collect(),
        }
    };
    analysis.electrical().unplug().into_iter().map(row).collect()
}

fn row(analysis: &Analysis, tried: &Tried) -> FaultRow {
    let mut states: Vec<InState> = Vec::new();
    let isolated = match tried.fault {
        Fault::Bridged(one, other) => joins_classes(analysis, one, other),
        _ => false,
    };
    let mut effects: Vec<&(StateOf, Effects)> = tried.effects.iter().collect();
    effects.sort_by_key(|(state, _)| (state.after.is_some(), analysis.model()[state.mode].span));
    for (state, effects) in effects {
        let outcomes = outcomes(analysis, tried.fault, *state, effects);
        if !outcomes.is_empty() {
            states.push(InState { state: state_name(analysis, *state), outcomes });
        }
    }
    // The isolation is gone whether anything flows or not.
    if let Some(first) = analysis.electrical().modes().next().filter(|_| isolated && states.is_empty()) {
        let outcomes = outcomes(analysis, tried.fault, StateOf { mode: first.id, after: None }, &Effects::default());
        states.push(InState { state: "every mode".to_owned(), outcomes });
    }
    let worst = |state: &InState| state.outcomes.iter().map(|outcome| outcome.level).max();
    let severity =
        |state: &InState| state.outcomes.iter().map(|outcome| outcome.level).filter(|level| *level > Level::Note).count();
    states.sort_by_key(|state| Reverse((worst(state), severity(state), state.outcomes.len())));
    FaultRow {
        kind: FaultKind::of(tried.fault),
        names: names(analysis, tried.fault),
        span: span(analysis, tried.fault),
        level: states.first().and_then(worst),
        states,
        idle: tried.idle && tried.effects.is_empty() && tried.unknown.is_empty(),
        unknown: tried.unknown.iter().map(|state| state_name(analysis, *state)).collect(),
    }
}

fn state_name(analysis: &Analysis, state: StateOf) -> String {
    let name = |mode| analysis.model().mode_name(mode);
    match state.after {
        Some(after) => format!("{} after {}", name(state.mode), name(after)),
        None => name(state.mode).to_owned(),
    }
}

/// The names of what has a fault.
pub(crate) fn names(analysis: &Analysis, fault: Fault) -> Vec<String> {
    let (model, network) = (analysis.model(), analysis.network());
    let of_edge = |id: EdgeId| {
        let edge = &network[id];
        match edge.kind {
            EdgeKind::Wire(wire) => model.wire_name(wire),
            EdgeKind::Element(element) => {
                let name = model.element_name(element);
                if edge.role == EdgeRole::BreakContact { format!("{name} (break contact)") } else { name }
            }
            _ => model.point_name(of_loom(analysis, id)),
        }
    };
    match fault {
        Fault::Bridged(one, other) => vec![model.point_name(one), model.point_name(other)],
        Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) | Fault::Welded(edge) | Fault::Stuck(edge) => {
            vec![of_edge(edge)]
        }
    }
}

/// The point of a contact or joint that belongs to the loom.
fn of_loom(analysis: &Analysis, edge: EdgeId) -> PointId {
    let edge = &analysis.network()[edge];
    match analysis.model()[edge.a].kind {
        PointKind::Cavity(_) | PointKind::Ring(_) => edge.a,
        PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) | PointKind::Splice(_) => edge.b,
    }
}

fn span(analysis: &Analysis, fault: Fault) -> Span {
    let (model, network) = (analysis.model(), analysis.network());
    match fault {
        Fault::Bridged(one, _) => model[one].span,
        Fault::Open(id) | Fault::Blown(id) | Fault::Raised(id) | Fault::Welded(id) | Fault::Stuck(id) => {
            match (network[id].wire(), network[id].element()) {
                (Some(wire), _) => model[wire].span,
                (None, Some(element)) => model[element].span,
                (None, None) => model[of_loom(analysis, id)].span,
            }
        }
    }
}

/// The faults of one kind that a name, or two for a bridge, leads to.
///
/// # Errors
/// What the name leads to instead, if that is not one thing; `None` in it if the thing cannot have such a fault.
pub fn named(analysis: &Analysis, kind: FaultKind, wanted: &[String]) -> Result<Vec<Fault>, (String, Option<Found>)> {
    let found = Names::new(analysis.model());
    let mut things = Vec::new();
    let sort = match kind {
        FaultKind::Open => "wire",
        FaultKind::Blown | FaultKind::Welded | FaultKind::Stuck => "element",
        FaultKind::Bridged | FaultKind::Raised => "point",
    };
    for name in wanted {
        // What can have the fault is meant, whatever else has the name.
        match (found.find(&format!("{sort} {name}")), found.find(name)) {
            (Found::One(thing), _) | (Found::Nothing(_), Found::One(thing)) => things.push(thing),
            (several @ Found::Several { .. }, _) | (Found::Nothing(_), several) => return Err((name.clone(), Some(several))),
        }
    }
    let network = analysis.network();
    let edges = |keep: &dyn Fn(EdgeId, EdgeRole) -> bool, fault: fn(EdgeId) -> Fault| -> Vec<Fault> {
        network.edges().filter(|(id, edge)| keep(*id, edge.role)).map(|(id, _)| fault(id)).collect()
    };
    let faults = match (kind, things.as_slice()) {
        (FaultKind::Open, [Thing::Wire(wire)]) => edges(&|id, _| network[id].wire() == Some(*wire), Fault::Open),
        (FaultKind::Blown, [Thing::Element(fuse)]) => {
            edges(&|id, role| role.is_fuse() && network[id].element() == Some(*fuse), Fault::Blown)
        }
        (FaultKind::Bridged, [Thing::Point(one), Thing::Point(other)]) if one != other => {
            vec![Fault::Bridged(*one.min(other), *one.max(other))]
        }
        (FaultKind::Raised, [Thing::Point(point)]) => {
            let is_its = |id: EdgeId| network[id].a == *point || network[id].b == *point;
            edges(&|id, role| role.is_place() && is_its(id), Fault::Raised)
        }
        (FaultKind::Welded | FaultKind::Stuck, [Thing::Element(relay)]) => {
            let fault = if kind == FaultKind::Welded { Fault::Welded } else { Fault::Stuck };
            edges(&|id, role| role.is_relay_contact() && network[id].element() == Some(*relay), fault)
        }
        _ => Vec::new(),
    };
    if faults.is_empty() { Err((wanted.join("` and `"), None)) } else { Ok(faults) }
}

/// How faults are tried: by how much contacts are raised, where the caller says it, and on how many threads.
#[must_use]
pub fn how(raised: Option<Ohm>, threads: Option<NonZero<usize>>) -> HowTried {
    let usual = HowTried::default();
    HowTried { raised: raised.unwrap_or(usual.raised), threads }
}
