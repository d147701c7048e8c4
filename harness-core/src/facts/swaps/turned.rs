//! Plugs that go into their own place the wrong way round.
//!
//! What is written decides: a plug goes in turned by half a turn if its face looks the same then, so that each contact meets one, and nothing
//! keeps it from that: no `key`, no `key-at`, and no key in any housing of its family. A plug without a face is not judged. It goes in shifted by
//! a row only if nothing surrounds the contacts: not where it is sealed, or made for class B, which always have a shroud.

use super::{
    Swaps,
    halves::{Plug, PlugId},
    judge::{Four, Insertion, Judge, Verdict},
};
use crate::{
    model::{EndId, Housing, Model},
    text::Name,
};
use rustc_hash::FxHashSet;

/// How a plug goes in the wrong way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Way {
    /// Turned by half a turn.
    HalfTurn,
    /// Shifted by one row, to the next one of the face.
    NextRow,
    /// Shifted by one row, to the one before.
    RowBefore,
}

/// A plug in its own place the wrong way round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turned {
    /// The connector.
    pub plug: PlugId,
    /// How.
    pub way: Way,
    /// What it does.
    pub verdict: Verdict,
}

/// What was asked of plugs without a key, and what came out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Turns {
    /// Plugs that can go in the wrong way, each way of each.
    pub turned: Vec<Turned>,
    /// Plugs without a key of which no face says whether they can.
    pub without_face: Vec<PlugId>,
}

impl Swaps {
    /// The plugs that go into their own place the wrong way round, in the order of the design.
    #[must_use]
    pub fn turns(&self, model: &Model) -> Turns {
        let keyed = keyed(model);
        let judge = Judge::new(model);
        let mut turns = Turns::default();
        for (id, plug) in self.plugs() {
            let Some(housings) = unkeyed(model, plug, &keyed) else { continue };
            let Some(face) = face(housings) else {
                turns.without_face.push(id);
                continue;
            };
            let labels: Vec<Name> = plug.socket.iter().flat_map(|half| &half.points).map(|point| model[*point].label).collect();
            let is_open = housings.iter().all(|housing| housing.sealed.is_none_or(|sealed| !sealed.value) && !housing.hv);
            let ways = [Some(Way::HalfTurn), is_open.then_some(Way::NextRow), is_open.then_some(Way::RowBefore)];
            for way in ways.into_iter().flatten() {
                let Some(order) = order(&labels, face, way) else { continue };
                let Some([own, other]) = self.spots(id) else { continue };
                let four = Four { own, mate: other, other, others_mate: own };
                let insertion = Insertion { socket: id, pin: id };
                let verdict = judge.insertion(&self.kinds, four, &[], insertion, |at| order.get(at).copied().flatten());
                turns.turned.extend(verdict.map(|verdict| Turned { plug: id, way, verdict }));
            }
        }
        turns
    }
}

/// The families of which a housing has a key.
pub(super) fn keyed(model: &Model) -> FxHashSet<Name> {
    let keyed = model.housings().filter(|(_, housing)| housing.key.is_some());
    keyed.filter_map(|(_, housing)| Some(housing.family?.value)).collect()
}

/// Whether a plug may go into its own place the wrong way round.
pub(super) fn may_turn(model: &Model, plug: &Plug, keyed: &FxHashSet<Name>) -> bool {
    unkeyed(model, plug, keyed).is_some_and(|housings| face(housings).is_some())
}

fn face(housings: [&Housing; 2]) -> Option<&Vec<Vec<Name>>> {
    housings.into_iter().map(|housing| &housing.face).find(|face| !face.is_empty())
}

/// The housings of both halves of a mated connector that no key keeps from going in the wrong way.
fn unkeyed<'m>(model: &'m Model, plug: &Plug, keyed: &FxHashSet<Name>) -> Option<[&'m Housing; 2]> {
    let housings = housings(model, plug)?;
    let is_kept = housings.iter().any(|housing| {
        housing.key.is_some() || housing.key_at.is_some() || housing.family.is_some_and(|family| keyed.contains(&family.value))
    });
    let [socket, _] = housings;
    (!is_kept && socket.labels.len() > 1).then_some(housings)
}

/// The housings of both halves of a mated connector.
fn housings<'m>(model: &'m Model, plug: &Plug) -> Option<[&'m Housing; 2]> {
    // Two schemes of numbers: which position is where is then said for one of them alone.
    let is_mapped = |end: &EndId| !model[*end].pins.is_empty();
    if plug.ends.iter().any(is_mapped) {
        return None;
    }
    Some([&model[plug.socket.as_ref()?.housing], &model[plug.pin.as_ref()?.housing]])
}

/// Which position each position meets, in the order of `labels`, which all halves of a fit share; `None` where the face does not allow it.
fn order(labels: &[Name], face: &[Vec<Name>], way: Way) -> Option<Vec<Option<usize>>> {
    let width = face.first()?.len();
    let count: usize = face.iter().map(Vec::len).sum();
    if face.iter().any(|row| row.len() != width) || count != labels.len() {
        return None;
    }
    let place = |label: Name| labels.iter().position(|known| *known == label);
    let mut order = vec![None; labels.len()];
    for (at, row) in face.iter().enumerate() {
        let met = match way {
            Way::HalfTurn => face.len().checked_sub(at + 1),
            Way::NextRow => Some(at + 1),
            Way::RowBefore => at.checked_sub(1),
        };
        if way != Way::HalfTurn && face.len() < 2 {
            return None;
        }
        let Some(met) = met.and_then(|met| face.get(met)) else { continue };
        for (column, label) in row.iter().enumerate() {
            let other = if way == Way::HalfTurn { width.checked_sub(column + 1) } else { Some(column) };
            let other = other.and_then(|column| met.get(column)).and_then(|label| place(*label));
            *order.get_mut(place(*label)?)? = other;
        }
    }
    Some(order)
}
