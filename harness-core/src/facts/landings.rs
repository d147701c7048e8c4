//! Points of devices that take bare wires (screw, tab, strip, ferrule), with the wires at each.

use super::{
    Facts,
    claims::Claims,
    wire_ends::{WireEnd, WireEnds},
};
use crate::{
    model::{EndId, Fixing, LandingKind, LandingKindId, LandingTakes, ModeId, Model, PointId, PortId, PortKind},
    quantity::{Ampere, SquareMillimetre},
    wording::count,
};

impl Facts {
    /// The points for bare wires that belong to this build and whose kind is known, in the order of the ports.
    ///
    /// Cost: one pass over the ports and the wires at them. Asked by `netlist/crowded-cavity`, `contact/wrong-terminal`,
    /// `contact/over-current` and for what is missing.
    #[must_use]
    pub fn landings(&self) -> &[LandingUse] {
        self.made.landings.get_or_init(|| landings(self.model(), self.claims(), self.wire_ends()))
    }

    /// The largest current through a point over all modes, with its mode: what flows in through its wires or out through them,
    /// whichever is more; `None` where nothing flows.
    ///
    /// Cost: the edges at the point for each mode.
    #[must_use]
    pub fn landing_current(&self, landing: &LandingUse) -> Option<(Ampere, ModeId)> {
        let points: Vec<PointId> = landing.ends.iter().flat_map(|end| self.model()[*end].points.iter()).collect();
        let mut worst: Option<(Ampere, ModeId)> = None;
        for mode in self.electrical().modes() {
            let (mut inward, mut outward) = (0.0, 0.0);
            for point in &points {
                // What flows from wire to wire under the screw passes it too; the joint into the device is the difference.
                for (id, edge, _) in self.network().around(*point).filter(|(_, edge, _)| edge.wire().is_some()) {
                    let amps = mode.working_amps(id, edge).get();
                    let towards = if edge.b == *point { amps } else { -amps };
                    if towards > 0.0 { inward += towards } else { outward -= towards }
                }
            }
            let amps = Ampere::new(f64::max(inward, outward));
            if amps.get() > worst.map_or(0.0, |(worst, _)| worst.get()) {
                worst = Some((amps, mode.id));
            }
        }
        worst
    }
}

/// A point for bare wires and what is at it.
#[derive(Debug, Clone)]
pub struct LandingUse {
    /// The port.
    pub port: PortId,
    /// How it holds a wire.
    pub fixing: Fixing,
    /// Its kind.
    pub kind: LandingKindId,
    /// The loom ends that land on it.
    pub ends: Vec<EndId>,
    /// The wires at it, in the order written.
    pub wires: Vec<WireEnd>,
}

impl LandingUse {
    /// The wires of a stated size that the point does not take, by the row of its kind that leaves out the fewest; with that row.
    /// Empty where there are more wires than the point takes, and where nothing says what it takes.
    #[must_use]
    pub fn misfits(&self, model: &Model) -> Vec<(WireEnd, SquareMillimetre, LandingTakes)> {
        let misfits_of = |row: &LandingTakes| -> Vec<(WireEnd, SquareMillimetre, LandingTakes)> {
            let sized = self.wires.iter().filter_map(|end| Some((*end, model[end.wire].size?.value, *row)));
            sized.filter(|(_, size, row)| row.size.value.outside(*size).is_some()).collect()
        };
        let rows = model[self.kind].rows(self.wires.len());
        rows.map(misfits_of).min_by_key(Vec::len).unwrap_or_default()
    }
}

/// What a kind takes, in words: "1 wire of 0.5 to 6 mm2 or 2 wires of 0.5 to 4 mm2".
#[must_use]
pub fn taken_in_words(kind: &LandingKind) -> String {
    let rows: Vec<String> = kind
        .takes
        .iter()
        .map(|row| {
            let wires = count(row.wires.value as usize, "wire");
            format!("{wires} of {} to {}", row.size.value.least, row.size.value.most)
        })
        .collect();
    rows.join(" or ")
}

fn landings(model: &Model, claims: &Claims, ends: &WireEnds) -> Vec<LandingUse> {
    let mut found = Vec::new();
    for (id, port) in model.ports() {
        let PortKind::Landing(landing) = port.kind else { continue };
        let Some(kind) = landing.kind.filter(|_| model[port.device].fitted) else { continue };
        let at: Vec<EndId> = claims.bare_ends(id).to_vec();
        let wires = at.iter().flat_map(|end| model[*end].points.iter()).flat_map(|point| ends.wires(point).iter().copied());
        found.push(LandingUse { port: id, fixing: landing.fixing, kind, wires: wires.collect(), ends: at });
    }
    found
}
