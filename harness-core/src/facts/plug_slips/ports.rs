//! Plugs that belong on another port: on each other's, or on one that is free.

use super::{Fit, Fits, Gain, LEAST, Met, ONE_IN, Plug, Position, positions};
use crate::{
    facts::{Facts, mated_pairs::Half, pins::RunId},
    model::{EndId, EndKind, Housing, Mate, PortKind},
    vocabulary::Contacts,
};
use rustc_hash::FxHashSet;

/// Ports and plugs that are tried with each other.
const MOST_TRIED: usize = 64;

/// Plugs that are on wrong ports, each where the one before it belongs.
#[derive(Debug)]
pub struct WrongPorts {
    /// The plugs, the first of them first.
    pub plugs: Vec<Misplaced>,
    /// Whether the first belongs where the last one is; else the last one belongs on a port that is free.
    pub is_ring: bool,
    /// Whether all of them fit where they are: nothing but the signals shows it.
    pub fit_as_they_are: bool,
    /// Plugs at the other ends of the same wires, with which the same slip would have the same effect.
    pub others: Vec<EndId>,
    /// Two pins that meet by it.
    pub met: Option<Met>,
    pub(super) runs: Vec<RunId>,
}

/// A plug on a wrong port.
#[derive(Debug, Clone, Copy)]
pub struct Misplaced {
    /// The plug.
    pub end: EndId,
    /// What it mates.
    pub on: Mate,
    /// Where it belongs.
    pub belongs: Mate,
}

/// Whether two housings mate, as far as both say.
pub(super) fn mate(one: &Housing, other: &Housing) -> bool {
    let family = one.family.zip(other.family).is_none_or(|(one, other)| one.value == other.value);
    let sides = one.contacts.zip(other.contacts).is_none_or(|(one, other)| {
        let is_socket = |contacts: Contacts| contacts == Contacts::Socket;
        is_socket(one.value) != is_socket(other.value)
    });
    family && sides && one.key.map(|key| key.value) == other.key.map(|key| key.value) && one.labels.len() == other.labels.len()
}

fn fit_each_other(facts: &Facts, one: Mate, other: Mate) -> bool {
    let half = |connector: Mate| Half::of(facts.model(), connector);
    match (half(one), half(other)) {
        (Some(one), Some(other)) => mate(one.housing, other.housing),
        (None, _) | (_, None) => true,
    }
}

/// Plugs on wrong ports, and pairs that may as well have two wires swapped.
pub(super) fn on_wrong_ports(facts: &Facts, plugs: &[Plug]) -> (Vec<WrongPorts>, Vec<[EndId; 2]>) {
    let search = Search::new(facts, plugs);
    let mut found = Vec::new();
    let mut maybe = Vec::new();
    let mut done = vec![false; search.plugs.len()];
    for first in 0..search.plugs.len() {
        if done.get(first) == Some(&true) {
            continue;
        }
        let Some((members, is_ring)) = search.follow(first) else { continue };
        // A row is found from each of its plugs; the whole of it begins with the plug whose place nobody takes.
        let is_whole = is_ring || search.best.iter().all(|best| best.is_none_or(|best| search.owner(best) != Some(first)));
        if !is_whole || members.iter().any(|(plug, _)| done.get(*plug) == Some(&true)) {
            continue;
        }
        match search.verdict(&members) {
            Verdict::Whole => {
                members.iter().for_each(|(plug, _)| {
                    if let Some(done) = done.get_mut(*plug) {
                        *done = true
                    }
                });
                let slip = search.slip(&members, is_ring);
                match found.iter_mut().find(|known: &&mut WrongPorts| slip.runs.iter().any(|run| known.runs.contains(run))) {
                    Some(known) => known.others.extend(slip.plugs.iter().map(|plug| plug.end)),
                    None => found.push(slip),
                }
            }
            Verdict::Maybe if is_ring && members.len() == 2 => {
                let ends: Vec<EndId> =
                    members.iter().filter_map(|(plug, _)| search.plugs.get(*plug)).map(|plug| plug.end).collect();
                if let Ok(pair) = <[EndId; 2]>::try_from(ends) {
                    maybe.push(pair);
                }
            }
            Verdict::Maybe | Verdict::No => {}
        }
    }
    maybe.sort_unstable();
    maybe.dedup_by_key(|pair| {
        pair.sort_unstable();
        *pair
    });
    (found, maybe)
}

enum Verdict {
    Whole,
    Maybe,
    No,
}

struct Search<'p> {
    facts: &'p Facts,
    plugs: Vec<&'p Plug>,
    /// What each of them mates, then halves that nothing mates.
    halves: Vec<(Mate, Vec<Position>)>,
    /// For each plug how it fits the half that it mates.
    now: Vec<Fits>,
    /// For each plug the only half that it fits best and better than its own.
    best: Vec<Option<usize>>,
}

impl<'p> Search<'p> {
    fn new(facts: &'p Facts, plugs: &'p [Plug]) -> Self {
        let plugs: Vec<&Plug> = plugs.iter().take(MOST_TRIED).collect();
        let mates = plugs.iter().map(|plug| plug.mate);
        let halves: Vec<(Mate, Vec<Position>)> =
            mates.chain(free(facts).into_iter().take(MOST_TRIED)).map(|half| (half, positions(facts, half))).collect();
        let now = plugs.iter().zip(&halves).map(|(plug, (_, other))| Fits::of(facts, &plug.own, other)).collect();
        let mut search = Self { facts, plugs, halves, now, best: Vec::new() };
        search.best = (0..search.plugs.len()).map(|plug| search.best_of(plug)).collect();
        search
    }

    /// The plug that is on a half.
    fn owner(&self, half: usize) -> Option<usize> {
        (half < self.plugs.len()).then_some(half)
    }

    fn is_mismatched(&self, plug: usize, half: usize) -> bool {
        let (Some(plug), Some((half, _))) = (self.plugs.get(plug), self.halves.get(half)) else { return false };
        !fit_each_other(self.facts, Mate::End(plug.end), *half)
    }

    fn fits(&self, plug: usize, half: usize) -> Option<Fits> {
        let (plug, (_, other)) = (self.plugs.get(plug)?, self.halves.get(half)?);
        Some(Fits::of(self.facts, &plug.own, other))
    }

    fn best_of(&self, plug: usize) -> Option<usize> {
        let now = self.now.get(plug)?;
        let rank = |half: usize, fits: &Fits| (self.is_mismatched(plug, half), fits.count(Fit::Bad), usize::MAX - fits.names());
        let own = rank(plug, now);
        if !own.0 && own.1 == 0 {
            return None;
        }
        let names = |positions: &[Position]| -> FxHashSet<u32> {
            positions.iter().flat_map(|position| &position.pins).filter_map(|pin| pin.signal).collect()
        };
        let own_names = names(&self.plugs.get(plug)?.own);
        let is_tried = |half: &usize| {
            let other = self.halves.get(*half).filter(|(there, _)| !self.leads_to(plug, *there));
            let shares = other.is_some_and(|(_, there)| !names(there).is_disjoint(&own_names));
            *half != plug && shares && !self.is_mismatched(plug, *half)
        };
        let mut ranked: Vec<_> = (0..self.halves.len())
            .filter(is_tried)
            .filter_map(|half| {
                let fits = self.fits(plug, half)?;
                let is_better = fits.names() > now.names() && fits.count(Fit::Bad) <= now.count(Fit::Bad);
                is_better.then(|| (rank(half, &fits), half))
            })
            .collect();
        ranked.sort_unstable();
        match ranked.as_slice() {
            [(best, half), rest @ ..] if *best < own && rest.first().is_none_or(|(next, _)| next > best) => Some(*half),
            _ => None,
        }
    }

    /// The plugs with the half on which each belongs, from one plug on, and whether they are a ring; `None` where they lead to a plug that is where
    /// it belongs.
    fn follow(&self, first: usize) -> Option<(Vec<(usize, usize)>, bool)> {
        let mut members: Vec<(usize, usize)> = Vec::new();
        let mut at = first;
        loop {
            let half = match self.best.get(at).copied().flatten() {
                Some(half) => half,
                // A plug of which little is known goes where the first one is, if it fits no worse there.
                None if members.len() == 1 && self.is_no_worse(at, first) => first,
                None => return None,
            };
            members.push((at, half));
            match self.owner(half) {
                None => return Some((members, false)),
                Some(next) if next == first => return Some((members, true)),
                Some(next) if members.iter().any(|(plug, _)| *plug == next) => return None,
                Some(next) => at = next,
            }
        }
    }

    /// Whether most wires of a plug lead to a half already, or are of its loom.
    fn leads_to(&self, plug: usize, half: Mate) -> bool {
        let model = self.facts.model();
        let Some(plug) = self.plugs.get(plug) else { return false };
        match half {
            Mate::Port(port) => {
                let wired = || plug.own.iter().filter(|own| own.wire.is_some());
                let leads = |own: &&Position| own.pins.iter().any(|pin| model.plug_at(pin.point) == Some(port));
                2 * wired().filter(leads).count() > wired().count()
            }
            Mate::End(end) => model[end].loom == model[plug.end].loom,
        }
    }

    fn is_no_worse(&self, plug: usize, half: usize) -> bool {
        let (Some(now), Some(there)) = (self.now.get(plug), self.fits(plug, half)) else { return false };
        now.gain(&there).worse == 0 && self.is_mismatched(plug, half) <= self.is_mismatched(plug, plug)
    }

    fn verdict(&self, members: &[(usize, usize)]) -> Verdict {
        let (mut sum, mut bad, mut cured) = (Gain::default(), 0, false);
        for (plug, half) in members {
            let (Some(now), Some(there)) = (self.now.get(*plug), self.fits(*plug, *half)) else { return Verdict::No };
            let gain = now.gain(&there);
            sum = Gain { better: sum.better + gain.better, named: sum.named + gain.named, worse: sum.worse + gain.worse };
            bad += there.count(Fit::Bad);
            cured |= self.is_mismatched(*plug, *plug) && !self.is_mismatched(*plug, *half);
            if self.is_mismatched(*plug, *half) {
                return Verdict::No;
            }
        }
        let is_clear = (sum.worse + bad) * ONE_IN <= sum.better && sum.named * 2 >= sum.better;
        match sum.better {
            _ if !is_clear => Verdict::No,
            0 => Verdict::No,
            better if better >= LEAST || cured => Verdict::Whole,
            _ => Verdict::Maybe,
        }
    }

    fn slip(&self, members: &[(usize, usize)], is_ring: bool) -> WrongPorts {
        let placed = members.iter().filter_map(|(plug, half)| {
            let plug = self.plugs.get(*plug)?;
            Some(Misplaced { end: plug.end, on: plug.mate, belongs: self.halves.get(*half)?.0 })
        });
        let met = members.iter().find_map(|(plug, half)| self.met(*plug, *half));
        let fit_as_they_are = members.iter().all(|(plug, _)| !self.is_mismatched(*plug, *plug));
        let own = members.iter().filter_map(|(plug, _)| self.plugs.get(*plug)).flat_map(|plug| &plug.own);
        let runs = own.filter(|own| own.wire.is_some()).filter_map(|own| Some(self.facts.pins().run(own.point?))).collect();
        WrongPorts { plugs: placed.collect(), is_ring, fit_as_they_are, others: Vec::new(), met, runs }
    }

    /// The first position that fits where the plug belongs and not where it is, with both sides of it named.
    fn met(&self, plug: usize, half: usize) -> Option<Met> {
        let (now, there) = (self.now.get(plug)?, self.fits(plug, half)?);
        let (own, (_, other)) = (&self.plugs.get(plug)?.own, self.halves.get(plug)?);
        let is_better = |label| there.0.get(&label) > now.0.get(&label);
        own.iter().filter(|position| is_better(position.label)).find_map(|position| {
            let met = other.iter().find(|met| met.label == position.label)?;
            super::met(position, met)
        })
    }
}

/// Connectors of fitted devices and looms that nothing mates, in order.
fn free(facts: &Facts) -> Vec<Mate> {
    let (model, claims) = (facts.model(), facts.claims());
    let ports = model.ports().filter(|(id, port)| {
        matches!(port.kind, PortKind::Connector(_)) && model[port.device].fitted && claims.connectors(*id).is_empty()
    });
    let ends = model.ends().filter(|(id, end)| {
        matches!(end.kind, EndKind::Connector(_)) && model[end.loom].fitted && end.mate.is_none() && claims.of_end(*id).is_empty()
    });
    ports.map(|(id, _)| Mate::Port(id)).chain(ends.map(|(id, _)| Mate::End(id))).collect()
}
