//! Which terminal is in which cavity of a loom end.

use super::Facts;
use crate::{
    model::{EndId, PointId, PointKind, TerminalId},
    quantity::SquareMillimetre,
    text::Span,
};
use rustc_hash::FxHashMap;

/// The cavities whose terminal is another than that of their end.
pub(super) type Exceptions = FxHashMap<PointId, (TerminalId, Span)>;

impl Facts {
    /// The cross-sections of the wires at a point together; `None` where one of them is not given, or no wire is there.
    ///
    /// Asked by the query of terminals and by the papers of the bench.
    #[must_use]
    pub fn size_in(&self, point: PointId) -> Option<SquareMillimetre> {
        let model = self.model();
        let sizes: Option<Vec<f64>> =
            self.wire_ends().wires(point).iter().map(|wire| model[wire.wire].size.map(|size| size.value.get())).collect();
        sizes.filter(|sizes| !sizes.is_empty()).map(|sizes| SquareMillimetre::new(sizes.iter().sum()))
    }

    /// The terminal in a cavity, of a ring or of a bare end, with the place where it is named: the cavity's own, else that of its end, else
    /// the first of its housing that takes what is in it. `None` for other points and where none is named.
    ///
    /// Cost: one pass over the ends when first asked, a look-up then. Asked by the rules of contacts.
    #[must_use]
    pub fn terminal_in(&self, cavity: PointId) -> Option<(TerminalId, Span)> {
        let model = self.model();
        let exceptions = self.made.terminals.get_or_init(|| {
            let named = model.ends().flat_map(|(_, end)| &end.terminals);
            named.map(|(point, terminal, span)| (*point, (*terminal, *span))).collect()
        });
        let (PointKind::Cavity(end) | PointKind::Ring(end)) = model[cavity].kind else { return None };
        exceptions.get(&cavity).copied().or(model[end].terminal).or_else(|| usual(self, end, cavity))
    }
}

/// The first terminal of a housing that takes the cross-sections in a cavity together; none in an empty cavity.
fn usual(facts: &Facts, end: EndId, cavity: PointId) -> Option<(TerminalId, Span)> {
    let model = facts.model();
    let terminals = &model[model[end].housing()?].terminals;
    if terminals.is_empty() {
        return None;
    }
    let size = facts.size_in(cavity)?;
    let takes = |terminal: TerminalId| {
        let range = model[terminal].size;
        range.is_none_or(|range| range.value.least <= size && size <= range.value.most)
    };
    terminals.iter().copied().find(|(terminal, _)| takes(*terminal))
}
