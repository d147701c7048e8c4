//! The ring-out of a bare loom: which readings prove it, what each must be, which slip each finds, and what measured readings say.
//!
//! Owns the loom as a small network of its own, nothing mated. Its rooms: `loom` takes it from the design, `bare` and `state` are the loom sound and
//! with slips, `piece` and `resistance` what a meter shows, `plan` and `order` the readings, `slip` what hands do wrong, `coverage` the proof that
//! the plan finds it, `lamp_board` many points at once, `insulation` what is asked of class B, `compare` what is wrong by the readings.

mod bare;
mod compare;
mod coverage;
mod first;
mod insulation;
mod lamp_board;
mod loom;
mod meter;
mod order;
mod piece;
mod plan;
mod planned;
mod reading;
mod resistance;
mod rig;
mod slip;
mod state;
mod steps;
mod strip;
mod verdict;

pub use compare::{LampRow, MeasuredRow, UnseenLamps};
pub use coverage::Unseen;
pub use insulation::InsulationTest;
pub use lamp_board::Code;
pub use meter::Meter;
pub use planned::Purpose;
pub use slip::SlipKind;
pub use verdict::{Failing, NamedCause, OtherCauses, RingOutVerdict};

use self::{
    bare::Spot,
    compare::sentence,
    coverage::{Coverage, coverage},
    first::Finder,
    lamp_board::{Board, Lamp},
    loom::taken,
    plan::Plan,
    rig::Rig,
    slip::each,
    state::State,
    steps::Describer,
};
use super::Bench;
use crate::{
    analysis::Analysis,
    model::LoomId,
    standards::{Source, ring_out},
};
use std::collections::BTreeMap;

/// Slips of one sort at one end that no reading finds are written out up to this many.
const MOST_UNSEEN: usize = 3;

/// The ring-out of one loom.
#[derive(Debug)]
#[non_exhaustive]
pub struct RingOut {
    /// The loom.
    pub loom: String,
    /// Whether anything of it is of voltage class B.
    pub has_class_b: bool,
    /// The meter that the limits are for.
    pub meter: Meter,
    /// The readings in the order in which they are taken; those against the strip come last, and a loom can be judged without them.
    pub steps: Vec<RingOutStep>,
    /// How often a lead goes to another end in this order.
    pub changes: usize,
    /// How often at least, in any order of these readings.
    pub fewest_changes: usize,
    /// What the readings find, by sort of slip and end; each slip was simulated.
    pub coverage: Vec<Covered>,
    /// What no reading finds, and why.
    pub unseen: Vec<UnseenSlips>,
    /// What is asked of the insulation of class B.
    pub insulation: Vec<InsulationTest>,
    /// What the design does not say, or a meter does not show.
    pub unknown: Vec<String>,
    rig: Rig,
    plan: Plan,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct RingOutStep {
    /// Its number, from 1.
    pub number: usize,
    /// The end where the one lead is; empty for a splice.
    pub from_end: String,
    /// Where the one lead is: with a diode the red one.
    pub from: String,
    /// The end where the other is; empty for a splice.
    pub to_end: String,
    /// Where the other is: with a diode the black one. `strip` where it is on all places of the strip at once.
    pub to: String,
    /// Why it is taken.
    pub purpose: Purpose,
    /// What it should be, in ohm; `None` where it must be open, over a diode, and where a conductor's resistance is not known.
    pub expected: Option<f64>,
    /// The least that passes, in ohm.
    pub least: Option<f64>,
    /// The most that passes, in ohm; `None` where it must be open.
    pub most: Option<f64>,
    /// The drop of the diodes in volts.
    pub volts: Option<f64>,
    /// The conductors and elements between the two, from the first place on.
    pub through: Vec<String>,
    /// What it belongs to beside the loom: an interlock loop, a bus.
    pub serves: Option<Serves>,
    /// How many slips it is the first to find, by sort.
    pub finds: Vec<(SlipKind, usize)>,
}

/// What a reading belongs to beside the loom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Serves {
    /// An interlock loop.
    Interlock,
    /// The two lines of a data bus, with the terminators that are in the loom.
    Bus,
}

/// What the readings find of the slips of one sort at one end.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Covered {
    /// The sort.
    pub kind: SlipKind,
    /// The end; empty for what is in conductors.
    pub end: String,
    /// How many were simulated.
    pub tried: usize,
    /// How many of them a reading finds.
    pub found: usize,
    /// The steps that find one first.
    pub steps: Vec<usize>,
}

/// Slips that no reading finds, of one sort at one end and for one reason.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct UnseenSlips {
    /// The sort.
    pub kind: SlipKind,
    /// The end; empty for what is in conductors.
    pub end: String,
    /// Why.
    pub reason: Unseen,
    /// The first of them, as sentences.
    pub first: Vec<String>,
    /// How many there are.
    pub count: usize,
}

/// One slip with the step that finds it.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct FoundBy {
    /// The slip, as a sentence.
    pub slip: String,
    /// Its sort.
    pub kind: SlipKind,
    /// The step; `None` where none finds it.
    pub step: Option<usize>,
}

/// The patterns of a lamp board.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct LampBoard {
    /// How many nets there are, those of one place among them.
    pub nets: usize,
    /// The least number of patterns in which each net is another one, so that every short is found.
    pub fewest: usize,
    /// The patterns in their order.
    pub patterns: Vec<LampPattern>,
    /// Slips that were simulated, and how many of them light a wrong lamp or leave one dark.
    pub tried: usize,
    /// See `tried`.
    pub found: usize,
    /// Slips that the readings of the meter find and the board does not, at most three, and how many there are.
    pub missed: (Vec<String>, usize),
}

/// One setting of the switches of a lamp board.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct LampPattern {
    /// Its number, from 1.
    pub number: usize,
    /// The places that are fed.
    pub fed: Vec<String>,
    /// The places whose lamp must be lit beside those; all others must be dark.
    pub lit: Vec<String>,
    /// The places whose lamp must be dark.
    pub dark: Vec<String>,
    /// Places whose lamp does not count: a resistor or a coil is between.
    pub unsure: Vec<String>,
}

impl Bench<'_> {
    /// The ring-out of a loom by its name; `None` where the build has no such loom.
    ///
    /// Cost: the square of the cavities of each end, for each pair may be swapped.
    #[must_use]
    pub fn ring_out(&self, loom: &str) -> Option<RingOut> {
        let model = self.model();
        let id = self.loom_ids().into_iter().find(|id| model.loom_name(*id) == loom)?;
        Some(ring_out_of(self.analysis, id))
    }
}

fn ring_out_of(analysis: &Analysis, loom: LoomId) -> RingOut {
    let model = analysis.model();
    let mut taken = taken(model, loom);
    let rig = Rig::new(std::mem::take(&mut taken.bare));
    let (meter, plan) = (Meter::of(model), plan::plan(&rig));
    let coverage = coverage(&rig, &Finder::new(&rig, &plan, &meter));
    let insulation = insulation::insulation(analysis, &taken, &rig);
    let mut unknown = std::mem::take(&mut taken.unknown);
    let vague = plan.vague.iter().map(|join| &rig.bare.joins[*join]);
    let mut vague: Vec<String> =
        vague.map(|join| format!("{} of `{}`: what a meter shows over it", join.noun, join.name)).collect();
    vague.dedup();
    unknown.extend(vague);
    let mut describer = Describer::new((analysis, &taken), (&rig, &meter), &coverage);
    let steps = plan.steps.iter().map(|(id, step)| describer.described(id, step)).collect();
    let (coverage, unseen) = covered(&rig, &coverage);
    RingOut {
        loom: model.loom_name(loom).to_owned(),
        has_class_b: !insulation.is_empty(),
        meter,
        steps,
        changes: plan.changes,
        fewest_changes: plan.bound,
        coverage,
        unseen,
        insulation,
        unknown,
        rig,
        plan,
    }
}

fn covered(rig: &Rig, coverage: &Coverage) -> (Vec<Covered>, Vec<UnseenSlips>) {
    let (mut covered, mut unseen) = (Vec::new(), Vec::new());
    for ((kind, plug), row) in &coverage.rows {
        let end = plug.map_or_else(String::new, |plug| rig.bare.plugs[plug].name.clone());
        let steps = row.by.keys().map(|id| id.index() + 1).collect();
        covered.push(Covered { kind: *kind, end: end.clone(), tried: row.tried, found: row.tried - row.unseen.len(), steps });
        let mut by_reason: BTreeMap<Unseen, Vec<&slip::Slip>> = BTreeMap::new();
        for (slip, reason) in &row.unseen {
            by_reason.entry(*reason).or_default().push(slip);
        }
        for (reason, slips) in by_reason {
            let first = slips.iter().take(MOST_UNSEEN).map(|slip| sentence(rig, slip)).collect();
            unseen.push(UnseenSlips { kind: *kind, end: end.clone(), reason, first, count: slips.len() });
        }
    }
    (covered, unseen)
}

impl RingOut {
    /// Every slip that was simulated, with the step that finds it first.
    #[must_use]
    pub fn each_slip(&self) -> Vec<FoundBy> {
        let (mut found, finder) = (Vec::new(), Finder::new(&self.rig, &self.plan, &self.meter));
        each(&self.rig, |slip| {
            let step = finder.first(&slip).map(|id| id.index() + 1);
            found.push(FoundBy { slip: sentence(&self.rig, &slip), kind: slip.kind(), step });
        });
        found.sort_by_key(|found| (found.kind, found.step));
        found
    }

    /// The places that are clipped together where the other lead of a step is; none where that is at one place.
    #[must_use]
    pub fn on_strip(&self, step: &RingOutStep) -> Vec<&str> {
        let planned = step.number.checked_sub(1).and_then(|index| self.plan.steps.iter().nth(index)).map(|(_, planned)| planned);
        let planned = planned.filter(|planned| planned.is_on_strip()).into_iter();
        let places = planned.flat_map(|planned| self.plan.strip.before(&self.rig, planned.from));
        places.map(|spot| self.rig.bare.spots[spot].name.as_str()).collect()
    }

    /// The patterns that prove the loom on a lamp board, with every slip simulated on it.
    #[must_use]
    pub fn lamp_board(&self, code: Code) -> LampBoard {
        let (board, finder) = (Board::new(&self.rig, code), Finder::new(&self.rig, &self.plan, &self.meter));
        let (mut tried, mut seen, mut missed) = (0, 0, (Vec::new(), 0));
        each(&self.rig, |slip| {
            tried += 1;
            let state = State::with(&self.rig, std::slice::from_ref(&slip));
            if board.first_wrong(&self.rig, &state).is_some() {
                seen += 1;
            } else if finder.first(&slip).is_some() {
                missed.1 += 1;
                if missed.0.len() < MOST_UNSEEN {
                    missed.0.push(sentence(&self.rig, &slip));
                }
            }
        });
        let patterns = (0..board.patterns()).map(|pattern| self.lamp_pattern(&board, pattern)).collect();
        let nets = board.fed.len();
        LampBoard { nets, fewest: Code::Counting.patterns(nets), patterns, tried, found: seen, missed }
    }

    fn lamp_pattern(&self, board: &Board, pattern: usize) -> LampPattern {
        let name = |spot: Spot| self.rig.bare.spots[spot].name.clone();
        let others = board.places.iter().copied().filter(|spot| !board.is_on(*spot, pattern));
        let of = |lamp: Lamp| others.clone().filter(|spot| board.should_be(*spot, pattern) == lamp).map(name).collect();
        LampPattern {
            number: pattern + 1,
            fed: board.fed_in(pattern).map(name).collect(),
            lit: of(Lamp::Lit),
            dark: of(Lamp::Dark),
            unsure: of(Lamp::Unsure),
        }
    }

    /// What measured readings say of the loom.
    #[must_use]
    pub fn compare(&self, rows: &[MeasuredRow]) -> RingOutVerdict {
        verdict::of_readings(self, rows)
    }

    /// What the lamps of a board with the patterns of a code say of the loom.
    #[must_use]
    pub fn compare_lamps(&self, code: Code, rows: &[LampRow]) -> RingOutVerdict {
        verdict::of_lamps(self, code, rows)
    }

    /// Where the limits come from.
    #[must_use]
    pub fn sources(&self) -> Vec<&'static Source> {
        let mut sources =
            vec![ring_out::error().source, ring_out::digits().source, ring_out::leads().source, ring_out::open().source];
        if self.steps.iter().any(|step| step.purpose == Purpose::Resistor) {
            sources.push(ring_out::resistor_tolerance().source);
        }
        if self.steps.iter().any(|step| step.most.is_some() && step.expected.is_none()) {
            sources.push(ring_out::continuity().source);
        }
        if self.steps.iter().any(|step| step.volts.is_some()) {
            sources.push(ring_out::diode_range().source);
        }
        sources
    }
}

#[cfg(test)]
mod tests;
