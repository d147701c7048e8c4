//! What the format expects at a place: the shape of what may be written there, and which things it is in.

use super::cursor::{Level, Place};
use crate::format::{
    Attribute, Design, Holds, Kind, LIKE, Record,
    shape::{FieldShape, RecordShape, Shape, VariantsShape},
};

/// What may be written at a place.
#[derive(Debug, Clone)]
pub struct Expected {
    /// The shape of what is there: for a key that of the map that it is in.
    pub(super) shape: Shape,
    /// The innermost key of a record on the way.
    pub(super) field: Option<&'static FieldShape>,
    /// The things that the place is in, the outermost first.
    pub(super) things: Vec<(Kind, String)>,
    /// The label of the map entry that the value is of, behind the innermost key.
    pub(super) label: Option<String>,
    /// Whether it is a thing with a name, which may be like another of its map.
    pub(super) is_named: bool,
}

impl Expected {
    /// The innermost key with its sentence and what may be written behind it; `None` above all keys.
    #[must_use]
    pub fn about(&self) -> Option<(&'static str, String)> {
        let field = self.field?;
        let values = super::values::words((field.shape)());
        let doc = field.doc.trim();
        let unread = if field.is_read { "" } else { " Given, not checked yet." };
        let values = if values.is_empty() { String::new() } else { format!("\n\n{values}") };
        Some((field.key.word(), format!("{doc}{unread}{values}")))
    }

    /// Whether a file is named here.
    #[must_use]
    pub fn is_file(&self) -> bool {
        self.field.is_some_and(|field| field.key == Attribute::Include)
    }

    /// The name of the thing of this kind that the place is in.
    pub(super) fn within(&self, kind: Kind) -> Option<&str> {
        self.things.iter().rev().find(|(known, _)| *known == kind).map(|(_, name)| name.as_str())
    }
}

/// What the format expects at a place; `None` where a key on the way is none of the format.
#[must_use]
pub fn expected(place: &Place) -> Option<Expected> {
    let mut now = Expected { shape: Shape::Record(Design::SHAPE), field: None, things: Vec::new(), label: None, is_named: false };
    let mut kind = None;
    for level in &place.levels {
        let is_named = std::mem::take(&mut now.is_named);
        match level {
            Level::Key { name, .. } if is_named && name == Attribute::Like.word() => {
                (now.field, now.shape, now.label) = (Some(&LIKE), (LIKE.shape)(), None);
            }
            Level::Key { name, beside } => match map_of(now.shape)? {
                Shape::Map(item) => {
                    if let Some(kind) = kind.take() {
                        now.things.push((kind, name.clone()));
                        now.is_named = true;
                    } else {
                        now.label = Some(name.clone());
                    }
                    now.shape = item();
                }
                Shape::Record(record) => kind = enter(&mut now, record, name)?,
                Shape::Variants(shape) => {
                    let record = chosen(shape, beside).or_else(|| having(shape, name))?;
                    kind = enter(&mut now, record, name)?;
                }
                _ => return None,
            },
            Level::Item => now.shape = list_of(now.shape)?,
        }
    }
    Some(now)
}

/// Goes behind a key of a record; the kind of the things that are there.
fn enter(now: &mut Expected, record: &'static RecordShape, name: &str) -> Option<Option<Kind>> {
    let field = record.fields.iter().find(|field| field.key.word() == name)?;
    (now.field, now.shape, now.label) = (Some(field), (field.shape)(), None);
    Some(match field.class.holds {
        Holds::Things(kind) => Some(kind),
        Holds::Fact | Holds::Record | Holds::Files => None,
    })
}

/// The map that a value may be.
pub(super) fn map_of(shape: Shape) -> Option<Shape> {
    match shape {
        Shape::Map(_) | Shape::Record(_) | Shape::Variants(_) => Some(shape),
        Shape::Either(shapes) => shapes.iter().find_map(|shape| map_of(shape())),
        _ => None,
    }
}

fn list_of(shape: Shape) -> Option<Shape> {
    match shape {
        Shape::List(item) => Some(item()),
        Shape::Either(shapes) => shapes.iter().find_map(|shape| list_of(shape())),
        _ => None,
    }
}

/// The record of a choice that one of the keys gives.
pub(super) fn chosen(shape: &'static VariantsShape, keys: &[String]) -> Option<&'static RecordShape> {
    let is_given = |(word, _): &&(&'static str, &'static RecordShape)| keys.iter().any(|key| key == word);
    shape.variants.iter().find(is_given).map(|(_, record)| *record)
}

/// A record of a choice that has such a key.
fn having(shape: &'static VariantsShape, key: &str) -> Option<&'static RecordShape> {
    let has = |record: &&'static RecordShape| record.fields.iter().any(|field| field.key.word() == key);
    shape.variants.iter().map(|(_, record)| *record).find(has)
}
