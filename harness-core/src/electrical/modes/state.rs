//! What flows in one mode.

use crate::{
    circuit::{BranchKind, Circuit, Operating, solve::Solver},
    electrical::conductors::thermal::{Installation, Warming},
    model::{ModeId, PointId, WireId},
    network::{Edge, EdgeId, Network, Terminal},
    quantity::{Ampere, Celsius, Volt},
};

/// Worst relative error of Kirchhoff's laws at which a mode counts as solved.
const WORST_RESIDUAL: f64 = 1e-9;
/// Resistance from which a resistor counts as a load and not as a joint.
const LEAST_LOAD: f64 = 0.5;
/// Current from which a conductor counts as loaded.
const LOADED: f64 = 1e-6;

/// What flows in one mode.
#[derive(Debug)]
pub struct ModeState {
    /// The mode.
    pub id: ModeId,
    amps: Vec<Ampere>,
    volts: Vec<Volt>,
    live: Vec<bool>,
    conducts: Vec<bool>,
    /// Temperature of each wire in degC, infinite where it has no steady one.
    heat: Vec<f64>,
    /// Whether currents and temperatures agree with each other.
    pub at_rest: bool,
    /// Points whose island holds a shorted source; empty where there is no short.
    shorted: Vec<bool>,
    /// Edges whose state did not settle: a relay that opens its own coil's supply, for example.
    pub unsettled: Vec<EdgeId>,
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
        self.amps.get(edge.index()).copied().unwrap_or_default()
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
        self.shorted.get(point.index()).copied().unwrap_or(false)
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
        self.heat.get(wire.index()).copied().unwrap_or_default()
    }

    /// Voltage of a point against the reference of its island.
    #[must_use]
    pub fn volts(&self, point: PointId) -> Volt {
        self.volts.get(point.index()).copied().unwrap_or_default()
    }

    /// Whether a source that is on is joined to the point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.live.get(point.index()).copied().unwrap_or(false)
    }

    /// Whether an edge is closed in this mode: metal, a closed switch or contact, a fitted fuse, a conducting diode, a
    /// source that is on, a load that runs. An open edge carries nothing.
    #[must_use]
    pub fn conducts(&self, edge: EdgeId) -> bool {
        self.conducts.get(edge.index()).copied().unwrap_or(false)
    }

    /// Whether Kirchhoff's laws hold to one part in a thousand million.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        self.residual <= WORST_RESIDUAL
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

/// What flows in `mode`, in the circuit that the design is then, each conductor as warm as its current makes it, if the mode
/// begins with these coils energised.
pub(in crate::electrical) fn solve(
    network: &Network,
    installation: &Installation,
    mode: ModeId,
    circuit: &Circuit,
    energised: &[u32],
) -> ModeState {
    let mut solver = Solver::new(circuit, energised);
    let mut warming = Warming::new(installation);
    let mut closed: Vec<bool> = Vec::new();
    let mut shorts: Vec<bool> = Vec::new();
    let operating = loop {
        solver.run();
        let operating = solver.operating();
        let conducts = conducting(circuit, &operating);
        if closed != conducts {
            shorts = shorted(network, circuit, &conducts, &operating.island);
            closed = conducts;
        }
        let amps = |id: EdgeId, edge: &Edge| match shorts.get(edge.a.index()) {
            Some(true) => Ampere::default(),
            _ => operating.amps.get(id.index()).copied().unwrap_or_default(),
        };
        // A mode that does not settle would be searched in vain once more.
        if !warming.takes(network, &mut solver, amps) || !operating.unsettled.is_empty() {
            break operating;
        }
    };
    let edges = |list: Vec<u32>| list.into_iter().map(EdgeId).collect();
    ModeState {
        id: mode,
        amps: operating.amps,
        volts: operating.volts,
        live: operating.live,
        conducts: closed,
        at_rest: warming.at_rest || !operating.unsettled.is_empty(),
        heat: warming.found,
        shorted: shorts,
        unsettled: edges(operating.unsettled),
        refused: operating.refused.iter().map(|refusal| EdgeId(refusal.branch)).collect(),
        no_return: edges(operating.no_return),
        energised: operating.energised.iter().zip(0..).filter(|(on, _)| **on).map(|(_, number)| EdgeId(number)).collect(),
        limiting: edges(operating.limiting),
        residual: operating.residual,
    }
}

/// Which branches are closed in the state that was found.
fn conducting(circuit: &Circuit, operating: &Operating) -> Vec<bool> {
    let conducts = circuit.branches.iter().enumerate().map(|(at, branch)| match branch.kind {
        BranchKind::Open => false,
        BranchKind::RelayContact { coil, closed_when_energised, .. } => {
            operating.energised.get(coil as usize).copied().unwrap_or(false) == closed_when_energised
        }
        BranchKind::Diode { .. } => operating.amps.get(at).is_some_and(|amps| amps.get() > 0.0),
        _ => true,
    });
    let mut conducts: Vec<bool> = conducts.collect();
    for (branch, &runs) in circuit.branches.iter().zip(&operating.converting) {
        // A converter that does not run has no output.
        if let (BranchKind::ConverterInput { output, .. }, false) = (branch.kind, runs)
            && let Some(slot) = conducts.get_mut(output as usize)
        {
            *slot = false;
        }
    }
    conducts
}

/// Marks the islands in which closed edges other than loads and sources join the two poles of a source.
fn shorted(network: &Network, circuit: &Circuit, conducts: &[bool], island: &[u32]) -> Vec<bool> {
    let joins = |id: EdgeId, edge: &Edge| {
        let closed = conducts.get(id.index()).copied().unwrap_or(false);
        let kind = circuit.branches.get(id.index()).map(|branch| branch.kind);
        let small = matches!(kind, Some(BranchKind::Resistance(_) | BranchKind::RelayContact { .. } | BranchKind::Diode { .. }));
        let resistor = edge.element().is_some_and(|(_, terminal)| terminal == Terminal::Whole)
            && matches!(kind, Some(BranchKind::Resistance(ohm)) if ohm.get() >= LEAST_LOAD);
        closed && small && !resistor
    };
    let lumps = network.components(joins);
    let shorts = network
        .edges()
        .zip(&circuit.branches)
        .filter(|((_, edge), branch)| matches!(branch.kind, BranchKind::Source { .. }) && lumps.of(edge.a) == lumps.of(edge.b));
    let mut islands: Vec<u32> = shorts.filter_map(|((_, edge), _)| island.get(edge.a.index()).copied()).collect();
    if islands.is_empty() {
        return Vec::new();
    }
    islands.sort_unstable();
    island.iter().map(|number| islands.binary_search(number).is_ok()).collect()
}
