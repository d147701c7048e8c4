//! The insulation test of a bare loom of voltage class B: what is tested against what, with which voltage, and what must be read.

use super::{loom::Taken, plan::accessible, rig::Rig};
use crate::{
    analysis::Analysis,
    model::DomainId,
    quantity::{Ohm, Volt},
    standards::{
        Source, Sourced,
        ring_out::{insulation_test, tester_step},
        voltage::{isolation_per_volt, isolation_per_volt_ac},
    },
};
use std::collections::BTreeMap;

/// A conductor of class B that is tested against all others of its loom, joined together.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct InsulationTest {
    /// Where one lead goes.
    pub from: String,
    /// The voltage domain.
    pub domain: String,
    /// Its highest voltage.
    pub highest: Volt,
    /// The least test voltages by the two texts that differ, the lower first, each with its source.
    pub volts: [(Volt, &'static Source); 2],
    /// The usual tester's step for the higher of them, with its source; `None` above the highest step.
    pub step: Option<Sourced<Volt>>,
    /// What a loom of direct voltage alone, and one joined to alternating voltage, must read at least, each with its source. The limit is that of
    /// the whole vehicle: a loom by itself is far above it.
    pub least: [(Ohm, &'static Source); 2],
    /// Whether the domain is of alternating voltage, for which the second limit holds.
    pub is_ac: bool,
}

pub(super) fn insulation(analysis: &Analysis, taken: &Taken, rig: &Rig) -> Vec<InsulationTest> {
    let model = analysis.model();
    let domains = analysis.electrical().domains();
    let mut nets: BTreeMap<_, (Option<DomainId>, _)> = BTreeMap::new();
    for (net, spots) in accessible(rig) {
        // A net is of the domain of any of its points: inside a loom none changes it.
        let domain = spots.iter().find_map(|spot| domains.of(taken.points[*spot])).filter(|domain| model[*domain].is_class_b());
        nets.insert(net, (domain, spots));
    }
    let class_b = nets.into_values().filter_map(|(domain, spots)| Some((domain?, *spots.first()?)));
    class_b
        .map(|(domain, spot)| {
            let domain = &model[domain];
            let highest = Volt::new(domain.max.get().abs());
            let volts = insulation_test().map(|share| (Volt::new(highest.get() * share.value.get()), share.source));
            let least = [isolation_per_volt(), isolation_per_volt_ac()]
                .map(|per_volt| (Ohm::new(per_volt.value.get() * highest.get()), per_volt.source));
            InsulationTest {
                from: rig.bare.spots[spot].name.clone(),
                domain: model.text(domain.name).to_owned(),
                highest,
                volts,
                step: tester_step(highest),
                least,
                is_ac: domain.ac,
            }
        })
        .collect()
}
