//! Fuses of both designs: rating, load and margins.

use super::{Crossing, Pair, Threshold, threshold::crossing, twins, was};
use crate::{
    diff::renames::Renames,
    inspect::{Against, FuseLoad, Loads, Margin},
    quantity::{Ampere, Ratio},
};
use std::borrow::Cow;

/// A fuse of which something changed.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseChange {
    /// `fuse-box.F4`, as the newer design calls it.
    pub name: String,
    /// As the older design calls it, where that is another name.
    pub was: Option<String>,
    /// How its margins crossed their limits, if at all: the most severe of them, those that did not move included.
    pub crossing: Crossing,
    /// Its rating, where it changed; `None` on a side where its kind gives none.
    pub rating: Option<Pair<Option<Ampere>>>,
    /// The largest continuous current, where it changed, with its share of what the fuse may carry for long; no share where
    /// the limit is not known.
    pub amps: Option<Pair<(Ampere, Option<Ratio>)>>,
    /// The margins that changed, by what they are held against; empty where none did.
    pub margins: Vec<MarginChange>,
}

/// A margin that changed.
#[derive(Debug, Clone, PartialEq)]
pub struct MarginChange {
    /// What it is held against.
    pub against: Against,
    /// On which side of its limit the figure was and is.
    pub crossing: Crossing,
    /// The margins with figure and limit in words; `None` where nothing limits the figure, or one of both is not known.
    pub margin: Pair<Option<Margin>>,
}

/// All that can limit something.
const AGAINST: [Against; 5] = [Against::Load, Against::Rating, Against::Short, Against::Breaking, Against::Drop];

/// The margins that differ enough, and the most severe crossing of all.
pub(super) fn margins(old: &[Margin], new: &[Margin], threshold: &Threshold) -> (Vec<MarginChange>, Crossing) {
    let mut changes = Vec::new();
    let mut gravest = Crossing::Within;
    for against in AGAINST {
        let of = |list: &[Margin]| list.iter().find(|margin| margin.against == against).cloned();
        let margin = Pair { old: of(old), new: of(new) };
        let ratio = |margin: &Option<Margin>| margin.as_ref().map(|margin| margin.ratio);
        let (before, after) = (ratio(&margin.old), ratio(&margin.new));
        let crossing = crossing(before, after);
        gravest = gravest.min(crossing);
        if threshold.tells_margin(before, after) {
            changes.push(MarginChange { against, crossing, margin });
        }
    }
    (changes, gravest)
}

pub(super) fn compare(rows: &Pair<Loads>, renames: &Renames, threshold: &Threshold) -> Vec<FuseChange> {
    let named = |row: &'_ FuseLoad| row.name.clone();
    let (old, new) = (rows.old.fuses.iter(), rows.new.fuses.iter());
    let pairs = twins(old.map(|row| (Cow::Owned(named(row)), row)), new.map(|row| (Cow::Owned(named(row)), row)), renames);
    let mut changes: Vec<FuseChange> = pairs.into_iter().filter_map(|(_, old, new)| change(old, new, threshold)).collect();
    changes.sort_by(|a, b| a.crossing.cmp(&b.crossing).then_with(|| a.name.cmp(&b.name)));
    changes
}

fn change(old: &FuseLoad, new: &FuseLoad, threshold: &Threshold) -> Option<FuseChange> {
    let (margins, crossing) = margins(&old.margins, &new.margins, threshold);
    let change = FuseChange {
        name: new.name.clone(),
        was: was(&old.name, &new.name),
        crossing,
        rating: (old.rating != new.rating).then_some(Pair { old: old.rating, new: new.rating }),
        amps: threshold.tells_amps(old.amps, new.amps).then_some(Pair { old: (old.amps, old.share), new: (new.amps, new.share) }),
        margins,
    };
    (change.rating.is_some() || change.amps.is_some() || !change.margins.is_empty()).then_some(change)
}
