//! What nobody has chosen yet: the housing of an end, the terminal of a cavity, the seal of a wire, the plug of a cavity, with what the
//! design has that would fit.

use super::super::{Bench, CavityUse};
use crate::model::{EndId, EndKind, Mate, PointId};
use std::collections::BTreeMap;

/// Places for which something is not chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Unchosen {
    /// The loom.
    pub loom: String,
    /// The end as findings name it.
    pub end: String,
    /// `housing` (its terminals follow from it), `terminal`, `seal` or `cavity plug`.
    pub what: &'static str,
    /// For which size of wire; empty where it does not depend on one, or none is given.
    pub size: String,
    /// The cavities.
    pub cavities: Vec<String>,
    /// Kinds of the design that would fit, by name; empty where it has none.
    pub fits: Vec<String>,
}

impl Bench<'_> {
    pub(super) fn unchosen(&self) -> Vec<Unchosen> {
        self.loom_ids().into_iter().flat_map(|loom| self.ends_of(loom)).flat_map(|end| self.unchosen_at(end)).collect()
    }

    fn unchosen_at(&self, id: EndId) -> Vec<Unchosen> {
        let model = self.model();
        let end = &model[id];
        let housing = match end.kind {
            EndKind::Connector(Some(housing)) => &model[housing],
            EndKind::Connector(None) => return vec![self.unhoused(id)],
            EndKind::Ring(_) | EndKind::Bare => return Vec::new(),
        };
        let is_sealed = housing.sealed.is_some_and(|sealed| sealed.value);
        let mut open: BTreeMap<(&'static str, String), Vec<PointId>> = BTreeMap::new();
        for point in end.points.iter() {
            let size = || self.size_in(point).map_or_else(String::new, |size| format!("{} mm2", super::trimmed(size.get())));
            match (self.use_of(id, point), self.terminal(point)) {
                (CavityUse::Wired, None) => open.entry(("terminal", size())).or_default().push(point),
                (CavityUse::Wired, Some(terminal)) if is_sealed && model[terminal].seal.is_none() => {
                    open.entry(("seal", size())).or_default().push(point);
                }
                (CavityUse::Plugged, _) if housing.plug.is_none() => {
                    open.entry(("cavity plug", String::new())).or_default().push(point);
                }
                (CavityUse::Wired | CavityUse::Plugged | CavityUse::Empty, _) => {}
            }
        }
        let row = |((what, size), points): ((&'static str, String), Vec<PointId>)| Unchosen {
            loom: model.loom_name(end.loom).to_owned(),
            end: model.end_name(id),
            what,
            size,
            fits: if what == "terminal" { self.terminals_for(id, &points) } else { Vec::new() },
            cavities: points.into_iter().map(|point| model.text(model[point].label).to_owned()).collect(),
        };
        open.into_iter().map(row).collect()
    }

    /// An end for which no housing is named; what fits is what mates the other half.
    fn unhoused(&self, id: EndId) -> Unchosen {
        let model = self.model();
        let facts = self.analysis.facts();
        let other = facts.wire_ends().partner(id).and_then(|mate| match mate {
            Mate::Port(port) => model[port].housing(),
            Mate::End(end) => model[end].housing(),
        });
        let fits = other.and_then(|other| facts.mated_pairs().fitting(model, &model[other]));
        Unchosen {
            loom: model.loom_name(model[id].loom).to_owned(),
            end: model.end_name(id),
            what: "housing",
            size: String::new(),
            cavities: model[id].points.iter().map(|point| model.text(model[point].label).to_owned()).collect(),
            fits: fits.map(|housing| model.text(housing.name).to_owned()).into_iter().collect(),
        }
    }

    /// The terminals of the family of an end that take what is in all these cavities.
    fn terminals_for(&self, id: EndId, points: &[PointId]) -> Vec<String> {
        let model = self.model();
        let Some(family) = model[id].housing().and_then(|housing| model[housing].family) else { return Vec::new() };
        let takes = |terminal: &crate::model::Terminal| {
            points.iter().all(|point| match (terminal.size, self.size_in(*point)) {
                (Some(range), Some(size)) => range.value.least <= size && size <= range.value.most,
                (None, _) | (_, None) => false,
            })
        };
        let fits = model.terminals().map(|(_, terminal)| terminal);
        let fits = fits.filter(|terminal| terminal.family.is_some_and(|own| own.value == family.value) && takes(terminal));
        let mut names: Vec<String> = fits.map(|terminal| model.text(terminal.name).to_owned()).collect();
        names.sort_unstable();
        names
    }
}
