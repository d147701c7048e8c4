//! Plugs whose wires are in the order of another numbering.

use super::{Fit, LEAST, Met, ONE_IN, Pattern, Plug, Position, fit, met, patterns::patterns, positions, rows::rows};
use crate::{
    facts::{Facts, pins::RunId},
    model::{EndId, Mate, PointId},
};
use rustc_hash::FxHashSet;

/// Positions of a connector beyond which its orders are not tried.
const MOST_POSITIONS: usize = 256;
/// Wires that have to be moved before an order without a name is that of a plug.
const LEAST_WITHOUT_NAME: usize = 4;

/// A plug whose wires are in the wrong cavities as a whole.
#[derive(Debug)]
pub struct Misnumbered {
    /// The plug.
    pub plug: EndId,
    /// What the order is.
    pub pattern: Pattern,
    /// Each cavity that holds a wire of another one, with that one, in the order of the cavities.
    pub moves: Vec<(PointId, PointId)>,
    /// Other plugs on the way of the same wires at which the same slip would have the same effect.
    pub others: Vec<EndId>,
    /// Two pins that meet by it.
    pub met: Option<Met>,
    pub(super) runs: Vec<RunId>,
}

/// The plugs that are numbered wrongly; those of `placed` are on wrong ports, and so is what leads to them.
pub(super) fn misnumbered(facts: &Facts, plugs: &[Plug], placed: &FxHashSet<Mate>) -> Vec<Misnumbered> {
    let mut found: Vec<Misnumbered> = Vec::new();
    for plug in plugs {
        let leads_to = |position: &Position| {
            let mut ports = position.pins.iter().filter_map(|pin| facts.model().plug_at(pin.point));
            ports.any(|port| placed.contains(&Mate::Port(port)))
        };
        if placed.contains(&Mate::End(plug.end)) || plug.own.iter().any(leads_to) {
            continue;
        }
        let Some(slip) = of_plug(facts, plug) else { continue };
        match found.iter_mut().find(|known| slip.runs.iter().any(|run| known.runs.contains(run))) {
            Some(known) => known.others.push(slip.plug),
            None => found.push(slip),
        }
    }
    found
}

/// The wires of a plug and the positions of its mate, each at the same place of both lists.
struct Table<'t> {
    facts: &'t Facts,
    own: &'t [Position],
    other: Vec<Position>,
}

impl Table<'_> {
    /// How the wire in the cavity `at` fits the position `to`.
    fn fit(&self, at: usize, to: usize) -> Fit {
        fit(self.facts, self.own.get(at), self.other.get(to))
    }

    fn is_wired(&self, at: usize) -> bool {
        self.own.get(at).is_some_and(|own| own.wire.is_some())
    }

    fn is_known(&self, at: usize) -> bool {
        self.own.get(at).is_some_and(|own| own.wire.is_some() && own.is_named())
    }
}

fn of_plug(facts: &Facts, plug: &Plug) -> Option<Misnumbered> {
    let count = plug.own.len();
    let theirs = positions(facts, plug.mate);
    if !(LEAST..=MOST_POSITIONS).contains(&count) {
        return None;
    }
    let other =
        plug.own.iter().map(|own| theirs.iter().find(|position| position.label == own.label).cloned().unwrap_or_default());
    let table = Table { facts, own: &plug.own, other: other.collect() };
    if (0..count).filter(|at| table.fit(*at, *at) == Fit::Bad).count() < 2 {
        return None;
    }
    let used = (0..count)
        .filter(|at| table.is_wired(*at) || table.other.get(*at).is_some_and(Position::is_named))
        .max()
        .map_or(0, |last| last + 1);
    let rows = rows(facts, plug);
    let ranked = patterns(count, used, &rows).into_iter().filter_map(|(pattern, order)| {
        let least = pattern.moved_for_each_that_stays(!rows.is_empty());
        Some((rank(&table, least, &order)?, pattern, order))
    });
    // Of equals the more likely one, which comes first.
    let best = ranked.reduce(|best, next| if next.0 > best.0 { next } else { best }).map(|(_, pattern, order)| (pattern, order));
    let (pattern, order) = best.or_else(|| Some((Pattern::Other, without_name(&table)?)))?;
    let moved = || order.iter().enumerate().filter(|(at, to)| at != *to && table.is_wired(*at));
    let point = |at: usize| plug.own.get(at).and_then(|own| own.point);
    let moves: Vec<(PointId, PointId)> = moved().filter_map(|(at, to)| Some((point(at)?, point(*to)?))).collect();
    let met = moved()
        .filter(|(at, _)| table.fit(*at, *at) == Fit::Bad)
        .find_map(|(at, _)| met(plug.own.get(at)?, table.other.get(at)?));
    let runs = moves.iter().map(|(from, _)| facts.pins().run(*from)).collect();
    Some(Misnumbered { plug: plug.end, pattern, moves, others: Vec::new(), met, runs })
}

/// How well an order explains what is amiss: fewer that stay bad, then more that have one name; `None` where it does not.
fn rank(table: &Table<'_>, moved_for_each_that_stays: usize, order: &[usize]) -> Option<(isize, usize)> {
    let (mut better, mut worse, mut bad, mut same, mut moved, mut named, mut fixed) = (0, 0, 0, 0, 0, 0, 0);
    for (at, to) in order.iter().enumerate() {
        let (here, there) = (table.fit(at, at), table.fit(at, *to));
        bad += usize::from(there == Fit::Bad);
        if !table.is_wired(at) {
            continue;
        }
        moved += usize::from(at != *to);
        fixed += usize::from(at == *to && table.is_known(at));
        better += usize::from(there > here);
        worse += usize::from(there < here);
        same += usize::from(there == Fit::Same) + usize::from(there >= Fit::Close);
        named += usize::from(at != *to && there == Fit::Same && here != Fit::Same);
    }
    // The middle of a row stays; where more stays, it is a few wires and not the plug.
    let explains = fixed * moved_for_each_that_stays <= moved
        && better >= LEAST
        && named >= 2
        && better * 2 > moved
        && (worse + bad) * ONE_IN <= better;
    explains.then_some((-(bad as isize) - worse as isize, same))
}

/// The only order in which each wire is where its name is, if most of the wires have to be moved for it.
fn without_name(table: &Table<'_>) -> Option<Vec<usize>> {
    let count = table.own.len();
    let mut order: Vec<usize> = (0..count).collect();
    let stays: Vec<bool> = (0..count).map(|at| table.is_wired(at) && table.fit(at, at) != Fit::Bad).collect();
    let mut taken = stays.clone();
    let known = (0..count).filter(|at| table.is_known(*at)).count();
    let mut moved = 0;
    for at in (0..count).filter(|at| table.is_wired(*at) && stays.get(*at) == Some(&false)) {
        let homes = |wanted: Fit| {
            let mut all = (0..count).filter(move |to| *to != at && table.fit(at, *to) == wanted);
            all.next().filter(|_| all.next().is_none())
        };
        let home = homes(Fit::Same).or_else(|| homes(Fit::Close))?;
        if std::mem::replace(taken.get_mut(home)?, true) {
            return None;
        }
        *order.get_mut(at)? = home;
        moved += 1;
    }
    (moved >= LEAST_WITHOUT_NAME && moved * 3 > known * 2).then_some(order)
}
