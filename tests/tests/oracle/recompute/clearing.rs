//! Shorts of whole designs anew: what flows, which fuse opens when, how long each conductor lasts, and so which of them burn.
//!
//! Each worst short that the library reports is struck anew, with all its figures within 1 %. Then both ends of every conductor and the
//! terminals of every load are shorted in every mode: nothing worse than what is reported may be found, and what has no report must
//! not burn past a fuse.

use super::{
    SHARE, Twice,
    fault::{Metal, Stage, Weather},
    flow::groups,
    lasting::Heating,
};
use harness_core::{
    inspect::{Loads, Outcome, Short},
    internals::{
        electrical::ModeState,
        model::ElementKind,
        network::{Edge, EdgeKind, EdgeRole},
    },
};
use harness_tests::tier::sample;
use std::collections::BTreeMap;

/// Time below which two fuses open together, as a share.
const TOGETHER: f64 = 1e-6;
/// Share of a conductor's current that a fuse must carry to be one that could end it.
const ITS_FUSE: f64 = 0.5;

/// What a short does to one conductor.
#[derive(Debug, Clone)]
struct Fate {
    /// Its current at first, in A.
    amps: f64,
    /// How long it withstands that, in s; infinite: for ever.
    stands: f64,
    /// When what harms it has ended; infinite: never.
    ends: f64,
    /// How many times as long it would withstand what flows.
    margin: f64,
    /// When the first fuse opens; infinite where none does.
    opens: f64,
    /// A fuse of which no times are printed carries more than its rating.
    is_blind: bool,
    /// Nothing ends it, and no fuse carries half of it in the end.
    is_unfused: bool,
}

/// How many of a design were compared.
#[derive(Debug)]
pub struct Counts {
    pub conductors: usize,
    pub fuses: usize,
    /// Conductors that a source feeds past no fuse, for which the rules of missing fuses speak.
    pub bare: usize,
    /// Conductors that no short reaches, of no source or of signals alone.
    pub idle: usize,
}

struct Shorts<'t> {
    twice: &'t Twice,
    heating: Vec<Heating<'t>>,
    modes: Vec<(String, Metal, Metal)>,
    /// The points by their names.
    points: BTreeMap<String, usize>,
    unfused: Vec<bool>,
    failures: Vec<String>,
}

fn near(a: f64, b: f64) -> bool {
    (a.is_infinite() && b.is_infinite()) || (a - b).abs() <= SHARE * b.abs() + 1e-6
}

impl<'t> Shorts<'t> {
    fn new(twice: &'t Twice, modes: &[&ModeState], capacities: &[f64]) -> Self {
        let model = twice.analysis.model();
        let of = |mode: &&ModeState| {
            let name = model.mode_name(mode.id).to_owned();
            (name, Metal::new(twice, mode, Weather::Least), Metal::new(twice, mode, Weather::Most))
        };
        let heating = twice.lies.iter().zip(&twice.conductors).zip(capacities);
        Self {
            twice,
            heating: heating.map(|((lies, conductor), capacity)| Heating { lies, conductor, capacity: *capacity }).collect(),
            modes: modes.iter().map(of).collect(),
            points: model.points().map(|(id, _)| (model.point_name(id), id.index())).collect(),
            unfused: unfused(twice),
            failures: Vec::new(),
        }
    }

    /// What a short does to each conductor on its way.
    fn fates(&self, stages: &[Stage]) -> BTreeMap<usize, Fate> {
        let mut fates = BTreeMap::new();
        let Some(first) = stages.first() else { return fates };
        let fused = stages.last().map_or(0.0, |stage| stage.fuses.iter().map(|(_, amps)| *amps).fold(0.0, f64::max));
        let never_ends = stages.last().is_some_and(|stage| stage.opens.is_none());
        for (wire, amps) in &first.wires {
            let heating = &self.heating[*wire];
            let (mut spent, mut ends, mut harmed) = (0.0, 0.0, true);
            for stage in stages {
                let own = stage.wires.iter().find(|(of, _)| of == wire).map_or(0.0, |(_, amps)| *amps);
                let (stands, lasts) = (heating.lasts(own), stage.opens.map_or(f64::INFINITY, |(_, time)| time));
                spent += if stands.is_infinite() { 0.0 } else { lasts / stands };
                harmed &= std::ptr::eq(stage, first) || stands.is_finite();
                ends += if harmed { lasts } else { 0.0 };
            }
            let fate = Fate {
                amps: *amps,
                stands: heating.lasts(*amps),
                ends,
                margin: if spent > 0.0 { 1.0 / spent } else { f64::INFINITY },
                opens: first.opens.map_or(f64::INFINITY, |(_, time)| time),
                is_blind: stages.iter().any(|stage| stage.blind),
                is_unfused: never_ends && fused < ITS_FUSE * amps,
            };
            fates.insert(*wire, fate);
        }
        fates
    }

    fn metal(&self, mode: &str) -> &(String, Metal, Metal) {
        self.modes.iter().find(|(name, ..)| name == mode).unwrap()
    }

    /// The worst short that is reported, struck anew.
    fn reported(&mut self, wire: usize, name: &str, short: &Short) {
        let pair = (self.points[&short.points[0]], self.points[&short.points[1]]);
        let stages = self.metal(&short.mode).1.strike(pair, &self.twice.fuses);
        let Some(fate) = self.fates(&stages).remove(&wire) else {
            return self.failures.push(format!("{name}: no current in {:?} in {}", short.points, short.mode));
        };
        let seconds = |time: Option<harness_core::quantity::Second>| time.map_or(f64::INFINITY, |time| time.get());
        let margin = match short.outcome {
            Outcome::Burns if short.ratio.is_none() => 0.0,
            _ => short.ratio.unwrap_or(f64::INFINITY),
        };
        let figures = [
            ("current", short.amps.get(), fate.amps),
            ("first fuse opens", seconds(short.opens.map(|opens| opens.value)), fate.opens),
            ("ends", seconds(short.ends), fate.ends),
            ("withstands", seconds(short.stands), fate.stands),
            ("margin", margin, fate.margin),
        ];
        for (what, ours, anew) in figures {
            if !near(ours, anew) {
                self.failures.push(format!("{name}: {what} {ours}, anew {anew}; {:?} in {}", short.points, short.mode));
            }
        }
        let outcome = match (fate.margin < 1.0, fate.is_blind) {
            (false, _) => "withstands",
            (true, true) => "not known",
            (true, false) => "burns",
        };
        let ours = match short.outcome {
            Outcome::Stands => "withstands",
            Outcome::Unknown(_) => "not known",
            Outcome::Burns => "burns",
        };
        if ours != outcome && (fate.margin - 1.0).abs() > SHARE {
            self.failures.push(format!("{name}: {ours}, anew it {outcome}; {:?} in {}", short.points, short.mode));
        }
        // Of fuses that open together either may be named.
        let together: Vec<&str> = stages[0]
            .fuses
            .iter()
            .filter(|(fuse, amps)| {
                let time = self.twice.fuses[fuse].link.as_ref().and_then(|link| link.opens(*amps));
                time.is_some_and(|time| time.is_finite() && time <= fate.opens * (1.0 + TOGETHER))
            })
            .map(|(fuse, _)| self.twice.fuses[fuse].name.as_str())
            .collect();
        if short.fuse.as_deref().map_or(!together.is_empty(), |fuse| !together.contains(&fuse)) {
            self.failures.push(format!("{name}: {:?} opens first, anew {together:?}", short.fuse));
        }
    }

    /// Both ends of every conductor to every return, and every load across its terminals.
    fn pairs(&self, metal: &Metal) -> Vec<(usize, usize)> {
        let (model, network) = (self.twice.analysis.model(), self.twice.analysis.network());
        let ends = network.edges().filter(|(_, edge)| matches!(edge.kind, EdgeKind::Wire(_)));
        let mut points: Vec<usize> = ends.flat_map(|(_, edge)| [edge.a.index(), edge.b.index()]).collect();
        points.sort_unstable();
        points.dedup();
        let to_return = |point: &usize| metal.returns_outside(*point).map(|back| (*point, back)).collect::<Vec<_>>();
        let mut pairs: Vec<(usize, usize)> = points.iter().flat_map(to_return).collect();
        let loads = model.elements().filter(|(_, element)| matches!(element.kind, ElementKind::Load { .. }));
        pairs.extend(loads.map(|(_, load)| (load.points[0].index(), load.points[1].index())));
        pairs.retain(|(a, b)| a != b);
        pairs
    }
}

/// The wires that a source without a limit feeds past no fuse, in whichever position switches are.
fn unfused(twice: &Twice) -> Vec<bool> {
    let (model, network) = (twice.analysis.model(), twice.analysis.network());
    let passes = |kind: EdgeKind| match kind {
        EdgeKind::Element(element) => matches!(
            model[element].kind,
            ElementKind::Switch { .. }
                | ElementKind::Relay { .. }
                | ElementKind::Disconnect { .. }
                | ElementKind::Link { .. }
                | ElementKind::Interlock { .. }
                | ElementKind::Diode(_)
        ),
        _ => true,
    };
    let is_coil = |edge: &Edge| edge.role == EdgeRole::Coil;
    let joined = network.edges().filter(|(_, edge)| passes(edge.kind) && !is_coil(edge));
    let of = groups(network.point_count(), joined.map(|(_, edge)| (edge.a.index(), edge.b.index())));
    let mut fed = vec![false; network.point_count()];
    for (_, element) in model.elements() {
        if let ElementKind::Source { limit: None, .. } | ElementKind::Converter { limit: None, .. } = element.kind {
            // A converter's output comes after its input.
            let positive = if element.points.len() == 4 { element.points[2] } else { element.points[0] };
            fed[of[positive.index()]] = true;
        }
    }
    // What a source's other pole is joined to is a return, which is bare with its feed.
    model.wires().map(|(_, wire)| wire.from.or(wire.to).is_some_and(|point| fed[of[point.index()]])).collect()
}

/// Compares all shorts of a design; `test` names the sample that an ordinary day takes.
pub fn compare(twice: &Twice, modes: &[&ModeState], capacities: &[f64], test: &str) -> (Counts, Vec<String>) {
    let mut shorts = Shorts::new(twice, modes, capacities);
    let (model, loads) = (twice.analysis.model(), Loads::of(&twice.analysis));
    let mut counts = Counts { conductors: 0, fuses: 0, bare: 0, idle: 0 };
    let by_name: BTreeMap<String, usize> =
        twice.names.iter().enumerate().map(|(wire, id)| (model.wire_name(*id), wire)).collect();
    let mut reported: Vec<Option<Short>> = vec![None; twice.names.len()];
    let mut bare = vec![false; twice.names.len()];
    for conductor in loads.conductors {
        let wire = by_name[&conductor.name];
        bare[wire] = conductor.is_bare;
        if let Some(short) = &conductor.short {
            shorts.reported(wire, &conductor.name, short);
            counts.conductors += 1;
        }
        reported[wire] = conductor.short;
    }
    // Nothing is worse than what is reported.
    let mut touched = vec![false; twice.names.len()];
    let mut worse: BTreeMap<usize, (f64, String)> = BTreeMap::new();
    for (mode, metal, _) in &shorts.modes {
        for pair in sample(test, shorts.pairs(metal)) {
            let stages = metal.strike(pair, &twice.fuses);
            for (wire, fate) in shorts.fates(&stages) {
                touched[wire] |= fate.margin.is_finite();
                let own_fault = fate.margin < 1.0 && fate.is_unfused;
                if own_fault && (bare[wire] || shorts.unfused[wire]) {
                    continue;
                }
                let least = reported[wire].as_ref().map_or(f64::INFINITY, |short| short.ratio.unwrap_or(f64::INFINITY));
                let burns = matches!(reported[wire].as_ref().map(|short| &short.outcome), Some(Outcome::Burns));
                if fate.margin < least * (1.0 - SHARE) && !(burns && least.is_infinite()) {
                    let what = format!("{pair:?} in {mode}: {fate:?}, reported {least}");
                    let worst = worse.entry(wire).or_insert((f64::INFINITY, String::new()));
                    if fate.margin < worst.0 {
                        *worst = (fate.margin, what);
                    }
                }
            }
        }
    }
    let names: Vec<String> = model.points().map(|(id, _)| model.point_name(id)).collect();
    for (wire, (_, what)) in worse {
        let pair = what.split([',', '(', ')']).filter_map(|part| part.trim().parse::<usize>().ok()).take(2);
        let pair: Vec<&str> = pair.map(|point| names[point].as_str()).collect();
        shorts.failures.push(format!("{}: worse at {pair:?}, {what}", model.wire_name(twice.names[wire])));
    }
    for wire in 0..twice.names.len() {
        if reported[wire].is_none() {
            if bare[wire] {
                counts.bare += 1
            } else {
                counts.idle += 1
            }
            let why = if bare[wire] { "fed past no fuse: for the rules of missing fuses" } else { "no fault current reaches it" };
            println!("not compared: {}, {why}", model.wire_name(twice.names[wire]));
            if touched[wire] && !bare[wire] {
                shorts.failures.push(format!("{}: a short harms it, and none is reported", model.wire_name(twice.names[wire])));
            }
        }
    }
    // What each fuse must break: a short at either of its terminals.
    for fuse in &loads.fuses {
        let (id, own) = twice.fuses.iter().find(|(_, own)| own.name == fuse.name).unwrap();
        let mut most = 0.0_f64;
        for (_, _, metal) in &shorts.modes {
            for point in [own.ends.0, own.ends.1] {
                for back in metal.returns(point).iter().filter(|back| **back != point) {
                    most = most.max(metal.through(*id, (point, *back)));
                }
            }
        }
        counts.fuses += 1;
        let ours = fuse.duty.as_ref().map_or(0.0, |duty| duty.amps.get());
        if !near(ours, most) {
            shorts.failures.push(format!("{}: a short of {ours} A, anew {most} A", fuse.name));
        }
    }
    (counts, shorts.failures)
}
