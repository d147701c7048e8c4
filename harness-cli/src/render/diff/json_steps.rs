//! A figure before and after as JSON.

use crate::render::kit::figures::figure;
use harness_core::{diff::effect::Pair, quantity::Unit};
use serde::Serialize;

/// A figure in both revisions.
#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct StepJson<T> {
    pub old: T,
    pub new: T,
}

pub(super) fn step<T, U>(pair: &Pair<T>, each: impl Fn(&T) -> U) -> StepJson<U> {
    StepJson { old: each(&pair.old), new: each(&pair.new) }
}

pub(super) fn figures<U: Unit>(pair: &Pair<U>) -> StepJson<f64> {
    step(pair, |value| figure(*value))
}

pub(super) fn perhaps<U: Unit>(pair: &Pair<Option<U>>) -> StepJson<Option<f64>> {
    step(pair, |value| value.map(figure))
}
