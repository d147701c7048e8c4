//! Things by the names that findings give them.

use super::facts;
use crate::{
    model::{CableId, ElementId, EndId, EndKind, Mate, Model, PointId, WireId},
    suggest::nearest,
    text::Span,
};
use std::collections::BTreeMap;

/// Candidates are listed up to this many.
const MOST: usize = 40;
/// Names of the same end are suggested up to this many.
const NEAR: usize = 3;

/// Something that a figure can belong to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    /// A wire or a core of a cable.
    Wire(WireId),
    /// An element: fuse, load, source, switch …
    Element(ElementId),
    /// A point that a probe can touch.
    Point(PointId),
    /// A cable with all its cores.
    Cable(CableId),
    /// The connector or ring of a loom with its mate: all contacts of the pair.
    Pair(EndId),
}

/// What a name leads to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// The one thing of that name.
    One(Thing),
    /// Several things, by the names that distinguish them; `more` are not listed.
    Several {
        /// Their names, in the order written.
        names: Vec<String>,
        /// How many there are beyond those.
        more: usize,
    },
    /// Nothing; the names that are nearest, best first.
    Nothing(Vec<String>),
}

/// All names of a design.
#[derive(Debug)]
pub struct Names<'a> {
    model: &'a Model,
    by_name: BTreeMap<String, Vec<Thing>>,
}

impl<'a> Names<'a> {
    /// The names of `model`. Cost: one pass over its things, sorted.
    #[must_use]
    pub fn new(model: &'a Model) -> Self {
        let wires = model.wires().map(|(id, _)| (model.wire_name(id), Thing::Wire(id)));
        let elements = model.elements().map(|(id, _)| (model.element_name(id), Thing::Element(id)));
        let points = model.points().map(|(id, _)| (model.point_name(id), Thing::Point(id)));
        let cables = model.cables().map(|(id, _)| (model.cable_name(id), Thing::Cable(id)));
        // A ring is one point, which has the name already.
        let connectors = model.ends().filter(|(_, end)| matches!(end.kind, EndKind::Connector(_)));
        let ends = connectors.clone().map(|(id, _)| (model.end_name(id), Thing::Pair(id)));
        let ports = connectors.filter_map(|(id, end)| match end.mate? {
            Mate::Port(port) => Some((model.port_name(port), Thing::Pair(id))),
            Mate::End(_) => None,
        });
        let mut by_name: BTreeMap<String, Vec<Thing>> = BTreeMap::new();
        for (name, thing) in wires.chain(elements).chain(points).chain(cables).chain(ends).chain(ports) {
            by_name.entry(name).or_default().push(thing);
        }
        Self { model, by_name }
    }

    /// Every name with what it leads to, sorted; one name may lead to several things, and a pair has the names of both its halves.
    pub fn all(&self) -> impl Iterator<Item = (&str, Thing)> {
        self.by_name.iter().flat_map(|(name, things)| things.iter().map(move |thing| (name.as_str(), *thing)))
    }

    /// What `wanted` names: a full name (`front.107`), its end if that is the end of one name alone (`107`), or a kind and
    /// a name (`wire front.107`). The name of a box or connector leads to what is in it.
    #[must_use]
    pub fn find(&self, wanted: &str) -> Found {
        let wanted = wanted.trim();
        let (kind, name) = match wanted.split_once(' ') {
            Some((kind, name)) if ["wire", "element", "point", "cable", "pair"].contains(&kind) => (Some(kind), name.trim()),
            _ => (None, wanted),
        };
        let fits = |thing: &Thing| kind.is_none_or(|kind| kind == thing.word());
        let exact: Vec<Thing> = self.by_name.get(name).into_iter().flatten().copied().filter(fits).collect();
        if !exact.is_empty() {
            return self.several(exact);
        }
        let ending = format!(".{name}");
        let inside = format!("{name}.");
        let pick = |keep: &dyn Fn(&str) -> bool| -> Vec<Thing> {
            let kept = self.by_name.iter().filter(|(known, _)| keep(known));
            let mut things: Vec<Thing> = kept.flat_map(|(_, things)| things.iter().copied()).filter(fits).collect();
            things.sort_unstable();
            things
        };
        let by_end = pick(&|known| known.ends_with(&ending));
        if !by_end.is_empty() {
            return self.several(by_end);
        }
        let mut within = pick(&|known| known.starts_with(&inside) || known.contains(&format!(".{inside}")));
        // Its contacts are listed, so the pair as a whole need not be.
        within.retain(|thing| !matches!(thing, Thing::Pair(_)));
        if let Some(point) = self.element_point(name).filter(|_| kind.is_none_or(|kind| kind == "point")) {
            return Found::One(point);
        }
        match within.is_empty() {
            // A box with a single thing in it is still no name of that thing.
            false => self.listed(within),
            true => Found::Nothing(self.near(name)),
        }
    }

    /// The point of an element by its number: `fuse-box.F4.1` is the first point that the design gives for it, `.2` the second.
    fn element_point(&self, name: &str) -> Option<Thing> {
        let (element, number) = name.rsplit_once('.')?;
        let number: usize = number.parse().ok()?;
        let ending = format!(".{element}");
        let is_meant = |known: &str| known == element || known.ends_with(&ending);
        let mut elements = self.by_name.iter().filter(|(known, _)| is_meant(known)).flat_map(|(_, things)| things).filter_map(
            |thing| match thing {
                Thing::Element(id) => Some(*id),
                _ => None,
            },
        );
        let (first, other) = (elements.next()?, elements.next());
        let point = self.model[first].points.get(number.checked_sub(1)?)?;
        other.is_none().then_some(Thing::Point(*point))
    }

    /// The name nearest to `name` as a whole; else those with the same end behind the last full stop.
    fn near(&self, name: &str) -> Vec<String> {
        if let Some(near) = nearest(name, self.by_name.keys().map(String::as_str)) {
            return vec![near.to_owned()];
        }
        let Some((_, end)) = name.rsplit_once('.') else { return Vec::new() };
        let ending = format!(".{end}");
        self.by_name.keys().filter(|known| known.ends_with(&ending)).take(NEAR).cloned().collect()
    }

    fn several(&self, things: Vec<Thing>) -> Found {
        match things.as_slice() {
            [only] => Found::One(*only),
            _ => self.listed(things),
        }
    }

    fn listed(&self, things: Vec<Thing>) -> Found {
        let more = things.len().saturating_sub(MOST);
        let names = things.iter().take(MOST).map(|thing| self.distinct(*thing)).collect();
        Found::Several { names, more }
    }

    /// The name of `thing`, with its kind where another thing bears the same.
    fn distinct(&self, thing: Thing) -> String {
        let name = thing.name(self.model);
        match self.by_name.get(&name) {
            Some(same) if same.len() > 1 => format!("{} {name}", thing.word()),
            _ => name,
        }
    }
}

impl Thing {
    /// Its name in findings.
    #[must_use]
    pub fn name(self, model: &Model) -> String {
        match self {
            Self::Wire(id) => model.wire_name(id),
            Self::Element(id) => model.element_name(id),
            Self::Point(id) => model.point_name(id),
            Self::Cable(id) => model.cable_name(id),
            Self::Pair(id) => model.end_name(id),
        }
    }

    /// What it is, in a word or two: `fuse`, `cavity`, `service disconnect`.
    #[must_use]
    pub fn kind(self, model: &Model) -> &'static str {
        facts::kind(model, self)
    }

    /// Where it is written.
    #[must_use]
    pub fn span(self, model: &Model) -> Span {
        facts::span(model, self)
    }

    /// The word that distinguishes it from things of another kind.
    fn word(self) -> &'static str {
        match self {
            Self::Wire(_) => "wire",
            Self::Element(_) => "element",
            Self::Point(_) => "point",
            Self::Cable(_) => "cable",
            Self::Pair(_) => "pair",
        }
    }
}
