//! The lists that people keep of a design: wires by loom, contacts by plug, fuses with what they protect, retired numbers, totals.
//!
//! What is written comes as it is written, in the order written; what is known beyond that (signals, what a fuse protects, findings) is
//! beside it. Lays nothing out.

mod contacts;
mod ends;
mod fuses;
mod joints;
mod pins;
mod signals;
mod totals;
mod wires;
mod written;

pub use contacts::{Contact, ContactState};
pub use ends::ListedEnd;
pub use fuses::ListedFuse;
pub use joints::ListedJoint;
pub use pins::ListedPin;
pub(crate) use signals::Signals;
pub use totals::Total;
pub(crate) use wires::size_as_written;
pub use wires::{EndPlace, ListedWire, LoomList};
pub use written::Written;

use crate::{analysis::Analysis, finding::Judged, model::PointId, text::Sources};
use std::collections::BTreeMap;

/// All lists of a design.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Lists {
    /// The looms with their wires, in the order written.
    pub looms: Vec<LoomList>,
    /// Every end of every loom, in the order written.
    pub ends: Vec<ListedEnd>,
    /// Every splice, and what is in line with wires, in the order written.
    pub joints: Vec<ListedJoint>,
    /// Every pin, stud and point of a device of which something is said, in the order written.
    pub pins: Vec<ListedPin>,
    /// Every contact of every plug of a loom, its rings and bare ends too, in the order written.
    pub contacts: Vec<Contact>,
    /// Every fuse, in the order written.
    pub fuses: Vec<ListedFuse>,
    /// Wire numbers that must not be used again, in the order written.
    pub retired: Vec<String>,
    /// How much of which conductor each loom takes.
    pub totals: Vec<Total>,
}

impl Lists {
    /// The lists of an analysed design, with what its files say in the words of lists and what was found in it.
    ///
    /// Cost: a pass over its wires, contacts and fuses.
    #[must_use]
    pub fn of(analysis: &Analysis, sources: &Sources, mut written: Written, findings: &[Judged]) -> Self {
        let asked = Asked { analysis, sources, signals: Signals::of(analysis), findings: by_name(findings) };
        let model = analysis.model();
        let mut retired = model.retired.clone();
        retired.sort_unstable_by_key(|(_, span)| *span);
        let looms = wires::looms(&asked, &written);
        for end in &mut written.ends {
            end.findings = asked.findings(&format!("{}.{}", end.loom, end.name));
        }
        for joint in &mut written.joints {
            joint.findings = asked.findings(&format!("{}.{}", joint.loom, joint.name));
        }
        for pin in &mut written.pins {
            pin.findings = asked.findings(&pin.point());
        }
        Self {
            totals: totals::of(&looms),
            looms,
            contacts: contacts::of(&asked, &written),
            ends: written.ends,
            joints: written.joints,
            pins: written.pins,
            fuses: fuses::of(&asked),
            retired: retired.into_iter().map(|(name, _)| model.text(name).to_owned()).collect(),
        }
    }
}

/// What the rows ask.
struct Asked<'a> {
    analysis: &'a Analysis,
    /// The files, for what is shown as it is written.
    sources: &'a Sources,
    /// The signals that the pins of each net name.
    signals: Signals,
    /// What was found of each thing.
    findings: BTreeMap<&'a str, Vec<String>>,
}

impl Asked<'_> {
    /// The signals at points of a loom.
    fn signal(&self, points: &[PointId]) -> String {
        self.signals.at(self.analysis, points)
    }

    /// What was found of the thing of a name: `level[rule]` each.
    fn findings(&self, name: &str) -> Vec<String> {
        self.findings.get(name).cloned().unwrap_or_default()
    }
}

/// What was found, by the name of each thing that it concerns.
fn by_name(findings: &[Judged]) -> BTreeMap<&str, Vec<String>> {
    let mut found: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for finding in findings.iter().filter(|finding| finding.waived.is_none()) {
        for name in &finding.concerns {
            let said = format!("{}[{}]", finding.level.name(), finding.rule);
            let of = found.entry(name).or_default();
            if !of.contains(&said) {
                of.push(said);
            }
        }
    }
    found
}
