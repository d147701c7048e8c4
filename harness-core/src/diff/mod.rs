//! Two revisions of a design compared by what they mean: what is another thing, what that does, what must be done at the bench.
//!
//! Lines, files, spelling and order say nothing here. `sheet` tells what a design is made of, `matching` which thing of one revision is
//! which of the other, `edits` the whole difference, `changes` the same as a person would say it, `effect` what it does.

mod changes;
mod edits;
pub mod effect;
mod matching;
mod refer;
pub mod renames;
mod sheet;
mod words;

pub use changes::{Change, Exchange, Place, changes};
pub use edits::{Alteration, Edits};
pub use matching::{Pairs, Renamed, pairs};
pub use sheet::{Fact, Item, Key, Kind, Sheet, Thing, sheet};
