//! Screens of cables of class B of which nobody says where they are grounded.

use super::MissingFact;
use crate::facts::{
    Facts,
    screens::{Duty, Screen},
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let is_unsaid = |screen: &&Screen| screen.duty == Duty::ClassB && screen.ends.is_empty();
    let cut = |screen: &Screen| {
        MissingFact::new(
            model[screen.cable].span,
            format!(
                "the screen of `{}`, a cable of class B, was not checked: nothing says where it is grounded",
                model.cable_name(screen.cable)
            ),
            "no `screen`",
            "write where both ends of its screen are joined to a case: `screen: { from: RING, to: RING }` of the cable"
                .to_owned(),
            model.cable_name(screen.cable),
        )
    };
    facts.screens().iter().filter(is_unsaid).map(cut).collect()
}
