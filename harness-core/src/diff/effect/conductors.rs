//! Conductors of both designs: current, volts, heat, margins and shorts, in the worst mode and mode by mode.

use super::{Crossing, MarginChange, Pair, Threshold, fuses::margins, modes::common, twins, was};
use crate::{
    analysis::Analysis,
    arena::IdVec,
    diff::renames::Renames,
    electrical::{ModeState, conductors::conductor::surroundings},
    inspect::{ConductorLoad, Loads, Outcome, Short},
    model::WireId,
    network::EdgeId,
    quantity::{Ampere, Celsius, SquareMillimetre, Volt},
};
use rustc_hash::FxHashMap;
use std::{borrow::Cow, mem::discriminant};

/// A conductor of which something changed by more than the threshold.
#[derive(Debug, Clone, PartialEq)]
pub struct ConductorChange {
    /// `front.107`, as the newer design calls it.
    pub name: String,
    /// As the older design calls it, where that is another name.
    pub was: Option<String>,
    /// How its margins crossed their limits, if at all: the most severe of them, those that did not move included.
    pub crossing: Crossing,
    /// Its cross-section, changed or not; `None` on a side where it is not given.
    pub size: Pair<Option<SquareMillimetre>>,
    /// The largest current, where it changed, with its mode.
    pub amps: Option<Pair<Worst<Ampere>>>,
    /// The volts along it in the mode in which they are most, where that changed.
    pub drop: Option<Pair<Volt>>,
    /// Its temperature in the mode in which it is hottest, where that changed; `None` on a side where there is no steady one.
    pub temperature: Option<Pair<Option<Celsius>>>,
    /// Its continuous capacity where it is installed, where that changed; `None` on a side where a fact for it is missing.
    pub capacity: Option<Pair<Option<Ampere>>>,
    /// The margins that changed: load against capacity, rating of the fuse against capacity, worst short against what it
    /// withstands. Empty where none did.
    pub margins: Vec<MarginChange>,
    /// Its worst short, where its margin, its outcome or the fuse that opens changed: prospective current, opening time, how
    /// long the conductor withstands it.
    /// `None` on a side where none flows past a fuse, or its size or rating is not known.
    pub short: Option<Pair<Option<Short>>>,
    /// Modes of both designs in which current, volts or temperature changed, in the order of the newer; empty where none did.
    pub modes: Vec<InMode>,
}

/// A figure of the worst mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Worst<T> {
    /// The figure.
    pub figure: T,
    /// The mode; `None` where none loads the thing.
    pub mode: Option<String>,
}

/// A conductor in one mode. A short of its source is not a current of its own: there it carries none.
#[derive(Debug, Clone, PartialEq)]
pub struct InMode {
    /// The mode.
    pub mode: String,
    /// The current, without its direction.
    pub amps: Pair<Ampere>,
    /// The volts along it.
    pub drop: Pair<Volt>,
    /// Its temperature; `None` where there is no steady one.
    pub temperature: Pair<Option<Celsius>>,
}

/// A design with its wires by name and its edges by wire.
struct WireFigures<'a> {
    analysis: &'a Analysis,
    wires: FxHashMap<String, WireId>,
    edges: IdVec<WireId, Option<EdgeId>>,
}

impl<'a> WireFigures<'a> {
    fn new(analysis: &'a Analysis) -> Self {
        let mut wires: FxHashMap<String, WireId> = FxHashMap::default();
        for (id, _) in analysis.model().wires() {
            wires.entry(analysis.model().wire_name(id)).or_insert(id);
        }
        let mut edges = IdVec::of(None, analysis.model().wires().len());
        for (id, edge) in analysis.network().edges() {
            if let Some(wire) = edge.wire() {
                edges[wire] = Some(id);
            }
        }
        Self { analysis, wires, edges }
    }

    fn amps(&self, mode: &ModeState, wire: WireId) -> Ampere {
        let amps = |id: EdgeId| Ampere::new(mode.working_amps(id, &self.analysis.network()[id]).get().abs());
        self.edges[wire].map_or_else(Ampere::default, amps)
    }

    fn drop(&self, mode: &ModeState, wire: WireId) -> Volt {
        let wire = &self.analysis.model()[wire];
        let ends = wire.from.zip(wire.to).filter(|(from, _)| !mode.is_shorted(*from));
        ends.map_or_else(Volt::default, |(from, to)| Volt::new((mode.volts(from).get() - mode.volts(to).get()).abs()))
    }

    /// The volts along a conductor in the mode in which they are most.
    fn most_drop(&self, wire: WireId) -> Volt {
        let drops = self.analysis.electrical().modes().map(|mode| self.drop(mode, wire));
        drops.fold(Volt::default(), |most, drop| if drop > most { drop } else { most })
    }

    /// The temperature of a conductor in the mode in which it is hottest; `None` where one of them lets it warm without end,
    /// or none was computed.
    fn hottest(&self, wire: WireId) -> Option<Celsius> {
        let mut most: Option<Celsius> = None;
        for mode in self.analysis.electrical().modes() {
            let at = mode.temperature(wire)?;
            most = Some(most.map_or(at, |most| if at > most { at } else { most }));
        }
        most
    }

    /// The air around a conductor.
    fn air(&self, wire: WireId) -> Option<Celsius> {
        surroundings(self.analysis.model(), &self.analysis.model()[wire]).ambient
    }
}

pub(super) fn compare(
    designs: Pair<&Analysis>,
    rows: &Pair<Loads>,
    renames: &Renames,
    threshold: &Threshold,
) -> Vec<ConductorChange> {
    let sides = Pair { old: WireFigures::new(designs.old), new: WireFigures::new(designs.new) };
    let modes = common(designs);
    let (old, new) = (rows.old.conductors.iter(), rows.new.conductors.iter());
    let pairs = twins(
        old.map(|row| (Cow::Borrowed(row.name.as_str()), row)),
        new.map(|row| (Cow::Borrowed(row.name.as_str()), row)),
        renames,
    );
    let mut changes: Vec<ConductorChange> = pairs
        .into_iter()
        .filter_map(|(_, old, new)| {
            let wires = Pair { old: *sides.old.wires.get(&old.name)?, new: *sides.new.wires.get(&new.name)? };
            change(&sides, &modes, Pair { old, new }, wires, (renames, threshold))
        })
        .collect();
    changes.sort_by(|a, b| a.crossing.cmp(&b.crossing).then_with(|| a.name.cmp(&b.name)));
    changes
}

fn change(
    sides: &Pair<WireFigures<'_>>,
    modes: &[Pair<&ModeState>],
    rows: Pair<&ConductorLoad>,
    wires: Pair<WireId>,
    (renames, threshold): (&Renames, &Threshold),
) -> Option<ConductorChange> {
    let Pair { old, new } = rows;
    let air = Pair { old: sides.old.air(wires.old), new: sides.new.air(wires.new) };
    let heats = |before: Option<Celsius>, after: Option<Celsius>| threshold.tells_heat((before, air.old), (after, air.new));
    let drop = Pair { old: sides.old.most_drop(wires.old), new: sides.new.most_drop(wires.new) };
    let hottest = Pair { old: sides.old.hottest(wires.old), new: sides.new.hottest(wires.new) };
    let (margins, crossing) = margins(&old.margins, &new.margins, threshold);
    let worst = |row: &ConductorLoad| Worst { figure: row.amps, mode: row.mode.clone() };
    let capacity = match (old.capacity, new.capacity) {
        (Some(before), Some(after)) => threshold.tells_amps(before, after),
        (before, after) => before.is_some() != after.is_some(),
    };
    let in_modes = modes.iter().filter_map(|mode| {
        let row = InMode {
            mode: sides.new.analysis.model().mode_name(mode.new.id).to_owned(),
            amps: Pair { old: sides.old.amps(mode.old, wires.old), new: sides.new.amps(mode.new, wires.new) },
            drop: Pair { old: sides.old.drop(mode.old, wires.old), new: sides.new.drop(mode.new, wires.new) },
            temperature: Pair { old: mode.old.temperature(wires.old), new: mode.new.temperature(wires.new) },
        };
        let told = threshold.tells_amps(row.amps.old, row.amps.new)
            || threshold.tells_volts(row.drop.old, row.drop.new)
            || heats(row.temperature.old, row.temperature.new);
        told.then_some(row)
    });
    let change = ConductorChange {
        name: new.name.clone(),
        was: was(&old.name, &new.name),
        crossing,
        size: Pair { old: old.size, new: new.size },
        amps: threshold.tells_amps(old.amps, new.amps).then(|| Pair { old: worst(old), new: worst(new) }),
        drop: threshold.tells_volts(drop.old, drop.new).then_some(drop),
        temperature: heats(hottest.old, hottest.new).then_some(hottest),
        capacity: capacity.then_some(Pair { old: old.capacity, new: new.capacity }),
        short: tells_short(old.short.as_ref(), new.short.as_ref(), renames, threshold)
            .then(|| Pair { old: old.short.clone(), new: new.short.clone() }),
        margins,
        modes: in_modes.collect(),
    };
    let told = change.amps.is_some()
        || change.drop.is_some()
        || change.temperature.is_some()
        || change.capacity.is_some()
        || change.short.is_some()
        || !change.margins.is_empty()
        || !change.modes.is_empty();
    told.then_some(change)
}

/// A prospective current that changes and leaves the margin where it was does not count as an effect: nearly every wire changes those of
/// half a vehicle.
fn tells_short(old: Option<&Short>, new: Option<&Short>, renames: &Renames, threshold: &Threshold) -> bool {
    match (old, new) {
        (Some(old), Some(new)) => {
            let before = old.fuse.as_deref().map(|fuse| renames.to_new(fuse));
            discriminant(&old.outcome) != discriminant(&new.outcome)
                || before.as_deref() != new.fuse.as_deref()
                || threshold.tells_margin(ratio(old), ratio(new))
        }
        (old, new) => old.is_some() != new.is_some(),
    }
}

/// The margin of a short; one that burns its conductor and never ends has none left.
fn ratio(short: &Short) -> Option<f64> {
    match (&short.outcome, short.ratio) {
        (Outcome::Burns, None) => Some(0.0),
        (_, ratio) => ratio,
    }
}
