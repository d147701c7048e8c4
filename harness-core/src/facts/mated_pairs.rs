//! Mated pairs: two halves whose housings are both known, and which housing of the design would fit a half.

use super::{Facts, claims::Claims};
use crate::{
    model::{EndId, EndKind, Housing, HousingId, Mate, Model, PortKind},
    text::{Name, Span},
    vocabulary::Contacts,
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Connectors that are mated with each other and with nothing else, with what would fit them.
    ///
    /// Asked by the four mismatches of `mating`.
    #[must_use]
    pub fn mated_pairs(&self) -> &MatedPairs {
        self.made.mated_pairs.get_or_init(|| MatedPairs::new(self.model(), self.claims()))
    }
}

/// Candidates that are compared label by label before the search is given up.
const MOST_CANDIDATES: usize = 16;

/// One half of a mated pair: a connector of a loom or of a device.
#[derive(Debug, Clone, Copy)]
pub struct Half<'m> {
    /// The end or port.
    pub connector: Mate,
    /// Its housing kind.
    pub housing: &'m Housing,
    /// Where the housing is named.
    pub place: Span,
}

impl<'m> Half<'m> {
    /// The half that is `connector`; `None` for rings, studs and connectors whose housing is not named.
    #[must_use]
    pub fn of(model: &'m Model, connector: Mate) -> Option<Self> {
        let (housing, place) = match connector {
            Mate::Port(port) => {
                let port = &model[port];
                let PortKind::Connector(housing) = port.kind else { return None };
                (housing, port.housing_span)
            }
            Mate::End(end) => {
                let end = &model[end];
                let EndKind::Connector(housing) = end.kind else { return None };
                (housing, end.housing_span)
            }
        };
        Some(Self { connector, housing: &model[housing?], place })
    }

    /// `front.P1` or `coolant-pump.J1`
    #[must_use]
    pub fn name(&self, model: &Model) -> String {
        match self.connector {
            Mate::Port(port) => model.port_name(port),
            Mate::End(end) => model.end_name(end),
        }
    }
}

/// Two connectors that are mated with each other and with nothing else.
#[derive(Debug, Clone, Copy)]
pub struct MatedPair<'m> {
    /// The loom end that names its partner; of two ends that name each other, the first.
    pub own: Half<'m>,
    /// The partner.
    pub partner: Half<'m>,
}

impl MatedPair<'_> {
    /// Whether the families are known and differ: then nothing else of the pair is worth a word.
    #[must_use]
    pub fn differs_in_family(&self) -> bool {
        let family = |half: &Half<'_>| half.housing.family.map(|family| family.value);
        matches!((family(&self.own), family(&self.partner)), (Some(own), Some(partner)) if own != partner)
    }
}

/// The mated pairs of a design, and its housings by what decides whether they mate.
#[derive(Debug)]
pub struct MatedPairs {
    pairs: Vec<(EndId, Mate)>,
    /// By family, whether its contacts are sockets, and key.
    kinds: FxHashMap<(Name, bool, Option<Name>), Vec<HousingId>>,
}

impl MatedPairs {
    /// Every mated pair of which both housings are known, in the order of the ends.
    ///
    /// A pair that a third end disturbs is left to `mating/half-mated`. Cost: linear in ends and housings.
    fn new(model: &Model, claims: &Claims) -> Self {
        let fitted = |connector: Mate| match connector {
            Mate::Port(_) => true,
            // An end of a loom that is left out of the build claims nothing, yet two such ends still name each other.
            Mate::End(end) => model[model[end].loom].fitted,
        };
        let pairs = model.ends().filter_map(|(id, end)| Some((id, end.mate?)));
        let pairs = pairs.filter(|(id, mate)| {
            let known = Half::of(model, Mate::End(*id)).is_some() && Half::of(model, *mate).is_some();
            known && claims.is_one_pair(model, *id) && fitted(Mate::End(*id)) && fitted(*mate)
        });
        let mut kinds: FxHashMap<_, Vec<HousingId>> = FxHashMap::default();
        for (id, housing) in model.housings() {
            if let (Some(family), Some(contacts)) = (housing.family, housing.contacts) {
                let key = (family.value, contacts.value == Contacts::Socket, housing.key.map(|key| key.value));
                kinds.entry(key).or_default().push(id);
            }
        }
        Self { pairs: pairs.collect(), kinds }
    }

    /// The pairs with their halves.
    pub fn iter<'a>(&'a self, model: &'a Model) -> impl Iterator<Item = MatedPair<'a>> {
        self.pairs.iter().filter_map(|(end, mate)| {
            Some(MatedPair { own: Half::of(model, Mate::End(*end))?, partner: Half::of(model, *mate)? })
        })
    }

    /// The pairs whose halves are of one family as far as that is known: halves of two families are one fault, which hides all others.
    pub fn of_one_family<'a>(&'a self, model: &'a Model) -> impl Iterator<Item = MatedPair<'a>> {
        self.iter(model).filter(|pair| !pair.differs_in_family())
    }

    /// The first housing of the design that mates `housing`; `None` where there is none, or where its family or contacts are not known.
    #[must_use]
    pub fn fitting<'m>(&self, model: &'m Model, housing: &Housing) -> Option<&'m Housing> {
        let wanted = (housing.family?.value, housing.contacts?.value != Contacts::Socket, housing.key.map(|key| key.value));
        let same = |candidate: &&Housing| {
            candidate.index.len() == housing.index.len()
                && candidate.index.iter().zip(&housing.index).all(|((one, _), (other, _))| one == other)
        };
        self.kinds.get(&wanted)?.iter().take(MOST_CANDIDATES).map(|id| &model[*id]).find(same)
    }
}
