//! The modes of a vehicle in the order in which they are tried, each with what it switches on.

use super::{pieces::is_class_b, supplies::Supply};
use crate::{electrical::ModeState, facts::Facts, model::ModeId, quantity::Volt};

/// Power in watt from which on a mode runs something.
const RUNS: f64 = 1.0;

/// A mode with what it switches on.
pub(super) struct Stage {
    pub(super) mode: ModeId,
    /// Contactors of class B are closed in it, or loads of class B run.
    pub(super) has_class_b: bool,
    /// Supplies from outside that are there in it and not in the quiet mode, by their place among the supplies.
    pub(super) supplies: Vec<usize>,
}

/// The mode with the least of class B, then of what runs; touch-safe where two have as little.
pub(super) fn least<'a>(facts: &Facts, from: impl Iterator<Item = &'a ModeState>) -> Option<ModeId> {
    let scored =
        from.map(|state| (has_class_b(facts, state), !facts.model()[state.id].touch_safe, power(facts, state), state.id));
    let least = scored.min_by(|(one_b, one_unsafe, one_power, _), (other_b, other_unsafe, other_power, _)| {
        one_b.cmp(other_b).then(one_unsafe.cmp(other_unsafe)).then(one_power.total_cmp(other_power))
    });
    least.map(|(.., mode)| mode)
}

/// The modes in the order that the design gives; else what runs least first, what needs a supply from outside last.
pub(super) fn stages(facts: &Facts, supplies: &[Supply]) -> Vec<Stage> {
    let given = |mode: ModeId| facts.model().sequence.iter().position(|(known, _)| *known == mode).unwrap_or(usize::MAX);
    let stage = |(at, state): (usize, &ModeState)| {
        let comes = |supply: &Supply| !supply.always && supply.is_on(facts, state.id);
        let stage = Stage {
            mode: state.id,
            has_class_b: has_class_b(facts, state),
            supplies: (0..).zip(supplies).filter(|(_, supply)| comes(supply)).map(|(at, _)| at).collect(),
        };
        (stage, power(facts, state), at)
    };
    let mut modes: Vec<(Stage, f64, usize)> = facts.electrical().modes_as_written().into_iter().enumerate().map(stage).collect();
    modes.sort_by(|(one, one_power, one_at), (other, other_power, other_at)| {
        let key = |stage: &Stage| (!stage.supplies.is_empty(), given(stage.mode), stage.has_class_b);
        key(one).cmp(&key(other)).then(one_power.total_cmp(other_power)).then(one_at.cmp(other_at))
    });
    modes.into_iter().map(|(stage, ..)| stage).collect()
}

/// What runs in a mode, in watt.
fn power(facts: &Facts, state: &ModeState) -> f64 {
    let drawing = facts.network().edges().filter(|(id, edge)| edge.role.draws() && state.conducts(*id));
    drawing.map(|(id, edge)| ((state.volts(edge.a) - state.volts(edge.b)).get() * state.amps(id).get()).abs()).sum()
}

/// Whether a mode closes a contactor of class B, or runs something of class B.
fn has_class_b(facts: &Facts, state: &ModeState) -> bool {
    facts.network().edges().any(|(id, edge)| {
        let is_b = || is_class_b(facts, edge.a) && is_class_b(facts, edge.b);
        let works = |volts: Volt| edge.role.draws() && (volts.get() * state.amps(id).get()).abs() > RUNS;
        let closes = edge.role.is_relay_contact() && edge.role.is_outward();
        state.conducts(id) && is_b() && (closes || works(state.volts(edge.a) - state.volts(edge.b)))
    })
}
