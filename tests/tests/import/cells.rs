//! What a cell becomes: the conventions seen in wire lists of builders, each with other spellings of the same.

use harness_import::cell::{self, Element, End, Known, LengthUnit, Plain, SizeUnit, State};
use std::collections::BTreeMap;

/// Where a row comes from.
#[derive(Debug, Clone, Copy)]
enum Source {
    /// The form was seen in a list.
    Seen,
    /// Common practice, no source.
    Practice,
}
use Source::{Practice, Seen};

fn sized(text: &str, unit: Option<SizeUnit>) -> String {
    let read = cell::doubt(text);
    let doubt = if read.is_doubtful { " unsure" } else { "" };
    match cell::size(&read.text, unit) {
        Ok(size) => {
            let cores = if size.cores > 1 { format!(" x{}", size.cores) } else { String::new() };
            let (screened, twisted) =
                (if size.is_screened { " screened" } else { "" }, if size.is_twisted { " twisted" } else { "" });
            let rest = if size.rest.is_empty() { String::new() } else { format!(" ({})", size.rest) };
            format!("{}{cores}{screened}{twisted}{rest}{doubt}", size.sizes.join(" | "))
        }
        Err(why) => format!("! {why}"),
    }
}

#[test]
fn what_a_cell_becomes_sizes() {
    let awg = Some(SizeUnit::Awg);
    let metric = Some(SizeUnit::SquareMillimetre);
    let bare = "! is a bare number, and neither the heading nor another cell says AWG or mm2";
    let rows: &[(Source, &[&str], Option<SizeUnit>, &str)] = &[
        (Seen, &["20 AWG", "20AWG", "AWG 20", "20 awg", "#20 AWG", "20 gauge", "20 ga", "20ga."], None, "20 AWG"),
        (Seen, &["20", " 20 ", "#20", "20.", "20 AWG", "20 gauge"], awg, "20 AWG"),
        (Seen, &["2/0 AWG", "2/0", "AWG 2/0", "2/0 gauge", "#2/0", "2/0 awg", "2 / 0"], awg, "2/0 AWG"),
        (Seen, &["00", "00 AWG", "AWG 00", "00 ga", "#00 AWG"], awg, "00 AWG"),
        (
            Seen,
            &["14 AWG, 600 V", "14 AWG (600 V)", "14 AWG 600 V", "14 awg, 600 v", "14AWG, 600 V", "14 gauge, 600 V"],
            None,
            "14 AWG (600 V)",
        ),
        (
            Seen,
            &["16 sh", "16 shielded", "16 AWG shielded", "16 AWG screened", "16 AWG, shielded", "16AWG sh"],
            awg,
            "16 AWG screened",
        ),
        (Seen, &["16 tw", "16 twisted", "16 AWG twisted", "16 AWG tw", "16 AWG, twisted", "16 TW"], awg, "16 AWG twisted"),
        (
            Seen,
            &[
                "6 AWG planned (8 AWG minimum)",
                "6 AWG (8 AWG minimum) TBD",
                "~6 AWG (8 AWG minimum)",
                "6 AWG? (8 AWG minimum)",
                "6 AWG provisional (8 AWG minimum)",
                "6 AWG assumed (8 AWG minimum)",
            ],
            None,
            "6 AWG (8 AWG minimum) unsure",
        ),
        (Seen, &["12 / 16", "12/16", "12 AWG / 16 AWG", "12 AWG/16 AWG", "#12 / #16", "12/16 AWG"], awg, "12 AWG | 16 AWG"),
        (Seen, &["18/2", "18/2 AWG", "18 AWG/2", "18 / 2", "2x18 AWG", "2 x 18"], awg, "18 AWG x2"),
        (
            Seen,
            &["14 AWG duplex", "14 duplex", "duplex 14 AWG", "14AWG duplex", "14 AWG twin", "14 AWG, duplex"],
            awg,
            "14 AWG x2",
        ),
        (
            Seen,
            &[
                "2-pair twisted/shielded",
                "2 pair twisted shielded",
                "2-pair shielded twisted",
                "2 pairs, shielded",
                "2-pair shielded",
                "2 pair shielded/twisted",
            ],
            None,
            " x4 screened twisted",
        ),
        (Seen, &["0.5 mm2", "0,5 mm²", "0.50 mm^2", "0.5mm2", ".5 mm²", "0,50 sqmm", "0.5 qmm"], None, "0.5 mm2"),
        (Practice, &["1,5", "1.5", "1.50", "1,50 mm²", "1.5 mm2", "1.5mm²"], metric, "1.5 mm2"),
        (
            Practice,
            &["2 x 0,75 mm²", "2x0.75 mm2", "2x0,75mm²", "2 × 0.75 mm²", "2*0.75 mm2", "2 x 0.75 qmm"],
            None,
            "0.75 mm2 x2",
        ),
        (Practice, &["3G1.5", "3g1,5", "3 x 1.5", "3x1,5 mm²", "3G1.5 mm2", "3 x 1.50"], metric, "1.5 mm2 x3"),
        (Seen, &["20", "8", "4", "16", "12", "1.5", "#18"], None, bare),
        (
            Practice,
            &["0.5 mm", "1 mm", "1,5 mm", "2 mm", "2.5mm"],
            metric,
            "! is in mm, which is a diameter, not a cross-section",
        ),
        (
            Practice,
            &["thick", "see note", "battery cable", "HD", "n.a."],
            awg,
            "! is not a gauge: there are 40 to 1, then 1/0 to 4/0",
        ),
        (Practice, &["TODO", "?", "TBD", "[ ]", "~", "(ASSUMED)"], awg, "! holds no size"),
    ];
    let mut faults = Vec::new();
    for (source, cells, unit, expected) in rows {
        assert!(cells.len() >= 5, "{cells:?}");
        for cell in *cells {
            let found = sized(cell, *unit);
            if found != *expected {
                faults.push(format!("{source:?} `{cell}`: {found}, not {expected}"));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn what_a_cell_becomes_colours() {
    let own: BTreeMap<String, String> =
        [("G", "GN"), ("R", "RD"), ("L", "BU"), ("GY", "GNYE")].map(|(a, b)| (a.to_owned(), b.to_owned())).into();
    let plain = BTreeMap::new();
    let rows: &[(Source, &[&str], bool, &str)] = &[
        (Seen, &["red", "Red", "RED", "RD", "rd", "solid red"], false, "RD"),
        (Seen, &["BLK", "black", "Blk", "BK", "blk.", "SW"], false, "BK"),
        (Seen, &["WHT", "white", "WHI", "WH", "Wht", "WS"], false, "WH"),
        (Seen, &["GRN", "green", "GN", "grn", "Grn."], false, "GN"),
        (Seen, &["YEL", "yellow", "YE", "YL", "ylw", "GE"], false, "YE"),
        (Seen, &["BLU", "blue", "BU", "Blu", "blau"], false, "BU"),
        (Seen, &["BRN", "brown", "BN", "BR", "Brn"], false, "BN"),
        (Seen, &["VIO", "violet", "VT", "purple", "PPL", "PUR"], false, "VT"),
        (Seen, &["ORG", "ORN", "orange", "OG", "OR", "orng"], false, "OG"),
        (Seen, &["GRY", "grey", "gray", "GY", "Gry"], false, "GY"),
        (Seen, &["PNK", "pink", "PK", "Pnk", "RS"], false, "PK"),
        (Seen, &["TAN", "tan", "Tan", "TN", "tan."], false, "BN shade tan"),
        (Seen, &["DK GRN", "dark green", "Dk Green", "dk grn", "DRK GREEN", "dark grn"], false, "GN shade dark green"),
        (Seen, &["LT BLU", "light blue", "Lt Blue", "lt. blu", "LGT BLUE"], false, "BU shade light blue"),
        (
            Seen,
            &[
                "RED/WHT",
                "red/white",
                "RD/WH",
                "RDWH",
                "red with white stripe",
                "solid red stripe white",
                "red w/ white",
                "RED-WHT",
            ],
            false,
            "RD/WH",
        ),
        (Seen, &["GRN/YEL", "green/yellow", "GNYE", "GN/YE", "green-yellow", "grn w/ yel"], false, "GNYE"),
        (Seen, &["TAN/BLK", "tan/black", "tan with black stripe", "TN/BK", "tan-blk"], false, "BN/BK shade tan"),
        (Seen, &["G", "g", "G ", "g ", " G"], true, "GN"),
        (Seen, &["R/L", "r/l", "R-L", "R w/ L", "R with L"], true, "RD/BU"),
        (Seen, &["GY", "GY ", " GY", "gy", "Gy"], true, "GNYE"),
        (Seen, &["R", "G", "B", "L", "W", "Y"], false, "!"),
        (Seen, &["WHT/WHT", "white/white", "WH/WH", "WHWH", "white with white stripe"], false, "! names one colour twice"),
        (
            Seen,
            &["RED/WHT/BLK", "red/white/black", "RD/WH/BK", "red-white-black", "red with white and black"],
            false,
            "! has more than one stripe, which the netlist does not hold",
        ),
        (Seen, &["shielded", "bare", "metal lead", "Bare copper", "shield", "drain"], false, "!"),
        (Practice, &["BL", "bl", "GR", "PL", "BL/RD"], false, "!"),
        (Practice, &["mauve", "fluo", "12", "see note", "XYZ"], false, "!"),
    ];
    let mut faults = Vec::new();
    for (source, cells, has_table, expected) in rows {
        for cell in *cells {
            let found = match cell::colour(cell, if *has_table { &own } else { &plain }) {
                Ok(colour) => colour.code + &colour.shade.map(|shade| format!(" shade {shade}")).unwrap_or_default(),
                Err(why) => format!("! {why}"),
            };
            let is_same = if *expected == "!" { found.starts_with('!') } else { found == *expected };
            if !is_same {
                faults.push(format!("{source:?} `{cell}`: {found}, not {expected}"));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

/// Inch and foot by the international agreement of 1959: 25.4 mm and 304.8 mm, from memory.
#[test]
fn what_a_cell_becomes_lengths() {
    let rows: &[(Source, &[&str], Option<LengthUnit>, &str)] = &[
        (Seen, &["4.6ft", "4.6 ft", "4,6 ft", "4.6'", "4.6 feet", "4.6 ft."], None, "1402.1 mm"),
        (Seen, &["~3ft", "~3 ft", "3 ft?", "3 ft (ASSUMED)", "approx 3 ft", "3ft TODO"], None, "914.4 mm unsure"),
        (Seen, &["<= 8 in", "<=8in", "≤ 8 in", "<= 8\"", "<= 8 inches"], None, "203.2 mm unsure"),
        (Seen, &["350", "350 mm", "350mm", "35 cm", "0.35 m", "0,35 m"], Some(LengthUnit::Millimetre), "350 mm"),
        (
            Seen,
            &["2.5 ft (ASSUMED)", "2.5ft ASSUMED", "2.5 ft assumed", "2.5 ft [ ]", "2.5 ft provisional", "2.5 ft planned"],
            None,
            "762 mm unsure",
        ),
        (Practice, &["4 ft 6 in", "4' 6\"", "4ft 6in", "4 feet 6 inches", "4'6\"", "54 in"], None, "1371.6 mm"),
        (
            Practice,
            &["350 mm + 20 mm", "350 + 20", "350+20", "350 mm+2 cm", "350 + 20 slack"],
            Some(LengthUnit::Millimetre),
            "370 mm",
        ),
        (
            Practice,
            &["12", "12.5", "8", "1", "300"],
            None,
            "! is a bare number, and neither the heading nor the number format says a unit",
        ),
        (Practice, &["12 m", "12 metres", "12.0 m", "1200 cm", "12000 mm"], None, "12 m"),
        (Practice, &["long", "see drawing", "as needed", "-", "n"], Some(LengthUnit::Millimetre), "! is not a length"),
        (
            Practice,
            &["350 400", "350 mm 400 mm", "1 m 2 m", "3 ft 4 ft", "35 cm 20 cm"],
            Some(LengthUnit::Millimetre),
            "! holds two lengths",
        ),
    ];
    let mut faults = Vec::new();
    for (source, cells, unit, expected) in rows {
        for cell in *cells {
            let read = cell::doubt(cell);
            let found = match cell::length(&read.text, *unit) {
                Ok(length) => length + if read.is_doubtful { " unsure" } else { "" },
                Err(why) => format!("! {why}"),
            };
            if found != *expected {
                faults.push(format!("{source:?} `{cell}`: {found}, not {expected}"));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

fn place(place: &Plain) -> String {
    match place {
        Plain::Cavity { plug, cavity } => format!("{plug}|{cavity}"),
        Plain::Whole { name, fixing: None } => name.clone(),
        Plain::Whole { name, fixing: Some(fixing) } => format!("{name} <{fixing}>"),
    }
}

fn ended(cell: &str, known: &Known) -> String {
    let station = |end: &End| match end {
        End::At(at) => place(at),
        End::Several(places) => format!("splice({})", places.iter().map(place).collect::<Vec<_>>().join(", ")),
        End::Splice(name) => format!("splice `{name}`"),
        End::On(wire) => format!("splice on {wire}"),
        End::Tap(at) => format!("tap {}", place(at)),
        End::Link(to) => format!("link {}", place(to)),
        End::Element(Element::Fuse { name, rating }) => {
            format!("fuse {} {}", name.as_deref().unwrap_or("?"), rating.as_deref().unwrap_or("?"))
        }
        End::Element(Element::Resistor(value) | Element::Capacitor(value)) => value.clone(),
        End::Element(Element::Diode) => "diode".to_owned(),
        End::State(state) => format!("({})", state.word()),
    };
    match cell::chain(cell, known) {
        Ok(chain) => chain.iter().map(station).collect::<Vec<_>>().join(" > "),
        Err(why) => format!("! {why}"),
    }
}

#[test]
fn what_a_cell_becomes_end_points() {
    let rows: &[(Source, &[&str], &str)] = &[
        (Seen, &["P1:3", "P1 3", "P1-3", "P1 pin 3", "P1, cavity 3", "P1 (pin 3)", "P1.3", "P1[3]"], "P1|3"),
        (Seen, &["X A26", "X:A26", "X-A26", "X pin A26", "X.A26"], "X|A26"),
        (Practice, &["P1:b", "P1 b", "P1 pin b", "P1.b", "P1-b"], "P1|b"),
        (Practice, &["P1:01", "P1 01", "P1 pin 01", "P1.01", "P1-01"], "P1|01"),
        (
            Seen,
            &["X A26+B18", "X:A26+X:B18", "X A26 and X B18", "X A26; X B18", "X A26, B18", "X A26 & B18"],
            "splice(X|A26, X|B18)",
        ),
        (Seen, &["K1 86 and K2 86", "K1:86; K2:86", "K1 86 & K2 86", "K1 86; K2 86", "K1:86 and K2:86"], "splice(K1|86, K2|86)"),
        (
            Seen,
            &["horn; lamp; fan", "horn and lamp and fan", "horn & lamp & fan", "horn;lamp;fan", "horn ; lamp ; fan"],
            "splice(horn, lamp, fan)",
        ),
        (Seen, &["splice (W015)", "Splice (W015)", "spliced to W015", "splice on W015", "splice to wire W015"], "splice on W015"),
        (Practice, &["splice 3", "Splice 3", "splice #3", "splice-3", "SPLICE 3"], "splice `splice-3`"),
        (Practice, &["SP4", "SP4 ", " SP4"], "splice `SP4`"),
        (
            Seen,
            &["P1 3 -> F7 -> P2 4", "P1:3 -> F7 -> P2:4", "P1 3 → F7 → P2 4", "P1 3->F7->P2 4", "P1 3 => F7 => P2 4"],
            "P1|3 > fuse F7 ? > P2|4",
        ),
        (
            Seen,
            &[
                "F15 inline (7.5 A) -> L1 2",
                "F15 (7.5 A) -> L1 2",
                "F15 inline 7.5A -> L1:2",
                "F15 7.5A -> L1 2",
                "inline F15 (7.5 A) -> L1 2",
            ],
            "fuse F15 7.5 A > L1|2",
        ),
        (Seen, &["P1 3 tap", "P1:3 tap", "tap P1 3", "P1.3 tap", "tap off P1 3"], "tap P1|3"),
        (Seen, &["short to X-1", "jumper to X-1", "shorted to X-1", "link to X-1", "bridge to X-1"], "link X|1"),
        (
            Seen,
            &[
                "P1 3 via 10k resistor",
                "P1:3 via 10k resistor",
                "P1 3 via 10 kohm resistor",
                "P1 3 via a 10k resistor",
                "P1 3 through 10k resistor",
            ],
            "P1|3 > 10 kohm",
        ),
        (Seen, &["via 100nF cap", "via 100 nF cap", "via 100nF capacitor", "100nF cap", "via a 100 nF capacitor"], "100 nF"),
        (Seen, &["diode", "via diode", "Diode", "via a diode", "through diode"], "diode"),
        (Seen, &["headlamp", "head lamp", "Lamp, left", "left lamp", "ECU"], "*"),
        (Seen, &["Battery -", "Battery - "], "Battery -"),
        (Seen, &["B+", " B+"], "B+"),
        (Practice, &["GND ring M6", "GND M6", "GND stud M6", "GND (M6)", "GND M6 ring"], "GND <M6>"),
        (Practice, &["bus bar stud", "bus bar bolt", "bus bar ring", "bus bar lug", "bus bar bolted"], "bus bar <stud>"),
        (Practice, &["GND 3", "GND 3 "], "GND 3"),
        (Seen, &["N/C", "NC", "-", "empty", "spare", "not used"], "(spare)"),
        (Seen, &["PLUG", "plugged", "Plug", "cavity plug", "sealing plug"], "(plugged)"),
        (Seen, &["CAPPED", "capped", "Capped", "capped off", "cap"], "(capped)"),
        (Seen, &["reserved", "Reserved", "RESERVED", "future use", "may be re-purposed"], "(reserved)"),
        (Seen, &["retired", "deleted", "removed", "obsolete", "do not use"], "(retired)"),
        (Practice, &["P1 3 via relay", "P1 3 via hand", "via gland", "via trunk", "P1 3 via loom B"], "!"),
    ];
    let mut known = Known::default();
    for cell in ["P1-3", "P1-4", "X-1", "X-A26", "P1-b"] {
        known.learn(cell);
    }
    let mut faults = Vec::new();
    for (source, cells, expected) in rows {
        for cell in *cells {
            let found = ended(cell, &known);
            let is_same = match *expected {
                "!" => found.starts_with('!'),
                "*" => found == *cell,
                _ => found == *expected,
            };
            if !is_same {
                faults.push(format!("{source:?} `{cell}`: {found}, not {expected}"));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!(cell::state("Not Used").map(State::word), Some("spare"));
}

#[test]
fn a_dash_is_of_the_name_until_the_list_shows_otherwise() {
    let mut known = Known::default();
    assert_eq!(ended("left-2", &known), "left-2");
    known.learn("left-2");
    known.learn("left-3");
    assert_eq!(ended("left-2", &known), "left|2");
    known.whole.insert("left-2".to_owned());
    assert_eq!(ended("left-2", &known), "left-2", "the mapping comes first");
}
