//! A netlist written anew, with its keys and the items of its sets in another order.

use harness_core::internals::text::{Kind, Names, NodeId, Sources, Tree, decode, parse};
use std::fmt::Write;

/// Keys of lists whose order says nothing.
const SETS: [&str; 13] = [
    "unsure",
    "in",
    "closed-in",
    "open-in",
    "disconnect",
    "plugged",
    "nodes",
    "retired",
    "interlock",
    "via",
    "include",
    "waivers",
    "gates",
];

/// Draws numbers; the same for one seed everywhere.
pub struct Numbers(u64);

impl Numbers {
    /// Numbers of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % most.max(1)
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for at in (1..items.len()).rev() {
            items.swap(at, self.below(at + 1));
        }
    }
}

/// The same netlist in one long line, in the order written or, with `numbers`, in another.
pub fn rewritten(netlist: &str, numbers: Option<&mut Numbers>) -> String {
    let mut sources = Sources::new();
    let decoded = decode(&mut sources, "design.yaml".to_owned(), netlist.as_bytes().to_vec()).unwrap();
    let mut names = Names::new();
    let parsed = parse(&sources, decoded.file, &mut names);
    let mut text = String::new();
    let mut writer = Writer { tree: &parsed.tree, names: &names, numbers };
    if let Some(root) = parsed.root {
        writer.node(root, "", &mut text);
    }
    text.push('\n');
    text
}

struct Writer<'a> {
    tree: &'a Tree,
    names: &'a Names,
    numbers: Option<&'a mut Numbers>,
}

impl Writer<'_> {
    fn node(&mut self, node: NodeId, key: &str, text: &mut String) {
        match self.tree.kind(node) {
            Kind::Scalar { text: scalar, .. } => quoted(self.names.text(scalar), text),
            Kind::Missing => {}
            Kind::List => {
                let mut items: Vec<NodeId> = self.tree.items(node).collect();
                if let Some(numbers) = self.numbers.as_mut().filter(|_| SETS.contains(&key)) {
                    numbers.shuffle(&mut items);
                }
                text.push('[');
                for item in items {
                    self.node(item, "", text);
                    text.push_str(", ");
                }
                text.push(']');
            }
            Kind::Map => {
                let mut entries: Vec<(NodeId, NodeId)> = self.tree.entries(node).collect();
                if let Some(numbers) = self.numbers.as_mut() {
                    numbers.shuffle(&mut entries);
                }
                text.push('{');
                for (name, value) in entries {
                    let word = self.tree.text(name).map_or("", |name| self.names.text(name));
                    quoted(word, text);
                    text.push_str(": ");
                    self.node(value, word, text);
                    text.push_str(", ");
                }
                text.push('}');
            }
        }
    }
}

fn quoted(word: &str, text: &mut String) {
    text.push('"');
    for letter in word.chars() {
        match letter {
            '"' | '\\' => {
                text.push('\\');
                text.push(letter);
            }
            letter if letter.is_control() => {
                let _ = write!(text, "\\u{:04x}", u32::from(letter));
            }
            letter => text.push(letter),
        }
    }
    text.push('"');
}
