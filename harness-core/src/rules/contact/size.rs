//! Whether a value lies in a range, and the diameter of a wire over its insulation.

use crate::{
    electrical::conductors::conductor::wall_of,
    model::{Model, Wire},
    quantity::{Between, Millimetre, Unit},
    standards::{
        Sourced,
        conductor::{Series, outer_diameter},
    },
};

/// Share of a limit by which a value may miss it and still count as equal: sizes are converted between units.
const EQUAL: f64 = 1e-9;

/// On which side of a range a value lies, and how far out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Outside<U> {
    /// Below the least by this.
    Below(U),
    /// Above the most by this.
    Above(U),
}

/// How far `value` lies outside `range`; `None` inside it, both limits included.
pub(super) fn outside<U: Unit>(value: U, range: Between<U>) -> Option<Outside<U>> {
    let (value, least, most) = (value.get(), range.least.get(), range.most.get());
    if value < least * (1.0 - EQUAL) {
        return U::from_stored(least - value).map(Outside::Below);
    }
    if value > most * (1.0 + EQUAL) {
        return U::from_stored(value - most).map(Outside::Above);
    }
    None
}

/// The largest diameter of a single wire over its insulation.
///
/// `None` for cores of cables, for wires to other standards than those of road vehicles, for sizes that the table does not
/// print, and where neither `wall` nor the text of the standard says how thick the insulation is: ISO 6722-1 alone has
/// several.
pub(super) fn over_insulation(model: &Model, wire: &Wire) -> Option<Sourced<Millimetre>> {
    if wire.core.is_some() {
        return None;
    }
    let kind = model.conductor_kind(wire.kind?)?;
    let standard = kind.standard.map_or("", |standard| model.text(standard.value));
    if !standard.is_empty() && Series::named(standard) != Some(Series::Road) {
        return None;
    }
    outer_diameter(wire.size?.value, wall_of(model, kind)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::SquareMillimetre;

    #[test]
    fn limits_belong_to_the_range() {
        let range = Between { least: SquareMillimetre::new(0.35), most: SquareMillimetre::new(1.0) };
        let at = |size| outside(SquareMillimetre::new(size), range);
        assert_eq!(at(0.35), None);
        assert_eq!(at(1.0), None);
        assert!(matches!(at(0.34), Some(Outside::Below(by)) if (by.get() - 0.01).abs() < 1e-9));
        assert!(matches!(at(1.5), Some(Outside::Above(by)) if (by.get() - 0.5).abs() < 1e-9));
    }
}
