//! What is owed in further designs where it is less than in the three: the facts are others there.

use super::slip::Owed;

/// Kinds of slips by name, with what is owed in the further designs.
const OTHERWISE: [(&str, Owed); 17] = [
    ("plugged on the neighbour's port", Owed::Note(100, "plugs of one sort whose pins name no signal: a note")),
    (
        "two wires swapped in one connector",
        Owed::Share(95, "the two contacts of an interlock bridge are the same loop either way round"),
    ),
    ("converter's output turned round", Owed::Somewhere(100, "none may be quiet")),
    (
        "converter of a hundredth of the current",
        Owed::Share(30, "what charges a battery gives what it can, and another source feeds the loads"),
    ),
    ("load of ten times as much", Owed::Share(60, "its fuse or its wire is named, or both carry ten times as much")),
    (
        "rated current a hundredth",
        Owed::Share(85, "a precharge contact carries its current for less than a second, and no state shows it"),
    ),
    ("bus bar left out", Owed::Note(80, "a conductive case or an isolated converter joins the same points")),
    ("load left out", Owed::Note(45, "another element is at the same two pins, so nothing shows that one is missing")),
    ("pin of a return called supply, and the reverse", Owed::Share(90, "what it feeds is named in its place")),
    (
        "pin in another domain",
        Owed::Somewhere(95, "from a pole of a battery or a converter to the next fuse nothing else has a domain"),
    ),
    (
        "signal of another name at one pin",
        Owed::Share(45, "it is the only name on its wire, or neither end has a role that says whether it is a signal or a feed"),
    ),
    ("fuse for a tenth of the voltage", Owed::Share(85, "a tenth of 250 V is enough for 12 V")),
    (
        "contacts for a twentieth of the current",
        Owed::Share(65, "contacts of signals carry less than a twentieth of their rating"),
    ),
    ("housing for a tenth of the voltage", Owed::Share(90, "a tenth of 60 V is enough for a sensor of 5 V")),
    ("length not given", Owed::Note(75, "nothing flows in a wire of a bus, a bond or an interlock")),
    (
        "fifty times as long",
        Owed::Share(30, "much of it is signals, bonds and interlock, and the drop of short thick leads stays small"),
    ),
    (
        "two rings swapped between studs",
        Owed::Somewhere(95, "a return to the frame does as well at the earth of a box that is bonded to it"),
    ),
];

/// What is owed for a kind of slip in the further designs.
pub fn owed(kind: &str, usual: Owed) -> Owed {
    let other = OTHERWISE.iter().find(|(name, _)| *name == kind);
    other.map_or(usual, |(_, owed)| *owed)
}

/// Names of the table that no kind has: a renamed kind would be owed the usual again without anybody saying so.
pub fn unknown(kinds: &[&str]) -> Vec<&'static str> {
    OTHERWISE.iter().map(|(name, _)| *name).filter(|name| !kinds.contains(name)).collect()
}
