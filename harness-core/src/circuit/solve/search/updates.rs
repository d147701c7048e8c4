//! A search that begins in a state of rest, after a few branches were altered.
//!
//! Idea: what flows now is what flowed at rest and what the changes add to it. The nodes were taken out at rest (`mesh`), so that a
//! changed branch costs the way to the last node and a solution one pass over the nodes; who is joined to whom is found anew only where
//! a branch that was on no loop opens, one between two pieces closes, or a source comes or goes. The search itself is the ordinary one:
//! loads, diodes, sources, relays and converters that contradict the voltages turn over until none does.
//!
//! Voltages are differences from those at rest, so that an error is one of the change and not of the whole.

use super::Search;
use crate::circuit::{
    BranchKind, Circuit, Refusal,
    ports::blocks::Blocks,
    solve::{
        check, draw,
        islands::Islands,
        mesh::{Mesh, Meshed},
        states::{Behaviour, Kept, States},
        table::Table,
    },
};

/// A state of rest of a circuit, from which searches begin.
#[derive(Debug)]
pub(in crate::circuit) struct Rest {
    kept: Kept,
    islands: Islands,
    volts: Table<f64>,
    amps: Table<f64>,
    most: Table<f64>,
    mesh: Mesh,
    /// What closed branches other than loads join.
    blocks: Blocks,
    /// Per branch: whether it is one of those, and whether its ends are apart without it.
    joins: Table<bool>,
    bridge: Table<bool>,
    /// Branches with a voltage of their own in islands without a source: what is at rest there is not what they ask for.
    idle: Vec<u32>,
}

/// What differs from a state of rest.
#[derive(Debug)]
pub(super) struct Updates<'r> {
    rest: &'r Rest,
    meshed: Meshed<'r>,
    /// Branches that are not as they were, or were not for a while, ascending.
    changed: Vec<u32>,
    /// By how much each node is above its voltage at rest.
    moved: Table<f64>,
    /// Whether the islands are those at rest.
    is_whole: bool,
}

impl Rest {
    /// The refused branches of a circuit that differs from this one in the branches that are `altered`, ascending.
    pub(in crate::circuit::solve) fn refusals(&self, circuit: &Circuit, altered: &[u32]) -> Vec<Refusal> {
        let mut numbers: Vec<u32> = altered.iter().copied().chain(self.kept.leaning()).collect();
        numbers.sort_unstable();
        numbers.dedup();
        check::refusals_among(circuit, numbers.into_iter())
    }

    fn conducts(&self, branch: u32) -> bool {
        matches!(self.kept.behaviour(branch), Behaviour::Conducts | Behaviour::Starves | Behaviour::Holds)
    }

    fn is_given(&self, branch: u32) -> bool {
        matches!(self.kept.behaviour(branch), Behaviour::Draws | Behaviour::Limits)
    }

    /// Whether a source is on, as far as its island goes.
    fn is_source_on(&self, branch: u32) -> bool {
        matches!(self.kept.behaviour(branch), Behaviour::Conducts | Behaviour::Limits)
    }
}

impl Updates<'_> {
    /// Takes over what was touched since the last time.
    fn take(&mut self, states: &mut States<'_>, ends: &Table<(u32, u32)>) {
        let touched = states.touched.as_mut().map(std::mem::take).unwrap_or_default();
        for branch in touched {
            if let Err(at) = self.changed.binary_search(&branch) {
                self.changed.insert(at, branch);
            }
            let siemens = if states.conducts(branch) { 1.0 / states.ohms.at(branch) } else { 0.0 };
            self.meshed.set(branch, ends.at(branch), siemens);
        }
        self.meshed.update();
    }

    /// Whether the islands at rest are still those of the network: at most one branch of a loop has opened, what has closed joins nothing
    /// new, and each source is as it was.
    fn keeps_islands(&self, circuit: &Circuit, states: &States<'_>) -> bool {
        if states.rescued {
            return false;
        }
        let mut opened = 0;
        for &branch in &self.changed {
            let kind = states.kind(branch);
            let at = circuit.branches.get(branch as usize).map_or((0, 0), |branch| (branch.from, branch.to));
            // A load that joined two islands and is gone.
            if self.rest.islands.bridging.at(branch) && matches!(kind, BranchKind::Open | BranchKind::Resistance(_)) {
                return false;
            }
            let (before, now) = (self.rest.joins.at(branch), states.joins(branch));
            if before && !now {
                opened += 1;
                if opened > 1 || self.rest.bridge.at(branch) {
                    return false;
                }
            }
            if now && !before && self.rest.blocks.island(at.0) != self.rest.blocks.island(at.1) {
                return false;
            }
            let is_on = matches!(states.behaviour(branch), Behaviour::Conducts | Behaviour::Limits);
            if matches!(kind, BranchKind::Source { .. }) && is_on != self.rest.is_source_on(branch) {
                return false;
            }
        }
        true
    }

    /// The islands, from what was joined at rest where at most one branch of a loop has opened: what is beyond a branch on no loop comes apart.
    fn islands(&self, circuit: &Circuit, states: &mut States<'_>) -> Islands {
        let blocks = &self.rest.blocks;
        let (mut opened, mut cuts, mut closed) = (0, Vec::new(), Vec::new());
        for &branch in &self.changed {
            let ends = circuit.branches.get(branch as usize).map_or((0, 0), |branch| (branch.from, branch.to));
            match (self.rest.joins.at(branch), states.joins(branch)) {
                (true, false) if self.rest.bridge.at(branch) => cuts.push(blocks.beyond(ends)),
                (true, false) => opened += 1,
                (false, true) => closed.push(branch),
                (true, true) | (false, false) => {}
            }
        }
        if opened > 1 {
            return Islands::find(circuit, states);
        }
        let mut pieces: Vec<u32> = (0..circuit.nodes).map(|node| blocks.island(node)).collect();
        // The outer of two comes first, and the inner one is a piece of its own.
        cuts.sort_unstable_by_key(|cut| cut.start);
        for (cut, piece) in cuts.into_iter().zip(circuit.nodes..) {
            for node in blocks.in_order().get(cut).unwrap_or_default() {
                if let Some(slot) = pieces.get_mut(*node as usize) {
                    *slot = piece;
                }
            }
        }
        Islands::of_pieces(circuit, states, pieces, &closed)
    }
}

impl<'a> Search<'a> {
    /// The state in which the search ended, for others to begin from.
    pub(in crate::circuit::solve) fn keep(&self) -> Rest {
        let states = &self.states;
        let numbers = 0..self.circuit.branches.len() as u32;
        let siemens = numbers.clone().map(|branch| if states.conducts(branch) { 1.0 / states.ohms.at(branch) } else { 0.0 });
        let joined: Vec<Option<(u32, u32)>> =
            numbers.clone().map(|branch| states.joins(branch).then(|| self.ends.at(branch))).collect();
        let blocks = Blocks::new(self.circuit.nodes, &joined);
        let mut bridge = Table::new(joined.len());
        for branch in blocks.bridges() {
            bridge.set(branch, true);
        }
        let is_idle = |branch: &u32| {
            states.conducts(*branch) && states.emfs.at(*branch) != 0.0 && !self.solution.islands.live_at(self.ends.at(*branch).0)
        };
        Rest {
            kept: states.keep(),
            islands: self.solution.islands.clone(),
            volts: self.solution.volts.clone(),
            amps: self.solution.amps.clone(),
            most: self.solution.most.clone(),
            mesh: Mesh::new(self.circuit.nodes, &self.ends, siemens.collect()),
            joins: Table::of(joined.iter().map(Option::is_some).collect()),
            blocks,
            bridge,
            idle: numbers.filter(is_idle).collect(),
        }
    }

    /// A search over a circuit that differs from that of a state of rest in the branches that are `altered`, ascending; further branches
    /// at the end of its list are among them.
    pub(in crate::circuit::solve) fn resume(circuit: &'a Circuit, refused: &[Refusal], rest: &'a Rest, altered: &[u32]) -> Self {
        let states = States::resume(circuit, refused, &rest.kept, altered);
        let mut search = Self::new(circuit, states);
        search.draws.settled = draw::NEAR;
        search.updates = Some(Updates {
            rest,
            meshed: Meshed::new(&rest.mesh),
            changed: rest.idle.clone(),
            moved: Table::new(circuit.nodes as usize),
            is_whole: false,
        });
        search
    }

    /// Solves the network for the behaviours and given currents as they are, from the state of rest; `false` if the search has none.
    pub(super) fn solve_by_updates(&mut self) -> bool {
        let Some(mut updates) = self.updates.take() else { return false };
        let circuit = self.circuit;
        if self.states.changed || self.states.retuned {
            updates.take(&mut self.states, &self.ends);
        }
        if self.states.changed {
            if updates.keeps_islands(circuit, &self.states) {
                if !updates.is_whole {
                    self.solution.islands = updates.rest.islands.clone();
                    self.solution.most = updates.rest.most.clone();
                }
                updates.is_whole = true;
            } else {
                self.solution.islands = updates.islands(circuit, &mut self.states);
                let most = updates.rest.most.list().iter().copied().fold(0.0, f64::max);
                self.solution.most = Table::of(vec![most; self.solution.islands.live.list().len()]);
                updates.is_whole = false;
                updates.take(&mut self.states, &self.ends);
            }
            self.draws.forget();
        }
        (self.states.changed, self.states.retuned) = (false, false);
        self.inject(&mut updates);
        updates.meshed.solve(&mut updates.moved);
        self.raise(&updates);
        let outputs = self.states.inputs().iter().filter_map(|input| match self.states.kind(*input) {
            BranchKind::ConverterInput { output, .. } => Some(output),
            _ => None,
        });
        let held = self.states.loads().iter().copied().filter(|load| self.states.conducts(*load));
        let asked: Vec<u32> = self.states.one_way().iter().copied().chain(outputs).chain(held).collect();
        for branch in asked {
            self.flow_by_updates(&updates, branch);
        }
        self.updates = Some(updates);
        true
    }

    /// Injects what the changes push into the nodes.
    fn inject(&mut self, updates: &mut Updates<'_>) {
        let (states, rest) = (&self.states, updates.rest);
        for &branch in &updates.changed {
            let (from, to) = self.ends.at(branch);
            let mut push = 0.0;
            if states.conducts(branch) {
                push += (rest.volts.at(from) - rest.volts.at(to) + states.emfs.at(branch)) / states.ohms.at(branch);
            }
            if rest.conducts(branch) {
                push -= rest.amps.at(branch);
            }
            // What was given to it and no longer is.
            if rest.is_given(branch) && !states.is_given(branch) {
                push -= rest.amps.at(branch);
            }
            updates.meshed.inject(from, -push);
            updates.meshed.inject(to, push);
        }
        for &branch in states.loads().iter().chain(states.inputs()).chain(states.one_way()) {
            if !states.is_given(branch) {
                continue;
            }
            let (from, to) = self.ends.at(branch);
            let islands = &self.solution.islands;
            let now = if islands.live_at(from) && islands.same(from, to) { states.given.at(branch) } else { 0.0 };
            let before = if rest.is_given(branch) { rest.amps.at(branch) } else { 0.0 };
            self.solution.amps.set(branch, now);
            updates.meshed.inject(from, before - now);
            updates.meshed.inject(to, now - before);
        }
    }

    /// Sets the voltages, each against the reference of its island.
    fn raise(&mut self, updates: &Updates<'_>) {
        let islands = &self.solution.islands;
        let mut zero = Table::<f64>::new(islands.live.list().len());
        for (node, &is_root) in (0..).zip(islands.root.list()) {
            if is_root {
                zero.set(islands.of.at(node), updates.rest.volts.at(node) + updates.moved.at(node));
            }
        }
        let volts = &mut self.solution.volts;
        if volts.list().len() != self.circuit.nodes as usize {
            *volts = Table::new(self.circuit.nodes as usize);
        }
        for node in 0..self.circuit.nodes {
            let island = islands.of.at(node);
            let own = if islands.live.at(island) {
                updates.rest.volts.at(node) + updates.moved.at(node) - zero.at(island)
            } else {
                0.0
            };
            volts.set(node, own);
        }
    }

    /// Sets the current of a branch that conducts or carries nothing; that of others is given.
    fn flow_by_updates(&mut self, updates: &Updates<'_>, branch: u32) {
        if self.states.is_given(branch) {
            return;
        }
        let (from, to) = self.ends.at(branch);
        let amps = if !self.states.conducts(branch) || !self.solution.islands.live_at(from) {
            0.0
        } else if updates.changed.binary_search(&branch).is_ok() {
            (self.solution.across(from, to) + self.states.emfs.at(branch)) / self.states.ohms.at(branch)
        } else {
            updates.rest.amps.at(branch) + (updates.moved.at(from) - updates.moved.at(to)) / self.states.ohms.at(branch)
        };
        self.solution.amps.set(branch, amps);
    }

    /// Turns off the diodes that carried something in the state of rest, or had another voltage, and carry nothing now.
    pub(in crate::circuit::solve) fn block_idle_diodes(&mut self) -> bool {
        let Some(updates) = &self.updates else { return false };
        let is_idle = |branch: &u32| {
            let (from, to) = self.ends.at(*branch);
            let moved = (self.solution.volts.at(from) - updates.rest.volts.at(from)).abs();
            matches!(self.states.kind(*branch), BranchKind::Diode { .. })
                && self.states.behaviour(*branch) == Behaviour::Conducts
                && (updates.rest.amps.at(*branch) > 0.0 || moved > self.solution.volt_slack(from, to))
                && self.solution.amps.at(*branch).abs() <= self.solution.amp_slack(from)
        };
        let idle: Vec<u32> = self.states.one_way().iter().copied().filter(is_idle).collect();
        for branch in &idle {
            self.states.enter(*branch, Behaviour::Off);
        }
        !idle.is_empty()
    }

    /// Sets the currents of all branches, once the search is over.
    pub(in crate::circuit::solve) fn flow_everywhere(&mut self) {
        let Some(updates) = self.updates.take() else { return };
        for branch in 0..self.circuit.branches.len() as u32 {
            self.flow_by_updates(&updates, branch);
        }
        self.updates = Some(updates);
    }
}
