//! A thing that is like another of the same map: it has all that it does not say itself from that one.
//!
//! Owns what `like` may name and what is taken over: every key that the thing has not, but for `note` and `row`, which are of one thing. A
//! map inside is taken whole or not at all. It is done to the tree of the joined files, before records are read, so that a thing is as if
//! it were written out; what was taken over has its place where it is written, and the file knows that it says something of several things.
//! Cost: a design without the word pays a look at the keys of its maps of things at most; one with it the keys that are taken over.

mod faults;

use super::{
    Attribute,
    cavities::spread,
    collect::Findings,
    limits::{TAKEN, grouped},
    reader::{Record, clip},
    shape::{FieldShape, RecordShape, Shape, VariantsShape},
};
use crate::text::{Kind, Name, Names, NodeId, Sources, Span, Tree};
use faults::{misplaced, noun};
use rustc_hash::{FxHashMap, FxHashSet};

/// The key itself: of every thing that has a name in a map of such things.
pub static LIKE: FieldShape = FieldShape {
    key: Attribute::Like,
    class: super::class::files(),
    doc: "Another thing of the same map that this one is like: it has all keys of that one that it does not give itself, but for `note` and \
          `row`. A map inside is taken whole.",
    required: false,
    unless: None,
    limit: None,
    is_read: true,
    shape: || Shape::Text,
};

/// Keys that are of one thing alone.
const OF_ONE: [Attribute; 2] = [Attribute::Note, Attribute::Row];

/// The design with what each thing has from another; `top` as it is where nothing is like something.
pub(super) fn take_over(tree: &mut Tree, top: NodeId, names: &Names, sources: &mut Sources, findings: &mut Findings) -> NodeId {
    let Some(like) = names.find(Attribute::Like.word()) else { return top };
    let is_own = |name: Name| OF_ONE.iter().any(|key| key.word() == names.text(name));
    let mut taker = Taker {
        tree,
        names,
        like,
        is_own: &is_own,
        findings,
        done: FxHashMap::default(),
        weights: FxHashMap::default(),
        given: FxHashMap::default(),
        taken: FxHashSet::default(),
        values: 0,
    };
    let whole = taker.record(top, super::Design::SHAPE);
    let Taker { given, taken, .. } = taker;
    for (key, value) in given.into_values() {
        let (first, last) = (tree.span(key), tree.span(value));
        let own = tree.entries(value).filter(|(_, value)| !taken.contains(value)).map(|(_, value)| tree.span(value));
        let own = own.map(|span| (span.start, span.end)).collect();
        if let Some(file) = sources.file_mut(first.file) {
            file.share(first.start, last.end.max(first.end), own);
        }
    }
    whole
}

/// A key with its value.
type Pair = (NodeId, NodeId);

struct Taker<'a> {
    tree: &'a mut Tree,
    names: &'a Names,
    /// The word itself.
    like: Name,
    /// Whether a key is of one thing alone.
    is_own: &'a dyn Fn(Name) -> bool,
    findings: &'a mut Findings,
    /// Maps that were seen already: aliases may lead to the same ones again.
    done: FxHashMap<NodeId, NodeId>,
    /// How many values there are behind a node.
    weights: FxHashMap<NodeId, usize>,
    /// The things from which others have something.
    given: FxHashMap<NodeId, Pair>,
    /// The values that others have too.
    taken: FxHashSet<NodeId>,
    /// How many values were taken over so far.
    values: usize,
}

/// One thing of a map of things.
struct Thing {
    key: NodeId,
    value: NodeId,
    /// The text behind its `like`.
    like: Option<NodeId>,
    /// The thing that it is like.
    base: Option<usize>,
    is_done: bool,
}

impl Taker<'_> {
    fn record(&mut self, node: NodeId, record: &'static RecordShape) -> NodeId {
        let field = |taker: &Self, key: NodeId| {
            let word = taker.names.text(taker.tree.text(key)?);
            record.fields.iter().find(|field| field.key.word() == word)
        };
        self.each(node, |taker, key, value| match field(taker, key) {
            Some(field) => taker.value(value, (field.shape)(), field),
            None => value,
        })
    }

    /// A map with each of its values changed; the same where none is.
    fn each(&mut self, node: NodeId, mut change: impl FnMut(&mut Self, NodeId, NodeId) -> NodeId) -> NodeId {
        if !matches!(self.tree.kind(node), Kind::Map) {
            return node;
        }
        if let Some(done) = self.done.get(&node) {
            return *done;
        }
        let entries: Vec<Pair> = self.tree.entries(node).collect();
        let mut children = Vec::with_capacity(entries.len() * 2);
        let mut is_changed = false;
        for (key, value) in entries {
            let now = change(self, key, value);
            is_changed |= now != value;
            children.extend([key, now]);
        }
        let incomplete = self.tree.is_incomplete(node);
        let whole = if is_changed { self.tree.push_like(node, children, incomplete) } else { node };
        self.done.insert(node, whole);
        whole
    }

    fn value(&mut self, node: NodeId, shape: Shape, field: &'static FieldShape) -> NodeId {
        match shape {
            Shape::Record(record) => self.record(node, record),
            Shape::Variants(variants) => match self.variant(node, variants) {
                Some((_, record)) => self.record(node, record),
                None => node,
            },
            Shape::Map(item) if thing(item()).is_some() => self.things(node, item(), field),
            Shape::Either(shapes) => match shapes.iter().map(|shape| shape()).find(|shape| thing(*shape).is_some()) {
                Some(shape) => self.value(node, shape, field),
                None => node,
            },
            _ => node,
        }
    }

    /// What the keys of a thing say that it is.
    fn variant(&self, node: NodeId, shape: &'static VariantsShape) -> Option<&'static (&'static str, &'static RecordShape)> {
        let mut words = self.tree.entries(node).filter_map(|(key, _)| self.tree.text(key)).map(|name| self.names.text(name));
        words.find_map(|word| shape.variants.iter().find(|(known, _)| *known == word))
    }

    /// A map of things, each with what it has from another.
    fn things(&mut self, node: NodeId, item: Shape, field: &'static FieldShape) -> NodeId {
        if let Some(done) = self.done.get(&node) {
            return *done;
        }
        let mut things: Vec<Thing> = self.tree.entries(node).map(|(key, value)| self.thing(key, value)).collect();
        if things.iter().any(|thing| thing.like.is_some()) {
            self.find_bases(&mut things, field);
            for at in 0..things.len() {
                self.fill(&mut things, at, item, field);
            }
        }
        let mut is_changed = false;
        let mut children = Vec::with_capacity(things.len() * 2);
        let before: Vec<NodeId> = self.tree.entries(node).map(|(_, value)| value).collect();
        for (Thing { key, value, .. }, before) in things.into_iter().zip(before) {
            let now = self.value(value, item, field);
            is_changed |= now != before;
            children.extend([key, now]);
        }
        let incomplete = self.tree.is_incomplete(node);
        let whole = if is_changed { self.tree.push_like(node, children, incomplete) } else { node };
        self.done.insert(node, whole);
        whole
    }

    fn thing(&self, key: NodeId, value: NodeId) -> Thing {
        let like = self.tree.entries(value).find(|(key, _)| self.tree.text(*key) == Some(self.like)).map(|(_, like)| like);
        Thing { key, value, like, base: None, is_done: like.is_none() }
    }

    /// Finds what each thing is like; notes names that lead nowhere.
    fn find_bases(&mut self, things: &mut [Thing], field: &'static FieldShape) {
        let mut by_name: FxHashMap<Name, usize> = FxHashMap::default();
        for (at, thing) in things.iter().enumerate() {
            by_name.extend(self.tree.text(thing.key).map(|name| (name, at)));
        }
        let mut bases = Vec::new();
        for (at, thing) in things.iter().enumerate() {
            let Some(like) = thing.like else { continue };
            let Some(name) = self.tree.text(like) else {
                if !self.tree.is_incomplete(like) {
                    let headline = format!("`{}` has `like` without a name", clip(self.name(thing)));
                    let help = format!("name another {} of the same map, or take `like` out", noun(field));
                    self.findings.push(misplaced(self.tree.span(like), headline, "no name").help(help));
                }
                continue;
            };
            // A pin may be written within a range.
            let among = || {
                let label = self.names.text(name);
                let is_pin = field.key == Attribute::Pins;
                let holds = |thing: &Thing| is_pin && spread(self.name(thing)).iter().any(|other| other == label);
                things.iter().position(holds)
            };
            let base = by_name.get(&name).copied().or_else(among);
            match base {
                Some(base) if base == at => {
                    let headline = format!("{} `{}` is like itself", noun(field), clip(self.name(thing)));
                    let help = format!("name another {}, or take `like` out", noun(field));
                    self.findings.push(misplaced(self.tree.span(like), headline, "its own name").help(help));
                }
                Some(base) => bases.push((at, base)),
                None => {
                    let others = things.iter().filter(|other| other.key != thing.key).map(|other| self.name(other));
                    let written = (self.names.text(name), self.tree.span(like));
                    let finding = faults::unknown(self.name(thing), written, noun(field), others);
                    self.findings.push(finding);
                }
            }
        }
        for (at, base) in bases {
            if let Some(thing) = things.get_mut(at) {
                thing.base = Some(base);
            }
        }
    }

    fn name(&self, thing: &Thing) -> &str {
        self.tree.text(thing.key).map_or("", |name| self.names.text(name))
    }

    /// Gives a thing what it has from another, and before it that other one what that has.
    fn fill(&mut self, things: &mut [Thing], at: usize, item: Shape, field: &'static FieldShape) {
        let mut way = vec![at];
        while let Some(thing) = way.last().and_then(|at| things.get(*at)).filter(|thing| !thing.is_done) {
            let Some(base) = thing.base else { break };
            if let Some(first) = way.iter().position(|at| *at == base) {
                self.circle(things, way.get(first..).unwrap_or_default(), field);
                break;
            }
            way.push(base);
        }
        while let Some(at) = way.pop() {
            let Some(thing) = things.get(at).filter(|thing| !thing.is_done) else { continue };
            let base = thing.base.and_then(|base| things.get(base));
            let value = match base {
                Some(base) => self.filled(thing, base, item, field),
                None => self.bare(thing.value),
            };
            if let Some(thing) = things.get_mut(at) {
                (thing.value, thing.is_done) = (value, true);
            }
        }
    }

    /// Notes things that are like each other in a circle; none of them is like anything then.
    fn circle(&mut self, things: &mut [Thing], circle: &[usize], field: &FieldShape) {
        let places = circle.iter().filter_map(|at| things.get(*at));
        let named = places.filter_map(|thing| Some((self.tree.span(thing.like?), self.name(thing).to_owned())));
        self.findings.extend(faults::circle(named.collect(), noun(field)));
        for at in circle {
            if let Some(thing) = things.get_mut(*at) {
                thing.base = None;
            }
        }
    }

    /// A thing without its `like`, which led nowhere: what it lacks is not a mistake of its own.
    fn bare(&mut self, value: NodeId) -> NodeId {
        let children: Vec<NodeId> = self.own(value).flat_map(|(key, value)| [key, value]).collect();
        self.tree.push_like(value, children, true)
    }

    /// What a thing says itself.
    fn own(&self, value: NodeId) -> impl Iterator<Item = Pair> + '_ {
        self.tree.entries(value).filter(|(key, _)| self.tree.text(*key) != Some(self.like))
    }

    /// A thing with what it has from another.
    fn filled(&mut self, thing: &Thing, base: &Thing, item: Shape, field: &'static FieldShape) -> NodeId {
        let like = thing.like.map_or_else(|| self.tree.span(thing.key), |like| self.tree.span(like));
        let (own_name, base_name) = (clip(self.name(thing)), clip(self.name(base)));
        if !matches!(self.tree.kind(base.value), Kind::Map | Kind::Missing) {
            let headline = format!("`{own_name}` is like `{base_name}`, of which no key says anything");
            let help = format!("say it of `{own_name}` as it is said of `{base_name}`, and take `like` out");
            self.findings.push(misplaced(like, headline, "nothing to take over").help(help));
            return self.bare(thing.value);
        }
        let Some(record) = self.record_of(thing, base, like, item) else { return self.bare(thing.value) };
        let known = |name: Name| record.fields.iter().any(|field| field.key.word() == self.names.text(name));
        let mut said: FxHashSet<Name> = FxHashSet::default();
        let mut children = Vec::new();
        for (key, value) in self.own(thing.value) {
            said.extend(self.tree.text(key));
            children.extend([key, value]);
        }
        // A key that the format has not is noted once, where it is written.
        let is_taken =
            |key: NodeId| self.tree.text(key).is_some_and(|name| !said.contains(&name) && !(self.is_own)(name) && known(name));
        let taken: Vec<Pair> = self.own(base.value).filter(|(key, _)| is_taken(*key)).collect();
        let incomplete = [thing.value, base.value].iter().any(|node| self.tree.is_incomplete(*node));
        if taken.is_empty() && !incomplete {
            self.findings.push(faults::in_vain(&own_name, &base_name, like, noun(field)));
        }
        let weight: usize = taken.iter().map(|(_, value)| self.weight(*value)).sum();
        self.values = self.values.saturating_add(weight);
        if self.values > TAKEN.most {
            let headline = format!("up to `{own_name}` the design takes {} values over", grouped(self.values));
            self.findings.push(TAKEN.exceeded(like, headline));
            self.values -= weight;
            return self.bare(thing.value);
        }
        self.given.entry(base.key).or_insert((base.key, base.value));
        self.taken.extend(taken.iter().map(|(_, value)| *value));
        children.extend(taken.into_iter().flat_map(|(key, value)| [key, value]));
        self.tree.push_like(thing.value, children, incomplete)
    }

    /// The record of a thing and of what it is like; `None` after it was noted that they are not of one sort.
    fn record_of(&mut self, thing: &Thing, base: &Thing, like: Span, item: Shape) -> Option<&'static RecordShape> {
        let variants = match self::thing(item)? {
            Of::Record(record) => return Some(record),
            Of::Variants(variants) => variants,
        };
        let (own, its) = (self.variant(thing.value, variants), self.variant(base.value, variants));
        let Some(((own, _), (its, record))) = own.or(its).zip(its) else {
            // What says nothing of its kind was noted, or will be.
            return None;
        };
        if own == its {
            return Some(record);
        }
        let (name, base) = (clip(self.name(thing)), clip(self.name(base)));
        let headline = format!("`{name}` has the key `{own}` and is like `{base}`, which has the key `{its}`");
        let help = format!("name an element that has `{own}`, or take `like` out");
        self.findings.push(misplaced(like, headline, "an element of another kind").help(help));
        None
    }

    /// How many values there are behind a node. Maps do not nest without bound.
    fn weight(&mut self, node: NodeId) -> usize {
        if let Some(known) = self.weights.get(&node) {
            return *known;
        }
        let inside: Vec<NodeId> = match self.tree.kind(node) {
            Kind::Map => self.tree.entries(node).map(|(_, value)| value).collect(),
            Kind::List => self.tree.items(node).collect(),
            Kind::Scalar { .. } | Kind::Missing => return 1,
        };
        let weight = inside.into_iter().fold(1, |sum: usize, node| sum.saturating_add(self.weight(node)));
        self.weights.insert(node, weight);
        weight
    }
}

/// What the things of a map are.
enum Of {
    Record(&'static RecordShape),
    Variants(&'static VariantsShape),
}

/// What a thing of this shape is; `None` where it has no keys.
fn thing(shape: Shape) -> Option<Of> {
    match shape {
        Shape::Record(record) => Some(Of::Record(record)),
        Shape::Variants(variants) => Some(Of::Variants(variants)),
        Shape::Either(shapes) => shapes.iter().find_map(|shape| thing(shape())),
        _ => None,
    }
}
