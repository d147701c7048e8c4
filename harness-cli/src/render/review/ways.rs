//! The ways of currents. Those of loads are written whole, and of the rest the longest; what goes with one of them names whose it is, up to where
//! or from where they go together.

use super::link::Links;
use maud::{Markup, html};
use std::{
    cmp::Reverse,
    collections::{HashMap, HashSet},
};

/// So many steps are written again rather than looked up.
const SHORT: usize = 4;

/// Between two steps.
const STEP: char = '\u{0}';

/// From the source to a thing, or from it back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Direction {
    Feed,
    Back,
}

/// A way of the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way<'t> {
    pub of: &'t str,
    pub direction: Direction,
    pub names: &'t [String],
    /// It is written whole in any case.
    pub is_whole: bool,
}

/// Which ways are written whole.
#[derive(Debug, Default)]
pub(super) struct Ways {
    /// What a way begins with at the source, step by step, and whose it is.
    feeds: HashMap<String, String>,
    /// The same of ways back, from the source too.
    backs: HashMap<String, String>,
    /// Those whose way this is written whole.
    feeds_whole: HashSet<String>,
    backs_whole: HashSet<String>,
}

impl Ways {
    /// Decides of all ways of the page.
    pub(super) fn of<'t>(links: &Links<'_>, ways: impl Iterator<Item = Way<'t>>) -> Self {
        let mut ways: Vec<(Way<'t>, Vec<&'t String>)> =
            ways.map(|way| (way, from_source(links, way.names, way.direction))).collect();
        ways.sort_by_key(|(way, steps)| if way.is_whole { (false, Reverse(0)) } else { (true, Reverse(steps.len())) });
        let mut all = Self::default();
        for (way, steps) in ways {
            let shared = all.shared(&steps, way.direction).map_or(0, |(count, _)| count);
            if !way.is_whole && steps.len() - shared <= SHORT {
                continue;
            }
            let (known, whole) = match way.direction {
                Direction::Feed => (&mut all.feeds, &mut all.feeds_whole),
                Direction::Back => (&mut all.backs, &mut all.backs_whole),
            };
            whole.insert(way.of.to_owned());
            for beginning in beginnings(&steps) {
                known.entry(beginning).or_insert_with(|| way.of.to_owned());
            }
        }
        all
    }

    /// How many steps from the source on are those of another, and whose.
    fn shared(&self, steps: &[&String], direction: Direction) -> Option<(usize, &String)> {
        let known = match direction {
            Direction::Feed => &self.feeds,
            Direction::Back => &self.backs,
        };
        let found = beginnings(steps).iter().enumerate().rev().find_map(|(at, beginning)| Some((at + 1, known.get(beginning)?)));
        found.filter(|(count, _)| *count >= SHORT)
    }

    /// The way of `own`, short where it goes with that of another.
    pub(super) fn markup(&self, links: &Links<'_>, own: &str, names: &[String], direction: Direction) -> Markup {
        let whole = match direction {
            Direction::Feed => &self.feeds_whole,
            Direction::Back => &self.backs_whole,
        };
        let mut steps = from_source(links, names, direction);
        let shared = self.shared(&steps, direction).filter(|_| !whole.contains(own));
        let Some((count, other)) = shared else { return links.way(names) };
        let mut rest = steps.split_off(count);
        let last = steps.last().copied();
        match direction {
            Direction::Feed => html! {
                "as to " (links.name(other))
                @if let Some(last) = last { " up to " (links.steps(&[last])) }
                @if !rest.is_empty() { " \u{203a} " (links.steps(&rest)) }
            },
            Direction::Back => {
                rest.reverse();
                html! {
                    @if !rest.is_empty() { (links.steps(&rest)) " \u{203a} " }
                    @if let Some(last) = last { (links.steps(&[last])) ", from there on " }
                    "as from " (links.name(other))
                }
            }
        }
    }
}

fn from_source<'n>(links: &Links<'_>, names: &'n [String], direction: Direction) -> Vec<&'n String> {
    let mut steps = links.kept(names);
    if direction == Direction::Back {
        steps.reverse();
    }
    steps
}

/// The steps up to each of them.
fn beginnings(steps: &[&String]) -> Vec<String> {
    let mut beginning = String::new();
    steps
        .iter()
        .map(|step| {
            beginning.push_str(step);
            beginning.push(STEP);
            beginning.clone()
        })
        .collect()
}
