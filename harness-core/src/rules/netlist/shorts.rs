//! Sources whose two poles are joined with nothing between that takes the voltage.
//!
//! The idea: in one mode, join everything that closed edges join; sources then stand between such lumps. A source within
//! one lump is shorted. Sources in a ring are shorted if their voltages do not cancel: a string closed on itself, a
//! battery across another one of twice its voltage. Batteries and chargers side by side cancel but for a little.

use super::views::{Part, part};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{ElementId, ElementKind, ModeId, PointId},
    network::{Components, EdgeId, GroupId, NetId, Step},
    quantity::Ampere,
};
use rustc_hash::FxHashMap;
use std::collections::hash_map::Entry;

/// Share of the largest voltage in a ring of sources from which what does not cancel counts as a short.
const CANCELS: f64 = 0.4;

/// Current from which a ring of sources counts: one with a limit takes no reverse current and may rest across a higher one.
const FLOWS: f64 = 1e-3;

/// A source, or a ring of them, that is shorted.
#[derive(Debug)]
pub(super) struct Short {
    /// The source that closes it.
    pub(super) source: ElementId,
    /// Modes in which it is shorted.
    pub(super) modes: Vec<ModeId>,
    /// Its positive pole.
    pub(super) start: PointId,
    /// From the positive pole to the negative one.
    pub(super) steps: Vec<Step>,
    /// The largest current of the source in these modes.
    pub(super) amps: Ampere,
    /// How many sources more the same joint shorts.
    pub(super) others: usize,
}

impl Short {
    /// The nets that the path lies in.
    pub(super) fn nets(&self, analysis: &Analysis) -> Vec<NetId> {
        let points = std::iter::once(self.start).chain(self.steps.iter().map(|step| step.point));
        points.map(|point| analysis.network().net(point)).collect()
    }
}

/// All shorts of a design, one for each lump that is shorted. Cost: a few passes over the edges for each mode.
pub(super) fn shorts(analysis: &Analysis) -> Vec<Short> {
    let mut found: Vec<Short> = Vec::new();
    for mode in analysis.electrical().modes() {
        let closed = |edge: EdgeId| {
            analysis.network().edge(edge).is_some_and(|item| part(analysis.model(), item) == Part::Conductor)
                && mode.conducts(edge)
        };
        let lumps = analysis.network().components(|id, _| closed(id));
        let mut shorted: FxHashMap<GroupId, usize> = FxHashMap::default();
        for (edge, ring) in closing(analysis, mode, &lumps) {
            let Some(item) = analysis.network().edge(edge) else { continue };
            let Some((source, _)) = item.element() else { continue };
            let amps = Ampere::new(mode.amps(edge).get().abs());
            let lump = lumps.of(item.a);
            if let Some(known) = shorted.get(&lump).and_then(|at| found.get_mut(*at)) {
                let counted = known.modes.last() == Some(&mode.id) && known.modes.len() > 1;
                known.others += usize::from(!counted);
                continue;
            }
            if let Some(at) = found.iter().position(|short| short.source == source) {
                shorted.insert(lump, at);
                if let Some(short) = found.get_mut(at) {
                    short.modes.push(mode.id);
                    short.amps = if amps > short.amps { amps } else { short.amps };
                }
                continue;
            }
            let steps = analysis.network().path(
                item.b,
                |point| point == item.a,
                |id, item| {
                    id != edge && (closed(id) || (ring && part(analysis.model(), item) == Part::Source && mode.conducts(id)))
                },
            );
            let steps = steps.unwrap_or_default();
            // In a ring the source that gives most may be another one.
            let ring_steps = steps.iter().filter(|_| ring);
            let amps = ring_steps.fold(amps.get(), |most, step| most.max(mode.amps(step.edge).get().abs()));
            if ring && amps < FLOWS {
                continue;
            }
            let amps = Ampere::new(amps);
            shorted.insert(lump, found.len());
            found.push(Short { source, modes: vec![mode.id], start: item.b, steps, amps, others: 0 });
        }
    }
    found
}

/// The edges of sources that close a short, and whether other sources belong to it.
fn closing(analysis: &Analysis, mode: &ModeState, lumps: &Components) -> Vec<(EdgeId, bool)> {
    let mut found = Vec::new();
    // Between lumps: what the sources found so far join, and how high each lump stands above the first of its tree.
    let mut strings: Vec<(EdgeId, GroupId, GroupId, f64)> = Vec::new();
    for (id, edge) in analysis.network().edges() {
        if part(analysis.model(), edge) != Part::Source || !mode.conducts(id) {
            continue;
        }
        let (minus, plus) = (lumps.of(edge.a), lumps.of(edge.b));
        if minus == plus {
            found.push((id, false));
        } else {
            let emf = edge.element().map_or(0.0, |(element, _)| emf(analysis, element));
            strings.push((id, minus, plus, emf));
        }
    }
    let mut around: FxHashMap<GroupId, Vec<usize>> = FxHashMap::default();
    for (at, (_, minus, plus, _)) in strings.iter().enumerate() {
        around.entry(*minus).or_default().push(at);
        around.entry(*plus).or_default().push(at);
    }
    // For each lump: its height, the largest EMF on the way from the root.
    let mut height: FxHashMap<GroupId, (f64, f64)> = FxHashMap::default();
    let mut used = vec![false; strings.len()];
    for (_, root, _, _) in &strings {
        if height.contains_key(root) {
            continue;
        }
        height.insert(*root, (0.0, 0.0));
        let mut waiting = vec![*root];
        while let Some(lump) = waiting.pop() {
            let (own, largest) = height.get(&lump).copied().unwrap_or_default();
            for at in around.get(&lump).map(Vec::as_slice).unwrap_or_default() {
                let Some((_, minus, plus, emf)) = strings.get(*at) else { continue };
                let (other, reached) = if lump == *minus { (*plus, own + emf) } else { (*minus, own - emf) };
                if let Entry::Vacant(slot) = height.entry(other) {
                    slot.insert((reached, largest.max(*emf)));
                    waiting.push(other);
                    if let Some(slot) = used.get_mut(*at) {
                        *slot = true;
                    }
                }
            }
        }
    }
    for ((id, minus, plus, emf), used) in strings.iter().zip(used) {
        let (Some(minus), Some(plus)) = (height.get(minus), height.get(plus)) else { continue };
        let left = (minus.0 + emf - plus.0).abs();
        let largest = emf.max(minus.1).max(plus.1);
        if !used && left > CANCELS * largest {
            found.push((*id, true));
        }
    }
    found
}

fn emf(analysis: &Analysis, element: ElementId) -> f64 {
    match analysis.model().element(element).map(|element| &element.kind) {
        Some(ElementKind::Source { emf, .. }) => emf.get(),
        Some(ElementKind::Converter { output, .. }) => output.get(),
        _ => 0.0,
    }
}
