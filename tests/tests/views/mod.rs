//! What pictures show: nothing of a design is lost on the way to its drawing, and the drawing can be read.

mod chain;
mod function;
mod net;
mod power_tree;

use harness_core::{Analysis, Design, MemoryFiles, internals::network::EdgeRole};
use std::collections::BTreeMap;

/// A design in one text.
fn analysed(netlist: &str) -> Analysis {
    Analysis::of_all(&Design::load(&MemoryFiles::one("design.yaml", netlist), "design.yaml"))
}

/// How often each element of a design can be drawn: once for each of its edges, once where it has none.
fn elements(analysis: &Analysis) -> BTreeMap<String, usize> {
    let model = analysis.model();
    let mut named: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for (id, _) in model.elements() {
        named.entry(model.element_name(id)).or_default().0 += 1;
    }
    for (_, edge) in analysis.network().edges().filter(|(_, edge)| !matches!(edge.role, EdgeRole::Metal(_))) {
        let Some(element) = edge.element() else { continue };
        named.entry(model.element_name(element)).or_default().1 += 1;
    }
    named.into_iter().map(|(name, (elements, edges))| (name, elements.max(edges))).collect()
}
