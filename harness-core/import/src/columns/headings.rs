//! Headings of the trade and what each may mean; conventions seen.

use super::Meaning::{
    self, Cable, Colour, Core, From, FromHousing, FromPin, Fuse, Grounded, Housing, Key, Loom, Note, Number, Pin, Plug, Protects,
    Rating, Screen, Signal, State, Stripe, To, ToHousing, ToPin, Twist, Unread, Unsure,
};

use super::languages::HEADINGS as HEADINGS_ELSEWHERE;

const SIZE: Meaning = Meaning::Size(None);
const LENGTH: Meaning = Meaning::Length(None);

/// Headings in plain form, with bars between them, and what they may mean; the cells decide where there are several.
const HEADINGS: &[(&str, &[Meaning])] = &[
    (
        "wire id|wire no|wire number|wire nr|wire num|wire #|#|nr|no|number|id|segment id|segment|wire name|wire label|\
         label|ckt|ckt no|ckt #|ckt id|wire code|conductor|conductor no|circuit no|circuit number|circuit id|line|item|ref no|retired number|\
         retired numbers|retired",
        &[Number],
    ),
    ("wire", &[SIZE, Colour, Number]),
    ("wires", &[Number, Protects]),
    (
        "from|source|start|origin|side 1|side1|side a|end 1|end1|end a|a end|a|point a|from end|from point|from device|\
         from connector|from plug|from component|connector from|plug from|device from|connector 1|connector1|\
         connector a|plug 1|plug a|device 1|device a|from conn|conn 1|from connector id|from unit|from item|\
         from location|side 1 connector|side 1 plug|source connector|source device|start connector|von|from node|\
         from connection|from terminal block",
        &[From],
    ),
    (
        "to|destination|dest|end|target|side 2|side2|side b|end 2|end2|end b|b end|b|point b|to end|to point|to device|\
         to connector|to plug|to component|connector to|plug to|device to|connector 2|connector2|connector b|plug 2|\
         plug b|device 2|device b|to conn|conn 2|to connector id|to unit|to item|to location|side 2 connector|\
         side 2 plug|destination connector|destination device|end connector|nach|goes to|connects to|connected to|\
         to node|to connection|wired to",
        &[To],
    ),
    (
        "from pin|from cavity|from terminal|from way|from pos|from position|from contact|pin from|cavity from|\
         source pin|start pin|pin 1|pin1|pin a|cavity 1|cavity a|side 1 pin|side 1 cavity|side1 pin|connector 1 pin|\
         connector from pin|from connector pin|end 1 pin|end a pin|from pin no|from pin number",
        &[FromPin],
    ),
    (
        "to pin|to cavity|to terminal|to way|to pos|to position|to contact|pin to|cavity to|destination pin|dest pin|\
         end pin|pin 2|pin2|pin b|cavity 2|cavity b|side 2 pin|side 2 cavity|side2 pin|connector 2 pin|\
         connector to pin|to connector pin|end 2 pin|end b pin|to pin no|to pin number",
        &[ToPin],
    ),
    (
        "gauge|awg|wire gauge|planned wire gauge|planned gauge|gage|ga|mm2|mm|cross section|crosssection|csa|wire size|\
         conductor size|section|leiterquerschnitt|area|wire awg|wire size awg|gauge awg|querschnitt|wire gage|awg size|size awg|gauge color|gauge colour|size color|size colour|wire gauge color|\
         wire size color|gauge and color|gauge and colour|size and colour|size and color|wire type",
        &[SIZE],
    ),
    ("size", &[SIZE]),
    (
        "color|colour|wire color|wire colour|insulation color|insulation colour|col|farbe|wire col|colours|colors|\
         color code|colour code|base color|base colour",
        &[Colour],
    ),
    ("stripe|stripe color|stripe colour|tracer|second color|second colour|trace", &[Stripe]),
    (
        "length|cut length|wire length|estimated one way length|one way length|est length|len|estimated length|\
         approx length|länge|laenge|length est|total length|cut len",
        &[LENGTH],
    ),
    (
        "signal|signal name|function|circuit|description|net|net name|purpose|desc|circuit name|name|use|\
         circuit description|signal description|wire function|pin function|pin name|wire description|circuit function",
        &[Signal],
    ),
    ("state|status|used", &[State]),
    ("fuse|fuse no|fuse id|fuse number|fuse name|fuse position|inline fuse|in line fuse|fuse #", &[Fuse, Rating]),
    ("rating|fuse rating|amps|amp|fuse size|fuse amps|fuse a|rated current|fuse value|fuse amp", &[Rating]),
    ("protected wire|protected wires|wire protected|protects|protected circuit|circuit protected|wires protected", &[Protects]),
    ("loom|harness|sub harness|subharness|bundle", &[Loom]),
    (
        "connector|plug|conn|connector id|plug id|plug no|connector no|connector name|device|component|unit|refdes|\
         reference|ref|plug name",
        &[Plug],
    ),
    (
        "pin|cavity|pin no|pin number|pin #|pin nr|pin id|position|pos|way|contact|terminal|cavity no|cav|pins|\
         terminal no",
        &[Pin],
    ),
    (
        "housing|connector part|housing part|housing part no|part number|part no|connector type|housing type|\
         connector part no|connector part number|housing part number|part|connector housing",
        &[Housing],
    ),
    ("key|keyway|coding|housing color|housing colour|key code|polarization|keying", &[Key]),
    (
        "grounded at|shield ground|screen ground|shield grounded at|screen grounded at|drain to|shield to|screen to|\
         shield termination|ground end|grounded end",
        &[Grounded],
    ),
    ("twist|twisted with|twist group|pair|twisted pair", &[Twist]),
    ("cable|cable no|cable id|cable number|cable name|kabel|kabel nr|câble|cavo", &[Cable]),
    ("core|core no|core number|cable core|conductor of cable|ader|ader nr|adernummer|âme|anima", &[Core]),
    ("shield|screen|shielded|screened|shielding|screening|schirm|blindage|schermo", &[Screen]),
    ("doubt|doubts|unsure|open point|open points|to check|question|questions", &[Unsure]),
    ("note|notes|comment|comments|remark|remarks|reason|info", &[Note]),
    (
        "est a|amps each|inrush|load|qty|quantity|torque|terminal part|terminal type|seal|price|cost|supplier|location|\
         checked|done",
        &[Unread],
    ),
];

/// A heading in plain form: small letters, brackets and what is in them off, signs as blanks.
pub(super) fn plain(heading: &str) -> String {
    let mut text = String::new();
    let mut depth = 0u32;
    for letter in heading.chars() {
        match letter {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            _ if depth > 0 => {}
            '#' => text.push('#'),
            '²' => text.push('2'),
            letter if letter.is_alphanumeric() => text.extend(letter.to_lowercase()),
            _ => text.push(' '),
        }
    }
    // `Connector (From)`: what is in the brackets is the side.
    let inner = inside(heading);
    let mut plain = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (word, side) in [
        ("from", "from"),
        ("to", "to"),
        ("source", "from"),
        ("destination", "to"),
        ("side 1", "from"),
        ("side 2", "to"),
        ("a", "from"),
        ("b", "to"),
        ("start", "from"),
        ("end", "to"),
    ] {
        if inner == word && !plain.is_empty() {
            plain = format!("{side} {plain}");
            break;
        }
    }
    if plain.is_empty() {
        plain = inner;
    }
    plain.replace("mm 2", "mm2")
}

fn inside(heading: &str) -> String {
    let from = heading.split_once(['(', '[']).map_or("", |(_, rest)| rest);
    from.split([')', ']']).next().unwrap_or("").trim().to_lowercase()
}

/// What a heading may mean; empty if it is not known.
pub(super) fn meanings(heading: &str) -> &'static [Meaning] {
    let plain = plain(heading);
    if let Some(found) = known(&plain) {
        return found;
    }
    // A unit at the end: `Length mm`, `Size AWG`, `Cut length ft`.
    let without = [
        "in mm", "in cm", "in m", "in ft", "in in", "in awg", "in mm2", "mm", "cm", "m", "ft", "feet", "in", "inches", "inch",
        "awg", "mm2", "est", "nominal", "en mm", "en m", "en mm2",
    ]
    .iter()
    .find_map(|unit| plain.strip_suffix(unit)?.strip_suffix(' '));
    without.and_then(|shorter| known(shorter.trim())).unwrap_or_else(|| by_words(&plain))
}

/// What a heading in plain form may mean, in whichever language.
fn known(plain: &str) -> Option<&'static [Meaning]> {
    let mut all = HEADINGS.iter().chain(HEADINGS_ELSEWHERE);
    all.find(|(words, _)| words.split('|').any(|word| word == plain)).map(|(_, found)| *found)
}

/// Which side a word of a heading says.
const FIRST: [&str; 8] = ["from", "source", "src", "start", "origin", "1", "a", "left"];
const SECOND: [&str; 9] = ["to", "dest", "destination", "target", "end", "2", "b", "right", "going"];

/// What is at that side: a thing, or a position of it. Words that say neither may be beside them.
const THINGS: [&str; 14] = [
    "conn",
    "connector",
    "plug",
    "device",
    "component",
    "unit",
    "box",
    "item",
    "location",
    "node",
    "module",
    "ecu",
    "part",
    "point",
];
const POSITIONS: [&str; 10] = ["pin", "cavity", "terminal", "term", "way", "pos", "position", "contact", "cav", "slot"];
const BESIDE: [&str; 13] = ["no", "nr", "number", "id", "name", "side", "of", "the", "label", "housing", "type", "pn", "mpn"];

/// What a heading of several words may mean that is not in the list: a side with a thing or a position, in whichever order.
fn by_words(plain: &str) -> &'static [Meaning] {
    let words: Vec<&str> = plain.split(' ').collect();
    let any = |known: &[&str]| words.iter().any(|word| known.contains(word));
    let is_known =
        words.iter().all(|word| [&FIRST[..], &SECOND, &THINGS, &POSITIONS, &BESIDE].iter().any(|known| known.contains(word)));
    if !is_known || any(&FIRST) == any(&SECOND) {
        return &[];
    }
    if any(&["housing", "type", "pn", "mpn"]) || any(&["part"]) && any(&["no", "nr", "number"]) {
        return if any(&FIRST) { &[FromHousing] } else { &[ToHousing] };
    }
    match (any(&FIRST), any(&POSITIONS), any(&THINGS)) {
        (true, true, _) => &[FromPin],
        (false, true, _) => &[ToPin],
        (true, false, true) => &[From],
        (false, false, true) => &[To],
        (_, false, false) => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::{From, FromPin, To, ToPin, meanings};

    /// Conventions seen, and the same words in another order.
    #[test]
    fn a_side_with_a_thing_or_a_position_is_understood_in_any_order() {
        for (heading, meaning) in [
            ("Conn From", From),
            ("Source conn.", From),
            ("Device (A)", From),
            ("Dest. module", To),
            ("Unit To", To),
            ("Term from", FromPin),
            ("Source connector pin no", FromPin),
            ("Pin No. To", ToPin),
            ("Dest term", ToPin),
        ] {
            assert_eq!(meanings(heading), [meaning], "{heading}");
        }
        for heading in ["From to", "Conn", "Pin colour from", "To be checked", "A"] {
            assert!(!meanings(heading).contains(&FromPin) && !meanings(heading).contains(&ToPin), "{heading}");
        }
    }
}
