//! The file of cells that nothing reads.

use crate::draft::Draft;

/// The cells of columns that nothing reads: list, row, thing, column, text.
pub(crate) fn text(draft: &Draft) -> String {
    let field = |text: &str| {
        if text.contains(['"', ',', '\n', '\r']) || text.starts_with(' ') || text.ends_with(' ') {
            format!("\"{}\"", text.replace('"', "\"\""))
        } else {
            text.to_owned()
        }
    };
    let mut cells = draft.unread.clone();
    cells.sort();
    cells.dedup();
    let mut text = "list,row,thing,column,text\n".to_owned();
    for cell in cells {
        text.push_str(&format!(
            "{},{},{},{},{}\n",
            field(&cell.list),
            cell.row,
            field(&cell.thing),
            field(&cell.column),
            field(&cell.text)
        ));
    }
    text
}
