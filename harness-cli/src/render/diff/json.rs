//! A difference as JSON, as structs. `diff.schema.json` describes the same for readers.
//!
//! Owns the document and the changes; what changes do is the business of `json_effect`.

use super::{Compared, json_effect::EffectJson};
use crate::render::kit::document;
use crate::render::{Checked, kit::caution::CAUTION};
use harness_core::diff::{Change, Exchange, Fact, Item, Key, Place, Thing};
use serde::Serialize;
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct DiffJson<'a> {
    version: u32,
    old: RevisionJson<'a>,
    new: RevisionJson<'a>,
    same: bool,
    changes: Vec<ChangeJson<'a>>,
    effect: EffectJson,
    not_compared: Vec<String>,
    caution: &'a [&'a str],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct RevisionJson<'a> {
    file: String,
    files: Vec<String>,
    design: &'a str,
    revision: &'a str,
}

impl<'a> From<&'a Checked> for RevisionJson<'a> {
    fn from(checked: &'a Checked) -> Self {
        let report = &checked.report;
        Self {
            file: checked.shown(&checked.root),
            files: report.sources.files().map(|(_, file)| checked.shown(file.name())).collect(),
            design: &report.summary.design,
            revision: &report.summary.revision,
        }
    }
}

/// One change. Fields that a change of its kind does not have are absent.
#[derive(Serialize, Default)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ChangeJson<'a> {
    change: &'static str,
    within: String,
    of: &'static str,
    name: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    was: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fact: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<Vec<String>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    to: Option<Vec<String>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    stays: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    facts: Vec<FactJson>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    parts: Vec<PartJson<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    members: Vec<MemberJson<'a>>,
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    rests_on: &'a [String],
    headline: String,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FactJson {
    fact: String,
    items: Vec<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct PartJson<'a> {
    of: &'static str,
    name: &'a str,
    facts: Vec<FactJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct MemberJson<'a> {
    name: &'a str,
    had: Option<String>,
}

/// Writes the difference.
///
/// # Errors
/// If `out` can't be written.
pub fn write(compared: &Compared, out: &mut dyn Write) -> io::Result<()> {
    let groups = compared.groups();
    let changes = groups.iter().flat_map(|group| group.changes.iter().map(|change| of_change(change, &group.title)));
    let value = DiffJson {
        version: VERSION,
        old: RevisionJson::from(&compared.old),
        new: RevisionJson::from(&compared.new),
        same: compared.is_same(),
        changes: changes.collect(),
        effect: EffectJson::of(compared),
        not_compared: compared.unread(),
        caution: &CAUTION,
    };
    document(&value, out)
}

fn of_change<'a>(change: &'a Change, within: &str) -> ChangeJson<'a> {
    let key = change.key();
    let base = ChangeJson {
        within: within.to_owned(),
        of: key.map_or("", |key| key.kind.noun()),
        name: key.map_or("", name),
        rests_on: change.rests_on(),
        headline: change.headline(),
        ..ChangeJson::default()
    };
    match change {
        Change::Renamed(renamed) => ChangeJson { change: "renamed", was: Some(name(&renamed.old)), ..base },
        Change::Removed { thing, parts, .. } => {
            ChangeJson { change: "removed", facts: facts(thing), parts: parts_of(parts), ..base }
        }
        Change::Added { thing, parts, .. } => ChangeJson { change: "added", facts: facts(thing), parts: parts_of(parts), ..base },
        Change::Moved { old_key, key, from, to, stays } => ChangeJson {
            change: "moved",
            was: (old_key != key).then(|| name(old_key)),
            from: Some(place(from).into_iter().collect()),
            to: Some(place(to).into_iter().collect()),
            stays: place(stays),
            ..base
        },
        Change::Exchanged { what, members } => ChangeJson {
            change: match what {
                Exchange::Ends => "ends swapped",
                Exchange::Signals => "signals swapped",
            },
            members: members.iter().map(|(key, had)| MemberJson { name: name(key), had: place(had) }).collect(),
            ..base
        },
        Change::Altered(alteration) => ChangeJson {
            change: "altered",
            was: (alteration.old_key != alteration.new_key).then(|| name(&alteration.old_key)),
            fact: Some(alteration.fact.to_string()),
            from: alteration.old.as_ref().map(items),
            to: alteration.new.as_ref().map(items),
            ..base
        },
    }
}

/// A name as it is written: without the mark that keeps kinds of devices apart from devices.
pub(crate) fn name(key: &Key) -> &str {
    key.path.strip_prefix("kind ").unwrap_or(&key.path)
}

fn parts_of(parts: &[(Key, Thing)]) -> Vec<PartJson<'_>> {
    parts.iter().map(|(key, thing)| PartJson { of: key.kind.noun(), name: name(key), facts: facts(thing) }).collect()
}

fn facts(thing: &Thing) -> Vec<FactJson> {
    thing.facts.iter().map(|(fact, value)| FactJson { fact: fact.to_string(), items: items(value) }).collect()
}

fn items(fact: &Fact) -> Vec<String> {
    fact.items.iter().map(item).collect()
}

/// A place by its whole name.
fn place(place: &Place) -> Option<String> {
    place.as_ref().map(item)
}

pub(crate) fn item(item: &Item) -> String {
    match item {
        Item::Word(word) => word.clone(),
        Item::Thing(key, rest) if rest.is_empty() => name(key).to_owned(),
        Item::Thing(key, rest) => format!("{}.{rest}", name(key)),
    }
}
