use super::{delimiter, read};
use crate::{Options, Remark};
use proptest::prelude::*;

fn rows(text: &str) -> Vec<(u32, Vec<String>)> {
    let book = read("list.csv", text.as_bytes(), &Options::default()).unwrap();
    let texts =
        |row: &crate::Row| (0..=row.cells.last().map_or(0, |cell| cell.column)).map(|at| row.text(at).to_owned()).collect();
    book.tabs[0].rows.iter().map(|row| (row.number, texts(row))).collect()
}

#[test]
fn the_delimiter_is_the_one_that_splits_most_records_alike() {
    let cases = [
        ("a,b,c\n1,2,3\n", ','),
        ("a;b;c\n1;0,5;3\n2;0,75;1,5\n", ';'),
        ("a\tb\n1,5\t2\n", '\t'),
        ("a|b|c\n1|2,2|3\n", '|'),
        ("Wire list of the lift, front\n\nNr;Size;Colour\n1;0,5;RD\n2;0,5;BK\n", ';'),
        ("\"a;b\",c\n\"1;2\",3\n", ','),
        ("alone\n", ','),
        ("", ','),
    ];
    for (text, expected) in cases {
        assert_eq!(delimiter(text), expected, "{text}");
    }
}

/// The forms of RFC 4180, section 2, and two that people make.
#[test]
fn quotes_hold_delimiters_line_breaks_and_doubled_quotes() {
    let quoted = rows("a,\"b, c\",\"d \"\"e\"\"\"\r\n\"two\nlines\",,x\r\n");
    assert_eq!(quoted[0], (1, vec!["a".into(), "b, c".into(), "d \"e\"".into()]));
    assert_eq!(quoted[1], (2, vec!["two lines".into(), String::new(), "x".into()]));
    assert_eq!(rows("a,b\n\"12\" AWG,6\" long\n")[1].1, ["12 AWG", "6\" long"]);
    // Rows keep the number that a spreadsheet shows, empty ones counted.
    assert_eq!(rows("a,b\n\n\n1,2\n").iter().map(|row| row.0).collect::<Vec<_>>(), [1, 4]);
    assert_eq!(rows("a,b\r1,2\r3,4").len(), 3, "line ends of old machines");
}

#[test]
fn a_quote_that_never_closes_swallows_nothing() {
    let book = read("list.csv", b"a,b\n1,\"2\n3,4\n", &Options::default()).unwrap();
    assert_eq!(book.tabs[0].rows.len(), 3);
    assert_eq!(book.remarks, [Remark::OpenQuote { row: 2 }]);
}

proptest! {
    #[test]
    fn whatever_the_bytes_there_is_an_answer(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        if let Ok(book) = crate::read("x", &bytes, &Options::default()) {
            let held: usize = book.tabs.iter().flat_map(|tab| &tab.rows).flat_map(|row| &row.cells).map(|cell| cell.text.len()).sum();
            prop_assert!(held <= bytes.len() * 3, "text grows at most as encodings do");
        }
    }

    #[test]
    fn what_is_written_with_quotes_is_read_back(
        table in proptest::collection::vec(proptest::collection::vec("[a-zA-Z0-9,;|\" ²ß]{0,8}", 3), 2..12),
        delimiter in proptest::sample::select(vec![',', ';', '\t', '|']),
    ) {
        let field = |text: &String| format!("\"{}\"", text.replace('"', "\"\""));
        let line = |row: &Vec<String>| row.iter().map(field).collect::<Vec<_>>().join(&delimiter.to_string());
        let text = table.iter().map(line).collect::<Vec<_>>().join("\n");
        let book = read("x", text.as_bytes(), &Options::default()).unwrap();
        for (at, row) in table.iter().enumerate() {
            let found = book.tabs[0].rows.iter().find(|found| found.number as usize == at + 1);
            for (column, written) in row.iter().enumerate() {
                prop_assert_eq!(found.map_or("", |found| found.text(column as u32)), written.trim());
            }
        }
    }

    /// Texts in every encoding with every delimiter, whole and cut: an answer or a reason.
    #[test]
    fn a_text_in_any_encoding_is_read_or_refused(
        table in proptest::collection::vec(proptest::collection::vec("[a-zA-Z0-9 \"'=²ßéłöø;,|\t-]{0,6}", 1..5), 0..8),
        delimiter in proptest::sample::select(vec![',', ';', '\t', '|']),
        label in proptest::sample::select(vec!["utf-8", "windows-1252", "windows-1250", "macintosh", "utf-16le", "shift_jis", "gb18030", "iso-8859-15"]),
        named in any::<bool>(),
        cut in any::<proptest::sample::Index>(),
    ) {
        let text: Vec<String> = table.iter().map(|row| row.join(&delimiter.to_string())).collect();
        let text = text.join("\r\n");
        let bytes = match label {
            "utf-16le" => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
            label => encoding_rs::Encoding::for_label(label.as_bytes()).unwrap().encode(&text).0.into_owned(),
        };
        let options = Options { encoding: named.then(|| label.to_owned()) };
        for bytes in [&bytes[..], &bytes[..cut.index(bytes.len() + 1)]] {
            if let Ok(book) = crate::read("x", bytes, &options) {
                let rows = &book.tabs[0].rows;
                prop_assert!(rows.windows(2).all(|pair| pair[0].number < pair[1].number));
                prop_assert!(rows.iter().all(|row| row.cells.windows(2).all(|pair| pair[0].column < pair[1].column)));
            }
        }
    }
}
