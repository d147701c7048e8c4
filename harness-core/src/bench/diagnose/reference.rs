//! Against what a voltage is measured where nobody says: the ground of the circuit that a point is in.

use crate::{
    analysis::Analysis,
    electrical::altered::Rest,
    model::{DomainId, PointId},
};
use rustc_hash::FxHashMap;

/// The grounds of a state: the chassis first, then returns, as the circuit prefers them for zero volt.
#[derive(Debug)]
pub(super) struct Grounds<'a> {
    analysis: &'a Analysis,
    rest: &'a Rest<'a>,
    /// One of those that are joined to each other, in their order.
    apart: Vec<PointId>,
    of_domain: FxHashMap<DomainId, PointId>,
}

/// Grounds that nothing joins are asked one after the other; beyond so many the domain decides.
const MOST: usize = 64;

impl<'a> Grounds<'a> {
    pub(super) fn new(analysis: &'a Analysis, rest: &'a Rest<'a>) -> Self {
        let all = rest.circuit().references.iter().map(|node| PointId::from_index(*node as usize));
        let domains = analysis.electrical().domains();
        let mut apart: Vec<PointId> = Vec::new();
        let mut of_domain = FxHashMap::default();
        for ground in all {
            if let Some(domain) = domains.of(ground) {
                of_domain.entry(domain).or_insert(ground);
            }
            if apart.len() < MOST && rest.is_live(ground) && !apart.iter().any(|known| rest.are_joined(*known, ground)) {
                apart.push(ground);
            }
        }
        Self { analysis, rest, apart, of_domain }
    }

    /// The ground that is joined to a point; `None` where none is.
    pub(super) fn joined(&self, point: PointId) -> Option<PointId> {
        self.apart.iter().copied().find(|ground| self.rest.are_joined(*ground, point))
    }

    /// The ground against which a point is measured: one that is joined to it, else that of its domain, else the first of all.
    pub(super) fn of(&self, point: PointId) -> Option<PointId> {
        let of_domain = || self.of_domain.get(&self.analysis.electrical().domains().of(point)?).copied();
        self.joined(point).or_else(of_domain).or_else(|| self.apart.first().copied())
    }
}
