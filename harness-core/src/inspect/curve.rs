//! The figures of a fuse's time-current picture: when it opens, what the conductors behind it withstand, and what flows.

use super::Guards;
use crate::{
    analysis::Analysis,
    electrical::{
        conductors::conductor::withstand,
        faults::StrikingModes,
        fuses::fuse::{curve_of, kind_of},
    },
    model::{ElementId, ModeId, PointId, WireId},
    quantity::{Ampere, Second, SquareMillimetre},
    standards::{Source, fuse_time::FuseCurve, insulation::Covering, short_circuit::Conductor},
};

/// Conductors of the picture: the thinnest, and the thinnest of this many other sizes.
const SIZES: usize = 3;
/// Shorts that are followed for the smallest current in the fuse.
const FAR_SHORTS: usize = 4;
/// Places a decade at which a curve is computed.
const A_DECADE: i32 = 40;

/// The time-current picture of a fuse, as figures.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct TimeCurrent {
    /// `fuse-box.F4`.
    pub name: String,
    /// Its kind and standard.
    pub kind: String,
    /// Its rating.
    pub rating: Ampere,
    /// The time by which it has opened, sorted by rising current.
    pub slowest: Vec<(Ampere, Second)>,
    /// The time before which it does not open, sorted by rising current.
    pub fastest: Vec<(Ampere, Second)>,
    /// The gates that both edges rest on.
    pub gates: Vec<GatePoint>,
    /// What the conductors behind it withstand, the thinnest first.
    pub conductors: Vec<Stands>,
    /// How many more conductors are behind it.
    pub others: usize,
    /// Currents that flow.
    pub currents: Vec<Current>,
    /// Where the figures come from, each once.
    pub sources: Vec<&'static Source>,
    /// What could not be computed, and why.
    pub unknown: Vec<String>,
}

/// A gate of an operating-time rating.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GatePoint {
    /// The current.
    pub amps: Ampere,
    /// It does not open sooner.
    pub least: Option<Second>,
    /// It has opened by then.
    pub most: Option<Second>,
}

/// How long a conductor withstands each current.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// `front.107`.
    pub name: String,
    /// Its cross-section.
    pub size: SquareMillimetre,
    /// How many conductors of this size are behind the fuse, itself included.
    pub alike: usize,
    /// How long it withstands a current, sorted by rising current; a current that it carries for ever is left out.
    pub points: Vec<(Ampere, Second)>,
}

/// What a current in the picture is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CurrentKind {
    /// The largest continuous load.
    Load,
    /// The rating.
    Rating,
    /// The current of the fuse in a short far from it: the smallest of those that are worst for a conductor behind it.
    FarShort,
    /// The current of a short at the fuse's own terminals: the largest that it may have to break.
    NearShort,
}

/// A current that the picture shows over all times.
#[derive(Debug, Clone, PartialEq)]
pub struct Current {
    /// What it is.
    pub kind: CurrentKind,
    /// The current.
    pub amps: Ampere,
    /// Where and when it flows.
    pub said: String,
}

impl TimeCurrent {
    /// The picture of `fuse`.
    ///
    /// # Errors
    /// Why there is none: it is not a fuse, its rating is not known, or no operating times are known for its kind.
    ///
    /// # Example
    /// ```
    /// use harness_core::{
    ///     Analysis, Design, MemoryFiles,
    ///     inspect::{Found, Names, Thing, TimeCurrent},
    ///     quantity::Unit,
    /// };
    ///
    /// let netlist = "format: 1
    /// design: Orchard lift
    /// parts: { fuses: { blade-10: { standard: ISO 8820-3, type: F, rating: 10 A } } }
    /// devices:
    ///   box:
    ///     ports: { IN: { stud: M6 }, OUT: { stud: M6 } }
    ///     inside: { F1: { fuse: blade-10, from: IN, to: OUT } }
    /// ";
    /// let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("lift.yaml", netlist), "lift.yaml"));
    /// let Found::One(Thing::Element(fuse)) = Names::new(analysis.model()).find("box.F1") else { panic!("the design has the fuse") };
    /// let figures = TimeCurrent::of(&analysis, fuse).expect("operating times of the type are known");
    /// assert_eq!(figures.rating.get(), 10.0);
    /// // More current never opens it later.
    /// assert!(figures.slowest.windows(2).all(|pair| pair[1].0 >= pair[0].0 && pair[1].1 <= pair[0].1));
    /// ```
    pub fn of(analysis: &Analysis, fuse: ElementId) -> Result<Self, String> {
        let model = analysis.model();
        let name = model.element_name(fuse);
        let kind = kind_of(model, fuse).ok_or_else(|| format!("`{name}` is not a fuse of a known kind"))?;
        let rating = kind.rating.ok_or_else(|| format!("the kind of `{name}` gives no rating"))?.value;
        let curve = curve_of(model, kind).ok_or_else(|| {
            format!("no operating times are known for `{}`; give it `gates`, from its datasheet", model.text(kind.name))
        })?;
        let standard = kind.standard.map(|standard| model.text(standard.value).to_owned());
        let words: Vec<String> = [model.text(kind.name).to_owned()].into_iter().chain(standard).collect();
        let mut picture = Self {
            name,
            kind: words.join(", "),
            rating,
            slowest: Vec::new(),
            fastest: Vec::new(),
            gates: Vec::new(),
            conductors: Vec::new(),
            others: 0,
            currents: Vec::new(),
            sources: Vec::new(),
            unknown: Vec::new(),
        };
        picture.flows(analysis, fuse);
        let most = picture.currents.iter().map(|current| current.amps.get()).fold(20.0 * rating.get(), f64::max) * 1.5;
        picture.edges(&curve, most);
        picture.stands(analysis, fuse, most);
        Ok(picture)
    }

    /// The currents that flow.
    fn flows(&mut self, analysis: &Analysis, fuse: ElementId) {
        let model = analysis.model();
        let guards = Guards::new(analysis);
        let Some(feed) = guards.feed(fuse) else { return };
        let loading = analysis.facts().fuse_loading(feed.edge);
        let loading = loading.filter(|loading| loading.amps.get() > 0.0);
        if let Some((loading, mode)) = loading.and_then(|loading| Some((loading, loading.mode?))) {
            let said = format!("in mode `{}`", model.mode_name(mode));
            self.currents.push(Current { kind: CurrentKind::Load, amps: loading.amps, said });
        }
        self.currents.push(Current { kind: CurrentKind::Rating, amps: self.rating, said: String::new() });
        let mut add = |kind: CurrentKind, amps: Ampere, point: PointId, mode: ModeId| {
            let said = format!("{} in `{}`", model.point_name(point), model.mode_name(mode));
            self.currents.push(Current { kind, amps, said });
        };
        if let Some((amps, point, mode)) = far_short(analysis, fuse, &guards.behind(feed)) {
            add(CurrentKind::FarShort, amps, point, mode);
        }
        if let Some(near) = analysis.electrical().faults().of_fuse(fuse) {
            add(CurrentKind::NearShort, near.amps, near.short.0, near.mode);
        }
    }

    /// Both edges of the time in which the fuse opens, and the gates.
    fn edges(&mut self, curve: &FuseCurve, most: f64) {
        for gate in curve.gates() {
            let amps = self.rating * gate.current;
            self.gates.push(GatePoint { amps, least: gate.least, most: gate.most });
            self.add_source(gate.source);
        }
        let gates: Vec<f64> = self.gates.iter().map(|gate| gate.amps.get()).collect();
        for amps in places(self.rating.get(), most, &gates) {
            let opening = curve.opening(Ampere::new(amps));
            self.slowest.extend(opening.slowest.map(|edge| (Ampere::new(amps), edge.time)));
            self.fastest.extend(opening.fastest.map(|edge| (Ampere::new(amps), edge.time)));
        }
    }

    /// What the conductors behind the fuse withstand, one of each size.
    fn stands(&mut self, analysis: &Analysis, fuse: ElementId, most: f64) {
        let guards = Guards::new(analysis);
        let Some(feed) = guards.feed(fuse) else { return };
        let behind = guards.behind(feed);
        let mut known: Vec<(WireId, Conductor, Covering)> = behind
            .iter()
            .filter_map(|id| {
                let beside = analysis.electrical().loading(*id).beside;
                let (conductor, covering) = withstand(analysis.model(), &analysis.model()[*id], beside)?;
                Some((*id, conductor, covering))
            })
            .collect();
        if known.len() < behind.len() {
            let number = behind.len() - known.len();
            self.unknown
                .push(format!("what {number} of the conductors behind it withstand: size or rated temperature is not given"));
        }
        // The least capacity is what a fault is hardest on; conductors of one size differ in their surroundings alone.
        known
            .sort_by(|a, b| (a.1.size, a.1.capacity).partial_cmp(&(b.1.size, b.1.capacity)).unwrap_or(std::cmp::Ordering::Equal));
        let mut shown = 0;
        for group in known.chunk_by(|a, b| a.1.size == b.1.size).take(SIZES) {
            let Some((id, conductor, covering)) = group.first() else { continue };
            shown += group.len();
            let steady = conductor.capacity.map_or(1.0, Ampere::get).max(0.1);
            let points: Vec<(Ampere, Second)> = places(steady, most.max(steady * 10.0), &[])
                .into_iter()
                .filter_map(|amps| {
                    let time = conductor.stands_for(*covering, covering.rated, Ampere::new(amps))?;
                    Some((Ampere::new(amps), time))
                })
                .collect();
            let time = points.last().map(|(_, time)| *time);
            self.add_source(covering.limit(time).source);
            self.conductors.push(Stands {
                name: analysis.model().wire_name(*id),
                size: conductor.size,
                alike: group.len(),
                points,
            });
        }
        self.others = behind.len() - shown;
    }

    fn add_source(&mut self, source: &'static Source) {
        if !self.sources.contains(&source) {
            self.sources.push(source);
        }
    }
}

/// The smallest current in a fuse of the shorts that are worst for the conductors behind it, with point and mode.
///
/// A conductor may be fed from two sides, so the fuse's own current is asked for, of the few smallest shorts.
fn far_short(analysis: &Analysis, fuse: ElementId, behind: &[WireId]) -> Option<(Ampere, PointId, ModeId)> {
    let mut shorts: Vec<_> = behind.iter().filter_map(|id| analysis.electrical().short(*id)).collect();
    shorts.sort_by(|a, b| a.amps.total_cmp(b.amps));
    shorts.dedup_by_key(|exposure| (exposure.mode, exposure.short));
    let modes = StrikingModes::new(analysis.electrical());
    let own = shorts.into_iter().take(FAR_SHORTS).filter_map(|exposure| {
        let (point, back) = exposure.short;
        let (strike, _) = modes.mode(exposure.mode)?.strike((point, Some(back)))?;
        let (_, amps) = strike.stages().first()?.fuses.iter().find(|(of, _)| *of == fuse)?;
        Some((*amps, point, exposure.mode))
    });
    own.reduce(|least, other| if other.0 < least.0 { other } else { least })
}

/// Currents from `least` to `most`, even on a logarithmic scale, with `own` among them, rising.
fn places(least: f64, most: f64, own: &[f64]) -> Vec<f64> {
    let decades = (most / least).log10();
    if !decades.is_finite() || decades <= 0.0 {
        return Vec::new();
    }
    let steps = (decades * f64::from(A_DECADE)).ceil().clamp(1.0, 1000.0) as i32;
    let mut places: Vec<f64> = (0..=steps)
        .map(|step| least * 10_f64.powf(decades * f64::from(step) / f64::from(steps)))
        .chain(own.iter().copied())
        .collect();
    // Just below a gate the slow edge is still that of the gate before.
    places.extend(own.iter().map(|amps| amps * (1.0 - 1e-6)));
    places.retain(|amps| *amps > 0.0 && amps.is_finite());
    places.sort_by(f64::total_cmp);
    places
}
