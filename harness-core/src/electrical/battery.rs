//! Batteries as strings: which cells and modules are in series, and how high each point is above the negative end.
//!
//! Owns the static picture: every fuse fitted, every disconnect in, every switch closed that is closed in some mode; contacts of which
//! only one is closed at a time join nothing, for a string is what is always there. What
//! conductors then join is a *lump*, sources are between lumps, and sources in parallel are one *bank*. A lump at which two
//! banks meet is the inside of a *string*; where more meet, or where equal poles meet at something that takes current, a string ends.
//! Sources that are there in some modes only (chargers, mains) belong to no string unless they are in series with others of the same modes,
//! as solar panels are. Alternating ones belong to none.
//!
//! Cost: a few passes over the edges and one walk over the sources.

mod lumps;

use self::lumps::{busy, grounds, lumps, rows};
use super::alternatives::Alternatives;
use crate::{
    arena::{IdVec, ids},
    model::{ElementId, ElementKind, ModeSet, Model, PointId},
    network::{Domains, Edge, Network},
    quantity::{Ohm, Volt},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::{VecDeque, hash_map::Entry};

ids! {
    /// What conductors join once everything is fitted and in; sources are between such lumps.
    LumpId;
    /// Lumps that sources join, one way or another.
    TreeId;
    /// Sources side by side, by their number.
    StretchId;
}

/// Per lump that sources join: its tree, and how high it is there.
type Heights = FxHashMap<LumpId, (TreeId, Volt)>;

/// The batteries of a design.
#[derive(Debug, Default)]
pub struct Batteries {
    /// Per point: its lump.
    lumps: IdVec<PointId, LumpId>,
    /// Per lump that sources join: its tree, and how high it is there.
    heights: Heights,
    /// Per tree: its lowest height.
    lowest: IdVec<TreeId, Volt>,
    /// The strings, in the order of their first sources.
    pub strings: Vec<BatteryString>,
}

/// Links in a row, from the negative end.
#[derive(Debug, Clone)]
pub struct BatteryString {
    /// The banks.
    pub banks: Vec<Bank>,
    /// A pole at its lower end.
    pub bottom: PointId,
    /// A pole at its upper end.
    pub top: PointId,
}

/// Sources side by side.
#[derive(Debug, Clone)]
pub struct Bank {
    /// The sources, in the order written; at least one. Those without a limit come first.
    pub cells: Vec<Cell>,
    /// Whether it raises the string; `false` for a module that is the wrong way round.
    pub rises: bool,
    /// The first of its sources, which is named for it.
    pub first: Cell,
}

/// A source of a bank.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    /// The element.
    pub source: ElementId,
    /// Open voltage.
    pub emf: Volt,
    /// Internal resistance; 10 mohm where none is given.
    pub resistance: Ohm,
    /// Gives no more than its limit and takes no reverse current.
    pub limited: bool,
}

impl Batteries {
    /// The lump of a point.
    #[must_use]
    pub fn lump(&self, point: PointId) -> LumpId {
        self.lumps[point]
    }

    /// The tree of sources that a point hangs on, and its height there; `None` where conductors join it to no source.
    #[must_use]
    pub fn height(&self, point: PointId) -> Option<(u32, Volt)> {
        self.heights.get(&self.lumps[point]).map(|(tree, height)| (tree.0, *height))
    }

    /// The voltage of a string, as it is above the lowest point that sources join to it.
    #[must_use]
    pub fn voltage(&self, string: &BatteryString) -> Volt {
        let own = string.voltage();
        match self.heights.get(&self.lumps[string.top]) {
            Some((tree, height)) if string.is_straight() => own.max(*height - self.lowest[*tree]),
            Some(_) | None => own,
        }
    }
}

impl BatteryString {
    /// Sum of its banks.
    #[must_use]
    pub fn voltage(&self) -> Volt {
        self.banks.iter().map(|bank| if bank.rises { bank.first.emf } else { -bank.first.emf }).sum()
    }

    /// The first source of each bank, from the negative end.
    pub fn modules(&self) -> impl DoubleEndedIterator<Item = ElementId> {
        self.banks.iter().map(|bank| bank.first.source)
    }

    /// Internal resistance of its banks.
    #[must_use]
    pub fn resistance(&self) -> Ohm {
        self.banks.iter().map(|bank| bank.first.resistance).sum()
    }

    /// Whether all its banks have the same polarity.
    #[must_use]
    pub fn is_straight(&self) -> bool {
        self.banks.iter().all(|bank| bank.rises)
    }
}

/// Finds the batteries of a design.
#[must_use]
pub fn batteries(network: &Network, domains: &Domains, alternatives: &Alternatives) -> Batteries {
    let model = network.model();
    let lumps = lumps(network, alternatives);
    let of = |point: PointId| lumps[point];
    let busy = busy(network, &of);
    let rows = rows(network, &of, &busy);
    let mut maker = Maker::default();
    for (_, edge) in network.edges() {
        if let Some(cell) = cell(model, domains, edge, &rows) {
            maker.add(of(edge.a), of(edge.b), (edge.a, edge.b), cell);
        }
    }
    for (_, stretch) in maker.stretches.iter_mut() {
        stretch.sort(model);
    }
    let grounds = grounds(model, &of);
    let strings = maker.strings(&busy, &grounds);
    let (heights, lowest) = maker.heights();
    Batteries { lumps, heights, lowest, strings }
}

/// What a source is to a battery; `None` for one that is not a part of it.
fn cell(model: &Model, domains: &Domains, edge: &Edge, rows: &FxHashSet<ElementId>) -> Option<Cell> {
    let source = edge.element()?;
    let ElementKind::Source { emf, modes, .. } = model[source].kind else { return None };
    let ac = domains.of(edge.b).is_some_and(|domain| model[domain].ac);
    let resistance = model[source].kind.inner_resistance()?.new;
    ((modes == ModeSet::ALL || rows.contains(&source)) && !ac).then_some(Cell {
        source,
        emf,
        resistance,
        limited: model[source].kind.limit().is_some(),
    })
}

/// A source with its negative and its positive point.
type Placed = (Cell, (PointId, PointId));

/// Sources side by side, before they are sorted into strings: from the lump `low` to the lump `high`.
struct Stretch {
    low: LumpId,
    high: LumpId,
    first: Placed,
    more: Vec<Placed>,
}

impl Stretch {
    /// Those without a limit first, then by name.
    fn sort(&mut self, model: &Model) {
        let key = |(cell, _): &Placed| (cell.limited, model.element_name(cell.source));
        self.more.sort_by_cached_key(key);
        if let Some(least) = self.more.first_mut()
            && key(least) < key(&self.first)
        {
            std::mem::swap(least, &mut self.first);
            self.more.sort_by_cached_key(key);
        }
    }

    /// As a part of a string that comes from the lump `from`.
    fn bank(&self, from: LumpId) -> Bank {
        let (first, _) = self.first;
        let cells = std::iter::once(&self.first).chain(&self.more).map(|(cell, _)| *cell).collect();
        Bank { cells, rises: self.low == from, first }
    }
}

#[derive(Default)]
struct Maker {
    stretches: IdVec<StretchId, Stretch>,
    by_lumps: FxHashMap<(LumpId, LumpId), StretchId>,
    around: FxHashMap<LumpId, Vec<StretchId>>,
    /// The lumps in the order in which sources name them.
    order: Vec<LumpId>,
}

impl Maker {
    fn add(&mut self, low: LumpId, high: LumpId, points: (PointId, PointId), cell: Cell) {
        if low == high {
            return;
        }
        // Of two sources side by side of which one is turned the second counts by itself: that is a short.
        if let Some(at) = self.by_lumps.get(&(low, high)) {
            self.stretches[*at].more.push((cell, points));
            return;
        }
        let at = self.stretches.push(Stretch { low, high, first: (cell, points), more: Vec::new() });
        self.by_lumps.insert((low, high), at);
        for lump in [low, high] {
            let around = self.around.entry(lump).or_default();
            if around.is_empty() {
                self.order.push(lump);
            }
            around.push(at);
        }
    }

    /// The stretches at a lump, each with the lump at its other side and whether it rises towards that.
    fn at(&self, lump: LumpId) -> impl Iterator<Item = (StretchId, LumpId, bool)> {
        self.around.get(&lump).into_iter().flatten().map(move |at| {
            let stretch = &self.stretches[*at];
            (*at, if stretch.low == lump { stretch.high } else { stretch.low }, stretch.low == lump)
        })
    }

    /// Whether two stretches meet here with equal poles.
    fn meets_equal(&self, lump: LumpId) -> bool {
        let mut rises = self.at(lump).map(|(_, _, rises)| rises);
        matches!((rises.next(), rises.next(), rises.next()), (Some(a), Some(b), None) if a == b)
    }

    /// Whether two batteries, each with its own positive end, share their negative end here.
    fn is_shared(&self, lump: LumpId) -> bool {
        self.at(lump).all(|(_, other, rises)| rises && self.at(other).count() == 1)
    }

    fn strings(&self, busy: &FxHashSet<LumpId>, grounds: &FxHashSet<LumpId>) -> Vec<BatteryString> {
        let ends = |lump: LumpId| {
            let shared = || grounds.contains(&lump) && self.is_shared(lump);
            let parts = || self.meets_equal(lump) && (busy.contains(&lump) || shared());
            self.around.get(&lump).map_or(0, Vec::len) != 2 || parts()
        };
        let mut used = IdVec::of(false, self.stretches.len());
        let mut found: Vec<(StretchId, BatteryString)> = Vec::new();
        // Strings side by side with nothing else at them form a circle: it is cut where equal poles meet.
        for circles in [false, true] {
            let ends = |lump: LumpId| if circles { self.meets_equal(lump) } else { ends(lump) };
            for lump in self.order.iter().copied().filter(|lump| ends(*lump)) {
                for (first, _, _) in self.at(lump) {
                    if !used[first] {
                        found.push((first, self.walk((lump, first), &ends, grounds, &mut used)));
                    }
                }
            }
        }
        found.sort_by_key(|(first, _)| *first);
        found.into_iter().map(|(_, string)| string).collect()
    }

    /// The string that leaves the lump `start` by the stretch `first`, which no string has used.
    fn walk(
        &self,
        (start, first): (LumpId, StretchId),
        ends: &dyn Fn(LumpId) -> bool,
        grounds: &FxHashSet<LumpId>,
        used: &mut IdVec<StretchId, bool>,
    ) -> BatteryString {
        let poles = |stretch: &Stretch, rises: bool| {
            let (_, (minus, plus)) = stretch.first;
            if rises { (minus, plus) } else { (plus, minus) }
        };
        let mut banks: Vec<Bank> = Vec::new();
        let (bottom, mut top) = poles(&self.stretches[first], self.stretches[first].low == start);
        let (mut lump, mut next) = (start, first);
        while !std::mem::replace(&mut used[next], true) {
            let stretch = &self.stretches[next];
            let bank = stretch.bank(lump);
            (_, top) = poles(stretch, bank.rises);
            lump = if bank.rises { stretch.high } else { stretch.low };
            banks.push(bank);
            if ends(lump) {
                break;
            }
            let Some((on, _, _)) = self.at(lump).find(|(at, _, _)| *at != next) else { break };
            next = on;
        }
        let string = BatteryString { banks, bottom, top };
        // Reported from the negative end; of a string of no voltage at all the end that most banks call so, or a pin does.
        let falls = string.banks.iter().filter(|bank| !bank.rises).count();
        let turned = match string.voltage().get() {
            volts if volts.abs() < 1e-9 => {
                falls * 2 > string.banks.len()
                    || (falls * 2 == string.banks.len() && grounds.contains(&lump) && !grounds.contains(&start))
            }
            volts => volts < 0.0,
        };
        if !turned {
            return string;
        }
        let banks = string.banks.into_iter().rev().map(|bank| Bank { rises: !bank.rises, ..bank }).collect();
        BatteryString { banks, bottom: top, top: bottom }
    }

    /// How high each lump is above the first of its tree, and the lowest height of each tree.
    fn heights(&self) -> (Heights, IdVec<TreeId, Volt>) {
        let mut heights = Heights::default();
        let mut lowest: IdVec<TreeId, Volt> = IdVec::new();
        for root in &self.order {
            if heights.contains_key(root) {
                continue;
            }
            let tree = lowest.next_id();
            let mut least = Volt::ZERO;
            heights.insert(*root, (tree, Volt::ZERO));
            let mut waiting = VecDeque::from([(*root, Volt::ZERO)]);
            while let Some((lump, own)) = waiting.pop_front() {
                for (at, other, rises) in self.at(lump) {
                    let (first, _) = self.stretches[at].first;
                    let height = if rises { own + first.emf } else { own - first.emf };
                    if let Entry::Vacant(slot) = heights.entry(other) {
                        slot.insert((tree, height));
                        least = least.min(height);
                        waiting.push_back((other, height));
                    }
                }
            }
            lowest.push(least);
        }
        (heights, lowest)
    }
}
