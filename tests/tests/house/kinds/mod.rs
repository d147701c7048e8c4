//! What asks for one kind of element alone, or for one role of an edge, and leaves all others to a wildcard.
//!
//! Such a place compiles when a kind is added, though somebody should decide. Each is in the table with its reason; whoever adds a
//! kind reads the table and asks of each line whether the new one is meant too.

mod asked;
mod table;

use super::{is_test, project, sources};
use asked::alone;
use std::collections::BTreeSet;
use syn::{Item, ItemEnum};
use table::ALONE;

/// How many kinds of element and roles of an edge there were when the table was last read from end to end.
const READ_FOR: [usize; 2] = [12, 16];

#[test]
fn whoever_asks_for_one_kind_of_element_says_why() {
    let root = project().join("harness-core/src");
    let read = |file: &str| std::fs::read_to_string(root.join(file)).expect("a source can be read");
    let kinds = variants(&read("model/element.rs"), "ElementKind");
    let roles = variants(&read("network/role.rs"), "EdgeRole");
    let mut found: BTreeSet<(String, String)> = BTreeSet::new();
    for (path, text) in sources(&root).into_iter().filter(|(path, _)| !is_test(path)) {
        let file = path.strip_prefix(&root).expect("a file of the core").to_string_lossy().replace('\\', "/");
        found.extend(alone(&text).into_iter().map(|kind| (file.clone(), kind)));
    }
    let known: BTreeSet<(String, String)> =
        ALONE.iter().map(|(file, kind, _)| ((*file).to_owned(), (*kind).to_owned())).collect();
    let new: Vec<_> = found.difference(&known).collect();
    assert!(
        new.is_empty(),
        "these ask for one kind and say nothing of the others; name every kind, ask a predicate of `EdgeRole` or `ElementKind`, or \
         say in the table `ALONE` why no other kind is meant: {new:#?}"
    );
    let gone: Vec<_> = known.difference(&found).collect();
    assert!(gone.is_empty(), "these lines of the table `ALONE` are no longer needed: {gone:#?}");
    assert!(ALONE.is_sorted(), "the table is sorted by file and kind");
    assert_eq!(
        [kinds.len(), roles.len()],
        READ_FOR,
        "kinds of element or roles of an edge came or went: read the table `ALONE`, decide for each line whether a new one is meant \
         too, then set the number"
    );
}

/// The names of the variants of an enum.
fn variants(text: &str, name: &str) -> Vec<String> {
    let file = syn::parse_file(text).expect("a source can be parsed");
    let found = file.items.iter().find_map(|item| match item {
        Item::Enum(ItemEnum { ident, variants, .. }) if ident == name => Some(variants),
        _ => None,
    });
    found.expect("the enum").iter().map(|variant| variant.ident.to_string()).collect()
}

#[test]
fn places_that_ask_for_one_kind_are_seen() {
    let of = |body: &str| {
        let text = format!("use crate::network::EdgeRole::{{Load, Coil}};\nfn f() {{ {body} }}");
        alone(&text).into_iter().collect::<Vec<_>>().join(" ")
    };
    assert_eq!(of("edge.role != EdgeRole::Fuse"), "EdgeRole::Fuse");
    assert_eq!(of("edge.role == Coil"), "EdgeRole::Coil");
    assert_eq!(
        of("matches!(kind, ElementKind::Load { .. } | model::ElementKind::Diode(_) if on)"),
        "ElementKind::Diode ElementKind::Load"
    );
    assert_eq!(of("let ElementKind::Load { demand, .. } = kind else { return };"), "ElementKind::Load");
    assert_eq!(of("if let (ElementKind::Load { .. }, [a, b]) = pair {}"), "ElementKind::Load");
    assert_eq!(of("match role { Load => { 1 } Coil => 2, _ => 3 }"), "EdgeRole::Coil EdgeRole::Load");
    assert_eq!(of("match role { EdgeRole::Fuse => 1, other => of(other) }"), "EdgeRole::Fuse");
    assert_eq!(of("match (role, at) { (Load, Some(_)) => 1, (_, _) => 3 }"), "EdgeRole::Load");
    // Every kind is named, the wildcard is of something else, or nothing is asked.
    assert_eq!(of("match role { Load => 1, Coil => 2 }"), "");
    assert_eq!(of("match (role, at) { (Load, Some(_)) => 1, (Load | Coil, _) => 3 }"), "");
    assert_eq!(of("match role { Load => match at { Some(_) => 1, _ => 2 }, Coil => 2 }"), "");
    assert_eq!(of("let role = EdgeRole::Fuse; add(ElementKind::Diode(drop));"), "");
    assert_eq!(of("suppression == Suppression::Diode"), "");
}
