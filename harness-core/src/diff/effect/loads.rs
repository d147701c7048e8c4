//! Loads of both designs: whether a source reaches them, whether their current gets back, which fuse is before them, and
//! what is lost on the way.

use super::{Crossing, Pair, Threshold, Turn, modes::common, threshold::crossing, twins, was};
use crate::{
    analysis::Analysis,
    diff::renames::Renames,
    electrical::{
        ModeState,
        conductors::drop::{Drop, Fed},
        connectivity::Connectivity,
        fuses::fuse::kind_of,
    },
    inspect::Guards,
    model::{ElementId, ElementKind},
    network::{Edge, EdgeId, EdgeRole},
    quantity::{Ampere, Volt},
    vocabulary::LoadKind,
};
use rustc_hash::FxHashMap;
use std::{borrow::Cow, cmp::Reverse};

/// A load, a coil, a converter or a battery on charge of which something changed.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadChange {
    /// `coolant-pump.motor`, as the newer design calls it.
    pub name: String,
    /// As the older design calls it, where that is another name.
    pub was: Option<String>,
    /// What it is, in a word: `lamp`, `coil`, `converter`, `battery`; `load` where nothing says more.
    pub what: &'static str,
    /// What it lost or gained in modes in which it runs in both designs; empty where nothing.
    pub supply: Vec<SupplyChange>,
    /// The fuses before it, where those changed: others, other ratings, more or less of them.
    pub fuses: Option<Pair<FusesBefore>>,
    /// The volts that are lost on the way, in the mode in which they are most, where they changed. `None` on a side where a
    /// battery is not charged; what a load loses that is not fed in both designs is not reported.
    pub drop: Option<Pair<Option<DropFigure>>>,
}

/// What a load needs to run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Supply {
    /// A source that is on reaches it.
    Source,
    /// Its current gets back to that source.
    Return,
}

/// What a load lost or gained.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SupplyChange {
    /// Source or return.
    pub supply: Supply,
    /// Lost or gained.
    pub turn: Turn,
    /// In which modes, in the order of the newer design.
    pub modes: Vec<String>,
}

/// The fuses before a load.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FusesBefore {
    /// Each by itself, by name; any of them may have to clear a fault in the feed. Empty where none is before it.
    pub fuses: Vec<FuseName>,
    /// How many more there are than are listed; of these only the number is compared.
    pub more: usize,
}

/// A fuse before a load, as its own design names it.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseName {
    /// `fuse-box.F4`.
    pub name: String,
    /// Its rating; `None` where its kind gives none.
    pub rating: Option<Ampere>,
}

/// Volts that are lost between a source and what it feeds.
#[derive(Debug, Clone, PartialEq)]
pub struct DropFigure {
    /// The volts that count against the limit.
    pub volts: Volt,
    /// The most that may be lost.
    pub most: Volt,
    /// The mode in which they are most.
    pub mode: String,
    /// Whether a conductor on the way counts nothing, because it has no length or no size.
    pub is_partial: bool,
}

impl LoadChange {
    /// For sorting, the most severe first: what lost something, what loses too much, what lost a fuse, the rest.
    fn rank(&self) -> impl Ord + use<> {
        let lost = self.supply.iter().any(|change| change.turn == Turn::Lost);
        let unfused = self.fuses.as_ref().is_some_and(|fuses| fuses.new.fuses.is_empty());
        (Reverse(lost), self.drop_crossing(), Reverse(unfused))
    }

    /// On which side of their limit the lost volts were and are.
    #[must_use]
    pub fn drop_crossing(&self) -> Crossing {
        let drop = self.drop.as_ref();
        crossing(drop.and_then(|drop| margin(drop.old.as_ref())), drop.and_then(|drop| margin(drop.new.as_ref())))
    }
}

/// The limit over what is lost; `None` where nothing is.
fn margin(drop: Option<&DropFigure>) -> Option<f64> {
    drop.filter(|drop| drop.volts.get() > 0.0).map(|drop| drop.most.get() / drop.volts.get())
}

/// Whether a source reaches a load, and whether its current gets back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Supplied {
    source: bool,
    back: bool,
}

/// What takes current: an element with the edge by which it does.
type Taker = (ElementId, EdgeId, Edge);

/// A design with what takes current in it.
struct Takers<'a> {
    analysis: &'a Analysis,
    guards: Guards<'a>,
    takers: Vec<Taker>,
    drops: FxHashMap<ElementId, &'a Drop>,
}

impl<'a> Takers<'a> {
    fn new(analysis: &'a Analysis) -> Self {
        // A battery takes current while it is charged.
        let taker = |(id, edge): (EdgeId, &Edge)| {
            let element = edge.element().filter(|_| edge.role.draws() || edge.role.takes_charge())?;
            Some((element, id, *edge))
        };
        let takers = analysis.network().edges().filter_map(taker).collect();
        let drops = analysis.electrical().drops().iter().map(|drop| (drop.element, drop)).collect();
        Self { analysis, guards: Guards::new(analysis), takers, drops }
    }

    fn named(&self) -> impl Iterator<Item = (Cow<'static, str>, Taker)> {
        self.takers.iter().map(|taker| (Cow::Owned(self.analysis.model().element_name(taker.0)), *taker))
    }

    /// Whether the element is meant to run in a mode; coils and what names no mode run whenever they are fed.
    fn runs(&self, taker: Taker, mode: &ModeState) -> bool {
        match taker.2.role {
            EdgeRole::Load | EdgeRole::ConverterInput => {
                self.analysis.model()[taker.0].kind.modes().is_none_or(|modes| modes.has(mode.id))
            }
            EdgeRole::Coil => true,
            // What feeds a battery does not depend on its modes.
            EdgeRole::Source { .. } => false,
            EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::Interlock => false,
            EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::ConverterOutput { .. } => false,
            EdgeRole::Resistor | EdgeRole::Shunt | EdgeRole::Capacitor | EdgeRole::Diode => false,
        }
    }

    /// What reaches a load in a mode.
    fn supplied(&self, (element, id, edge): Taker, mode: &ModeState, view: &Connectivity) -> Supplied {
        let (from, to) = (edge.a, edge.b);
        let leans = mode.no_return.binary_search(&id).is_ok();
        if !leans && self.is_alive((element, id, edge), mode) {
            return Supplied { source: true, back: true };
        }
        if view.hard.of(from) == view.hard.of(to) && view.is_fed(from) {
            if view.closed.of(from) != view.closed.of(to) {
                return Supplied { source: true, back: true };
            }
            // Both sides are on one conductor: it has what that conductor has.
            let (source, back) = view.poles(from);
            return Supplied { source, back };
        }
        let live = match (view.is_fed(from), view.is_fed(to)) {
            (false, false) => return Supplied { source: false, back: false },
            // Each side hangs on a source of its own: no current gets back.
            (true, true) => return Supplied { source: true, back: false },
            (true, false) => from,
            (false, true) => to,
        };
        match view.poles(live) {
            (true, false) => Supplied { source: true, back: false },
            (false, true) => Supplied { source: false, back: true },
            // Between two sources in a row: its first side is the feed.
            _ => Supplied { source: live == from, back: live != from },
        }
    }

    /// Whether a load has half its nominal voltage or more, through whatever; where nothing names that, whether it carries
    /// current.
    fn is_alive(&self, (element, id, edge): Taker, mode: &ModeState) -> bool {
        let (model, domains) = (self.analysis.model(), self.analysis.electrical().domains());
        let points = model[element].points.iter().take(2);
        let nominal = points.filter_map(|point| domains.of(*point)).next().map(|domain| model[domain].nominal.get());
        let across = (mode.volts(edge.a).get() - mode.volts(edge.b).get()).abs();
        match nominal.filter(|nominal| *nominal > 0.0) {
            Some(nominal) => across >= ALIVE * nominal,
            None => mode.amps(id).get().abs() > NOTHING,
        }
    }

    /// The fuses before either side of an element, by name.
    fn fuses(&self, taker: Taker) -> FusesBefore {
        let model = self.analysis.model();
        let [(mut fuses, more), (others, more_others)] = [taker.2.a, taker.2.b].map(|point| self.guards.before_point(point));
        fuses.extend(others);
        fuses.sort_unstable();
        fuses.dedup();
        let rating = |fuse: ElementId| kind_of(model, fuse).and_then(|kind| kind.rating).map(|rating| rating.value);
        let mut named: Vec<FuseName> =
            fuses.into_iter().map(|fuse| FuseName { name: model.element_name(fuse), rating: rating(fuse) }).collect();
        named.sort_by(|a, b| a.name.cmp(&b.name));
        FusesBefore { fuses: named, more: more + more_others }
    }

    fn drop(&self, taker: Taker) -> Option<DropFigure> {
        let drop = self.drops.get(&taker.0).filter(|drop| (drop.fed == Fed::Battery) == taker.2.role.is_source())?;
        Some(DropFigure {
            volts: drop.volts(),
            most: drop.most(),
            mode: self.analysis.model().mode_name(drop.mode).to_owned(),
            is_partial: drop.is_partial(),
        })
    }

    fn what(&self, taker: Taker) -> &'static str {
        match &self.analysis.model()[taker.0].kind {
            ElementKind::Load { kind, .. } => kind.map_or("load", LoadKind::word),
            ElementKind::Relay { .. } => "coil",
            ElementKind::Converter { .. } => "converter",
            ElementKind::Source { .. } => "battery",
            ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) | ElementKind::Fuse { .. } => "load",
            ElementKind::Switch { .. } | ElementKind::Disconnect { .. } | ElementKind::Link { .. } => "load",
            ElementKind::Interlock { .. } => "load",
        }
    }
}

/// Share of its nominal voltage from which a load counts as alive.
const ALIVE: f64 = 0.5;
/// Current that counts as none, in ampere.
const NOTHING: f64 = 1e-6;

pub(super) fn compare(designs: Pair<&Analysis>, renames: &Renames, threshold: &Threshold) -> Vec<LoadChange> {
    let sides = Pair { old: Takers::new(designs.old), new: Takers::new(designs.new) };
    let pairs = twins(sides.old.named(), sides.new.named(), renames);
    let mut supplies: Vec<Vec<SupplyChange>> = vec![Vec::new(); pairs.len()];
    for mode in common(designs) {
        let views = Pair { old: designs.old.facts().joined_in(mode.old), new: designs.new.facts().joined_in(mode.new) };
        let name = designs.new.model().mode_name(mode.new.id);
        for ((_, old, new), changes) in pairs.iter().zip(&mut supplies) {
            if sides.old.runs(*old, mode.old) && sides.new.runs(*new, mode.new) {
                let before = sides.old.supplied(*old, mode.old, views.old);
                let after = sides.new.supplied(*new, mode.new, views.new);
                add(changes, Supply::Source, (before.source, after.source), name);
                add(changes, Supply::Return, (before.back, after.back), name);
            }
        }
    }
    let mut changes: Vec<LoadChange> = pairs
        .into_iter()
        .zip(supplies)
        .filter_map(|((names, old, new), mut supply)| {
            supply.sort_by_key(|change| (change.turn, change.supply));
            let change = LoadChange {
                was: was(&names.old, &names.new),
                name: names.new.into_owned(),
                what: sides.new.what(new),
                supply,
                fuses: fuses(&sides, old, new, renames),
                drop: drop(&sides, old, new, threshold),
            };
            (!change.supply.is_empty() || change.fuses.is_some() || change.drop.is_some()).then_some(change)
        })
        .collect();
    changes.sort_by(|a, b| a.rank().cmp(&b.rank()).then_with(|| a.name.cmp(&b.name)));
    changes
}

fn add(changes: &mut Vec<SupplyChange>, supply: Supply, has: (bool, bool), mode: &str) {
    let turn = match has {
        (true, false) => Turn::Lost,
        (false, true) => Turn::Gained,
        _ => return,
    };
    match changes.iter_mut().find(|change| change.supply == supply && change.turn == turn) {
        Some(change) => change.modes.push(mode.to_owned()),
        None => changes.push(SupplyChange { supply, turn, modes: vec![mode.to_owned()] }),
    }
}

fn fuses(sides: &Pair<Takers<'_>>, old: Taker, new: Taker, renames: &Renames) -> Option<Pair<FusesBefore>> {
    // The fuses before a battery are those between it and its charger: they are reported as fuses.
    if new.2.role.is_source() {
        return None;
    }
    let fuses = Pair { old: sides.old.fuses(old), new: sides.new.fuses(new) };
    let mut before: Vec<(Option<Cow<'_, str>>, Option<Ampere>)> =
        fuses.old.fuses.iter().map(|fuse| (renames.successor(&fuse.name), fuse.rating)).collect();
    before.sort_by(|a, b| a.0.cmp(&b.0));
    let after = fuses.new.fuses.iter().map(|fuse| (Some(Cow::Borrowed(fuse.name.as_str())), fuse.rating));
    let is_same = fuses.old.more == fuses.new.more && before.into_iter().eq(after);
    (!is_same).then_some(fuses)
}

fn drop(sides: &Pair<Takers<'_>>, old: Taker, new: Taker, threshold: &Threshold) -> Option<Pair<Option<DropFigure>>> {
    let drop = Pair { old: sides.old.drop(old), new: sides.new.drop(new) };
    let told = match (&drop.old, &drop.new) {
        (Some(before), Some(after)) => {
            let turns = crossing(margin(drop.old.as_ref()), margin(drop.new.as_ref()));
            threshold.tells_volts(before.volts, after.volts) || matches!(turns, Crossing::Out | Crossing::Back)
        }
        (before, after) => before.is_some() != after.is_some() && new.2.role.is_source(),
    };
    told.then_some(drop)
}
