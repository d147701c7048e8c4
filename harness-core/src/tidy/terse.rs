//! What many things share is written once: proposals by device and loom, each kept only if the design says the same with it.

mod alike;
mod halves;
mod runs;
mod series;
mod shared;
mod words;

use super::sheet::{Edit, Sheet, edited};
use crate::{
    diff::{Edits, Inventory, inventory},
    files::{FileError, Files},
    format::Document,
};
use std::collections::{BTreeMap, BTreeSet};

/// What would make a device or loom shorter.
#[derive(Debug, Clone)]
pub(super) struct Proposal {
    /// The device or loom.
    owner: String,
    /// The changes of its text; all of them or none.
    edits: Vec<Edit>,
}

/// The texts of a design by the names of its files.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Texts(pub BTreeMap<String, String>);

impl Files for Texts {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        self.0.get(name).map(|text| text.as_bytes().to_vec()).ok_or(FileError::Missing)
    }
}

/// Rounds in which what makes a difference is found out and left.
const ROUNDS: usize = 6;

/// The texts of a design with what is shared written once. Says the same, or is as it was.
pub(super) fn shortened(texts: Texts, root: &str) -> Texts {
    let meant = inventory(&Document::read(&texts, root));
    let passes: [fn(&Sheet<'_>) -> Vec<Proposal>; 6] =
        [shared::proposals, shared::of_plugs, halves::proposals, runs::proposals, series::proposals, alike::proposals];
    let once = |texts: Texts| passes.into_iter().fold(texts, |texts, propose| pass(texts, root, &meant, propose));
    // What one pass has made shorter may be worth another.
    // Words have no keys that things could share, so that maps are made of them before.
    let mut texts = pass(texts, root, &meant, words::spelled_out);
    for _ in 0..ROUNDS {
        let before = texts.clone();
        texts = once(texts);
        if texts == before {
            break;
        }
    }
    pass(texts, root, &meant, words::proposals)
}

/// Makes all proposals of a pass, then leaves those whose things became others, until none has.
fn pass(texts: Texts, root: &str, meant: &Inventory, propose: fn(&Sheet<'_>) -> Vec<Proposal>) -> Texts {
    let mut proposals: BTreeMap<&str, Vec<Proposal>> = BTreeMap::new();
    for (name, text) in &texts.0 {
        let sheet = Sheet::new(text);
        // What was made from a list is short enough, and is made anew.
        let is_made = sheet.root.is_none_or(|root| sheet.get(root, "from").is_some());
        if sheet.is_sound && !is_made {
            proposals.insert(name, apart(propose(&sheet)));
        }
    }
    for _ in 0..ROUNDS {
        if proposals.values().all(Vec::is_empty) {
            break;
        }
        let Some(after) = made(&texts, &proposals) else { break };
        let difference = Edits::between(meant, &inventory(&Document::read(&after, root)));
        if difference.is_empty() {
            return after;
        }
        let changed = changed(&difference);
        let before = proposals.values().map(Vec::len).sum::<usize>();
        proposals.values_mut().for_each(|own| own.retain(|proposal| !changed.contains(&proposal.owner)));
        if proposals.values().map(Vec::len).sum::<usize>() == before {
            break;
        }
    }
    texts
}

/// The proposals without those that change what one before them changes.
fn apart(proposals: Vec<Proposal>) -> Vec<Proposal> {
    let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
    let mut kept = Vec::new();
    for proposal in proposals {
        let is_free = |edit: &Edit| {
            let before = taken.range(..=edit.at.start).next_back().is_none_or(|(_, end)| *end <= edit.at.start);
            let after = taken.range(edit.at.start..).next().is_none_or(|(start, _)| *start >= edit.at.end.max(edit.at.start + 1));
            before && after
        };
        if proposal.edits.iter().all(is_free) {
            taken.extend(proposal.edits.iter().filter(|edit| !edit.at.is_empty()).map(|edit| (edit.at.start, edit.at.end)));
            kept.push(proposal);
        }
    }
    kept
}

fn made(texts: &Texts, proposals: &BTreeMap<&str, Vec<Proposal>>) -> Option<Texts> {
    let mut after = texts.clone();
    for (name, own) in proposals {
        let edits: Vec<&Edit> = own.iter().flat_map(|proposal| &proposal.edits).collect();
        let old = texts.0.get(*name)?;
        let text = edited(old, &edits).filter(|text| Sheet::new(text).comments() == Sheet::new(old).comments())?;
        after.0.insert((*name).to_owned(), text);
    }
    Some(after)
}

/// The devices and looms of which something is different.
fn changed(difference: &Edits) -> BTreeSet<String> {
    let gone = difference.removed.iter().chain(&difference.added).map(|(key, _)| key);
    let altered = difference.altered.iter().flat_map(|alteration| [&alteration.old_key, &alteration.new_key]);
    let renamed = difference.renamed.iter().flat_map(|renamed| [&renamed.old, &renamed.new]);
    let owner = |key: &crate::diff::Key| key.shown().split('.').next().unwrap_or_default().to_owned();
    gone.chain(altered).chain(renamed).map(owner).collect()
}
