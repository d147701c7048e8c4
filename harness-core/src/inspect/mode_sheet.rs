//! What is on in each mode: where each contact is, what gives current, what takes it.

use super::{Charging, Thing, facts::kind};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    facts::loops::is_contactor,
    model::{ElementId, ElementKind, ModeId},
    network::{Edge, EdgeId, EdgeRole},
    quantity::Ampere,
};
use std::collections::BTreeMap;

/// One mode, with everything that the design or a coil moves, and everything that gives or takes current.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct ModeSheet {
    /// Its name.
    pub mode: String,
    /// Whether everything came to rest in it; without that some currents and positions are not known.
    pub is_settled: bool,
    /// The design says that nothing may enable the drive in it.
    pub is_immobile: bool,
    /// The design says that nothing live can be touched in it.
    pub is_touch_safe: bool,
    /// Switches, contacts of selectors, relays and service disconnects, in the order written.
    pub contacts: Vec<ModeContact>,
    /// Sources and outputs of converters, in the order written.
    pub gives: Vec<ModeCurrent>,
    /// Loads and inputs of converters, in the order written.
    pub takes: Vec<ModeCurrent>,
    /// Relays that are at rest in it and stay pulled in if they were, each with the mode before it.
    pub stays: Vec<(String, String)>,
}

/// Something that lets current through or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ModeContact {
    /// Its name.
    pub name: String,
    /// What it is: `switch`, `relay`, `contactor`.
    pub what: &'static str,
    /// Where it is; `None` for a relay whose circuit found no state of rest.
    pub position: Option<Position>,
}

/// Where something is that moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// A switch that is closed.
    Closed,
    /// A relay whose coil holds its contacts.
    PulledIn,
    /// A service disconnect that is in its place.
    In,
    /// A switch that is open.
    Open,
    /// A relay whose coil does not hold its contacts.
    AtRest,
    /// A service disconnect that is out.
    Out,
}

impl Position {
    /// All of them: what is made first, then what is broken.
    pub const ALL: [Self; 6] = [Self::Closed, Self::PulledIn, Self::In, Self::Open, Self::AtRest, Self::Out];

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Closed => "closed",
            Self::PulledIn => "pulled in",
            Self::In => "in its place",
            Self::Open => "open",
            Self::AtRest => "at rest",
            Self::Out => "out",
        }
    }
}

/// What gives or takes current in a mode.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeCurrent {
    /// Its name.
    pub name: String,
    /// What it is: `source`, `load`, `converter`.
    pub what: &'static str,
    /// The design says that it is there, or meant to run, in the mode.
    pub is_meant: bool,
    /// The current that it gives or takes: below zero for a battery that is charged; `None` where no steady state was found.
    pub amps: Option<Ampere>,
    /// The same while batteries on charge are flat, and while they are full; `None` where none is on charge.
    pub charging: Option<Charging>,
    /// Whether a source of its circuit is shorted: the current is that of the fault.
    pub is_shorted: bool,
}

/// What is on in each mode, the modes in the order written.
///
/// Cost: a pass over elements and edges a mode.
#[must_use]
pub fn mode_sheets(analysis: &Analysis) -> Vec<ModeSheet> {
    let (model, network) = (analysis.model(), analysis.network());
    let mut edges: BTreeMap<ElementId, Vec<EdgeId>> = BTreeMap::new();
    for (id, edge) in network.edges() {
        if let Some(element) = edge.element() {
            edges.entry(element).or_default().push(id);
        }
    }
    let mut elements: Vec<ElementId> = model.elements().map(|(id, _)| id).collect();
    elements.sort_by_key(|id| (model[*id].span, *id));
    let sheet = |state: &ModeState| {
        let own = |id: &ElementId| edges.get(id).map(Vec::as_slice).unwrap_or_default();
        let mode = &model[state.id];
        let current = |end: fn(EdgeRole) -> bool| {
            let of = |id: &ElementId| {
                own(id).iter().find(|edge| end(network[**edge].role)).map(|edge| current(analysis, state, *id, *edge))
            };
            elements.iter().filter_map(of).collect()
        };
        ModeSheet {
            mode: model.mode_name(state.id).to_owned(),
            is_settled: state.is_settled(),
            is_immobile: mode.immobile,
            is_touch_safe: mode.touch_safe,
            contacts: elements.iter().filter_map(|id| contact(analysis, state, *id, own(id), &edges)).collect(),
            gives: current(EdgeRole::drives),
            takes: current(|role| matches!(role, EdgeRole::Load | EdgeRole::ConverterInput)),
            stays: stays(analysis, state.id),
        }
    };
    analysis.electrical().modes_as_written().into_iter().map(sheet).collect()
}

fn current(analysis: &Analysis, state: &ModeState, id: ElementId, edge: EdgeId) -> ModeCurrent {
    let (model, at) = (analysis.model(), &analysis.network()[edge]);
    let is_known = !state.is_adrift(at.a) && !state.refused.contains(&edge);
    let charge = analysis.electrical().charge_in(state.id);
    ModeCurrent {
        name: model.element_name(id),
        what: kind(model, Thing::Element(id)),
        is_meant: model[id].kind.modes().is_none_or(|modes| modes.has(state.id)),
        amps: is_known.then(|| state.amps(edge)),
        charging: charge.map(|charge| Charging { flat: charge.flat.amps(edge), full: charge.full.amps(edge) }),
        is_shorted: state.is_shorted(at.a),
    }
}

/// Where a contact is; `None` for what is not one.
fn contact(
    analysis: &Analysis,
    state: &ModeState,
    id: ElementId,
    own: &[EdgeId],
    edges: &BTreeMap<ElementId, Vec<EdgeId>>,
) -> Option<ModeContact> {
    let (model, network) = (analysis.model(), analysis.network());
    let kind_of = &model[id].kind;
    let edge = |keep: fn(&Edge) -> bool| own.iter().copied().find(|edge| keep(&network[*edge]));
    let position = match kind_of {
        ElementKind::Switch { closed, .. } if closed.has(state.id) => Some(Position::Closed),
        ElementKind::Switch { .. } => Some(Position::Open),
        ElementKind::Disconnect { out, .. } if out.has(state.id) => Some(Position::Out),
        ElementKind::Disconnect { .. } => Some(Position::In),
        ElementKind::Relay { coil_of, .. } => {
            let made = edge(|edge| edge.role == EdgeRole::MakeContact).map(|edge| state.conducts(edge));
            let broken = edge(|edge| edge.role == EdgeRole::BreakContact).map(|edge| !state.conducts(edge));
            // What is swinging has no position.
            let coils = edges.get(&coil_of.unwrap_or(id)).map(Vec::as_slice).unwrap_or_default();
            let swings = coils.iter().any(|edge| state.unsettled.contains(edge));
            let position = |pulled_in: bool| if pulled_in { Position::PulledIn } else { Position::AtRest };
            made.or(broken).filter(|_| !swings).map(position)
        }
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => {
            return None;
        }
        ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Link { .. } => return None,
        ElementKind::Converter { .. } | ElementKind::Interlock { .. } => return None,
    };
    let drops = own.iter().any(|edge| network[*edge].role.is_relay_contact() && is_contactor(analysis.facts(), &network[*edge]));
    let what = if drops { "contactor" } else { kind(model, Thing::Element(id)) };
    Some(ModeContact { name: model.element_name(id), what, position })
}

/// Relays that a mode leaves as they were.
fn stays(analysis: &Analysis, mode: ModeId) -> Vec<(String, String)> {
    let model = analysis.model();
    let second = analysis.electrical().latched().iter().filter(|latched| latched.state.id == mode);
    let mut stays: Vec<(String, String)> = second
        .flat_map(|latched| latched.coils.iter().map(|coil| (coil.edge, latched.after)))
        .filter_map(|(edge, after)| Some((analysis.network()[edge].element()?, after)))
        .map(|(element, after)| (model.element_name(element), model.mode_name(after).to_owned()))
        .collect();
    stays.sort_unstable();
    stays.dedup();
    stays
}
