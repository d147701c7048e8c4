//! Mated pairs: two halves whose housings are both known, and which housing of the design would fit a half.

use super::claims::Claims;
use crate::{
    finding::Finding,
    model::{EndKind, Housing, Mate, Model, PortKind},
    rules::Rule,
    text::{Name, Span},
    vocabulary::Contacts,
};
use rustc_hash::FxHashMap;

/// One half of a mated pair: a connector of a loom or of a device.
#[derive(Debug, Clone, Copy)]
pub(in crate::rules) struct Half<'m> {
    /// The end or port.
    pub(in crate::rules) side: Mate,
    /// Its housing kind.
    pub(in crate::rules) housing: &'m Housing,
    /// Where the housing is named.
    pub(in crate::rules) place: Span,
}

impl<'m> Half<'m> {
    /// The half that is `side`; `None` for rings, studs and connectors whose housing is not named.
    pub(in crate::rules) fn of(model: &'m Model, side: Mate) -> Option<Self> {
        let (housing, place) = match side {
            Mate::Port(port) => {
                let port = model.port(port)?;
                let PortKind::Connector(housing) = port.kind else { return None };
                (housing, port.housing_span)
            }
            Mate::End(end) => {
                let end = model.end(end)?;
                let EndKind::Connector(housing) = end.kind else { return None };
                (housing, end.housing_span)
            }
        };
        Some(Self { side, housing: model.housing(housing?)?, place })
    }

    /// `front.P1` or `coolant-pump.J1`
    pub(in crate::rules) fn name(&self, model: &Model) -> String {
        match self.side {
            Mate::Port(port) => model.port_name(port),
            Mate::End(end) => model.end_name(end),
        }
    }
}

/// Two connectors that are mated with each other and with nothing else.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair<'m> {
    /// The loom end that names its partner; of two ends that name each other, the first.
    pub(super) own: Half<'m>,
    /// The partner.
    pub(super) partner: Half<'m>,
}

/// Every mated pair of which both housings are known, in the order of the ends.
///
/// A pair that a third end disturbs is left to `mating/half-mated`. Cost: linear in the ends.
pub(super) fn pairs(model: &Model) -> Vec<Pair<'_>> {
    let claims = Claims::new(model);
    let ends = model.ends().filter(|(id, _)| claims.is_one_pair(model, *id));
    let halves =
        ends.filter_map(|(id, end)| Some(Pair { own: Half::of(model, Mate::End(id))?, partner: Half::of(model, end.mate?)? }));
    // An end of a loom that is left out of the build claims nothing, yet two such ends still name each other.
    halves.filter(|pair| is_fitted(model, pair.own.side) && is_fitted(model, pair.partner.side)).collect()
}

fn is_fitted(model: &Model, side: Mate) -> bool {
    match side {
        Mate::Port(_) => true,
        Mate::End(end) => model.end(end).and_then(|end| model.loom(end.loom)).is_some_and(|loom| loom.fitted),
    }
}

impl Pair<'_> {
    /// Whether the families are known and differ: then nothing else of the pair is worth a word.
    pub(super) fn differs_in_family(&self) -> bool {
        let family = |half: &Half<'_>| half.housing.family.map(|family| family.value);
        matches!((family(&self.own), family(&self.partner)), (Some(own), Some(partner)) if own != partner)
    }

    /// A finding about the pair, with the words at the places where the two housings are named.
    pub(super) fn finding(&self, rule: &Rule, model: &Model, headline: String, own: String, partner: String) -> Finding {
        rule.finding(self.own.place, headline)
            .label(own)
            .context(self.partner.place, partner)
            .concerns(self.own.name(model))
            .concerns(self.partner.name(model))
    }
}

/// The housings of a design by what decides whether they mate.
#[derive(Debug)]
pub(super) struct Kinds<'m> {
    model: &'m Model,
    kinds: FxHashMap<(Name, bool, Option<Name>), Vec<&'m Housing>>,
}

/// Candidates that are compared label by label before the search is given up.
const MOST_CANDIDATES: usize = 16;

impl<'m> Kinds<'m> {
    /// Sorts the housings of a design.
    pub(super) fn new(model: &'m Model) -> Self {
        let mut kinds: FxHashMap<_, Vec<&Housing>> = FxHashMap::default();
        for (_, housing) in model.housings() {
            if let (Some(family), Some(contacts)) = (housing.family, housing.contacts) {
                let key = (family.value, contacts.value == Contacts::Socket, housing.key.map(|key| key.value));
                kinds.entry(key).or_default().push(housing);
            }
        }
        Self { model, kinds }
    }

    /// The first housing of the design that mates `housing`.
    fn mating(&self, housing: &Housing) -> Option<&'m Housing> {
        let wanted = (housing.family?.value, housing.contacts?.value != Contacts::Socket, housing.key.map(|key| key.value));
        let same = |candidate: &Housing| {
            let labels = |housing: &Housing| housing.index.iter().map(|(label, _)| *label).collect::<Vec<_>>();
            candidate.index.len() == housing.index.len() && labels(candidate) == labels(housing)
        };
        self.kinds.get(&wanted)?.iter().take(MOST_CANDIDATES).copied().find(|candidate| same(candidate))
    }

    /// What to do about a pair that does not fit: the housing of the design that would, else `otherwise`.
    pub(super) fn remedy(&self, pair: &Pair<'_>, otherwise: String) -> String {
        let (own, partner) = (pair.own.name(self.model), pair.partner.name(self.model));
        let text = |housing: &Housing| self.model.text(housing.name).to_owned();
        let recheck = format!("or correct the record of `{}` if the part is another", text(pair.partner.housing));
        if let Some(housing) = self.mating(pair.partner.housing) {
            return format!("give `{own}` the housing `{}`, which fits `{partner}`, {recheck}", text(housing));
        }
        if let (Some(housing), Mate::End(_)) = (self.mating(pair.own.housing), pair.partner.side) {
            return format!("give `{partner}` the housing `{}`, which fits `{own}`, {recheck}", text(housing));
        }
        format!("{otherwise}, {recheck}")
    }
}
