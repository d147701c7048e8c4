//! YAML as the project writes it: blocks down to the things, each thing on one line.

use std::collections::BTreeMap;

/// A text as a scalar: plain where nobody can take it for anything else, in double quotes otherwise.
pub(crate) fn quoted(text: &str) -> String {
    let is_plain = !text.is_empty()
        && text.starts_with(|letter: char| letter.is_alphanumeric() || letter == '/')
        && !text.ends_with([' ', ':'])
        && !text.contains(": ")
        && !text.contains(" #")
        && text.chars().all(|letter| letter.is_alphanumeric() || " -_./+()²°'%:;=".contains(letter))
        // What other readers take for a figure or a truth value stays what it is in quotes.
        && !["yes", "no", "true", "false", "null", "on", "off", "y", "n"].contains(&text.to_lowercase().as_str());
    if is_plain {
        return text.to_owned();
    }
    let mut made = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => made.push_str("\\\""),
            '\\' => made.push_str("\\\\"),
            '\n' => made.push_str("\\n"),
            '\t' => made.push_str("\\t"),
            letter if letter.is_control() || ('\u{2028}'..='\u{2029}').contains(&letter) || letter == '\u{feff}' => {
                made.push_str(&format!("\\u{:04x}", u32::from(letter)))
            }
            letter => made.push(letter),
        }
    }
    made.push('"');
    made
}

/// A map on one line, without the keys that have no value. The row takes no room of its own until the format reads it.
pub(super) fn flow(pairs: Vec<(&str, Option<String>)>) -> String {
    let pairs: Vec<String> =
        pairs.into_iter().filter_map(|(key, value)| value.map(|value| format!("{key}: {}", quoted(&value)))).collect();
    if pairs.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", pairs.join(", ")) }
}

/// A tree of keys with texts at its leaves.
#[derive(Debug, Default)]
pub(super) struct Block {
    leaf: Option<String>,
    held: BTreeMap<Key, Block>,
}

/// Keys in the order of people: figures by their value.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Key(Vec<(u8, u64, String)>, String);

impl Key {
    fn of(text: &str) -> Self {
        let mut pieces = Vec::new();
        let mut rest = text;
        while let Some(first) = rest.chars().next() {
            let is_digit = first.is_ascii_digit();
            let end = rest.find(|letter: char| letter.is_ascii_digit() != is_digit).unwrap_or(rest.len());
            let (piece, behind) = rest.split_at(end);
            pieces.push(match piece.parse::<u64>() {
                Ok(number) if is_digit => (0, number, String::new()),
                _ => (1, 0, piece.to_owned()),
            });
            rest = behind;
        }
        Self(pieces, text.to_owned())
    }
}

impl Block {
    pub(super) fn is_empty(&self) -> bool {
        self.held.is_empty()
    }

    pub(super) fn leaf(&mut self, path: &[&str], text: &str) {
        match path {
            [] => self.leaf = Some(text.to_owned()),
            [first, rest @ ..] => self.held.entry(Key::of(first)).or_default().leaf(rest, text),
        }
    }

    pub(super) fn text(&self) -> String {
        // Parts, devices, looms: as people read them.
        let mut text = String::new();
        for top in ["parts", "devices", "looms"] {
            if let Some(block) = self.held.get(&Key::of(top)) {
                text.push_str(&format!("\n{top}:\n"));
                block.write(1, top, &mut text);
            }
        }
        text
    }

    fn write(&self, depth: usize, within: &str, text: &mut String) {
        let order = ["ends", "splices", "inside", "cables", "wires"];
        let mut keys: Vec<(&Key, &Self)> = self.held.iter().collect();
        if within == "loom" {
            keys.sort_by_key(|(key, _)| order.iter().position(|known| *known == key.1));
        }
        for (key, block) in keys {
            let indent = "  ".repeat(depth);
            match &block.leaf {
                Some(leaf) => text.push_str(&format!("{indent}{}: {leaf}\n", quoted(&key.1))),
                None => {
                    text.push_str(&format!("{indent}{}:\n", quoted(&key.1)));
                    block.write(depth + 1, if within == "looms" { "loom" } else { "" }, text);
                }
            }
        }
    }
}
