//! The state of a network in which every branch lets the more current through the more voltage it has; it always exists.
//!
//! Idea: the voltages of such a network are those at which its co-content, the sum over the branches of the current integrated over
//! the voltage, is least (W. Millar, *Philosophical Magazine* 1951; from memory). The co-content is convex and, as every branch here
//! is a straight line between two limits, quadratic in pieces. So Newton's step, which solves the network with each branch on the piece
//! that it is on, points downhill, and going the exact length that is lowest along it reaches the least of all in a finite number
//! of steps: nothing can go round in circles. What is at a limit gets a leak of [`LEAK`] to where it was, so that every step exists.
//!
//! Cost: a factorisation a step, and none where all resistances are as in the step before; every load and diode is a branch of it. The ordinary
//! search is cheaper and comes first.

use super::{
    reduce::{Network, Plan},
    table::Table,
};
use crate::circuit::Circuit;
use petgraph::unionfind::UnionFind;

/// Conductance of the leak of a branch at its limit, in siemens; it only shapes the steps, not where they lead.
const LEAK: f64 = 1e-6;
/// Way to the target, by the largest voltage, that counts as rounding: the length that is lowest along it says nothing.
const ROUNDING: f64 = 1e-13;
/// The same on unchanged pieces, where the way only corrects what the step before left.
const STILL: f64 = 1e-11;
/// Share of the first fall of the co-content up to which it counts as flat beyond a bend.
const FLAT: f64 = 1e-10;
/// Steps after which the voltages are taken as they are; the caller checks them.
const MOST_STEPS: u32 = 500;

/// How the current of a branch follows its voltage: a straight line between two limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    /// Slope of the line.
    pub(super) siemens: f64,
    /// The voltage at which the line has no current.
    pub(super) zero: f64,
    /// The least current; it may be infinite.
    pub(super) least: f64,
    /// The largest current; it may be infinite.
    pub(super) most: f64,
}

/// Where on its curve a branch is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Piece {
    /// At its least current.
    Least,
    /// On the line.
    #[default]
    Line,
    /// At its largest current.
    Most,
}

impl Curve {
    pub(super) fn piece(&self, volts: f64) -> Piece {
        let amps = self.siemens * (volts - self.zero);
        if amps < self.least {
            Piece::Least
        } else if amps > self.most {
            Piece::Most
        } else {
            Piece::Line
        }
    }

    fn amps(&self, volts: f64) -> f64 {
        (self.siemens * (volts - self.zero)).clamp(self.least, self.most)
    }
}

/// A network of curves, and the voltages found so far.
#[derive(Debug)]
pub(super) struct Convex {
    ends: Table<(u32, u32)>,
    nodes: u32,
    /// The branches that have a curve.
    curves: Vec<Curved>,
    root: Table<bool>,
    plan: Option<Planned>,
    volts: Table<f64>,
    step: Step,
    /// How many networks of straight lines were solved.
    pub(super) steps: u32,
}

/// A branch that has a curve.
#[derive(Debug, Clone, Copy)]
struct Curved {
    branch: u32,
    from: u32,
    to: u32,
    curve: Curve,
}

/// What a step works with; kept from step to step, since there are thousands of them.
#[derive(Debug)]
struct Step {
    ohms: Table<f64>,
    emfs: Table<f64>,
    into: Table<f64>,
    amps: Table<f64>,
    /// The voltages to which it leads.
    target: Table<f64>,
}

/// The plan of a step, with the resistance of each branch for which it was made.
#[derive(Debug)]
struct Planned {
    ohms: Vec<(u32, f64)>,
    plan: Plan,
}

impl Planned {
    /// Whether it is of these branches, whatever their resistances.
    fn is_of(&self, branches: impl Iterator<Item = u32>) -> bool {
        self.ohms.iter().map(|known| known.0).eq(branches)
    }

    /// Takes over the resistances of its branches; whether one differs.
    fn take(&mut self, ohms: &Table<f64>) -> bool {
        let mut differs = false;
        for (branch, known) in &mut self.ohms {
            let now = ohms.at(*branch);
            differs |= *known != now;
            *known = now;
        }
        differs
    }
}

impl Convex {
    /// The network of those branches that have a curve, all at zero volt.
    pub(super) fn new(circuit: &Circuit) -> Self {
        let ends = Table::of(circuit.branches.iter().map(|branch| (branch.from, branch.to)).collect());
        let (count, nodes) = (circuit.branches.len(), circuit.nodes as usize);
        let step = Step {
            ohms: Table::new(count),
            emfs: Table::new(count),
            into: Table::new(nodes),
            amps: Table::new(count),
            target: Table::new(nodes),
        };
        let volts = Table::new(nodes);
        Self { ends, nodes: circuit.nodes, curves: Vec::new(), root: Table::default(), plan: None, volts, step, steps: 0 }
    }

    /// Begins with these voltages.
    pub(super) fn begin(&mut self, volts: &Table<f64>) {
        self.volts.clone_from(volts);
    }

    /// Voltage across a branch.
    pub(super) fn across(&self, branch: u32) -> f64 {
        let (from, to) = self.ends.at(branch);
        self.volts.at(from) - self.volts.at(to)
    }

    /// Finds the voltages for these curves of branches, beginning with the last.
    pub(super) fn settle(&mut self, curves: impl Iterator<Item = (u32, Curve)>) {
        self.curves.clear();
        self.curves.extend(curves.map(|(branch, curve)| {
            let (from, to) = self.ends.at(branch);
            Curved { branch, from, to, curve }
        }));
        if !self.plan.as_ref().is_some_and(|planned| planned.is_of(self.curves.iter().map(|curved| curved.branch))) {
            self.plan = None;
            self.root = self.roots();
        }
        let (mut pieces, mut now): (Vec<Piece>, Vec<Piece>) = (Vec::new(), Vec::new());
        // No voltage is above those of all sources together; where everything is at its limit, a step leads far beyond.
        let most: f64 = self.curves.iter().map(|curved| curved.curve.zero.abs()).sum();
        for _ in 0..MOST_STEPS {
            self.steps += 1;
            now.clear();
            now.extend(self.curves.iter().map(|curved| curved.curve.piece(self.volts_of(curved))));
            self.newton(&now, most);
            let (length, downhill) = self.length();
            let (mut moved, mut largest) = (0.0_f64, 0.0_f64);
            for node in 0..self.nodes {
                let volts = self.volts.at(node);
                let way = self.step.target.at(node) - volts;
                self.volts.set(node, volts + length * way);
                (moved, largest) = (moved.max(way.abs()), largest.max(volts.abs()));
            }
            // The whole step on unchanged pieces is the least of all; so is where no step leads downhill, or by rounding alone.
            let same = pieces == now;
            if !downhill || (same && (length - 1.0).abs() < 1e-6) || moved <= if same { STILL } else { ROUNDING } * largest {
                return;
            }
            std::mem::swap(&mut pieces, &mut now);
        }
    }

    /// One node of each island.
    fn roots(&self) -> Table<bool> {
        let mut joined = UnionFind::<u32>::new(self.nodes as usize);
        for curved in &self.curves {
            let _ = joined.try_union(curved.from, curved.to);
        }
        let labels = joined.into_labeling();
        let mut rooted = Table::<bool>::new(self.nodes as usize);
        let mut root = Table::<bool>::new(self.nodes as usize);
        for (&label, node) in labels.iter().zip(0..) {
            if !rooted.at(label) {
                rooted.set(label, true);
                root.set(node, true);
            }
        }
        root
    }

    fn volts_of(&self, curved: &Curved) -> f64 {
        self.volts.at(curved.from) - self.volts.at(curved.to)
    }

    /// Finds the voltages of the network with each branch on its piece, or at its limit beside a leak.
    fn newton(&mut self, pieces: &[Piece], most: f64) {
        let Step { ohms, emfs, into, amps, target } = &mut self.step;
        into.fill(0.0);
        target.fill(0.0);
        for (&Curved { branch, from, to, curve }, piece) in self.curves.iter().zip(pieces) {
            let given = match piece {
                Piece::Line => {
                    ohms.set(branch, 1.0 / curve.siemens);
                    emfs.set(branch, -curve.zero);
                    continue;
                }
                Piece::Least => curve.least,
                Piece::Most => curve.most,
            };
            into.add(from, -given);
            into.add(to, given);
            ohms.set(branch, 1.0 / LEAK);
            emfs.set(branch, -(self.volts.at(from) - self.volts.at(to)));
        }
        let network = Network { ends: &self.ends, ohms, emfs };
        // Mostly it is the currents alone that differ from step to step.
        let planned = match &mut self.plan {
            Some(planned) => {
                if planned.take(network.ohms) {
                    planned.plan.retune(&self.root, &network);
                }
                planned
            }
            plan => {
                let branches: Vec<u32> = self.curves.iter().map(|curved| curved.branch).collect();
                let own = branches.iter().map(|branch| (*branch, network.ohms.at(*branch))).collect();
                plan.insert(Planned { plan: Plan::new(self.nodes, &branches, &self.root, &network), ohms: own })
            }
        };
        planned.plan.solve(&network, into, target, amps);
        for node in 0..self.nodes {
            target.set(node, target.at(node).clamp(-most, most));
        }
    }

    /// The share of the way to the target at which the co-content is least, and whether the way leads downhill at all.
    fn length(&self) -> (f64, bool) {
        let target = &self.step.target;
        let (mut fall, mut scale, mut slope) = (0.0, 0.0, 0.0);
        // Where a branch leaves or enters its line, with what that adds to the slope.
        let mut bends: Vec<(f64, f64)> = Vec::new();
        for curved in &self.curves {
            let Curved { from, to, curve, .. } = *curved;
            let volts = self.volts_of(curved);
            let way = target.at(from) - target.at(to) - volts;
            if way == 0.0 {
                continue;
            }
            let add = curve.amps(volts) * way;
            fall += add;
            scale += add.abs();
            let steep = curve.siemens * way * way;
            let at = |limit: f64| (curve.zero + limit / curve.siemens - volts) / way;
            let (low, high) = (at(curve.least), at(curve.most));
            let (enters, leaves) = if way > 0.0 { (low, high) } else { (high, low) };
            if leaves <= 0.0 {
                continue;
            }
            if enters <= 0.0 {
                slope += steep;
            } else {
                bends.push((enters, steep));
            }
            bends.push((leaves, -steep));
        }
        if fall >= -1e-15 * scale {
            return (1.0, false);
        }
        bends.retain(|bend| bend.0.is_finite());
        bends.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut here = 0.0;
        for (at, change) in bends {
            let next = fall + slope * (at - here);
            if next >= 0.0 {
                break;
            }
            if next >= -FLAT * scale {
                // Rounding alone may lead further; where little is drawn, little would bring the voltages back.
                return (at, true);
            }
            (fall, here) = (next, at);
            slope += change;
        }
        let length = if slope > 0.0 { here - fall / slope } else { here };
        (if length > 0.0 { length } else { 1.0 }, true)
    }
}
