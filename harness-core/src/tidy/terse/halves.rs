//! The second half of a housing that mates with another: what follows from the first is not repeated.

use super::{
    super::sheet::{Edit, Sheet},
    Proposal,
};
use crate::text::NodeId;

/// By these two halves are known to fit; they are the same at both.
const FIT: [&str; 3] = ["family", "key", "positions"];

/// What follows from the other half where it says nothing else.
const FOLLOWS: [&str; 9] =
    ["current", "voltage", "contact-resistance", "sealed", "hv", "mixed", "mates-first", "mates-last", "interlock"];

pub(super) fn proposals(sheet: &Sheet<'_>) -> Vec<Proposal> {
    let housings = sheet.root.and_then(|root| sheet.get(sheet.get(root, "parts")?, "housings"));
    let halves: Vec<(NodeId, NodeId)> = housings.into_iter().flat_map(|map| sheet.tree.entries(map)).collect();
    let alone = |at: usize| -> Option<usize> {
        let (_, half) = halves.get(at)?;
        let mut partners = halves.iter().enumerate().filter(|(_, (_, other))| are_halves(sheet, *half, *other));
        let (partner, _) = partners.next()?;
        partners.next().is_none().then_some(partner)
    };
    let second = |(at, (name, half)): (usize, &(NodeId, NodeId))| {
        let first = alone(at).filter(|first| *first < at && alone(*first) == Some(at))?;
        let (partner, its) = halves.get(first)?;
        proposal(sheet, (*name, *half), (*partner, *its))
    };
    halves.iter().enumerate().filter_map(second).collect()
}

/// Whether two housings are the two sorts of one plug.
fn are_halves(sheet: &Sheet<'_>, one: NodeId, other: NodeId) -> bool {
    let word = |half: NodeId, key: &str| sheet.get(half, key).map(|value| sheet.written(value));
    let contacts = [one, other].map(|half| word(half, "contacts"));
    let is_known =
        |half: NodeId| word(half, "mates-with").is_some() || word(half, "family").is_none() || word(half, "face").is_some();
    let opposite = contacts == [Some("pin"), Some("socket")] || contacts == [Some("socket"), Some("pin")];
    opposite && !is_known(one) && !is_known(other) && FIT.iter().all(|key| word(one, key) == word(other, key))
}

/// The second half by the first, in brackets on one line; nothing where the first says something that the second does not.
fn proposal(sheet: &Sheet<'_>, (name, half): (NodeId, NodeId), (partner, its): (NodeId, NodeId)) -> Option<Proposal> {
    let written = sheet.written(half);
    if !sheet.is_flow(half) || written.contains(['\n', '#', '&', '*']) {
        return None;
    }
    let value = |of: NodeId, key: &str| sheet.get(of, key).map(|value| sheet.written(value));
    if FOLLOWS.iter().any(|key| value(its, key).is_some() && value(half, key).is_none()) {
        return None;
    }
    let mut rest = vec![format!("mates-with: {}", sheet.written(partner))];
    for (key, own) in sheet.tree.entries(half) {
        let word = sheet.scalar(key)?;
        let follows = FOLLOWS.contains(&word) && value(its, word) == Some(sheet.written(own));
        if !follows && !FIT.contains(&word) && word != "contacts" {
            rest.push(format!("{word}: {}", sheet.written(own)));
        }
    }
    let text = format!("{{ {} }}", rest.join(", "));
    let owner = sheet.scalar(name)?.to_owned();
    (text.len() < written.len()).then(|| Proposal { owner, edits: vec![Edit { at: sheet.range(half), text }] })
}
