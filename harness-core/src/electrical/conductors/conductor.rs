//! What is known of one conductor: size, rating, surroundings; from the wire, its kind, its cable, the policy.

use crate::{
    model::{CableKind, Conductor, Mate, Model, PointKind, Wire, ZoneId},
    quantity::{Ampere, Celsius, Metre, Millimetre, Ohm, OhmPerMetre, SquareMillimetre},
    standards::{
        Sourced,
        capacity::{self, Beside, Capacity, Table, Thermal},
        conductor::{self, Series, Wall, outer_diameter},
        heat::unknown_air,
        insulation::{Covering, Insulation},
        rated::RatedVoltage,
        short_circuit,
        trade::{Trade, trade_sizes},
    },
    text::Span,
    vocabulary::{self, CapacityTable},
};

/// Length taken for a wire that gives none: currents in a loom without loops do not depend on it.
const ASSUMED_LENGTH: f64 = 1.0;
/// Size taken for the resistance of a wire that gives none; no capacity is computed for such a wire.
const ASSUMED_SIZE: f64 = 1.0;
/// Resistance taken for a wire whose size is not above zero, in ohm per metre: about that of 1 mm2.
const ASSUMED_RESISTANCE: f64 = 0.02;
/// Least resistance of a wire, in ohm: one of no length is a joint, and none at all has no place in a nodal analysis.
pub(super) const LEAST_RESISTANCE: f64 = 1e-6;

/// The rating of a conductor and where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surroundings {
    /// Rated temperature of the conductor; `None` where neither its kind nor the policy says one.
    pub rated: Option<Celsius>,
    /// Temperature of the hottest air that it meets; `None` where neither a zone nor the policy says one.
    pub ambient: Option<Celsius>,
    /// The zone with that air; `None` where the policy says it.
    pub zone: Option<ZoneId>,
    /// The table that decides what it may carry.
    pub table: Table,
}

impl Surroundings {
    /// Both temperatures, if both are known.
    #[must_use]
    pub fn thermal(self) -> Option<Thermal> {
        Some(Thermal { conductor: self.class()?, ambient: self.ambient? })
    }

    /// The temperature that the conductor is computed for: its rating, or where that is higher, the last that the table is right for.
    #[must_use]
    pub fn class(self) -> Option<Celsius> {
        let (rated, most) = (self.rated?, self.table.hottest().value);
        Some(if rated > most { most } else { rated })
    }
}

/// What says how a conductor is made.
enum Make<'m> {
    /// It is a core of a cable of this kind.
    Core(&'m CableKind),
    /// It is a wire of this kind.
    Single(&'m Conductor),
    /// Nothing does: its kind, or that of its cable, is not given.
    Unknown,
}

fn made_as<'m>(model: &'m Model, wire: &Wire) -> Make<'m> {
    match (wire.core, wire.kind) {
        (Some((cable, _)), _) => model[cable].kind.map_or(Make::Unknown, |kind| Make::Core(&model[kind])),
        (None, Some(kind)) => Make::Single(&model[kind]),
        (None, None) => Make::Unknown,
    }
}

/// The rating of `wire` and the hottest air that it meets: along its route, at its ends, at the devices that it enters.
#[must_use]
pub fn surroundings(model: &Model, wire: &Wire) -> Surroundings {
    let own = match made_as(model, wire) {
        Make::Core(kind) => kind.rated,
        Make::Single(kind) => kind.rated,
        Make::Unknown => None,
    };
    let hottest = hottest_zone(model, wire);
    Surroundings {
        rated: own.or(model.policy.rated).map(|at| at.value),
        ambient: hottest.map(|(_, air)| air).or(model.policy.ambient.map(|at| at.value)),
        zone: hottest.map(|(zone, _)| zone),
        table: table_of(model),
    }
}

/// The hottest zone along a wire with its air; of equal ones the first. `None` where no zone on its way has an `ambient`.
fn hottest_zone(model: &Model, wire: &Wire) -> Option<(ZoneId, Celsius)> {
    let lies = model[wire.loom].zone;
    // A route says more than the zone of the loom, which ends and splices have too where they say nothing.
    let through = wire.via.iter().map(|segment| model[*segment].zone).chain(wire.via.is_empty().then_some(lies));
    let ends = [wire.from, wire.to].into_iter().flatten().flat_map(|point| {
        let own = |zone: Option<ZoneId>| zone.filter(|zone| wire.via.is_empty() || Some(*zone) != lies);
        match model[point].kind {
            PointKind::Cavity(end) | PointKind::Ring(end) => {
                let port = match model[end].mate {
                    Some(Mate::Port(port)) => model[port].zone,
                    Some(Mate::End(_)) | None => None,
                };
                [own(model[end].zone), port]
            }
            PointKind::Splice(splice) => [own(model[splice].zone), None],
            PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) => [None, None],
        }
    });
    let airs = through.chain(ends).flatten().filter_map(|zone| Some((zone, model[zone].ambient?.value)));
    airs.reduce(|hottest, other| if other.1 > hottest.1 { other } else { hottest })
}

/// The table that decides what the conductors of a design may carry.
#[must_use]
pub fn table_of(model: &Model) -> Table {
    match model.policy.capacity.map(|word| word.value) {
        None | Some(CapacityTable::Vehicle) => Table::RoadPvc70,
        Some(CapacityTable::Marine) => Table::Marine,
        Some(CapacityTable::Aircraft) => Table::AircraftBundle,
    }
}

/// Smallest size that a workshop can buy and that carries `amps` where `wire` is, in mm2 or AWG as the wire is written; `None`
/// where no size does or the surroundings are not known.
#[must_use]
pub fn least_size_of(model: &Model, wire: &Wire, amps: Ampere, beside: Beside) -> Option<SquareMillimetre> {
    let around = surroundings(model, wire);
    let trade = wire.size.map_or_else(Trade::default, |size| Trade::of(size.value));
    capacity::least_size(around.table, amps, around.thermal()?, beside, trade_sizes(trade))
}

/// Continuous capacity of `wire` among what is beside it; `None` where size, rating or ambient is not known, or the table has no
/// row.
#[must_use]
pub fn capacity_of(model: &Model, wire: &Wire, beside: Beside) -> Option<Capacity> {
    capacity_within(wire.size?.value, surroundings(model, wire), beside)
}

fn capacity_within(size: SquareMillimetre, around: Surroundings, beside: Beside) -> Option<Capacity> {
    capacity::capacity_beside(around.table, size, around.thermal()?, beside)
}

/// As [`capacity_within`]; of a size beyond the table that of its last row, which a thicker conductor carries too.
fn capacity_or_less(size: SquareMillimetre, around: Surroundings, beside: Beside) -> Option<Capacity> {
    let of_last = || {
        let largest = around.table.largest(around.rated?).filter(|largest| size > *largest)?;
        capacity_within(largest, around, beside)
    };
    capacity_within(size, around, beside).or_else(of_last)
}

/// Rated voltage of `wire` with the place that says it; `None` where nothing does.
#[must_use]
pub fn voltage_of(model: &Model, wire: &Wire) -> Option<(RatedVoltage, Span)> {
    let at = match made_as(model, wire) {
        Make::Core(kind) => kind.voltage,
        Make::Single(kind) => kind.voltage,
        Make::Unknown => None,
    }?;
    Some((at.value, at.span))
}

/// Resistance per metre at 20 degC that `wire` would have if it were of `size`; `None` for a size that is not above zero.
#[must_use]
pub fn resistance_as(model: &Model, wire: &Wire, size: SquareMillimetre) -> Option<OhmPerMetre> {
    let standard = match made_as(model, wire) {
        Make::Core(kind) => kind.standard,
        Make::Single(kind) => kind.standard,
        Make::Unknown => None,
    };
    // Without a known standard the road series holds.
    let series = standard.and_then(|standard| Series::named(model.text(standard.value))).unwrap_or_default();
    conductor::resistance(series, size).map(|resistance| resistance.r20.value)
}

/// Resistance of `wire` at 20 degC; length and size are assumed where the design gives none.
#[must_use]
pub fn resistance_of(model: &Model, wire: &Wire) -> Ohm {
    let size = wire.size.map_or(SquareMillimetre::new(ASSUMED_SIZE), |at| at.value);
    let length = wire.length.map_or(Metre::new(ASSUMED_LENGTH), |at| at.value);
    let per_metre = resistance_as(model, wire, size).unwrap_or(OhmPerMetre::new(ASSUMED_RESISTANCE));
    (per_metre * length).max(Ohm::new(LEAST_RESISTANCE))
}

/// How thick the insulation of a conductor kind is, by its `wall` or by the text of its standard; `None` where neither
/// says it: ISO 6722-1 alone has several.
#[must_use]
pub fn wall_of(model: &Model, kind: &Conductor) -> Option<Wall> {
    match kind.wall.map(|wall| wall.value) {
        Some(vocabulary::Wall::Thin) => Some(Wall::Thin),
        Some(vocabulary::Wall::Thick) => Some(Wall::Thick),
        None => named(model.text(kind.standard?.value)),
    }
}

/// The largest diameter of a single wire over its insulation.
///
/// `None` for cores of cables, for wires to other standards than those of road vehicles, for sizes that the table does not
/// print, and where neither `wall` nor the text of the standard says how thick the insulation is: ISO 6722-1 alone has
/// several.
#[must_use]
pub fn over_insulation(model: &Model, wire: &Wire) -> Option<Sourced<Millimetre>> {
    over_insulation_at(model, wire, wire.size?.value)
}

/// As [`over_insulation`], of a wire of the same kind and another size.
#[must_use]
pub fn over_insulation_at(model: &Model, wire: &Wire, size: SquareMillimetre) -> Option<Sourced<Millimetre>> {
    if wire.core.is_some() {
        return None;
    }
    let kind = &model[wire.kind?];
    let standard = kind.standard.map_or("", |standard| model.text(standard.value));
    if !standard.is_empty() && Series::named(standard) != Some(Series::Road) {
        return None;
    }
    outer_diameter(size, wall_of(model, kind)?)
}

/// What `wire` is insulated with: as its kind says, else the worst that wire of its rating is made with; `None` where neither is known.
#[must_use]
pub fn insulation_of(model: &Model, wire: &Wire) -> Option<Sourced<Insulation>> {
    match given_insulation(model, wire) {
        Some(own) => Some(own.given()),
        None => surroundings(model, wire).rated.map(Insulation::assumed),
    }
}

/// The material that is taken for `wire`, where the design gives none and its rating allows for a better one too.
#[must_use]
pub fn open_insulation(model: &Model, wire: &Wire) -> Option<Insulation> {
    let rated = surroundings(model, wire).rated.filter(|rated| Insulation::is_open(*rated))?;
    given_insulation(model, wire).is_none().then(|| Insulation::assumed(rated).value)
}

fn given_insulation(model: &Model, wire: &Wire) -> Option<Insulation> {
    let own = match made_as(model, wire) {
        Make::Core(kind) => kind.insulation,
        Make::Single(kind) => kind.insulation,
        Make::Unknown => None,
    };
    own.map(|own| own.value)
}

/// `wire` as a fault meets it, among what is beside it, and what its insulation withstands; `None` where its size or its
/// rating is not known. Air that the design does not give is taken as [`unknown_air`]: without any, a wire would burn under a
/// current that it carries for ever.
#[must_use]
pub fn withstand(model: &Model, wire: &Wire, beside: Beside) -> Option<(short_circuit::Conductor, Covering)> {
    let size = wire.size?.value;
    let mut around = surroundings(model, wire);
    let rated = around.rated?;
    around.ambient = around.ambient.or_else(|| around.class().map(|class| unknown_air(class).value));
    let covering = Covering { insulation: insulation_of(model, wire)?.value, rated, size };
    let conductor = short_circuit::Conductor {
        size,
        capacity: capacity_or_less(size, around, beside).map(|capacity| capacity.amps),
        // A capacity is never that of a temperature beyond what its table is right for.
        rated: around.thermal().map_or(rated, |thermal| thermal.conductor),
        ambient: around.ambient.unwrap_or(rated),
    };
    Some((conductor, covering))
}

/// The wall that the text of a standard names, as in `ISO 6722-1 thin wall`.
fn named(standard: &str) -> Option<Wall> {
    let standard = standard.to_lowercase();
    // Ultra-thin wall has diameters of its own, which the table does not hold.
    if standard.contains("ultra") {
        return None;
    }
    match (standard.contains("thin"), standard.contains("thick")) {
        (true, false) => Some(Wall::Thin),
        (false, true) => Some(Wall::Thick),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_named_wall_is_known() {
        assert_eq!(named("ISO 6722-1 thin wall"), Some(Wall::Thin));
        assert_eq!(named("ISO 6722-1, Thick wall"), Some(Wall::Thick));
        assert_eq!(named("ISO 6722-1 ultra thin wall"), None);
        assert_eq!(named("ISO 6722-1"), None);
    }
}
