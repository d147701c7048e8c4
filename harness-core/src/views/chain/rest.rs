//! What is of class B and not drawn, and why.

use super::places::{Live, is_fitted};
use crate::{
    analysis::Analysis,
    model::{ElementId, Owner, PointId},
    network::{Edge, EdgeId, EdgeRole, MetalKind},
    text::Span,
};
use rustc_hash::FxHashSet;

/// What is shown, and what is left out with it.
#[derive(Debug, Default)]
pub(super) struct Shown {
    pub(super) edges: FxHashSet<EdgeId>,
    pub(super) elements: FxHashSet<ElementId>,
    /// Points at which something shown ends.
    pub(super) points: FxHashSet<PointId>,
    /// Edges that lead to a measuring input alone.
    pub(super) measuring: FxHashSet<EdgeId>,
}

/// Something of class B that is not drawn.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct LeftOut {
    /// Why.
    pub reason: Reason,
    /// Where it is written.
    pub span: Span,
    /// Its name.
    pub name: String,
}

/// Why something of class B is not drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// It leads from class B to class A or to the chassis.
    Border,
    /// It leads to a measuring input.
    Measures,
    /// Nothing is joined to it.
    Unjoined,
    /// It is left out of this build.
    LeftOut,
}

impl Reason {
    /// All of them, in the order in which they are listed.
    pub const ALL: [Self; 4] = [Self::Border, Self::Measures, Self::Unjoined, Self::LeftOut];

    /// In words, behind a list of names.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Border => "from class B to the chassis or to class A",
            Self::Measures => "to a measuring input",
            Self::Unjoined => "of class B, with nothing joined to it",
            Self::LeftOut => "left out of this build",
        }
    }
}

/// Everything of class B that is not shown: elements, wires, connectors; in the order written.
pub(super) fn rest(analysis: &Analysis, live: &Live, shown: &Shown) -> Vec<LeftOut> {
    let (network, model) = (analysis.network(), analysis.model());
    let is_b = |point: PointId| live.is(point);
    let mut found: Vec<LeftOut> = Vec::new();
    let mut has_edge = FxHashSet::default();
    let is_line = |edge: &Edge| match edge.role {
        EdgeRole::Metal(MetalKind::Screen | MetalKind::Chassis | MetalKind::Contact | MetalKind::Joint) => false,
        EdgeRole::Metal(MetalKind::Wire | MetalKind::Bar) => true,
        EdgeRole::Interlock => false,
        EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::MakeContact | EdgeRole::BreakContact => true,
        EdgeRole::Coil | EdgeRole::Source { .. } | EdgeRole::ConverterInput | EdgeRole::ConverterOutput { .. } => true,
        EdgeRole::Load | EdgeRole::Resistor | EdgeRole::Shunt | EdgeRole::Capacitor | EdgeRole::Diode => true,
    };
    for (id, edge) in network.edges() {
        has_edge.extend(edge.element());
        let is_shown = shown.edges.contains(&id)
            || (edge.role == EdgeRole::Metal(MetalKind::Bar) && edge.element().is_some_and(|bar| shown.elements.contains(&bar)));
        if is_shown || !is_line(edge) || !(is_b(edge.a) || is_b(edge.b)) {
            continue;
        }
        let reason = if shown.measuring.contains(&id) {
            Reason::Measures
        } else if is_b(edge.a) && is_b(edge.b) {
            Reason::Unjoined
        } else {
            Reason::Border
        };
        if let Some(element) = edge.element() {
            found.push(LeftOut { reason, span: model[element].span, name: model.element_name(element) });
        } else if let Some(wire) = edge.wire() {
            found.push(LeftOut { reason, span: model[wire].span, name: model.wire_name(wire) });
        }
    }
    for (id, element) in model.elements().filter(|(id, _)| !has_edge.contains(id) && !shown.elements.contains(id)) {
        if element.points.iter().any(|point| is_b(*point)) {
            found.push(LeftOut { reason: Reason::LeftOut, span: element.span, name: model.element_name(id) });
        }
    }
    for element in model.left_out.iter().filter(|element| element.points.iter().any(|point| is_b(*point))) {
        let name = format!("{}.{}", model.owner_name(element.owner), model.text(element.name));
        found.push(LeftOut { reason: Reason::LeftOut, span: element.span, name });
    }
    found.extend(connectors(analysis, live, shown));
    found.sort();
    found.dedup();
    found
}

/// Ports and ends with points of class B of which none is shown: a terminal is where nothing is joined to it, else by what is.
fn connectors(analysis: &Analysis, live: &Live, shown: &Shown) -> Vec<LeftOut> {
    let (network, model) = (analysis.network(), analysis.model());
    let is_b = |point: PointId| live.is(point);
    let reason = |points: &[PointId], owner: Owner| {
        let edges = || points.iter().flat_map(|point| network.around(*point).map(|(id, edge, _)| (id, edge)));
        if !is_fitted(model, owner) {
            Reason::LeftOut
        } else if edges().any(|(id, _)| shown.measuring.contains(&id)) {
            Reason::Measures
        } else if !edges().any(|(_, edge)| edge.role.is_place() || edge.wire().is_some()) {
            Reason::Unjoined
        } else {
            Reason::Border
        }
    };
    let is_shown = |point: &PointId| {
        let mut joints = network.around(*point).filter(|(_, edge, _)| edge.role.is_place()).map(|(id, ..)| id).peekable();
        shown.points.contains(point) && (joints.peek().is_none() || joints.any(|joint| shown.edges.contains(&joint)))
    };
    let mut found = Vec::new();
    let ports = model.ports().map(|(id, port)| (model.port_name(id), port.span, port.points, Owner::Device(port.device)));
    let ends = model.ends().map(|(id, end)| (model.end_name(id), end.span, end.points, Owner::Loom(end.loom)));
    for (name, span, points, owner) in ports.chain(ends) {
        let own: Vec<PointId> = points.iter().filter(|point| is_b(*point)).collect();
        if !own.is_empty() && !own.iter().any(is_shown) {
            found.push(LeftOut { reason: reason(&own, owner), span, name });
        }
    }
    found
}
