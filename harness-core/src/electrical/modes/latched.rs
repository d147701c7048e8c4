//! Second states of rest: coils that would stay in, had they been energised before the mode began.
//!
//! Owns the comparison of the two states. A coil between the voltage at which it holds and the one at which it pulls in stays as
//! it was, so each mode is solved again from every set of coils that another mode leaves energised.
//!
//! Cost: for each mode and each such set a pass over the edges, and a solution where a coil of the set that the mode itself does not
//! energise has a loop to carry current in. A coil behind an open switch has none, so most modes are not solved again.

use super::{
    adapting,
    branches::Maker,
    state::{Beginning, ModeState},
};
use crate::{
    arena::IdVec,
    circuit::{BranchKind, Circuit},
    electrical::conductors::installation::Installation,
    model::{ModeId, PointId},
    network::{Components, Edge, EdgeId, Network},
};
use rustc_hash::FxHashSet;

/// Sets of coils from which each mode is solved again; more are taken for one.
const MOST_STARTS: usize = 8;

/// A second state of rest of a mode.
#[derive(Debug)]
pub struct Latched {
    /// The mode after which it is reached.
    pub after: ModeId,
    /// The state, of the mode that it belongs to.
    pub state: ModeState,
    /// Coils that are energised in it and not in the first state of the mode; at least one.
    pub coils: Vec<LatchedCoil>,
}

/// A coil that stays in.
#[derive(Debug, Clone, Copy)]
pub struct LatchedCoil {
    /// Its edge.
    pub edge: EdgeId,
    /// How its voltage reaches it.
    pub by: HeldBy,
}

/// How the voltage of a coil that stays in reaches it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeldBy {
    /// Through a load or a resistor.
    Load,
    /// Over closed conductors, past the contact of a coil that stays in through a load.
    Behind,
    /// Over closed conductors alone, as where a relay is made to hold itself.
    Own,
}

/// All second states of rest of `modes`.
pub(in crate::electrical) fn latched(
    network: &Network,
    installation: &Installation,
    maker: &Maker<'_>,
    modes: &[ModeState],
) -> Vec<Latched> {
    let starts = starts(modes);
    let mut found = Vec::new();
    for first in modes {
        let adds = |start: &&Start| start.coils.iter().any(|coil| first.energised.binary_search(coil).is_err());
        let starts: Vec<&Start> = starts.iter().filter(adds).collect();
        if starts.is_empty() {
            continue;
        }
        let circuit = maker.circuit(first.id);
        let loops = Loops::new(network, &circuit);
        let starts = starts
            .into_iter()
            .filter(|start| start.coils.iter().any(|coil| loops.hold(*coil) && first.energised.binary_search(coil).is_err()));
        let mut known: FxHashSet<EdgeId> = first.energised.iter().copied().collect();
        for start in starts {
            let energised: Vec<u32> = start.coils.iter().map(|coil| coil.0).collect();
            let state = adapting::solve(network, installation, first.id, &circuit, Beginning::Coils(&energised));
            let coils: Vec<EdgeId> = state.energised.iter().copied().filter(|coil| known.insert(*coil)).collect();
            if coils.is_empty() {
                continue;
            }
            let coils = coils_of(network, &circuit, &state, coils);
            found.push(Latched { after: start.after, state, coils });
        }
    }
    found
}

struct Start {
    after: ModeId,
    coils: Vec<EdgeId>,
}

/// Which edges are in a loop, with every contact closed: what hangs on one point alone carries nothing.
struct Loops {
    cut: IdVec<EdgeId, bool>,
}

impl Loops {
    /// Takes off dead ends until none is left. Cost: linear in the edges.
    fn new(network: &Network, circuit: &Circuit) -> Self {
        let open = circuit.branches.iter().map(|branch| matches!(branch.kind, BranchKind::Open));
        let mut cut: IdVec<EdgeId, bool> = open.collect();
        let mut degrees: IdVec<PointId, u32> = IdVec::of(0, network.point_count());
        for (_, edge) in network.edges().filter(|(id, _)| !cut[*id]) {
            degrees[edge.a] += 1;
            degrees[edge.b] += 1;
        }
        let mut waiting: Vec<PointId> = degrees.iter().filter(|(_, degree)| **degree == 1).map(|(point, _)| point).collect();
        while let Some(point) = waiting.pop() {
            for (id, _, other) in network.around(point) {
                if std::mem::replace(&mut cut[id], true) {
                    continue;
                }
                let degree = &mut degrees[other];
                *degree = degree.saturating_sub(1);
                if *degree == 1 {
                    waiting.push(other);
                }
            }
        }
        Self { cut }
    }

    fn hold(&self, edge: EdgeId) -> bool {
        !self.cut[edge]
    }
}

/// The different sets of coils that modes leave energised, each with the first mode that does.
fn starts(modes: &[ModeState]) -> Vec<Start> {
    let mut starts: Vec<Start> = Vec::new();
    for mode in modes.iter().filter(|mode| !mode.energised.is_empty()) {
        if !starts.iter().any(|start| start.coils == mode.energised) {
            starts.push(Start { after: mode.id, coils: mode.energised.clone() });
        }
    }
    if starts.len() > MOST_STARTS {
        let mut coils: Vec<EdgeId> = starts.iter().flat_map(|start| start.coils.iter().copied()).collect();
        coils.sort_unstable();
        coils.dedup();
        starts.truncate(1);
        for start in &mut starts {
            start.coils.clone_from(&coils);
        }
    }
    starts
}

fn coils_of(network: &Network, circuit: &Circuit, state: &ModeState, coils: Vec<EdgeId>) -> Vec<LatchedCoil> {
    let kinds: IdVec<EdgeId, BranchKind> = circuit.branches.iter().map(|branch| branch.kind).collect();
    // What closed conductors join, past no contact of these coils.
    let lumps = |without: &[EdgeId]| {
        network.components(|id: EdgeId, edge: &Edge| {
            let passes = match kinds[id] {
                BranchKind::Resistance(_) => edge.role.conducts_when_closed(),
                BranchKind::RelayContact { coil, .. } => without.binary_search(&EdgeId(coil)).is_err(),
                BranchKind::Source { .. } | BranchKind::Diode { .. } => true,
                BranchKind::Open | BranchKind::Coil { .. } | BranchKind::ConverterInput { .. } => false,
                BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } => false,
            };
            passes && state.conducts(id)
        })
    };
    let joined = |lumps: &Components, id: &EdgeId| lumps.of(network[*id].a) == lumps.of(network[*id].b);
    let all = lumps(&[]);
    let (direct, through): (Vec<EdgeId>, Vec<EdgeId>) = coils.iter().partition(|id| joined(&all, id));
    let own = if through.is_empty() { all } else { lumps(&through) };
    let by = |id: EdgeId| match (direct.binary_search(&id).is_ok(), joined(&own, &id)) {
        (false, _) => HeldBy::Load,
        (true, false) => HeldBy::Behind,
        (true, true) => HeldBy::Own,
    };
    coils.into_iter().map(|edge| LatchedCoil { edge, by: by(edge) }).collect()
}
