//! What becomes of each thing between what is built and what shall be built, and what must be open and apart for it.

use super::bench_state::{BenchState, Lead, owner, word};
use crate::{
    diff::{Fact, FactKey, Facts, Item, Key, Kind},
    format::{Attribute, Work},
    quantity::{self, Metre, Unit},
};
use std::collections::{BTreeMap, BTreeSet};

/// A fact that becomes another.
#[derive(Debug, Clone)]
pub(super) struct FactChange {
    pub(super) fact: FactKey,
    pub(super) work: Work,
    pub(super) old: Option<Fact>,
    pub(super) new: Option<Fact>,
}

/// What becomes of a wire or cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Becomes {
    Gone,
    New,
    /// The old one goes, one like the new design's is cut.
    Replaced,
    Kept,
}

/// What becomes of a wire or cable, with the places that it leaves and those it goes to.
#[derive(Debug, Clone)]
pub(super) struct Fate {
    pub(super) becomes: Becomes,
    pub(super) outs: Vec<Item>,
    pub(super) ins: Vec<Item>,
    /// Facts that change on a wire that is kept.
    pub(super) turns: Vec<FactChange>,
}

impl Fate {
    pub(super) fn turn(&self, work: Work) -> Option<&FactChange> {
        self.turns.iter().find(|turn| turn.work == work)
    }

    /// Whether a wire that is kept becomes shorter.
    pub(super) fn is_cut_back(&self) -> bool {
        self.turn(Work::Length).is_some_and(|turn| turn.old.is_some() && turn.new.is_some())
    }
}

/// The whole of what becomes.
#[derive(Debug)]
pub(super) struct Plan<'a> {
    /// What is built, in the names of the new design.
    pub(super) before: &'a BenchState,
    pub(super) after: &'a BenchState,
    /// Wires and cables of looms that stay, as far as something becomes of them.
    pub(super) fates: BTreeMap<Key, Fate>,
    /// Ends of `before` that come apart.
    pub(super) parts: BTreeSet<Key>,
    /// Segments, splices and looms of `before` that are opened.
    pub(super) opens: BTreeSet<Key>,
    /// Leads that stay in their place and must be out for a while, by end.
    pub(super) reseated: BTreeMap<Key, Vec<(Key, Item)>>,
    /// How many leads the new design has at each place.
    most: BTreeMap<&'a Item, usize>,
    /// Ends of `before` by what they mate.
    mated: BTreeMap<&'a Key, Vec<&'a Key>>,
}

impl<'a> Plan<'a> {
    pub(super) fn new(before: &'a BenchState, after: &'a BenchState) -> Self {
        let mut plan = Self {
            before,
            after,
            fates: BTreeMap::new(),
            parts: BTreeSet::new(),
            opens: BTreeSet::new(),
            reseated: BTreeMap::new(),
            most: BTreeMap::new(),
            mated: BTreeMap::new(),
        };
        for place in after.leads.values().flat_map(|lead| &lead.places) {
            *plan.most.entry(place).or_default() += 1;
        }
        for end in before.articles.keys().filter(|key| key.kind == Kind::End) {
            if let Some(Item::Thing(mate, _)) = before.mate(end) {
                plan.mated.entry(mate).or_default().push(end);
            }
        }
        plan.leads();
        plan.ends();
        plan.coverings();
        plan
    }

    /// How many leads the new design has at a place.
    pub(super) fn most(&self, place: &Item) -> usize {
        self.most.get(place).copied().unwrap_or_default()
    }

    /// Whether a thing is in both.
    pub(super) fn stays(&self, key: &Key) -> bool {
        self.before.articles.contains_key(key) && self.after.articles.contains_key(key)
    }

    /// Whether the loom of a thing is in both.
    pub(super) fn loom_stays(&self, key: &Key) -> bool {
        owner(key).is_some_and(|loom| self.stays(&Key::new(Kind::Loom, loom)))
    }

    /// The facts of a thing in both that become others.
    pub(super) fn turns(&self, key: &Key) -> Vec<FactChange> {
        let (Some(old), Some(new)) = (self.before.articles.get(key), self.after.articles.get(key)) else { return Vec::new() };
        turns(old, new)
    }

    /// The terminal of a cavity.
    pub(super) fn terminal<'b>(built: &'b BenchState, end: &Key, cavity: &str) -> Option<&'b Fact> {
        built.fact(end, FactKey::labelled(Attribute::Terminals, cavity)).or_else(|| built.fact(end, Attribute::Terminal))
    }

    /// Whether a wire that is unpinned from one cavity can be pinned into another with the contact that it has: the same terminal by
    /// name, or none named and the same kind of housing.
    pub(super) fn keeps_contact(&self, from: &Item, to: &Item) -> bool {
        let (Item::Thing(old, cavity), Item::Thing(new, other)) = (from, to) else { return false };
        let is_cavity = |built: &BenchState, end: &Key, cavity: &str| {
            end.kind == Kind::End && !cavity.is_empty() && built.fact(end, Attribute::Ring).is_none()
        };
        if !is_cavity(self.before, old, cavity) || !is_cavity(self.after, new, other) {
            return false;
        }
        match (Self::terminal(self.before, old, cavity), Self::terminal(self.after, new, other)) {
            (Some(had), Some(asked)) => had == asked,
            (None, None) => {
                let (had, asked) = (self.before.fact(old, Attribute::Housing), self.after.fact(new, Attribute::Housing));
                old == new || had.is_some() && had == asked
            }
            (Some(_), None) | (None, Some(_)) => false,
        }
    }

    fn leads(&mut self) {
        let (before, after) = (self.before, self.after);
        let keys: BTreeSet<&Key> = before.leads.keys().chain(after.leads.keys()).collect();
        // Cables first: what becomes of them decides over their cores.
        for key in keys.into_iter().rev() {
            if !self.loom_stays(key) {
                continue;
            }
            let fate = match (before.leads.get(key), after.leads.get(key)) {
                (Some(old), None) => {
                    Fate { becomes: Becomes::Gone, outs: old.places.clone(), ins: Vec::new(), turns: Vec::new() }
                }
                (None, Some(new)) => Fate { becomes: Becomes::New, outs: Vec::new(), ins: new.places.clone(), turns: Vec::new() },
                (Some(old), Some(new)) if self.is_replaced(old, new) => {
                    Fate { becomes: Becomes::Replaced, outs: old.places.clone(), ins: new.places.clone(), turns: Vec::new() }
                }
                (Some(old), Some(new)) if old != new => {
                    let (outs, ins) = (without(&old.places, &new.places), without(&new.places, &old.places));
                    Fate { becomes: Becomes::Kept, outs, ins, turns: turns(&old.facts, &new.facts) }
                }
                _ => continue,
            };
            self.fates.insert(key.clone(), fate);
        }
    }

    /// Whether a lead can't become another by moving and cutting back.
    fn is_replaced(&self, old: &Lead, new: &Lead) -> bool {
        // What is not known of the one or the other is looked at on the wire, not cut anew.
        let differs = |(name, old): (&FactKey, &Fact)| {
            old.class.work() == Some(Work::Cut) && new.facts.get(name).is_some_and(|new| old != new)
        };
        let core = |lead: &Lead| lead.fact(Attribute::Core).cloned();
        let cable = new.fact(Attribute::Core).and_then(|core| core.items.first()).and_then(Item::thing);
        let new_cable = cable.and_then(|cable| self.fates.get(cable)).is_some_and(|fate| fate.becomes != Becomes::Kept);
        core(old) != core(new)
            || new_cable
            || old.facts.iter().any(differs)
            || is_longer(old.fact(Attribute::Length), new.fact(Attribute::Length))
    }

    fn ends(&mut self) {
        let mut touched: BTreeSet<Key> = BTreeSet::new();
        for fate in self.fates.values() {
            touched.extend(fate.outs.iter().chain(&fate.ins).filter_map(|place| thing(place, Kind::End)));
        }
        for (key, fate) in &self.fates {
            if let (Becomes::Kept, true, true) = (fate.becomes, fate.is_cut_back(), fate.outs.is_empty()) {
                touched.extend(self.cut_place(key).and_then(|place| thing(place, Kind::End)));
            }
        }
        let plugs = self.before.plugs.symmetric_difference(&self.after.plugs);
        touched.extend(plugs.filter_map(|place| thing(place, Kind::End)));
        for key in self.before.articles.keys() {
            let gone = !self.after.articles.contains_key(key);
            let hand = self.turns(key).iter().any(|turn| !matches!(turn.work, Work::Tie | Work::Torque));
            match key.kind {
                Kind::End if gone || hand || self.meets_what_comes(key) => {
                    touched.insert(key.clone());
                }
                Kind::Port if gone || hand => {
                    touched.extend(self.mated.get(key).into_iter().flatten().map(|end| (*end).clone()));
                }
                Kind::Device if hand => {
                    let own = format!("{}.", key.path);
                    let from = Key::new(Kind::Port, own.as_str());
                    let mated = self
                        .mated
                        .range::<Key, _>(&from..)
                        .take_while(|(mate, _)| mate.kind == Kind::Port && mate.path.starts_with(&own));
                    touched.extend(mated.flat_map(|(_, ends)| ends.iter().map(|end| (*end).clone())));
                }
                _ => {}
            }
        }
        for end in touched {
            if self.before.mate(&end).is_some() {
                self.parts.insert(end.clone());
            }
            self.parts.extend(self.mated.get(&end).into_iter().flatten().map(|end| (*end).clone()));
        }
        self.reseat();
    }

    /// Whether the counterpart of an end is in the old design on paper only and gets built.
    fn meets_what_comes(&self, end: &Key) -> bool {
        matches!(self.before.mate(end), Some(Item::Thing(mate, _))
            if !self.before.articles.contains_key(mate) && self.after.articles.contains_key(mate))
    }

    /// The leads that stay where a housing, ring or terminal is swapped.
    fn reseat(&mut self) {
        let turned = |end: &Key, fact: Attribute| self.before.fact(end, fact) != self.after.fact(end, fact);
        let mut found: BTreeMap<Key, Vec<(Key, Item)>> = BTreeMap::new();
        for (key, lead) in &self.before.leads {
            let fate = self.fates.get(key);
            if !self.loom_stays(key) || fate.is_some_and(|fate| fate.becomes != Becomes::Kept) {
                continue;
            }
            let outs = fate.map_or(&[][..], |fate| &fate.outs);
            for place in without(&lead.places, outs) {
                let Item::Thing(end, cavity) = &place else { continue };
                if end.kind != Kind::End || !self.stays(end) {
                    continue;
                }
                let terminal = Self::terminal(self.before, end, cavity) != Self::terminal(self.after, end, cavity);
                if terminal || turned(end, Attribute::Housing) || turned(end, Attribute::Ring) {
                    found.entry(end.clone()).or_default().push((key.clone(), place));
                }
            }
        }
        self.reseated = found;
    }

    fn coverings(&mut self) {
        let mut opens: BTreeSet<Key> = BTreeSet::new();
        let open = |opens: &mut BTreeSet<Key>, key: Key| {
            let covered = match key.kind {
                Kind::Segment => self.before.is_covered(&key),
                _ => self.before.articles.contains_key(&key),
            };
            if covered {
                opens.insert(key);
            }
        };
        for (key, fate) in &self.fates {
            if fate.becomes != Becomes::Kept || fate.turn(Work::Lay).is_some() {
                for built in [self.before, self.after].into_iter().filter(|built| built.leads.contains_key(key)) {
                    built.way(key).into_iter().for_each(|covering| open(&mut opens, covering));
                }
            }
            let places = fate.outs.iter().chain(&fate.ins);
            places.filter_map(|place| thing(place, Kind::Splice)).for_each(|splice| open(&mut opens, splice));
            if let (true, true, Some(place)) = (fate.is_cut_back(), fate.outs.is_empty(), self.cut_place(key)) {
                thing(place, Kind::Splice).into_iter().for_each(|splice| open(&mut opens, splice));
            }
        }
        for key in self.before.articles.keys().filter(|key| self.loom_stays(key)) {
            let gone = !self.after.articles.contains_key(key);
            let turns = self.turns(key);
            match key.kind {
                Kind::Splice if gone || !turns.is_empty() => open(&mut opens, key.clone()),
                Kind::Segment if turns.iter().any(|turn| turn.work == Work::Cover) => open(&mut opens, key.clone()),
                _ => {}
            }
        }
        let splices: Vec<Key> = opens.iter().filter(|key| key.kind == Kind::Splice).cloned().collect();
        for splice in splices {
            let at = self.before.fact(&splice, Attribute::At).and_then(|at| at.items.first());
            at.and_then(|at| thing(at, Kind::Segment)).into_iter().for_each(|segment| open(&mut opens, segment));
        }
        self.opens = opens;
    }

    /// The places to which something is put.
    pub(super) fn filled(&self) -> BTreeSet<&Item> {
        let seated = self.reseated.values().flatten().map(|(_, place)| place);
        let cut = self.fates.iter().filter(|(_, fate)| fate.is_cut_back() && fate.outs.is_empty());
        let ins = self.fates.values().flat_map(|fate| &fate.ins);
        ins.chain(seated).chain(cut.filter_map(|(key, _)| self.cut_place(key))).collect()
    }

    /// Where a lead that stays is cut back: in a connector or at a ring rather than in a splice.
    pub(super) fn cut_place(&self, key: &Key) -> Option<&'a Item> {
        let places = &self.before.leads.get(key)?.places;
        places.iter().find(|place| thing(place, Kind::End).is_some()).or_else(|| places.first())
    }
}

/// The thing of a place if it is of a kind.
pub(super) fn thing(place: &Item, kind: Kind) -> Option<Key> {
    match place {
        Item::Thing(key, _) if key.kind == kind => Some(key.clone()),
        _ => None,
    }
}

/// What is in `all` and not in `others`, as often as it is there more often.
pub(super) fn without(all: &[Item], others: &[Item]) -> Vec<Item> {
    let mut others: Vec<&Item> = others.iter().collect();
    let mut left = Vec::new();
    for item in all {
        match others.iter().position(|other| *other == item) {
            Some(at) => drop(others.swap_remove(at)),
            None => left.push(item.clone()),
        }
    }
    left
}

fn turns(old: &Facts, new: &Facts) -> Vec<FactChange> {
    let names: BTreeSet<&FactKey> = old.keys().chain(new.keys()).collect();
    let turns = names.into_iter().filter(|name| old.get(*name) != new.get(*name));
    let turn = |name: &FactKey| {
        let (old, new) = (old.get(name), new.get(name));
        // What is built holds only facts that hands change.
        let work = new.or(old)?.class.work()?;
        Some(FactChange { fact: name.clone(), work, old: old.cloned(), new: new.cloned() })
    };
    turns.filter_map(turn).collect()
}

fn metres(fact: Option<&Fact>) -> Option<f64> {
    quantity::parse::<Metre>(&word(fact?.items.first()?)).ok().map(Unit::get)
}

/// Whether a lead must be longer; lengths that can't be read are not known to suffice.
fn is_longer(old: Option<&Fact>, new: Option<&Fact>) -> bool {
    match (old, new) {
        (Some(_), Some(_)) if old != new => match (metres(old), metres(new)) {
            (Some(old), Some(new)) => new > old,
            _ => true,
        },
        _ => false,
    }
}
