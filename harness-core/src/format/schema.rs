//! The JSON Schema of the format, made from the records that read it.

use super::{
    design::Design,
    reader::Record,
    shape::{Limit, RecordShape, Shape, VariantsShape},
    worded,
};
use crate::quantity::{Second, Unit};
use serde_json::{Map, Value, json};

/// The JSON Schema (draft 2020-12) of a netlist file.
///
/// Every scalar is a text or, where YAML readers resolve it, a number or a flag: the program itself resolves none.
/// What a schema can't say (that names refer to something, that a design is whole) is left to `check`.
#[must_use]
pub fn schema() -> Value {
    let mut defs = Map::new();
    define(Design::SHAPE, &mut defs);
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Wiring harness netlist, format 1",
        "$ref": "#/$defs/Design",
        "$defs": defs,
    })
}

fn define(record: &'static RecordShape, defs: &mut Map<String, Value>) {
    if defs.contains_key(record.name) {
        return;
    }
    // The place is taken before the fields are visited, so that records may hold each other.
    defs.insert(record.name.to_owned(), Value::Null);
    let mut properties = Map::new();
    for field in record.fields {
        let mut value = of((field.shape)(), field.limit, defs);
        if let Value::Object(object) = &mut value {
            object.insert("description".to_owned(), json!(field.doc.trim()));
        }
        properties.insert(field.key.word().to_owned(), value);
    }
    let words = |unless: bool| -> Vec<&str> {
        let fields = record.fields.iter().filter(|field| field.required && field.unless.is_some() == unless);
        fields.map(|field| field.key.word()).collect()
    };
    let (required, or_else) = (words(false), words(true));
    let instead = record.fields.iter().find_map(|field| field.unless);
    let kind = if required.is_empty() && or_else.is_empty() { json!(["object", "null"]) } else { json!("object") };
    let mut value = json!({
        "description": record.doc.trim(),
        "type": kind,
        "properties": properties,
        "additionalProperties": false,
    });
    if let (Value::Object(object), false) = (&mut value, required.is_empty()) {
        object.insert("required".to_owned(), json!(required));
    }
    if let (Value::Object(object), Some(instead)) = (&mut value, instead) {
        object.insert("anyOf".to_owned(), json!([{ "required": or_else }, { "required": [instead.word()] }]));
    }
    defs.insert(record.name.to_owned(), value);
}

fn variants(shape: &'static VariantsShape, defs: &mut Map<String, Value>) -> Value {
    let choices: Vec<Value> = shape
        .variants
        .iter()
        .map(|(_, record)| {
            define(record, defs);
            json!({ "$ref": format!("#/$defs/{}", record.name) })
        })
        .collect();
    json!({ "oneOf": choices })
}

fn of(shape: Shape, limit: Option<Limit>, defs: &mut Map<String, Value>) -> Value {
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
