//! What a short between two points drives, by brute force: the whole network as one dense matrix, solved anew for every short
//! and for every state that its one-way elements are tried in.
//!
//! A diode and a source with a limit are one kind of element: a voltage and a resistance whose current stays between zero and a
//! limit. Current over voltage rises in every element, so the currents of the network are those of a convex problem and there is
//! one answer. The search for it may go any way, since the state that is found is checked against every condition; it turns all
//! elements that contradict a solution, and after some rounds only the first of them, which comes to an end (the least-index
//! rule of K. G. Murty for linear complementarity problems; from memory).

use harness_core::internals::circuit::{BranchKind, Circuit};
use nalgebra::{DMatrix, DVector};

/// Rounds in which all contradictions are turned at once.
const AT_ONCE: u32 = 12;
/// Rounds after which a search counts as failed.
const ROUNDS: u32 = 400;
/// Siemens across elements that are off, so that in the first search every node has a voltage to be judged by; the second search
/// goes without. Where it fails, it begins anew from what another leak led to.
const LEAKS: [f64; 5] = [1e-6, 1e-5, 1e-7, 1e-4, 1e-3];
/// Relative slack of comparisons.
const SLACK: f64 = 1e-9;

/// The currents of a shorted network.
#[derive(Debug, Clone)]
pub struct Shorted {
    /// The current through the short, from the first of its points to the second.
    pub amps: f64,
    /// The current of each branch, positive from `from` to `to`.
    pub branches: Vec<f64>,
    /// Which state each branch was found in.
    pub states: Vec<State>,
    /// The voltage of each node against the first of its island.
    pub volts: Vec<f64>,
}

/// The state of a branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Carries nothing.
    Off,
    /// A voltage and a resistance.
    Conducts,
    /// Carries its limit.
    Limits,
}

/// A branch as a voltage that raises `to` over `from`, a resistance, and what its current keeps to.
#[derive(Debug, Clone, Copy)]
struct Element {
    from: usize,
    to: usize,
    emf: f64,
    ohms: f64,
    one_way: bool,
    limit: f64,
}

/// The currents with the two points of `short` joined without resistance, or as they are without one.
///
/// The circuit holds resistances, sources and diodes alone.
pub fn short(circuit: &Circuit, short: Option<(u32, u32)>) -> Shorted {
    let elements: Vec<Option<Element>> = circuit
        .branches
        .iter()
        .map(|branch| {
            let (emf, ohms, one_way, limit) = match branch.kind {
                BranchKind::Open => return None,
                BranchKind::Resistance(ohms) => (0.0, ohms.get(), false, f64::INFINITY),
                BranchKind::Source { emf, resistance, limit: None } => (emf.get(), resistance.get(), false, f64::INFINITY),
                BranchKind::Source { emf, resistance, limit: Some(limit) } => (emf.get(), resistance.get(), true, limit.get()),
                BranchKind::Diode { drop, resistance } => (-drop.get(), resistance.get(), true, f64::INFINITY),
                other => panic!("{other:?} does not belong to a network for faults"),
            };
            Some(Element { from: branch.from as usize, to: branch.to as usize, emf, ohms, one_way, limit })
        })
        .collect();
    let initial = |element: &Option<Element>| match element {
        Some(element) if !element.one_way => State::Conducts,
        _ => State::Off,
    };
    let mut network = Network {
        nodes: circuit.nodes as usize,
        states: elements.iter().map(initial).collect(),
        elements,
        short: short.map(|(a, b)| (a as usize, b as usize)).filter(|(a, b)| a != b),
    };
    let found = LEAKS.into_iter().find_map(|leak| {
        network.search(leak)?;
        network.search(0.0)
    });
    found.unwrap_or_else(|| panic!("no state was found for {circuit:?} with {short:?}"))
}

struct Network {
    nodes: usize,
    elements: Vec<Option<Element>>,
    states: Vec<State>,
    short: Option<(usize, usize)>,
}

impl Network {
    fn live(&self) -> impl Iterator<Item = (usize, Element, State)> {
        let states = self.elements.iter().zip(&self.states).enumerate();
        states.filter_map(|(number, (element, state))| Some((number, (*element)?, *state)))
    }

    /// Turns states until nothing contradicts; gives the solution, if that comes to an end.
    fn search(&mut self, leak: f64) -> Option<Shorted> {
        for round in 0..ROUNDS {
            let found = self.solve(leak);
            let wanted = self.contradictions(&found, leak);
            if wanted.is_empty() {
                if leak == 0.0 {
                    self.check(&found);
                }
                return Some(found);
            }
            let few = if round < AT_ONCE { wanted.len() } else { 1 };
            for (number, state) in wanted.into_iter().take(few) {
                self.states[number] = state;
            }
        }
        None
    }

    /// The first node of each node's island, by what joins.
    fn islands(&self, leak: f64) -> Vec<usize> {
        let mut of: Vec<usize> = (0..self.nodes).collect();
        let joins = self.live().filter(|(.., state)| leak > 0.0 || *state == State::Conducts).map(|(_, e, _)| (e.from, e.to));
        let joins: Vec<(usize, usize)> = joins.chain(self.short).collect();
        // Until nothing changes: slow and plain.
        loop {
            let before = of.clone();
            for &(a, b) in &joins {
                let first = of[a].min(of[b]);
                (of[a], of[b]) = (first, first);
            }
            if of == before {
                return of;
            }
        }
    }

    /// One linear solution: a row a node, by Kirchhoff's current law, and one for the short.
    fn solve(&self, leak: f64) -> Shorted {
        let size = self.nodes + usize::from(self.short.is_some());
        let mut matrix = DMatrix::<f64>::zeros(size, size);
        let mut side = DVector::<f64>::zeros(size);
        for (_, element, state) in self.live() {
            let (siemens, amps) = match state {
                State::Off => (leak, 0.0),
                State::Conducts => (1.0 / element.ohms, element.emf / element.ohms),
                State::Limits => (leak, element.limit),
            };
            let (from, to) = (element.from, element.to);
            matrix[(from, from)] += siemens;
            matrix[(to, to)] += siemens;
            matrix[(from, to)] -= siemens;
            matrix[(to, from)] -= siemens;
            side[from] -= amps;
            side[to] += amps;
        }
        if let Some((a, b)) = self.short {
            let last = self.nodes;
            matrix[(a, last)] += 1.0;
            matrix[(b, last)] -= 1.0;
            matrix[(last, a)] += 1.0;
            matrix[(last, b)] -= 1.0;
        }
        for (node, _) in self.islands(leak).iter().enumerate().filter(|(node, first)| node == *first) {
            matrix.row_mut(node).fill(0.0);
            matrix[(node, node)] = 1.0;
            side[node] = 0.0;
        }
        let factors = matrix.clone().lu();
        let first = factors.solve(&side).expect("a network whose islands have a zero has a solution");
        // One step of refinement, so that the reference is not the less exact of the two.
        let exact = &first + factors.solve(&(&side - &matrix * &first)).expect("the same factors");
        let mut branches = vec![0.0; self.elements.len()];
        for (number, element, state) in self.live() {
            branches[number] = match state {
                State::Off => 0.0,
                State::Conducts => (exact[element.from] - exact[element.to] + element.emf) / element.ohms,
                State::Limits => element.limit,
            };
        }
        let amps = if self.short.is_some() { exact[self.nodes] } else { 0.0 };
        Shorted { amps, branches, states: self.states.clone(), volts: exact.iter().take(self.nodes).copied().collect() }
    }

    /// What each one-way element that contradicts the solution would be instead.
    fn contradictions(&self, found: &Shorted, leak: f64) -> Vec<(usize, State)> {
        let islands = self.islands(leak);
        let wanted = self.live().filter(|(_, element, _)| element.one_way).filter_map(|(number, element, state)| {
            let (amps, rise) = (found.branches[number], found.volts[element.to] - found.volts[element.from]);
            let slack = SLACK * (1.0 + element.emf.abs() + rise.abs());
            // Nothing is known across two islands; whether it can be is seen to at the end.
            let apart = islands[element.from] != islands[element.to];
            let next = match state {
                State::Off if !apart && rise < element.emf - slack => State::Conducts,
                State::Conducts if amps < -slack => State::Off,
                State::Conducts if amps > element.limit * (1.0 + SLACK) => State::Limits,
                State::Limits if !apart && rise > element.emf - element.ohms * element.limit + slack => State::Conducts,
                _ => return None,
            };
            Some((number, next))
        });
        wanted.collect()
    }

    /// Kirchhoff's current law holds at every node, and there are voltages between the islands with which everything that is off
    /// may stay off.
    fn check(&self, found: &Shorted) {
        let mut sums = vec![0.0; self.nodes];
        let mut most = found.amps.abs();
        for (number, element, _) in self.live() {
            let amps = found.branches[number];
            sums[element.from] -= amps;
            sums[element.to] += amps;
            most = most.max(amps.abs());
        }
        if let Some((a, b)) = self.short {
            sums[a] -= found.amps;
            sums[b] += found.amps;
        }
        // The last digit of the largest voltage, across the least resistance.
        let volts = found.volts.iter().fold(0.0_f64, |most, volts| most.max(volts.abs()));
        let ohms = self.live().map(|(_, element, _)| element.ohms).fold(f64::INFINITY, f64::min);
        let rounding = 1e-9 + 10.0 * f64::EPSILON * volts / ohms;
        for (node, sum) in sums.iter().enumerate() {
            assert!(sum.abs() <= 1e-7 * most + rounding, "node {node} keeps {sum} A of {most} A");
        }
        // Each element between two islands bounds the difference of their voltages; such bounds can be kept together if going
        // round them never gains, which is seen when shortest ways stop growing shorter (Bellman and Ford).
        let islands = self.islands(0.0);
        let mut bounds = Vec::new();
        for (_, element, state) in self.live().filter(|(_, element, _)| element.one_way) {
            let (from, to) = (islands[element.from], islands[element.to]);
            let rise = found.volts[element.to] - found.volts[element.from];
            match state {
                // shift[from] - shift[to] <= rise - emf
                State::Off if from != to => bounds.push((to, from, rise - element.emf)),
                // shift[to] - shift[from] <= emf - ohms * limit - rise
                State::Limits if from != to => bounds.push((from, to, element.emf - element.ohms * element.limit - rise)),
                _ => {}
            }
        }
        let mut shift = vec![0.0_f64; self.nodes];
        for _ in 0..=bounds.len() {
            let mut moved = false;
            for &(a, b, bound) in &bounds {
                if shift[b] > shift[a] + bound + 1e-7 {
                    shift[b] = shift[a] + bound;
                    moved = true;
                }
            }
            if !moved {
                return;
            }
        }
        panic!("what is off can not all stay off: {bounds:?}");
    }
}
