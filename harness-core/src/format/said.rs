//! What an element is, in words: for lists that people read.

use super::{attribute::Attribute, content::Content, inside::Element, reader::Variants};
use crate::text::Names;

/// What an element is, in words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Said {
    /// The key by which the format gives it.
    pub key: &'static str,
    /// What is behind that key; several texts with `; ` between them.
    pub value: String,
    /// What its note says.
    pub note: String,
}

impl Element {
    /// The keys of which one gives an element.
    pub fn keys() -> impl Iterator<Item = &'static str> {
        <Self as Variants>::SHAPE.variants.iter().map(|(key, _)| *key)
    }

    /// What it is, in words.
    #[must_use]
    pub fn said(&self, names: &Names) -> Said {
        let Content::Record(fields) = Variants::tell(self, names) else { return Said::default() };
        let text = |content: &Content| match content {
            Content::Text(text) => text.clone(),
            Content::List(items) => {
                let items =
                    items.iter().filter_map(|item| if let Content::Text(text) = item { Some(text.as_str()) } else { None });
                items.collect::<Vec<_>>().join("; ")
            }
            Content::Record(_) | Content::Map(_) => String::new(),
        };
        let of = |key: &str| fields.iter().find(|(field, _)| field.key.word() == key).map(|(_, content)| text(content));
        let given = Self::keys().find_map(|key| Some((key, of(key)?)));
        let (key, value) = given.unwrap_or_default();
        Said { key, value, note: of(Attribute::Note.word()).unwrap_or_default() }
    }
}
