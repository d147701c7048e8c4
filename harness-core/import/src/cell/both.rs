//! Size and colour in one cell: `18 RED`, `RED 18`, `18GA RD/BK`.

use super::{Coloured, Size, SizeUnit, colour, size};
use std::collections::BTreeMap;

/// The size and the colour that a cell gives, in either order; `None` if it gives anything else. `unit` is what a bare number is in.
#[must_use]
pub fn size_and_colour(cell: &str, unit: Option<SizeUnit>, table: &BTreeMap<String, String>) -> Option<(Size, Coloured)> {
    let cell = cell.replace(", ", " ").replace(';', " ");
    let words: Vec<&str> = cell.split_whitespace().collect();
    (1..words.len()).find_map(|at| {
        let (first, second) = (words.get(..at)?.join(" "), words.get(at..)?.join(" "));
        let both = |one: &str, other: &str| {
            let size = size(one, unit).ok().filter(|size| size.sizes.len() == 1 && size.rest.is_empty())?;
            Some((size, colour(other, table).ok()?))
        };
        both(&first, &second).or_else(|| both(&second, &first))
    })
}

/// Whether a cell holds a colour beside a bare number, which may be a size in any unit.
#[must_use]
pub fn is_bare_size_and_colour(cell: &str, table: &BTreeMap<String, String>) -> bool {
    size_and_colour(cell, None, table).is_none() && size_and_colour(cell, Some(SizeUnit::Awg), table).is_some()
}

#[cfg(test)]
mod tests {
    use super::{is_bare_size_and_colour, size_and_colour};
    use crate::cell::SizeUnit;
    use std::collections::BTreeMap;

    /// Conventions seen.
    #[test]
    fn a_size_and_a_colour_may_share_a_cell_in_either_order() {
        let none = BTreeMap::new();
        for (cell, unit, expected) in [
            ("18 RED", Some(SizeUnit::Awg), Some(("18 AWG", "RD"))),
            ("RED 18", Some(SizeUnit::Awg), Some(("18 AWG", "RD"))),
            ("18GA RD/BK", None, Some(("18 AWG", "RD/BK"))),
            ("DK BLU 16 AWG", None, Some(("16 AWG", "BU"))),
            ("0,75 mm² gn/ye", None, Some(("0.75 mm2", "GNYE"))),
            ("2/0 red", Some(SizeUnit::Awg), Some(("2/0 AWG", "RD"))),
            ("18 RED", None, None),
            ("RED", Some(SizeUnit::Awg), None),
            ("18 AWG", None, None),
            ("18 RED spare", Some(SizeUnit::Awg), None),
        ] {
            let read = size_and_colour(cell, unit, &none);
            let read = read.as_ref().map(|(size, colour)| (size.sizes[0].as_str(), colour.code.as_str()));
            assert_eq!(read, expected, "{cell}");
        }
        assert!(is_bare_size_and_colour("18 RED", &none) && !is_bare_size_and_colour("18GA RED", &none));
    }
}
