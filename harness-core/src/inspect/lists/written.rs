//! What the files of a design say in the words of lists: taken out of the document before it is let go.

use super::{
    ends::{self, ListedEnd},
    joints::{self, ListedJoint},
    pins::{self, ListedPin},
};
use crate::{format::Document, text::Text};
use std::collections::BTreeMap;

/// What only the files say: the ends of looms, the pins of devices, splices and what is in line, doubts and notes of wires.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Written {
    pub(super) ends: Vec<ListedEnd>,
    pub(super) pins: Vec<ListedPin>,
    pub(super) joints: Vec<ListedJoint>,
    /// What is said of each loom.
    pub(super) looms: BTreeMap<String, WrittenLoom>,
    /// Doubts and note of each wire that has any, by loom and number.
    pub(super) wires: BTreeMap<(String, String), (Vec<String>, String)>,
    /// The position of the mate that a cavity meets, where its end says that the halves number differently: by loom, end and cavity.
    pub(super) renumbered: BTreeMap<[String; 3], String>,
}

/// What the files say of a loom.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct WrittenLoom {
    /// The kind of its wires that have none of their own.
    pub(super) kind: String,
    pub(super) doubts: Vec<String>,
    pub(super) note: String,
}

impl Written {
    /// What the files of a document say.
    ///
    /// Cost: a pass over its ends, pins and wires.
    #[must_use]
    pub fn of(document: &Document) -> Self {
        let text = |text: &Text| document.names.text(text.value).to_owned();
        let mut written =
            Self { ends: ends::of(document), pins: pins::of(document), joints: joints::of(document), ..Self::default() };
        for loom in &document.design.looms {
            let optional = |own: &Option<Text>| own.as_ref().map_or_else(String::new, text);
            let doubts = loom.value.unsure.iter().map(text).collect();
            let said = WrittenLoom { kind: optional(&loom.value.wire), doubts, note: optional(&loom.value.note) };
            written.looms.insert(text(&loom.name), said);
            for wire in loom.value.wires.iter().filter(|wire| wire.value.note.is_some() || !wire.value.unsure.is_empty()) {
                let doubts = wire.value.unsure.iter().map(text).collect();
                let note = wire.value.note.as_ref().map_or_else(String::new, text);
                written.wires.insert((text(&loom.name), text(&wire.name)), (doubts, note));
            }
            for end in &loom.value.ends {
                for met in &end.value.pins {
                    let key = [text(&loom.name), text(&end.name), text(&met.name)];
                    written.renumbered.insert(key, text(&met.value));
                }
            }
        }
        written
    }
}
