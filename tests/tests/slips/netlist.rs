//! A design as one tree of plain values, read by a YAML library of its own, and places in it.

use harness_core::{Checker, MemoryFiles, Report, check};
use serde_yaml::{Mapping, Value};
use std::path::Path;

/// The way to a value: keys from the top, items of lists by number.
pub type Way = Vec<String>;

/// A design with its includes joined.
#[derive(Clone)]
pub struct Netlist {
    root: Value,
}

impl Netlist {
    /// Reads a file and all that it includes.
    pub fn read(path: &Path) -> Self {
        let text = std::fs::read_to_string(path).expect("a fixture can be read");
        let mut root: Value = serde_yaml::from_str(&text).expect("a fixture is YAML");
        let included = root.as_mapping_mut().and_then(|map| map.remove("include"));
        for file in included.iter().flat_map(|list| list.as_sequence().expect("a list of files")) {
            let file = path.parent().expect("a folder").join(file.as_str().expect("a file's name"));
            join(&mut root, Self::read(&file).root);
        }
        Self { root }
    }

    /// The value at a place.
    pub fn at(&self, way: &[String]) -> Option<&Value> {
        way.iter().try_fold(&self.root, |value, step| match value {
            // Most keys are texts; numbers are looked for one by one.
            Value::Mapping(map) => {
                map.get(step.as_str()).or_else(|| map.iter().find(|(key, _)| is(key, step)).map(|(_, value)| value))
            }
            Value::Sequence(list) => list.get(step.parse::<usize>().ok()?),
            _ => None,
        })
    }

    /// The value at a place, as it is written.
    pub fn text(&self, way: &[String]) -> Option<String> {
        let value = self.at(way)?;
        (value.is_string() || value.is_number() || value.is_bool()).then(|| text(value))
    }

    /// The names of what a place holds, in the order written; the numbers of a list's items.
    pub fn names(&self, way: &[String]) -> Vec<String> {
        match self.at(way) {
            Some(Value::Mapping(map)) => map.keys().map(text).collect(),
            Some(Value::Sequence(list)) => (0..list.len()).map(|at| at.to_string()).collect(),
            _ => Vec::new(),
        }
    }

    /// Puts a value at a place whose parent is there.
    pub fn set(&mut self, way: &[String], value: Value) {
        let (last, parents) = way.split_last().expect("a place below the top");
        match self.at_mut(parents) {
            Value::Mapping(map) => {
                let key = map.keys().find(|key| text(key) == *last).cloned().unwrap_or_else(|| Value::String(last.clone()));
                map.insert(key, value);
            }
            Value::Sequence(list) => list[last.parse::<usize>().expect("a number")] = value,
            other => panic!("{way:?}: {other:?} holds nothing"),
        }
    }

    /// Takes a value away.
    pub fn remove(&mut self, way: &[String]) {
        let (last, parents) = way.split_last().expect("a place below the top");
        match self.at_mut(parents) {
            Value::Mapping(map) => map.retain(|key, _| text(key) != *last),
            Value::Sequence(list) => drop(list.remove(last.parse::<usize>().expect("a number"))),
            other => panic!("{way:?}: {other:?} holds nothing"),
        }
    }

    /// Gives a key another name and leaves what it holds.
    pub fn rename(&mut self, way: &[String], name: &str) {
        let (last, parents) = way.split_last().expect("a place below the top");
        let Value::Mapping(map) = self.at_mut(parents) else { panic!("{way:?} has no name") };
        let renamed: Mapping = map
            .iter()
            .map(|(key, value)| (if text(key) == *last { Value::String(name.to_owned()) } else { key.clone() }, value.clone()))
            .collect();
        *map = renamed;
    }

    fn at_mut(&mut self, way: &[String]) -> &mut Value {
        way.iter().fold(&mut self.root, |value, step| match value {
            Value::Mapping(map) => {
                map.iter_mut().find(|(key, _)| is(key, step)).map(|(_, value)| value).expect("a place that is there")
            }
            Value::Sequence(list) => list.get_mut(step.parse::<usize>().expect("a number")).expect("an item that is there"),
            other => panic!("{way:?}: {other:?} holds nothing"),
        })
    }

    /// It as text.
    pub fn written(&self) -> String {
        serde_yaml::to_string(&self.root).expect("a tree can be written")
    }

    /// What the program says of it.
    pub fn report(&self) -> Report {
        check(&MemoryFiles::one("design.yaml", self.written()), "design.yaml", &Checker::new())
    }
}

/// A way from the top, written with spaces between the steps.
pub fn way(steps: &[&str]) -> Way {
    steps.iter().map(|step| (*step).to_owned()).collect()
}

/// Whether a key is written so.
fn is(key: &Value, step: &str) -> bool {
    match key {
        Value::String(text) => text == step,
        Value::Number(number) => {
            step.starts_with(|first: char| first.is_ascii_digit() || first == '-') && number.to_string() == step
        }
        other => text(other) == step,
    }
}

/// A scalar as it is written.
fn text(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        Value::Bool(flag) => flag.to_string(),
        other => panic!("{other:?} is not a scalar"),
    }
}

/// Joins what a file includes to what it says itself.
fn join(into: &mut Value, from: Value) {
    match (into, from) {
        (Value::Mapping(into), Value::Mapping(from)) => {
            for (key, value) in from {
                match into.get_mut(&key) {
                    Some(there) => join(there, value),
                    None => drop(into.insert(key, value)),
                }
            }
        }
        (Value::Sequence(into), Value::Sequence(from)) => into.extend(from),
        _ => {}
    }
}
