//! Lists and maps of the format, in the order written.

use super::{
    astray,
    content::Content,
    reader::{Field, Read, Reader},
    shape::Shape,
};
use crate::text::{At, Kind, Names, NodeId, Text};

/// A list, in the order written.
pub type List<T> = Vec<T>;

/// One entry of a map.
#[derive(Debug, Clone)]
pub struct Entry<T> {
    /// The name, as written.
    pub name: Text,
    /// Its value.
    pub value: T,
}

impl<T: Read> Field for List<T> {
    fn read(place: &mut Self, reader: &mut Reader<'_>, node: NodeId) {
        let tree = reader.tree;
        match tree.kind(node) {
            Kind::List => {
                // A list has as many items as it will ever have; room for more would be room for nothing.
                place.reserve_exact(tree.items(node).len());
                for item in tree.items(node) {
                    place.extend(T::read(reader, item));
                }
            }
            _ => reader.unexpected(node, "a list, such as [a, b]"),
        }
    }

    fn shape() -> Shape {
        Shape::List(T::shape)
    }

    fn tell(&self, names: &Names) -> Option<Content> {
        (!self.is_empty()).then(|| Content::List(self.iter().map(|item| item.tell(names)).collect()))
    }
}

impl<T: Read> Field for Map<T> {
    fn read(place: &mut Self, reader: &mut Reader<'_>, node: NodeId) {
        let tree = reader.tree;
        match tree.kind(node) {
            Kind::Map => {
                place.0.reserve_exact(tree.entries(node).len());
                for (key, value) in tree.entries(node) {
                    let Kind::Scalar { text, .. } = tree.kind(key) else { continue };
                    let name = At { value: text, span: tree.span(key) };
                    if !reader.take_name(text, name.span) {
                        continue;
                    }
                    let reported = reader.findings.found();
                    let read = T::read(reader, value);
                    if reader.findings.found() > reported && tree.is_of_several() {
                        astray::instead_of_lacks(reader, (node, key, value), reported);
                    }
                    if let Some(value) = read {
                        place.0.push(Entry { name, value });
                    }
                }
            }
            Kind::Missing => {}
            _ => reader.unexpected(node, "a map from names to what they mean"),
        }
    }

    fn shape() -> Shape {
        Shape::Map(T::shape)
    }

    fn tell(&self, names: &Names) -> Option<Content> {
        let told = |entry: &Entry<T>| (names.text(entry.name.value).to_owned(), entry.value.tell(names));
        (!self.0.is_empty()).then(|| Content::Map(self.iter().map(told).collect()))
    }
}

/// The entries of a map, in the order written.
#[derive(Debug, Clone)]
pub struct Map<T>(pub Vec<Entry<T>>);

impl<T> Default for Map<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> Map<T> {
    /// The entries in the order written.
    pub fn iter(&self) -> std::slice::Iter<'_, Entry<T>> {
        self.0.iter()
    }
}

impl<'a, T> IntoIterator for &'a Map<T> {
    type Item = &'a Entry<T>;
    type IntoIter = std::slice::Iter<'a, Entry<T>>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}
