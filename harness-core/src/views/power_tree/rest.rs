//! What is in no tree, and why.

use super::{NotShown, Why, grid::Grid};
use crate::{
    model::{ElementId, ElementKind, Owner},
    network::{EdgeId, EdgeRole},
};
use rustc_hash::FxHashSet;

/// What the trees show: edges, and holders without a fuse.
#[derive(Debug, Default)]
pub(super) struct Shown {
    pub(super) edges: FxHashSet<EdgeId>,
    pub(super) vacant: FxHashSet<ElementId>,
}

/// Everything that is not shown, in the order written.
pub(super) fn rest(grid: &Grid<'_>, shown: &Shown) -> Vec<NotShown> {
    let network = grid.analysis.network();
    let model = grid.analysis.model();
    let mut found: Vec<NotShown> = Vec::new();
    let mut has_edge: FxHashSet<ElementId> = FxHashSet::default();
    for (id, edge) in network.edges() {
        let Some(element) = edge.element() else { continue };
        has_edge.insert(element);
        if shown.edges.contains(&id) {
            continue;
        }
        let why = why(grid, id);
        let name = match edge.role {
            EdgeRole::Coil => format!("{} (coil)", model.element_name(element)),
            EdgeRole::ConverterInput => format!("{} (input)", model.element_name(element)),
            EdgeRole::ConverterOutput { .. } => format!("{} (output)", model.element_name(element)),
            _ => model.element_name(element),
        };
        found.push(NotShown { name, span: model[element].span, why });
    }
    for (id, element) in model.elements().filter(|(id, _)| !has_edge.contains(id) && !shown.vacant.contains(id)) {
        let fitted = match element.owner {
            Owner::Device(device) => model[device].fitted,
            Owner::Loom(loom) => model[loom].fitted,
        };
        let why = match element.kind {
            ElementKind::Fuse { fitted: false, .. } if fitted => Why::Unfed,
            ElementKind::Link { fitted: true, .. } if fitted => Why::Bar,
            _ => Why::LeftOut,
        };
        found.push(NotShown { name: model.element_name(id), span: element.span, why });
    }
    let left = model.left_out.iter().map(|element| NotShown {
        name: format!("{}.{}", model.owner_name(element.owner), model.text(element.name)),
        span: element.span,
        why: Why::LeftOut,
    });
    found.extend(left);
    found.sort_by(|a, b| (a.span, &a.name, a.why).cmp(&(b.span, &b.name, b.why)));
    found.dedup();
    found
}

fn why(grid: &Grid<'_>, id: EdgeId) -> Why {
    let network = grid.analysis.network();
    let (a, b) = grid.ends(id);
    let (is_fed, is_low) = (grid.fed[a] || grid.fed[b], grid.low[a] || grid.low[b]);
    match network[id].role {
        EdgeRole::Interlock => Why::Interlock,
        EdgeRole::Metal(_) => Why::Bar,
        _ if a == b => Why::OneNet,
        EdgeRole::Capacitor => Why::Stores,
        EdgeRole::Diode => Why::Blocks,
        EdgeRole::Resistor | EdgeRole::Shunt if grid.is_signal(id) => Why::Signal,
        // What is fed and leads to no load, and what only ties a signal to a return.
        EdgeRole::Fuse | EdgeRole::Disconnect | EdgeRole::Resistor | EdgeRole::Shunt if is_fed => Why::Signal,
        EdgeRole::Switch { .. } | EdgeRole::MakeContact | EdgeRole::BreakContact if is_fed || is_low => Why::Signal,
        EdgeRole::Source { .. } | EdgeRole::ConverterOutput { .. } if grid.fed[b] => Why::Signal,
        EdgeRole::Fuse | EdgeRole::Disconnect | EdgeRole::Resistor | EdgeRole::Shunt | EdgeRole::Switch { .. } => Why::Unfed,
        EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::Source { .. } | EdgeRole::ConverterOutput { .. } => Why::Unfed,
        EdgeRole::Coil | EdgeRole::ConverterInput | EdgeRole::Load => Why::Unfed,
    }
}
