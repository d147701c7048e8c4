//! What must let contacts go when it opens: interlock loops, stops. Each is tried once before class B comes in.

use super::stages::Stage;
use crate::{
    electrical::what_if::Change,
    facts::{
        Facts,
        loops::{DropsBy, LoopEffect},
        openings::Opening,
    },
    model::{DeviceId, ElementId, ModeId, OpenedBy},
    network::EdgeId,
};

/// Something that must let contacts go.
pub(super) struct Trial {
    /// What is opened: a plug or cover with a bridge of an interlock loop in it, else a contact or bridge by itself.
    pub(super) what: Opening,
    /// What is open then.
    pub(super) edges: Vec<EdgeId>,
    /// What lets go.
    pub(super) contacts: Vec<ElementId>,
    /// How.
    pub(super) drops: Drops,
    /// The mode in which it is tried.
    pub(super) mode: ModeId,
    /// What is opened has contacts of class B.
    pub(super) class_b: bool,
}

/// How contacts let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Drops {
    /// Their coils lose the supply, as computed.
    Circuit,
    /// The program of this device lets them go; `None` where nothing drawn says which.
    Program(Option<DeviceId>),
}

/// All of them, interlock loops first; each in that of these modes in which it lets go most.
pub(super) fn trials(facts: &Facts, stages: &[Stage]) -> Vec<Trial> {
    let own: Vec<ModeId> = stages.iter().filter(|stage| stage.supplies.is_empty()).map(|stage| stage.mode).collect();
    let mut found: Vec<Trial> = Vec::new();
    for effect in own.iter().flat_map(|mode| facts.loops().effects.iter().filter(move |effect| effect.mode == *mode)) {
        let Some(trial) = of_loop(facts, effect) else { continue };
        match found.iter_mut().find(|known| known.edges.iter().any(|edge| trial.edges.contains(edge))) {
            Some(known) if known.contacts.len() < trial.contacts.len() => *known = trial,
            Some(_) => {}
            None => found.push(trial),
        }
    }
    for opening in &facts.model().openings {
        let contacts: Vec<ElementId> = opening.contacts.iter().map(|(contact, _)| *contact).collect();
        let (what, edges) = match opening.by {
            OpenedBy::Mode(_) => continue,
            OpenedBy::Element(element) => (Opening::Element(element), facts.opened_element(element).edges),
            OpenedBy::Cover(cover) => {
                let sensed = facts.unmatings().iter().find(|opened| opened.what == Opening::Cover(cover));
                (Opening::Cover(cover), sensed.map(|opened| opened.edges.clone()).unwrap_or_default())
            }
        };
        let is_known = found.iter().any(|known| known.edges.iter().any(|edge| edges.contains(edge)));
        if !is_known {
            let all = own.iter().rev().filter_map(|mode| trial(facts, (what, &edges), &contacts, *mode));
            found.extend(all.max_by_key(|trial| trial.contacts.len()));
        }
    }
    found
}

/// What opening an interlock loop lets go in a mode.
fn of_loop(facts: &Facts, effect: &LoopEffect) -> Option<Trial> {
    let drops = match &effect.by {
        DropsBy::Circuit { .. } => Drops::Circuit,
        DropsBy::Controller(device) => Drops::Program(Some(*device)),
        DropsBy::Nothing => return None,
    };
    let edges = facts.opened_element(effect.bridge).edges;
    let stays = |contact: &ElementId| drops == Drops::Circuit && effect.stay.contains(contact);
    let contacts = effect.contactors.iter().copied().filter(|contact| !stays(contact)).collect();
    let plug = facts.unmatings().iter().find(|opened| edges.iter().any(|edge| opened.edges.contains(edge)));
    Some(Trial {
        what: plug.map_or(Opening::Element(effect.bridge), |opened| opened.what),
        edges: plug.map_or(edges, |opened| opened.edges.clone()),
        contacts,
        drops,
        mode: effect.mode,
        class_b: plug.is_some_and(|opened| opened.is_class_b),
    })
}

/// What an opening lets go in a mode; `None` where it is open there anyway, or has nothing to let go. A service disconnect is out as long as
/// this is tried.
fn trial(facts: &Facts, (what, edges): (Opening, &[EdgeId]), contacts: &[ElementId], mode: ModeId) -> Option<Trial> {
    let network = facts.network();
    let is_cut = |edge: &EdgeId| network[*edge].role.is_switched() && !network[*edge].role.cuts_coils();
    let before = facts.electrical().in_mode(mode)?;
    if edges.is_empty() || edges.iter().any(is_cut) || !edges.iter().any(|edge| before.conducts(*edge)) {
        return None;
    }
    let changes: Vec<Change> = edges.iter().map(|edge| Change::Open(*edge)).collect();
    let after = facts.electrical().altered(mode, &changes)?;
    let first = |contact: &ElementId| facts.opened_element(*contact).edges.first().copied();
    let closed: Vec<ElementId> =
        contacts.iter().copied().filter(|contact| first(contact).is_some_and(|edge| before.conducts(edge))).collect();
    let gone: Vec<ElementId> =
        closed.iter().copied().filter(|contact| first(contact).is_some_and(|edge| !after.conducts(edge))).collect();
    if closed.is_empty() {
        return None;
    }
    let (contacts, drops) = if gone.is_empty() { (closed, Drops::Program(None)) } else { (gone, Drops::Circuit) };
    Some(Trial { what, edges: edges.to_vec(), contacts, drops, mode, class_b: false })
}
