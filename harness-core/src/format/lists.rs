//! Lists as values of their own: in lists and maps, and where it says something that a list is there and empty.

use super::{
    content::Content,
    reader::{Field, Read, Reader},
    shape::Shape,
    values::List,
};
use crate::text::{Kind, Names, NodeId, Span, Text};

/// A list at its place; `[]` is a list without items, which is not the same as no list.
#[derive(Debug, Clone)]
pub struct Listed<T> {
    /// Where it is written.
    pub span: Span,
    /// Its items, in the order written.
    pub items: List<T>,
}

impl<T: Read> Read for Listed<T> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let mut items = List::new();
        let is_list = matches!(reader.tree.kind(node), Kind::List);
        <List<T> as Field>::read(&mut items, reader, node);
        is_list.then(|| Self { span: reader.tree.span(node), items })
    }

    fn shape() -> Shape {
        Shape::List(T::shape)
    }

    fn tell(&self, names: &Names) -> Content {
        Content::List(self.items.iter().map(|item| item.tell(names)).collect())
    }
}

/// A name, or a list of names where there are several such lists.
#[derive(Debug, Clone)]
pub enum OneOrList {
    /// A name.
    One(Text),
    /// A list of names.
    List(Listed<Text>),
}

impl Read for OneOrList {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        match reader.tree.kind(node) {
            Kind::List => Read::read(reader, node).map(Self::List),
            Kind::Map | Kind::Scalar { .. } | Kind::Missing => Read::read(reader, node).map(Self::One),
        }
    }

    fn shape() -> Shape {
        Shape::Either(&[<Text as Read>::shape, <Listed<Text> as Read>::shape])
    }

    fn tell(&self, names: &Names) -> Content {
        match self {
            Self::One(text) => text.tell(names),
            Self::List(list) => list.tell(names),
        }
    }
}
