//! The files of a design in the one form that suits reviews best, with the same meaning and every comment kept.
//!
//! Owns what is written once for many (`terse`), the page (`page`: entries with their comments), its layout (`layout`), and the proof: a text that says anything else than before, or
//! lost a comment, is never given out. Nothing is written here.

mod layout;
mod page;
mod sheet;
mod terse;

use crate::{
    files::Files,
    format::{self, Document},
    text::{self, Kind, NodeId},
};
use sheet::Sheet;
use std::collections::BTreeMap;
use terse::Texts;

/// What is to become of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// It is tidy already.
    Tidy,
    /// It has another text when it is tidy.
    Changed {
        /// The text that it has.
        old: String,
        /// The text that it should have.
        new: String,
    },
    /// It is left as it is, and why; completes "it is left as it is: ".
    Left(String),
}

/// The files of the design in the file `root`, by their names, with what is to become of each. A design that can't be read has no files.
///
/// # Cost
/// Each file is read a dozen times.
///
/// # Example
/// ```
/// use harness_core::{MemoryFiles, Outcome, tidy};
///
/// let written = "design: Lift   # of the orchard\nformat: 1\nzones:\n    grill:  {wet: true}\n";
/// let tidied = tidy(&MemoryFiles::one("lift.yaml", written), "lift.yaml");
/// let Outcome::Changed { new, .. } = &tidied["lift.yaml"] else { unreachable!() };
/// assert_eq!(new, "format: 1\ndesign: Lift  # of the orchard\nzones:\n  grill: { wet: true }\n");
/// ```
#[must_use]
pub fn tidy(files: &dyn Files, root: &str) -> BTreeMap<String, Outcome> {
    let document = Document::read(files, root);
    let read = |(_, file): (_, &text::SourceFile)| (file.name().to_owned(), file.text().to_owned());
    let refused: Vec<&str> =
        document.sources.files().filter(|(_, file)| file.is_refused()).map(|(_, file)| file.name()).collect();
    // What was made from a list is made anew with it, and nobody edits it.
    let made: Vec<&str> =
        document.sources.files().filter(|(_, file)| file.list().is_some()).map(|(_, file)| file.name()).collect();
    let old = Texts(document.sources.files().map(read).collect());
    // What is shared is seen by how it is written, so that all is laid out before.
    let laid: BTreeMap<String, Result<String, &'static str>> =
        old.0.iter().map(|(name, text)| (name.clone(), laid_out(text))).collect();
    let even = Texts(
        old.0
            .iter()
            .map(|(name, text)| (name.clone(), laid.get(name).and_then(|laid| laid.as_ref().ok()).unwrap_or(text).clone()))
            .collect(),
    );
    let short = if refused.is_empty() { terse::shortened(even, root) } else { even };
    let outcome = |(name, old): (String, String)| {
        let text = short.0.get(&name).unwrap_or(&old);
        // Only what became shorter has to be laid out once more.
        let laid = match laid.get(&name) {
            Some(Ok(even)) if even != text => laid_out(text),
            Some(laid) => laid.clone(),
            None => Ok(old.clone()),
        };
        let outcome = match laid {
            Ok(_) if made.contains(&name.as_str()) => Outcome::Tidy,
            _ if refused.contains(&name.as_str()) => {
                Outcome::Left("its bytes can't be read as text; `harness check` says why".to_owned())
            }
            Ok(new) if new == old => Outcome::Tidy,
            Ok(new) => Outcome::Changed { old, new },
            Err(why) => Outcome::Left(why.to_owned()),
        };
        (name, outcome)
    };
    old.0.into_iter().map(outcome).collect()
}

/// A text laid out, with its byte order mark and its line ends.
fn laid_out(old: &str) -> Result<String, &'static str> {
    let read = Sheet::new(old);
    if !read.is_sound {
        return Err("it has mistakes of reading, which `harness check` shows; put them right first");
    }
    let Some(root) = read.root else { return Ok(old.to_owned()) };
    let reader = page::Reader { text: old, tree: &read.tree };
    let Some(page) = reader.page(root) else {
        return Err("it is not written in the usual form, a key a line from the margin on");
    };
    let mut new = layout::page(&reader, &page, format::shape());
    if old.contains("\r\n") {
        new = new.replace('\n', "\r\n");
    }
    if old.starts_with('\u{feff}') {
        new.insert(0, '\u{feff}');
    }
    if !same(old, &new) {
        return Err("laid out anew it would not say the same; a fault of this program, which it noticed in time");
    }
    Ok(new)
}

/// Whether two texts say the same, the order of keys aside, and have the same comments.
fn same(old: &str, new: &str) -> bool {
    let (one, other) = (Sheet::new(old), Sheet::new(new));
    let is_same = match (one.root, other.root) {
        (Some(root), Some(its)) => (Side { read: &one }, Side { read: &other }).agree(root, its),
        (root, its) => root.is_none() == its.is_none(),
    };
    one.is_sound && other.is_sound && is_same && one.comments() == other.comments()
}

/// One of two texts that are compared.
struct Side<'a> {
    read: &'a Sheet<'a>,
}

impl Side<'_> {
    fn text(&self, node: NodeId) -> Option<(&str, bool)> {
        match self.read.tree.kind(node) {
            Kind::Scalar { text, plain } => Some((self.read.names.text(text), plain)),
            Kind::List | Kind::Map | Kind::Missing => None,
        }
    }

    fn entries(&self, node: NodeId) -> BTreeMap<&str, NodeId> {
        self.read.tree.entries(node).filter_map(|(key, value)| Some((self.text(key)?.0, value))).collect()
    }
}

trait Agree {
    fn agree(&self, one: NodeId, other: NodeId) -> bool;
}

impl Agree for (Side<'_>, Side<'_>) {
    fn agree(&self, one: NodeId, other: NodeId) -> bool {
        let (left, right) = self;
        match (left.read.tree.kind(one), right.read.tree.kind(other)) {
            (Kind::Scalar { .. }, Kind::Scalar { .. }) => left.text(one) == right.text(other),
            (Kind::Missing, Kind::Missing) => true,
            (Kind::List, Kind::List) => {
                let (items, others) = (left.read.tree.items(one), right.read.tree.items(other));
                items.len() == others.len() && items.zip(others).all(|(one, other)| self.agree(one, other))
            }
            (Kind::Map, Kind::Map) => {
                let (entries, others) = (left.entries(one), right.entries(other));
                let agrees = |(key, value): (&&str, &NodeId)| others.get(*key).is_some_and(|other| self.agree(*value, *other));
                entries.len() == others.len() && entries.iter().all(agrees)
            }
            _ => false,
        }
    }
}
