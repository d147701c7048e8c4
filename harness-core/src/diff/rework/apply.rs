//! Does the steps of a rework order to a built design, and refuses what hands could not do.

use super::{
    Step,
    bench_state::{BenchState, Lead, owner, renamed, renamed_item, word},
};
use crate::{
    diff::{Fact, FactKey, Facts, Item, Key, Kind},
    format::{Attribute, Work},
};
use std::{collections::BTreeMap, fmt};

/// One thing that hands do, so that a program can follow.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// A source or disconnect is taken off.
    Isolate(Key),
    /// A source or disconnect is put back.
    Restore(Key),
    /// An end is unmated or unbolted.
    Part(Key),
    /// An end is mated, bolted, or tied back where it mates nothing.
    Join(Key),
    /// A covering, a splice, or a loom without a route is opened.
    Open(Key),
    /// What was opened is closed.
    Close(Key),
    /// Things get other names, all at once.
    Relabel(Vec<(Key, Key)>),
    /// An end of a wire or screen leaves a place.
    TakeOut {
        /// The wire or cable.
        lead: Key,
        /// The place.
        place: Item,
    },
    /// An end of a wire or screen goes to a place.
    PutIn {
        /// The wire or cable.
        lead: Key,
        /// The place.
        place: Item,
        /// How many the new design has there.
        most: usize,
    },
    /// A thing goes, with all that is left in it.
    Remove(Key),
    /// A thing comes. A wire comes without its places.
    Add(Key, Facts),
    /// A fact of a thing becomes another.
    Set {
        /// The thing.
        key: Key,
        /// The fact.
        fact: FactKey,
        /// What it was.
        old: Option<Fact>,
        /// What it becomes.
        new: Option<Fact>,
    },
    /// A cavity gets a plug.
    Plug(Item),
    /// A plug is taken out of a cavity.
    Unplug(Item),
    /// A pin or stud gets another signal name.
    Label {
        /// The pin or stud.
        key: Key,
        /// What it was called.
        old: Option<Fact>,
        /// What it is called now.
        new: Option<Fact>,
    },
}

impl Action {
    /// The things that it is done at; names on labels are not among them.
    pub(super) fn keys(&self) -> Vec<&Key> {
        match self {
            Self::Isolate(key)
            | Self::Restore(key)
            | Self::Part(key)
            | Self::Join(key)
            | Self::Open(key)
            | Self::Close(key)
            | Self::Remove(key)
            | Self::Add(key, _)
            | Self::Set { key, .. } => vec![key],
            Self::TakeOut { lead, place } | Self::PutIn { lead, place, .. } => {
                let at = if let Item::Thing(key, _) = place { Some(key) } else { None };
                std::iter::once(lead).chain(at).collect()
            }
            Self::Plug(Item::Thing(key, _)) | Self::Unplug(Item::Thing(key, _)) => vec![key],
            Self::Plug(Item::Word(_)) | Self::Unplug(Item::Word(_)) | Self::Relabel(_) | Self::Label { .. } => Vec::new(),
        }
    }
}

/// Why a step can't be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepError {
    /// The number of the step; 0 for what changes on paper only.
    pub step: u32,
    /// The step.
    pub headline: String,
    /// Why it can't be done.
    pub reason: String,
}

impl fmt::Display for StepError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "step {} can't be done: {}: {}", self.step, self.headline, self.reason)
    }
}

impl std::error::Error for StepError {}

impl BenchState {
    /// Does one step.
    ///
    /// # Errors
    /// Why it can't be done, with the step.
    pub fn take(&mut self, step: &Step) -> Result<(), StepError> {
        for action in &step.actions {
            self.act(action).map_err(|reason| StepError { step: step.number, headline: step.headline.clone(), reason })?;
        }
        Ok(())
    }

    /// Does one action.
    ///
    /// # Errors
    /// Why it can't be done.
    pub fn act(&mut self, action: &Action) -> Result<(), String> {
        match action {
            Action::Isolate(key) => refuse(!self.isolated.insert(key.clone()), || format!("{key} is off already")),
            Action::Restore(key) => refuse(!self.isolated.remove(key), || format!("{key} was not off")),
            Action::Part(key) => {
                refuse(self.mate(key).is_none(), || format!("{key} mates nothing"))?;
                refuse(!self.parted.insert(key.clone()), || format!("{key} is apart already"))
            }
            Action::Join(key) => {
                refuse(!self.articles.contains_key(key), || format!("{key} is not there"))?;
                refuse(!self.parted.remove(key), || format!("{key} was not apart"))
            }
            Action::Open(key) => {
                refuse(!self.articles.contains_key(key), || format!("{key} is not there"))?;
                refuse(!self.opened.insert(key.clone()), || format!("{key} is open already"))
            }
            Action::Close(key) => refuse(!self.opened.remove(key), || format!("{key} was not open")),
            Action::Relabel(names) => self.relabel(names),
            Action::TakeOut { lead, place } => {
                self.reachable(place)?;
                let held = self.leads.get_mut(lead).ok_or_else(|| format!("{lead} is not there"))?;
                let at = held.places.iter().position(|taken| taken == place);
                let at = at.ok_or_else(|| format!("{lead} has no end at {}", word(place)))?;
                held.places.remove(at);
                Ok(())
            }
            Action::PutIn { lead, place, most } => {
                self.reachable(place)?;
                let taken = self.taken(place);
                refuse(taken >= *most, || format!("{} holds {taken} already, the new design has {most} there", word(place)))?;
                if let Item::Thing(key, _) = place {
                    refuse(!self.articles.contains_key(key), || format!("{key} is not there"))?;
                }
                refuse(self.plugs.contains(place), || format!("{} is plugged", word(place)))?;
                let held = self.leads.get_mut(lead).ok_or_else(|| format!("{lead} is not there"))?;
                held.places.push(place.clone());
                held.places.sort();
                Ok(())
            }
            Action::Remove(key) => self.remove(key),
            Action::Add(key, facts) => self.add_new(key, facts),
            Action::Set { key, fact, old, new } => self.set(key, fact, old.as_ref(), new.as_ref()),
            Action::Plug(place) => refuse(!self.plugs.insert(place.clone()), || format!("{} is plugged already", word(place))),
            Action::Unplug(place) => refuse(!self.plugs.remove(place), || format!("{} has no plug", word(place))),
            Action::Label { key, old, new } => {
                refuse(self.labels.get(key) != old.as_ref(), || format!("{key} bears another label"))?;
                match new {
                    Some(new) => self.labels.insert(key.clone(), new.clone()),
                    None => self.labels.remove(key),
                };
                Ok(())
            }
        }
    }

    /// Whether hands get at a place.
    fn reachable(&self, place: &Item) -> Result<(), String> {
        let Item::Thing(key, _) = place else { return Ok(()) };
        match key.kind {
            Kind::End => match self.held(key).into_iter().find(|end| !self.parted.contains(end)) {
                Some(end) => Err(format!("{end} is not apart yet")),
                None => Ok(()),
            },
            Kind::Splice => refuse(!self.opened.contains(key), || format!("{key} is not open yet")),
            _ => Ok(()),
        }
    }

    fn uncovered(&self, lead: &Key) -> Result<(), String> {
        match self.coverings(lead).into_iter().find(|covering| !self.opened.contains(covering)) {
            Some(covering) => Err(format!("{covering} is not open yet")),
            None => Ok(()),
        }
    }

    fn set(&mut self, key: &Key, fact: &FactKey, old: Option<&Fact>, new: Option<&Fact>) -> Result<(), String> {
        refuse(self.fact(key, fact.clone()) != old, || format!("`{fact}` of {key} is not what the step begins with"))?;
        let in_hand = |place: &Item| matches!(place, Item::Thing(end, _) if end == key);
        if key.kind == Kind::End && *fact == Attribute::Housing {
            let left = self.leads.iter().find(|(_, lead)| lead.places.iter().any(in_hand));
            refuse(left.is_some(), || format!("{} is still in {key}", left.map_or(key, |(lead, _)| lead)))?;
        }
        let is_way = old.or(new).is_some_and(|fact| fact.class.work() == Some(Work::Lay));
        if is_way {
            self.uncovered(key)?;
        }
        let facts = match self.leads.get_mut(key) {
            Some(lead) => &mut lead.facts,
            None => self.articles.get_mut(key).ok_or_else(|| format!("{key} is not there"))?,
        };
        match new {
            Some(new) => facts.insert(fact.clone(), new.clone()),
            None => facts.remove(fact),
        };
        if is_way { self.uncovered(key) } else { Ok(()) }
    }

    fn add_new(&mut self, key: &Key, facts: &Facts) -> Result<(), String> {
        refuse(self.leads.contains_key(key) || self.articles.contains_key(key), || format!("{key} is there already"))?;
        if matches!(key.kind, Kind::Wire | Kind::Cable) {
            self.leads.insert(key.clone(), Lead { places: Vec::new(), facts: facts.clone() });
            return self.uncovered(key);
        }
        self.articles.insert(key.clone(), facts.clone());
        match key.kind {
            // What is new is open and apart until somebody closes and mates it.
            Kind::End if self.mate(key).is_some() => self.parted.insert(key.clone()),
            Kind::Splice => self.opened.insert(key.clone()),
            Kind::Segment if self.is_covered(key) => self.opened.insert(key.clone()),
            Kind::Loom => self.opened.insert(key.clone()),
            _ => true,
        };
        Ok(())
    }

    fn remove(&mut self, key: &Key) -> Result<(), String> {
        if self.leads.contains_key(key) {
            self.uncovered(key)?;
            let left = self.leads.get(key).and_then(|lead| lead.places.first());
            refuse(left.is_some(), || format!("{key} is still at {}", left.map(word).unwrap_or_default()))?;
            self.leads.remove(key);
            return Ok(());
        }
        refuse(!self.articles.contains_key(key), || format!("{key} is not there"))?;
        let inner = format!("{}.", key.path);
        let within = |other: &Key| other == key || other.path.starts_with(&inner);
        let gone: Vec<Key> = self.articles.keys().filter(|other| within(other) && may_hold(key, other)).cloned().collect();
        for part in &gone {
            let joined = if part.kind == Kind::End { self.held(part) } else { self.mated_with(part) };
            let joined = joined.into_iter().find(|end| !self.parted.contains(end));
            refuse(joined.is_some(), || format!("{} is not apart yet", joined.as_ref().unwrap_or(part)))?;
        }
        let whole = key.kind == Kind::Loom;
        if whole {
            self.leads.retain(|lead, _| owner(lead) != Some(key.path.as_str()));
        }
        let at = |place: &Item| matches!(place, Item::Thing(part, _) if gone.contains(part));
        let left = self.leads.iter().find(|(_, lead)| lead.places.iter().any(at));
        refuse(left.is_some(), || format!("{} is still joined to {key}", left.map_or(key, |(lead, _)| lead)))?;
        self.plugs.retain(|place| !at(place));
        for part in &gone {
            self.articles.remove(part);
            self.parted.remove(part);
            self.opened.remove(part);
            self.isolated.remove(part);
        }
        if matches!(key.kind, Kind::Device | Kind::Port) {
            self.labels.retain(|label, _| !within(label));
        }
        Ok(())
    }

    fn relabel(&mut self, names: &[(Key, Key)]) -> Result<(), String> {
        let names: BTreeMap<&Key, &Key> = names.iter().map(|(old, new)| (old, new)).collect();
        let rename = |key: &Key| names.get(key).map_or_else(|| key.clone(), |new| (*new).clone());
        let facts = |facts: &Facts| -> Facts { facts.iter().map(|(name, fact)| (name.clone(), renamed(fact, rename))).collect() };
        let mut built = Self::default();
        for (key, lead) in &self.leads {
            let mut places: Vec<Item> = lead.places.iter().map(|place| renamed_item(place, rename)).collect();
            places.sort();
            built.leads.insert(rename(key), Lead { places, facts: facts(&lead.facts) });
        }
        built.articles = self.articles.iter().map(|(key, had)| (rename(key), facts(had))).collect();
        built.plugs = self.plugs.iter().map(|place| renamed_item(place, rename)).collect();
        built.labels = self.labels.iter().map(|(key, fact)| (rename(key), fact.clone())).collect();
        built.parted = self.parted.iter().map(rename).collect();
        built.opened = self.opened.iter().map(rename).collect();
        built.isolated = self.isolated.iter().map(rename).collect();
        let lost = built.leads.len() != self.leads.len()
            || built.articles.len() != self.articles.len()
            || built.labels.len() != self.labels.len();
        refuse(lost, || "two things would bear one name".to_owned())?;
        *self = built;
        Ok(())
    }
}

/// Whether `part`, whose name begins with that of `whole`, is in it: a loom and a device may share a name.
fn may_hold(whole: &Key, part: &Key) -> bool {
    match whole.kind {
        Kind::Loom => !matches!(part.kind, Kind::Device | Kind::Port),
        Kind::Device => matches!(part.kind, Kind::Device | Kind::Port | Kind::Element),
        _ => part == whole,
    }
}

fn refuse(fault: bool, reason: impl FnOnce() -> String) -> Result<(), String> {
    if fault { Err(reason()) } else { Ok(()) }
}
