//! A design in one mode: what closed edges join, with and without the sources between.

use crate::{
    analysis::Analysis,
    document::inside::LoadKind,
    electrical::ModeState,
    model::{Element, ElementKind, Model, PointId},
    network::{Components, Domains, Edge, EdgeId, EdgeKind, Terminal},
    quantity::Volt,
};

/// What an edge is to a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// Lets it through when closed: metal, fuse, switch, contact, disconnect, interlock bridge, diode.
    Conductor,
    /// Drives it.
    Source,
    /// Takes it: a load, a coil, the input of a converter.
    Load,
    /// Holds it back: a resistor, a capacitor.
    Resistor,
}

/// What `edge` is.
pub(super) fn part(model: &Model, edge: &Edge) -> Part {
    let EdgeKind::Element(element, terminal) = edge.kind else { return Part::Conductor };
    match (model.element(element).map(|element| &element.kind), terminal) {
        (Some(ElementKind::Source { .. }), _) | (_, Terminal::Output) => Part::Source,
        (Some(ElementKind::Load { .. }), _) | (_, Terminal::Coil | Terminal::Input) => Part::Load,
        (Some(ElementKind::Resistor(_) | ElementKind::Capacitor(_)), _) => Part::Resistor,
        _ => Part::Conductor,
    }
}

/// Whether the edge can be open in one mode and closed in another.
pub(super) fn switches(model: &Model, edge: &Edge) -> bool {
    let EdgeKind::Element(element, terminal) = edge.kind else { return false };
    matches!(terminal, Terminal::Make | Terminal::Break)
        || matches!(
            model.element(element).map(|element| &element.kind),
            Some(ElementKind::Switch { .. } | ElementKind::Disconnect { .. })
        )
}

/// Whether a load of this kind is alive whenever it has its voltage; electronics and sensors decide for themselves.
pub(super) fn is_switched(kind: LoadKind) -> bool {
    matches!(kind, LoadKind::Lamp | LoadKind::Motor | LoadKind::Heater | LoadKind::Coil)
}

/// What is joined in one mode.
#[derive(Debug)]
pub(super) struct View {
    /// Over closed conductors.
    pub(super) closed: Components,
    /// Over closed conductors and sources that are on.
    pub(super) hard: Components,
    /// Over everything that carries current, loads and resistors too.
    pub(super) all: Components,
    /// Per number in `hard`: whether a source is in it.
    live: Vec<bool>,
    /// Per number in `closed`: whether it holds a positive, a negative pole.
    poles: Vec<(bool, bool)>,
}

impl View {
    /// The view of `mode`; of the design with every switch closed where there is none.
    pub(super) fn new(analysis: &Analysis<'_>, mode: Option<&ModeState>) -> Self {
        let (model, network) = (analysis.model, analysis.network);
        let conducts = |id: EdgeId| mode.is_none_or(|mode| mode.conducts(id));
        let closed = network.components(|id, edge| part(model, edge) == Part::Conductor && conducts(id));
        let hard = network.components(|id, edge| match part(model, edge) {
            Part::Conductor | Part::Source => conducts(id),
            Part::Load | Part::Resistor => false,
        });
        let all = network.components(|id, _| conducts(id));
        let mut live = vec![false; hard.len()];
        let mut poles = vec![(false, false); closed.len()];
        for (id, edge) in network.edges() {
            if part(model, edge) != Part::Source || !conducts(id) {
                continue;
            }
            if let Some(slot) = live.get_mut(hard.of(edge.a) as usize) {
                *slot = true;
            }
            if let Some(slot) = poles.get_mut(closed.of(edge.b) as usize) {
                slot.0 = true;
            }
            if let Some(slot) = poles.get_mut(closed.of(edge.a) as usize) {
                slot.1 = true;
            }
        }
        Self { closed, hard, all, live, poles }
    }

    /// Whether a source reaches the point with no load between.
    pub(super) fn is_fed(&self, point: PointId) -> bool {
        self.live.get(self.hard.of(point) as usize).copied().unwrap_or(false)
    }

    /// Whether the point lies at a positive pole, at a negative one.
    pub(super) fn poles(&self, point: PointId) -> (bool, bool) {
        self.poles.get(self.closed.of(point) as usize).copied().unwrap_or_default()
    }
}

/// Nominal voltage at the points of an element; `None` where no domain is joined to them.
pub(super) fn nominal(model: &Model, domains: &Domains, element: &Element) -> Option<Volt> {
    let domain = element.points.iter().take(2).find_map(|point| domains.of(*point))?;
    model.domain(domain).map(|domain| domain.nominal).filter(|nominal| nominal.get() > 0.0)
}
