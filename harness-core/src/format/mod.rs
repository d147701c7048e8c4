//! The netlist format: defined once as records, read item by item, every mistake collected.
//!
//! Owns what may be written and how it is called. Knows nothing of what names refer to; that is `model`.
//! The same records give the reading (`reader`), the nearest-name hints, the JSON Schema (`schema`) and the
//! format reference (`reference`).

mod astray;
mod attribute;
mod case;
pub mod cavities;
mod class;
mod collect;
mod collections;
mod content;
mod decimal;
mod defaults;
mod demand;
pub mod design;
pub mod devices;
mod head;
mod include;
pub mod inside;
mod join;
mod kind;
mod kind_records;
mod like;
pub mod limits;
pub mod lists;
pub mod looms;
mod mates;
mod names;
mod order;
pub mod origin;
pub mod parts;
mod read;
mod reader;
mod record;
mod reference;
mod repeated;
mod row;
pub mod rules;
mod said;
#[cfg(feature = "schema")]
mod schema;
pub mod shape;
pub mod source_resistance;
pub mod steps;
pub mod values;
pub(crate) mod worded;

pub use attribute::Attribute;
pub use class::{Bench, Class, Current, Holds, Naming, Order, Work};
pub use collect::Findings;
pub use content::Content;
pub use design::Design;
pub use head::{Head, head};
pub use kind::Kind;
pub use like::LIKE;
pub use order::natural;
pub use origin::{ListRow, Origins};
pub use read::{Document, Trees};
pub(crate) use reader::Record;
pub use reader::{Unread, clip};
pub use reference::reference;
#[cfg(feature = "schema")]
pub use schema::schema;

/// The shape of a netlist file.
#[must_use]
pub fn shape() -> &'static shape::RecordShape {
    use reader::Record;
    Design::SHAPE
}
