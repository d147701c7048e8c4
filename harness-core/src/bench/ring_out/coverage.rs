//! Which slip the plan finds, by building the loom with it: the first reading that is not as it should be, or why none can be.

use super::{
    bare::Plug,
    first::Finder,
    planned::StepId,
    rig::Rig,
    slip::{Slip, SlipKind, each},
    state::State,
};
use std::collections::BTreeMap;

/// Why no reading finds a slip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unseen {
    /// What was moved is of one net, so that every reading stays as it was; colours or numbers show it.
    SameNet,
    /// It leads to no second place that a probe reaches.
    LeadsNowhere,
    /// Another conductor, or a resistor, beside it carries the reading.
    Beside,
    /// What a meter shows there is not known.
    Vague,
    /// The readings of the sound loom and of this one are within the errors of the meter, or its limits are not known well enough.
    WithinErrors,
}

impl Unseen {
    /// The reason, as a sentence says it.
    #[must_use]
    pub fn reason(self) -> &'static str {
        match self {
            Self::SameNet => {
                "all that was moved is of one net, or leads nowhere else: every reading stays; colour and number show it"
            }
            Self::LeadsNowhere => "it leads to no second place that a probe reaches",
            Self::Beside => "another conductor or a resistor beside it carries the reading",
            Self::Vague => "what a meter shows there is not known",
            Self::WithinErrors => "its readings stay within the limits",
        }
    }
}

/// What the plan finds of the slips of one sort, at one end or in the conductors.
#[derive(Debug, Default, Clone, PartialEq)]
pub(super) struct Found {
    pub(super) tried: usize,
    /// The steps that find one first.
    pub(super) by: BTreeMap<StepId, usize>,
    pub(super) unseen: Vec<(Slip, Unseen)>,
}

/// What the plan finds, by sort and end.
#[derive(Debug, Default)]
pub(super) struct Coverage {
    pub(super) rows: BTreeMap<(SlipKind, Option<Plug>), Found>,
}

pub(super) fn coverage(rig: &Rig, finder: &Finder<'_>) -> Coverage {
    let mut coverage = Coverage::default();
    each(rig, |slip| {
        let first = finder.first(&slip);
        let row = coverage.rows.entry((slip.kind(), slip.plug(&rig.bare))).or_default();
        row.tried += 1;
        match first {
            Some(step) => {
                *row.by.entry(step).or_default() += 1;
            }
            None => {
                let why = why(rig, &slip);
                row.unseen.push((slip, why));
            }
        }
    });
    coverage
}

fn why(rig: &Rig, slip: &Slip) -> Unseen {
    let state = State::with(rig, std::slice::from_ref(slip));
    let touches_vague = state.touched().into_iter().any(|spot| rig.has_vague(rig.piece_of(spot)));
    match slip {
        Slip::Swapped(..) | Slip::Misplaced { .. } | Slip::Crowded { .. } | Slip::Shifted { .. } => {
            if touches_vague {
                Unseen::Vague
            } else {
                Unseen::SameNet
            }
        }
        Slip::Unseated(_) => {
            if touches_vague {
                Unseen::Vague
            } else {
                Unseen::LeadsNowhere
            }
        }
        Slip::Open(join) => {
            let join = &rig.bare.joins[*join];
            if touches_vague {
                Unseen::Vague
            } else if state.are_joined(join.from, join.to)
                || (!join.kind.is_metal() && rig.shown(join.from, join.to) == rig.shown(join.to, join.from))
            {
                Unseen::Beside
            } else {
                Unseen::LeadsNowhere
            }
        }
        Slip::Bridged(one, other) => {
            if rig.nets.of(*one) == rig.nets.of(*other) {
                Unseen::SameNet
            } else if touches_vague {
                Unseen::Vague
            } else {
                Unseen::WithinErrors
            }
        }
        Slip::Reversed(_) | Slip::Shorted(_) => {
            if touches_vague {
                Unseen::Vague
            } else {
                Unseen::Beside
            }
        }
        Slip::Poor(..) | Slip::Wrong(..) | Slip::Leaky(..) | Slip::Touching(..) => Unseen::WithinErrors,
    }
}
