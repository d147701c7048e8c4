//! What a mated pair that does not fit says.

use crate::{
    facts::{
        Facts,
        mated_pairs::{Half, MatedPair},
    },
    finding::{Finding, Remedy, RemedyKind},
    model::{Housing, Mate, Model},
};

/// Adds to a finding the words at the places where the two housings are named, and what it concerns.
#[must_use]
pub fn mated_pair(facts: &Facts, pair: &MatedPair<'_>, finding: Finding, own: String, partner: String) -> Finding {
    let model = facts.model();
    finding.label(own).context(pair.partner.place, partner).concerns(pair.own.name(model)).concerns(pair.partner.name(model))
}

/// Completes a finding about a pair that does not fit: what to do in general, and what may do it: two ends that trade partners, or a
/// housing of the design that fits.
#[must_use]
pub fn mating_remedies(facts: &Facts, pair: &MatedPair<'_>, finding: Finding, otherwise: &str) -> Finding {
    let (model, pairs) = (facts.model(), facts.mated_pairs());
    let (own, partner) = (pair.own.name(model), pair.partner.name(model));
    let recheck = format!("or correct the record of `{}` if the part is another", model.text(pair.partner.housing.name));
    let fits_partner = pairs.fitting(model, pair.partner.housing).map(|housing| housed(model, &own, pair.own, housing));
    let fits_own = pairs.fitting(model, pair.own.housing).map(|housing| housed(model, &partner, pair.partner, housing));
    finding.help(format!("{otherwise}, {recheck}")).remedy(traded(facts, pair)).remedy(fits_partner).remedy(fits_own)
}

fn housed(model: &Model, name: &str, half: Half<'_>, housing: &Housing) -> Remedy {
    let kind = model.text(housing.name);
    Remedy::new(RemedyKind::Part, format!("give `{name}` the housing `{kind}`")).edit(half.place, kind)
}

/// The two ends that name their partners trade them, if there is one other pair with which both would fit.
fn traded(facts: &Facts, pair: &MatedPair<'_>) -> Option<Remedy> {
    let model = facts.model();
    let fits = |one: Half<'_>, other: Half<'_>| {
        let contacts = |half: Half<'_>| half.housing.contacts.map(|contacts| contacts.value);
        let known = |half: Half<'_>| (half.housing.family.map(|family| family.value), half.housing.key.map(|key| key.value));
        known(one) == known(other)
            && matches!((contacts(one), contacts(other)), (Some(one), Some(other)) if one != other)
            && one.housing.labels.len() == other.housing.labels.len()
    };
    let mut others = facts.mated_pairs().iter(model).filter(|other| {
        other.own.connector != pair.own.connector && fits(pair.own, other.partner) && fits(other.own, pair.partner)
    });
    let (other, None) = (others.next()?, others.next()) else { return None };
    let said = |half: Half<'_>| match half.connector {
        Mate::End(end) => model[end].mate_span,
        Mate::Port(_) => None,
    };
    let (one, two) = (said(pair.own)?, said(other.own)?);
    let sources = facts.design().sources();
    let words = format!("swap what `{}` and `{}` mate", pair.own.name(model), other.own.name(model));
    Some(Remedy::new(RemedyKind::Swap, words).edit(one, sources.slice(two)).edit(two, sources.slice(one)))
}
