//! What is in a loom between its ends: splices, what is in line with its wires, cables.

use crate::{
    format::{Document, inside::Element},
    quantity::Metre,
    text::{Span, Text},
};

/// A splice, an element in line, or a cable.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct ListedJoint {
    /// The loom.
    pub loom: String,
    /// Its name.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// `splice`, `cable`, or the key by which the format gives the element: `fuse`, `resistor` …
    pub what: String,
    /// What is behind that key: the kind of a fuse or cable, the value of a resistor; empty for a splice.
    pub value: String,
    /// The length of a cable as cut.
    pub length: Option<Metre>,
    /// What its note says.
    pub note: String,
    /// What was found of it: `level[rule]` each.
    pub findings: Vec<String>,
}

impl ListedJoint {
    /// The keys by which the format gives an element: what `what` is for one that is in line.
    pub fn elements() -> impl Iterator<Item = &'static str> {
        Element::keys()
    }
}

/// All of them in the order written.
pub(super) fn of(document: &Document) -> Vec<ListedJoint> {
    let text = |text: &Text| document.names.text(text.value).to_owned();
    let mut joints = Vec::new();
    for loom in &document.design.looms {
        let name = text(&loom.name);
        let made = |of: &Text, (what, value): (String, String), note: String| ListedJoint {
            loom: name.clone(),
            name: text(of),
            span: of.span,
            what,
            value,
            length: None,
            note,
            findings: Vec::new(),
        };
        for splice in &loom.value.splices {
            let note = splice.value.note.as_ref().map_or_else(String::new, text);
            joints.push(made(&splice.name, ("splice".to_owned(), String::new()), note));
        }
        for element in &loom.value.inside {
            let said = element.value.0.said(&document.names);
            joints.push(made(&element.name, (said.key.to_owned(), said.value), said.note));
        }
        for cable in &loom.value.cables {
            let [part, note] = [&cable.value.part, &cable.value.note].map(|own| own.as_ref().map_or_else(String::new, text));
            let joint = made(&cable.name, ("cable".to_owned(), part), note);
            joints.push(ListedJoint { length: cable.value.length.map(|length| length.value), ..joint });
        }
    }
    joints.sort_by_key(|joint| joint.span);
    joints
}
