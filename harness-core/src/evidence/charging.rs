//! Whose charge a current is.

use crate::{
    analysis::Analysis,
    electrical::Charged,
    model::ModeId,
    wording::{agree, list_of_first},
};

/// ` with a flat battery on charge (62 A to `bank.cells`)`; empty where the current is not that of a flat battery on charge.
#[must_use]
pub fn charging(analysis: &Analysis, mode: ModeId, battery: Charged) -> String {
    let charge = analysis.electrical().charge_in(mode).filter(|_| battery == Charged::Flat);
    let Some(charge) = charge else { return String::new() };
    let shares = charge.batteries.iter().filter_map(|(edge, amps)| {
        let source = analysis.network()[*edge].element()?;
        Some(format!("{amps} to `{}`", analysis.model().element_name(source)))
    });
    let shares: Vec<String> = shares.collect();
    let flat = agree(shares.len(), "a flat battery", "flat batteries");
    format!(" with {flat} on charge ({})", list_of_first(&shares, 3, 0))
}
