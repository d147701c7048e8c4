//! The loops of a network: junctions joined by runs, of which a spanning tree carries sums and the rest close loops.
//!
//! Idea: the currents of the runs outside the tree (the chords) are the unknowns. For given chord currents the tree currents follow
//! from Kirchhoff's current law and the voltages from Ohm's, and each chord shows by how many volts its loop fails to close. The
//! nodal matrix turns these errors into corrections of the chord currents, and the whole is repeated until rounding is reached. So
//! the current law always holds to rounding, and refinement works on small errors, never on differences of large voltages. The tree
//! takes the runs of least resistance, so that a chord current, which does come from a voltage, comes from the largest resistance
//! of its loop.

use super::{factor::Factor, table::Table};
use petgraph::unionfind::UnionFind;

/// Corrections after which a solution is taken as it is.
const ROUNDS: u32 = 12;
/// Relative error of voltage around a loop that counts as rounding.
const CLOSED: f64 = 4e-15;

/// A run between two junctions.
#[derive(Debug, Clone, Copy)]
struct Run {
    start: u32,
    end: u32,
    ohms: f64,
}

/// A run of the tree, by the junction below its parent.
#[derive(Debug, Clone, Copy)]
struct Twig {
    junction: u32,
    parent: u32,
    run: u32,
    /// Whether the run goes from the junction to the parent.
    up: bool,
}

/// The loops of a network, ready for any voltages and currents.
#[derive(Debug, Default)]
pub(super) struct Core {
    runs: Vec<Run>,
    /// The tree, parents before children.
    twigs: Vec<Twig>,
    chords: Vec<u32>,
    /// Unknown of each junction, counted from one; zero at a reference.
    unknown: Table<u32>,
    unknowns: usize,
    factor: Option<Factor>,
    flows: Table<f64>,
    volts: Table<f64>,
}

impl Core {
    /// Builds the tree and factors the nodal matrix. `roots` has one reference per island; `runs` are start, end and resistance. What was
    /// `before`, mostly the same runs with other resistances, spares some of it.
    pub(super) fn new(roots: &[bool], runs: Vec<(u32, u32, f64)>, before: Self) -> Self {
        let runs: Vec<Run> = runs.into_iter().map(|(start, end, ohms)| Run { start, end, ohms }).collect();
        let mut order: Vec<u32> = (0..runs.len() as u32).collect();
        let ohms = |run: &u32| runs.get(*run as usize).map_or(0.0, |run| run.ohms);
        order.sort_by(|a, b| ohms(a).total_cmp(&ohms(b)));
        let mut joined = UnionFind::<u32>::new(roots.len());
        let (mut tree, mut chords) = (Vec::new(), Vec::new());
        for run in order {
            let Some(ends) = runs.get(run as usize) else { continue };
            if joined.try_union(ends.start, ends.end).unwrap_or(false) {
                tree.push(run);
            } else {
                chords.push(run);
            }
        }

        let mut core = Self { flows: Table::new(runs.len()), volts: Table::new(roots.len()), ..Self::default() };
        core.unknown = Table::new(roots.len());
        for (&root, junction) in roots.iter().zip(0..) {
            if !root {
                core.unknowns += 1;
                core.unknown.set(junction, core.unknowns as u32);
            }
        }
        core.twigs = twigs(roots, &runs, &tree);
        core.chords = chords;
        core.runs = runs;
        if core.unknowns > 0 && !core.chords.is_empty() {
            core.factor = Factor::new(core.unknowns, core.matrix(0.0), before.factor).or_else(|| {
                // Resistances too far apart for the digits of a number: a small leak to the reference makes the factor exist, and
                // the corrections remove what the leak does.
                Factor::new(core.unknowns, core.matrix(1e-13), None)
            });
        }
        core
    }

    /// The nodal matrix, with each diagonal raised by the relative amount `leak`.
    fn matrix(&self, leak: f64) -> Vec<(u32, u32, f64)> {
        let mut entries = Vec::with_capacity(4 * self.runs.len());
        for run in &self.runs {
            if run.start == run.end {
                continue;
            }
            let siemens = 1.0 / run.ohms;
            let (a, b) = (self.unknown.at(run.start), self.unknown.at(run.end));
            for (own, other) in [(a, b), (b, a)] {
                if own > 0 {
                    entries.push((own - 1, own - 1, siemens * (1.0 + leak)));
                    if other > 0 {
                        entries.push((own - 1, other - 1, -siemens));
                    }
                }
            }
        }
        entries
    }

    /// The current of each run, from its start; what is added along a run counts at its end.
    pub(super) fn flows(&self) -> &[f64] {
        self.flows.list()
    }

    /// The voltage of each junction.
    pub(super) fn volts(&self) -> &[f64] {
        self.volts.list()
    }

    /// Solves for the current into each junction and the voltage in each run; gives the worst relative error around a loop.
    pub(super) fn solve(&mut self, injected: &[f64], emfs: &[f64]) -> f64 {
        let emf = |run: u32| emfs.get(run as usize).copied().unwrap_or(0.0);
        self.flows.fill(0.0);
        let mut best = (f64::INFINITY, Table::<f64>::default());
        for round in 0..ROUNDS {
            self.spread(injected, &emf);
            let (worst, errors) = self.errors(&emf);
            if worst <= CLOSED || self.chords.is_empty() {
                return worst;
            }
            // Rounding makes the last corrections wander: the best of them is kept.
            if round > 2 && worst > 0.5 * best.0 {
                if worst < best.0 {
                    return worst;
                }
                break;
            }
            best = (worst, self.flows.clone());
            self.correct(&errors);
        }
        self.flows = best.1;
        self.spread(injected, &emf);
        best.0
    }

    /// Tree currents and voltages that follow from the chord currents.
    fn spread(&mut self, injected: &[f64], emf: &impl Fn(u32) -> f64) {
        let mut into = Table::of(injected.to_vec());
        for &chord in &self.chords {
            let Some(run) = self.runs.get(chord as usize) else { continue };
            let flow = self.flows.at(chord);
            into.add(run.start, -flow);
            into.add(run.end, flow);
        }
        for twig in self.twigs.iter().rev() {
            let flow = into.at(twig.junction);
            self.flows.set(twig.run, if twig.up { flow } else { -flow });
            into.add(twig.parent, flow);
        }
        for twig in &self.twigs {
            let ohms = self.runs.get(twig.run as usize).map_or(0.0, |run| run.ohms);
            let sign = if twig.up { -1.0 } else { 1.0 };
            let rise = sign * (emf(twig.run) - ohms * self.flows.at(twig.run));
            self.volts.set(twig.junction, self.volts.at(twig.parent) + rise);
        }
    }

    /// By how many volts each chord fails to close its loop, and the worst of it relative to the voltages at the chord.
    fn errors(&self, emf: &impl Fn(u32) -> f64) -> (f64, Vec<f64>) {
        // A loop at rest holds nothing but rounding, which is measured against the voltages of the network as a whole, or against a
        // millionth of a volt where all loops are at rest.
        let most = self.volts.list().iter().fold(0.0_f64, |most, volt| most.max(volt.abs()));
        let most = (0..self.runs.len() as u32).fold(most, |most, run| most.max(emf(run).abs()));
        // Currents are sums, rounded to some 1e-15 of the largest, and a large resistance makes volts of that.
        let largest = self.flows.list().iter().fold(0.0_f64, |largest, flow| largest.max(flow.abs()));
        let mut worst = 0.0_f64;
        let errors = self.chords.iter().map(|&chord| {
            let Some(run) = self.runs.get(chord as usize) else { return 0.0 };
            let (start, end, own) = (self.volts.at(run.start), self.volts.at(run.end), emf(chord));
            let fall = run.ohms * self.flows.at(chord);
            let error = start - end + own - fall;
            let rounding = 1e-6 * run.ohms * largest;
            let scale = start.abs().max(end.abs()).max(own.abs()).max(fall.abs()).max(1e-3 * most).max(rounding).max(1e-6);
            if !error.is_finite() {
                worst = f64::INFINITY;
            } else if scale > 0.0 {
                worst = worst.max(error.abs() / scale);
            }
            error
        });
        let errors = errors.collect();
        (worst, errors)
    }

    /// Corrects the chord currents by what the nodal matrix makes of the errors.
    fn correct(&mut self, errors: &[f64]) {
        let mut side = Table::<f64>::new(self.unknowns);
        for (&chord, &error) in self.chords.iter().zip(errors) {
            let Some(run) = self.runs.get(chord as usize) else { continue };
            if run.start != run.end {
                // An unknown of zero wraps to a place beyond the end, where nothing is kept.
                side.add(self.unknown.at(run.start).wrapping_sub(1), -error / run.ohms);
                side.add(self.unknown.at(run.end).wrapping_sub(1), error / run.ohms);
            }
        }
        let mut list = side.list().to_vec();
        if let Some(factor) = &mut self.factor {
            factor.solve(&mut list);
        }
        let shift = Table::of(list);
        for (&chord, &error) in self.chords.iter().zip(errors) {
            let Some(run) = self.runs.get(chord as usize) else { continue };
            let start = shift.at(self.unknown.at(run.start).wrapping_sub(1));
            let end = shift.at(self.unknown.at(run.end).wrapping_sub(1));
            self.flows.add(chord, (error + start - end) / run.ohms);
        }
    }
}

/// Walks the tree from the roots.
fn twigs(roots: &[bool], runs: &[Run], tree: &[u32]) -> Vec<Twig> {
    let mut near: Vec<(u32, u32, u32, bool)> = Vec::with_capacity(2 * tree.len());
    for &number in tree {
        let Some(run) = runs.get(number as usize) else { continue };
        near.push((run.start, number, run.end, false));
        near.push((run.end, number, run.start, true));
    }
    near.sort_unstable();
    let mut first = Table::<u32>::new(roots.len() + 1);
    for entry in &near {
        first.set(entry.0 + 1, first.at(entry.0 + 1) + 1);
    }
    for junction in 0..roots.len() as u32 {
        first.set(junction + 1, first.at(junction + 1) + first.at(junction));
    }
    let mut reached = Table::of(roots.to_vec());
    let mut queue: Vec<u32> = (0..).zip(roots).filter(|(_, root)| **root).map(|(junction, _)| junction).collect();
    let mut twigs = Vec::with_capacity(tree.len());
    let mut next = 0;
    while let Some(&parent) = queue.get(next) {
        next += 1;
        for &(_, run, junction, up) in near.get(first.at(parent) as usize..first.at(parent + 1) as usize).unwrap_or_default() {
            if !reached.at(junction) {
                reached.set(junction, true);
                twigs.push(Twig { junction, parent, run, up });
                queue.push(junction);
            }
        }
    }
    twigs
}
