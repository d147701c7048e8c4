//! The figures of a row, from the tables of fuses and conductors.

use crate::{
    analysis::Analysis,
    inspect::{Against, ConductorLoad, FuseLoad, Loads},
    quantity::{Ampere, SquareMillimetre},
};
use rustc_hash::FxHashMap;

/// The fuse of a row.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseFigures {
    /// `fuse-box.F4`.
    pub name: String,
    /// Its rating; `None` where its kind gives none.
    pub rating: Option<Ampere>,
    /// Whether a fuse is in the holder.
    pub fitted: bool,
}

/// The least margin of a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Least {
    /// Limit over figure: 1 at the limit, below 1 beyond it.
    pub ratio: f64,
    /// What it is held against.
    pub against: Against,
    /// The fuse or the conductor whose margin it is.
    pub of: String,
}

/// The tables by name.
#[derive(Debug)]
pub(super) struct Figures {
    fuses: FxHashMap<String, FuseLoad>,
    conductors: FxHashMap<String, ConductorLoad>,
}

impl Figures {
    pub(super) fn new(analysis: &Analysis) -> Self {
        let loads = Loads::of(analysis);
        Self {
            fuses: loads.fuses.into_iter().map(|fuse| (fuse.name.clone(), fuse)).collect(),
            conductors: loads.conductors.into_iter().map(|one| (one.name.clone(), one)).collect(),
        }
    }

    /// The thinnest conductor that goes by a fuse, else the thinnest of these wires.
    pub(super) fn size(&self, fuse: Option<&str>, wires: &[super::WireOf]) -> Option<SquareMillimetre> {
        let thinnest = fuse.and_then(|name| self.fuses.get(name)?.thinnest.as_ref()).map(|thinnest| thinnest.size);
        thinnest.or_else(|| wires.iter().filter_map(|wire| wire.size).reduce(|a, b| if b < a { b } else { a }))
    }

    /// The least margin of a fuse and of these wires.
    pub(super) fn least(&self, fuse: Option<&str>, wires: &[super::WireOf]) -> Option<Least> {
        let of_fuse = fuse.and_then(|name| self.fuses.get(name)).and_then(|row| Some((row.least()?, &row.name)));
        let of_wires =
            wires.iter().filter_map(|wire| self.conductors.get(&wire.name)).filter_map(|row| Some((row.least()?, &row.name)));
        let margins = of_fuse.into_iter().chain(of_wires);
        let least = margins.reduce(|least, next| if next.0.ratio < least.0.ratio { next } else { least });
        least.map(|(margin, of)| Least { ratio: margin.ratio, against: margin.against, of: of.clone() })
    }
}
