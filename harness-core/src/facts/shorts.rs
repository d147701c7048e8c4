//! Sources whose two poles are joined with nothing between that limits the current.
//!
//! The idea: in one mode, join everything that closed edges join; sources are then between such lumps. A source within
//! one lump is shorted. Sources in a ring are shorted if their voltages do not cancel: a string closed on itself, a
//! battery across another one of twice its voltage. Batteries and chargers side by side cancel but for a little.

use super::Facts;
use crate::{
    arena::IdVec,
    electrical::{Electrical, ModeState},
    model::{ElementId, ElementKind, ModeId, Model, PointId},
    network::{Components, EdgeId, GroupId, NetId, Network, Step},
    quantity::Ampere,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Sources whose poles are joined.
    ///
    /// Asked by `netlist/sneak-short` and for the meetings.
    #[must_use]
    pub fn shorts(&self) -> &[Short] {
        self.made.shorts.get_or_init(|| shorts(self.network(), self.electrical()))
    }
}

/// Share of the largest voltage in a ring of sources from which what does not cancel counts as a short.
const CANCELS: f64 = 0.4;

/// Current from which a ring of sources counts: one with a limit takes no reverse current and may rest across a higher one.
const FLOWS: f64 = 1e-3;

/// A source, or a ring of them, that is shorted.
#[derive(Debug)]
pub struct Short {
    /// The source that closes it.
    pub source: ElementId,
    /// Modes in which it is shorted.
    pub modes: Vec<ModeId>,
    /// Its positive pole.
    pub start: PointId,
    /// From the positive pole to the negative one.
    pub steps: Vec<Step>,
    /// The largest current of the source in these modes.
    pub amps: Ampere,
    /// How many sources more the same joint shorts.
    pub others: usize,
}

impl Short {
    /// The nets that the path is in.
    #[must_use]
    pub fn nets(&self, network: &Network) -> Vec<NetId> {
        let points = std::iter::once(self.start).chain(self.steps.iter().map(|step| step.point));
        points.map(|point| network.net(point)).collect()
    }
}

/// All shorts of a design, one for each lump that is shorted. Cost: a few passes over the edges for each mode.
fn shorts(network: &Network, electrical: &Electrical) -> Vec<Short> {
    let mut found: Vec<Short> = Vec::new();
    let mut by_source: FxHashMap<ElementId, usize> = FxHashMap::default();
    for mode in electrical.modes() {
        let closed = |edge: EdgeId| network[edge].role.conducts_when_closed() && mode.conducts(edge);
        let lumps = network.components(|id, _| closed(id));
        let mut shorted: FxHashMap<GroupId, usize> = FxHashMap::default();
        let (closing, tree) = closing(network, mode, &lumps);
        for (edge, ring) in closing {
            let item = network[edge];
            let Some(source) = item.element() else { continue };
            let amps = Ampere::new(mode.amps(edge).get().abs());
            let lump = lumps.of(item.a);
            if let Some(known) = shorted.get(&lump).and_then(|at| found.get_mut(*at)) {
                let counted = known.modes.last() == Some(&mode.id) && known.modes.len() > 1;
                known.others += usize::from(!counted);
                continue;
            }
            if let Some((at, short)) = by_source.get(&source).and_then(|at| Some((*at, found.get_mut(*at)?))) {
                shorted.insert(lump, at);
                short.modes.push(mode.id);
                short.amps = if amps > short.amps { amps } else { short.amps };
                continue;
            }
            let steps = network.path(
                item.b,
                |point| point == item.a,
                // Past other sources than those whose voltages were added up a ring may be shorter and in balance.
                |id, _| id != edge && (closed(id) || (ring && tree.contains(&id))),
            );
            // A source that closes a short has such a path: it was found by what joins its poles.
            let steps = steps.unwrap_or_default();
            // In a ring the source that gives most may be another one.
            let ring_steps = steps.iter().filter(|_| ring);
            let amps = ring_steps.fold(amps.get(), |most, step| most.max(mode.amps(step.edge).get().abs()));
            // Without a steady state there are no figures; sources that all drive one way around are shorted whatever they give.
            let given = if ring && mode.is_adrift(item.a) { driven_around(network, edge, &steps) } else { None };
            let amps = given.unwrap_or(amps);
            if ring && amps < FLOWS {
                continue;
            }
            shorted.insert(lump, found.len());
            by_source.entry(source).or_insert(found.len());
            found.push(Short { source, modes: vec![mode.id], start: item.b, steps, amps: Ampere::new(amps), others: 0 });
        }
    }
    found
}

/// The least limit in A, or else the least current through its own resistance, of sources that all drive one way around a ring; `None`
/// where one drives against the others.
fn driven_around(network: &Network, closing: EdgeId, steps: &[Step]) -> Option<f64> {
    let model = network.model();
    let own = |edge: EdgeId| {
        let kind = &model[network[edge].element()?].kind;
        let resistance = kind.inner_resistance().map_or(0.0, |inner| inner.new.get());
        let through = if resistance > 0.0 { kind.open_voltage()?.get() / resistance } else { f64::INFINITY };
        Some(kind.limit().map_or(through, |limit| limit.get().min(through)))
    };
    let mut least = own(closing)?;
    for step in steps.iter().filter(|step| network.role(step.edge).drives()) {
        if step.point != network[step.edge].b {
            return None;
        }
        least = least.min(own(step.edge)?);
    }
    least.is_finite().then_some(least)
}

/// The edges of sources that close a short, each with whether other sources belong to it; and the sources along which voltages were
/// added up, of which no two ways lead from one lump to another.
fn closing(network: &Network, mode: &ModeState, lumps: &Components) -> (Vec<(EdgeId, bool)>, FxHashSet<EdgeId>) {
    let mut found = Vec::new();
    // Between lumps: what the sources found so far join, and how high each lump is above the first of its tree.
    let mut strings: Vec<(EdgeId, GroupId, GroupId, f64)> = Vec::new();
    for (id, edge) in network.edges() {
        if !edge.role.drives() || !mode.conducts(id) {
            continue;
        }
        let (minus, plus) = (lumps.of(edge.a), lumps.of(edge.b));
        if minus == plus {
            found.push((id, false));
        } else {
            let emf = edge.element().map_or(0.0, |element| emf(network.model(), element));
            strings.push((id, minus, plus, emf));
        }
    }
    let mut around: IdVec<GroupId, Vec<usize>> = IdVec::of(Vec::new(), lumps.len());
    for (at, (_, minus, plus, _)) in strings.iter().enumerate() {
        around[*minus].push(at);
        around[*plus].push(at);
    }
    // For each lump that is reached: its height, and the largest EMF on the way from the root.
    let mut heights: IdVec<GroupId, Option<(f64, f64)>> = IdVec::of(None, lumps.len());
    let mut used: FxHashSet<EdgeId> = FxHashSet::default();
    for (_, root, _, _) in &strings {
        if heights[*root].is_some() {
            continue;
        }
        heights[*root] = Some((0.0, 0.0));
        let mut waiting = vec![(*root, 0.0, 0.0_f64)];
        while let Some((lump, own, largest)) = waiting.pop() {
            for (id, minus, plus, emf) in around[lump].iter().filter_map(|at| strings.get(*at)) {
                let (other, reached) = if lump == *minus { (*plus, own + emf) } else { (*minus, own - emf) };
                if heights[other].is_none() {
                    let largest = largest.max(*emf);
                    heights[other] = Some((reached, largest));
                    waiting.push((other, reached, largest));
                    used.insert(*id);
                }
            }
        }
    }
    for (id, minus, plus, emf) in &strings {
        // Both lumps of each source were reached, from the root of their tree.
        let (Some(minus), Some(plus)) = (heights[*minus], heights[*plus]) else { continue };
        let left = (minus.0 + emf - plus.0).abs();
        let largest = emf.max(minus.1).max(plus.1);
        if !used.contains(id) && left > CANCELS * largest {
            found.push((*id, true));
        }
    }
    (found, used)
}

fn emf(model: &Model, source: ElementId) -> f64 {
    match model[source].kind {
        ElementKind::Source { emf, .. } => emf.get(),
        ElementKind::Converter { output, .. } => output.get(),
        ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => 0.0,
        ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Relay { .. } => 0.0,
        ElementKind::Disconnect { .. } | ElementKind::Link { .. } | ElementKind::Interlock { .. } => 0.0,
    }
}
