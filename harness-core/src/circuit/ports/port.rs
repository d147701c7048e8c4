//! What a block gives at two of its nodes: a voltage that falls as more current is drawn, and the currents inside.
//!
//! Sources that limit and diodes make the fall a chain of straight pieces. Idea: begin with nothing drawn and raise the current;
//! between two changes of state everything is linear, so that two solutions (the sources alone, one ampere drawn) say at which
//! current the next source reaches its limit or the next diode turns, and so on until no more current is available.

use crate::circuit::{
    Branch, BranchKind, Circuit,
    solve::{self, Network, Plan, Table},
};
use petgraph::unionfind::UnionFind;

/// Changes of state after which a port is taken to give no more.
const MOST_PIECES: usize = 64;
/// Rounds after which the states at rest are left as they are.
const MOST_ROUNDS: u32 = 200;
/// Of these, those in which all that does not hold is turned.
const AT_ONCE: u32 = 8;
/// Resistance taken across all that is off or at its limit, where nothing else joins the two nodes: it lets the voltage fall at
/// next to no current, until a diode turns on or a source that was off delivers.
pub(super) const FALL: f64 = 1e9;
/// Resistance from which a piece counts as such a fall; a thousand elements may be in parallel.
pub(super) const LEAST_FALL: f64 = 1e-3 * FALL;
/// Relative slack of every comparison, so that rounding turns nothing.
const SLACK: f64 = 1e-9;

/// A piece of the characteristic, linear in the current.
#[derive(Debug, Clone, Default)]
pub(super) struct Piece {
    /// The current from which it holds.
    pub(super) from: f64,
    /// The voltage between the nodes at that current.
    pub(super) volts: f64,
    /// By how much it falls per ampere.
    pub(super) ohms: f64,
    /// Per branch of the block: its current at `from`.
    amps: Vec<f64>,
    /// Per branch: what each further ampere adds.
    shares: Vec<f64>,
}

/// What a block gives at two of its nodes.
#[derive(Debug, Clone, Default)]
pub(super) struct Port {
    /// The branches of the block.
    branches: Vec<u32>,
    /// Pieces with rising `from`, the first at no current.
    pieces: Vec<Piece>,
    /// The most that it gives; `None` where nothing limits it.
    most: Option<f64>,
}

impl Port {
    /// The piece `number` and the current at which it ends.
    pub(super) fn piece(&self, number: usize) -> Option<(&Piece, f64)> {
        let piece = self.pieces.get(number)?;
        let end = match self.pieces.get(number + 1) {
            Some(next) => next.from,
            None => self.most.unwrap_or(f64::INFINITY),
        };
        Some((piece, end))
    }

    /// How many numbers it holds.
    pub(super) fn weight(&self) -> usize {
        self.branches.len() * (1 + 2 * self.pieces.len())
    }

    /// The current in each branch of the block while `amps` are drawn, positive from its first node to its second.
    pub(super) fn each(&self, amps: f64, mut each: impl FnMut(u32, f64)) {
        let past = self.pieces.partition_point(|piece| piece.from <= amps);
        let Some(piece) = past.checked_sub(1).and_then(|number| self.pieces.get(number)) else { return };
        for ((&branch, &base), &share) in self.branches.iter().zip(&piece.amps).zip(&piece.shares) {
            each(branch, base + share * (amps - piece.from));
        }
    }

    /// The characteristic of the block `branches` of `circuit` at its nodes `draw` and `back`, with some branches opened. `rest` is what is
    /// known of the block while nothing is drawn.
    pub(super) fn new(
        circuit: &Circuit,
        branches: &[u32],
        (draw, back): (u32, u32),
        opened: &[u32],
        rest: &mut Option<Vec<State>>,
    ) -> Self {
        let mut port = Self { branches: branches.to_vec(), ..Self::default() };
        let Some(mut block) = Block::new(circuit, branches, (draw, back), opened) else {
            port.most = Some(0.0);
            return port;
        };
        block.states.clone_from(rest.get_or_insert_with(|| block.rest()));
        let mut from = 0.0;
        let mut settled = block.settle();
        let mut turned: Vec<(usize, f64)> = Vec::new();
        while port.pieces.len() < MOST_PIECES {
            let Some((mut now, more)) = settled.take().or_else(|| block.respond(from)) else {
                port.most = Some(from);
                return port;
            };
            // A fall passes the voltage that the piece before ends at a little before or after its current.
            if let (true, Some(last)) = (-more.volts > LEAST_FALL, port.pieces.last()) {
                from += (last.volts - last.ohms * (from - last.from) - now.volts) / more.volts;
                if let Some((shifted, _)) = block.respond(from) {
                    now = shifted;
                }
            }
            let (amps, shares) = (now.amps.list().to_vec(), more.amps.list().to_vec());
            let piece = Piece { from, volts: now.volts, ohms: -more.volts, amps, shares };
            // A state that changes at once leaves nothing of its piece.
            port.pieces.pop_if(|last| last.from >= from);
            port.pieces.push(piece);
            turned.retain(|(_, at)| *at >= from);
            let Some((place, state, at)) = block.next_change(&now, &more, from, &turned) else { return port };
            from = at.max(from);
            turned.push((place, from));
            block.set(place, state);
        }
        port.most = Some(from);
        port
    }
}

/// What a source or diode that only lets current one way does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum State {
    Off,
    Conducts,
    /// Delivers its limit whatever the voltage.
    Limits,
}

/// The answer of a block.
struct Answer {
    /// From the node at which current is drawn to the node to which it comes back.
    volts: f64,
    amps: Table<f64>,
    nodes: Table<f64>,
}

/// A block with nodes and branches numbered anew.
struct Block {
    circuit: Circuit,
    draw: u32,
    back: u32,
    states: Vec<State>,
    /// Places of the branches that only let current one way.
    one_way: Vec<usize>,
}

impl Block {
    /// `None` if the block has not both nodes.
    fn new(circuit: &Circuit, branches: &[u32], (draw, back): (u32, u32), opened: &[u32]) -> Option<Self> {
        let of = |branch: &u32| circuit.branches.get(*branch as usize);
        let mut nodes: Vec<u32> = branches.iter().filter_map(of).flat_map(|branch| [branch.from, branch.to]).collect();
        nodes.sort_unstable();
        nodes.dedup();
        let local = |node: u32| nodes.binary_search(&node).ok().map(|place| place as u32);
        let (draw, back) = (local(draw)?, local(back)?);
        let mut list = Vec::with_capacity(branches.len());
        for number in branches {
            let branch = of(number)?;
            let kind = if opened.contains(number) { BranchKind::Open } else { branch.kind };
            list.push(Branch { from: local(branch.from)?, to: local(branch.to)?, kind });
        }
        let one_way = list.iter().enumerate().filter(|(_, branch)| is_one_way(branch.kind)).map(|(place, _)| place).collect();
        let circuit = Circuit { nodes: nodes.len() as u32, branches: list, references: vec![back] };
        let states = vec![State::Conducts; circuit.branches.len()];
        Some(Self { circuit, draw, back, states, one_way })
    }

    /// The states while nothing is drawn.
    fn rest(&self) -> Vec<State> {
        let mut states = self.states.clone();
        if self.one_way.is_empty() {
            return states;
        }
        let rest = solve::solve(&self.circuit);
        for &place in &self.one_way {
            let Some(branch) = self.circuit.branches.get(place) else { continue };
            let amps = rest.amps.get(place).map_or(0.0, |amps| amps.get());
            let volts = |node: u32| rest.volts.get(node as usize).map_or(0.0, |volts| volts.get());
            let rise = volts(branch.to) - volts(branch.from);
            let state = match branch.kind {
                BranchKind::Source { limit: Some(limit), .. } if amps >= limit.get() * (1.0 - SLACK) => State::Limits,
                BranchKind::Source { emf, .. } if amps <= 0.0 && rise > emf.get() * (1.0 + SLACK) => State::Off,
                BranchKind::Diode { drop, .. } if amps <= 0.0 && -rise < drop.get() * (1.0 - SLACK) => State::Off,
                _ => State::Conducts,
            };
            if let Some(slot) = states.get_mut(place) {
                *slot = state;
            }
        }
        states
    }

    fn state(&self, place: usize) -> State {
        self.states.get(place).copied().unwrap_or(State::Off)
    }

    fn set(&mut self, place: usize, state: State) {
        if let Some(slot) = self.states.get_mut(place) {
            *slot = state;
        }
    }

    /// What the block does with `drawn` drawn, and what each further ampere adds; `None` if nothing joins the two nodes.
    fn respond(&self, drawn: f64) -> Option<(Answer, Answer)> {
        self.respond_with(drawn, None).or_else(|| self.respond_with(drawn, Some(FALL)))
    }

    /// As [`Self::respond`], with a resistance across all that is off or at its limit.
    fn respond_with(&self, drawn: f64, across: Option<f64>) -> Option<(Answer, Answer)> {
        let count = self.circuit.branches.len();
        let (mut ohms, mut emfs, mut given) = (Table::new(count), Table::<f64>::new(count), Table::<f64>::new(count));
        let mut conducting = Vec::with_capacity(count);
        for ((branch, &state), number) in self.circuit.branches.iter().zip(&self.states).zip(0..) {
            match (branch.kind, state) {
                (BranchKind::Resistance(resistance), _) => ohms.set(number, resistance.get()),
                (BranchKind::Source { limit: Some(limit), .. }, State::Limits) => {
                    given.set(number, limit.get());
                    let Some(across) = across else { continue };
                    ohms.set(number, across);
                }
                (BranchKind::Source { emf, resistance, .. }, State::Conducts) => {
                    ohms.set(number, resistance.get());
                    emfs.set(number, emf.get());
                }
                (BranchKind::Diode { drop, resistance }, State::Conducts) => {
                    ohms.set(number, resistance.get());
                    emfs.set(number, -drop.get());
                }
                (BranchKind::Source { .. } | BranchKind::Diode { .. }, _) => {
                    let Some(across) = across else { continue };
                    ohms.set(number, across);
                }
                _ => continue,
            }
            conducting.push(number);
        }
        let limiting = given.list().iter().zip(0..).filter(|(amps, _)| **amps != 0.0).map(|(_, number)| number);
        let ends = Table::of(self.circuit.branches.iter().map(|branch| (branch.from, branch.to)).collect());
        let root = self.roots(&ends, &conducting, limiting)?;
        let network = Network { ends: &ends, ohms: &ohms, emfs: &emfs };
        let mut plan = Plan::new(self.circuit.nodes, &conducting, &root, &network);

        let mut into = Table::<f64>::new(self.circuit.nodes as usize);
        for (branch, &amps) in self.circuit.branches.iter().zip(given.list()) {
            into.add(branch.from, -amps);
            into.add(branch.to, amps);
        }
        into.add(self.draw, -drawn);
        into.add(self.back, drawn);
        let mut now = self.answer(&mut plan, &network, into);
        for (&amps, number) in given.list().iter().zip(0..) {
            if amps != 0.0 {
                now.amps.set(number, amps);
            }
        }
        let quiet = Table::new(count);
        let network = Network { emfs: &quiet, ..network };
        let mut into = Table::<f64>::new(self.circuit.nodes as usize);
        into.add(self.draw, -1.0);
        into.add(self.back, 1.0);
        let more = self.answer(&mut plan, &network, into);
        Some((now, more))
    }

    fn answer(&self, plan: &mut Plan, network: &Network<'_>, mut into: Table<f64>) -> Answer {
        let mut nodes = Table::new(self.circuit.nodes as usize);
        let mut amps = Table::new(self.circuit.branches.len());
        plan.solve(network, &mut into, &mut nodes, &mut amps);
        Answer { volts: nodes.at(self.draw) - nodes.at(self.back), amps, nodes }
    }

    /// One node of each island that the conducting branches make.
    ///
    /// `None` if nothing joins the two nodes of the port, or those of a source that limits: its current has then no way back.
    fn roots(
        &self,
        ends: &Table<(u32, u32)>,
        conducting: &[u32],
        mut limiting: impl Iterator<Item = u32>,
    ) -> Option<Table<bool>> {
        let mut joined = UnionFind::<u32>::new(self.circuit.nodes as usize);
        for &branch in conducting {
            let (from, to) = ends.at(branch);
            let _ = joined.try_union(from, to);
        }
        let parted = |(a, b): (u32, u32)| joined.try_equiv(a, b) != Ok(true);
        if parted((self.draw, self.back)) || limiting.any(|branch| parted(ends.at(branch))) {
            return None;
        }
        let mut root = Table::<bool>::new(self.circuit.nodes as usize);
        let mut rooted = Table::<bool>::new(self.circuit.nodes as usize);
        let mut take = |node: u32| {
            let set = joined.try_find(node).unwrap_or(node);
            if !rooted.at(set) {
                rooted.set(set, true);
                root.set(node, true);
            }
        };
        take(self.back);
        (0..self.circuit.nodes).for_each(take);
        Some(root)
    }

    /// Corrects states that do not hold while nothing is drawn: where nodes float the state at rest leaves a choice, and a search
    /// that did not settle leaves more. All at once first, then one at a time. Gives what the states that hold answer to no current drawn.
    fn settle(&mut self) -> Option<(Answer, Answer)> {
        for round in 0..MOST_ROUNDS {
            let (now, more) = self.respond(0.0)?;
            let broken = self.one_way.iter().copied().filter_map(|place| {
                let least = -SLACK * (1.0 + now.volts.abs());
                let turned = self.conditions(place, &now, &more).into_iter().flatten().find(|(_, (value, _))| *value < least);
                Some((place, turned?.0))
            });
            let few = if round < AT_ONCE { usize::MAX } else { 1 };
            let broken: Vec<(usize, State)> = broken.take(few).collect();
            if broken.is_empty() {
                return Some((now, more));
            }
            for (place, state) in broken {
                self.set(place, state);
            }
        }
        None
    }

    /// What must hold for a branch to keep its state: values that are not negative, each with what a further ampere drawn adds
    /// and the state that follows it.
    fn conditions(&self, place: usize, now: &Answer, more: &Answer) -> [Option<(State, (f64, f64))>; 2] {
        let Some(branch) = self.circuit.branches.get(place) else { return [None; 2] };
        let number = place as u32;
        let amps = (now.amps.at(number), more.amps.at(number));
        let rise = |answer: &Answer| answer.nodes.at(branch.to) - answer.nodes.at(branch.from);
        let rise = (rise(now), rise(more));
        match (branch.kind, self.state(place)) {
            (BranchKind::Source { limit: Some(limit), .. }, State::Conducts) => {
                [Some((State::Off, amps)), Some((State::Limits, (limit.get() - amps.0, -amps.1)))]
            }
            (BranchKind::Source { emf, resistance, limit: Some(limit) }, State::Limits) => {
                let least = emf.get() - limit.get() * resistance.get();
                [Some((State::Conducts, (least - rise.0, -rise.1))), None]
            }
            (BranchKind::Source { emf, .. }, State::Off) => [Some((State::Conducts, (rise.0 - emf.get(), rise.1))), None],
            (BranchKind::Diode { .. }, State::Conducts) => [Some((State::Off, amps)), None],
            (BranchKind::Diode { drop, .. }, State::Off) => [Some((State::Conducts, (drop.get() + rise.0, rise.1))), None],
            _ => [None; 2],
        }
    }

    /// The next branch to change its state as the current rises from `from`, its new state, and the current at which it does.
    ///
    /// A branch that has just turned at this very current does not turn back at it.
    fn next_change(&self, now: &Answer, more: &Answer, from: f64, turned: &[(usize, f64)]) -> Option<(usize, State, f64)> {
        let mut next: Option<(usize, State, f64)> = None;
        for &place in &self.one_way {
            for (state, (value, slope)) in self.conditions(place, now, more).into_iter().flatten() {
                if slope >= -1e-15 {
                    continue;
                }
                let at = from + (value / -slope).max(0.0);
                let same = |(other, when): &(usize, f64)| *other == place && at <= when * (1.0 + SLACK) + 1e-12;
                if turned.iter().any(same) {
                    continue;
                }
                if next.is_none_or(|(_, _, best)| at < best) {
                    next = Some((place, state, at));
                }
            }
        }
        next
    }
}

fn is_one_way(kind: BranchKind) -> bool {
    matches!(kind, BranchKind::Source { limit: Some(_), .. } | BranchKind::Diode { .. })
}
