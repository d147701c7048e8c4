//! A page laid out anew: one indentation, keys in the order of the reference, entries of one line under each other.

use super::page::{Block, Entry, Lead, ListItem, Reader, Value};
use crate::{
    format::{
        Attribute, natural,
        shape::{RecordShape, Shape},
    },
    text::{Kind, NodeId},
};
/// Keys of entries that are under each other are padded by at most this many blanks.
const MOST_PADDING: usize = 8;

/// What the format says of the entries of a map.
#[derive(Clone, Copy)]
enum Of {
    /// Fixed keys.
    Record(&'static RecordShape),
    /// Names, in an order of their own if they are numbers.
    Names { inner: fn() -> Shape, is_numbered: bool },
    /// Nothing.
    Unknown,
}

/// Lays out a page of the format's shape `of`.
pub(super) fn page(reader: &Reader<'_>, page: &Block, of: &'static RecordShape) -> String {
    let mut out = Out { reader, text: String::new() };
    let mut page = page.clone();
    // What is above the first key is of the file, whichever key comes first.
    if let Some(first) = page.entries.first_mut() {
        let end = first.lead.iter().rposition(|line| *line == Lead::Blank).map_or(0, |at| at + 1);
        let own = if starts_at_top(first, end) { first.lead.len() } else { end };
        let head: Vec<Lead> = first.lead.drain(..own).collect();
        out.leads(&head, 0, true);
    }
    out.block(&page, 0, Of::Record(of));
    out.leads(&page.tail, 0, false);
    let text = out.text.trim_end_matches('\n');
    if text.is_empty() { String::new() } else { format!("{text}\n") }
}

/// Whether all comments above the first key are of the file: they are one stretch.
fn starts_at_top(entry: &Entry, blank: usize) -> bool {
    blank == 0 || entry.lead.len() == blank
}

struct Out<'a> {
    reader: &'a Reader<'a>,
    text: String,
}

impl Out<'_> {
    fn block(&mut self, block: &Block, indent: usize, of: Of) {
        let groups = groups(&block.entries);
        let mut entries: Vec<(&[Lead], Vec<&Entry>)> = groups;
        match of {
            Of::Record(shape) => self.by_record(&mut entries, shape),
            Of::Names { is_numbered: true, .. } => {
                for (_, group) in &mut entries {
                    group.sort_by(|one, other| natural(self.name(&one.key), self.name(&other.key)));
                }
            }
            Of::Names { is_numbered: false, .. } | Of::Unknown => {}
        }
        let mut is_first = true;
        for (lead, group) in &entries {
            self.leads(lead, indent, is_first && indent > 0 || self.text.is_empty());
            let width = self.width(group, of);
            for entry in group {
                self.entry(entry, indent, width, inner(of, self.name(&entry.key)));
            }
            is_first = false;
        }
        if indent > 0 {
            self.leads(&block.tail, indent, false);
        }
    }

    /// Sorts the entries of a record into the order of the reference. The comments above an entry go with it.
    fn by_record(&self, groups: &mut Vec<(&[Lead], Vec<&Entry>)>, shape: &'static RecordShape) {
        let place = |entry: &Entry| place(shape, self.name(&entry.key));
        let mut single: Vec<(&[Lead], &Entry)> = Vec::new();
        for (lead, group) in groups.iter() {
            for (at, entry) in group.iter().enumerate() {
                single.push((if at == 0 { lead } else { &[] }, entry));
            }
        }
        let is_sorted = single.windows(2).all(|pair| match pair {
            [one, other] => place(one.1) <= place(other.1),
            _ => true,
        });
        if !is_sorted {
            single.sort_by_key(|(_, entry)| place(entry));
            *groups = single.into_iter().map(|(lead, entry)| (lead, vec![entry])).collect();
        }
    }

    /// How wide the keys of a group are, where its entries are under each other.
    fn width(&self, group: &[&Entry], of: Of) -> usize {
        let named = matches!(of, Of::Names { .. });
        let lines = group.iter().filter(|entry| entry.value == Value::Line);
        let widths: Vec<usize> = lines.map(|entry| entry.key.chars().count()).collect();
        let (least, most) = (widths.iter().min().copied().unwrap_or(0), widths.iter().max().copied().unwrap_or(0));
        if named && most - least <= MOST_PADDING { most } else { 0 }
    }

    fn entry(&mut self, entry: &Entry, indent: usize, width: usize, shape: Option<Shape>) {
        let pad = " ".repeat(indent);
        let comment = entry.comment.as_ref().map_or_else(String::new, |comment| format!("  {comment}"));
        let key = &entry.key;
        match &entry.value {
            Value::Nothing => self.line(&format!("{pad}{key}:{comment}")),
            Value::Line => {
                let gap = " ".repeat((width + 1).saturating_sub(key.chars().count()).max(1));
                let value = self.flow(entry.node, shape);
                self.line(&format!("{pad}{key}:{gap}{value}{comment}"));
            }
            Value::Block(block) => {
                self.line(&format!("{pad}{key}:{comment}"));
                self.block(block, indent + 2, shape.map_or(Of::Unknown, |shape| self.of(shape, block)));
            }
            Value::List(items) => {
                self.line(&format!("{pad}{key}:{comment}"));
                self.list(items, indent + 2, shape);
            }
            Value::Verbatim { first, lines } => {
                let gap = if first.is_empty() { "" } else { " " };
                self.line(&format!("{pad}{key}:{gap}{first}"));
                for line in lines {
                    self.line(format!("{pad}  {line}").trim_end());
                }
            }
        }
    }

    fn list(&mut self, items: &[ListItem], indent: usize, shape: Option<Shape>) {
        let inner = match shape {
            Some(Shape::List(inner)) => Some(inner()),
            _ => None,
        };
        let pad = " ".repeat(indent);
        for item in items {
            self.leads(&item.lead, indent, false);
            let comment = item.comment.as_ref().map_or_else(String::new, |comment| format!("  {comment}"));
            let value = self.flow(item.node, inner);
            self.line(&format!("{pad}- {value}{comment}"));
        }
    }

    /// A value on one line; the keys of records in brackets are in the order of the reference too.
    fn flow(&self, node: NodeId, shape: Option<Shape>) -> String {
        let reader = self.reader;
        match reader.tree.kind(node) {
            Kind::Scalar { .. } | Kind::Missing => {
                reader.text.get(reader.start(node)..reader.end(node)).unwrap_or_default().to_owned()
            }
            Kind::List => {
                let inner = match shape {
                    Some(Shape::List(inner)) => Some(inner()),
                    _ => None,
                };
                let items: Vec<String> = reader.tree.items(node).map(|item| self.flow(item, inner)).collect();
                format!("[{}]", items.join(", "))
            }
            Kind::Map => {
                let text = |key: NodeId| reader.text.get(reader.start(key)..reader.end(key)).unwrap_or_default();
                let mut entries: Vec<(&str, NodeId)> = reader.tree.entries(node).map(|(key, value)| (text(key), value)).collect();
                let first = entries.iter().map(|(key, _)| self.name(key)).collect::<Vec<_>>();
                let of = shape.map_or(Of::Unknown, |shape| of(shape, &first));
                if let Of::Record(record) = of {
                    let known = |key: &str| record.fields.iter().position(|field| field.key.word() == self.name(key));
                    let is_like = |key: &str| self.name(key) == Attribute::Like.word();
                    entries.sort_by_key(|(key, _)| (!is_like(key), known(key).unwrap_or(usize::MAX)));
                }
                if entries.is_empty() {
                    return "{}".to_owned();
                }
                let shown = entries.iter().map(|(key, value)| match reader.tree.kind(*value) {
                    Kind::Missing => format!("{key}:"),
                    _ => format!("{key}: {}", self.flow(*value, inner(of, self.name(key)))),
                });
                format!("{{ {} }}", shown.collect::<Vec<_>>().join(", "))
            }
        }
    }

    fn of(&self, shape: Shape, block: &Block) -> Of {
        let keys: Vec<&str> = block.entries.iter().map(|entry| self.name(&entry.key)).collect();
        of(shape, &keys)
    }

    /// A key without its quotes.
    fn name<'k>(&self, key: &'k str) -> &'k str {
        let inner = |quote: char| key.strip_prefix(quote)?.strip_suffix(quote);
        inner('"').or_else(|| inner('\'')).unwrap_or(key)
    }

    fn leads(&mut self, leads: &[Lead], indent: usize, at_start: bool) {
        let mut at_start = at_start;
        for lead in leads {
            match lead {
                Lead::Blank if at_start || self.text.ends_with("\n\n") => {}
                Lead::Blank => self.text.push('\n'),
                Lead::Comment(comment) => self.line(&format!("{}{comment}", " ".repeat(indent))),
            }
            at_start = false;
        }
    }

    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }
}

/// Where a key of a record belongs: what is said in a word first, then what takes lines of its own, each in the order of the reference; what is not
/// known comes last.
fn place(record: &RecordShape, key: &str) -> (bool, bool, usize) {
    // What a thing is like comes before what it says itself.
    if key == Attribute::Like.word() {
        return (false, false, 0);
    }
    let found = record.fields.iter().position(|field| field.key.word() == key);
    let takes_lines = |shape: Shape| matches!(shape, Shape::List(_) | Shape::Map(_) | Shape::Record(_) | Shape::Variants(_));
    match found.and_then(|at| Some((at, record.fields.get(at)?))) {
        Some((at, field)) => (true, takes_lines((field.shape)()), at),
        None => (true, true, usize::MAX),
    }
}

/// Entries that are under each other: no comment, no blank line between them.
fn groups(entries: &[Entry]) -> Vec<(&[Lead], Vec<&Entry>)> {
    let mut groups: Vec<(&[Lead], Vec<&Entry>)> = Vec::new();
    for entry in entries {
        match groups.last_mut() {
            Some((_, group)) if entry.lead.is_empty() => group.push(entry),
            _ => groups.push((&entry.lead, vec![entry])),
        }
    }
    groups
}

/// What the format says of the entries of a map with these keys.
fn of(shape: Shape, keys: &[&str]) -> Of {
    match shape {
        Shape::Record(record) => Of::Record(record),
        Shape::Variants(variants) => {
            let is_like = keys.contains(&Attribute::Like.word());
            // What is like another leaves the key that gives its kind to that one.
            let has_all = |record: &RecordShape| {
                let has =
                    |key: &&str| *key == Attribute::Like.word() || record.fields.iter().any(|field| field.key.word() == *key);
                keys.iter().all(has)
            };
            let found = variants.variants.iter().find(|(word, _)| keys.contains(word));
            let found = found.or_else(|| variants.variants.iter().find(|(_, record)| is_like && has_all(record)));
            found.map_or(Of::Unknown, |(_, record)| Of::Record(record))
        }
        Shape::Map(inner) => Of::Names { inner, is_numbered: is_numbered(inner()) },
        Shape::Either(shapes) => {
            let found = shapes.iter().map(|shape| of(shape(), keys)).find(|of| !matches!(of, Of::Unknown));
            found.unwrap_or(Of::Unknown)
        }
        _ => Of::Unknown,
    }
}

/// Whether the names of a map are numbers that are looked up by their order: those of wires and of pins.
fn is_numbered(inner: Shape) -> bool {
    let name = |shape: &Shape| match shape {
        Shape::Record(record) => Some(record.name),
        _ => None,
    };
    match inner {
        Shape::Either(shapes) => shapes.iter().any(|shape| name(&shape()) == Some("Pin")),
        other => name(&other) == Some("Wire"),
    }
}

/// What may be behind a key.
fn inner(of: Of, key: &str) -> Option<Shape> {
    match of {
        Of::Record(record) => record.fields.iter().find(|field| field.key.word() == key).map(|field| (field.shape)()),
        Of::Names { inner, .. } => Some(inner()),
        Of::Unknown => None,
    }
}
