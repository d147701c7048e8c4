//! Whose charge a current is.

use crate::{
    electrical::Charged,
    facts::Facts,
    model::ModeId,
    wording::{agree, list_of_first},
};

/// ` with a flat battery on charge (62 A to `bank.cells`)`; empty where the current is not that of a flat battery on charge.
#[must_use]
pub fn charging(facts: &Facts, mode: ModeId, battery: Charged) -> String {
    let charge = facts.electrical().charge_in(mode).filter(|_| battery == Charged::Flat);
    let Some(charge) = charge else { return String::new() };
    let shares = charge.batteries.iter().filter_map(|(edge, amps)| {
        let source = facts.network()[*edge].element()?;
        Some(format!("{amps} to `{}`", facts.model().element_name(source)))
    });
    let shares: Vec<String> = shares.collect();
    let flat = agree(shares.len(), "a flat battery", "flat batteries");
    format!(" with {flat} on charge ({})", list_of_first(&shares, 3, 0))
}
