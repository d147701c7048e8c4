//! A circuit in one state, as it can be given to another program: what each branch is, without what it might be.

use crate::oracle::dense::short::{Shorted, State};
use harness_core::internals::circuit::{BranchKind, Circuit, Operating};

/// Voltage within which a diode that carries nothing counts as standing at its drop.
const AT_DROP: f64 = 1e-9;

/// What a branch is in the state of its circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// Not there: open, blocking, off.
    Absent,
    /// A voltage that raises `to` over `from`, and a resistance in series.
    Conducts { emf: f64, ohms: f64 },
    /// A current from `from` to `to`, whatever the voltage.
    Draws(f64),
    /// The power `watts` by the voltage, of which no less than `least` is counted; from `from` to `to` if `forward`.
    Power { watts: f64, least: f64, forward: bool },
    /// The input of a converter: the power that branch `output` gives, by the efficiency and the voltage.
    Converts { output: usize, efficiency: f64, least: f64, forward: bool },
    /// No resistance at all.
    Short,
}

/// Parts between nodes.
#[derive(Debug, Clone, Default)]
pub struct Wiring {
    /// Number of nodes.
    pub nodes: u32,
    /// The ends of each part.
    pub ends: Vec<(u32, u32)>,
    /// The parts.
    pub parts: Vec<Part>,
    /// Nodes preferred as zero volt, the first of an island before the others.
    pub references: Vec<u32>,
}

impl Wiring {
    /// For each node the zero of its island, by what conducts; a node of its own is its own zero.
    pub fn zeros(&self) -> Vec<u32> {
        let mut roots: Vec<u32> = (0..self.nodes).collect();
        fn root(roots: &[u32], mut node: u32) -> u32 {
            while roots[node as usize] != node {
                node = roots[node as usize];
            }
            node
        }
        for (&(from, to), part) in self.ends.iter().zip(&self.parts) {
            if matches!(part, Part::Conducts { .. } | Part::Short) {
                let (a, b) = (root(&roots, from), root(&roots, to));
                roots[a.max(b) as usize] = a.min(b);
            }
        }
        let mut zeros = vec![u32::MAX; self.nodes as usize];
        for node in self.references.iter().copied().chain(0..self.nodes) {
            let island = root(&roots, node) as usize;
            if zeros[island] == u32::MAX {
                zeros[island] = node;
            }
        }
        (0..self.nodes).map(|node| zeros[root(&roots, node) as usize]).collect()
    }
}

/// The wiring of a circuit in the state that was found for it.
pub fn of_state(circuit: &Circuit, state: &Operating) -> Wiring {
    let parts = (0..circuit.branches.len()).map(|number| part(circuit, state, number)).collect();
    let ends = circuit.branches.iter().map(|branch| (branch.from, branch.to)).collect();
    Wiring { nodes: circuit.nodes, ends, parts, references: circuit.references.clone() }
}

/// The wiring of a shorted network in the state that the dense reference found, with the short as the last part.
pub fn of_short(network: &Circuit, found: &Shorted, short: (u32, u32)) -> Wiring {
    let parts = network.branches.iter().zip(&found.states).map(|(branch, state)| {
        let (emf, ohms, limit) = match branch.kind {
            BranchKind::Resistance(ohms) => (0.0, ohms.get(), None),
            BranchKind::Source { emf, resistance, limit } => (emf.get(), resistance.get(), limit),
            BranchKind::Diode { drop, resistance } => (-drop.get(), resistance.get(), None),
            _ => return Part::Absent,
        };
        match (state, limit) {
            (State::Off, _) => Part::Absent,
            (State::Conducts, _) => Part::Conducts { emf, ohms },
            (State::Limits, limit) => Part::Draws(limit.map_or(f64::NAN, |limit| limit.get())),
        }
    });
    let ends = network.branches.iter().map(|branch| (branch.from, branch.to)).chain([short]);
    Wiring {
        nodes: network.nodes,
        ends: ends.collect(),
        parts: parts.chain([Part::Short]).collect(),
        references: network.references.clone(),
    }
}

/// Whether a source is the output of a converter that does not run.
pub fn held_off(circuit: &Circuit, state: &Operating, source: usize) -> bool {
    let owner = circuit
        .branches
        .iter()
        .position(|input| matches!(input.kind, BranchKind::ConverterInput { output, .. } if output as usize == source));
    owner.is_some_and(|input| !state.converting[input])
}

fn part(circuit: &Circuit, state: &Operating, number: usize) -> Part {
    let branch = &circuit.branches[number];
    let (from, to) = (branch.from as usize, branch.to as usize);
    let (volts, amps) = (state.volts[from].get() - state.volts[to].get(), state.amps[number].get());
    let together = state.island[from] == state.island[to];
    let alone = state.no_return.contains(&(number as u32));
    match branch.kind {
        BranchKind::Open => Part::Absent,
        BranchKind::Resistance(ohms) | BranchKind::Coil { resistance: ohms, .. } => Part::Conducts { emf: 0.0, ohms: ohms.get() },
        BranchKind::Source { .. } if held_off(circuit, state, number) => Part::Absent,
        BranchKind::Source { limit: Some(limit), .. } if amps == limit.get() => Part::Draws(amps),
        BranchKind::Source { emf, limit: Some(_), .. } if amps == 0.0 && together && -volts > emf.get() + AT_DROP => Part::Absent,
        BranchKind::Source { emf, resistance, .. } => Part::Conducts { emf: emf.get(), ohms: resistance.get() },
        BranchKind::Diode { drop, .. } if amps == 0.0 && !(together && volts >= drop.get() - AT_DROP) => Part::Absent,
        BranchKind::Diode { drop, resistance } => Part::Conducts { emf: -drop.get(), ohms: resistance.get() },
        BranchKind::RelayContact { coil, closed_when_energised, resistance } => {
            let closed = state.energised[coil as usize] == closed_when_energised;
            if closed { Part::Conducts { emf: 0.0, ohms: resistance.get() } } else { Part::Absent }
        }
        BranchKind::ConverterInput { output, efficiency, nominal } => {
            if !state.converting[number] {
                return Part::Absent;
            }
            let least = 0.5 * nominal.get();
            Part::Converts { output: output as usize, efficiency: efficiency.get(), least, forward: volts > 0.0 }
        }
        // One that only loads join to the rest holds what is behind it at the voltage before it, though nothing flows.
        BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } if amps == 0.0 && !(alone && together && volts == 0.0) => {
            Part::Absent
        }
        BranchKind::CurrentLoad { amps: demand, nominal } => {
            let (demand, least) = (demand.get(), 0.5 * nominal.get());
            load(state, number, (volts, amps), (demand, least), Part::Draws(demand.copysign(volts)))
        }
        BranchKind::PowerLoad { watts, nominal } => {
            let (watts, least) = (watts.get(), 0.5 * nominal.get());
            let fed = Part::Power { watts, least, forward: volts > 0.0 };
            load(state, number, (volts, amps), (watts / volts.abs().max(least), least), fed)
        }
    }
}

/// A load that carries something: `fed` while it has its voltage, else a resistance.
///
/// One that only loads join to the rest is a resistance even then, of the size that carries its demand: a given current alone
/// gives the nodes behind it no voltage.
fn load(state: &Operating, number: usize, (volts, amps): (f64, f64), (demand, least): (f64, f64), fed: Part) -> Part {
    if volts.abs() < least * (1.0 - 1e-9) {
        let at_half = if let Part::Power { watts, .. } = fed { watts / least } else { demand };
        return Part::Conducts { emf: 0.0, ohms: least / at_half };
    }
    if state.no_return.contains(&(number as u32)) {
        assert!((amps.abs() - demand).abs() <= 1e-8 * demand, "a load with its voltage carries {amps} A, not {demand} A");
        return Part::Conducts { emf: 0.0, ohms: volts / amps };
    }
    fed
}
