//! An inventory as a graph: things by number, who names whom, what is in what.

use crate::diff::inventory::{Fact, FactKey, Inventory, Item, Key, Thing};
use rustc_hash::FxHashMap;

/// That one thing names another, seen from either of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Mention<'a> {
    /// The fact that names it.
    pub(super) fact: &'a FactKey,
    /// What follows the name, such as a cavity.
    pub(super) rest: &'a str,
    /// The place in a list whose order says something.
    pub(super) place: u32,
    /// The other thing.
    pub(super) other: u32,
    /// Whether it joins the two, or only says of what kind one is.
    pub(super) joins: bool,
}

/// An inventory as a graph.
#[derive(Debug)]
pub(super) struct Graph<'a> {
    pub(super) things: Vec<(&'a Key, &'a Thing)>,
    /// The thing that each is a part of.
    pub(super) parent: Vec<Option<u32>>,
    children: Vec<Vec<u32>>,
    out: Vec<Vec<Mention<'a>>>,
    into: Vec<Vec<Mention<'a>>>,
    /// Things without a parent.
    pub(super) top: Vec<u32>,
}

impl<'a> Graph<'a> {
    pub(super) fn new(inventory: &'a Inventory) -> Self {
        let things: Vec<(&Key, &Thing)> = inventory.things.iter().collect();
        let numbers: FxHashMap<&Key, u32> = things.iter().zip(0..).map(|((key, _), number)| (*key, number)).collect();
        let count = things.len();
        let mut side = Self {
            things,
            parent: Vec::with_capacity(count),
            children: vec![Vec::new(); count],
            out: vec![Vec::new(); count],
            into: vec![Vec::new(); count],
            top: Vec::new(),
        };
        for number in 0..count as u32 {
            let Some((_, thing)) = side.thing(number) else { continue };
            let parent = thing.parent.as_ref().and_then(|parent| numbers.get(parent).copied());
            match parent.and_then(|parent| side.children.get_mut(parent as usize)) {
                Some(children) => children.push(number),
                None => side.top.push(number),
            }
            side.parent.push(parent);
            for (name, fact) in &thing.facts {
                side.links(&numbers, number, name, fact, fact.class.joins());
            }
        }
        side
    }

    fn links(&mut self, numbers: &FxHashMap<&Key, u32>, from: u32, name: &'a FactKey, fact: &'a Fact, joins: bool) {
        for (item, place) in fact.items.iter().zip(0_u32..) {
            let Item::Thing(key, rest) = item else { continue };
            let Some(&to) = numbers.get(key) else { continue };
            let link = Mention { fact: name, rest, place: if fact.is_ordered() { place } else { 0 }, other: to, joins };
            if let Some(out) = self.out.get_mut(from as usize) {
                out.push(link);
            }
            if let Some(into) = self.into.get_mut(to as usize) {
                into.push(Mention { other: from, ..link });
            }
        }
    }

    pub(super) fn count(&self) -> u32 {
        self.things.len() as u32
    }

    pub(super) fn thing(&self, number: u32) -> Option<(&'a Key, &'a Thing)> {
        self.things.get(number as usize).copied()
    }

    pub(super) fn parent(&self, number: u32) -> Option<u32> {
        self.parent.get(number as usize).copied().flatten()
    }

    pub(super) fn children(&self, number: u32) -> &[u32] {
        self.children.get(number as usize).map_or(&[], Vec::as_slice)
    }

    /// Whether a link holds the thing that it leads to in its place: it joins it, or it is one of the uses of a mode, zone or
    /// domain, which is what its uses make of it.
    pub(super) fn holds(&self, link: &Mention<'_>, target: u32) -> bool {
        link.joins || self.thing(target).is_some_and(|(key, _)| key.kind.is_setting())
    }

    /// The things that this one names.
    pub(super) fn out(&self, number: u32) -> &[Mention<'a>] {
        self.out.get(number as usize).map_or(&[], Vec::as_slice)
    }

    /// The things that name this one.
    pub(super) fn into(&self, number: u32) -> &[Mention<'a>] {
        self.into.get(number as usize).map_or(&[], Vec::as_slice)
    }
}
