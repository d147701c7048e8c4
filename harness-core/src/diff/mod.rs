//! Two revisions of a design compared by what they mean: what is another thing, what that does, what must be done at the bench.
//!
//! Lines, files, spelling and order do not count here. `inventory` says what a design is made of, `matching` which thing of one revision is
//! which of the other, `edits` the whole difference, `changes` the same as a person would say it, `effect` what it does to findings,
//! conductors, nets and loads.

mod changes;
mod collisions;
mod comparison;
mod edits;
pub mod effect;
mod headline;
mod inventory;
mod matching;
pub mod renames;
pub mod rework;

pub use crate::format::{Attribute, Class};
pub use changes::{Change, Exchange, Place, changes};
pub use collisions::{Collision, Grade, collisions};
pub use comparison::Comparison;
pub use edits::{Alteration, Edits};
pub use inventory::{Fact, FactKey, Facts, Inventory, Item, Key, Kind, Thing, inventory};
pub use matching::{Pairs, Renamed, pairs};

use crate::design::Design;

/// A revision of a design, with what it is made of.
#[derive(Debug, Clone, Copy)]
pub struct Revision<'a> {
    /// The design.
    pub design: &'a Design,
    /// Its inventory.
    pub inventory: &'a Inventory,
}
