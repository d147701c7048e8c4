//! Every contact of every loom end: what is in it and what it meets.

use super::{Asked, written::Written};
use crate::{
    model::{EndId, EndKind, Mate, PointId},
    text::Span,
};

/// What a contact is used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ContactState {
    /// Something ends in it.
    Wired,
    /// A plug closes it.
    Plugged,
    /// Nothing is behind the pin that it meets.
    Spare,
    /// Nothing is in it, and nothing says that this is meant.
    Empty,
}

impl ContactState {
    /// Its name in lists.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Wired => "wired",
            Self::Plugged => "plugged",
            Self::Spare => "spare",
            Self::Empty => "empty",
        }
    }
}

/// One contact of a loom end.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Contact {
    /// The loom.
    pub loom: String,
    /// The end.
    pub end: String,
    /// Where the end is written.
    pub span: Span,
    /// What the end is: a housing kind, `ring M8`, `bare end`; empty for a connector without a housing.
    pub kind: String,
    /// What the end mates; empty for nothing.
    pub mates: String,
    /// The cavity; empty for a ring or bare end.
    pub cavity: String,
    /// The position that it meets; empty where it meets none, or the end has one point alone.
    pub meets: String,
    /// That position, where the end itself says that the two halves number differently; empty elsewhere.
    pub renumbered: String,
    /// What it is used for.
    pub state: ContactState,
    /// The numbers of the wires in it.
    pub wires: Vec<String>,
    /// Whether it is closed by a plug, whatever else is in it.
    pub plugged: bool,
    /// The signals on its net, as pins name them.
    pub signal: String,
    /// Its terminal kind; empty where none is given.
    pub terminal: String,
    /// What was found of it: `level[rule]` each.
    pub findings: Vec<String>,
}

/// All contacts, by end in the order written.
pub(super) fn of(asked: &Asked<'_>, written: &Written) -> Vec<Contact> {
    let model = asked.analysis.model();
    let mut ends: Vec<_> = model.ends().map(|(id, end)| (model[end.loom].span, end.span, id)).collect();
    ends.sort_unstable();
    let contacts = ends.into_iter().flat_map(|(_, _, end)| model[end].points.iter().map(move |point| (end, point)));
    contacts.map(|(end, point)| row(asked, written, end, point)).collect()
}

fn row(asked: &Asked<'_>, written: &Written, id: EndId, point: PointId) -> Contact {
    let model = asked.analysis.model();
    let ends = asked.analysis.facts().wire_ends();
    let end = &model[id];
    let (kind, has_cavities) = match end.kind {
        EndKind::Connector(housing) => {
            (housing.map_or_else(String::new, |housing| model.text(model[housing].name).to_owned()), true)
        }
        EndKind::Ring(thread) => (format!("ring {}", model.text(thread.name)), false),
        EndKind::Bare => ("bare end".to_owned(), false),
    };
    let label = |point: PointId| model.text(model[point].label).to_owned();
    let opposite = ends.opposite(model, point);
    let is_spare = opposite.and_then(|pin| model.pin_at(pin)).is_some_and(|pin| pin.spare.is_some());
    let plugged = end.plugged.iter().any(|(plugged, _)| *plugged == point);
    let state = if ends.count(point) > 0 {
        ContactState::Wired
    } else if plugged {
        ContactState::Plugged
    } else if is_spare {
        ContactState::Spare
    } else {
        ContactState::Empty
    };
    let own = end.terminals.iter().find(|(at, ..)| *at == point).map(|(_, terminal, _)| *terminal);
    let terminal = own.or(end.terminal.map(|(terminal, _)| terminal));
    let cavity = if has_cavities { label(point) } else { String::new() };
    let [loom, name] = [model.loom_name(end.loom), model.text(end.name)].map(str::to_owned);
    Contact {
        renumbered: written.renumbered.get(&[loom.clone(), name.clone(), cavity.clone()]).cloned().unwrap_or_default(),
        loom,
        end: name,
        span: end.span,
        plugged,
        kind,
        mates: ends.partner(id).map_or_else(String::new, |mate| mated(asked, mate)),
        cavity,
        meets: opposite.filter(|_| has_cavities).map_or_else(String::new, label),
        state,
        wires: ends.wires(point).iter().map(|wire| model.text(model[wire.wire].name).to_owned()).collect(),
        signal: asked.signal(&[point]),
        terminal: terminal.map_or_else(String::new, |terminal| model.text(model[terminal].name).to_owned()),
        findings: asked.findings(&model.point_name(point)),
    }
}

fn mated(asked: &Asked<'_>, mate: Mate) -> String {
    asked.analysis.model().mate_name(mate)
}
