//! A battery on charge: what it takes, what the loads beside it take, and what gives both.

use super::{Thing, modes::main_edge};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{DomainId, ElementId},
    network::{Edge, EdgeId},
    quantity::Ampere,
};

/// Currents below this are rounding of the solver.
const NOTHING: f64 = 1e-6;

/// A battery that takes current in a mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Charge {
    /// The mode.
    pub mode: String,
    /// What the battery takes.
    pub battery: Ampere,
    /// What everything else on its domain takes: loads, inputs of converters, coils, other batteries on charge.
    pub loads: Ampere,
    /// What gives current to the domain, each with its current, the largest first.
    pub given: Vec<(String, Ampere)>,
}

/// In which modes a source takes current, in the order written; empty for all that is not a battery.
pub(super) fn charges(analysis: &Analysis, source: ElementId) -> Vec<Charge> {
    let network = analysis.network();
    let Some(edge) = main_edge(analysis, Thing::Element(source)).filter(|edge| network[*edge].role.takes_charge()) else {
        return Vec::new();
    };
    let Some(domain) = analysis.electrical().domains().of(network[edge].a) else { return Vec::new() };
    let settled = analysis.electrical().modes_as_written().into_iter().filter(|mode| mode.is_settled());
    settled.filter_map(|mode| charge(analysis, mode, edge, domain)).collect()
}

fn charge(analysis: &Analysis, mode: &ModeState, battery: EdgeId, domain: DomainId) -> Option<Charge> {
    let taken = mode.amps(battery);
    if taken.get() > -NOTHING {
        return None;
    }
    let taken = taken.abs();
    let of_domain = |edge: &Edge| analysis.electrical().domains().of(edge.a) == Some(domain);
    let drives = analysis.network().edges().filter(|(_, edge)| edge.role.drives() && of_domain(edge));
    let mut given: Vec<(String, Ampere)> = drives
        .filter_map(|(id, edge)| Some((analysis.model().element_name(edge.element()?), mode.amps(id))))
        .filter(|(_, amps)| amps.get() > NOTHING)
        .collect();
    given.sort_by(|(one, a), (other, b)| b.get().total_cmp(&a.get()).then_with(|| one.cmp(other)));
    let all: Ampere = given.iter().map(|(_, amps)| *amps).sum();
    let loads = if all > taken { all - taken } else { Ampere::ZERO };
    Some(Charge { mode: analysis.model().mode_name(mode.id).to_owned(), battery: taken, loads, given })
}
