//! Whether relays and converters can settle at all, by trying every order in which they may move.
//!
//! For each setting of relays and converters the voltages are found as a real network finds them: with a capacitor at every node, from
//! a start without voltage, from one without loads, and from where the setting before ended, by implicit Euler steps that grow until
//! nothing moves. What then contradicts its voltage moves, in every combination, until all settings that can be reached are known.

use crate::circuit::{BranchKind, Circuit};
use nalgebra::{Complex, DMatrix, DVector, linalg::Schur};
use std::collections::BTreeSet;

/// Leak of each node to the first, in siemens, so that what is joined to nothing has a voltage.
const LEAK: f64 = 1e-10;
/// Relative difference from a threshold within which a relay or converter may be on or off.
const NEAR: f64 = 1e-6;
/// Share of its voltages by which a state is pushed, to see whether it holds.
const PUSH: f64 = 1e-7;
/// Conductance below zero, in siemens, from which on a push grows; the loads drawn have a thousand times as much.
const FALLS: f64 = 1e-7;
/// States after which the search ends.
const MOST: usize = 200;

/// What a search found.
#[derive(Debug)]
pub(super) enum Rest {
    /// No state at rest can be reached.
    Never,
    /// One setting of relays and converters is at rest: these are on.
    One(Vec<u32>),
    /// Which is reached depends on which of them moves first.
    Several,
    /// The search failed.
    Unknown(&'static str),
}

/// Which relays and converters are on, by number of the branch.
type Setting = BTreeSet<u32>;

/// Searches from all relays and converters off.
pub(super) fn rest(circuit: &Circuit) -> Rest {
    let mut waiting: Vec<(Setting, Option<DVector<f64>>)> = vec![(Setting::new(), None)];
    let mut known: Vec<(Setting, DVector<f64>)> = Vec::new();
    let mut found: BTreeSet<Setting> = BTreeSet::new();
    while let Some((setting, before)) = waiting.pop() {
        let network = Network { circuit, setting: &setting };
        let states = network.states(before.as_ref());
        if states.is_empty() {
            return Rest::Unknown("no voltages");
        }
        for volts in states {
            let is_known = |(other, its): &(Setting, DVector<f64>)| {
                *other == setting && (its - &volts).amax() <= 1e-5 * (1.0 + volts.amax())
            };
            if known.iter().any(is_known) {
                continue;
            }
            if known.len() >= MOST {
                return Rest::Unknown("too many states");
            }
            let moving = network.moving(&volts);
            known.push((setting.clone(), volts.clone()));
            if moving.is_empty() {
                found.insert(setting.clone());
            }
            for some in 1..1_u32 << moving.len() {
                let mut next = setting.clone();
                for (at, number) in moving.iter().enumerate().filter(|(at, _)| some >> at & 1 == 1) {
                    let _ = at;
                    if !next.remove(number) {
                        next.insert(*number);
                    }
                }
                waiting.push((next, Some(volts.clone())));
            }
        }
    }
    let mut found = found.into_iter();
    match (found.next(), found.next()) {
        (None, _) => Rest::Never,
        (Some(one), None) => Rest::One(one.into_iter().collect()),
        (Some(_), Some(_)) => Rest::Several,
    }
}

struct Network<'a> {
    circuit: &'a Circuit,
    setting: &'a Setting,
}

/// A current, and by how much it changes with the voltage across its branch.
type Flow = (f64, f64);

impl Network<'_> {
    /// Voltages at rest, from each start from which there are some that hold.
    fn states(&self, before: Option<&DVector<f64>>) -> Vec<DVector<f64>> {
        let none = DVector::zeros(self.circuit.nodes as usize);
        if !self.has_constant_power() {
            return self.settle(before.unwrap_or(&none), true).into_iter().collect();
        }
        let mut starts = vec![none.clone()];
        starts.extend(self.settle(&none, false));
        starts.extend(before.cloned());
        starts.iter().filter_map(|start| self.settle(start, true)).filter(|volts| self.holds(volts)).collect()
    }

    /// Whether something takes the more current the less voltage it has: else there is one state alone.
    fn has_constant_power(&self) -> bool {
        self.circuit.branches.iter().any(|branch| matches!(branch.kind, BranchKind::PowerLoad { .. }))
            || self.setting.iter().any(|on| matches!(self.circuit.branches[*on as usize].kind, BranchKind::ConverterInput { .. }))
    }

    /// Relays and converters that contradict the voltages.
    fn moving(&self, volts: &DVector<f64>) -> Vec<u32> {
        let numbers = (0..).zip(&self.circuit.branches);
        let moving = numbers.filter(|(number, branch)| {
            let across = (volts[branch.from as usize] - volts[branch.to as usize]).abs();
            let is_on = self.setting.contains(number);
            match branch.kind {
                BranchKind::Coil { pull_in, hold, .. } if is_on => across < hold.get().min(pull_in.get()) * (1.0 - NEAR),
                BranchKind::Coil { pull_in, .. } => across > pull_in.get() * (1.0 + NEAR),
                BranchKind::ConverterInput { nominal, .. } if is_on => across < 0.5 * nominal.get() * (1.0 - NEAR),
                BranchKind::ConverterInput { nominal, .. } => across > 0.5 * nominal.get() * (1.0 + NEAR),
                _ => false,
            }
        });
        moving.map(|(number, _)| number).collect()
    }

    /// The converter input that feeds a source, if one does.
    fn feeder(&self, source: u32) -> Option<u32> {
        let mut numbers = (0..).zip(&self.circuit.branches);
        numbers
            .find(|(_, branch)| matches!(branch.kind, BranchKind::ConverterInput { output, .. } if output == source))
            .map(|(number, _)| number)
    }

    fn across(&self, branch: u32, volts: &DVector<f64>) -> f64 {
        let branch = &self.circuit.branches[branch as usize];
        volts[branch.from as usize] - volts[branch.to as usize]
    }

    /// Implicit Euler steps that grow; `None` where they do not settle.
    fn settle(&self, start: &DVector<f64>, loaded: bool) -> Option<DVector<f64>> {
        let mut volts = start.clone();
        let mut step = 1e-2;
        for _ in 0..400 {
            match self.step(&volts, step, loaded) {
                Some((next, moved)) => {
                    volts = next;
                    if step > 1e11 && moved < 1e-9 * (1.0 + volts.amax()) {
                        return Some(volts);
                    }
                    step = (step * 10.0).min(1e13);
                }
                None => step *= 0.1,
            }
            if step < 1e-30 {
                return None;
            }
        }
        None
    }

    /// One step of so many seconds with a farad at each node, and how far it went.
    fn step(&self, before: &DVector<f64>, seconds: f64, loaded: bool) -> Option<(DVector<f64>, f64)> {
        let nodes = before.len();
        let mut volts = before.clone();
        for _ in 0..12 {
            let (mut matrix, mut side) = self.flows(&volts, loaded, 1.0);
            for node in 0..nodes {
                matrix[(node, node)] += 1.0 / seconds;
                side[node] -= (volts[node] - before[node]) / seconds;
            }
            // The first node is zero volt.
            matrix.row_mut(0).fill(0.0);
            matrix[(0, 0)] = 1.0;
            side[0] = 0.0;
            let change = matrix.lu().solve(&side)?;
            if change.iter().any(|volt| !volt.is_finite()) {
                return None;
            }
            volts += &change;
            if change.amax() <= 1e-11 * (1.0 + volts.amax()) {
                let moved = (&volts - before).amax();
                return Some((volts, moved));
            }
        }
        None
    }

    /// By how much the current that leaves each node changes with the voltage of each, and what flows into each at these voltages.
    ///
    /// Slopes are those at `push` times the voltage of the output of a converter that runs.
    fn flows(&self, volts: &DVector<f64>, loaded: bool, push: f64) -> (DMatrix<f64>, DVector<f64>) {
        let nodes = volts.len();
        let mut matrix = DMatrix::<f64>::identity(nodes, nodes) * LEAK;
        let mut side = -volts * LEAK;
        for (number, branch) in (0..).zip(&self.circuit.branches) {
            let (from, to) = (branch.from as usize, branch.to as usize);
            let across = volts[from] - volts[to];
            let mut add = |(amps, slope): Flow, (plus, minus): (usize, usize)| {
                for (node, sign) in [(from, 1.0), (to, -1.0)] {
                    side[node] -= sign * amps;
                    matrix[(node, plus)] += sign * slope;
                    matrix[(node, minus)] -= sign * slope;
                }
            };
            match branch.kind {
                BranchKind::ConverterInput { output, efficiency, nominal } => {
                    if !loaded || !self.setting.contains(&number) {
                        continue;
                    }
                    let out = &self.circuit.branches[output as usize];
                    let out_volts = self.across(output, volts);
                    let given = |volts: f64| {
                        let (amps, slope) = self.source(out.kind, volts);
                        if volts * amps < 0.0 { (-volts * amps, -amps - volts * slope) } else { (0.0, 0.0) }
                    };
                    let watts = given(out_volts).0 / efficiency.get();
                    let per_volt = given(push * out_volts).1 / efficiency.get();
                    let least = 0.5 * nominal.get();
                    let own = of_power(watts, least, across);
                    add(own, (from, to));
                    // What the output asks for changes the input too.
                    let share = of_power(1.0, least, across).0;
                    add((0.0, share * per_volt), (out.from as usize, out.to as usize));
                }
                BranchKind::Source { .. } if self.feeder(number).is_some() => {
                    let (amps, slope) = (self.flow(number, across, loaded).0, self.flow(number, push * across, loaded).1);
                    add((amps, slope), (from, to));
                }
                _ => add(self.flow(number, across, loaded), (from, to)),
            }
        }
        (matrix, side)
    }

    /// Whether the network comes back to these voltages after a small push, with a farad at each node.
    ///
    /// Where a converter is about to give something, that is tried too: what only its own output would keep up falls then.
    fn holds(&self, volts: &DVector<f64>) -> bool {
        let nodes = volts.len();
        [1.0 - PUSH, 1.0, 1.0 + PUSH].into_iter().all(|push| {
            let (matrix, _) = self.flows(volts, true, push);
            let rest = matrix.view((1, 1), (nodes - 1, nodes - 1)).clone_owned();
            rates(&rest).is_none_or(|rates| rates.iter().all(|rate| rate.re > -FALLS))
        })
    }

    fn source(&self, kind: BranchKind, across: f64) -> Flow {
        let BranchKind::Source { emf, resistance, limit } = kind else { return (0.0, 0.0) };
        let amps = (emf.get() + across) / resistance.get();
        match limit {
            Some(_) if amps < 0.0 => (0.0, 0.0),
            Some(limit) if amps > limit.get() => (limit.get(), 0.0),
            _ => (amps, 1.0 / resistance.get()),
        }
    }

    fn flow(&self, number: u32, across: f64, loaded: bool) -> Flow {
        let kind = self.circuit.branches[number as usize].kind;
        let line = |ohms: f64| (across / ohms, 1.0 / ohms);
        match kind {
            BranchKind::Resistance(ohms) => line(ohms.get()),
            BranchKind::Coil { resistance, .. } => line(resistance.get()),
            BranchKind::RelayContact { coil, closed_when_energised, resistance } => {
                if self.setting.contains(&coil) == closed_when_energised { line(resistance.get()) } else { (0.0, 0.0) }
            }
            BranchKind::Source { .. } => match self.feeder(number) {
                Some(input) if !self.setting.contains(&input) => (0.0, 0.0),
                _ => self.source(kind, across),
            },
            BranchKind::Diode { drop, resistance } => {
                let over = across - drop.get();
                if over > 0.0 { (over / resistance.get(), 1.0 / resistance.get()) } else { (0.0, 0.0) }
            }
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } if !loaded => (0.0, 0.0),
            BranchKind::CurrentLoad { amps, nominal } => {
                let least = 0.5 * nominal.get();
                if across.abs() < least { line(least / amps.get()) } else { (amps.get().copysign(across), 0.0) }
            }
            BranchKind::PowerLoad { watts, nominal } => of_power(watts.get(), 0.5 * nominal.get(), across),
            BranchKind::Open | BranchKind::ConverterInput { .. } => (0.0, 0.0),
        }
    }
}

/// The rates at which a network comes back to its voltages; `None` where the repetition for them does not end, which a finer
/// threshold than rounding allows makes it do.
fn rates(matrix: &DMatrix<f64>) -> Option<DVector<Complex<f64>>> {
    let most = 100 * matrix.nrows();
    let found = [1.0, 10.0, 100.0, 1e4].into_iter().find_map(|more| Schur::try_new(matrix.clone(), more * f64::EPSILON, most));
    found.map(|schur| schur.complex_eigenvalues())
}

/// A constant power from `least` volt on, below that a resistance.
fn of_power(watts: f64, least: f64, across: f64) -> Flow {
    if across.abs() < least {
        (across * watts / (least * least), watts / (least * least))
    } else {
        (watts / across, -watts / (across * across))
    }
}
