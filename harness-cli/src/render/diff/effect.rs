//! What changes do, in words: one function a section, for every format that people read.

use super::{Compared, SAME};
use crate::{
    phrase::{counted, fitting},
    render::kit::figures::times,
};
use harness_core::{
    diff::effect::{
        ConductorChange, Crossing, DropFigure, FuseChange, FusesBefore, LoadChange, MarginChange, NetTurn, Pair, Stayed, Supply,
        Told, Turn, Worst,
    },
    finding::Level,
    inspect::{Outcome, Short},
    quantity::Second,
};
use std::fmt::Display;

/// One thing that changes do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// The level of the finding, where it is one.
    pub level: Option<Level>,
    /// What happened, in one line that makes sense by itself.
    pub text: String,
    /// What goes with it: figures, a place, a reason.
    pub more: Vec<String>,
}

/// Things of one kind that changes do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// `findings that came`.
    pub title: &'static str,
    /// The things, the most severe first.
    pub items: Vec<Item>,
}

/// All sections that have something to say, in the order in which they are reported.
#[must_use]
pub fn sections(compared: &Compared) -> Vec<Section> {
    let all = [
        Section { title: "findings that came", items: came(compared) },
        Section { title: "findings that stay with other figures", items: stayed(compared) },
        Section { title: "loads", items: loads(compared) },
        Section { title: "nets", items: nets(compared) },
        Section { title: "conductors", items: conductors(compared) },
        Section { title: "fuses", items: fuses(compared) },
        Section { title: "modes", items: modes(compared) },
        Section { title: "findings that went", items: went(compared) },
    ];
    all.into_iter().filter(|section| !section.items.is_empty()).collect()
}

/// One line for a difference that is none, or whose changes do nothing.
#[must_use]
pub fn nothing(compared: &Compared) -> Option<String> {
    if compared.is_same() {
        let one = compared.old.prefix == compared.new.prefix && compared.old.root == compared.new.root;
        return Some(if one { format!("{SAME}: both are one file") } else { SAME.to_owned() });
    }
    compared.effect.is_empty().then(|| "no finding came or went, and no figure changed enough to be listed".to_owned())
}

fn came(compared: &Compared) -> Vec<Item> {
    let told = compared.effect.findings.came.iter();
    told.map(|told| finding(told, &compared.new.shown(&told.place))).collect()
}

fn went(compared: &Compared) -> Vec<Item> {
    let told = compared.effect.findings.went.iter();
    told.map(|told| finding(told, &compared.old.shown(&told.place))).collect()
}

fn finding(told: &Told, place: &str) -> Item {
    let mut more = vec![place.to_owned()];
    more.extend(told.waived.as_ref().map(|waived| format!("accepted: {}", waived.reason)));
    Item { level: Some(told.level), text: format!("{}[{}]: {}", told.level, told.rule, told.headline), more }
}

fn stayed(compared: &Compared) -> Vec<Item> {
    let one = |Stayed { old, new, figures }: &Stayed| {
        let mut item = finding(new, &compared.new.shown(&new.place));
        if old.level != new.level {
            item.more.push(format!("level: from {} to {}", old.level, new.level));
        }
        match (&old.waived, &new.waived) {
            (Some(_), None) => item.more.push("no longer accepted".to_owned()),
            (None, Some(_)) => item.more.push("accepted now".to_owned()),
            _ => {}
        }
        item.more.extend(figures.iter().map(|(name, Pair { old, new })| format!("{name}: {}", step(old.as_ref(), new.as_ref()))));
        item
    };
    compared.effect.findings.changed.iter().map(one).collect()
}

fn loads(compared: &Compared) -> Vec<Item> {
    let one = |load: &LoadChange| {
        let mut told = Vec::new();
        for change in &load.supply {
            let what = match change.supply {
                Supply::Source => "source",
                Supply::Return => "return",
            };
            let turn = match change.turn {
                Turn::Lost => "no longer has",
                Turn::Gained => "has now",
            };
            told.push(format!("{turn} a {what} in `{}`", change.modes.join("`, `")));
        }
        told.extend(
            load.fuses.as_ref().map(|Pair { old, new }| format!("fuses before it: from {} to {}", before(old), before(new))),
        );
        told.extend(load.drop.as_ref().map(|Pair { old, new }| {
            let crossing = crossing(load.drop_crossing());
            let from = match (old, new) {
                (Some(old), Some(new)) if (old.most, &old.mode, old.is_partial) == (new.most, &new.mode, new.is_partial) => {
                    format!("from {} to {}", old.volts, volts(new))
                }
                _ => step(old.as_ref().map(volts), new.as_ref().map(volts)),
            };
            format!("voltage drop on the way: {from}{crossing}")
        }));
        of_thing(load.what, &load.name, load.was.as_deref(), told)
    };
    compared.effect.loads.iter().map(one).collect()
}

fn before(fuses: &FusesBefore) -> String {
    let mut names: Vec<String> = fuses
        .fuses
        .iter()
        .map(|fuse| match fuse.rating {
            Some(rating) => format!("`{}` ({rating})", fuse.name),
            None => format!("`{}` (rating unknown)", fuse.name),
        })
        .collect();
    if fuses.more > 0 {
        names.push(format!("{} more", fuses.more));
    }
    if names.is_empty() { "none".to_owned() } else { names.join(", ") }
}

fn volts(drop: &DropFigure) -> String {
    let partial = if drop.is_partial { ", without conductors of unknown length" } else { "" };
    format!("{} of at most {} in `{}`{partial}", drop.volts, drop.most, drop.mode)
}

fn nets(compared: &Compared) -> Vec<Item> {
    let one = |net: &harness_core::diff::effect::NetChange| {
        let text = match net.turn {
            NetTurn::Split => format!("split into {}: what was {}", net.parts.len(), net.whole),
            NetTurn::Joined => format!("joined from {}: what is now {}", net.parts.len(), net.whole),
        };
        Item { level: None, text, more: net.parts.iter().map(|part| format!("part: {part}")).collect() }
    };
    compared.effect.nets.iter().map(one).collect()
}

fn conductors(compared: &Compared) -> Vec<Item> {
    let one =
        |change: &ConductorChange| {
            let mut told = Vec::new();
            let size = change.size;
            if size.old != size.new {
                told.push(format!("size: {}", step(size.old, size.new)));
            }
            told.extend(change.amps.as_ref().map(|Pair { old, new }| format!("current: from {} to {}", worst(old), worst(new))));
            told.extend(change.drop.map(|Pair { old, new }| format!("voltage drop along it: from {old} to {new}")));
            told.extend(change.temperature.map(|Pair { old, new }| {
                let or_none = |at: Option<_>| {
                    at.map_or_else(|| "no steady one".to_owned(), |at: harness_core::quantity::Celsius| at.to_string())
                };
                format!("temperature: from {} to {}", or_none(old), or_none(new))
            }));
            told.extend(change.capacity.map(|Pair { old, new }| format!("capacity: {}", step(old, new))));
            told.extend(change.margins.iter().map(margin));
            told.extend(change.short.as_ref().map(|Pair { old, new }| {
                format!("worst short: before {}; now {}", or_none(old.as_ref()), or_none(new.as_ref()))
            }));
            // A change that no worst figure shows is reported mode by mode.
            if told.is_empty() {
                told.extend(change.modes.iter().map(|row| {
                    format!(
                        "in `{}`: current from {} to {}, voltage drop from {} to {}",
                        row.mode, row.amps.old, row.amps.new, row.drop.old, row.drop.new
                    )
                }));
            }
            let told = gravest(change.crossing, told);
            of_thing("wire", &change.name, change.was.as_deref(), told)
        };
    compared.effect.conductors.iter().map(one).collect()
}

fn worst<T: Display>(worst: &Worst<T>) -> String {
    match &worst.mode {
        Some(mode) => format!("{} in `{mode}`", worst.figure),
        None => "none".to_owned(),
    }
}

fn or_none(one: Option<&Short>) -> String {
    one.map_or_else(|| "none that is known".to_owned(), short)
}

fn short(short: &Short) -> String {
    let outcome = match &short.outcome {
        Outcome::Burns => "the insulation is overheated".to_owned(),
        Outcome::Unknown(fuse) => format!("not known because the times of `{fuse}` are missing"),
        Outcome::Stands => "withstood".to_owned(),
    };
    let ends = short.ends.map_or_else(|| "without end".to_owned(), |ends: Second| format!("ends in {ends}"));
    format!("{}, {ends}, {outcome}", short.amps)
}

fn fuses(compared: &Compared) -> Vec<Item> {
    let one = |change: &FuseChange| {
        let mut told = Vec::new();
        told.extend(change.rating.map(|Pair { old, new }| format!("rating: {}", step(old, new))));
        told.extend(change.amps.map(|Pair { old, new }| format!("load: from {} to {}", old.0, new.0)));
        told.extend(change.margins.iter().map(margin));
        of_thing("fuse", &change.name, change.was.as_deref(), gravest(change.crossing, told))
    };
    compared.effect.fuses.iter().map(one).collect()
}

fn margin(change: &MarginChange) -> String {
    let Pair { old, new } = &change.margin;
    let ratio = |margin: &harness_core::inspect::Margin| times(margin.ratio);
    let limit = new.as_ref().map_or_else(String::new, |margin| format!(" ({}, limit {})", margin.figure, margin.limit));
    let way = crossing(change.crossing);
    format!("margin of {}: {}{limit}{way}", change.against.word(), step(old.as_ref().map(ratio), new.as_ref().map(ratio)))
}

fn modes(compared: &Compared) -> Vec<Item> {
    let modes = &compared.effect.modes;
    let item = |text: String| Item { level: None, text, more: Vec::new() };
    let gone = modes
        .only_old
        .iter()
        .map(|mode| item(format!("`{mode}` is in the older revision only: nothing to compare its figures with")));
    let come = modes
        .only_new
        .iter()
        .map(|mode| item(format!("`{mode}` is in the newer revision only: nothing to compare its figures with")));
    let sides = [("older", &modes.unsettled.old), ("newer", &modes.unsettled.new)];
    let unsettled = sides.iter().flat_map(|(which, modes)| {
        modes
            .iter()
            .map(move |mode| item(format!("`{mode}` could not be solved in the {which} revision: do not rely on its figures")))
    });
    gone.chain(come).chain(unsettled).collect()
}

/// A thing with what is reported of it: in one line where it is one fact.
fn of_thing(kind: &str, name: &str, was: Option<&str>, told: Vec<String>) -> Item {
    let was = was.map_or_else(String::new, |was| format!(" (before: `{was}`)"));
    let head = format!("{kind} `{name}`{was}");
    match told.as_slice() {
        [one] => Item { level: None, text: format!("{head}: {one}"), more: Vec::new() },
        _ => Item { level: None, text: head, more: told },
    }
}

/// What leaves its limit comes first in words too, unless a margin says it already.
fn gravest(at: Crossing, mut told: Vec<String>) -> Vec<String> {
    let said = matches!(at, Crossing::Within) || told.iter().any(|line| line.ends_with(crossing(at)));
    if !said {
        told.push(format!("a margin{}", crossing(at)));
    }
    told
}

fn crossing(crossing: Crossing) -> &'static str {
    match crossing {
        Crossing::Out => "; now over its limit",
        Crossing::Beyond => "; over its limit as before",
        Crossing::Back => "; back within its limit",
        Crossing::Within => "",
    }
}

/// `from 1 A to 2 A`, with a word for what is not known or not there.
fn step<T: Display>(old: Option<T>, new: Option<T>) -> String {
    let word = |value: Option<T>| value.map_or_else(|| "none".to_owned(), |value| value.to_string());
    format!("from {} to {}", word(old), word(new))
}

/// How many items of a section are shown where there is little room; the rest is counted.
const MOST: usize = 12;

/// How many of `count` items are shown where there is little room.
#[must_use]
pub fn shown(count: usize) -> usize {
    fitting(count, MOST)
}

/// What is left out of a list of `count`.
#[must_use]
pub fn left_out(count: usize, what: &str) -> Option<String> {
    let more = count - shown(count);
    (more > 0).then(|| format!("and {} more; `--format json` has all", counted(more, what)))
}
