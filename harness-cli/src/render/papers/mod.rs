//! The papers of the bench: one file a paper turns typed tables into a [`Paper`], which each format lays out.

mod cut;
pub mod diagnosis;
mod ends;
mod face;
pub mod going_live;
pub mod isolation;
mod labels;
mod lamp_board;
mod layout;
mod parts;
mod ring_out;
mod torque;
mod verdict;

pub use lamp_board::{Listed, paper as lamp_board};
pub use ring_out::paper as ring_out;
pub use verdict::{By, paper as ring_out_verdict};

use super::kit::paper::Paper;
use crate::args::PaperKind;
use harness_core::bench::{
    Bench,
    going_live::{GoingLive, Target, going_live as first_power, later_work},
};

/// All papers, in the order in which the bench needs them.
pub const ALL: [PaperKind; 9] = [
    PaperKind::PartsList,
    PaperKind::CutList,
    PaperKind::Layout,
    PaperKind::Labels,
    PaperKind::ConnectorSheets,
    PaperKind::RingOut,
    PaperKind::TorqueList,
    PaperKind::GoingLive,
    PaperKind::MakingSafe,
];

/// What is asked for; everything where nothing is named.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// Looms by name.
    pub looms: Vec<String>,
    /// Ends as findings name them.
    pub ends: Vec<String>,
}

impl Wanted {
    fn has_loom(&self, loom: &str) -> bool {
        let of_end = |end: &String| end.split('.').next() == Some(loom);
        match (self.looms.as_slice(), self.ends.as_slice()) {
            ([], []) => true,
            (looms, ends) => looms.iter().any(|own| own == loom) || ends.iter().any(of_end),
        }
    }

    fn has_end(&self, loom: &str, end: &str) -> bool {
        self.has_loom(loom) && (self.ends.is_empty() || self.ends.iter().any(|own| own == end))
    }
}

/// The papers of a kind.
#[must_use]
pub fn papers(kind: PaperKind, bench: &Bench<'_>, wanted: &Wanted) -> Vec<Paper> {
    match kind {
        PaperKind::CutList => cut::papers(bench, wanted),
        PaperKind::Layout => layout::papers(bench, wanted),
        PaperKind::ConnectorSheets => ends::papers(bench, wanted),
        PaperKind::PartsList => vec![parts::paper(bench, wanted)],
        PaperKind::Labels => vec![labels::paper(bench, wanted)],
        PaperKind::RingOut => ring_out::papers(bench, wanted),
        PaperKind::TorqueList => vec![torque::paper(bench)],
        PaperKind::GoingLive => order(first_power(bench.analysis()), None),
        PaperKind::MakingSafe => {
            let target = Target::Vehicle;
            order(later_work(bench.analysis(), &target), Some(&target))
        }
    }
}

/// The paper of an order; a design without a mode that could be computed has none.
fn order(found: Option<GoingLive>, target: Option<&Target>) -> Vec<Paper> {
    found.map(|found| going_live::paper(&found, target)).into_iter().collect()
}

/// `mm²` for people where the design writes `mm2`.
pub(crate) fn area(written: &str) -> String {
    written.replace("mm2", "mm²")
}
