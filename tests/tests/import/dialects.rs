//! Random wire lists written in many dialects come back as the netlist that they were made of.

use harness_import::{Imported, Kinds, import, mapping::Mapping};
use harness_sheets::{Options, read};
use proptest::{prelude::*, sample::select};
use serde_yaml::Value;
use std::collections::BTreeMap;

/// A wire as the netlist has it.
#[derive(Debug, Clone, PartialEq)]
struct Wire {
    number: u32,
    from: (String, String),
    to: (String, String),
    /// Hundredths of a square millimetre, or a gauge.
    size: Size,
    /// Base and stripe by their place in `COLOURS`.
    colour: (usize, Option<usize>),
    millimetres: u32,
    signal: String,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Size {
    Gauge(i32),
    Hundredths(u32),
}

impl Size {
    fn written(self) -> String {
        match self {
            Self::Gauge(gauge @ ..=0) => format!("{}/0 AWG", 1 - gauge),
            Self::Gauge(gauge) => format!("{gauge} AWG"),
            Self::Hundredths(size) => format!("{} mm2", plain(f64::from(size) / 100.0)),
        }
    }
}

/// IEC letters (IEC 60757), the word, three letters as they were seen in lists.
const COLOURS: [(&str, &str, &str); 10] = [
    ("BK", "black", "BLK"),
    ("BN", "brown", "BRN"),
    ("RD", "red", "RED"),
    ("OG", "orange", "ORG"),
    ("YE", "yellow", "YEL"),
    ("GN", "green", "GRN"),
    ("BU", "blue", "BLU"),
    ("VT", "violet", "VIO"),
    ("GY", "grey", "GRY"),
    ("WH", "white", "WHT"),
];

fn plain(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// How a list is written.
#[derive(Debug, Clone)]
struct Dialect {
    delimiter: char,
    encoding: &'static str,
    comma: bool,
    heads: usize,
    two_cells: bool,
    joint: &'static str,
    /// 0: the unit is in the heading, 1: in each cell.
    size_unit_in_cells: bool,
    length: usize,
    colours: usize,
    titles: usize,
    quoted: bool,
    newline: &'static str,
    extra: bool,
    reversed: bool,
    workbook: bool,
}

fn dialect() -> impl Strategy<Value = Dialect> {
    let one = (
        select(vec![',', ';', '\t', '|']),
        select(vec!["utf-8", "mark", "utf-16le", "windows-1252"]),
        any::<bool>(),
        0..4usize,
        any::<bool>(),
    );
    let two = (select(vec![":", " ", " pin "]), any::<bool>(), 0..5usize, 0..3usize, 0..3usize);
    let three = (any::<bool>(), select(vec!["\n", "\r\n"]), any::<bool>(), any::<bool>(), any::<bool>());
    (one, two, three).prop_map(
        |(
            (delimiter, encoding, comma, heads, two_cells),
            (joint, cells, length, colours, titles),
            (quoted, newline, extra, reversed, workbook),
        )| Dialect {
            delimiter,
            encoding,
            comma,
            heads,
            two_cells,
            joint,
            size_unit_in_cells: cells,
            length,
            colours,
            titles,
            quoted,
            newline,
            extra,
            reversed,
            workbook,
        },
    )
}

fn wires() -> impl Strategy<Value = Vec<Wire>> {
    let gauges = prop_oneof![(-3..=22i32).prop_map(Size::Gauge)];
    let metric = select(vec![35u32, 50, 75, 100, 150, 250, 400, 600, 1000, 1600]).prop_map(Size::Hundredths);
    let plug = |letter: &'static str| (1..5u32).prop_map(move |number| format!("{letter}{number}"));
    let cavity = prop_oneof![
        (1..40u32).prop_map(|label| label.to_string()),
        (1..9u32).prop_map(|label| format!("0{label}")),
        "[A-H][1-9]"
    ];
    let colour = (0..COLOURS.len(), prop::option::of(0..COLOURS.len()));
    let wire = move |size: BoxedStrategy<Size>| {
        let signal = select(vec!["horn feed", "lamp left", "sensor supply", "return 2", "CAN high", "fan, left", "12V aux"]);
        ((plug("P"), cavity.clone()), (plug("X"), cavity.clone()), size, colour.clone(), 50..3000u32, signal)
    };
    let list = move |size: BoxedStrategy<Size>| proptest::collection::vec(wire(size), 3..20);
    // A list is in one system of sizes.
    prop_oneof![list(gauges.boxed()), list(metric.boxed())].prop_map(|wires| {
        let made = wires.into_iter().zip(101..).map(|((from, to, size, (base, stripe), millimetres, signal), number)| Wire {
            number,
            from,
            to,
            size,
            colour: (base, stripe.filter(|stripe| *stripe != base)),
            millimetres,
            signal: signal.to_owned(),
        });
        made.collect()
    })
}

/// The table that somebody would have typed: headings and cells.
fn table(wires: &[Wire], dialect: &Dialect) -> Vec<Vec<String>> {
    let figure = |value: f64| if dialect.comma { plain(value).replace('.', ",") } else { plain(value) };
    let is_gauge = matches!(wires[0].size, Size::Gauge(_));
    let number = ["Wire ID", "#", "Nr", "Wire number"][dialect.heads];
    let (from, from_pin, to, to_pin) = [
        ("From", "Pin", "To", "Pin"),
        ("Connector (From)", "Pin (From)", "Connector (To)", "Pin (To)"),
        ("Side1", "Side1 pin", "Side2", "Side2 pin"),
        ("Plug A", "Cavity A", "Plug B", "Cavity B"),
    ][dialect.heads];
    let size = match (is_gauge, dialect.size_unit_in_cells) {
        (_, true) => ["Size", "Gauge", "Wire size", "Cross section"][dialect.heads],
        (true, false) => ["AWG", "Gauge (AWG)", "Planned wire gauge", "Size (AWG)"][dialect.heads],
        (false, false) => ["mm²", "Size (mm2)", "CSA mm2", "Cross section (mm²)"][dialect.heads],
    };
    let colour = ["Colour", "Color", "Wire color", "Farbe"][dialect.heads];
    let length = ["Length (mm)", "Cut Length (m)", "Length", "Length (cm)", "Length"][dialect.length];
    let signal = ["Signal", "Function", "Circuit name", "Description"][dialect.heads];
    let mut columns: Vec<(&str, Vec<String>)> = vec![(number, wires.iter().map(|wire| wire.number.to_string()).collect())];
    for (is_to, head, pin) in [(false, from, from_pin), (true, to, to_pin)] {
        let end = |wire: &Wire| if is_to { wire.to.clone() } else { wire.from.clone() };
        if dialect.two_cells {
            columns.push((head, wires.iter().map(|wire| end(wire).0).collect()));
            columns.push((pin, wires.iter().map(|wire| end(wire).1).collect()));
        } else {
            let joined = |wire: &Wire| format!("{}{}{}", end(wire).0, dialect.joint, end(wire).1);
            columns.push((head, wires.iter().map(joined).collect()));
        }
    }
    let sized = |wire: &Wire| {
        let written = wire.size.written();
        let (value, unit) = written.split_once(' ').unwrap();
        let value = if dialect.comma { value.replace('.', ",") } else { value.to_owned() };
        match (dialect.size_unit_in_cells, unit) {
            (false, _) => value,
            (true, "AWG") => format!("{value} {}", ["AWG", "gauge", "ga", "awg"][dialect.colours]),
            (true, _) => format!("{value} mm²"),
        }
    };
    columns.push((size, wires.iter().map(sized).collect()));
    let coloured = |wire: &Wire| {
        let name = |at: usize| [COLOURS[at].0, COLOURS[at].1, COLOURS[at].2][dialect.colours];
        wire.colour.1.map_or_else(|| name(wire.colour.0).to_owned(), |stripe| format!("{}/{}", name(wire.colour.0), name(stripe)))
    };
    columns.push((colour, wires.iter().map(coloured).collect()));
    let long = |wire: &Wire| {
        let millimetres = f64::from(wire.millimetres);
        match dialect.length {
            0 => figure(millimetres),
            1 => figure(millimetres / 1000.0),
            2 => format!("{} mm", figure(millimetres)),
            3 => figure(millimetres / 10.0),
            _ => format!("{}m", figure(millimetres / 1000.0)),
        }
    };
    columns.push((length, wires.iter().map(long).collect()));
    columns.push((signal, wires.iter().map(|wire| wire.signal.clone()).collect()));
    if dialect.extra {
        columns.insert(1, ("Crimped by", wires.iter().map(|_| "night shift".to_owned()).collect()));
    }
    if dialect.reversed && !dialect.two_cells {
        columns.reverse();
    }
    let mut rows: Vec<Vec<String>> = Vec::new();
    for title in 0..dialect.titles {
        rows.push(if title == 0 { vec!["Trial loom, drawn by hand".to_owned()] } else { Vec::new() });
    }
    rows.push(columns.iter().map(|(head, _)| (*head).to_owned()).collect());
    for at in 0..wires.len() {
        rows.push(columns.iter().map(|(_, cells)| cells[at].clone()).collect());
    }
    rows
}

fn delimited(rows: &[Vec<String>], dialect: &Dialect) -> Vec<u8> {
    let field = |text: &String| {
        let needs = dialect.quoted || text.contains([dialect.delimiter, '"', '\n']);
        if needs { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.clone() }
    };
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let line = |row: &Vec<String>| {
        (0..width).map(|at| row.get(at).map(field).unwrap_or_default()).collect::<Vec<_>>().join(&dialect.delimiter.to_string())
    };
    let text = rows.iter().map(line).collect::<Vec<_>>().join(dialect.newline) + dialect.newline;
    match dialect.encoding {
        "mark" => [&[0xef, 0xbb, 0xbf], text.as_bytes()].concat(),
        "utf-16le" => [0xff, 0xfe].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect(),
        // Latin letters of the first block are their own numbers.
        "windows-1252" => text.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap()).collect(),
        _ => text.into_bytes(),
    }
}

fn workbook(rows: &[Vec<String>]) -> Vec<u8> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (at, row) in (0u32..).zip(rows) {
        for (column, text) in (0u16..).zip(row) {
            // Figures are figures, as a spreadsheet makes them of what is typed; labels such as `01` were typed as texts.
            match text.parse::<f64>().ok().filter(|_| !text.starts_with('0') || text.contains('.')) {
                Some(number) => sheet.write_number(at, column, number).unwrap(),
                None => sheet.write_string(at, column, text).unwrap(),
            };
        }
    }
    book.save_to_buffer().unwrap()
}

fn made(name: &str, bytes: &[u8]) -> Imported {
    let book = read(name, bytes, &Options::default()).unwrap();
    import(&[book], &Mapping::default(), &Kinds::default()).unwrap()
}

/// The wires of the generated netlist, by another reader of YAML: number to (from, to, size, colour, length).
fn wires_of(made: &Imported) -> BTreeMap<String, [String; 5]> {
    let mut found = BTreeMap::new();
    for (_, text) in made.files.iter().filter(|(name, _)| name.ends_with(".yaml")) {
        let document: Value = serde_yaml::from_str(text).unwrap();
        let Some(looms) = document.get("looms").and_then(Value::as_mapping) else { continue };
        for (_, loom) in looms {
            for (number, wire) in loom["wires"].as_mapping().unwrap() {
                let text = |key: &str| wire.get(key).map_or_else(String::new, |value| value.as_str().unwrap().to_owned());
                let number =
                    number.as_u64().map_or_else(|| number.as_str().unwrap_or_default().to_owned(), |number| number.to_string());
                found.insert(number, ["from", "to", "size", "colour", "length"].map(text));
            }
        }
    }
    found
}

/// What the netlist must hold.
fn expected(wires: &[Wire]) -> BTreeMap<String, [String; 5]> {
    let row = |wire: &Wire| {
        let code = |at: usize| COLOURS[at].0;
        let colour = match wire.colour {
            // Green with yellow is the one combination that the standard writes joined.
            (5, Some(4)) => "GNYE".to_owned(),
            (base, Some(stripe)) => format!("{}/{}", code(base), code(stripe)),
            (base, None) => code(base).to_owned(),
        };
        let end = |(plug, cavity): &(String, String)| format!("{plug}.{cavity}");
        (
            wire.number.to_string(),
            [end(&wire.from), end(&wire.to), wire.size.written(), colour, format!("{} mm", wire.millimetres)],
        )
    };
    wires.iter().map(row).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn a_list_in_any_dialect_becomes_the_netlist_that_it_was_made_of(wires in wires(), mut dialect in dialect()) {
        // A decimal comma and commas between fields need quotes, as people and programs set them.
        dialect.encoding = if dialect.workbook { "utf-8" } else { dialect.encoding };
        let rows = table(&wires, &dialect);
        let (name, bytes) = if dialect.workbook { ("trial.xlsx", workbook(&rows)) } else { ("trial.csv", delimited(&rows, &dialect)) };
        let made = made(name, &bytes);
        prop_assert_eq!(&made.findings.troubles, &[]);
        prop_assert_eq!(wires_of(&made), expected(&wires));
        // Read again with the mapping that the first import wrote, it is the same to the letter.
        let mapping = Mapping::read(&made.mapping).unwrap();
        let book = read(name, &bytes, &Options::default()).unwrap();
        let again = import(&[book], &mapping, &Kinds::default()).unwrap();
        prop_assert_eq!(&again.files, &made.files);
        prop_assert!(again.new_lists.is_empty());
    }

    #[test]
    fn whatever_the_bytes_an_import_answers(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(book) = read("x.csv", &bytes, &Options::default()) {
            let _ = import(&[book], &Mapping::default(), &Kinds::default());
        }
    }

    /// Cells of a good list replaced by others of it, by signs and by nothing.
    #[test]
    fn a_list_with_anything_in_its_cells_loses_no_row(
        wires in wires(),
        dialect in dialect(),
        edits in proptest::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), "[A-Za-z0-9 ?~:;,+/().>-]{0,12}"), 0..12),
    ) {
        let mut rows = table(&wires, &Dialect { titles: 0, ..dialect.clone() });
        for (row, column, text) in &edits {
            let row = 1 + row.index(rows.len() - 1);
            let column = column.index(rows[row].len());
            rows[row][column] = text.clone();
        }
        let bytes = delimited(&rows, &dialect);
        let book = read("trial.csv", &bytes, &Options::default()).unwrap();
        let Ok(made) = import(&[book], &Mapping::default(), &Kinds::default()) else { return Ok(()) };
        // Each row is a thing of the netlist, or is named by its row.
        let all: String = made.files.values().cloned().collect();
        let named = |row: u32| {
            all.contains(&format!("row: {row} ")) || all.contains(&format!("row: {row},")) || all.contains(&format!("trial.csv,{row},"))
                || made.findings.troubles.iter().any(|trouble| trouble.place.row == row)
                || made.findings.conflicts.iter().flat_map(|conflict| &conflict.places).any(|place| place.row == row)
                || made.findings.sections.iter().any(|(_, own, _)| *own == row)
                || made.findings.remarks().iter().any(|remark| remark.rows.contains(&row))
        };
        for row in (2u32..).take(wires.len()) {
            let is_empty = rows[row as usize - 1].iter().all(|cell| cell.trim().is_empty());
            prop_assert!(is_empty || named(row), "row {row} is lost: {:?}\n{all}", rows[row as usize - 1]);
        }
    }
}
