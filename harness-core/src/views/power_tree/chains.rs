//! Cells and modules in series, with what is between them: each row of them is one feeder.

use super::grid::{Grid, LinkOf};
use crate::{
    electrical::ModeState,
    model::ElementKind,
    network::{EdgeId, NetId},
    text::Span,
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::VecDeque;

/// A way between two banks is sought up to so many nets.
const FAR: usize = 4096;

/// What a chain is made of, from its lowest end on.
#[derive(Debug, Clone)]
pub(super) enum Ring {
    /// Sources side by side.
    Bank(Vec<EdgeId>),
    /// A link between two banks.
    Link(usize),
    /// A net between two banks.
    Between(NetId),
}

/// Sources in series.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    pub(super) rings: Vec<Ring>,
    /// The net at its upper end.
    pub(super) top: NetId,
    /// The net that it begins at, where that is between the banks of another chain.
    pub(super) from: Option<NetId>,
    /// Its first source.
    pub(super) span: Span,
}

impl Chain {
    /// Its sources, from its lower end.
    pub(super) fn sources(&self) -> impl Iterator<Item = EdgeId> {
        let banks = self.rings.iter().filter_map(|ring| match ring {
            Ring::Bank(sources) => Some(sources),
            Ring::Link(_) | Ring::Between(_) => None,
        });
        banks.flatten().copied()
    }
}

/// All sources of a design that feed something.
#[derive(Debug, Default)]
pub(super) struct Chains {
    /// In the order of their first sources.
    pub(super) chains: Vec<Chain>,
    /// Links that are in a chain.
    pub(super) links: FxHashSet<usize>,
    /// Nets between banks, in the order met.
    pub(super) between: Vec<NetId>,
}

/// Sources side by side between the same two nets.
struct Bank {
    sources: Vec<EdgeId>,
    minus: NetId,
    plus: NetId,
    span: Span,
}

/// Which bank is below which, and whether it is in the same chain.
struct Below<'b> {
    banks: &'b [Bank],
    below: &'b [Option<(usize, Vec<usize>)>],
    follows: &'b [bool],
}

impl Chains {
    pub(super) fn new(grid: &Grid<'_>) -> Self {
        let banks = banks(grid);
        let mut by_plus: FxHashMap<NetId, usize> = FxHashMap::default();
        for (number, bank) in banks.iter().enumerate() {
            by_plus.entry(bank.plus).or_insert(number);
        }
        let stacked = |bank: &Bank| !grid.low[bank.minus];
        let below: Vec<Option<(usize, Vec<usize>)>> = banks
            .iter()
            .enumerate()
            .map(|(own, bank)| if stacked(bank) { below(grid, bank, own, &by_plus) } else { None })
            .collect();
        let mut taken: Vec<bool> = vec![false; banks.len()];
        let mut follows: Vec<bool> = vec![false; banks.len()];
        for (number, found) in below.iter().enumerate() {
            if let Some((lower, _)) = found
                && let (Some(is_taken), Some(own)) = (taken.get_mut(*lower), follows.get_mut(number))
                && !std::mem::replace(is_taken, true)
            {
                *own = true;
            }
        }
        let mut found = Self::default();
        let mut used = vec![false; banks.len()];
        // From each upper end down; what a ring of sources leaves over begins anywhere.
        for rings in [false, true] {
            for number in 0..banks.len() {
                if rings || taken.get(number) == Some(&false) {
                    found.chain(grid, number, &Below { banks: &banks, below: &below, follows: &follows }, &mut used);
                }
            }
        }
        found.chains.sort_by_key(|chain| chain.span);
        found
    }

    fn chain(&mut self, grid: &Grid<'_>, top: usize, Below { banks, below, follows }: &Below<'_>, used: &mut [bool]) {
        let Some(upper) = banks.get(top) else { return };
        let mut rings: Vec<Ring> = Vec::new();
        let (mut number, mut span, mut from) = (top, upper.span, None);
        while let (Some(bank), Some(is_used)) = (banks.get(number), used.get_mut(number))
            && !std::mem::replace(is_used, true)
        {
            rings.push(Ring::Bank(bank.sources.clone()));
            span = span.min(bank.span);
            let Some(Some((lower, path))) = below.get(number) else { break };
            if follows.get(number) == Some(&false) || used.get(*lower) == Some(&true) {
                from = Some(bank.minus);
                self.between.push(bank.minus);
                break;
            }
            self.between.push(bank.minus);
            rings.push(Ring::Between(bank.minus));
            let mut at = bank.minus;
            for number in path {
                self.links.insert(*number);
                rings.push(Ring::Link(*number));
                let Some(link) = grid.links.get(*number) else { continue };
                at = link.other(at);
                self.between.push(at);
                rings.push(Ring::Between(at));
            }
            number = *lower;
        }
        if rings.is_empty() {
            return;
        }
        rings.reverse();
        self.chains.push(Chain { rings, top: upper.plus, from, span });
    }
}

/// The sources that feed something, those side by side together, in the order written.
fn banks(grid: &Grid<'_>) -> Vec<Bank> {
    let model = grid.analysis.model();
    let network = grid.analysis.network();
    let mut banks: Vec<Bank> = Vec::new();
    let mut known: FxHashMap<(NetId, NetId), usize> = FxHashMap::default();
    let mut sources: Vec<(Span, EdgeId)> =
        grid.sources.iter().filter_map(|id| Some((model[network[*id].element()?].span, *id))).collect();
    sources.sort_unstable();
    for (span, id) in sources {
        let (minus, plus) = grid.poles(id);
        if !grid.fed[plus] || minus == plus {
            continue;
        }
        let is_cell = network[id].element().is_some_and(|element| match &model[element].kind {
            ElementKind::Source { .. } => model[element].kind.limit().is_none(),
            _ => false,
        });
        if is_cell && let Some(bank) = known.get(&(minus, plus)).and_then(|at| banks.get_mut(*at)) {
            bank.sources.push(id);
            continue;
        }
        if is_cell {
            known.insert((minus, plus), banks.len());
        }
        banks.push(Bank { sources: vec![id], minus, plus, span });
    }
    banks
}

/// The bank below another one, with the links between, from the upper one on.
fn below(grid: &Grid<'_>, bank: &Bank, own: usize, by_plus: &FxHashMap<NetId, usize>) -> Option<(usize, Vec<usize>)> {
    let mut came: FxHashMap<NetId, Option<(NetId, usize)>> = FxHashMap::from_iter([(bank.minus, None)]);
    let mut waiting = VecDeque::from([bank.minus]);
    while let Some(net) = waiting.pop_front() {
        if let Some(lower) = by_plus.get(&net).filter(|lower| **lower != own) {
            let mut path = Vec::new();
            let mut at = net;
            while let Some(Some((before, link))) = came.get(&at) {
                path.push(*link);
                at = *before;
            }
            path.reverse();
            return Some((*lower, path));
        }
        if came.len() > FAR {
            return None;
        }
        for number in &grid.at[net] {
            let Some(link) = grid.links.get(*number) else { continue };
            let next = link.other(net);
            if matches!(link.of, LinkOf::Way(_)) && grid.fed[next] && !came.contains_key(&next) {
                came.insert(next, Some((net, *number)));
                waiting.push_back(next);
            }
        }
    }
    None
}

/// The current that a chain gives in a mode: that of its upper bank.
pub(super) fn gives(chain: &Chain, mode: Option<&ModeState>) -> crate::quantity::Ampere {
    let upper = chain.rings.iter().rev().find_map(|ring| match ring {
        Ring::Bank(sources) => Some(sources),
        Ring::Link(_) | Ring::Between(_) => None,
    });
    upper.into_iter().flatten().filter_map(|source| Some(mode?.amps(*source))).sum()
}
