//! Remedies with the cores of cables: another core for a wire, or two wires that swap theirs.
//!
//! Which core is right is the builder's to say, and a core is changed at both of its ends; so these are never written without asking.

use crate::{
    facts::Facts,
    finding::{Remedy, RemedyKind},
    model::{CableId, CableKind, Core, Model, WireId},
    quantity::SquareMillimetre,
    text::{Sources, Span},
};
use rustc_hash::FxHashMap;

/// Cores that are tried for one wire.
const CORES: usize = 3;

/// The wires of each cable, in order.
#[derive(Debug, Default)]
pub struct Cables(FxHashMap<CableId, Vec<WireId>>);

impl Cables {
    /// Those of a design. Cost: a pass over the wires.
    #[must_use]
    pub fn of(model: &Model) -> Self {
        let mut cables: FxHashMap<CableId, Vec<WireId>> = FxHashMap::default();
        for (id, wire) in model.wires() {
            if let Some((cable, _)) = wire.core {
                cables.entry(cable).or_default().push(id);
            }
        }
        Self(cables)
    }

    /// A core of its cable that no wire uses and that is not thinner, and which `suits`, for a wire.
    #[must_use]
    pub fn free(&self, facts: &Facts, wire: WireId, suits: impl Fn(&Core) -> bool) -> Vec<Remedy> {
        let (model, sources) = (facts.model(), facts.design().sources());
        let Some(((cable, _), span)) = model[wire].core.zip(model[wire].core_span) else { return Vec::new() };
        let Some(kind) = model[cable].kind else { return Vec::new() };
        let used: Vec<u32> = self.wires(cable).iter().filter_map(|wire| Some(model[*wire].core?.1)).collect();
        let least = model[wire].size.map(|size| size.value);
        let free = model[kind].cores.iter().zip(0..).filter(|(core, position)| {
            let is_thinner = least.is_some_and(|least| core.size.is_none_or(|size| size.value < least));
            !used.contains(position) && !is_thinner && suits(core)
        });
        let name = model.wire_name(wire);
        let remedy = |(core, _): (&Core, u32)| {
            let words = format!("use {} for `{name}`, at both ends", described(model, cable, core));
            Remedy::new(RemedyKind::Core, words).edit(span, written(model, sources, span, cable, core))
        };
        free.take(CORES).map(remedy).collect()
    }

    /// Another wire of the cable takes the core of this one, and this one the other's, which `suits`.
    #[must_use]
    pub fn swapped(&self, facts: &Facts, wire: WireId, suits: impl Fn(&Core) -> bool) -> Vec<Remedy> {
        let (model, sources) = (facts.model(), facts.design().sources());
        let core_of = |wire: WireId| {
            let (cable, position) = model[wire].core?;
            Some((cable, model[model[cable].kind?].cores.get(position as usize)?, model[wire].core_span?))
        };
        let Some((cable, own, span)) = core_of(wire) else { return Vec::new() };
        let is_alone = |core: &Core| {
            let of_it =
                self.wires(cable).iter().filter(|wire| core_of(**wire).is_some_and(|(_, other, _)| other.span == core.span));
            of_it.count() == 1
        };
        let others = self.wires(cable).iter().filter_map(|other| Some((*other, core_of(*other)?)));
        let others = others.filter(|(other, (_, core, _))| *other != wire && is_alone(core) && is_alone(own) && suits(core));
        let remedy = |(other, (_, core, place)): (WireId, (CableId, &Core, Span))| {
            let words = format!(
                "use {} for `{}` and {} for `{}`, at both ends",
                described(model, cable, core),
                model.wire_name(wire),
                described(model, cable, own),
                model.wire_name(other)
            );
            Remedy::new(RemedyKind::Core, words).edit(span, sources.slice(place)).edit(place, sources.slice(span))
        };
        others.take(CORES).map(remedy).collect()
    }

    fn wires(&self, cable: CableId) -> &[WireId] {
        self.0.get(&cable).map_or(&[], Vec::as_slice)
    }
}

/// Cable kinds of the design with the same labels in which the core of `wire` has `least` and no core that is used is thinner than now.
#[must_use]
pub fn larger_cable(facts: &Facts, wire: WireId, least: SquareMillimetre) -> Vec<Remedy> {
    let model = facts.model();
    let Some(((cable, position), own)) = model[wire].core.and_then(|core| Some((core, model[core.0].kind?))) else {
        return Vec::new();
    };
    let used: Vec<u32> =
        model.wires().filter_map(|(_, wire)| wire.core).filter(|core| core.0 == cable).map(|core| core.1).collect();
    let does = |other: &CableKind| {
        used.iter().all(|at| {
            let now = model[own].cores.get(*at as usize);
            let then = now.and_then(|now| other.cores.iter().find(|core| core.label == now.label));
            let (Some(now), Some(then)) = (now.and_then(|core| core.size), then.and_then(|core| core.size)) else { return false };
            then.value >= now.value && (*at != position || then.value >= least && then.value > now.value)
        })
    };
    let others = model.cable_kinds().filter(|(id, kind)| *id != own && does(kind));
    let remedy = |(_, kind): (_, &CableKind)| {
        let name = model.text(kind.name);
        Remedy::new(RemedyKind::Part, format!("use cable kind `{name}` for `{}`", model.cable_name(cable)))
            .edit(model[cable].kind_span, name)
    };
    others.take(CORES).map(remedy).collect()
}

/// ``core `front.C1.2` (blue)``
fn described(model: &Model, cable: CableId, core: &Core) -> String {
    let colour = core.colour.map_or_else(String::new, |colour| format!(" ({})", colour.value.name()));
    format!("core `{}.{}`{colour}", model.cable_name(cable), model.text(core.label))
}

/// `C1.2`, in the quotes in which the wire's own core is written.
fn written(model: &Model, sources: &Sources, now: Span, cable: CableId, core: &Core) -> String {
    let quote = sources.slice(now).chars().next().filter(|letter| matches!(letter, '\'' | '"'));
    let quote = quote.map_or_else(String::new, String::from);
    format!("{quote}{}.{}{quote}", model.text(model[cable].name), model.text(core.label))
}
