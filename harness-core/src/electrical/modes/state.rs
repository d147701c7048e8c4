//! What flows in one mode.

use super::joints::{adrift, conducting, fed, is_exact, shorted};
use crate::{
    arena::IdVec,
    circuit::{BranchKind, Circuit, Operating, solve::Solver},
    electrical::conductors::{installation::Installation, passing::Passing, thermal::Warming},
    model::{ModeId, PointId, WireId},
    network::{Edge, EdgeId, Network},
    quantity::{Ampere, Celsius, Volt},
};

/// Share of its voltage down to which a load keeps its current.
const KEPT: f64 = 0.5;
/// Current from which a conductor counts as loaded.
const LOADED: f64 = 1e-6;

/// A coil or a converter input that changes over because of what its own change does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// The coil, or the input of the converter.
    pub edge: EdgeId,
    /// The voltage that makes the relay pull in or the converter start.
    pub off: Volt,
    /// The voltage that is left then: the relay drops out, or the converter stops.
    pub on: Volt,
}

/// The state of charge that a mode is computed for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Charged {
    /// Batteries at the open-circuit voltage that the design gives.
    #[default]
    AsGiven,
    /// Batteries on charge are flat and take what the charger gives.
    Flat,
    /// Batteries on charge are full and take nothing.
    Full,
}

/// What flows in one mode.
///
/// Where no steady state was found ([`ModeState::is_adrift`]) there are no figures: currents and voltages read as zero, and no
/// verdict rests on them.
#[derive(Debug)]
pub struct ModeState {
    /// The mode.
    pub id: ModeId,
    /// The state of charge of batteries that are on charge in it.
    pub battery: Charged,
    amps: IdVec<EdgeId, Ampere>,
    volts: IdVec<PointId, Volt>,
    live: IdVec<PointId, bool>,
    conducts: IdVec<EdgeId, bool>,
    /// Points that closed contacts and fuses join to the positive pole of a source.
    fed: IdVec<PointId, bool>,
    /// Currents that do not last.
    passing: Passing,
    /// Temperature of each wire in degC, infinite where it has no steady one.
    heat: IdVec<WireId, f64>,
    /// Whether currents and temperatures agree with each other.
    pub at_rest: bool,
    /// Points whose island holds a shorted source; `None` where there is no short.
    shorted: Option<IdVec<PointId, bool>>,
    /// Edges whose state did not settle: a relay that opens its own coil's supply, for example.
    pub unsettled: Vec<EdgeId>,
    /// What makes the coils and converter inputs among them change over and back.
    pub swings: Vec<Swing>,
    /// Coils and converter inputs that are on in one state of rest of their circuit and off in another: it counts as unsettled.
    pub contested: Vec<EdgeId>,
    /// Those of the unsettled edges of which it is not known that their circuit has no state of rest.
    pub unexplored: Vec<EdgeId>,
    /// Per point: the circuit without a steady state that it belongs to, counted from one, or zero; `None` where everything settled.
    adrift: Option<IdVec<PointId, u32>>,
    /// Elements that could not be computed with and were left out.
    pub refused: Vec<EdgeId>,
    /// Loads that run in this mode and whose terminals nothing but loads joins.
    pub no_return: Vec<EdgeId>,
    /// Coils that hold their contacts moved, in order.
    pub energised: Vec<EdgeId>,
    /// Sources that give their limit, in order: what they feed asks for more.
    pub limiting: Vec<EdgeId>,
    /// Worst relative error of Kirchhoff's laws.
    pub residual: f64,
}

impl ModeState {
    /// Current in an edge, positive from its first point to its second.
    #[must_use]
    pub fn amps(&self, edge: EdgeId) -> Ampere {
        self.amps[edge]
    }

    /// Current in an edge while the design does what it is meant to: none where a source of the island is shorted.
    ///
    /// A short is one fault of its own; the currents that it drives say nothing about conductors, contacts and fuses.
    #[must_use]
    pub fn working_amps(&self, edge: EdgeId, at: &Edge) -> Ampere {
        if self.is_shorted(at.a) { Ampere::default() } else { self.amps(edge) }
    }

    /// Whether a source that is joined to the point has its own poles joined.
    #[must_use]
    pub fn is_shorted(&self, point: PointId) -> bool {
        self.shorted.as_ref().is_some_and(|shorted| shorted[point])
    }

    /// Whether no steady state was found for what the point is joined to: it has no figures, and no verdict is due.
    #[must_use]
    pub fn is_adrift(&self, point: PointId) -> bool {
        self.circuit_adrift(point).is_some()
    }

    /// Which of the circuits without a steady state the point belongs to; `None` where it has one.
    #[must_use]
    pub fn circuit_adrift(&self, point: PointId) -> Option<u32> {
        self.adrift.as_ref().map(|adrift| adrift[point]).filter(|circuit| *circuit > 0)
    }

    /// Steady temperature of a conductor; `None` where it has none: it warms without end.
    ///
    /// A conductor whose size or surroundings nothing gives is as warm as the air around it, else as the policy's ambient,
    /// else 20 degC.
    #[must_use]
    pub fn temperature(&self, wire: WireId) -> Option<Celsius> {
        Some(self.heat(wire)).filter(|at| at.is_finite()).map(Celsius::new)
    }

    /// The same in degC, infinite where there is no steady temperature.
    pub(in crate::electrical) fn heat(&self, wire: WireId) -> f64 {
        self.heat[wire]
    }

    /// Whether the starter of an engine turns.
    #[must_use]
    pub fn starts(&self) -> bool {
        self.passing.starts()
    }

    /// What starters take through a wire: it lasts for seconds and heats nothing for long.
    #[must_use]
    pub fn starter_amps(&self, wire: WireId) -> Ampere {
        self.passing.of_starters(wire)
    }

    /// What a fuse ends within minutes in a wire.
    #[must_use]
    pub fn opened_amps(&self, wire: WireId) -> Ampere {
        self.passing.of_fuses(wire)
    }

    /// What does not last in a wire: the current of starters, and what a fuse ends within minutes.
    #[must_use]
    pub fn passing_amps(&self, wire: WireId) -> Ampere {
        self.passing.of(wire)
    }

    /// Voltage of a point against the reference of its island.
    #[must_use]
    pub fn volts(&self, point: PointId) -> Volt {
        self.volts[point]
    }

    /// Whether a source that is on is joined to the point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.live[point]
    }

    /// Whether closed contacts and fuses join the point to the pole of a source that is on and not to its other pole alone: a load
    /// there can be switched on, whether it draws now or not.
    #[must_use]
    pub fn is_fed(&self, point: PointId) -> bool {
        self.fed[point]
    }

    /// Whether an edge is closed in this mode: metal, a closed switch or contact, a fitted fuse, a conducting diode, a
    /// source that is on, a load that runs. An open edge carries nothing.
    #[must_use]
    pub fn conducts(&self, edge: EdgeId) -> bool {
        self.conducts[edge]
    }

    /// Whether Kirchhoff's laws hold to one part in a thousand million.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        is_exact(self.residual)
    }

    /// Whether every relay, diode and source came to rest, nothing was left out, and the figures are exact.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.unsettled.is_empty() && self.refused.is_empty() && self.is_exact()
    }

    /// How many wires carry current.
    #[must_use]
    pub(in crate::electrical) fn loaded_wires(&self, network: &Network) -> usize {
        network.edges().filter(|(id, edge)| edge.wire().is_some() && self.amps(*id).get().abs() > LOADED).count()
    }
}

/// From where the search for what flows begins.
#[derive(Clone, Copy)]
pub(in crate::electrical) enum Beginning<'a> {
    /// From nothing but these coils energised.
    Coils(&'a [u32]),
    /// From what flows in this state of the same mode.
    State(&'a ModeState),
}

/// How far a search goes for a circuit that goes round in circles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::electrical) enum Patience {
    /// Until relays and converters were moved in every order.
    Whole,
    /// No further: whoever asks has other values to try.
    Straight,
}

/// What flows in `mode`, in the circuit that the design is then, each conductor as warm as its current makes it.
pub(in crate::electrical) fn solve(
    network: &Network,
    installation: &Installation,
    mode: ModeId,
    circuit: &Circuit,
    beginning: Beginning<'_>,
    patience: Patience,
) -> ModeState {
    let mut solver = match beginning {
        Beginning::Coils(energised) => Solver::new(circuit, energised),
        Beginning::State(state) => {
            let energised: Vec<u32> = state.energised.iter().map(|coil| coil.0).collect();
            let mut solver = Solver::new(circuit, &energised);
            if state.is_settled() && !is_starving(network, circuit, state) {
                let runs = |input: u32| match circuit.branches.get(input as usize).map(|branch| branch.kind) {
                    Some(BranchKind::ConverterInput { output, .. }) => state.conducts(EdgeId(output)),
                    _ => false,
                };
                solver.follow(state.amps.items(), runs);
            }
            solver
        }
    };
    if patience == Patience::Straight {
        solver.stop_at_circles();
    }
    let mut warming = Warming::new(installation, mode);
    let mut closed: IdVec<EdgeId, bool> = IdVec::new();
    let mut shorts: Option<IdVec<PointId, bool>> = None;
    let mut energised: IdVec<EdgeId, bool>;
    let (operating, flowing, adrift) = loop {
        solver.run();
        let mut operating = solver.operating();
        let flowing: IdVec<EdgeId, Ampere> = std::mem::take(&mut operating.amps).into();
        energised = std::mem::take(&mut operating.energised).into();
        let conducts = conducting(circuit, &energised, &operating.converting, &flowing);
        if closed != conducts {
            shorts = shorted(network, circuit, &conducts, &operating.island);
            closed = conducts;
        }
        let adrift = adrift(circuit, &operating);
        let has_none = |point: PointId| {
            shorts.as_ref().is_some_and(|shorts| shorts[point]) || adrift.as_ref().is_some_and(|adrift| adrift[point] > 0)
        };
        let amps = |id: EdgeId, edge: &Edge| if has_none(edge.a) { Ampere::ZERO } else { flowing[id] };
        // A mode that does not settle would be searched in vain once more.
        if !warming.takes(network, &mut solver, amps) || !operating.unsettled.is_empty() {
            break (operating, flowing, adrift);
        }
    };
    let (heat, at_rest) = (warming.found, warming.at_rest);
    read(network, circuit, Found { mode, operating, flowing, energised, closed, shorts, adrift }, heat, at_rest)
}

impl ModeState {
    /// The state that follows from this one in a circuit that was altered: its operating state as it was found, conductors as warm as here.
    pub(in crate::electrical) fn followed_by(&self, network: &Network, circuit: &Circuit, mut operating: Operating) -> Self {
        let flowing: IdVec<EdgeId, Ampere> = std::mem::take(&mut operating.amps).into();
        let energised: IdVec<EdgeId, bool> = std::mem::take(&mut operating.energised).into();
        let closed = conducting(circuit, &energised, &operating.converting, &flowing);
        let shorts = shorted(network, circuit, &closed, &operating.island);
        let adrift = adrift(circuit, &operating);
        let found = Found { mode: self.id, operating, flowing, energised, closed, shorts, adrift };
        read(network, circuit, found, self.heat.clone(), self.at_rest)
    }
}

/// What a search found, and what follows from it.
struct Found {
    mode: ModeId,
    operating: Operating,
    flowing: IdVec<EdgeId, Ampere>,
    energised: IdVec<EdgeId, bool>,
    closed: IdVec<EdgeId, bool>,
    shorts: Option<IdVec<PointId, bool>>,
    adrift: Option<IdVec<PointId, u32>>,
}

/// The state of a mode as it is kept: without figures where it has none.
fn read(network: &Network, circuit: &Circuit, found: Found, heat: IdVec<WireId, f64>, at_rest: bool) -> ModeState {
    let Found { mode, mut operating, mut flowing, energised, closed, shorts, adrift } = found;
    let mut energised: Vec<EdgeId> = energised.iter().filter(|(_, on)| **on).map(|(coil, _)| coil).collect();
    if let Some(adrift) = &adrift {
        let settles = |edge: u32| adrift[network[EdgeId(edge)].a] == 0;
        energised.retain(|coil| settles(coil.0));
        operating.limiting.retain(|source| settles(*source));
        operating.no_return.retain(|load| settles(*load));
        for (id, edge) in network.edges().filter(|(_, edge)| adrift[edge.a] > 0) {
            flowing[id] = Ampere::ZERO;
            for point in [edge.a, edge.b] {
                if let Some(volts) = operating.volts.get_mut(point.index()) {
                    *volts = Volt::ZERO;
                }
            }
        }
    }
    let is_shorted = |point: PointId| shorts.as_ref().is_some_and(|shorts| shorts[point]);
    let passing = Passing::new(network, |id| if is_shorted(network[id].a) { Ampere::ZERO } else { flowing[id] });
    let edges = |list: Vec<u32>| list.into_iter().map(EdgeId).collect();
    let swings = operating.swings.iter().map(|swing| Swing { edge: EdgeId(swing.branch), off: swing.off, on: swing.on });
    ModeState {
        id: mode,
        battery: Charged::AsGiven,
        amps: flowing,
        swings: swings.collect(),
        volts: operating.volts.into(),
        live: operating.live.into(),
        fed: fed(network, circuit, &closed),
        passing,
        conducts: closed,
        at_rest: at_rest || !operating.unsettled.is_empty(),
        heat,
        shorted: shorts,
        adrift,
        unsettled: edges(operating.unsettled),
        contested: edges(operating.contested),
        unexplored: edges(operating.unexplored),
        refused: operating.refused.iter().map(|refusal| EdgeId(refusal.branch)).collect(),
        no_return: edges(operating.no_return),
        energised,
        limiting: edges(operating.limiting),
        residual: operating.residual,
    }
}

/// Whether a load that runs gets less than the voltage down to which it keeps its current: such a state says little of what comes next.
fn is_starving(network: &Network, circuit: &Circuit, state: &ModeState) -> bool {
    circuit.branches.iter().zip(network.edges()).any(|(branch, (_, edge))| match branch.kind {
        BranchKind::CurrentLoad { nominal, .. } | BranchKind::PowerLoad { nominal, .. } => {
            let across = (state.volts(edge.a) - state.volts(edge.b)).abs();
            state.is_live(edge.a) && across.get() < KEPT * nominal.get()
        }
        BranchKind::Open | BranchKind::Resistance(_) | BranchKind::Source { .. } | BranchKind::Diode { .. } => false,
        BranchKind::Coil { .. } | BranchKind::RelayContact { .. } | BranchKind::ConverterInput { .. } => false,
    })
}
