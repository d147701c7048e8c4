//! The JSON Schema of the format, made from the records that read it.

use super::{
    LIKE,
    design::Design,
    reader::Record,
    shape::{Limit, RecordShape, Shape, VariantsShape},
    worded,
};
use crate::quantity::{Second, Unit};
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// The JSON Schema (draft 2020-12) of a netlist file.
///
/// Every scalar is a text or, where YAML readers resolve it, a number or a flag: the program itself resolves none.
/// What a schema can't say (that names refer to something, that a design is whole) is left to `check`.
#[must_use]
pub fn schema() -> Value {
    let mut defs = Defs::default();
    defs.find_named(Shape::Record(Design::SHAPE), false, &mut BTreeSet::new());
    define(Design::SHAPE, &mut defs);
    let defs = defs.all;
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Wiring harness netlist, format 1",
        "$ref": "#/$defs/Design",
        "$defs": defs,
    })
}

/// The definitions so far.
#[derive(Default)]
struct Defs {
    all: Map<String, Value>,
    /// The records of things with names: each may be like another.
    named: BTreeSet<&'static str>,
}

impl Defs {
    fn find_named(&mut self, shape: Shape, is_named: bool, seen: &mut BTreeSet<(&'static str, bool)>) {
        match shape {
            Shape::Record(record) => {
                if is_named {
                    self.named.insert(record.name);
                }
                if seen.insert((record.name, is_named)) {
                    record.fields.iter().for_each(|field| self.find_named((field.shape)(), false, seen));
                }
            }
            Shape::Variants(shape) => {
                shape.variants.iter().for_each(|(_, record)| self.find_named(Shape::Record(record), is_named, seen));
            }
            Shape::Map(item) => self.find_named(item(), true, seen),
            Shape::List(item) => self.find_named(item(), false, seen),
            Shape::Either(shapes) => shapes.iter().for_each(|shape| self.find_named(shape(), is_named, seen)),
            _ => {}
        }
    }
}

fn define(record: &'static RecordShape, defs: &mut Defs) {
    if defs.all.contains_key(record.name) {
        return;
    }
    // The place is taken before the fields are visited, so that records may hold each other.
    defs.all.insert(record.name.to_owned(), Value::Null);
    let mut properties = Map::new();
    for field in record.fields {
        let mut value = of((field.shape)(), field.limit, defs);
        if let Value::Object(object) = &mut value {
            object.insert("description".to_owned(), json!(field.doc.trim()));
        }
        properties.insert(field.key.word().to_owned(), value);
    }
    let is_named = defs.named.contains(record.name);
    if is_named {
        let mut value = of((LIKE.shape)(), None, defs);
        if let Value::Object(object) = &mut value {
            object.insert("description".to_owned(), json!(LIKE.doc));
        }
        properties.insert(LIKE.key.word().to_owned(), value);
    }
    let words = |unless: bool| -> Vec<&str> {
        let fields = record.fields.iter().filter(|field| field.required && field.unless.is_some() == unless);
        fields.map(|field| field.key.word()).collect()
    };
    let (required, or_else) = (words(false), words(true));
    let instead = record.fields.iter().find_map(|field| field.unless);
    let is_free = required.is_empty() && or_else.is_empty();
    let kind = if is_free { json!(["object", "null"]) } else { json!("object") };
    let mut value = json!({
        "description": record.doc.trim(),
        "type": kind,
        "properties": properties,
        "additionalProperties": false,
    });
    let mut ways: Vec<Vec<&str>> = vec![or_else.clone()];
    ways.extend(instead.map(|instead| vec![instead.word()]));
    let is_required = !required.is_empty();
    if let (Value::Object(object), true, false) = (&mut value, is_required, is_named) {
        object.insert("required".to_owned(), json!(required));
    } else if is_named {
        ways.iter_mut().for_each(|way| way.splice(0..0, required.iter().copied()).for_each(drop));
        ways.push(vec![LIKE.key.word()]);
    }
    if let (Value::Object(object), true, false) = (&mut value, ways.len() > 1, is_free) {
        let ways: Vec<Value> = ways.iter().map(|way| json!({ "required": way })).collect();
        object.insert("anyOf".to_owned(), json!(ways));
    }
    defs.all.insert(record.name.to_owned(), value);
}

fn variants(shape: &'static VariantsShape, defs: &mut Defs) -> Value {
    let choices: Vec<Value> = shape
        .variants
        .iter()
        .map(|(_, record)| {
            define(record, defs);
            json!({ "$ref": format!("#/$defs/{}", record.name) })
        })
        .collect();
    // What is like another may leave the key that gives its kind to that one, and then fits several.
    let is_named = shape.variants.iter().any(|(_, record)| defs.named.contains(record.name));
    if is_named { json!({ "anyOf": choices }) } else { json!({ "oneOf": choices }) }
}

fn of(shape: Shape, limit: Option<Limit>, defs: &mut Defs) -> Value {
    match shape {
        // A label such as 1, 0.5 or on stays text for this program; elsewhere it may have become something else.
        Shape::Text => json!({ "type": ["string", "number", "boolean"] }),
        Shape::Flag => json!({ "enum": [true, false, "yes", "no"] }),
        Shape::Whole(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Shape::Quantity { measures, units } => {
            json!({ "type": "string", "pattern": format!("^ *{} *$", quantity(measures, &units(), limit)) })
        }
        Shape::Range { measures, units } => {
            let side = quantity(measures, &units(), limit);
            json!({ "type": "string", "pattern": format!("^ *{side} *\\.\\. *{side} *$") })
        }
        Shape::Lasting { measures, units } => {
            let one = quantity(measures, &units(), limit);
            let time: Vec<&str> = Second::SPELLINGS.iter().map(|(unit, _)| *unit).collect();
            let time = quantity(Second::MEASURES, &time, limit);
            json!({ "type": "string", "pattern": format!("^ *{one}( +for +{time})? *$") })
        }
        Shape::Rating { measures, units } => {
            let one = quantity(measures, &units(), limit);
            json!({ "type": "string", "pattern": format!("^ *([0-9.]+ *({})? */ *)?{one} *([AaDd][Cc])? *$", units().join("|")) })
        }
        Shape::Word(words) => json!({ "enum": words.iter().map(|(word, _)| *word).collect::<Vec<_>>() }),
        Shape::Colour => json!({ "type": "string", "pattern": "^[A-Z]{2,8}(/[A-Z]{2,4})*$" }),
        Shape::Date => json!({ "type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" }),
        Shape::List(item) => json!({ "type": "array", "items": of(item(), limit, defs) }),
        Shape::Map(item) => json!({ "type": ["object", "null"], "additionalProperties": of(item(), limit, defs) }),
        Shape::Record(record) => {
            define(record, defs);
            let map = json!({ "$ref": format!("#/$defs/{}", record.name) });
            match worded::form_of(record) {
                Some(form) => json!({ "anyOf": [map, { "type": "string", "pattern": form.pattern }] }),
                None => map,
            }
        }
        Shape::Variants(shape) => variants(shape, defs),
        Shape::Either(shapes) => json!({ "anyOf": shapes.iter().map(|shape| of(shape(), limit, defs)).collect::<Vec<_>>() }),
    }
}

/// The pattern of a quantity: a number, blanks, a unit; for a cross-section a gauge too.
///
/// A limit asks for a digit other than zero: patterns can't compare figures, which is left to `check`.
fn quantity(measures: &str, units: &[&str], limit: Option<Limit>) -> String {
    let spellings: Vec<String> = units.iter().map(|unit| escape(unit)).collect();
    let number = match limit {
        Some(_) => r"\+?[0-9.]*[1-9][0-9.]*([eE][-+]?[0-9]+)?",
        None => r"[-+]?[0-9.]+([eE][-+]?[0-9]+)?",
    };
    let plain = format!("{number} *({})", spellings.join("|"));
    match measures {
        "cross-section" => format!("({plain}|[0-9/]+ *AWG|AWG *[0-9/]+)"),
        _ => plain,
    }
}

fn escape(unit: &str) -> String {
    unit.chars().flat_map(|c| if ".*+?()[]{}|^$\\".contains(c) { vec!['\\', c] } else { vec![c] }).collect()
}
