//! What a thing may be like: the others of its map.

use super::{
    Proposal, ProposalKind,
    names::{MOST, Names},
};
use crate::{
    editor::symbols::Sort,
    format::{Kind, steps::named},
};

impl Names<'_> {
    /// The other things of the map in which the place is.
    pub(super) fn siblings(&self, items: &mut Vec<Proposal>) {
        let Some((kind, own)) = self.asked.things.last() else { return };
        let parent = match kind {
            Kind::Pin => {
                self.asked.within(Kind::Port).and_then(|port| self.index.find(self.holder(), Sort::Thing(Kind::Port), port))
            }
            _ if self.asked.things.len() > 1 => self.holder(),
            _ => None,
        };
        // Its own name, or those of its range, lead nowhere.
        let own = named(own);
        let names = self.index.within(parent, Sort::Thing(*kind)).map(|symbol| self.index.name(symbol));
        let others = names.filter(|name| *name != self.typed && !own.iter().any(|own| own == name));
        items.extend(others.take(MOST).map(|name| Proposal::new(ProposalKind::Name, name).detail(kind.noun())));
    }
}
