//! Lists as strangers write them: other languages, delimiters and habits. Each becomes a design, and every doubt of it is said.

use super::{findings, fresh, imported, list};
use harness_import::{Imported, Kinds, import, mapping::Mapping};
use harness_sheets::{Options, read};
use rust_xlsxwriter::{Format, Note, Workbook};
use std::fs;

/// What an import of lists says, and the file that it makes of `name`.
fn read_as(folder: &str, lists: &[&str], name: &str) -> (String, String) {
    let folder = fresh(folder);
    let lists: Vec<String> = lists.iter().map(|name| list(name)).collect();
    let out = imported(&folder, &lists.iter().map(String::as_str).collect::<Vec<_>>(), &[]);
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    // A fuse that no list gives the rating of is named as such.
    let unresolved: Vec<_> = findings(&folder)
        .into_iter()
        .filter(|(rule, headline)| rule.starts_with("format/") && !headline.contains("`rating`"))
        .collect();
    assert!(unresolved.is_empty(), "{unresolved:?}");
    (out, fs::read_to_string(folder.join("design/imported").join(name)).unwrap())
}

/// Whether a text has each of the lines, wherever it is wrapped.
fn holds(text: &str, lines: &[&str]) {
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let whole = flat(text);
    for line in lines {
        assert!(whole.contains(&flat(line)), "`{line}` is not in\n{text}");
    }
}

#[test]
fn a_german_list_with_sides_above_the_headings_and_units_in_brackets() {
    let (out, made) = read_as("sweeper", &["street-sweeper.csv"], "street-sweeper.yaml");
    holds(
        &out,
        &[
            "street-sweeper.csv: wires, headings in row 4, 12 rows",
            "read as windows-1252: the encoding is a guess",
            "von Stecker        from\n",
            "nach Pin           to pin\n",
            "Querschnitt [mm²]  size in mm2\n",
            "Länge [cm]         length in cm\n",
            "total: the total says 10.4 m, and the rows add up to 9800 mm; 1 row is without a length (street-sweeper.csv:16)",
            "street-sweeper.csv: length in row 7",
            "`Arbeitsscheinwerfer` is a heading of the rows below it",
        ],
    );
    holds(
        &made,
        &[
            "1: { from: X1.1, to: X4.2, size: 0.75 mm2, colour: RD/BK, length: 1200 mm, row: 5 }",
            "length: 950 mm, note: Länge noch messen, row: 7, unsure: [\"length: ca. 95\"] }",
            "4: { from: X1.4, to: Masse-3, size: 2.5 mm2, colour: BN, length: 600 mm, row: 8 }",
            "Masse-3:\n    ports:\n      point: { screw: point, note: \"in the list: Masse 3\", row: 8 }",
            "8: { from: X1.8, to: splice-LV1,",
            // A cavity for later: it need not be wired, and nothing else is said of it.
            "7: { need: optional, note: \"section: Arbeitsscheinwerfer\", row: 12 }",
        ],
    );
}

#[test]
fn a_french_list_with_tabs_and_several_plugs_in_a_cell() {
    let (out, made) = read_as("barge", &["river-barge.tsv"], "river-barge.yaml");
    holds(
        &out,
        &[
            "Repère        number",
            "Section       size in mm2",
            "Longueur (m)  length in m",
            "longueur ? in row 8",
            "length in row 7",
        ],
    );
    holds(
        &made,
        &[
            "F1: { from: BAT+, to: Coupe-circuit.1, size: 16 mm2, colour: RD, length: 800 mm, note: cosse M8, row: 2 }",
            "F2-BF.3: { from: S-F2b, to: BF.3, size: 6 mm2, colour: RD, row: 3 }",
            "F4: { from: Phare-G.2, to: Masse-avant, size: 1.5 mm2, colour: BK, length: 400 mm, row: 5 }",
            "colour: BU, length: 2000 mm, note: \"shade: light blue; à vérifier\", row: 7, unsure: [\"length: ~2\"] }",
        ],
    );
}

#[test]
fn a_list_with_size_and_colour_in_one_cell_asks_which_unit_and_obeys_the_answer() {
    let (out, made) = read_as("trailer", &["hay-trailer.csv"], "hay-trailer.yaml");
    holds(
        &out,
        &[
            "Ckt          number\n",
            "8 cells such as \"16 BRN\": each holds",
            "say `size in AWG` or `size in mm2` in the mapping",
            "size in rows 2, 3, 4, 5, 6, 7 and 2 more",
        ],
    );
    // The colour is read all the same, a spare cavity with its wire too, and a screen.
    holds(
        &made,
        &[
            "BR1: { from: C1.4, to: BRK-CTL.1, colour: BU, length: 2438.4 mm, note: \"Wire: 12 BLU; screened; drain at C1\"",
            "GD1: { from: C1.7, to: GND-1,",
            "6: { need: optional, note: \"Wire: 16 GRN/BLK\", row: 9,",
        ],
    );
    let bytes = fs::read(list("hay-trailer.csv")).unwrap();
    let book = read("hay-trailer.csv", &bytes, &Options::default()).unwrap();
    let mapping = "lists:\n  hay-trailer.csv: { kind: wires, columns: { Ckt: number, Wire: size in AWG, From: from, To: to } }\n";
    let made = import(&[book], &Mapping::read(mapping).unwrap(), &Kinds::default()).unwrap();
    assert_eq!(made.findings.troubles, []);
    holds(&made.files["hay-trailer.yaml"], &["TL1: { from: C1.1, to: LH-TAIL.1, size: 16 AWG, colour: BN, row: 2 }"]);
}

#[test]
fn an_italian_table_of_pins_says_where_each_goes() {
    let (out, made) = read_as("robot", &["milking-robot.csv"], "milking-robot.yaml");
    holds(
        &out,
        &["milking-robot.csv: pins, headings in row 2, 7 rows", "plug `J1`", "Sezione  size in mm2", "no gauge has a fraction"],
    );
    holds(
        &made,
        &[
            "{ from: J1.3, to: J7.3, size: 0.5 mm2, colour: YE, row: 5 }",
            "{ from: J1.2, to: Massa-1, size: 1 mm2, colour: BK, row: 4 }",
            "7: { signal: pompa, row: 9 }",
            "5: spare\n",
            "6: spare\n",
        ],
    );
}

/// Merged cells, two rows of headings, units in number formats, a hidden row, a letter struck out, notes on cells, a total without a value.
fn mule() -> Imported {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("Rear").unwrap();
    let plain = Format::new();
    sheet.merge_range(0, 0, 0, 7, "Rear loom, forestry mule", &plain).unwrap();
    sheet.merge_range(2, 1, 2, 2, "Side 1", &plain).unwrap();
    sheet.merge_range(2, 3, 2, 4, "Side 2", &plain).unwrap();
    for (column, word) in (0u16..).zip(["Id", "Plug", "Pin", "Plug", "Pin", "Gauge", "Colour", "Length"]) {
        sheet.write(3, column, word).unwrap();
    }
    let (area, long) = (Format::new().set_num_format("0.0\" mm²\""), Format::new().set_num_format("0\" mm\""));
    for (row, (id, pin, to, size, colour, length)) in (4u32..).zip([
        ("R1", "1", ("P30", "1"), 0.5, "RD/BK", 1900.0),
        ("R2", "2", ("P30", "2"), 0.75, "BK", 1900.0),
        ("R3", "3", ("P31", "1"), 1.5, "YE", 2400.0),
        ("R4", "4", ("P31", "2"), 1.5, "BN", 2400.0),
    ]) {
        for (column, text) in [(0, id), (2, pin), (3, to.0), (4, to.1), (6, colour)] {
            sheet.write(row, column, text).unwrap();
        }
        sheet.write_with_format(row, 5, size, &area).unwrap();
        sheet.write_with_format(row, 7, length, &long).unwrap();
    }
    sheet.merge_range(4, 1, 7, 1, "P20", &plain).unwrap();
    sheet.insert_note(6, 7, &Note::new("longer by 100? ask at the bench").add_author_prefix(false)).unwrap();
    sheet.write(9, 0, "Total").unwrap();
    sheet.write_formula(9, 7, rust_xlsxwriter::Formula::new("=SUM(H5:H8)").set_result("")).unwrap();
    sheet.set_row_hidden(7).unwrap();
    let other = book.add_worksheet();
    other.write(0, 0, "Bolt").unwrap();
    other.write(0, 1, "Price").unwrap();
    other.insert_note(0, 1, &Note::new("old prices").add_author_prefix(false)).unwrap();
    let read = read("mule.xlsx", &book.save_to_buffer().unwrap(), &Options::default()).unwrap();
    import(&[read], &Mapping::default(), &Kinds::default()).unwrap()
}

#[test]
fn a_workbook_says_all_that_a_csv_can_not() {
    let made = mule();
    let rear = &made.files["mule-rear.yaml"];
    holds(
        rear,
        &[
            "R1: { from: P20.1, to: P30.1, size: 0.5 mm2, colour: RD/BK, length: 1900 mm, row: 5 }",
            "note: \"note at Length: longer by 100? ask at the bench\", row: 7, unsure: [",
            "R4: { from: P20.4, to: P31.2, size: 1.5 mm2, colour: BN, length: 2400 mm, row: 8 }",
        ],
    );
    // What the owner sees is 0.8 mm², what the cell holds is 0.75: neither is taken.
    let troubles: Vec<String> = made.findings.troubles.iter().map(ToString::to_string).collect();
    assert_eq!(
        troubles[0],
        "mule.xlsx, tab Rear:6 column 'Gauge': \"0.8 mm²\" is the number 0.75, which its number format shows rounded"
    );
    assert!(made.lists[1].remarks.contains(&"the note at B1 is not read: old prices".to_owned()), "{:?}", made.lists[1].remarks);
    let hidden = made.findings.remarks().into_iter().any(|remark| remark.what.contains("hidden") && remark.rows == [8]);
    assert!(hidden, "the hidden row is named");
}
