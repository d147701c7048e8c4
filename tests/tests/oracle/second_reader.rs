//! An independent YAML reader sees the same structure, the same keys and the same texts in every netlist.
//!
//! The second reader is asked for the text of each scalar, so that it resolves no types either: `01`, `1e3` and `on`
//! must come back letter for letter.
//!
//! Known differences, for which a netlist is left out: merge keys (`<<`), which the second reader leaves to its caller,
//! and netlists in which our own reader reports a fault of the text, of which the second one gives up all.

use harness_core::internals::text::{Kind, Names, NodeId, Sources, Tree, decode, parse};
use harness_tests::corpus::{Text, files, texts};
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// Asks the second reader for what our tree holds at a node, and compares.
#[derive(Clone, Copy)]
struct Same<'t> {
    tree: &'t Tree,
    names: &'t Names,
    node: NodeId,
}

impl<'t> Same<'t> {
    fn at(self, node: NodeId) -> Self {
        Self { node, ..self }
    }

    fn text(self) -> &'t str {
        self.tree.text(self.node).map_or("", |name| self.names.text(name))
    }
}

impl<'de> DeserializeSeed<'de> for Same<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<(), D::Error> {
        match self.tree.kind(self.node) {
            Kind::Scalar { .. } => reader.deserialize_str(self),
            Kind::List => reader.deserialize_seq(self),
            Kind::Map => reader.deserialize_map(self),
            Kind::Missing => reader.deserialize_any(self),
        }
    }
}

impl<'de> Visitor<'de> for Same<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?} {:?}", self.tree.kind(self.node), self.text())
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<(), E> {
        match self.tree.kind(self.node) {
            Kind::Scalar { .. } if text == self.text() => Ok(()),
            _ => Err(E::custom(format!("`{text}` and not `{}`", self.text()))),
        }
    }

    fn visit_unit<E: Error>(self) -> Result<(), E> {
        match self.tree.kind(self.node) {
            Kind::Missing => Ok(()),
            kind => Err(E::custom(format!("nothing and not {kind:?}"))),
        }
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        for item in self.tree.items(self.node) {
            if list.next_element_seed(self.at(item))?.is_none() {
                return Err(A::Error::custom("the list is shorter"));
            }
        }
        match list.next_element::<IgnoredAny>()? {
            Some(_) => Err(A::Error::custom("the list is longer")),
            None => Ok(()),
        }
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        for (key, value) in self.tree.entries(self.node) {
            if map.next_key_seed(self.at(key))?.is_none() {
                return Err(A::Error::custom("the map is shorter"));
            }
            map.next_value_seed(self.at(value))?;
        }
        match map.next_key::<IgnoredAny>()? {
            Some(_) => Err(A::Error::custom("the map is longer")),
            None => Ok(()),
        }
    }
}

/// Whether both readers agree; `None` if the netlist is left out.
fn compared(netlist: &str) -> Option<Result<(), String>> {
    let (mut sources, mut names) = (Sources::new(), Names::new());
    let decoded = decode(&mut sources, "design.yaml".to_owned(), netlist.as_bytes().to_vec()).expect("a first file fits");
    let parsed = parse(&sources, decoded.file, &mut names);
    if !decoded.problems.is_empty() || !parsed.problems.is_empty() || netlist.contains("<<") {
        return None;
    }
    let same = Same { tree: &parsed.tree, names: &names, node: parsed.root? };
    Some(same.deserialize(serde_yaml::Deserializer::from_str(netlist)).map_err(|error| error.to_string()))
}

#[test]
fn a_second_reader_sees_every_netlist_alike() {
    let whole = files().into_iter().map(|(path, netlist)| Text { name: path.display().to_string(), netlist });
    let (mut seen, mut left_out) = (0, 0);
    for text in texts().iter().cloned().chain(whole) {
        match compared(&text.netlist) {
            Some(result) => {
                result.unwrap_or_else(|error| panic!("{}: {error}", text.name));
                seen += 1;
            }
            None => left_out += 1,
        }
    }
    // Left out are the examples of the rules of reading, which are faulty on purpose.
    assert!(seen > 30 && left_out < seen, "{seen} compared, {left_out} left out");
}

#[test]
fn labels_that_readers_like_to_resolve_stay_texts() {
    let netlist = "01: on\n1e3: off\nyes: 0x1F\n~: null\n1_000: 0o17\n'on': \"01\"\n.inf: -.INF\n2027-06-30: 12:30:00\n+1: .5\n";
    assert_eq!(compared(netlist), Some(Ok(())));
    let (mut sources, mut names) = (Sources::new(), Names::new());
    let decoded = decode(&mut sources, "f".to_owned(), netlist.as_bytes().to_vec()).expect("a first file fits");
    let parsed = parse(&sources, decoded.file, &mut names);
    let root = parsed.root.expect("the text has a top");
    let read: Vec<(&str, &str)> = parsed
        .tree
        .entries(root)
        .filter_map(|(key, value)| Some((names.text(parsed.tree.text(key)?), names.text(parsed.tree.text(value)?))))
        .collect();
    let written = [
        ("01", "on"),
        ("1e3", "off"),
        ("yes", "0x1F"),
        ("~", "null"),
        ("1_000", "0o17"),
        ("on", "01"),
        (".inf", "-.INF"),
        ("2027-06-30", "12:30:00"),
        ("+1", ".5"),
    ];
    assert_eq!(read, written);
}

#[test]
fn a_difference_is_seen() {
    let netlist = "format: 1\ndesign: Orchard lift\n";
    let (mut sources, mut names) = (Sources::new(), Names::new());
    let decoded = decode(&mut sources, "f".to_owned(), netlist.as_bytes().to_vec()).expect("a first file fits");
    let parsed = parse(&sources, decoded.file, &mut names);
    let root = parsed.root.expect("the text has a top");
    for other in [
        "format: 01\ndesign: Orchard lift\n",
        "format: 1\n",
        "format: 1\ndesign: [Orchard lift]\n",
        "format: 1\ndesign: Orchard lift\nx: 1\n",
    ] {
        let same = Same { tree: &parsed.tree, names: &names, node: root };
        assert!(same.deserialize(serde_yaml::Deserializer::from_str(other)).is_err(), "{other}");
    }
}
