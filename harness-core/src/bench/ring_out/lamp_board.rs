//! Many points at once: a board with a switch and a lamp for each place, and the patterns of switches that prove all nets.
//!
//! Each net has a number, and in the pattern for a bit those nets are fed whose number has it. The numbers alone find every short (Kautz 1974);
//! without the number of no bits and that of all bits they find every open too (modified counting sequence); each bit and its complement show in
//! the usual cases also which nets are joined (Wagner 1987). All three from memory.

use super::{
    bare::Spot,
    piece::Shown,
    plan::accessible,
    rig::{PieceId, Rig},
    state::State,
};
use crate::arena::IdVec;

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

/// The ways by which a lamp can be lit: the numbers of the nets that are fed at their end, and what the lamp does then.
type Ways = Vec<(usize, Lamp)>;

/// The switches and lamps of a loom.
#[derive(Debug)]
pub(super) struct Board {
    code: Code,
    /// Where each net is fed, by its number.
    pub(super) fed: Vec<Spot>,
    /// The number of the net that is fed at a place.
    number: IdVec<Spot, Option<usize>>,
    /// Where the nets of each piece are fed.
    fed_of: IdVec<PieceId, Vec<Spot>>,
    /// The places with a lamp, net by net.
    pub(super) places: Vec<Spot>,
    /// What lights each lamp in the sound loom.
    sound: IdVec<Spot, Ways>,
}

impl Board {
    pub(super) fn new(rig: &Rig, code: Code) -> Self {
        let count = rig.bare.spots.len();
        let nets: Vec<Vec<Spot>> = accessible(rig).into_values().collect();
        let fed: Vec<Spot> = nets.iter().filter_map(|net| net.first().copied()).collect();
        let mut number = IdVec::of(None, count);
        let mut fed_of: IdVec<PieceId, Vec<Spot>> = IdVec::of(Vec::new(), rig.pieces().len());
        for (net, spot) in fed.iter().enumerate() {
            number[*spot] = Some(net);
            fed_of[rig.piece_of(*spot)].push(*spot);
        }
        let places = nets.into_iter().flatten().collect();
        let mut board = Self { code, fed, number, fed_of, places, sound: IdVec::of(Vec::new(), count) };
        let sound = State::with(rig, &[]);
        for spot in board.places.clone() {
            board.sound[spot] = board.ways(&sound, spot);
        }
        board
    }

    /// How many patterns there are.
    pub(super) fn patterns(&self) -> usize {
        self.code.patterns(self.fed.len())
    }

    /// The places that are fed in a pattern: one of each net.
    pub(super) fn fed_in(&self, pattern: usize) -> impl Iterator<Item = Spot> + '_ {
        let fed = self.fed.iter().copied().enumerate();
        fed.filter(move |(net, _)| self.is_fed(*net, pattern)).map(|(_, spot)| spot)
    }

    /// Where the net of a place is fed.
    pub(super) fn fed_with(&self, rig: &Rig, spot: Spot) -> Option<Spot> {
        self.fed_of[rig.piece_of(spot)].iter().copied().find(|fed| rig.nets.of(*fed) == rig.nets.of(spot))
    }

    /// Whether the switch at a place is on in a pattern: then its own lamp is lit, whatever the loom is.
    pub(super) fn is_on(&self, spot: Spot, pattern: usize) -> bool {
        self.number[spot].is_some_and(|net| self.is_fed(net, pattern))
    }

    fn is_fed(&self, net: usize, pattern: usize) -> bool {
        self.code.feeds(net, pattern, self.fed.len())
    }

    /// What the lamp of a place does in a pattern of the sound loom.
    pub(super) fn should_be(&self, spot: Spot, pattern: usize) -> Lamp {
        self.shines(&self.sound[spot], pattern)
    }

    fn shines(&self, ways: &Ways, pattern: usize) -> Lamp {
        let mut found = Lamp::Dark;
        for (_, lamp) in ways.iter().filter(|(net, _)| self.is_fed(*net, pattern)) {
            match lamp {
                Lamp::Lit => return Lamp::Lit,
                Lamp::Unsure => found = Lamp::Unsure,
                Lamp::Dark => {}
            }
        }
        found
    }

    /// What can light the lamp of a place.
    fn ways(&self, state: &State<'_>, spot: Spot) -> Ways {
        let own = self.number[spot].map(|net| (net, Lamp::Lit));
        let fed = state.pieces_at(spot).into_iter().flat_map(|piece| &self.fed_of[piece]).copied();
        let fed = fed.filter(|from| !state.is_moved(*from)).chain(state.moved()).filter(|from| *from != spot);
        let others = fed.filter_map(|from| {
            let lamp = match state.shown(from, spot) {
                Shown::Open => return None,
                Shown::Forward(_) => Lamp::Lit,
                Shown::Ohms(ohms) if ohms.nominal <= LIT => Lamp::Lit,
                Shown::Ohms(ohms) if ohms.nominal >= DARK => return None,
                Shown::Ohms(_) | Shown::Vague => Lamp::Unsure,
            };
            Some((self.number[from]?, lamp))
        });
        own.into_iter().chain(others).collect()
    }

    /// The first pattern, from 0, in which a lamp is not as it should be, with that lamp.
    pub(super) fn first_wrong(&self, rig: &Rig, state: &State<'_>) -> Option<(usize, Spot)> {
        let hanging = state.shaken().into_iter().flat_map(|piece| rig.spots_of(piece)).copied();
        let looked: Vec<Spot> = hanging.filter(|spot| rig.bare.spots[*spot].has_lamp()).collect();
        let now: Vec<(Spot, Ways)> = looked.into_iter().map(|spot| (spot, self.ways(state, spot))).collect();
        (0..self.patterns()).find_map(|pattern| {
            let is_wrong = |(spot, ways): &&(Spot, Ways)| {
                let lamps = (self.should_be(*spot, pattern), self.shines(ways, pattern));
                matches!(lamps, (Lamp::Lit, Lamp::Dark) | (Lamp::Dark, Lamp::Lit))
            };
            now.iter().find(is_wrong).map(|(spot, _)| (pattern, *spot))
        })
    }

    /// Whether what was seen of the lamp of a place, pattern by pattern, is what a loom shows; what was not seen fits.
    pub(super) fn fits(&self, state: &State<'_>, spot: Spot, seen: &[Option<bool>]) -> bool {
        let ways = self.ways(state, spot);
        let mut seen = seen.iter().enumerate().filter_map(|(pattern, is_lit)| Some((pattern, (*is_lit)?)));
        seen.all(|(pattern, is_lit)| match self.shines(&ways, pattern) {
            Lamp::Lit => is_lit,
            Lamp::Dark => !is_lit,
            Lamp::Unsure => true,
        })
    }

    /// The places at which nets are fed that may be what lights a lamp: it was dark in no pattern in which they are fed.
    pub(super) fn may_light<'b>(&'b self, seen: &'b [Option<bool>]) -> impl Iterator<Item = Spot> + 'b {
        let is_dark = |(pattern, _): &(usize, &Option<bool>), net: usize| self.is_fed(net, *pattern);
        let dark = move |net: usize| {
            seen.iter().enumerate().filter(|(_, is_lit)| **is_lit == Some(false)).any(|seen| is_dark(&seen, net))
        };
        self.fed.iter().copied().enumerate().filter(move |(net, _)| !dark(*net)).map(|(_, spot)| spot)
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
