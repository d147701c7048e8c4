//! How many wires a cavity takes, and what a crowded one joins by mistake.

use super::{Facts, pins::PinAt, wire_ends::WireEnds};
use crate::{
    model::{End, EndKind, Housing, Model, PointId, Terminal},
    network::{NetId, Network},
    text::Span,
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Cavities with more wires than they take.
    ///
    /// Asked by the facts on signals and roles.
    #[must_use]
    pub fn crowded_cavities(&self) -> &CrowdedCavities {
        self.made.crowded_cavities.get_or_init(|| CrowdedCavities::new(self.network(), self.wire_ends()))
    }
}

/// How many wires a point of a loom end takes, and who says so.
#[derive(Debug)]
pub struct Room<'m> {
    /// Most wires; `None` where nothing says it.
    pub most: Option<u32>,
    /// The terminal in it, with the place that names it.
    pub terminal: Option<(&'m Terminal, Span)>,
    /// The housing.
    pub housing: Option<&'m Housing>,
}

/// The room at a cavity or ring. The terminal's number holds where it gives one, else the housing's, which is one where it says
/// nothing; of a connector without a housing it is not known, and a ring takes as many as its crimp was chosen for.
#[must_use]
pub fn room<'m>(model: &'m Model, end: &End, point: PointId) -> Room<'m> {
    let own = end.terminals.iter().find(|(at, _, _)| *at == point).map(|(_, terminal, span)| (*terminal, *span));
    let terminal = own.or(end.terminal).map(|(terminal, span)| (&model[terminal], span));
    let said = terminal.and_then(|(terminal, _)| terminal.max_wires).map(|at| at.value);
    let (housing, usual) = match end.kind {
        EndKind::Connector(housing) => {
            let housing = housing.map(|housing| &model[housing]);
            (housing, housing.map(|housing| housing.max_wires))
        }
        EndKind::Ring(_) | EndKind::Bare => (None, None),
    };
    Room { most: said.or(usual), terminal, housing }
}

/// Cavities with more wires than they take: what meets in them alone is their fault and no other.
#[derive(Debug)]
pub struct CrowdedCavities {
    /// With their nets, sorted.
    found: Vec<(NetId, PointId)>,
}

impl CrowdedCavities {
    /// Finds them. Cost: a pass over the cavities.
    fn new(network: &Network, ends: &WireEnds) -> Self {
        let model = network.model();
        let mut found = Vec::new();
        for (_, end) in model.ends().filter(|(_, end)| matches!(end.kind, EndKind::Connector(_))) {
            for point in end.points.iter() {
                let count = ends.wires(point).len();
                if count > 1 && room(model, end, point).most.is_some_and(|most| count > most as usize) {
                    found.push((network.net(point), point));
                }
            }
        }
        found.sort_unstable();
        Self { found }
    }

    /// Whether a net holds a crowded cavity.
    #[must_use]
    pub fn are_in(&self, net: NetId) -> bool {
        self.found.binary_search_by_key(&net, |(of, _)| *of).is_ok()
    }

    /// The pins of one net sorted into the pieces that it falls into once its crowded cavities join nothing.
    ///
    /// Cost: a walk over the net.
    #[must_use]
    pub fn pieces(&self, network: &Network, of: &[PinAt]) -> Vec<Vec<PinAt>> {
        let blocked = |point: PointId| self.found.binary_search(&(network.net(point), point)).is_ok();
        let mut piece_of: FxHashMap<PointId, usize> = FxHashMap::default();
        let mut pieces: Vec<Vec<PinAt>> = Vec::new();
        for pin in of {
            if let Some(piece) = piece_of.get(&pin.point).and_then(|at| pieces.get_mut(*at)) {
                piece.push(*pin);
                continue;
            }
            let mut waiting = vec![pin.point];
            piece_of.insert(pin.point, pieces.len());
            while let Some(point) = waiting.pop() {
                for (_, edge, other) in network.around(point) {
                    if edge.role.is_metal() && !blocked(other) && !piece_of.contains_key(&other) {
                        piece_of.insert(other, pieces.len());
                        waiting.push(other);
                    }
                }
            }
            pieces.push(vec![*pin]);
        }
        pieces
    }
}
