//! Contacts that stay closed although the design says what must open them: a mode, a contact, an interlock, a cover.
//!
//! The idea: open what is said to open them, one at a time, in each mode in which both are closed, and look. Where the contact is driven by a
//! controller that sees the opening at a pin, its program decides, which nothing drawn shows: that counts as open.
//!
//! Cost: nothing without `opens`; else a solution for what opens them in each mode in which one is closed.

use super::{Facts, loops::seen_by, openings::Opening};
use crate::{
    electrical::{ModeState, what_if::Change},
    model::{ElementId, ModeId, OpenedBy},
    network::EdgeId,
    text::Span,
};
use rustc_hash::FxHashMap;

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
    let mut found = Vec::new();
    for opening in &facts.model().openings {
        let stays = |contact: ElementId, span: Span, (mode, is_open_anyway): (ModeId, bool), is_unsensed: bool| StaysClosed {
            by: opening.by,
            contact,
            span,
            mode,
            is_open_anyway,
            is_unsensed,
        };
        let contacts = opening.contacts.iter().copied();
        let edges: Vec<EdgeId> = match opening.by {
            OpenedBy::Mode(mode) => {
                let state = facts.electrical().in_mode(mode);
                let is_closed = |contact| state.is_some_and(|state| is_closed(state, &edges_of(facts, contact)));
                let closed = contacts.filter(|(contact, _)| is_closed(*contact));
                found.extend(closed.map(|(contact, span)| stays(contact, span, (mode, true), false)));
                continue;
            }
            OpenedBy::Element(element) => facts.opened_element(element).edges,
            OpenedBy::Cover(cover) => {
                let sensed = facts.unmatings().iter().find(|opened| opened.what == Opening::Cover(cover));
                sensed.map(|opened| opened.edges.clone()).unwrap_or_default()
            }
        };
        let is_unsensed = matches!(opening.by, OpenedBy::Cover(_)) && edges.is_empty();
        let mut opened = Opened { facts, edges: &edges, after: FxHashMap::default() };
        for (contact, span) in contacts {
            found.extend(opened.leaves_closed(contact).map(|first| stays(contact, span, first, is_unsensed)));
        }
    }
    found
}

/// The edges of a contact, its coil left out.
fn edges_of(facts: &Facts, contact: ElementId) -> Vec<EdgeId> {
    facts.opened_element(contact).edges
}

/// Whether a contact with these edges is closed in a state. The rest contact of a changeover is not meant where it has one that works.
fn is_closed(state: &ModeState, own: &[EdgeId]) -> bool {
    own.first().is_some_and(|edge| state.conducts(*edge))
}

/// Edges that are opened, with what each mode then comes to.
struct Opened<'a> {
    facts: &'a Facts,
    edges: &'a [EdgeId],
    after: FxHashMap<ModeId, Option<ModeState>>,
}

impl Opened<'_> {
    /// The first mode in which a contact stays closed, and whether the edges are open in it anyway.
    fn leaves_closed(&mut self, contact: ElementId) -> Option<(ModeId, bool)> {
        let (facts, edges) = (self.facts, self.edges);
        let own = edges_of(facts, contact);
        for state in facts.electrical().modes_as_written() {
            if !is_closed(state, &own) {
                continue;
            }
            if edges.is_empty() {
                return Some((state.id, false));
            }
            let is_open_anyway = !edges.iter().any(|edge| state.conducts(*edge));
            if !is_open_anyway && !self.stays_closed(state, &own) {
                continue;
            }
            // What a controller does about it is for its program; one that has closed the contact although it sees the opening has none.
            if !is_open_anyway && edges.iter().any(|edge| seen_by(facts, state, *edge, &own).is_some()) {
                continue;
            }
            return Some((state.id, is_open_anyway));
        }
        None
    }

    /// Whether a contact that is closed in a mode is closed in what the mode then comes to.
    fn stays_closed(&mut self, state: &ModeState, own: &[EdgeId]) -> bool {
        let (facts, edges) = (self.facts, self.edges);
        // A contact that no coil moves stays as the mode has it.
        if !own.iter().any(|edge| edges.contains(edge) || facts.network()[*edge].role.is_relay_contact()) {
            return true;
        }
        let changes = || edges.iter().map(|edge| Change::Open(*edge)).collect::<Vec<_>>();
        let after = self.after.entry(state.id).or_insert_with(|| facts.electrical().altered(state.id, &changes()));
        after.as_ref().is_none_or(|after| is_closed(after, own))
    }
}
