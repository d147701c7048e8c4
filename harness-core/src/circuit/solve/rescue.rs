//! Behaviours for a network whose ordinary search goes round in circles.
//!
//! Idea: with the currents of loads of constant power (and of converters that run) capped at a given value, every branch lets the
//! more current through the more voltage it has, and [`Convex`] finds the one state of that network. What the loads then see at
//! their terminals gives other caps, and so on. The caps are bounded and what follows from them changes without a jump, so by
//! Brouwer's theorem there always are caps that agree with themselves. Beginning at no current, they rise to the smallest such: where a
//! load of constant power has two states, the one at the higher voltage is found. Where plain repetition swings about them, Newton's
//! method in the caps that still move closes in.

mod curves;

use self::curves::Curves;
use super::{
    convex::{Convex, Curve, Piece},
    states::{Behaviour, States},
    table::Table,
};
use crate::circuit::{BranchKind, Circuit};

/// Rounds in which each cap is what the voltage before asks for.
const RISES: u32 = 40;
/// Share of the most that it can ask for with which a converter is pushed, by how much it rises at a time, and how often.
const LEAST_PUSH: f64 = 1e-7;
const GROWTH: f64 = 1.25;
const PUSHES: u32 = 80;
/// Share of a cap that a step leaves as long as anything is asked for.
const LEAST_SHARE: f64 = 0.1;
/// Rounds in which the caps follow what is asked for slowly, as currents do that take time to change; the share of the way that they
/// go at first, the least, and by how much it grows from round to round while they come nearer.
const FOLLOWED: u32 = 80;
const FIRST_SHARE: f64 = 0.1;
const SLOWEST: f64 = 0.02;
const FASTER: f64 = 1.3;
/// Steps towards caps that agree with themselves where plain repetition does not settle, and how often it is looked what is asked for.
const MOST_STEPS: u32 = 60;
const MOST_ASKED: u32 = 80;
/// Networks of straight lines after which the search for caps ends.
const MOST_SOLVED: u32 = 2_000;
/// Share of the largest cap by which a slope is measured.
const NUDGE: f64 = 1e-6;
/// Leaps past places where plain repetition creeps, each twice as far as the one before.
const LEAPS: u32 = 8;
/// Times that a step is halved until it brings the caps nearer to agreement.
const HALVINGS: u32 = 12;
/// Relative change of a cap that counts as none; the ordinary search takes over from there.
const SETTLED: f64 = 1e-7;

/// The caps with which the search for those that agree begins.
#[derive(Debug, Clone, Copy)]
pub(super) enum Begin<'a> {
    /// None flows: the state at the highest voltages is found.
    Least,
    /// Next to none flows into converters, and more as long as they ask for more: of the states in which they give something, that at the
    /// highest voltages is found.
    Pushed,
    /// What is asked for at these voltages of the nodes: the state to which they lead.
    Voltages(&'a Table<f64>),
    /// All that can ever be asked for: that at the lowest.
    Most,
}

/// Gives each branch the behaviour that it has where the network is at rest.
///
/// Whether the caps agree with themselves, else it is where the search ended; and how many networks were solved.
pub(super) fn rescue(circuit: &Circuit, states: &mut States, begin: Begin<'_>) -> (bool, u32) {
    let count = circuit.branches.len();
    let mut caps = Table::<f64>::new(count);
    for &load in states.loads() {
        if let BranchKind::CurrentLoad { amps, .. } = states.kind(load) {
            caps.set(load, amps.get());
        }
    }
    let mut convex = Convex::new(circuit);
    match begin {
        Begin::Least | Begin::Pushed => {}
        Begin::Voltages(volts) => {
            convex.begin(volts);
            for (branch, amps) in demands(states, &convex) {
                caps.set(branch, amps);
            }
        }
        Begin::Most => {
            for (branch, _) in demands(states, &convex) {
                caps.set(branch, most(states, branch));
            }
        }
    }
    let mut caps = Caps { states, convex, curves: Curves::of(circuit, states), caps, asked: 0 };
    if matches!(begin, Begin::Pushed) {
        caps.push();
    }
    let is_found = match begin {
        Begin::Voltages(_) => caps.follow() || caps.close(),
        Begin::Least | Begin::Pushed | Begin::Most => caps.rise() || caps.close() || caps.follow() || caps.close(),
    };
    let Caps { convex, caps, curves, .. } = caps;
    let last: Vec<(u32, Curve)> = curves.at(&caps).collect();
    for input in states.inputs().to_vec() {
        // One that is asked for nothing has no curve.
        if states.converts(input) && caps.at(input) == 0.0 {
            states.enter(input, Behaviour::Draws);
        }
    }
    for (branch, curve) in last {
        let piece = curve.piece(convex.across(branch));
        let behaviour = match (states.kind(branch), piece) {
            (BranchKind::Diode { .. }, Piece::Line) => Behaviour::Conducts,
            (BranchKind::Source { limit: Some(_), .. }, Piece::Line) => Behaviour::Conducts,
            (BranchKind::Source { limit: Some(_), .. }, Piece::Most) => Behaviour::Limits,
            (BranchKind::Diode { .. } | BranchKind::Source { limit: Some(_), .. }, _) => Behaviour::Off,
            (BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. }, Piece::Line) => {
                Behaviour::Starves
            }
            (BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. }, _) => {
                Behaviour::Draws
            }
            _ => continue,
        };
        states.enter(branch, behaviour);
        let is_input = matches!(states.kind(branch), BranchKind::ConverterInput { .. });
        if behaviour == Behaviour::Draws {
            states.given.set(branch, caps.at(branch).copysign(convex.across(branch)));
        } else if is_input && behaviour == Behaviour::Starves {
            states.hold(branch, states.starving(branch, caps.at(branch)));
        }
    }
    (is_found, convex.steps)
}

/// The search for caps that agree with the voltages that follow from them.
struct Caps<'a, 'c> {
    states: &'a States<'c>,
    convex: Convex,
    curves: Curves,
    caps: Table<f64>,
    /// How often it was looked what is asked for.
    asked: u32,
}

impl Caps<'_, '_> {
    /// What is asked for at the voltages of these caps.
    fn asked(&mut self) -> Vec<(u32, f64)> {
        self.asked += 1;
        self.convex.settle(self.curves.at(&self.caps));
        demands(self.states, &self.convex)
    }

    /// Raises the caps of converters from next to nothing until none asks for more.
    fn push(&mut self) {
        for &input in self.states.inputs().iter().filter(|input| self.states.converts(**input)) {
            self.caps.set(input, LEAST_PUSH * most(self.states, input));
        }
        for _ in 0..PUSHES {
            let mut rose = false;
            for (branch, next) in self.asked() {
                let before = self.caps.at(branch);
                let pushed =
                    matches!(self.states.kind(branch), BranchKind::ConverterInput { .. }) && next > before && before > 0.0;
                rose |= pushed;
                self.caps.set(branch, if pushed { next.max(GROWTH * before).min(most(self.states, branch)) } else { next });
            }
            if !rose {
                return;
            }
        }
    }

    /// Lets the caps follow what is asked for; `true` once they are that.
    fn rise(&mut self) -> bool {
        for _ in 0..RISES {
            let mut moved = false;
            for (branch, next) in self.asked() {
                let before = self.caps.at(branch);
                moved |= (next - before).abs() > SETTLED * next.max(before);
                self.caps.set(branch, next);
            }
            if !moved {
                return true;
            }
            if self.convex.steps > MOST_SOLVED {
                break;
            }
        }
        false
    }

    /// Lets the caps follow what is asked for slowly, so that none of them runs ahead of the others; `true` once they are that.
    fn follow(&mut self) -> bool {
        let (mut share, mut last) = (FIRST_SHARE, f64::INFINITY);
        for _ in 0..FOLLOWED {
            let asked = self.asked();
            if !asked.iter().any(|(branch, next)| self.differs(*branch, *next)) {
                return true;
            }
            if self.convex.steps > MOST_SOLVED {
                break;
            }
            let apart = self.apart(&asked);
            share = if apart < last { (share * FASTER).min(1.0) } else { (share * 0.5).max(SLOWEST) };
            last = apart;
            for (branch, next) in asked {
                let before = self.caps.at(branch);
                self.caps.set(branch, before + share * (next - before));
            }
        }
        false
    }

    /// Newton's method on the differences of caps and what is asked for, each step halved until it brings them nearer; `true` at the end.
    fn close(&mut self) -> bool {
        let last = self.asked + MOST_ASKED;
        let mut asked = self.asked();
        let mut leaps = 0;
        for step in 0..MOST_STEPS {
            let moving: Vec<(u32, f64)> = asked.iter().copied().filter(|(branch, next)| self.differs(*branch, *next)).collect();
            if moving.is_empty() {
                return true;
            }
            if self.asked > last || self.convex.steps > MOST_SOLVED {
                return false;
            }
            let before = self.apart(&asked);
            let caps = self.caps.clone();
            let way = self.way(&asked, &moving);
            let mut share = 1.0;
            let mut nearer = false;
            for _ in 0..HALVINGS {
                self.caps = caps.clone();
                for ((branch, next), add) in moving.iter().zip(&way) {
                    // Nothing is a state only for what asks for nothing: a push would end it.
                    let least = if *next > 0.0 { LEAST_SHARE } else { 0.0 };
                    let before = caps.at(*branch);
                    self.caps.set(*branch, (before + share * add).max(before * least));
                }
                asked = self.asked();
                if self.apart(&asked) < (1.0 - 0.1 * share) * before {
                    nearer = true;
                    break;
                }
                share *= 0.5;
            }
            if !nearer {
                // Where no step helps, two states of a load have just met and vanished, and plain repetition creeps past the place:
                // leaps the same way pass it. Later ever smaller shares of it lead over a bend.
                leaps += 1;
                let share = if leaps <= LEAPS { f64::from(1 << (4 + leaps)) } else { 1.0 / f64::from(step + 2) };
                self.caps = caps.clone();
                for (branch, next) in &moving {
                    let before = caps.at(*branch);
                    let most = most(self.states, *branch);
                    self.caps.set(*branch, (before + share * (next - before)).clamp(0.0, most));
                }
                if leaps <= LEAPS && self.rise() {
                    return true;
                }
                asked = self.asked();
            }
        }
        false
    }

    fn differs(&self, branch: u32, next: f64) -> bool {
        let before = self.caps.at(branch);
        (next - before).abs() > SETTLED * next.max(before)
    }

    /// How far caps and what is asked for are apart, the worst of all.
    fn apart(&self, asked: &[(u32, f64)]) -> f64 {
        let apart = asked.iter().map(|(branch, next)| {
            let before = self.caps.at(*branch);
            (next - before).abs() / next.max(before).max(f64::MIN_POSITIVE)
        });
        apart.fold(0.0, f64::max)
    }

    /// By how much each moving cap has to change, if what is asked for follows the caps in straight lines.
    fn way(&mut self, asked: &[(u32, f64)], moving: &[(u32, f64)]) -> Vec<f64> {
        let caps = self.caps.clone();
        let mut columns: Vec<Vec<f64>> = Vec::with_capacity(moving.len());
        for (branch, next) in moving {
            let nudge = NUDGE * next.max(caps.at(*branch));
            self.caps = caps.clone();
            self.caps.set(*branch, caps.at(*branch) + nudge);
            let nudged = self.asked();
            let slopes = moving.iter().map(|(other, _)| {
                let find = |list: &[(u32, f64)]| list.iter().find(|entry| entry.0 == *other).map_or(0.0, |entry| entry.1);
                let own = if other == branch { 1.0 } else { 0.0 };
                own - (find(&nudged) - find(asked)) / nudge
            });
            columns.push(slopes.collect());
        }
        self.caps = caps;
        let sides = moving.iter().map(|(branch, next)| next - self.caps.at(*branch)).collect();
        solved(columns, sides)
    }
}

/// The most that a branch can ever ask for.
fn most(states: &States, branch: u32) -> f64 {
    match states.kind(branch) {
        BranchKind::PowerLoad { .. } => states.demand(branch, 0.0),
        _ => states.most_in(branch),
    }
}

/// The solution of a small dense system, given by its columns, by elimination with the largest pivot of each column; a column
/// without one gets zero.
fn solved(columns: Vec<Vec<f64>>, sides: Vec<f64>) -> Vec<f64> {
    let size = sides.len();
    let mut rows: Vec<Vec<f64>> = (0..size)
        .map(|row| columns.iter().map(|column| column.get(row).copied().unwrap_or(0.0)).chain(sides.get(row).copied()).collect())
        .collect();
    let at = |row: &[f64], place: usize| row.get(place).copied().unwrap_or(0.0);
    for step in 0..size {
        let rest = rows.get_mut(step..).unwrap_or_default();
        let largest =
            rest.iter().enumerate().max_by(|a, b| at(a.1, step).abs().total_cmp(&at(b.1, step).abs())).map(|(row, _)| row);
        if let Some(largest) = largest {
            rest.swap(0, largest);
        }
        let Some((pivot, below)) = rest.split_first_mut() else { break };
        let head = at(pivot, step);
        if head == 0.0 || !head.is_finite() {
            continue;
        }
        for row in below {
            let share = at(row, step) / head;
            for (value, from) in row.iter_mut().zip(pivot.iter()).skip(step) {
                *value -= share * from;
            }
        }
    }
    let mut found = vec![0.0; size];
    for step in (0..size).rev() {
        let Some(row) = rows.get(step) else { continue };
        let known: f64 = row.iter().zip(&found).skip(step + 1).map(|(value, found)| value * found).sum();
        let next = (at(row, size) - known) / at(row, step);
        if let Some(slot) = found.get_mut(step).filter(|_| next.is_finite()) {
            *slot = next;
        }
    }
    found
}

/// The current that each load of constant power and each running converter asks for at its voltage.
fn demands(states: &States, convex: &Convex) -> Vec<(u32, f64)> {
    let mut demands = Vec::new();
    for &load in states.loads() {
        if let BranchKind::PowerLoad { .. } = states.kind(load) {
            demands.push((load, states.demand(load, convex.across(load))));
        }
    }
    for &input in states.inputs() {
        let BranchKind::ConverterInput { output, efficiency, .. } = states.kind(input) else { continue };
        if !states.converts(input) {
            continue;
        }
        let BranchKind::Source { emf, resistance, limit } = states.kind(output) else { continue };
        let rise = -convex.across(output);
        let amps = (emf.get() - rise) / resistance.get();
        let amps = limit.map_or(amps, |limit| amps.clamp(0.0, limit.get()));
        let watts = (rise * amps).max(0.0) / efficiency.get();
        demands.push((input, watts / convex.across(input).abs().max(states.threshold(input))));
    }
    demands
}
