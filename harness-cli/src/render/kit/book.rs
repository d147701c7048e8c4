//! Sheets of texts, as comma-separated values or as tabs of a workbook. The same rows give the same bytes.

use super::{printable, sheet};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, Worksheet, XlsxError};
use std::collections::BTreeSet;
use unicode_width::UnicodeWidthStr;

/// Most letters of the name of a tab, by the format of workbooks.
const TAB_NAME: usize = 31;

/// The widest column, in letters; longer texts are wrapped.
const WIDEST: usize = 60;

/// Most rows of a tab, its head among them, by the format of workbooks.
const TAB_ROWS: usize = 1_048_576;

/// Most letters of a cell, by the format of workbooks.
const CELL_LETTERS: usize = 32_767;

/// A sheet: a head and rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sheet {
    /// Its name, as the tab of a workbook and the file of a folder are called.
    pub name: String,
    /// The words above the columns.
    pub head: Vec<String>,
    /// Which columns hold figures: a workbook has them as numbers. Empty for texts alone.
    pub figures: Vec<bool>,
    /// The rows, each as long as the head.
    pub rows: Vec<Vec<String>>,
}

impl Sheet {
    /// A sheet without rows.
    pub fn new(name: impl Into<String>, head: &[&str]) -> Self {
        Self {
            name: name.into(),
            head: head.iter().map(|&word| word.to_owned()).collect(),
            figures: Vec::new(),
            rows: Vec::new(),
        }
    }

    /// The sheet as comma-separated values; no cell is taken for a formula.
    ///
    /// # Errors
    /// If memory runs out.
    pub fn csv(&self) -> Result<Vec<u8>, String> {
        let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
        for row in std::iter::once(&self.head).chain(&self.rows) {
            writer.write_record(row.iter().map(|cell| sheet::cell(cell).into_owned())).map_err(|error| error.to_string())?;
        }
        writer.into_inner().map_err(|error| error.to_string())
    }

    /// The name of its file in a folder.
    pub fn file(&self) -> String {
        let safe = |letter: char| if letter.is_alphanumeric() || "-_ +".contains(letter) { letter } else { '-' };
        format!("{}.csv", self.name.chars().map(safe).collect::<String>())
    }
}

/// Sheets as a workbook: text cells, the head in bold and in view, one table a tab.
///
/// # Errors
/// If a sheet has more rows, or a cell more letters, than a workbook can hold.
pub(crate) fn workbook(title: &str, sheets: &[Sheet]) -> Result<Vec<u8>, String> {
    let mut book = Workbook::new();
    // A date of its own would make two runs differ.
    let date = ExcelDateTime::from_ymd(2000, 1, 1).map_err(|error| error.to_string())?;
    book.set_properties(&DocProperties::new().set_title(printable(title)).set_creation_datetime(&date));
    let names = tab_names(sheets);
    for (sheet, name) in sheets.iter().zip(&names) {
        if sheet.rows.len() >= TAB_ROWS {
            return Err(format!("a tab holds {TAB_ROWS} rows, and `{name}` has more; export to a folder"));
        }
        let tab = book.add_worksheet();
        tab.set_name(name).map_err(|error| error.to_string())?;
        fill(tab, sheet).map_err(|error| format!("tab `{name}`: {error}"))?;
    }
    book.save_to_buffer().map_err(|error| error.to_string())
}

fn fill(tab: &mut Worksheet, sheet: &Sheet) -> Result<(), XlsxError> {
    let text = Format::new().set_num_format("@").set_text_wrap().set_align(FormatAlign::Top);
    let head = text.clone().set_bold();
    let mut widths = vec![0; sheet.head.len()];
    for (number, row) in std::iter::once(&sheet.head).chain(&sheet.rows).enumerate() {
        let Ok(line) = u32::try_from(number) else { break };
        for (column, cell) in row.iter().enumerate() {
            let shown = printable(cell);
            if let Some(width) = widths.get_mut(column) {
                *width = shown.width().max(*width);
            }
            let is_figure = number > 0 && sheet.figures.get(column).copied().unwrap_or_default();
            let Ok(column) = u16::try_from(column) else { break };
            if let Some(figure) = Some(cell).filter(|_| is_figure).and_then(|cell| cell.parse::<f64>().ok()) {
                tab.write_number(line, column, figure)?;
                continue;
            }
            if shown.chars().count() > CELL_LETTERS {
                return Err(XlsxError::MaxStringLengthExceeded);
            }
            if !shown.is_empty() {
                tab.write_string_with_format(line, column, shown, if number == 0 { &head } else { &text })?;
            }
        }
    }
    for (column, width) in widths.into_iter().enumerate() {
        let is_figure = sheet.figures.get(column).copied().unwrap_or_default();
        let Ok(column) = u16::try_from(column) else { break };
        tab.set_column_width(column, width.clamp(4, WIDEST) as f64 + 2.0)?;
        if !is_figure {
            tab.set_column_format(column, &text)?;
        }
    }
    tab.set_freeze_panes(1, 0)?;
    tab.set_repeat_rows(0, 0)?;
    tab.set_landscape();
    tab.set_print_fit_to_pages(1, 0);
    Ok(())
}

/// The names of the tabs: without what workbooks refuse, cut to their length, each once whatever the case of its letters.
pub(crate) fn tab_names(sheets: &[Sheet]) -> Vec<String> {
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let one = |sheet: &Sheet| {
        let safe = |letter: char| if "[]:*?/\\'".contains(letter) || letter.is_control() { '-' } else { letter };
        let whole: String = sheet.name.chars().map(safe).collect();
        let numbered = |number: usize| {
            let end = if number == 1 { String::new() } else { format!(" {number}") };
            let room = TAB_NAME - end.len();
            // The limit counts units of UTF-16.
            let mut units = 0;
            let start: String = whole
                .chars()
                .take_while(|letter| {
                    units += letter.len_utf16();
                    units <= room
                })
                .collect();
            start + &end
        };
        let name = (1..).map(numbered).find(|name| taken.insert(name.to_lowercase()));
        name.unwrap_or_default()
    };
    sheets.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::{Sheet, tab_names, workbook};

    fn sheet(name: &str) -> Sheet {
        let mut sheet = Sheet::new(name, &["Pin", "Signal"]);
        sheet.rows = vec![vec!["01".to_owned(), "=1+1".to_owned()], vec!["1-2".to_owned(), "a\u{7}b".to_owned()]];
        sheet
    }

    #[test]
    fn a_cell_of_comma_separated_values_is_never_a_formula() {
        assert_eq!(String::from_utf8(sheet("a").csv().unwrap()).unwrap(), "Pin,Signal\n01,'=1+1\n1-2,a␇b\n");
        assert_eq!(sheet("front/left: 2").file(), "front-left- 2.csv");
    }

    #[test]
    fn names_of_tabs_are_such_as_workbooks_take() {
        let long = "x".repeat(40);
        let names = tab_names(&[sheet("a/b"), sheet("A/B"), sheet(&long), sheet(&long), sheet(&"🔌".repeat(20))]);
        assert_eq!(names[..2], ["a-b", "A-B 2"]);
        assert!(names.iter().all(|name| name.encode_utf16().count() <= 31), "{names:?}");
        assert_ne!(names[2], names[3]);
    }

    #[test]
    fn the_same_rows_are_the_same_bytes() {
        let sheets = [sheet("front"), sheet("rear")];
        let first = workbook("Lift", &sheets).unwrap();
        std::thread::sleep(std::time::Duration::from_millis(1100));
        assert_eq!(first, workbook("Lift", &sheets).unwrap());
    }
}
