//! The columns of a sheet, and what rows take over from the bar that they leave.

use harness_core::{
    quantity::{Ampere, SquareMillimetre},
    views::power_tree::{Branch, Least},
};

/// The length of the bar of a margin, and of each unit of it.
pub(super) const MARGIN: f64 = 64.0;
pub(super) const UNIT: f64 = MARGIN / 4.0;

/// Where the columns of a sheet are.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Columns {
    /// The root bar.
    pub(super) bar: f64,
    /// The middle of the loads.
    pub(super) load: f64,
    /// Where their names begin.
    pub(super) names: f64,
    /// The decimal points of load, fuse, size and margin.
    pub(super) figures: [f64; 4],
    /// The left end of the bars of the margins.
    pub(super) margin: f64,
}

/// What is before a bar: it holds for what is joined to the bar without a fuse or wire of its own.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Before<'t> {
    /// The rating of the fuse.
    pub(super) fuse: Option<Ampere>,
    /// The thinnest conductor.
    pub(super) size: Option<SquareMillimetre>,
    /// The least margin.
    pub(super) least: Option<&'t Least>,
}

impl<'t> Before<'t> {
    /// The same behind a branch, which may have a fuse or wire of its own.
    pub(super) fn behind(self, branch: &'t Branch) -> Self {
        Self {
            fuse: branch.fuse.as_ref().and_then(|fuse| fuse.rating).or(self.fuse),
            size: branch.size.or(self.size),
            least: branch.least.as_ref().or(self.least),
        }
    }
}
