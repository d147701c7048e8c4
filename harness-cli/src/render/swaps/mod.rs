//! Plugs in each other's place: as text, as comma-separated values, as JSON, as a matrix.

mod csv;
pub(crate) mod json;
mod picture;
mod text;

pub use csv::write as csv;
pub use json::write as json;
pub use picture::{MOST as MOST_DRAWN, draw as picture};
pub use text::{MOST, pair, write as text};

use harness_core::inspect::Grade;

/// The word of a grade.
pub(crate) fn word(grade: Grade) -> &'static str {
    match grade {
        Grade::Danger => "danger",
        Grade::Damage => "damage",
        Grade::Unjudged => "not judged",
        Grade::Mixed => "mixed up",
        Grade::Harmless => "harmless",
    }
}
