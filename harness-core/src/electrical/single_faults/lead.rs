//! What a fault in a row led to, from which it follows what the same fault leads to elsewhere in the row.
//!
//! A contact that resists more gives all of the row the current that it would have wherever in the row it were; only the points between the
//! two places are by that drop higher or lower. A break leaves the row without current; the points between the two places hang on the other
//! end. Which point an island has for its zero must not depend on it: where it may, or where anything else than resistances and loads is in
//! the row, the fault is tried by itself.
//!
//! Cost: the points between the two places; a pass over the network where one of them is above a limit.

use super::{
    Effects,
    effect::{Before, compare, heat, is_notable},
    ground::Ground,
    things::Things,
};
use crate::{
    electrical::altered::{After, Moved},
    model::PointId,
    network::EdgeId,
    quantity::{Ohm, Volt},
};

/// Voltage between points that nothing flows between, in volt.
const LEVEL: f64 = 1e-9;

/// The fault that was tried, and what flows after it.
#[derive(Debug)]
pub(super) struct Lead<'a> {
    pub(super) edge: EdgeId,
    /// By how much a contact resists more; `None` for a break.
    pub(super) raised: Option<Ohm>,
    pub(super) after: After<'a>,
    /// What it changes.
    pub(super) effects: Effects,
}

impl<'a> Lead<'a> {
    /// What the same fault changes at another edge of the row, and this again; `None` where that does not follow from it.
    pub(super) fn at(self, (things, ground): (&Things<'_>, &Ground<'_>), edge: EdgeId) -> (Option<Effects>, Option<Self>) {
        let Some(moved) = self.moved(things, ground, edge) else { return (None, Some(self)) };
        // What draws has the voltage that it had, and so has every point but these and those whose return is one of them.
        let of_returns = moved.iter().filter_map(|moved| things.dependents.get(&moved.point)).flatten().copied();
        let touched: Vec<PointId> = moved.iter().map(|moved| moved.point).chain(of_returns).collect();
        let shows = |after: &After<'_>| touched.iter().any(|point| is_notable(things, after, *point));
        let showed = shows(&self.after) || touched.iter().any(|point| things.is_guard(*point));
        let after = self.after.with_moved(moved);
        let mut found = if showed || shows(&after) {
            let found = compare(things, &ground.rest, Before::Rest(&ground.rest), &after, None);
            Effects { opens: self.effects.opens.clone(), burns: self.effects.burns.clone(), ..found }
        } else {
            self.effects.clone()
        };
        if let Some(ohms) = self.raised {
            heat(&mut found, after.amps(edge), ohms);
        }
        let left = Self { after: after.with_moved(Vec::new()), ..self };
        (Some(found), Some(left))
    }

    /// The points between the two places, where they are with the fault at the other one.
    fn moved(&self, things: &Things<'_>, ground: &Ground<'_>, edge: EdgeId) -> Option<Vec<Moved>> {
        let after = &self.after;
        let ((row, from), (other, to)) = (things.rows.of(self.edge)?, things.rows.of(edge)?);
        if row != other || ground.is_plain.get(row as usize) != Some(&true) {
            return None;
        }
        let points = &things.rows.at(row)?.points;
        let is_ahead = from < to;
        let (first, last) = (from.min(to), from.max(to));
        // The ends that the two places have in common, the one beyond the lead's and the one beyond the other's.
        let (lower, upper) = (*points.get(first)?, *points.get(last + 1)?);
        let (own_end, far_end) = if is_ahead { (lower, upper) } else { (upper, lower) };
        let between = points.get(first + 1..=last)?;
        if !self.keeps_zero(ground, between, [lower, upper]) {
            return None;
        }
        let mut moved: Vec<Moved> = match self.raised {
            None => {
                let is_level = |point: &PointId| {
                    after.are_joined(*point, far_end) && (after.volts(*point) - after.volts(far_end)).get().abs() <= LEVEL
                };
                if !between.iter().all(is_level) {
                    return None;
                }
                let volts = after.volts(own_end);
                between.iter().map(|point| Moved { point: *point, volts, with: own_end }).collect()
            }
            Some(ohms) => {
                // Positive from the lead's place to the other one.
                let enters = things.network[self.edge].a == own_end;
                let amps = if enters { after.amps(self.edge) } else { -after.amps(self.edge) };
                let drop = Volt::new(amps.get() * ohms.get());
                between.iter().map(|point| Moved { point: *point, volts: after.volts(*point) + drop, with: *point }).collect()
            }
        };
        moved.sort_unstable_by_key(|moved| moved.point);
        Some(moved)
    }

    /// Whether the zero of no island can be one of the points between the two places.
    fn keeps_zero(&self, ground: &Ground<'_>, between: &[PointId], ends: [PointId; 2]) -> bool {
        let order = &ground.order;
        let Some(first) = between.iter().map(|point| order[*point]).min() else { return true };
        let keeps = |end: &PointId| {
            let is_zero = |zero: &PointId| order[*zero] < first && self.after.are_joined(*zero, *end);
            !self.after.is_live(*end) || order[*end] < first || ground.zeros.iter().any(is_zero)
        };
        ends.iter().all(keeps)
    }
}
