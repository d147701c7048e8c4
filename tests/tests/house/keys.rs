//! A key of the format is read by something, or says that nothing reads it: what is given in vain has to be said in every report.

use super::{code, project, sources};
use harness_core::reference;

/// What the reference says of a key that nothing reads.
const UNREAD: &str = "Given, not checked yet.";

/// Where a key counts as read: whatever is made of a resolved design. Reading and resolving alone is not an use.
const USERS: &[&str] =
    &["rules", "facts", "electrical", "evidence", "inspect", "network", "review", "bench", "check.rs", "design.rs"];

/// Keys whose value goes by another name once it is read, or that reading itself makes use of, with the reason.
const OTHERWISE: &[(&str, &str)] = &[
    ("ambient", "`Surroundings` of a conductor, from zones and the policy"),
    ("bolts-to", "`End::mate`"),
    ("bus-ground", "`VoltageDrop::bus_ground`"),
    ("cables", "a list of things"),
    ("clamped", "`Pin::clamped`"),
    ("closed-in", "`ElementKind::Switch`: the modes in which it is closed"),
    ("covering", "`Segment::covering`"),
    ("disconnect", "`ElementKind::Disconnect`: the modes in which it is out"),
    ("face", "the positions of a housing"),
    ("ferrule", "`PortKind` of a point"),
    ("format", "the version of the format, which reading judges"),
    ("from", "the list that a file was made from, `format::origin`"),
    ("include", "the files of a design"),
    ("interlock", "`Housing::interlock` and the kind of the element"),
    ("lands-on", "`End::mate`"),
    ("isolation-monitor", "`Device::monitor`"),
    ("lock", "`Port::lock`"),
    ("mates-with", "the facts of the partner, which reading gives to both halves"),
    ("max-wires", "`Housing::max_wires` and `Terminal::max_wires`"),
    ("networks", "a list of things"),
    ("open-in", "`ElementKind::Switch`: the modes in which it is closed"),
    ("part", "`Cable::kind`"),
    ("positions", "`Housing::labels`"),
    ("row", "the row of a list, which whoever shows a place looks up, `format::origin`"),
    ("use", "`PinUse::Spare`"),
    ("via", "`Wire::via`"),
];

/// Words of which one key is read and another is not: that something asks for a field of this name proves nothing.
const OF_SEVERAL_KEYS: &[&str] = &["at", "function", "kind", "moves", "network", "opens", "pins", "twist", "voltage"];

/// Each key of the reference with whether it says that nothing reads it.
fn keys() -> Vec<(String, bool)> {
    let reference = reference();
    let rows = reference.lines().filter_map(|line| line.strip_prefix("| `"));
    let keys = rows.filter_map(|row| Some((row.split_once('`')?.0.to_owned(), row.contains(UNREAD))));
    keys.collect()
}

/// Whether `text` holds `word` as a word of code.
fn holds(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let is_letter = |letter: Option<char>| letter.is_some_and(|letter| letter.is_alphanumeric() || letter == '_');
        !is_letter(text[..at].chars().next_back()) && !is_letter(text[at + word.len()..].chars().next())
    })
}

#[test]
fn a_key_is_read_or_says_that_nothing_reads_it() {
    let core = project().join("harness-core/src");
    let users: String = sources(&core)
        .iter()
        .filter(|(path, _)| USERS.iter().any(|user| path.strip_prefix(&core).is_ok_and(|path| path.starts_with(user))))
        .flat_map(|(_, text)| {
            code(text).lines().filter(|line| !line.trim_start().starts_with("//")).map(str::to_owned).collect::<Vec<_>>()
        })
        .collect::<Vec<_>>()
        .join("\n");
    let mut faults = Vec::new();
    for (key, unread) in keys() {
        let field = key.replace('-', "_");
        let otherwise = OTHERWISE.iter().any(|(other, _)| *other == key);
        let access = holds(&users, &format!(".{field}")) || users.contains(&format!(".{field}."));
        if unread && access && !OF_SEVERAL_KEYS.contains(&key.as_str()) {
            faults.push(format!(
                "`{key}` says that nothing reads it, and something asks for `.{field}`: take `unread` off its field"
            ));
        }
        if !unread && !otherwise && !holds(&users, &field) && !holds(&users, &camel(&key)) {
            faults.push(format!("nothing reads `{key}`: say who uses it in OTHERWISE, or mark its field `unread`"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// `closed-in` as the name of a variant: `ClosedIn`.
fn camel(key: &str) -> String {
    key.split('-').map(|part| part[..1].to_uppercase() + &part[1..]).collect()
}

#[test]
fn the_report_counts_what_nothing_reads() {
    let text = "format: 1\ndesign: Lift\ndevices: { box: { ports: { A: { stud: M8, torque: 8 Nm }, B: { stud: M6, torque: 5 Nm } } } }\n";
    let report = harness_tests::report(text);
    // What no rule reads is on a paper: today each key is read by something, and the report says so of none.
    assert_eq!(report.summary.unread, []);
    assert!(keys().iter().all(|(_, unread)| !unread), "a key that nothing reads is counted: give an example of it here");
}
