//! What to measure next: the reading whose answers split what is left most evenly, for what it costs.
//!
//! The answers of a probe are sorted; where two that follow each other are further apart than a meter confuses, they are two answers. What is
//! learned is the entropy of their shares, in bits (C. E. Shannon, A mathematical theory of communication, 1948, from memory).

use super::{
    access::Reach,
    probe::{Probe, Seen},
};

/// Standard deviations between two answers that a meter does not confuse.
const APART: f64 = 4.0;
/// Bits that are not worth a reading.
const WORTHLESS: f64 = 0.01;

/// A reading that is worth taking.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Proposal {
    /// What to measure or to look at.
    pub probe: Probe,
    /// What is expected to be learned, in bits.
    pub bits: f64,
    /// Whether it is of voltage class B: for trained people alone.
    pub is_class_b: bool,
}

/// The readings most worth taking, the best first; none where nothing distinguishes what is left. `answers` are those of each reach, in their
/// order: what each cause that is left shows, with its share.
pub(super) fn proposals<'a>(
    reaches: impl Iterator<Item = (&'a Reach, Vec<(Seen, f64)>)>,
    noise: f64,
    most: usize,
) -> Vec<Proposal> {
    let mut found: Vec<(f64, Proposal)> = Vec::new();
    for (reach, answers) in reaches {
        let bits = bits(reach.probe, answers, noise);
        if bits >= WORTHLESS {
            let Reach { probe, cost, is_class_b } = *reach;
            found.push((bits / (1.0 + cost), Proposal { probe, bits, is_class_b }));
        }
    }
    // What is worth the same comes in the order of the probes, on every machine.
    found.sort_by(|(a, one), (b, other)| b.total_cmp(a).then(one.probe.cmp(&other.probe)));
    found.into_iter().take(most).map(|(_, proposal)| proposal).collect()
}

/// What is learned, in bits, from the answer of a probe; `answers` with their shares.
pub(super) fn bits(probe: Probe, mut answers: Vec<(Seen, f64)>, noise: f64) -> f64 {
    // Nothing is learned from an answer that may be anything.
    answers.retain(|(seen, _)| seen.is_known());
    let total: f64 = answers.iter().map(|(_, share)| share).sum();
    if total <= 0.0 {
        return 0.0;
    }
    answers.sort_by(|(a, _), (b, _)| a.low.total_cmp(&b.low).then(a.high.total_cmp(&b.high)));
    let mut bits = 0.0;
    let mut end = f64::NEG_INFINITY;
    let mut share = 0.0;
    let count = |share: f64| if share > 0.0 { -(share / total) * (share / total).log2() } else { 0.0 };
    for (seen, own) in answers {
        let gap = APART * probe.deviation(seen, noise);
        if seen.low - end > gap {
            bits += count(share);
            share = 0.0;
        }
        share += own;
        end = end.max(seen.high);
    }
    bits + count(share)
}
