//! Everything that is between two analysed designs, in one call.

use super::{
    Change, Edits, Inventory, Kind, changes,
    effect::{Effect, Pair, Threshold, effect},
    renames::Renames,
};
use crate::{analysis::Analysis, check::Checker, report::Report, threads};

/// What is between two revisions of a design, with the report of each.
#[derive(Debug)]
#[non_exhaustive]
pub struct Comparison {
    /// The findings of each.
    pub reports: Pair<Report>,
    /// What each is made of.
    pub inventories: Pair<Inventory>,
    /// The whole difference, fact by fact.
    pub edits: Edits,
    /// The same as a person would say it, in the order of looms and devices.
    pub changes: Vec<Change>,
    /// What the changes do to findings, currents, fuses, loads and nets.
    pub effect: Effect,
}

impl Comparison {
    /// Compares two analysed designs, in the modes in which both were computed, and checks both. The inventories are of their documents,
    /// which were let go when the designs were made.
    ///
    /// # Cost
    /// Two checks and about as much again.
    ///
    /// # Example
    /// A thicker wire is one change, whatever else moved in the file:
    /// ```
    /// use harness_core::{Analysis, Checker, Design, Document, MemoryFiles, diff::{Comparison, effect::Pair, inventory}};
    ///
    /// let read = |size: &str| {
    ///     let netlist = format!("format: 1
    /// design: Orchard lift
    /// parts: {{ housings: {{ one-way: {{ family: QL, positions: 1, contacts: pin }} }} }}
    /// looms:
    ///   l:
    ///     ends: {{ P1: {{ housing: one-way }}, P2: {{ housing: one-way }} }}
    ///     wires: {{ 1: {{ from: P1.1, to: P2.1, size: {size}, length: 2 m }} }}
    /// ");
    ///     let document = Document::read(&MemoryFiles::one("lift.yaml", netlist), "lift.yaml");
    ///     (inventory(&document), Analysis::of_all(&Design::of(document)))
    /// };
    /// let ((before, old), (now, new)) = (read("1 mm2"), read("1.5 mm2"));
    /// let inventories = Pair { old: before, new: now };
    /// let comparison = Comparison::between(inventories, &old, &new, &Checker::new());
    /// let changes: Vec<String> = comparison.changes.iter().map(|change| change.headline()).collect();
    /// assert_eq!(changes, ["wire `l.1` resized: from 1 mm2 to 1.5 mm2"]);
    /// ```
    #[must_use]
    pub fn between(inventories: Pair<Inventory>, old: &Analysis, new: &Analysis, checker: &Checker) -> Self {
        let edited = || Edits::between(&inventories.old, &inventories.new);
        let checked = || Pair { old: checker.check(old), new: checker.check(new) };
        let (edits, reports) = threads::both(edited, checked);
        let effect = effect(old, &reports.old, new, &reports.new, &renames(&edits), Threshold::default());
        Self { reports, inventories, changes: changes(&edits), edits, effect }
    }
}

/// The renamings of what findings and figures name.
fn renames(edits: &Edits) -> Renames {
    let named = |kind| {
        use Kind::{Cable, Device, Element, End, Loom, Pin, Port, Segment, Splice, Wire};
        matches!(kind, Device | Port | Pin | Element | Loom | End | Splice | Wire | Cable | Segment)
    };
    let renamed = edits.renamed.iter().filter(|renamed| named(renamed.new.kind));
    Renames::new(renamed.map(|renamed| (renamed.old.path.clone(), renamed.new.path.clone())))
}
