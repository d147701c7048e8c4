//! Contacts that stay closed although the design says what must open them: a mode, a contact, an interlock, a cover.
//!
//! The idea: open what is said to open them, one at a time, in each mode in which both are closed, and look. Where the contact is driven by a
//! controller that sees the opening at a pin, its program decides, which nothing drawn shows: that counts as open.
//!
//! Cost: nothing without `opens`; else a solution for each of them in each mode.

use super::{Facts, loops::seen_by, openings::Opening};
use crate::{
    electrical::{ModeState, what_if::Change},
    model::{ElementId, ModeId, OpenedBy},
    network::EdgeId,
    text::Span,
};

impl Facts {
    /// Contacts that stay closed, in the order in which the design says what opens them, each with the first mode in which it does.
    ///
    /// Asked by `interlock/stays-closed`.
    #[must_use]
    pub fn stay_closed(&self) -> Vec<StaysClosed> {
        stay_closed(self)
    }
}

/// A contact that stays closed.
#[derive(Debug, Clone, Copy)]
pub struct StaysClosed {
    /// What must open it.
    pub by: OpenedBy,
    /// The contact.
    pub contact: ElementId,
    /// Where it is named.
    pub span: Span,
    /// The mode in which it stays closed.
    pub mode: ModeId,
    /// What must open it is open in that mode anyway.
    pub is_open_anyway: bool,
    /// Nothing drawn senses a cover.
    pub is_unsensed: bool,
}

fn stay_closed(facts: &Facts) -> Vec<StaysClosed> {
    let model = facts.model();
    let mut found = Vec::new();
    for opening in &model.openings {
        for (contact, span) in &opening.contacts {
            let stays = |mode: ModeId, is_open_anyway: bool, is_unsensed: bool| StaysClosed {
                by: opening.by,
                contact: *contact,
                span: *span,
                mode,
                is_open_anyway,
                is_unsensed,
            };
            let first = match opening.by {
                OpenedBy::Mode(mode) => {
                    let state = facts.electrical().in_mode(mode);
                    state.filter(|state| is_closed(facts, state, *contact)).map(|state| stays(state.id, true, false))
                }
                OpenedBy::Element(element) => by_edges(facts, &facts.opened_element(element).edges, *contact)
                    .map(|(mode, anyway)| stays(mode, anyway, false)),
                OpenedBy::Cover(cover) => {
                    let sensed = facts.unmatings().iter().find(|opened| opened.what == Opening::Cover(cover));
                    let edges: &[EdgeId] = sensed.map_or(&[], |opened| &opened.edges);
                    by_edges(facts, edges, *contact).map(|(mode, anyway)| stays(mode, anyway, edges.is_empty()))
                }
            };
            found.extend(first);
        }
    }
    found
}

/// The edges of a contact, its coil left out.
fn edges_of(facts: &Facts, contact: ElementId) -> Vec<EdgeId> {
    facts.opened_element(contact).edges
}

/// Whether a contact is closed in a state. The rest contact of a changeover is not meant where it has one that works.
fn is_closed(facts: &Facts, state: &ModeState, contact: ElementId) -> bool {
    edges_of(facts, contact).first().is_some_and(|edge| state.conducts(*edge))
}

/// The first mode in which a contact stays closed with these edges open, and whether they are open in it anyway.
fn by_edges(facts: &Facts, edges: &[EdgeId], contact: ElementId) -> Option<(ModeId, bool)> {
    let electrical = facts.electrical();
    for state in electrical.modes_as_written() {
        if !is_closed(facts, state, contact) {
            continue;
        }
        if edges.is_empty() {
            return Some((state.id, false));
        }
        let is_open_anyway = !edges.iter().any(|edge| state.conducts(*edge));
        let changes: Vec<Change> = edges.iter().map(|edge| Change::Open(*edge)).collect();
        let altered = if is_open_anyway { None } else { electrical.altered(state.id, &changes) };
        let after = altered.as_ref().unwrap_or(state);
        if !is_closed(facts, after, contact) {
            continue;
        }
        let own = edges_of(facts, contact);
        // What a controller does about it is for its program; one that has closed the contact although it sees the opening has none.
        if !is_open_anyway && edges.iter().any(|edge| seen_by(facts, state, *edge, &own).is_some()) {
            continue;
        }
        return Some((state.id, is_open_anyway));
    }
    None
}
