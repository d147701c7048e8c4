//! From the document to things whose facts are texts as yet.

use super::{FactKey, Key, Kind};
use crate::{
    format::{self, Attribute, Bench, Class, Content, Holds, shape::FieldShape},
    text::Names,
};
use std::collections::BTreeMap;

/// A thing whose facts are texts as yet.
#[derive(Debug, Default)]
pub(super) struct RawThing {
    pub(super) parent: Option<Key>,
    pub(super) name: String,
    pub(super) facts: BTreeMap<FactKey, RawFact>,
}

/// A fact whose items are texts as yet.
#[derive(Debug)]
pub(super) struct RawFact {
    pub(super) class: &'static Class,
    pub(super) items: Vec<String>,
}

/// Things whose facts are texts as yet.
pub(super) type RawThings = BTreeMap<Key, RawThing>;

/// The things of a document.
pub(super) fn things(document: &format::Design, names: &Names) -> RawThings {
    let mut raw = Raw::default();
    raw.thing(Key::new(Kind::Design, ""), String::new(), None, Content::of(document, names));
    // Where the workshop sets no limit, all have their defaults: there is always a policy.
    raw.things.entry(Key::new(Kind::Policy, "")).or_default();
    raw.things
}

#[derive(Debug, Default)]
struct Raw {
    things: RawThings,
}

impl Raw {
    fn thing(&mut self, mut key: Key, mut name: String, parent: Option<Key>, content: Content) {
        // A dot in a name, or a loom that is called like a device: a second thing of the same whole name must not hide the first.
        let (path, own) = (key.path.clone(), name.clone());
        let mut number = 2;
        while self.things.contains_key(&key) {
            (key.path, name) = (format!("{path} ({number})"), format!("{own} ({number})"));
            number += 1;
        }
        // Held before its parts come, which may bear its name.
        self.things.insert(key.clone(), RawThing::default());
        let mut facts = BTreeMap::new();
        if let Content::Record(fields) = content {
            self.record(&key, fields, &mut facts);
        }
        self.things.insert(key, RawThing { parent, name, facts });
    }

    /// What a record says of the thing `of`: its facts, and the things in it.
    fn record(&mut self, of: &Key, fields: Vec<(&'static FieldShape, Content)>, facts: &mut BTreeMap<FactKey, RawFact>) {
        for (field, content) in fields {
            match (field.class.holds, content) {
                (Holds::Files, _) => {}
                (Holds::Things(kind), content) => self.parts(of, kind, content),
                // Kinds of parts are things of the design; elsewhere a record within a record says more of the same thing.
                (Holds::Record, Content::Record(inner)) if inner.iter().any(|(field, _)| is_of_things(field)) => {
                    self.record(of, inner, facts);
                }
                (Holds::Record | Holds::Fact, content) => add(FactKey::from(field.key), &field.class, content, facts),
            }
        }
    }

    /// The things behind a key of `owner`.
    fn parts(&mut self, owner: &Key, kind: Kind, content: Content) {
        match content {
            Content::Map(map) => {
                for (name, content) in map {
                    if owner.kind == Kind::Design {
                        self.thing(Key::named(kind, &name), name, None, content);
                    } else {
                        let key = Key::new(kind, format!("{}.{name}", owner.path));
                        self.thing(key, name, Some(owner.clone()), content);
                    }
                }
            }
            // Waivers have no name of their own.
            Content::List(list) => {
                for waiver in list {
                    let name = format!("{} at {}", text(&waiver, Attribute::Finding), text(&waiver, Attribute::At));
                    self.thing(Key::new(kind, name.clone()), name, None, waiver);
                }
            }
            one => self.thing(Key::new(kind, ""), String::new(), None, one),
        }
    }
}

fn is_of_things(field: &FieldShape) -> bool {
    matches!(field.class.holds, Holds::Things(_))
}

fn text(content: &Content, key: Attribute) -> &str {
    let Content::Record(fields) = content else { return "?" };
    match fields.iter().find(|(field, _)| field.key == key) {
        Some((_, Content::Text(text))) => text,
        _ => "?",
    }
}

/// Adds what a key holds to the facts of a thing.
fn add(key: FactKey, class: &'static Class, content: Content, facts: &mut BTreeMap<FactKey, RawFact>) {
    match content {
        Content::Record(fields) if key.inner.is_none() => {
            for (field, content) in fields {
                add(FactKey { inner: Some(field.key), ..key.clone() }, &field.class, content, facts);
            }
        }
        Content::Map(map) if key.label.is_none() && key.inner.is_none() => {
            for (label, content) in map {
                add(FactKey { label: Some(label.into()), ..key.clone() }, class, content, facts);
            }
        }
        content => {
            let items = match content {
                Content::List(list) => list.into_iter().map(line).collect(),
                other => vec![line(other)],
            };
            // Both ends of a wire are one fact.
            let key = if class.bench == Bench::WireEnd { FactKey::from(Attribute::Ends) } else { key };
            facts.entry(key).or_insert_with(|| RawFact { class, items: Vec::new() }).items.extend(items);
        }
    }
}

/// A content as one text: a row of a face, a gate of a fuse.
fn line(content: Content) -> String {
    let joined = |parts: Vec<(String, Content)>| {
        parts.into_iter().map(|(key, content)| format!("{key} {}", line(content))).collect::<Vec<_>>().join(", ")
    };
    match content {
        Content::Text(text) => text,
        Content::List(list) => list.into_iter().map(line).collect::<Vec<_>>().join(" "),
        Content::Map(map) => joined(map.into_iter().collect()),
        Content::Record(fields) => {
            joined(fields.into_iter().map(|(field, content)| (field.key.word().to_owned(), content)).collect())
        }
    }
}
