//! Which terminal is in which cavity of a loom end.

use super::Facts;
use crate::{
    model::{PointId, PointKind, TerminalId},
    text::Span,
};
use rustc_hash::FxHashMap;

/// The cavities whose terminal is another than that of their end.
pub(super) type Exceptions = FxHashMap<PointId, (TerminalId, Span)>;

impl Facts {
    /// The terminal in a cavity, of a ring or of a bare end, with the place where the end names it: the cavity's own, else that of
    /// its end. `None` for other points and where none is named.
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
        exceptions.get(&cavity).copied().or(model[end].terminal)
    }
}
