//! What a mated pair that does not fit says.

use crate::{
    facts::{Facts, mated_pairs::MatedPair},
    finding::Finding,
    model::Mate,
};

/// Adds to a finding the words at the places where the two housings are named, and what it concerns.
#[must_use]
pub fn mated_pair(facts: &Facts, pair: &MatedPair<'_>, finding: Finding, own: String, partner: String) -> Finding {
    let model = facts.model();
    finding.label(own).context(pair.partner.place, partner).concerns(pair.own.name(model)).concerns(pair.partner.name(model))
}

/// What to do about a pair that does not fit: the housing of the design that would, else `otherwise`.
#[must_use]
pub fn mating_remedy(facts: &Facts, pair: &MatedPair<'_>, otherwise: &str) -> String {
    let (model, pairs) = (facts.model(), facts.mated_pairs());
    let (own, partner) = (pair.own.name(model), pair.partner.name(model));
    let recheck = format!("or correct the record of `{}` if the part is another", model.text(pair.partner.housing.name));
    if let Some(housing) = pairs.fitting(model, pair.partner.housing) {
        return format!("give `{own}` the housing `{}`, which fits `{partner}`, {recheck}", model.text(housing.name));
    }
    if let (Some(housing), Mate::End(_)) = (pairs.fitting(model, pair.own.housing), pair.partner.connector) {
        return format!("give `{partner}` the housing `{}`, which fits `{own}`, {recheck}", model.text(housing.name));
    }
    format!("{otherwise}, {recheck}")
}
