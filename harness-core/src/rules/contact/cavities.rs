//! What sits in the cavities of loom ends: terminals, wires, screens, points of elements.

use crate::{
    model::{End, EndId, Model, PointId, PointKind, Terminal, TerminalId},
    text::Span,
};
use rustc_hash::FxHashMap;

/// The cavities of a design. Cost to make: one pass over ends, wires, cables and elements.
#[derive(Debug)]
pub(super) struct Cavities<'m> {
    model: &'m Model,
    exceptions: FxHashMap<PointId, (TerminalId, Span)>,
    wires: Vec<u32>,
    others: Vec<bool>,
}

impl<'m> Cavities<'m> {
    /// Collects what sits in every cavity.
    pub(super) fn new(model: &'m Model) -> Self {
        let exceptions = model.ends().flat_map(|(_, end)| &end.terminals).map(|(point, id, span)| (*point, (*id, *span)));
        let mut cavities = Self {
            model,
            exceptions: exceptions.collect(),
            wires: vec![0; model.points().len()],
            others: vec![false; model.points().len()],
        };
        for point in model.wires().flat_map(|(_, wire)| [wire.from, wire.to]).flatten() {
            if let Some(count) = cavities.wires.get_mut(point.index()) {
                *count += 1;
            }
        }
        let screens = model.cables().flat_map(|(_, cable)| cable.screen).flatten().map(|(point, _)| point);
        for point in screens.chain(model.elements().flat_map(|(_, element)| element.points.iter().copied())) {
            if let Some(other) = cavities.others.get_mut(point.index()) {
                *other = true;
            }
        }
        cavities
    }

    /// How many wires end in a cavity.
    pub(super) fn wires(&self, cavity: PointId) -> u32 {
        self.wires.get(cavity.index()).copied().unwrap_or(0)
    }

    /// Whether a wire, a screen or an element ends in a cavity.
    pub(super) fn is_filled(&self, cavity: PointId) -> bool {
        self.wires(cavity) > 0 || self.others.get(cavity.index()).copied().unwrap_or(false)
    }

    /// The loom end of a cavity; `None` for every other point.
    pub(super) fn end(&self, cavity: PointId) -> Option<(EndId, &'m End)> {
        let PointKind::Cavity(end) = self.model.point(cavity)?.kind else { return None };
        Some((end, self.model.end(end)?))
    }

    /// The terminal in a cavity, with the place where the end names it.
    pub(super) fn terminal(&self, cavity: PointId) -> Option<(TerminalId, &'m Terminal, Span)> {
        let (id, span) = match self.exceptions.get(&cavity) {
            Some(exception) => *exception,
            None => self.end(cavity)?.1.terminal?,
        };
        Some((id, self.model.terminal(id)?, span))
    }
}
