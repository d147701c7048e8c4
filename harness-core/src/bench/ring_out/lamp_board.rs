//! Many points at once: a board with a switch and a lamp for each place, and the patterns of switches that prove all nets.
//!
//! Each net has a number, and in the pattern for a bit those nets are fed whose number has it. The numbers alone find every short (Kautz 1974);
//! without the number of no bits and that of all bits they find every open too (modified counting sequence); each bit and its complement show in
//! the usual cases also which nets are joined (Wagner 1987). All three from memory.

use super::{bare::Spot, piece::Shown, plan::accessible, rig::Rig, state::State};
use std::collections::BTreeSet;

/// Most resistance through which a lamp is sure to light, in ohm.
const LIT: f64 = 50.0;
/// Least resistance through which it is sure to stay dark, in ohm.
const DARK: f64 = 1e5;

/// Which numbers the nets have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Code {
    /// From nothing on: finds every short.
    Counting,
    /// From one on, with neither no bits nor all: finds every short and every open.
    Modified,
    /// Each bit, then its complement: in the usual cases it also shows which nets are joined.
    Complement,
}

impl Code {
    /// How many patterns prove so many nets.
    #[must_use]
    pub fn patterns(self, nets: usize) -> usize {
        // The number of bits by which `numbers` differ.
        let bits = |numbers: usize| numbers.next_power_of_two().trailing_zeros() as usize;
        match self {
            Self::Counting => bits(nets),
            Self::Modified => bits(nets + 2),
            Self::Complement => 2 * bits(nets).max(1),
        }
    }

    /// Whether the net of this place in the order is fed in a pattern.
    fn feeds(self, net: usize, pattern: usize, nets: usize) -> bool {
        let bit = |number: usize, at: usize| number >> at & 1 == 1;
        match self {
            Self::Counting => bit(net, pattern),
            Self::Modified => bit(net + 1, pattern),
            Self::Complement => {
                let half = self.patterns(nets) / 2;
                if pattern < half { bit(net, pattern) } else { !bit(net, pattern - half) }
            }
        }
    }
}

/// What a lamp does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lamp {
    Lit,
    Dark,
    /// Nobody can say: a resistor or a coil is between.
    Unsure,
}

/// One setting of the switches.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    /// The places that are fed: one of each net.
    pub(super) fed: Vec<Spot>,
    /// Places whose lamp must be lit, those that are fed left out.
    pub(super) lit: Vec<Spot>,
    /// Places whose lamp does not count.
    pub(super) unsure: Vec<Spot>,
}

/// The patterns of a loom.
#[derive(Debug)]
pub(super) struct Board {
    pub(super) nets: usize,
    pub(super) patterns: Vec<Pattern>,
    /// Each place with its net and the place at which that is fed.
    places: Vec<(Spot, Spot)>,
}

pub(super) fn board(rig: &Rig, code: Code) -> Board {
    let nets: Vec<Vec<Spot>> = accessible(rig).into_values().collect();
    let places: Vec<(Spot, Spot)> =
        nets.iter().flat_map(|net| net.iter().filter_map(|spot| Some((*spot, *net.first()?)))).collect();
    let sound = State::with(rig, &[]);
    let patterns = (0..code.patterns(nets.len())).map(|number| {
        let is_fed = |(net, _): &(usize, &Vec<Spot>)| code.feeds(*net, number, nets.len());
        let fed: Vec<Spot> = nets.iter().enumerate().filter(is_fed).filter_map(|(_, net)| net.first().copied()).collect();
        let mut pattern = Pattern { lit: Vec::new(), unsure: Vec::new(), fed };
        for (spot, _) in &places {
            match lamp(&sound, rig, &pattern.fed, *spot) {
                Lamp::Lit if !pattern.fed.contains(spot) => pattern.lit.push(*spot),
                Lamp::Unsure => pattern.unsure.push(*spot),
                Lamp::Lit | Lamp::Dark => {}
            }
        }
        pattern
    });
    let patterns = patterns.collect();
    Board { nets: nets.len(), patterns, places }
}

/// What the lamp of a place does while others are fed.
fn lamp(state: &State<'_>, rig: &Rig, fed: &[Spot], spot: Spot) -> Lamp {
    let mut found = Lamp::Dark;
    for from in fed.iter().filter(|from| state.is_changed() || rig.hang_together(**from, spot)) {
        let lamp = match state.shown(*from, spot) {
            _ if *from == spot => Lamp::Lit,
            Shown::Open => Lamp::Dark,
            Shown::Forward(_) => Lamp::Lit,
            Shown::Ohms(ohms) if ohms.nominal <= LIT => Lamp::Lit,
            Shown::Ohms(ohms) if ohms.nominal >= DARK => Lamp::Dark,
            Shown::Ohms(_) | Shown::Vague => Lamp::Unsure,
        };
        match lamp {
            Lamp::Lit => return Lamp::Lit,
            Lamp::Unsure => found = Lamp::Unsure,
            Lamp::Dark => {}
        }
    }
    found
}

impl Board {
    /// The first pattern, from 0, in which a lamp is not as it should be, with that lamp.
    pub(super) fn first_wrong(&self, rig: &Rig, state: &State<'_>) -> Option<(usize, Spot)> {
        let touched = state.touched();
        let looked: BTreeSet<Spot> = self
            .places
            .iter()
            .filter(|(spot, root)| touched.contains(spot) || touched.contains(root))
            .map(|(spot, _)| *spot)
            .collect();
        self.patterns.iter().enumerate().find_map(|(number, pattern)| {
            let is_wrong = |spot: &&Spot| {
                let should = pattern.lit.contains(spot) || pattern.fed.contains(spot);
                match lamp(state, rig, &pattern.fed, **spot) {
                    _ if pattern.unsure.contains(spot) => false,
                    Lamp::Lit => !should,
                    Lamp::Dark => should,
                    Lamp::Unsure => false,
                }
            };
            looked.iter().find(is_wrong).map(|spot| (number, *spot))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Code;

    /// Check values of the methods: N = 8, 24, 100 nets (computed from W. H. Kautz, IEEE Transactions on Computers C-23, 1974; the modified
    /// counting sequence of P. Goel and M. T. McMahon, 1982; P. T. Wagner, 1987; all three from memory).
    #[test]
    fn as_many_patterns_as_the_published_methods_need() {
        for (nets, [counting, modified, complement]) in [(8, [3, 4, 6]), (24, [5, 5, 10]), (100, [7, 7, 14])] {
            assert_eq!(Code::Counting.patterns(nets), counting);
            assert_eq!(Code::Modified.patterns(nets), modified);
            assert_eq!(Code::Complement.patterns(nets), complement);
        }
    }

    /// What the methods promise: no two nets have one number; with the modified one none has no bits or all.
    #[test]
    fn numbers_differ_and_leave_out_what_is_promised() {
        for nets in 1..130 {
            for code in [Code::Counting, Code::Modified, Code::Complement] {
                let words: Vec<Vec<bool>> = (0..nets)
                    .map(|net| (0..code.patterns(nets)).map(|pattern| code.feeds(net, pattern, nets)).collect())
                    .collect();
                let mut sorted = words.clone();
                sorted.sort();
                sorted.dedup();
                assert_eq!(sorted.len(), nets, "{code:?} of {nets}");
                if code != Code::Counting {
                    assert!(words.iter().all(|word| word.contains(&true) && word.contains(&false)), "{code:?} of {nets}");
                }
            }
        }
    }
}
