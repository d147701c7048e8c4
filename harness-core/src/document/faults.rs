//! The rules of reading: what can be at fault in the text of a netlist, before anything is checked.

use crate::{finding::Level, rule::Rule};

macro_rules! faults {
    ($($(#[$doc:meta])* $id:ident = $name:literal, $finds:literal, $docs:literal;)+) => {
        $($(#[$doc])* pub static $id: Rule = Rule { name: $name, level: Level::Error, since: "0.1.0", finds: $finds, docs: $docs };)+

        /// All rules of reading, sorted by name.
        pub static FAULTS: &[&Rule] = &[$(&$id),+];
    };
}
