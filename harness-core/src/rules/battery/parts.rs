//! What several rules of batteries say and ask.

use crate::{
    analysis::Analysis,
    electrical::battery::{Chain, Strings, strings},
    model::{ElementId, ElementKind, Model},
    network::{Edge, Terminal},
};
use std::sync::Arc;

/// The batteries of the design, found once.
pub(super) fn batteries(analysis: &Analysis) -> Arc<Strings> {
    analysis.shared(|analysis| strings(analysis.network(), analysis.electrical().domains()))
}

/// The first source of each link of a chain, from the negative end.
pub(super) fn modules(chain: &Chain) -> impl DoubleEndedIterator<Item = ElementId> {
    chain.links.iter().filter_map(|link| link.cells.first()).map(|cell| cell.source)
}

/// `pack.module1`, or `pack.module1` .. `pack.module6` for a chain of several.
pub(super) fn chain_name(model: &Model, chain: &Chain) -> String {
    let mut modules = modules(chain);
    let name = |module: Option<ElementId>| module.map(|module| format!("`{}`", model.element_name(module)));
    match (name(modules.next()), name(modules.next_back())) {
        (Some(first), Some(last)) => format!("{first} .. {last}"),
        (Some(only), None) => only,
        (None, _) => String::new(),
    }
}

/// Whether an edge is metal, a fuse, or a contact, which conducts when it is closed.
pub(super) fn conducts(model: &Model, edge: &Edge) -> bool {
    let Some((element, terminal)) = edge.element() else { return true };
    let kind = model.element(element).map(|element| &element.kind);
    matches!(terminal, Terminal::Bar | Terminal::Make | Terminal::Break)
        || matches!(kind, Some(ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Disconnect { .. }))
}
