//! How each branch behaves, and what that makes it to the linear network.

mod kept;
mod snapshot;

pub(super) use self::{kept::Kept, snapshot::Snapshot};

use super::table::Table;
use crate::{
    circuit::{BranchKind, Circuit, Refusal},
    quantity::Ampere,
};
use petgraph::unionfind::UnionFind;

/// Resistance of the input of a converter that gives nothing.
const LARGEST: f64 = 1e15;

/// How a branch behaves at present.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Behaviour {
    /// Carries nothing.
    #[default]
    Off,
    /// A resistance, with or without a voltage.
    Conducts,
    /// Carries a given current: a load, or the input of a converter that runs.
    Draws,
    /// Carries the limit of a source.
    Limits,
    /// A load that only loads join to the rest and that has next to no voltage: carries nothing.
    Idles,
    /// A load too short of voltage to keep its current, or one that only loads join to the rest: its brown-out resistance. The input of
    /// a converter that runs and is about to stop: the resistance that would take its power at half of its voltage.
    Starves,
    /// A load that only loads join to the rest and that has its voltage: the resistance that carries its current.
    Holds,
}

/// The behaviours of all branches and their values.
#[derive(Debug)]
pub(super) struct States<'c> {
    circuit: &'c Circuit,
    /// Branches that were left out, ascending.
    refused: Vec<u32>,
    behaviours: Vec<Behaviour>,
    /// Resistance of each branch that conducts.
    pub(super) ohms: Table<f64>,
    /// Voltage each branch adds from its first to its second end.
    pub(super) emfs: Table<f64>,
    /// Current of each branch whose current is given.
    pub(super) given: Table<f64>,
    /// Coils that hold their contacts moved.
    pub(super) energised: Table<bool>,
    /// Sources that their converter keeps off.
    pub(super) held_off: Table<bool>,
    loads: Vec<u32>,
    inputs: Vec<u32>,
    coils: Vec<u32>,
    contacts: Vec<u32>,
    one_way: Vec<u32>,
    /// Whether a conducting branch changed since this was last cleared.
    pub(super) changed: bool,
    /// Whether the behaviours come from [`rescue`](super::rescue), in which loads that starve give others their way.
    pub(super) rescued: bool,
    /// Whether only the resistance of one did.
    pub(super) retuned: bool,
    /// Branches that were given another behaviour or resistance, where somebody keeps account of them.
    pub(super) touched: Option<Vec<u32>>,
}

impl<'c> States<'c> {
    /// Relays released, diodes and converters off, loads drawing nothing yet.
    pub(super) fn new(circuit: &'c Circuit, refused: &[Refusal]) -> Self {
        let count = circuit.branches.len();
        let mut states = Self {
            circuit,
            refused: numbers(refused),
            behaviours: vec![Behaviour::Off; count],
            ohms: Table::new(count),
            emfs: Table::new(count),
            given: Table::new(count),
            energised: Table::new(count),
            held_off: Table::new(count),
            loads: Vec::new(),
            inputs: Vec::new(),
            coils: Vec::new(),
            contacts: Vec::new(),
            one_way: Vec::new(),
            changed: true,
            rescued: false,
            retuned: false,
            touched: None,
        };
        for number in 0..count as u32 {
            states.begin(number);
        }
        for input in states.inputs.clone() {
            if let BranchKind::ConverterInput { output, .. } = states.kind(input) {
                states.held_off.set(output, true);
                states.enter(output, Behaviour::Off);
            }
        }
        states
    }

    /// Makes a branch do what it does before anything is computed.
    fn begin(&mut self, number: u32) {
        let (list, behaviour) = match self.kind(number) {
            BranchKind::Open => (None, Behaviour::Off),
            BranchKind::Resistance(_) => (None, Behaviour::Conducts),
            BranchKind::Coil { .. } => (Some(&mut self.coils), Behaviour::Conducts),
            BranchKind::Source { limit, .. } => (limit.map(|_| &mut self.one_way), Behaviour::Conducts),
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } => (Some(&mut self.loads), Behaviour::Draws),
            BranchKind::Diode { .. } => (Some(&mut self.one_way), Behaviour::Off),
            BranchKind::RelayContact { closed_when_energised: true, .. } => (Some(&mut self.contacts), Behaviour::Off),
            BranchKind::RelayContact { closed_when_energised: false, .. } => (Some(&mut self.contacts), Behaviour::Conducts),
            BranchKind::ConverterInput { .. } => (Some(&mut self.inputs), Behaviour::Off),
        };
        if let Some(list) = list
            && let Err(at) = list.binary_search(&number)
        {
            list.insert(at, number);
        }
        if behaviour != Behaviour::Off {
            self.enter(number, behaviour);
        }
    }

    pub(super) fn kind(&self, branch: u32) -> BranchKind {
        if self.refused.binary_search(&branch).is_ok() {
            return BranchKind::Open;
        }
        self.circuit.branches.get(branch as usize).map_or(BranchKind::Open, |branch| branch.kind)
    }

    pub(super) fn behaviour(&self, branch: u32) -> Behaviour {
        match self.behaviours.get(branch as usize) {
            Some(behaviour) => *behaviour,
            None => Behaviour::default(),
        }
    }

    pub(super) fn behaviours(&self) -> &[Behaviour] {
        &self.behaviours
    }

    /// Loads, ascending.
    pub(super) fn loads(&self) -> &[u32] {
        &self.loads
    }

    /// Converter inputs, ascending.
    pub(super) fn inputs(&self) -> &[u32] {
        &self.inputs
    }

    /// Coils, ascending.
    pub(super) fn coils(&self) -> &[u32] {
        &self.coils
    }

    /// Diodes and sources with a limit, ascending.
    pub(super) fn one_way(&self) -> &[u32] {
        &self.one_way
    }

    /// Whether the branch is a resistance to the network.
    pub(super) fn conducts(&self, branch: u32) -> bool {
        matches!(self.behaviour(branch), Behaviour::Conducts | Behaviour::Starves | Behaviour::Holds)
    }

    /// Whether the current of the branch is given.
    pub(super) fn is_given(&self, branch: u32) -> bool {
        matches!(self.behaviour(branch), Behaviour::Draws | Behaviour::Limits)
    }

    /// Whether the branch is the input of a converter that runs.
    pub(super) fn converts(&self, branch: u32) -> bool {
        let runs = matches!(self.behaviour(branch), Behaviour::Draws | Behaviour::Starves);
        runs && matches!(self.kind(branch), BranchKind::ConverterInput { .. })
    }

    /// Whether the branch joins its ends: what conducts, but loads, which join only what nothing else does.
    pub(super) fn joins(&self, branch: u32) -> bool {
        match self.behaviour(branch) {
            Behaviour::Conducts => true,
            Behaviour::Starves => matches!(self.kind(branch), BranchKind::ConverterInput { .. }),
            Behaviour::Off | Behaviour::Draws | Behaviour::Limits | Behaviour::Idles | Behaviour::Holds => false,
        }
    }

    /// The current a load draws at `volts` across it (by amount), as long as it has its voltage.
    pub(super) fn demand(&self, load: u32, volts: f64) -> f64 {
        match self.kind(load) {
            BranchKind::CurrentLoad { amps, .. } => amps.get(),
            BranchKind::PowerLoad { watts, nominal } => watts.get() / volts.abs().max(0.5 * nominal.get()),
            _ => 0.0,
        }
    }

    /// Half the nominal voltage of a load or converter input.
    pub(super) fn threshold(&self, branch: u32) -> f64 {
        match self.kind(branch) {
            BranchKind::CurrentLoad { nominal, .. }
            | BranchKind::PowerLoad { nominal, .. }
            | BranchKind::ConverterInput { nominal, .. } => 0.5 * nominal.get(),
            _ => 0.0,
        }
    }

    /// Whether a load ever carries anything.
    pub(super) fn ever_draws(&self, load: u32) -> bool {
        self.demand(load, 0.0) > 0.0
    }

    /// The resistance of a converter input that takes `amps` at half of its voltage; the largest where it takes none, -0 included.
    pub(super) fn starving(&self, input: u32, amps: f64) -> f64 {
        if amps > 0.0 { (self.threshold(input) / amps).min(LARGEST) } else { LARGEST }
    }

    /// The most that the input of a converter can ever take, just above half of its voltage; infinite for another branch.
    pub(super) fn most_in(&self, input: u32) -> f64 {
        let BranchKind::ConverterInput { output, efficiency, .. } = self.kind(input) else { return f64::INFINITY };
        let BranchKind::Source { emf, resistance, limit } = self.kind(output) else { return f64::INFINITY };
        let (emf, amps) = (emf.get(), 0.5 * emf.get() / resistance.get());
        let watts = match limit {
            Some(limit) if limit.get() < amps => (emf - limit.get() * resistance.get()) * limit.get(),
            _ => 0.5 * emf * amps,
        };
        watts / efficiency.get() / self.threshold(input)
    }

    /// Sets the resistance of a branch that conducts, such as that with which a load holds its current.
    pub(super) fn hold(&mut self, branch: u32, ohms: f64) {
        self.ohms.set(branch, ohms);
        self.retuned = true;
        self.touch(branch);
    }

    fn touch(&mut self, branch: u32) {
        if let Some(touched) = &mut self.touched {
            touched.push(branch);
        }
    }

    /// Makes a branch behave so, with the values that it then has.
    pub(super) fn enter(&mut self, branch: u32, behaviour: Behaviour) {
        let conducted = self.conducts(branch);
        let before = self.given.at(branch).abs();
        if let Some(slot) = self.behaviours.get_mut(branch as usize) {
            *slot = behaviour;
        }
        let (mut ohms, mut emf, mut given) = (0.0, 0.0, 0.0);
        match (behaviour, self.kind(branch)) {
            (Behaviour::Conducts, BranchKind::Source { emf: volts, resistance, .. }) => {
                (ohms, emf) = (resistance.get(), volts.get());
            }
            (Behaviour::Conducts, BranchKind::Diode { drop, resistance }) => (ohms, emf) = (resistance.get(), -drop.get()),
            (
                Behaviour::Conducts,
                BranchKind::Resistance(resistance)
                | BranchKind::Coil { resistance, .. }
                | BranchKind::RelayContact { resistance, .. },
            ) => {
                ohms = resistance.get();
            }
            (Behaviour::Limits, BranchKind::Source { limit: Some(limit), .. }) => given = limit.get(),
            (Behaviour::Starves, BranchKind::ConverterInput { .. }) => ohms = self.starving(branch, before),
            (Behaviour::Starves | Behaviour::Holds, _) => ohms = self.threshold(branch) / self.demand(branch, 0.0),
            _ => {}
        }
        self.ohms.set(branch, ohms);
        self.emfs.set(branch, emf);
        self.given.set(branch, given);
        // The membership of a source in its island counts, whether it conducts or limits.
        self.changed |= conducted || self.conducts(branch) || behaviour == Behaviour::Limits;
        self.touch(branch);
    }

    /// Moves the contacts of these coils before anything is computed; a branch that is not a coil is left as it is.
    pub(super) fn energise(&mut self, coils: &[u32]) {
        for &coil in coils {
            if matches!(self.kind(coil), BranchKind::Coil { .. }) {
                self.energised.set(coil, true);
            }
        }
        self.switch_contacts();
    }

    /// Makes each branch do what it did where these currents flowed, as far as it can: a diode conducts or not, as does a source
    /// that takes nothing back; a load draws its current, and so does the input of a converter that `runs`. No source is at its limit: which
    /// is depends most on what differs.
    pub(super) fn follow(&mut self, amps: &[Ampere], runs: impl Fn(u32) -> bool) {
        let flowed = |number: u32| amps.get(number as usize).map_or(0.0, |amps| amps.get());
        for number in self.inputs.clone() {
            let BranchKind::ConverterInput { output, .. } = self.kind(number) else { continue };
            if runs(number) {
                self.held_off.set(output, false);
                self.enter(output, Behaviour::Conducts);
                self.enter(number, Behaviour::Draws);
                self.given.set(number, flowed(number));
            }
        }
        let mut blocking = Vec::new();
        for number in self.one_way.clone() {
            if self.held_off.at(number) {
                continue;
            }
            if flowed(number) > 0.0 {
                self.enter(number, Behaviour::Conducts);
            } else {
                self.enter(number, Behaviour::Off);
                blocking.push(number);
            }
        }
        // Of sources in a row one that blocks is enough: what is between two of them would hang in the air.
        let mut joined = UnionFind::<u32>::new(self.circuit.nodes as usize);
        for (branch, number) in self.circuit.branches.iter().zip(0..) {
            if self.joins(number) {
                let _ = joined.try_union(branch.from, branch.to);
            }
        }
        for number in blocking.into_iter().rev() {
            let Some(branch) = self.circuit.branches.get(number as usize) else { continue };
            let is_source = matches!(branch.kind, BranchKind::Source { .. });
            if is_source && joined.try_union(branch.from, branch.to).unwrap_or(false) {
                self.enter(number, Behaviour::Conducts);
            }
        }
        for number in self.loads.clone() {
            self.given.set(number, flowed(number));
        }
    }

    /// Moves the contacts of a coil.
    pub(super) fn switch_contacts(&mut self) {
        for contact in self.contacts.clone() {
            let BranchKind::RelayContact { coil, closed_when_energised, .. } = self.kind(contact) else { continue };
            let behaviour = if self.energised.at(coil) == closed_when_energised { Behaviour::Conducts } else { Behaviour::Off };
            if self.behaviour(contact) != behaviour {
                self.enter(contact, behaviour);
            }
        }
    }
}

/// The branches of these, ascending.
fn numbers(refused: &[Refusal]) -> Vec<u32> {
    let mut numbers: Vec<u32> = refused.iter().map(|refusal| refusal.branch).collect();
    numbers.sort_unstable();
    numbers
}
