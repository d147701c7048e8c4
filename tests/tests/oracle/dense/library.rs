//! A short as the library computes it.

use harness_core::internals::circuit::ports::{Chain, Flow, Shorts};

/// The short current and the current of each branch, as the library finds them: where the short changes nothing, the current
/// that flows without it.
pub fn found(shorts: &mut Shorts<'_>, pair: (u32, u32), rest: &[f64]) -> (f64, Vec<f64>) {
    let (mut chain, mut flow) = (Chain::default(), Flow::default());
    let mut branches = rest.to_vec();
    if shorts.chain(pair.0, pair.1, &mut chain) {
        shorts.flow(&chain, &[], &mut flow);
        if flow.amps > 0.0 {
            shorts.each(&chain, &flow, |branch, amps| branches[branch as usize] = amps);
        }
    }
    (flow.amps, branches)
}
