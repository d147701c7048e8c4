//! The tree of a file: scalars, lists and maps as written, each with its place.
//!
//! No scalar is resolved: `01`, `on` and `1e3` stay the texts that were written. A node takes 16 bytes and 4 more in
//! the list of its parent; aliases share the node they mean, so that nothing is ever expanded. The trees of several files
//! can be put into one; a node then goes by the stretch of numbers that its file has.

use super::{FileId, Name, Span};
use std::collections::BTreeMap;

/// A node of one [`Tree`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(pub(super) u32);

/// What a node is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A text; `plain` if it was written without quotes.
    Scalar {
        /// The text, with escapes and folded lines resolved.
        text: Name,
        /// Written without quotes and not as a block.
        plain: bool,
    },
    /// A list.
    List,
    /// A map; each of its keys is a scalar and none is repeated.
    Map,
    /// Nothing was written where a value belongs.
    Missing,
}

const SCALAR: u32 = 0;
const LIST: u32 = 1 << 30;
const MAP: u32 = 2 << 30;
const MISSING: u32 = 3 << 30;
const KIND: u32 = 3 << 30;
const INCOMPLETE: u32 = 1 << 29;
/// Only in scalars, whose other bits are free.
const PLAIN: u32 = 1;
const COUNT: u32 = INCOMPLETE - 1;

/// `a` is the name of a scalar or the first child of a container; `b` is kind, flags and number of children.
#[derive(Debug, Clone, Copy)]
struct Node {
    start: u32,
    end: u32,
    a: u32,
    b: u32,
}

/// The nodes of one file, or of several that were put together.
///
/// Every query takes any [`NodeId`]; one of another tree gives a [`Kind::Missing`] or an empty iterator, never a panic.
#[derive(Debug, Clone, Default)]
pub struct Tree {
    file: FileId,
    /// The first nodes of stretches that are of other files than `file`, and what follows them; empty where there is one file.
    stretches: BTreeMap<u32, FileId>,
    nodes: Vec<Node>,
    children: Vec<NodeId>,
    /// Where aliases are: the node they mean and their own bytes, sorted by node.
    uses: Vec<(NodeId, u32, u32)>,
}

impl Tree {
    pub(super) fn new(file: FileId) -> Self {
        Self { file, ..Self::default() }
    }

    /// The file in which `node` was written.
    #[must_use]
    pub fn file_of(&self, node: NodeId) -> FileId {
        if self.stretches.is_empty() {
            return self.file;
        }
        self.stretches.range(..=node.0).next_back().map_or(self.file, |(_, file)| *file)
    }

    /// Number of nodes; a node behind an alias counts once.
    #[must_use]
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether there is no node at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// Whether it holds the nodes of several files.
    #[must_use]
    pub fn is_of_several(&self) -> bool {
        !self.stretches.is_empty()
    }

    /// What `node` is.
    #[must_use]
    pub fn kind(&self, node: NodeId) -> Kind {
        let Some(found) = self.node(node) else { return Kind::Missing };
        match found.b & KIND {
            SCALAR => Kind::Scalar { text: Name::from_raw(found.a), plain: found.b & PLAIN != 0 },
            LIST => Kind::List,
            MAP => Kind::Map,
            _ => Kind::Missing,
        }
    }

    /// Where `node` was written. A block map goes from its first key to the end of its last value.
    #[must_use]
    pub fn span(&self, node: NodeId) -> Span {
        let file = self.file_of(node);
        self.node(node).map_or(Span::new(file, 0, 0), |node| Span::new(file, node.start, node.end))
    }

    /// The text of a scalar, plain or quoted; `None` for anything else.
    #[must_use]
    pub fn text(&self, node: NodeId) -> Option<Name> {
        match self.kind(node) {
            Kind::Scalar { text, .. } => Some(text),
            _ => None,
        }
    }

    /// The keys and values of a map in the order written, merged ones last; empty for anything else.
    pub fn entries(&self, node: NodeId) -> impl ExactSizeIterator<Item = (NodeId, NodeId)> + Clone + '_ {
        self.children_if(node, MAP).chunks_exact(2).map(move |pair| match *pair {
            [key, value] => (key, value),
            // Chunks of two have two items.
            _ => (node, node),
        })
    }

    /// The items of a list in the order written; empty for anything else.
    pub fn items(&self, node: NodeId) -> impl ExactSizeIterator<Item = NodeId> + Clone + '_ {
        self.children_if(node, LIST).iter().copied()
    }

    /// Whether something that belongs to `node` may have been lost to a fault that was already reported.
    ///
    /// What is absent from such a node is not a fault of its own.
    #[must_use]
    pub fn is_incomplete(&self, node: NodeId) -> bool {
        self.node(node).is_some_and(|node| node.b & INCOMPLETE != 0)
    }

    /// Where aliases mean `node`, in the order written.
    pub fn uses(&self, node: NodeId) -> impl Iterator<Item = Span> + '_ {
        let first = self.uses.partition_point(|(target, ..)| *target < node);
        let rest = self.uses.get(first..).unwrap_or_default();
        // An alias and what it means are in one file.
        let file = self.file_of(node);
        rest.iter().take_while(move |(target, ..)| *target == node).map(move |&(_, start, end)| Span::new(file, start, end))
    }

    fn node(&self, node: NodeId) -> Option<Node> {
        self.nodes.get(node.0 as usize).copied()
    }

    fn children_if(&self, node: NodeId, kind: u32) -> &[NodeId] {
        match self.node(node) {
            Some(node) if node.b & KIND == kind => {
                let first = node.a as usize;
                self.children.get(first..first + (node.b & COUNT) as usize).unwrap_or_default()
            }
            _ => &[],
        }
    }

    fn push(&mut self, start: u32, end: u32, a: u32, b: u32) -> NodeId {
        // A node needs at least one byte of a file of at most 64 MB, aliases and merges add none.
        let id = NodeId(self.nodes.len() as u32);
        self.nodes.push(Node { start, end: end.max(start), a, b });
        id
    }

    pub(super) fn push_scalar(&mut self, start: u32, end: u32, text: Name, plain: bool) -> NodeId {
        self.push(start, end, text.raw(), SCALAR | if plain { PLAIN } else { 0 })
    }

    pub(super) fn push_missing(&mut self, start: u32, end: u32) -> NodeId {
        self.push(start, end, 0, MISSING)
    }

    /// A container whose children come with [`Tree::fill`].
    pub(super) fn push_container(&mut self, start: u32, map: bool) -> NodeId {
        self.push(start, start, 0, if map { MAP } else { LIST })
    }

    pub(super) fn fill(&mut self, node: NodeId, end: u32, children: impl IntoIterator<Item = NodeId>) {
        let first = self.children.len();
        self.children.extend(children);
        let count = (self.children.len() - first) as u32 & COUNT;
        if let Some(node) = self.nodes.get_mut(node.0 as usize) {
            node.a = first as u32;
            node.end = end.max(node.start);
            node.b = (node.b & !COUNT) | count;
        }
    }

    pub(super) fn mark_incomplete(&mut self, node: NodeId) {
        if let Some(node) = self.nodes.get_mut(node.0 as usize) {
            node.b |= INCOMPLETE;
        }
    }

    pub(super) fn set_scalar(&mut self, node: NodeId, end: u32, text: Name) {
        if let Some(node) = self.nodes.get_mut(node.0 as usize) {
            node.a = text.raw();
            node.end = end.max(node.start);
        }
    }

    pub(super) fn push_use(&mut self, node: NodeId, start: u32, end: u32) {
        self.uses.push((node, start, end));
    }

    /// Puts the nodes of another file behind those that are there; the node `root` of it has the number that is given back.
    pub fn append(&mut self, other: &Self, root: NodeId) -> NodeId {
        let (nodes, children) = (self.nodes.len() as u32, self.children.len() as u32);
        let moved = |id: NodeId| NodeId(id.0.saturating_add(nodes));
        self.stretches.insert(nodes, other.file);
        self.stretches.extend(other.stretches.iter().map(|(first, file)| (first.saturating_add(nodes), *file)));
        self.nodes.extend(other.nodes.iter().map(|node| match node.b & KIND {
            LIST | MAP => Node { a: node.a.saturating_add(children), ..*node },
            _ => *node,
        }));
        self.children.extend(other.children.iter().copied().map(moved));
        // What comes last has the largest numbers: the uses stay sorted.
        self.uses.extend(other.uses.iter().map(|&(node, start, end)| (moved(node), start, end)));
        moved(root)
    }

    /// A container with these children in the place of `like`, which may be used elsewhere and stays as it is.
    pub fn push_like(&mut self, like: NodeId, children: impl IntoIterator<Item = NodeId>, incomplete: bool) -> NodeId {
        let (span, map) = (self.span(like), matches!(self.kind(like), Kind::Map));
        self.go_on_in(span.file);
        let node = self.push_container(span.start, map);
        self.fill(node, span.end, children);
        if incomplete {
            self.mark_incomplete(node);
        }
        node
    }

    /// Another text in the place of `like`, which may be used elsewhere and stays as it is.
    pub fn push_text_like(&mut self, like: NodeId, text: Name) -> NodeId {
        let (span, plain) = (self.span(like), matches!(self.kind(like), Kind::Scalar { plain: true, .. }));
        self.go_on_in(span.file);
        self.push_scalar(span.start, span.end, text, plain)
    }

    /// What is added next is of this file.
    fn go_on_in(&mut self, file: FileId) {
        let next = self.nodes.len() as u32;
        if self.file_of(NodeId(next)) != file {
            self.stretches.insert(next, file);
        }
    }

    /// A text that has no node of its own yet: a piece of another one.
    pub fn push_text(&mut self, span: Span, text: Name) -> NodeId {
        self.push_scalar(span.start, span.end, text, true)
    }

    /// A map or list at a place that another node has now.
    pub fn push_whole(&mut self, span: Span, map: bool, children: impl IntoIterator<Item = NodeId>, incomplete: bool) -> NodeId {
        let node = self.push_container(span.start, map);
        self.fill(node, span.end, children);
        if incomplete {
            self.mark_incomplete(node);
        }
        node
    }

    /// Gives a map or list other children; it stays where it is.
    pub fn set_children(&mut self, node: NodeId, children: impl IntoIterator<Item = NodeId>) {
        let end = self.span(node).end;
        self.fill(node, end, children);
    }

    pub(super) fn finish(&mut self) {
        self.uses.sort_unstable();
        self.nodes.shrink_to_fit();
        self.children.shrink_to_fit();
    }
}
