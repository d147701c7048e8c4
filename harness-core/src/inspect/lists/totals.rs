//! How much of which conductor each loom takes.

use super::LoomList;
use crate::quantity::Metre;

/// What a loom takes of conductors of one kind, size and colour.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Total {
    /// The loom.
    pub loom: String,
    /// The conductor kind; empty where none is given, or they are cores of cables.
    pub kind: String,
    /// The size as written; empty where none is given.
    pub size: String,
    /// The colour; empty where none is given.
    pub colour: String,
    /// How many wires and cores they are.
    pub wires: usize,
    /// Their length together, of those whose length is given.
    pub length: Metre,
    /// How many of them have no length.
    pub without_length: usize,
}

/// The totals of looms, each loom's by kind, size and colour.
pub(super) fn of(looms: &[LoomList]) -> Vec<Total> {
    let mut totals = Vec::new();
    for loom in looms {
        let mut own: Vec<Total> = Vec::new();
        for wire in &loom.wires {
            let alike =
                |total: &&mut Total| total.kind == wire.kind && total.size == wire.size_as_written && total.colour == wire.colour;
            let total = match own.iter_mut().find(alike) {
                Some(total) => total,
                None => {
                    own.push(Total {
                        loom: loom.name.clone(),
                        kind: wire.kind.clone(),
                        size: wire.size_as_written.clone(),
                        colour: wire.colour.clone(),
                        wires: 0,
                        length: Metre::new(0.0),
                        without_length: 0,
                    });
                    let Some(total) = own.last_mut() else { continue };
                    total
                }
            };
            total.wires += 1;
            match wire.length {
                Some(length) => total.length = Metre::new(total.length.get() + length.get()),
                None => total.without_length += 1,
            }
        }
        own.sort_by(|one, other| (&one.kind, &one.size, &one.colour).cmp(&(&other.kind, &other.size, &other.colour)));
        totals.extend(own);
    }
    totals
}
