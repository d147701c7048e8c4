//! Modes once more, on demand: with something opened, closed, replaced or joined, and what shorts do in one of them.
//!
//! Owns the vocabulary of changes ([`Change`]) and the design with many of them: whoever asks "and if all this were open?" gets the whole state
//! that the mode comes to. [`altered`](super::altered) answers for one small change after the other. Coils, converters and diodes follow. What a person does to open an edge (a plug pulled, a lid lifted) is the asker's matter.

use super::{
    Electrical, Faults, ModeState,
    faults::Pass,
    modes::{adapting, branches::Maker, is_exact, state::Beginning},
};
use crate::{
    circuit::{BranchKind, Circuit, altered::Alteration, solve::solve},
    model::{ModeId, PointId},
    network::EdgeId,
    quantity::{Ohm, Volt},
    standards::contact,
};

/// A change of a design, small enough that a person or a fault makes it at once.
///
/// There is one vocabulary of changes, whoever asks: [`Electrical::altered`] gives the whole state, [`Electrical::probe`] voltages,
/// [`Rest::with`] what differs.
///
/// [`Rest::with`]: super::altered::Rest::with
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// An edge conducts nothing: a contact apart, a wire cut, a fuse blown.
    Open(EdgeId),
    /// An edge conducts though its coil or its mode opens it: a welded contact, a disconnect that was left in.
    Closed(EdgeId),
    /// A resistor is in the place of an edge.
    Resistor(EdgeId, Ohm),
    /// An edge has so much more resistance: a contact is corroded.
    Raised(EdgeId, Ohm),
    /// Two points are joined by this resistance: water, a strand, a test lead, the coded resistor of a plug.
    Joined(PointId, PointId, Ohm),
    /// A source from outside, such as a charging station.
    Fed {
        /// Its negative pole.
        negative: PointId,
        /// Its positive pole.
        positive: PointId,
        /// Its open-circuit voltage.
        emf: Volt,
        /// Its resistance.
        resistance: Ohm,
    },
    /// A coil has lost its supply: its contacts are as without current.
    Released(EdgeId),
}

impl Change {
    /// The edge that is altered; `None` where something comes between two points.
    #[must_use]
    pub const fn edge(self) -> Option<EdgeId> {
        match self {
            Self::Open(edge) | Self::Closed(edge) | Self::Resistor(edge, _) | Self::Raised(edge, _) | Self::Released(edge) => {
                Some(edge)
            }
            Self::Joined(..) | Self::Fed { .. } => None,
        }
    }

    /// What it is in a circuit of the design; `None` if it is nothing there: an edge that is open opens, what is closed is closed.
    #[must_use]
    pub fn in_circuit(self, circuit: &Circuit) -> Option<Alteration> {
        let kind = |edge: EdgeId| circuit.branches.get(edge.index()).map(|branch| branch.kind);
        let becomes = |edge: EdgeId, kind: BranchKind| Some(Alteration::Becomes { branch: edge.0, kind });
        let joins = |one: PointId, other: PointId, kind: BranchKind| {
            Some(Alteration::Joins { from: one.index() as u32, to: other.index() as u32, kind })
        };
        match self {
            Self::Open(edge) => match kind(edge)? {
                BranchKind::Open => None,
                _ => becomes(edge, BranchKind::Open),
            },
            Self::Closed(edge) => match kind(edge)? {
                BranchKind::Resistance(_) => None,
                BranchKind::RelayContact { resistance, .. } => becomes(edge, BranchKind::Resistance(resistance)),
                _ => becomes(edge, BranchKind::Resistance(contact::closed_resistance().value)),
            },
            Self::Resistor(edge, ohms) => becomes(edge, BranchKind::Resistance(ohms)),
            Self::Raised(edge, ohms) => match kind(edge)? {
                BranchKind::Resistance(own) => becomes(edge, BranchKind::Resistance(own + ohms)),
                BranchKind::RelayContact { coil, closed_when_energised, resistance } => {
                    becomes(edge, BranchKind::RelayContact { coil, closed_when_energised, resistance: resistance + ohms })
                }
                _ => None,
            },
            Self::Joined(one, other, ohms) => joins(one, other, BranchKind::Resistance(ohms)),
            Self::Fed { negative, positive, emf, resistance } => {
                joins(negative, positive, BranchKind::Source { emf, resistance, limit: None })
            }
            Self::Released(coil) => match kind(coil)? {
                BranchKind::Coil { .. } => becomes(coil, BranchKind::Open),
                _ => None,
            },
        }
    }
}

/// Makes changes in a circuit, one after the other.
pub(super) fn make(circuit: &mut Circuit, changes: &[Change]) {
    for change in changes {
        if let Some(alteration) = change.in_circuit(circuit) {
            alteration.make(circuit);
        }
    }
}

/// Share of the voltage of a capacitor, per ohm, below which a current through a discharge path is rounding.
const NOTHING: f64 = 1e-12;
/// Resistance in ohm of what takes the place of a charged capacitor.
const STIFF: f64 = 1e-3;

impl Electrical {
    /// What shorts do in one mode alone, of those that were computed.
    #[must_use]
    pub fn faults_in(&self, mode: ModeId) -> Option<Faults> {
        let state = self.in_mode(mode)?;
        let circuit = self.maker().circuit(mode);
        let mut pass = Pass::new(&self.network, &self.domains, &self.protection);
        pass.mode(&circuit, state, self.beside.of(mode)?);
        Some(pass.finish())
    }

    /// What makes the circuit of a mode, from what is known of its domains.
    pub(in crate::electrical) fn maker(&self) -> Maker<'_> {
        Maker::knowing(&self.network, &self.installation, self.domains.clone(), self.nominals.clone())
    }

    /// The state of a mode; `None` for one that was not computed.
    #[must_use]
    pub fn in_mode(&self, mode: ModeId) -> Option<&ModeState> {
        self.modes().find(|state| state.id == mode)
    }

    /// What flows in a mode once `changes` are made in it: coils that lose their supply let go, and those that get one pull in. The search
    /// begins with what flowed before, so a relay that holds itself stays in. `None` for a mode that was not computed.
    ///
    /// They are made one after the other; where two name one edge the last holds. Conductors stay as warm as they were. Cost: what the changes
    /// add to the state of rest, and a pass over the edges; a search from the start where no state of rest follows from that one.
    #[must_use]
    pub fn altered(&self, mode: ModeId, changes: &[Change]) -> Option<ModeState> {
        let (state, resting) = (self.in_mode(mode)?, self.resting(mode)?);
        let found = resting.with(changes).whole();
        // What is added to currents next to none may leave an error too large beside them.
        if found.unsettled.is_empty() && is_exact(found.residual) {
            let mut circuit = resting.circuit.clone();
            make(&mut circuit, changes);
            return Some(state.followed_by(&self.network, &circuit, found));
        }
        let circuit = self.altered_circuit(mode, changes);
        Some(adapting::solve(&self.network, &self.installation, mode, &circuit, Beginning::State(state)))
    }

    /// As [`altered`](Self::altered), of a design that wakes up with these changes made in it: nothing is energised before. Where no relay of the
    /// design stays in by itself, it is the same.
    ///
    /// Cost: as [`altered`](Self::altered); a search from the start where relays stay in by themselves.
    #[must_use]
    pub fn awoken(&self, mode: ModeId, changes: &[Change]) -> Option<ModeState> {
        if self.latched().is_empty() {
            return self.altered(mode, changes);
        }
        self.in_mode(mode)?;
        let circuit = self.altered_circuit(mode, changes);
        Some(adapting::solve(&self.network, &self.installation, mode, &circuit, Beginning::Coils(&[])))
    }

    /// The circuit of a mode with `changes` made in it.
    pub(in crate::electrical) fn altered_circuit(&self, mode: ModeId, changes: &[Change]) -> Circuit {
        let mut circuit = self.maker().circuit(mode);
        make(&mut circuit, changes);
        circuit
    }

    /// The voltage across each of `loads` in a mode in which they do not run, were each a resistor of the figure beside it; in their
    /// order. All of them are there at once. `None` for a mode that was not computed.
    ///
    /// Cost: one solution of the network.
    #[must_use]
    pub fn volts_across(&self, mode: ModeId, loads: &[(EdgeId, Ohm)]) -> Option<Vec<Volt>> {
        let changes: Vec<Change> = loads.iter().map(|(edge, ohms)| Change::Resistor(*edge, *ohms)).collect();
        let with = self.altered(mode, &changes)?;
        let network = &self.network;
        Some(loads.iter().map(|(id, _)| (with.volts(network[*id].a) - with.volts(network[*id].b)).abs()).collect())
    }

    /// The resistance through which a charged capacitor empties in `state`, which `changes` led to: resistors, windings and closed contacts
    /// count, sources and loads do not, for nobody knows down to which voltage a load draws. `None` where nothing empties it.
    ///
    /// Cost: one solution of a network without sources.
    #[must_use]
    pub fn discharge(&self, state: &ModeState, changes: &[Change], capacitor: EdgeId) -> Option<Ohm> {
        let mut circuit = self.altered_circuit(state.id, changes);
        for (branch, (id, _)) in circuit.branches.iter_mut().zip(self.network.edges()) {
            branch.kind = match branch.kind {
                BranchKind::RelayContact { resistance, .. } if state.conducts(id) => BranchKind::Resistance(resistance),
                BranchKind::Coil { resistance, .. } => BranchKind::Resistance(resistance),
                kind @ (BranchKind::Resistance(_) | BranchKind::Diode { .. }) => kind,
                BranchKind::Open | BranchKind::RelayContact { .. } | BranchKind::Source { .. } => BranchKind::Open,
                BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. } => {
                    BranchKind::Open
                }
            };
        }
        // A hundred volts, so that a diode on the way makes no difference.
        let emf = Volt::new(100.0);
        // The positive pole of a source is its second point.
        let branch = circuit.branches.get_mut(capacitor.index())?;
        branch.kind = BranchKind::Source { emf, resistance: Ohm::new(STIFF), limit: None };
        let amps = solve(&circuit).amps.get(capacitor.index())?.get().abs();
        (amps > NOTHING * emf.get()).then(|| Ohm::new(emf.get() / amps))
    }

    /// What a conductor, contact or fuse has between its points in a mode, cold; `None` for what is another thing then.
    ///
    /// Cost: a pass over the edges.
    #[must_use]
    pub fn resistances(&self, mode: ModeId) -> Vec<Option<Ohm>> {
        let circuit = self.maker().circuit(mode);
        let ohms = circuit.branches.iter().map(|branch| match branch.kind {
            BranchKind::Resistance(ohms) => Some(ohms),
            BranchKind::RelayContact { resistance, .. } => Some(resistance),
            BranchKind::Open | BranchKind::Source { .. } | BranchKind::Coil { .. } | BranchKind::Diode { .. } => None,
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. } => None,
        });
        ohms.collect()
    }
}
