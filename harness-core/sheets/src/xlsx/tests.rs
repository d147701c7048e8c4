use crate::{Book, Odd, Options, Unreadable, limits, read};
use proptest::prelude::*;
use std::io::{Cursor, Write};
use zip::{ZipWriter, write::SimpleFileOptions};

const STYLES: &str = r#"<styleSheet xmlns="m"><numFmts><numFmt numFmtId="170" formatCode="0.00&quot; mm²&quot;"/><numFmt numFmtId="171" formatCode="00"/></numFmts>
<fonts><font/><font><strike/></font></fonts><cellXfs><xf numFmtId="0" fontId="0"/><xf numFmtId="170" fontId="0" applyNumberFormat="1"/><xf numFmtId="171" fontId="0"/><xf numFmtId="0" fontId="1" applyFont="1"/><xf numFmtId="16" fontId="0"/><xf numFmtId="11" fontId="0"/></cellXfs></styleSheet>"#;

/// A workbook of one tab `Front` and a hidden one, made of its XML.
fn book(sheet: &str, strings: &str) -> Vec<u8> {
    packed(&parts(sheet, strings))
}

/// The parts of that workbook, with a note on a cell of its first tab.
fn parts(sheet: &str, strings: &str) -> Vec<(String, String)> {
    let parts = [
        ("[Content_Types].xml", "<Types/>".to_owned()),
        ("_rels/.rels", r#"<Relationships><Relationship Id="r" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#.to_owned()),
        ("xl/workbook.xml", r#"<workbook xmlns:r="r"><sheets><sheet name="Front" sheetId="1" r:id="r1"/><sheet name="Old" sheetId="2" state="hidden" r:id="r2"/></sheets></workbook>"#.to_owned()),
        ("xl/_rels/workbook.xml.rels", r#"<Relationships><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet2.xml"/></Relationships>"#.to_owned()),
        ("xl/styles.xml", STYLES.to_owned()),
        ("xl/sharedStrings.xml", format!("<sst>{strings}</sst>")),
        ("xl/worksheets/sheet1.xml", format!("<worksheet>{sheet}</worksheet>")),
        ("xl/worksheets/sheet2.xml", "<worksheet><sheetData><row r=\"1\"><c r=\"A1\"><v>7</v></c></row></sheetData></worksheet>".to_owned()),
        ("xl/worksheets/_rels/sheet1.xml.rels", r#"<Relationships><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/comments" Target="../comments1.xml"/></Relationships>"#.to_owned()),
        ("xl/comments1.xml", NOTES.to_owned()),
    ];
    parts.into_iter().map(|(name, text)| (name.to_owned(), text)).collect()
}

const NOTES: &str = "<comments><commentList><comment ref=\"B2\" authorId=\"0\"><text><r><t>measured </t></r><r><t>twice &amp; true</t></r></text></comment>\
<comment ref=\"F9\"><text><t>to be ordered?</t></text></comment></commentList></comments>";

fn packed(parts: &[(String, String)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(name.as_str(), SimpleFileOptions::default()).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn made(sheet: &str, strings: &str) -> Book {
    read("book.xlsx", &book(sheet, strings), &Options::default()).unwrap()
}

const SHEET: &str = r#"<cols><col min="3" max="4" hidden="1"/></cols><sheetData>
<row r="2"><c r="A2" t="s"><v>0</v></c><c r="B2" s="1"><v>0.5</v></c><c r="C2" s="2"><v>1</v></c></row>
<row r="3" hidden="1"><c r="A3" t="s" s="3"><v>1</v></c><c r="B3" s="4"><v>46024</v></c><c r="C3" s="5"><v>12000</v></c></row>
<row r="4"><c r="B4"><f>A2+1</f></c><c r="C4" t="e"><v>#N/A</v></c><c r="D4" t="b"><v>1</v></c><c r="E4" t="s"><v>2</v></c></row>
</sheetData><autoFilter ref="A2:C4"/><mergeCells><mergeCell ref="A3:A4"/><mergeCell ref="D4:E4"/></mergeCells>"#;
const STRINGS: &str = "<si><t>P1</t></si><si><t xml:space=\"preserve\"> gone </t></si><si><r><t xml:space=\"preserve\">keep </t></r><r><rPr><strike/></rPr><t>gone</t></r></si>";

#[test]
fn every_cell_comes_with_its_place_and_what_is_odd_about_it() {
    let book = made(SHEET, STRINGS);
    assert_eq!(
        book.tabs.iter().map(|tab| (tab.name.as_str(), tab.is_hidden)).collect::<Vec<_>>(),
        [("Front", false), ("Old", true)]
    );
    let tab = &book.tabs[0];
    assert_eq!(tab.hidden_columns, [2, 3]);
    assert!(tab.is_filtered);
    let rows: Vec<(u32, bool)> = tab.rows.iter().map(|row| (row.number, row.is_hidden)).collect();
    assert_eq!(rows, [(2, false), (3, true), (4, false), (9, false)]);
    // A note is its cell's, and there where the cell holds nothing.
    assert_eq!(tab.rows[0].cell(1).map(|cell| cell.note.as_str()), Some("measured twice & true"));
    assert_eq!(tab.rows[3].cell(5).map(|cell| (cell.text.as_str(), cell.note.as_str())), Some(("", "to be ordered?")));
    let cell = |row: usize, column: u32| tab.rows[row].cell(column).map(|cell| (cell.text.as_str(), cell.odd.clone()));
    assert_eq!(cell(0, 0), Some(("P1", vec![])));
    assert_eq!(cell(0, 1), Some(("0.50 mm²", vec![])));
    assert_eq!(cell(0, 2), Some(("01", vec![])));
    assert_eq!(cell(1, 0), Some(("gone", vec![Odd::Struck])));
    // Day 46024 of the calendar of 1900 is the second of January 2026 (ECMA-376 part 1, 18.17.4.1; counted by hand).
    assert_eq!(cell(1, 1), Some(("2026-01-02", vec![Odd::Date])));
    assert_eq!(cell(1, 2), Some(("12000", vec![Odd::Exponent])));
    assert_eq!(cell(2, 0), Some(("gone", vec![Odd::Struck, Odd::Merged])));
    assert_eq!(cell(2, 1), Some(("", vec![Odd::NoValue])));
    assert_eq!(cell(2, 2), Some(("#N/A", vec![Odd::Failed])));
    assert_eq!(cell(2, 4), Some(("keep gone", vec![Odd::PartlyStruck])));
    assert_eq!(tab.rows[2].cell(3).map(|cell| (cell.text.as_str(), cell.spans)), Some(("TRUE", 2)));
}

/// Two cells at the corners of the sheet: a box around them would hold 17 thousand million cells.
#[test]
fn two_cells_far_apart_take_no_memory() {
    let far = made(
        "<sheetData><row r=\"1\"><c r=\"A1\"><v>1</v></c></row><row r=\"1048576\"><c r=\"XFD1048576\"><v>2</v></c></row></sheetData>",
        "",
    );
    let rows: Vec<_> = far.tabs[0].rows.iter().filter(|row| row.cells.iter().any(|cell| !cell.text.is_empty())).collect();
    assert_eq!(rows.iter().map(|row| (row.number, row.cells[0].column)).collect::<Vec<_>>(), [(1, 0), (1_048_576, 16_383)]);
}

#[test]
fn a_part_that_is_too_large_unpacked_is_refused() {
    let blanks = " ".repeat(limits::PART_BYTES as usize + 1);
    let error = read("book.xlsx", &book(&blanks, ""), &Options::default()).unwrap_err();
    assert!(matches!(&error, Unreadable::TooLarge { bytes, .. } if *bytes > limits::PART_BYTES), "{error}");
}

#[test]
fn counts_and_regions_that_ask_for_too_much_are_damage() {
    let sst = read("book.xlsx", &book("<sheetData/>", ""), &Options::default());
    assert!(sst.is_ok());
    for (sheet, strings) in [
        ("<sheetData/><mergeCells><mergeCell ref=\"C9:A1\"/></mergeCells>", "".to_owned()),
        ("<dimension ref=\"Z9:A1\"/><sheetData/>", "".to_owned()),
        ("<sheetData/>", "</sst><sst uniqueCount=\"99999999999999\">".to_owned()),
    ] {
        let error = read("book.xlsx", &book(sheet, &strings), &Options::default());
        assert!(matches!(error, Err(Unreadable::Damaged(_))), "{error:?}");
    }
    assert!(matches!(read("x", b"PK\x03\x04rest", &Options::default()), Err(Unreadable::Damaged(_))));
    let archive = |names: &[&str]| packed(&names.iter().map(|name| ((*name).to_owned(), String::new())).collect::<Vec<_>>());
    for (names, error) in [
        (&["mimetype", "content.xml", "META-INF/manifest.xml"][..], Unreadable::OpenDocument),
        (&["[Content_Types].xml", "xl/workbook.bin"], Unreadable::BinaryWorkbook),
    ] {
        assert_eq!(read("x", &archive(names), &Options::default()), Err(error.clone()));
        assert!(error.to_string().contains("save it as XLSX"), "{error}");
    }
    assert!(matches!(read("x.zip", &archive(&["a.txt"]), &Options::default()), Err(Unreadable::NotAWorkbook(_))));
    assert_eq!(read("x.xls", &[0xd0, 0xcf, 0x11, 0xe0, 0], &Options::default()), Err(Unreadable::OldWorkbook));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Changed letters of the packed file and of the sheet itself: an answer or a reason, never a panic.
    #[test]
    fn a_damaged_workbook_gives_an_answer_or_a_reason(
        edits in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..6),
        inner in proptest::collection::vec((any::<proptest::sample::Index>(), "[<>/=\"a-z0-9:&# ]"), 0..6),
    ) {
        let mut sheet: Vec<char> = SHEET.chars().collect();
        for (at, letter) in &inner {
            let at = at.index(sheet.len());
            sheet[at] = letter.chars().next().unwrap();
        }
        let sheet: String = sheet.into_iter().collect();
        // What breaks off is caught, but should have been refused before.
        let broke_off = Err(Unreadable::Damaged("the reader broke off".to_owned()));
        prop_assert_ne!(&read("book.xlsx", &book(&sheet, STRINGS), &Options::default()), &broke_off);
        let mut packed = book(SHEET, STRINGS);
        for (at, byte) in &edits {
            let at = at.index(packed.len());
            packed[at] = *byte;
        }
        prop_assert_ne!(&read("book.xlsx", &packed, &Options::default()), &broke_off);
    }

    /// Parts in each other's places, missing, twice, cut off, or with figures that no sheet has: an answer or a reason, and never more held
    /// than the parts have letters.
    #[test]
    fn a_workbook_put_together_wrongly_gives_an_answer_or_a_reason(
        swaps in proptest::collection::vec((any::<proptest::sample::Index>(), any::<proptest::sample::Index>()), 0..4),
        gone in proptest::collection::vec(any::<proptest::sample::Index>(), 0..3),
        cut in proptest::option::of((any::<proptest::sample::Index>(), any::<proptest::sample::Index>())),
        figures in proptest::collection::vec((any::<proptest::sample::Index>(), proptest::sample::select(vec!["0", "-1", "1048577", "99999999999", "XFE1", "A0", "B2:A1", "18446744073709551616"])), 0..5),
    ) {
        let mut sheet = format!("<dimension ref=\"A1:E4\"/>{SHEET}");
        for (at, figure) in &figures {
            // In the place of a text between quotes.
            let quotes: Vec<usize> = sheet.match_indices('"').map(|(at, _)| at).collect();
            let first = at.index(quotes.len() / 2) * 2;
            sheet.replace_range(quotes[first] + 1..quotes[first + 1], figure);
        }
        let mut all = parts(&sheet, STRINGS);
        for (one, other) in &swaps {
            let (one, other) = (one.index(all.len()), other.index(all.len()));
            let text = all[one].1.clone();
            all[one].1 = std::mem::replace(&mut all[other].1, text);
        }
        for at in &gone {
            let at = at.index(all.len());
            all.remove(at);
        }
        if let Some((at, end)) = &cut {
            let at = at.index(all.len());
            let part = &mut all[at].1;
            let end = end.index(part.len() + 1);
            let end = (0..=end).rev().find(|end| part.is_char_boundary(*end)).unwrap_or(0);
            part.truncate(end);
        }
        let letters: usize = all.iter().map(|(_, text)| text.len()).sum();
        match read("book.xlsx", &packed(&all), &Options::default()) {
            Ok(book) => {
                let cells = book.tabs.iter().flat_map(|tab| &tab.rows).flat_map(|row| &row.cells);
                let held: usize = cells.map(|cell| cell.text.len() + cell.note.len() + 1).sum();
                prop_assert!(held <= letters * 4, "{held} letters of {letters}");
            }
            Err(error) => {
                prop_assert_ne!(&error, &Unreadable::Damaged("the reader broke off".to_owned()));
                prop_assert!(error.to_string().len() < 400, "{error}");
            }
        }
    }
}
