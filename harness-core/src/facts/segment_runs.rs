//! Wires and cables that are shorter than the segments of the route that they run through.
//!
//! A segment between two nodes is passed whole by what runs through it, unless an end or splice of it hangs there (`at`). One without nodes is
//! passed whole too, but for as many as the ends that say nothing of where they hang could leave midway.
//!
//! Cost: linear in the wires and the segments that they run through.

use super::Facts;
use crate::{
    model::{CableId, EndId, LoomId, Model, PointId, PointKind, SegmentId, WireId},
    quantity::Metre,
    standards::handling::odd_lengths,
    text::At,
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Wires and cables that are shorter than the segments that they run through and are not a slip of a unit, in the order of the wires.
    ///
    /// Asked by `route/short-wire` and `review/missing-fact`.
    #[must_use]
    pub fn short_runs(&self) -> &[ShortRun] {
        self.made.short_runs.get_or_init(|| short_runs(self.model()))
    }
}

/// How sure it is that a wire does not reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reaching {
    /// It is shorter than what it passes whole.
    Never,
    /// It could reach if it left segments midway that have no nodes, as no wire beside it does.
    Hardly,
    /// It reaches if it leaves the one segment midway, and nothing says whether it does.
    Unknown,
}

/// A wire or cable that is shorter than its route.
#[derive(Debug)]
pub struct ShortRun {
    /// The wire; of a cable the first of its cores.
    pub wire: WireId,
    /// The cable, if it is one.
    pub cable: Option<CableId>,
    /// Its loom.
    pub loom: LoomId,
    /// Its length.
    pub length: At<Metre>,
    /// The segments that it is compared with, in order.
    pub segments: Vec<SegmentId>,
    /// Their length.
    pub route: Metre,
    /// How sure it is.
    pub reaching: Reaching,
    /// The longest wire between the same two connectors by the same way, where that one passes what this one does not.
    pub twin: Option<(WireId, At<Metre>)>,
}

/// The segment on which a point of a loom hangs, where it says one.
fn hangs_on(model: &Model, point: PointId) -> Option<SegmentId> {
    match model[point].kind {
        PointKind::Cavity(end) | PointKind::Ring(end) => model[end].at,
        PointKind::Splice(splice) => model[splice].at,
        PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) => None,
    }
}

fn short_runs(model: &Model) -> Vec<ShortRun> {
    let mut found = Vec::new();
    let mut first: FxHashMap<CableId, usize> = FxHashMap::default();
    // Wires with the segments on which their ends hang; the cores of a cable are one.
    let mut runs: Vec<(WireId, Vec<SegmentId>)> = Vec::new();
    for (id, wire) in model.wires().filter(|(_, wire)| !wire.via.is_empty() && wire.length.is_some() && model[wire.loom].fitted) {
        let ends = || [wire.from, wire.to].into_iter().flatten().filter_map(|point| hangs_on(model, point));
        match wire.core.and_then(|(cable, _)| first.get(&cable)).and_then(|at| runs.get_mut(*at)) {
            Some((_, known)) => known.extend(ends()),
            None => {
                if let Some((cable, _)) = wire.core {
                    first.insert(cable, runs.len());
                }
                runs.push((id, ends().collect()));
            }
        }
    }
    let (passed_by, twins) = (passed_by(model, &runs), twins(model, &runs));
    for (wire, mut ends) in runs {
        ends.sort_unstable();
        ends.dedup();
        let run = short_run(model, wire, &ends).map(|run| beside_others(model, run, &passed_by));
        found.extend(run.map(|run| beside_twin(model, run, &twins)));
    }
    found
}

/// How many wires are as long as each segment, and how many are shorter and don't hang on it.
fn passed_by(model: &Model, runs: &[(WireId, Vec<SegmentId>)]) -> FxHashMap<SegmentId, [usize; 2]> {
    let mut passed: FxHashMap<SegmentId, [usize; 2]> = FxHashMap::default();
    for (wire, ends) in runs {
        for segment in model[*wire].via.iter().filter(|segment| !ends.contains(segment)) {
            let (Some(own), Some(long)) = (model[*wire].length, model[*segment].length) else { continue };
            let [whole, shorter] = passed.entry(*segment).or_default();
            *if own.value < long.value { shorter } else { whole } += 1;
        }
    }
    passed
}

/// A wire of far less than a segment that several others pass whole, and none leaves midway, hardly leaves it midway either.
fn beside_others(model: &Model, run: ShortRun, passed_by: &FxHashMap<SegmentId, [usize; 2]>) -> ShortRun {
    let odd = odd_lengths().value;
    let is_odd = |segment: &SegmentId| {
        let [whole, shorter] = passed_by.get(segment).copied().unwrap_or_default();
        let far = model[*segment].length.is_some_and(|long| run.length.value < long.value * odd.of_segment);
        whole >= odd.of_segment_from && shorter == 1 && far
    };
    match run.reaching {
        Reaching::Unknown if run.segments.iter().any(is_odd) => ShortRun { reaching: Reaching::Hardly, ..run },
        Reaching::Never | Reaching::Hardly | Reaching::Unknown => run,
    }
}

/// Both connectors of a wire, with its way.
type Between<'a> = ([EndId; 2], &'a [SegmentId]);

fn between(model: &Model, wire: WireId) -> Option<Between<'_>> {
    let wire = &model[wire];
    let end = |point: PointId| match model[point].kind {
        PointKind::Cavity(end) => Some(end),
        PointKind::Ring(_) | PointKind::Splice(_) | PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) => None,
    };
    let (one, other) = (end(wire.from?)?, end(wire.to?)?);
    Some(([one.min(other), one.max(other)], &wire.via))
}

/// The longest wire between each two connectors by each way.
fn twins<'a>(model: &'a Model, runs: &[(WireId, Vec<SegmentId>)]) -> FxHashMap<Between<'a>, (WireId, At<Metre>)> {
    let mut longest: FxHashMap<Between<'a>, (WireId, At<Metre>)> = FxHashMap::default();
    for (wire, _) in runs {
        let (Some(between), Some(length)) = (between(model, *wire), model[*wire].length) else { continue };
        let known = longest.entry(between).or_insert((*wire, length));
        if length.value > known.1.value {
            *known = (*wire, length);
        }
    }
    longest
}

/// A wire beside a longer one that begins and ends in the same two connectors leaves no segment midway that this one passes whole.
fn beside_twin(model: &Model, run: ShortRun, twins: &FxHashMap<Between<'_>, (WireId, At<Metre>)>) -> ShortRun {
    let odd = odd_lengths().value;
    let reaches = |twin: &(WireId, At<Metre>)| twin.1.value >= run.route && run.length.value < twin.1.value * odd.of_twin;
    let twin = between(model, run.wire).and_then(|between| twins.get(&between)).copied().filter(reaches);
    match (run.reaching, twin) {
        (Reaching::Unknown, Some(_)) => ShortRun { reaching: Reaching::Hardly, twin, ..run },
        _ => run,
    }
}

fn short_run(model: &Model, id: WireId, ends: &[SegmentId]) -> Option<ShortRun> {
    let wire = &model[id];
    let length = wire.length.filter(|length| length.value > Metre::ZERO)?;
    let long = |segment: SegmentId| model[segment].length.map_or(Metre::ZERO, |length| length.value);
    let sum = |segments: &[SegmentId]| segments.iter().fold(Metre::ZERO, |sum, segment| sum + long(*segment));
    // That is a unit or a decimal point that slipped.
    if length.value * odd_lengths().value.of_route < sum(&wire.via) {
        return None;
    }
    let mut passed: Vec<SegmentId> = wire.via.iter().copied().filter(|segment| !ends.contains(segment)).collect();
    passed.sort_unstable();
    passed.dedup();
    let has_nodes = |segment: &SegmentId| model[*segment].nodes.iter().all(Option::is_some);
    let mut open: Vec<SegmentId> = passed.iter().copied().filter(|segment| !has_nodes(segment)).collect();
    open.sort_by(|a, b| long(*b).total_cmp(long(*a)).then(a.cmp(b)));
    // An end that says where it hangs leaves no other segment midway.
    let (free, loose) = (2_usize.saturating_sub(ends.len()), open.len());
    let left: Vec<SegmentId> = open.into_iter().take(free).collect();
    let whole: Vec<SegmentId> = passed.iter().copied().filter(|segment| !left.contains(segment)).collect();
    // Sums of figures that no binary fraction holds may differ by a trifle and be equal.
    let falls_short = |of: Metre| length.value < of * (1.0 - 1e-9);
    let (segments, reaching) = if falls_short(sum(&whole)) {
        (whole, Reaching::Never)
    } else if falls_short(sum(&passed)) {
        (passed, if loose > 1 { Reaching::Hardly } else { Reaching::Unknown })
    } else {
        return None;
    };
    let route = sum(&segments);
    let cable = wire.core.map(|(cable, _)| cable);
    Some(ShortRun { wire: id, cable, loom: wire.loom, length, segments, route, reaching, twin: None })
}
