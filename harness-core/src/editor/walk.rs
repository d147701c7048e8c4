//! From the trees of the files to what they define and mention: one pass over each tree by the shape of the format.

use super::{
    labels,
    symbols::{Sort, SymbolId, Symbols},
};
use crate::{
    format::{
        Attribute, Holds, Kind, Naming,
        shape::{FieldShape, RecordShape, Shape, VariantsShape},
    },
    text::{self, Name, Names, NodeId, Span, Tree},
};
use rustc_hash::FxHashMap;

/// How many things are asked one after the other for what the first of them does not say.
const DEEPEST: usize = 64;

/// Where a thing is defined.
#[derive(Debug, Clone, Copy)]
pub(super) struct Definition {
    pub(super) symbol: SymbolId,
    /// Its name.
    pub(super) key: Span,
    /// From its name to the end of what is said of it.
    pub(super) whole: Span,
}

/// A text that names something, still to be looked up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mention {
    pub(super) span: Span,
    pub(super) text: Name,
    pub(super) how: How,
}

/// Where a mention is looked up.
#[derive(Debug, Clone, Copy)]
pub(super) enum How {
    /// As the field declares it, in this device or loom.
    Named(Naming, Option<SymbolId>),
    /// An element of this device or loom, or `device.element`.
    Member(Option<SymbolId>),
    /// A port of this device, or a point of it.
    Port(Option<SymbolId>),
    /// A cavity of this end.
    Cavity(SymbolId),
    /// A label of what this end mates.
    MateLabel(SymbolId),
    /// A thing of this sort in that one; to name it is to have it.
    Own(Sort, Option<SymbolId>),
    /// A sentence with names between backticks.
    Said,
}

/// What the trees say.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub(super) symbols: Symbols,
    pub(super) definitions: Vec<Definition>,
    pub(super) mentions: Vec<Mention>,
    /// The kind that a device or cable names.
    pub(super) kind_of: FxHashMap<SymbolId, Name>,
    /// What an end names as its mate.
    pub(super) mate_of: FxHashMap<SymbolId, Name>,
    /// What a thing names as the one that it is like, in the same map.
    like_of: FxHashMap<SymbolId, Name>,
}

impl Gathered {
    /// A thing, what it is like, what that is like.
    pub(super) fn alike(&self, symbol: SymbolId) -> impl Iterator<Item = SymbolId> + '_ {
        let next = |symbol: &SymbolId| {
            let (own, name) = (self.symbols.get(*symbol)?, self.like_of.get(symbol)?);
            self.symbols.find(own.parent, own.sort, *name)
        };
        // A circle has no end.
        std::iter::successors(Some(symbol), next).take(DEEPEST)
    }

    /// The kind that a device or cable names, or what it is like.
    pub(super) fn kind(&self, symbol: SymbolId) -> Option<Name> {
        self.alike(symbol).find_map(|symbol| self.kind_of.get(&symbol)).copied()
    }

    /// What an end names as its mate, or what it is like.
    pub(super) fn mate(&self, symbol: SymbolId) -> Option<Name> {
        self.alike(symbol).find_map(|symbol| self.mate_of.get(&symbol)).copied()
    }
}

/// What the walk is within.
#[derive(Debug, Clone, Copy, Default)]
struct Within {
    /// The device, kind of device or loom.
    holder: Option<SymbolId>,
    /// The innermost thing.
    thing: Option<SymbolId>,
}

/// Adds what one file says.
pub(super) fn walk(tree: &Tree, root: NodeId, names: &mut Names, gathered: &mut Gathered) {
    let shape = <crate::format::Design as crate::format::Record>::SHAPE;
    Walk { tree, names, gathered, fields: FxHashMap::default() }.record(root, shape, Within::default());
}

struct Walk<'a> {
    tree: &'a Tree,
    names: &'a mut Names,
    gathered: &'a mut Gathered,
    /// The fields that were looked up by the name of their record and their key: a netlist has few keys and many of each.
    fields: FxHashMap<(&'static str, Name), Option<&'static FieldShape>>,
}

impl Walk<'_> {
    fn record(&mut self, node: NodeId, shape: &'static RecordShape, within: Within) {
        let tree = self.tree;
        for (key, value) in tree.entries(node) {
            let Some(name) = tree.text(key) else { continue };
            let names = &self.names;
            let find = || shape.fields.iter().find(|field| field.key.word() == names.text(name));
            let Some(field) = *self.fields.entry((shape.name, name)).or_insert_with(find) else { continue };
            match field.class.holds {
                Holds::Files if field.class.naming == Naming::Nothing => {}
                Holds::Things(kind) => self.things(kind, (field.shape)(), value, within),
                Holds::Record | Holds::Fact | Holds::Files => self.value(field, (field.shape)(), value, within),
            }
        }
    }

    /// The things behind a key: by name, in a list, or the one.
    fn things(&mut self, kind: Kind, shape: Shape, node: NodeId, within: Within) {
        let tree = self.tree;
        let Shape::Map(item) = shape else {
            let items: Vec<NodeId> = tree.items(node).collect();
            let inner = if let Shape::List(item) = shape { item() } else { shape };
            return if items.is_empty() { self.inner(shape, node, within) } else { self.each(inner, items, within) };
        };
        for (key, value) in tree.entries(node) {
            let Some(name) = tree.text(key) else { continue };
            let parent = if kind == Kind::Pin { within.thing } else { within.holder };
            let labels = match kind {
                Kind::Pin => labels::expand(self.names, name),
                kind => labels::of_kind(self.names, kind, name),
            };
            let mut last = None;
            for label in labels {
                let symbol = self.gathered.symbols.add(parent, Sort::Thing(kind), label);
                self.define(symbol, key, value);
                self.like(symbol, value);
                last = Some(symbol);
            }
            let is_holder = matches!(kind, Kind::Device | Kind::DeviceKind | Kind::Loom);
            let holder = if is_holder { last } else { within.holder };
            let within = Within { holder, thing: last };
            match item() {
                Shape::Variants(variants) => {
                    if let Some(record) = self.variant_of(variants, value, node) {
                        self.record(value, record, within);
                    }
                }
                item => self.inner(item, value, within),
            }
        }
    }

    fn each(&mut self, shape: Shape, items: Vec<NodeId>, within: Within) {
        for item in items {
            self.inner(shape, item, within);
        }
    }

    /// What a thing says that it is like.
    fn like(&mut self, symbol: SymbolId, node: NodeId) {
        let tree = self.tree;
        let Some((like, name)) = self.entry(node, Attribute::Like.word()) else { return };
        if let (Some(text), Some(own)) = (name, self.gathered.symbols.get(symbol)) {
            self.gathered.like_of.entry(symbol).or_insert(text);
            self.gathered.mentions.push(Mention { span: tree.span(like), text, how: How::Own(own.sort, own.parent) });
        }
    }

    /// The value of a key, with its text.
    fn entry(&self, node: NodeId, key: &str) -> Option<(NodeId, Option<Name>)> {
        let is_key = |written: NodeId| self.tree.text(written).is_some_and(|name| self.names.text(name) == key);
        self.tree.entries(node).find(|(written, _)| is_key(*written)).map(|(_, value)| (value, self.tree.text(value)))
    }

    /// The record of a thing of `map` by its keys, or by those of what it is like.
    fn variant_of(&self, shape: &'static VariantsShape, node: NodeId, map: NodeId) -> Option<&'static RecordShape> {
        let like = |node: &NodeId| {
            let name = self.entry(*node, Attribute::Like.word())?.1?;
            self.tree.entries(map).find(|(key, _)| self.tree.text(*key) == Some(name)).map(|(_, value)| value)
        };
        std::iter::successors(Some(node), like).take(DEEPEST).find_map(|node| self.variant(shape, node))
    }

    fn define(&mut self, symbol: SymbolId, key: NodeId, value: NodeId) {
        let (key, value) = (self.tree.span(key), self.tree.span(value));
        // What an alias means may be before the name, or far behind it.
        let whole = if value.start >= key.end { key.to(value) } else { key };
        self.gathered.definitions.push(Definition { symbol, key, whole });
    }

    /// What a thing says of itself.
    fn inner(&mut self, shape: Shape, node: NodeId, within: Within) {
        match shape {
            Shape::Record(record) => self.record(node, record, within),
            Shape::Variants(variants) => {
                if let Some(record) = self.variant(variants, node) {
                    self.record(node, record, within);
                }
            }
            Shape::Either(shapes) if self.tree.kind(node) == text::Kind::Map => {
                let records = shapes.iter().map(|shape| shape());
                let record = records.into_iter().find(|shape| matches!(shape, Shape::Record(_) | Shape::Variants(_)));
                if let Some(record) = record {
                    self.inner(record, node, within);
                }
            }
            _ => {}
        }
    }

    /// The record that the keys of a choice say it is.
    fn variant(&self, shape: &'static VariantsShape, node: NodeId) -> Option<&'static RecordShape> {
        let mut words = self.tree.entries(node).filter_map(|(key, _)| self.tree.text(key)).map(|name| self.names.text(name));
        words.find_map(|word| shape.variants.iter().find(|(known, _)| *known == word)).map(|(_, record)| *record)
    }

    fn value(&mut self, field: &'static FieldShape, shape: Shape, node: NodeId, within: Within) {
        let tree = self.tree;
        match tree.kind(node) {
            text::Kind::Missing => {}
            text::Kind::Scalar { text, .. } => {
                if is_text(shape) {
                    self.mention(field, node, text, within);
                }
            }
            text::Kind::List => {
                let inner = item_of(shape);
                for item in tree.items(node) {
                    self.value(field, inner, item, within);
                }
            }
            text::Kind::Map => match shape {
                Shape::Map(item) => {
                    for (key, value) in tree.entries(node) {
                        let Some(name) = tree.text(key) else { continue };
                        let symbol = self.label(field, key, value, name, within);
                        if let Some(symbol) = symbol {
                            self.like(symbol, value);
                        }
                        match item() {
                            Shape::Record(record) => {
                                let thing = symbol.or(within.thing);
                                self.record(value, record, Within { thing, ..within });
                            }
                            shape => self.value(field, shape, value, within),
                        }
                    }
                }
                shape => self.inner(shape, node, within),
            },
        }
    }

    /// The key of a map that is not one of things; what it defines, if anything.
    fn label(&mut self, field: &'static FieldShape, key: NodeId, value: NodeId, name: Name, within: Within) -> Option<SymbolId> {
        let (parent, sort) = match field.key {
            Attribute::Covers => (within.holder, Sort::Cover),
            Attribute::Cores => (within.thing, Sort::Core),
            Attribute::Selector => (within.thing, Sort::Position),
            Attribute::At => {
                self.note(key, name, How::Named(Naming::Anywhere(&[Kind::Mode]), None));
                return None;
            }
            Attribute::Terminals | Attribute::Pins => {
                if let Some(end) = within.thing {
                    self.note(key, name, How::Cavity(end));
                }
                return None;
            }
            _ => return None,
        };
        let symbol = self.gathered.symbols.add(parent, sort, name);
        self.define(symbol, key, value);
        Some(symbol)
    }

    fn mention(&mut self, field: &'static FieldShape, node: NodeId, text: Name, within: Within) {
        let sort = within.thing.and_then(|thing| self.gathered.symbols.get(thing)).map(|symbol| symbol.sort);
        match (field.key, within.thing) {
            (Attribute::Device | Attribute::Part, Some(thing)) => {
                self.gathered.kind_of.entry(thing).or_insert(text);
            }
            (Attribute::Mates | Attribute::BoltsTo | Attribute::LandsOn, Some(thing)) => {
                self.gathered.mate_of.entry(thing).or_insert(text);
            }
            _ => {}
        }
        let how = match (field.class.naming, field.key, within.thing) {
            (Naming::Nothing, Attribute::Exclusive | Attribute::Residual | Attribute::Opens, _) => How::Member(within.holder),
            (Naming::Nothing, Attribute::Between | Attribute::And | Attribute::Apart, _) => How::Port(within.holder),
            (Naming::Nothing, Attribute::Plugged, Some(end)) => How::Cavity(end),
            (Naming::Nothing, Attribute::Pins, Some(end)) => How::MateLabel(end),
            (Naming::Nothing, Attribute::Selector, _) => How::Named(Naming::Point, within.holder),
            (Naming::Nothing, Attribute::At | Attribute::Rest, Some(element)) => How::Own(Sort::Position, Some(element)),
            (Naming::Nothing, Attribute::Signal, _) => How::Own(Sort::Signal, None),
            (Naming::Nothing, Attribute::Twist, Some(kind)) if sort == Some(Sort::Thing(Kind::CableKind)) => {
                How::Own(Sort::Core, Some(kind))
            }
            (Naming::Nothing, Attribute::Twist, _) => How::Own(Sort::Twist, within.holder),
            (Naming::Nothing, Attribute::From | Attribute::To, _) if sort == Some(Sort::Thing(Kind::Segment)) => {
                How::Own(Sort::Junction, within.holder)
            }
            (Naming::Nothing, Attribute::Nodes, _) => {
                let symbol = self.gathered.symbols.add(within.holder, Sort::Node, text);
                return self.define(symbol, node, node);
            }
            (Naming::Nothing, Attribute::Reviewed, _) => How::Said,
            (Naming::Nothing, ..) => return,
            (naming, ..) => How::Named(naming, within.holder),
        };
        self.note(node, text, how);
    }

    fn note(&mut self, node: NodeId, text: Name, how: How) {
        self.gathered.mentions.push(Mention { span: self.tree.span(node), text, how });
    }
}

/// Whether a text may be written there.
fn is_text(shape: Shape) -> bool {
    match shape {
        Shape::Text => true,
        Shape::List(item) => is_text(item()),
        Shape::Either(shapes) => shapes.iter().any(|shape| is_text(shape())),
        _ => false,
    }
}

/// What an item of a list may be.
fn item_of(shape: Shape) -> Shape {
    match shape {
        Shape::List(item) => item(),
        Shape::Either(shapes) => {
            let list = shapes
                .iter()
                .map(|shape| shape())
                .find_map(|shape| if let Shape::List(item) = shape { Some(item()) } else { None });
            list.unwrap_or(shape)
        }
        shape => shape,
    }
}
