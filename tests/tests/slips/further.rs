//! What is owed in further designs where it is less than in the three: the facts are others there.

use super::slip::Owed;

/// Kinds of slips by name, with what is owed in the further designs.
const OTHERWISE: [(&str, Owed); 23] = [
    ("source left out", Owed::Note(95, "a charger without its source leaves its battery as it is")),
    ("converter's output turned round", Owed::Somewhere(100, "none may be quiet")),
    (
        "converter of a hundredth of the current",
        Owed::Share(30, "what charges a battery gives what it can, and another source feeds the loads"),
    ),
    ("load of ten times as much", Owed::Share(65, "its fuse or its wire is named, or both carry ten times as much")),
    ("switch forgets a mode", Owed::Share(70, "what is behind it does nothing in that mode by its own `in`, or it only signals")),
    (
        "rated current a hundredth",
        Owed::Share(85, "a precharge contact carries its current for less than a second, and no state shows it"),
    ),
    ("bus bar left out", Owed::Note(80, "a conductive case or an isolated converter joins the same points")),
    ("load left out", Owed::Note(70, "another element is at the same two pins, so nothing shows that one is missing")),
    (
        "pin of a return called supply, and the reverse",
        Owed::Share(75, "behind a fuse or a contact nothing on the same metal says which of the two it is"),
    ),
    (
        "pin in another domain",
        Owed::Somewhere(95, "from a pole of a battery or a converter to the next fuse nothing else has a domain"),
    ),
    (
        "signal of another name at one pin",
        Owed::Share(55, "it is the only name on its wire, or neither end has a role that says whether it is a signal or a feed"),
    ),
    ("class B joined to the earth of its box", Owed::Share(85, "the neutral of the mains is earthed where the mains come from")),
    ("loom left out of the build", Owed::Somewhere(85, "between a charger and a battery notes say what gives and gets nothing")),
    ("fuse of twice the rating", Owed::Share(35, "the conductor has room for the next rating, or its source has a limit below")),
    ("fuse of a tenth of the rating", Owed::Share(85, "what idles or only senses takes less than that")),
    ("fuse for a tenth of the voltage", Owed::Share(85, "a tenth of 250 V is enough for 12 V")),
    (
        "contacts for a twentieth of the current",
        Owed::Share(65, "contacts of signals carry less than a twentieth of their rating"),
    ),
    ("housing for a tenth of the voltage", Owed::Share(90, "a tenth of 60 V is enough for a sensor of 5 V")),
    (
        "plugged on the neighbour's port",
        Owed::Noted(
            85,
            "a cable with two equal plugs can be turned round; a note says that its interlock wires swap their names",
        ),
    ),
    ("wire kind for a few volts", Owed::Share(85, "what is at earth has no voltage against anything")),
    ("length not given", Owed::Note(75, "nothing flows in a wire of a bus, a bond or an interlock")),
    (
        "fifty times as long",
        Owed::Share(30, "much of it is signals, bonds and interlock, and the drop of short thick leads stays small"),
    ),
    ("two rings swapped between studs", Owed::Somewhere(90, "bonds of one size from two boxes to one frame can be swapped")),
];

/// What is owed for a kind of slip in the further designs.
pub fn owed(kind: &str, usual: Owed) -> Owed {
    let other = OTHERWISE.iter().find(|(name, _)| *name == kind);
    other.map_or(usual, |(_, owed)| *owed)
}

/// Names of the table that no kind has: a renamed kind would be owed the usual again without anybody saying so.
pub fn unknown<'k>(kinds: &[&'k str]) -> Vec<&'static str> {
    OTHERWISE.iter().map(|(name, _)| *name).filter(|name| !kinds.contains(name)).collect()
}
