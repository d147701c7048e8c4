//! What is owed in further designs where it is less than in the three: the facts are others there.

use super::slip::Owed;

/// Kinds of slips by name, with what is owed in the further designs.
const OTHERWISE: [(&str, Owed); 25] = [
    ("plugged on the neighbour's port", Owed::Note(95, "two lamps that shine together differ in nothing")),
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
        Owed::Somewhere(94, "a return or a screen to the frame does as well at the earth of a box that is bonded to it"),
    ),
    ("input that its box does not pull", Owed::Share(75, "a lamp beside it holds it down, or an output drives it high and low")),
    (
        "source of 30 % more",
        Owed::Share(
            60,
            "the string as a whole stays below the highest voltage of its domain, and a station is not the vehicle's",
        ),
    ),
    ("class B joined to the earth of its box", Owed::Share(90, "the neutral of a supply may be earthed there")),
    ("loom left out of the build", Owed::Somewhere(90, "a design of one box needs nothing that it reaches: a note")),
    ("wire kind for a few volts", Owed::Share(85, "a bond to earth has no voltage")),
    ("plugs of left and right swapped", Owed::Share(50, "two lamps that shine together differ in nothing")),
    ("precharge shortened", Owed::Share(75, "the other contactor of the loop closes later still")),
    ("source left out", Owed::Note(90, "a station that is not drawn is taken to be as its standard has it")),
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
