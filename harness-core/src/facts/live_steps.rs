//! What can be touched and is live in a mode: as it is, and after each thing that a person opens by hand.
//!
//! The idea: one step at a time. Each opening alters the mode, coils follow, and the contacts that it exposes are looked at together with those
//! that can be touched anyway. An opening whose contacts have no dangerous voltage before it is not solved: taking conductors away gives
//! none.
//!
//! Cost: a solution of the network for each opening that exposes something live.

use super::{
    Facts,
    charged_parts::Charged,
    live_parts::LivePair,
    openings::{Opened, Opening},
};
use crate::{
    electrical::{ModeState, what_if::Change},
    model::{ModeId, PointId},
    network::EdgeId,
    vocabulary::Access,
};

impl Facts {
    /// What can be touched and is live in a mode as it is, with `changes` made in it.
    ///
    /// Asked by `harness live`. `None` for a mode that was not computed.
    #[must_use]
    pub fn live_step(&self, mode: ModeId, opened: Option<&Opened>, changes: &[Change]) -> Option<LiveStep> {
        live_step(self, (mode, changes), opened, true)
    }

    /// The steps of a mode that leave something live or charged to be touched: first the mode as it is, then each connector and
    /// cover of voltage class B that opens without a tool, opened by itself. With them how many openings were tried.
    ///
    /// Asked by `harness live`.
    #[must_use]
    pub fn live_steps(&self, mode: ModeId, changes: &[Change]) -> LiveSteps {
        live_steps(self, mode, changes, true)
    }

    /// As [`live_steps`](Self::live_steps), of sources alone: what capacitors keep is left out, and costs nothing.
    ///
    /// Asked by `domain/live-when-open`.
    #[must_use]
    pub fn fed_steps(&self, mode: ModeId) -> LiveSteps {
        live_steps(self, mode, &[], false)
    }
}

/// What is live after one step.
#[derive(Debug)]
pub struct LiveStep {
    /// The mode.
    pub mode: ModeId,
    /// What was opened; `None` for the mode as it is.
    pub opened: Option<Opening>,
    /// The contacts that can be touched and are live.
    pub pairs: Vec<LivePair>,
    /// The capacitors that are cut off while they are charged.
    pub charged: Vec<Charged>,
}

impl LiveStep {
    /// Whether nothing live can be touched, and no charged capacitor either.
    #[must_use]
    pub fn is_safe(&self) -> bool {
        self.pairs.is_empty() && self.charged.iter().all(|charged| charged.touched.is_none())
    }
}

/// The steps of a mode.
#[derive(Debug)]
pub struct LiveSteps {
    /// The mode as it is.
    pub standing: Option<LiveStep>,
    /// The openings that expose something live or charged.
    pub unsafe_steps: Vec<LiveStep>,
    /// How many connectors and covers of class B were tried.
    pub tried: usize,
}

/// A capacitor that takes this much longer than before counts as emptied by less.
const SLOWER: f64 = 1.01;

fn live_step(
    facts: &Facts,
    (mode, changes): (ModeId, &[Change]),
    opened: Option<&Opened>,
    with_charges: bool,
) -> Option<LiveStep> {
    let mut all: Vec<Change> = changes.to_vec();
    all.extend(opened.iter().flat_map(|opened| opened.changes()));
    let altered: ModeState;
    let state = if all.is_empty() {
        facts.electrical().in_mode(mode)?
    } else {
        altered = facts.electrical().altered(mode, &all)?;
        &altered
    };
    let exposed = exposed(facts, opened);
    let pairs = facts.live_among(state, &exposed);
    let charged = if with_charges { facts.charged_in(state, &all, &exposed) } else { Vec::new() };
    Some(LiveStep { mode, opened: opened.map(|opened| opened.what), pairs, charged })
}

/// What can be touched: what is open anyway, and what was opened.
fn exposed(facts: &Facts, opened: Option<&Opened>) -> Vec<PointId> {
    let standing = facts.touchable().iter().map(|one| one.point);
    standing.chain(opened.into_iter().flat_map(|opened| opened.exposed.iter().copied())).collect()
}

fn live_steps(facts: &Facts, mode: ModeId, changes: &[Change], with_charges: bool) -> LiveSteps {
    let standing = live_step(facts, (mode, changes), None, with_charges);
    let by_hand: Vec<&Opened> =
        facts.unmatings().iter().filter(|opened| opened.is_class_b && opens_without_tool(facts, opened)).collect();
    let (tried, mut unsafe_steps) = (by_hand.len(), Vec::new());
    let known: Vec<PointId> = standing.iter().flat_map(|step| &step.pairs).map(|pair| pair.contact).collect();
    let stored = if with_charges { facts.class_b_capacitors() } else { Vec::new() };
    let altered: Option<ModeState> = if changes.is_empty() { None } else { facts.electrical().altered(mode, changes) };
    let Some(before) = altered.as_ref().or_else(|| facts.electrical().in_mode(mode)) else {
        return LiveSteps { standing, unsafe_steps, tried };
    };
    let network = facts.network();
    let joined = network.components(|id, _| before.conducts(id));
    let is_at = |capacitor: EdgeId, point: PointId| {
        let edge = network[capacitor];
        [edge.a, edge.b].iter().any(|side| joined.of(*side) == joined.of(point))
    };
    for opened in by_hand {
        let is_live = !facts.live_among(before, &exposed(facts, Some(opened))).iter().all(|pair| known.contains(&pair.contact));
        // It leaves no capacitor charged that is joined to nothing of it.
        let keeps = stored.iter().any(|one| opened.exposed.iter().any(|point| is_at(one.edge, *point)));
        if !is_live && !keeps {
            continue;
        }
        let Some(mut step) = live_step(facts, (mode, changes), Some(opened), with_charges) else { continue };
        // What can be touched anyway is in the first step.
        step.pairs.retain(|pair| !known.contains(&pair.contact));
        let own =
            |charged: &Charged| charged.touched.is_some_and(|touched| touched.iter().any(|point| opened.exposed.contains(point)));
        step.charged.retain(own);
        // What empties as fast with it unmated is in the first step.
        let as_fast = |charged: &Charged| {
            let first = standing.iter().flat_map(|step| &step.charged).find(|known| known.capacitor == charged.capacitor);
            first.is_some_and(|known| match (known.time, charged.time) {
                (Some(known), Some(time)) => time.get() <= known.get() * SLOWER,
                (None, _) => true,
                (Some(_), None) => false,
            })
        };
        step.charged.retain(|charged| !as_fast(charged));
        if !step.is_safe() {
            unsafe_steps.push(step);
        }
    }
    LiveSteps { standing, unsafe_steps, tried }
}

fn opens_without_tool(facts: &Facts, opened: &Opened) -> bool {
    match facts.opens_by(opened.what).access {
        Access::Open | Access::WithoutTool => true,
        Access::WithTool | Access::Sealed => false,
    }
}
