//! Conductors beside class B whose insulation is not made for its voltage: in one duct each must withstand the highest voltage there.
//!
//! Side by side are the conductors of one segment of a route without a barrier, and those of a loom whose wires name no segment: of these nobody knows how
//! they run. The cores of one cable are a matter of the cable. A screened cable keeps what is in it apart. The interlock loop belongs to class B.
//!
//! Cost: a pass over the wires and the segments that they run through.

use super::Facts;
use crate::{
    electrical::conductors::{
        bundle::{Bundle, bundles_of},
        conductor::voltage_of,
    },
    model::{DomainId, Model, WireId},
    quantity::Volt,
    standards::rated::{Duty, RatedVoltage, TooLow},
    text::Span,
    vocabulary::Role,
};
use std::collections::BTreeMap;

impl Facts {
    /// Bundles in which class B is beside conductors with less insulation, in the order of the looms and segments.
    ///
    /// Asked by `domain/mixed-bundle`, `domain/shared-route` and `review/missing-fact`.
    #[must_use]
    pub fn mixed_bundles(&self) -> &[MixedBundle] {
        self.made.mixed_bundles.get_or_init(|| mixed_bundles(self))
    }
}

/// A conductor with too little insulation for what is beside it.
#[derive(Debug, Clone, Copy)]
pub struct Weak {
    /// The wire.
    pub wire: WireId,
    /// What its insulation is rated for.
    pub rated: RatedVoltage,
    /// Where that is written.
    pub place: Span,
    /// How it falls short.
    pub short: TooLow,
}

/// Conductors that run side by side.
#[derive(Debug)]
pub struct MixedBundle {
    /// Where.
    pub bundle: Bundle,
    /// The conductor of the highest voltage; one without a sheath if there is one.
    pub high: WireId,
    /// Its domain.
    pub domain: DomainId,
    /// All conductors of class B there are in a sheath: cores of a cable.
    pub is_sheathed: bool,
    /// Those with too little insulation.
    pub weak: Vec<Weak>,
    /// Those of class A of whose insulation nothing says what it is rated for; one of the two lists has at least one.
    pub unstated: Vec<WireId>,
}

/// The domain of a conductor; `None` where its ends are of two: that is the fault there.
fn domain_of(facts: &Facts, wire: WireId) -> Option<DomainId> {
    let item = &facts.model()[wire];
    let mut held = [item.from, item.to].into_iter().flatten().filter_map(|point| facts.potentials().of(point)?.domain());
    let first = held.next()?;
    held.all(|other| other == first).then_some(first)
}

/// Whether a wire is of the interlock loop: it runs with class B on purpose, and is part of what makes that safe.
fn is_interlock(facts: &Facts, wire: WireId) -> bool {
    let (model, item) = (facts.model(), &facts.model()[wire]);
    let nets = [item.from, item.to].into_iter().flatten().map(|point| facts.network().net(point));
    nets.flat_map(|net| facts.pins().of(net)).any(|pin| model.role_at(pin.point) == Some(Role::Interlock))
}

fn is_screened(model: &Model, wire: WireId) -> bool {
    let kind = model[wire].core.and_then(|(cable, _)| model[cable].kind);
    kind.is_some_and(|kind| model[kind].screen.is_some())
}

fn mixed_bundles(facts: &Facts) -> Vec<MixedBundle> {
    let model = facts.model();
    if !model.domains().any(|(_, domain)| domain.is_class_b()) {
        return Vec::new();
    }
    let mut bundles: BTreeMap<Bundle, Vec<(WireId, DomainId)>> = BTreeMap::new();
    for (id, wire) in
        model.wires().filter(|(id, wire)| model[wire.loom].fitted && !is_screened(model, *id) && !is_interlock(facts, *id))
    {
        let Some(domain) = domain_of(facts, id) else { continue };
        for bundle in bundles_of(wire) {
            bundles.entry(bundle).or_default().push((id, domain));
        }
    }
    bundles.into_iter().filter_map(|(bundle, wires)| mixed(model, bundle, &wires)).collect()
}

fn mixed(model: &Model, bundle: Bundle, wires: &[(WireId, DomainId)]) -> Option<MixedBundle> {
    if matches!(bundle, Bundle::Segment(segment) if model[segment].barrier) {
        return None;
    }
    let class_b = || wires.iter().filter(|(_, domain)| model[*domain].is_class_b());
    let is_sheathed = |wire: WireId| model[wire].core.is_some();
    // What has no sheath of its own is the greater danger.
    let rank = |(wire, domain): &&(WireId, DomainId)| (!is_sheathed(*wire), model[*domain].max);
    let higher = |one: &&(WireId, DomainId), other: &&(WireId, DomainId)| {
        let ((one_bare, one_volts), (other_bare, other_volts)): ((bool, Volt), (bool, Volt)) = (rank(one), rank(other));
        one_bare.cmp(&other_bare).then(one_volts.get().total_cmp(&other_volts.get()))
    };
    let (high, domain) = class_b().max_by(higher).copied()?;
    let service = model[domain].service();
    let weak = wires.iter().filter_map(|(wire, own)| {
        let (rated, place) = voltage_of(model, &model[*wire])?;
        let short = rated.falls_short(service, Duty::Insulates)?;
        // What is too little for its own circuit is reported as such, and cores of one cable as one cable.
        let is_short = rated.falls_short(model[*own].service(), Duty::Insulates).is_some();
        let cable = model[*wire].core.map(|(cable, _)| cable);
        let is_with_it = cable.is_some() && cable == model[high].core.map(|(cable, _)| cable);
        (*own != domain && !is_short && !is_with_it).then_some(Weak { wire: *wire, rated, place, short })
    });
    let weak: Vec<Weak> = weak.collect();
    let is_unstated = |(wire, own): &&(WireId, DomainId)| !model[*own].is_class_b() && voltage_of(model, &model[*wire]).is_none();
    let unstated: Vec<WireId> = wires.iter().filter(is_unstated).map(|(wire, _)| *wire).collect();
    (!weak.is_empty() || !unstated.is_empty()).then(|| MixedBundle {
        bundle,
        high,
        domain,
        is_sheathed: is_sheathed(high),
        weak,
        unstated,
    })
}
