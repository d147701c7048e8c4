//! That the schemas which readers have and the structs which are written say the same: neither can gain or lose a key alone.
//!
//! What is compared is the shape: which keys there are, which are always there, what each may hold. A schema may say more than a
//! struct can: a value that a text or number is always, bounds, a pattern, and which keys of a struct go together.

use crate::{
    commands::schema,
    render::{check::report_json, diff, import, kit, live, loads, merge, rework, swaps, trace, whatif},
};
use schemars::{JsonSchema, generate::SchemaSettings};
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};

/// What a value may be.
#[derive(Debug, Clone, Default, PartialEq)]
struct Shape {
    /// `string`, `integer`, `number`, `boolean`, `null`, `object`, `array`.
    kinds: BTreeSet<String>,
    keys: BTreeMap<String, Shape>,
    always: BTreeSet<String>,
    items: Option<Box<Shape>>,
}

impl Shape {
    /// The shape that `schema` describes, with its references looked up in `root`.
    fn of(schema: &Value, root: &Value) -> Self {
        let Some(schema) = schema.as_object() else { return Self::default() };
        if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
            let at = name.strip_prefix('#').unwrap_or_else(|| panic!("{name} is in another schema"));
            return Self::of(root.pointer(at).unwrap_or_else(|| panic!("there is no {name}")), root);
        }
        for word in ["allOf", "if", "not", "prefixItems", "patternProperties"] {
            assert!(!schema.contains_key(word), "{word} is not compared yet");
        }
        let ways = ["anyOf", "oneOf"].iter().filter_map(|word| schema.get(*word)?.as_array()).flatten();
        let ways: Vec<Self> = ways.map(|way| Self::of(way, root)).collect();
        let mut shape = Self::plain(schema, root);
        if let Some(either) = ways.into_iter().reduce(Self::or) {
            // What is written beside the alternatives holds for each of them.
            shape.kinds.extend(either.kinds);
            shape.always.extend(either.always);
            either.keys.into_iter().for_each(|(key, held)| shape.add(key, held));
            shape.items = shape.items.or(either.items);
        }
        shape
    }

    fn plain(schema: &Map<String, Value>, root: &Value) -> Self {
        let mut kinds: BTreeSet<String> = match schema.get("type") {
            Some(Value::String(kind)) => [kind.clone()].into(),
            Some(Value::Array(kinds)) => kinds.iter().filter_map(Value::as_str).map(str::to_owned).collect(),
            _ => BTreeSet::new(),
        };
        let values = schema.get("enum").and_then(Value::as_array).into_iter().flatten().chain(schema.get("const"));
        kinds.extend(values.map(kind));
        let keys = schema.get("properties").and_then(Value::as_object).into_iter().flatten();
        let always = schema.get("required").and_then(Value::as_array).into_iter().flatten();
        Self {
            kinds,
            keys: keys.map(|(key, held)| (key.clone(), Self::of(held, root))).collect(),
            always: always.filter_map(Value::as_str).map(str::to_owned).collect(),
            items: schema.get("items").map(|items| Box::new(Self::of(items, root))),
        }
    }

    /// What is of one shape or of the other.
    fn or(mut self, other: Self) -> Self {
        // What is not an object says nothing of keys.
        self.always = match (self.kinds.contains("object"), other.kinds.contains("object")) {
            (true, true) => self.always.intersection(&other.always).cloned().collect(),
            (true, false) => self.always,
            _ => other.always,
        };
        self.kinds.extend(other.kinds);
        other.keys.into_iter().for_each(|(key, held)| self.add(key, held));
        self.items = match (self.items, other.items) {
            (Some(one), Some(two)) => Some(Box::new(one.or(*two))),
            (one, two) => one.or(two),
        };
        self
    }

    fn add(&mut self, key: String, held: Self) {
        let known = self.keys.remove(&key);
        self.keys.insert(key, known.map_or_else(|| held.clone(), |known| known.or(held.clone())));
    }
}

fn kind(value: &Value) -> String {
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(number) if number.is_f64() => "number",
        Value::Number(_) => "integer",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    kind.to_owned()
}

/// Where `published` and `written` differ, a line each.
fn differences(at: &str, published: &Shape, written: &Shape, found: &mut Vec<String>) {
    if published.kinds != written.kinds {
        found.push(format!("{at}: the schema has {:?}, the struct {:?}", published.kinds, written.kinds));
    }
    let keys: BTreeSet<&String> = published.keys.keys().chain(written.keys.keys()).collect();
    for key in keys {
        let is_always = written.always.contains(key);
        match (published.keys.get(key), written.keys.get(key)) {
            (Some(_), None) => found.push(format!("{at}: `{key}` is in the schema alone")),
            (None, Some(_)) => found.push(format!("{at}: `{key}` is in the struct alone")),
            (Some(published), Some(written)) if is_always => {
                differences(&format!("{at}.{key}"), published, written, found);
            }
            // A key that may be left out is left out instead of being `null`; what derives the shape does not know that.
            (Some(published), Some(written)) => {
                let mut written = written.clone();
                written.kinds.remove("null");
                differences(&format!("{at}.{key}"), published, &written, found);
            }
            (None, None) => {}
        }
    }
    if published.always != written.always {
        let alone: Vec<_> = published.always.symmetric_difference(&written.always).collect();
        found.push(format!("{at}: {alone:?} is always there by the schema or by the struct, not by both"));
    }
    match (&published.items, &written.items) {
        (Some(published), Some(written)) => differences(&format!("{at}[]"), published, written, found),
        (None, None) => {}
        _ => found.push(format!("{at}: what the list holds is said by one alone")),
    }
}

/// The schema of what `T` is written as.
fn derived<T: JsonSchema>() -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize().with(|settings| settings.inline_subschemas = true);
    settings.into_generator().into_root_schema_for::<T>().to_value()
}

fn compared(published: &str, written: &Value) -> Vec<String> {
    let published: Value = serde_json::from_str(published).unwrap();
    let mut found = Vec::new();
    differences("", &Shape::of(&published, &published), &Shape::of(written, written), &mut found);
    found
}

#[test]
fn each_published_schema_is_that_of_what_is_written() {
    let all = [
        ("report", schema::REPORT_SCHEMA, derived::<report_json::RunJson<'static>>()),
        ("trace", schema::TRACE_SCHEMA, derived::<trace::json::TraceJson<'static>>()),
        ("loads", schema::LOADS_SCHEMA, derived::<loads::json::LoadsJson<'static>>()),
        ("swaps", schema::SWAPS_SCHEMA, derived::<swaps::json::SwapsJson<'static>>()),
        ("whatif", schema::WHATIF_SCHEMA, derived::<whatif::json::WhatifJson<'static>>()),
        ("papers", schema::PAPERS_SCHEMA, derived::<kit::paper::PapersJson<'static>>()),
        ("live", schema::LIVE_SCHEMA, derived::<live::json::LiveJson<'static>>()),
        ("diff", schema::DIFF_SCHEMA, derived::<diff::json::DiffJson<'static>>()),
        ("rework", schema::REWORK_SCHEMA, derived::<rework::json::ReworkJson<'static>>()),
        ("collisions", schema::COLLISIONS_SCHEMA, derived::<merge::json::BranchesJson<'static>>()),
        ("import", schema::IMPORT_SCHEMA, derived::<import::JsonReport>()),
    ];
    for (name, published, written) in all {
        let found = compared(published, &written);
        assert!(found.is_empty(), "{name}:\n{}", found.join("\n"));
        let Value::Object(shape) = written else { panic!("{name} is not an object") };
        assert!(shape.contains_key("properties"), "{name} has keys");
    }
}

#[test]
fn a_key_on_one_side_alone_is_found() {
    #[derive(JsonSchema)]
    #[expect(dead_code, reason = "its shape is looked at only")]
    struct Cart {
        wheels: Vec<Wheel>,
        load: Option<f64>,
    }
    #[derive(JsonSchema)]
    #[expect(dead_code, reason = "its shape is looked at only")]
    struct Wheel {
        size: u8,
        name: &'static str,
    }
    let schema = |wheel: &str, load: &str, required: &str| {
        format!(
            r##"{{ "type": "object", "required": ["wheels"{required}], "properties": {{
                "wheels": {{ "type": "array", "items": {{ "$ref": "#/$defs/wheel" }} }}, "load": {load} }},
              "$defs": {{ "wheel": {{ "type": "object", "required": ["size", "name"], "properties": {{ {wheel} }} }} }} }}"##
        )
    };
    let wheel = r#""size": { "type": "integer", "minimum": 0 }, "name": { "enum": ["left", "right"] }"#;
    let load = r#"{ "type": ["number", "null"] }"#;
    let against = |schema: String| compared(&schema, &derived::<Cart>());
    assert_eq!(against(schema(wheel, load, r#", "load""#)), [""; 0]);
    assert_eq!(against(schema(wheel, load, "")).len(), 1);
    assert_eq!(against(schema(wheel, r#"{ "type": "number" }"#, r#", "load""#)).len(), 1);
    assert_eq!(
        against(schema(r#""size": { "type": "integer" }"#, load, r#", "load""#)),
        [".wheels[]: `name` is in the struct alone"]
    );
    let more = format!(r#"{wheel}, "rim": {{ "type": "string" }}"#);
    assert_eq!(against(schema(&more, load, r#", "load""#)), [".wheels[]: `rim` is in the schema alone"]);
    // Two ways of an object that are one struct.
    let ways = r#"{ "oneOf": [{ "type": "null" }, { "type": "number", "minimum": 0 }] }"#;
    assert_eq!(against(schema(wheel, ways, r#", "load""#)), [""; 0]);
}
