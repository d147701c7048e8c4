//! One source line made to fit: tabs expanded, what could steer a terminal replaced, too long a line cut.
//!
//! A cut line keeps its beginning (the key, by which a wire is known) and the surroundings of every marked place.

use harness_draw::each;
use unicode_width::UnicodeWidthChar;

/// Tabs go to the next multiple of this.
const TAB: usize = 4;

/// This much of the beginning of a cut line stays, behind its indentation.
const HEAD: usize = 10;

/// Cut lines keep at most this many columns before a marked place.
const MOST_BEFORE: usize = 60;

/// Columns kept behind a marked place at least.
const BEHIND: usize = 2;

/// Words of a label are wrapped rather than given more columns than this.
const WORDS: usize = 28;

/// Bytes of a line looked at on either side of what is marked; a design on one line may have millions.
const REACH: usize = 1024;

/// A place in a line, in bytes of the file, and how many columns its words would like.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Place {
    pub start: usize,
    pub end: usize,
    pub words: usize,
}

/// A place in the fitted line, in bytes of it, and the column of its middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Fitted {
    pub start: usize,
    pub end: usize,
    pub column: usize,
}

/// A fitted line.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Row {
    pub text: String,
    pub places: Vec<Fitted>,
}

/// One character to show: its place in the file, itself, its width.
struct Cell {
    at: usize,
    ch: char,
    width: usize,
}

/// Fits the line `text`, which starts at byte `from` of its file, into `room` columns.
pub(crate) fn fit((from, text): (usize, &str), places: &[Place], room: usize, ellipsis: &str) -> Row {
    let cells = cells(from, text, places);
    let index = |offset: usize| cells.partition_point(|cell| cell.at < offset);
    let spans: Vec<(usize, usize)> = places.iter().map(|place| (index(place.start), index(place.end))).collect();
    let draw = |keep: &[bool]| layout(&cells, keep, &spans, ellipsis);
    let mut keep = vec![true; cells.len()];
    let whole = draw(&keep);
    if whole.fits(places, room) {
        return whole.row;
    }
    let head = cells.iter().take_while(|cell| cell.ch == ' ').count() + HEAD;
    let longest = room / 2;
    let mut before = MOST_BEFORE;
    let mut drawn = whole;
    while !drawn.fits(places, room) {
        keep.fill(false);
        // The last tries give up the beginning, then all but the first columns.
        for cell in keep.iter_mut().take(if before > 0 { head } else { 0 }) {
            *cell = true;
        }
        for &(start, end) in &spans {
            let end = end.min(start + longest) + BEHIND;
            for cell in keep.iter_mut().take(end).skip(start.saturating_sub(before)) {
                *cell = true;
            }
        }
        drawn = draw(&keep);
        if before == 0 {
            break;
        }
        before -= 1;
    }
    // What room is left goes to the text behind the last kept character.
    let spare = room.saturating_sub(drawn.width);
    let last = keep.iter().rposition(|&kept| kept).map_or(0, |last| last + 1);
    let mut used = 0;
    for (cell, kept) in cells.iter().zip(keep.iter_mut()).skip(last) {
        used += cell.width;
        if used > spare {
            break;
        }
        *kept = true;
    }
    draw(&keep).row
}

/// The characters of the line within reach of `places`; of its beginning if there are none.
fn cells(from: usize, text: &str, places: &[Place]) -> Vec<Cell> {
    let first = places.iter().map(|place| place.start).min().unwrap_or(from).saturating_sub(from);
    let last = places.iter().map(|place| place.end).max().unwrap_or(from).saturating_sub(from);
    let boundary = |offset: usize| (0..=offset.min(text.len())).rev().find(|&at| text.is_char_boundary(at)).unwrap_or(0);
    // The beginning stays, as it names the thing.
    let head = boundary(REACH);
    let near = boundary(first.saturating_sub(REACH)).max(head);
    let ends = boundary(last.saturating_add(REACH)).max(near);
    let mut column = 0;
    let mut cells = Vec::new();
    for range in [0..head, near..ends] {
        let start = from + range.start;
        let part = text.get(range).unwrap_or("");
        each(part, |offset, shown| {
            let at = start + offset;
            let rest = part.get(offset..).unwrap_or("");
            if rest.starts_with('\t') {
                let width = TAB - column % TAB;
                cells.extend((0..width).map(|_| Cell { at, ch: ' ', width: 1 }));
                column += width;
            } else if at > 0 || !rest.starts_with('\u{feff}') {
                // At the very beginning it is the mark of the file's order of bytes.
                for ch in shown.chars() {
                    let width = ch.width().unwrap_or(0);
                    cells.push(Cell { at, ch, width });
                    column += width;
                }
            }
        });
    }
    cells
}

/// A line with some cells left out.
struct Layout {
    row: Row,
    width: usize,
}

impl Layout {
    /// Whether line and words stay within `room`.
    fn fits(&self, places: &[Place], room: usize) -> bool {
        let words = |(place, fitted): (&Place, &Fitted)| match place.words {
            0 => true,
            words => fitted.column + 4 + words.min(WORDS) <= room,
        };
        self.width <= room && places.iter().zip(&self.row.places).all(words)
    }
}

/// Writes the cells to `keep`, with an ellipsis for each run that is left out, and moves the spans (in cells) along.
fn layout(cells: &[Cell], keep: &[bool], spans: &[(usize, usize)], ellipsis: &str) -> Layout {
    let mark_width = ellipsis.chars().count();
    let mut text = String::new();
    let mut width = 0;
    // Where each cell starts, and where what is printed for it ends, in bytes and columns of the new line.
    let mut starts = Vec::with_capacity(cells.len() + 1);
    let mut ends = Vec::with_capacity(cells.len());
    let mut rest = cells.iter().zip(keep).peekable();
    while let Some((cell, &kept)) = rest.next() {
        let start = (text.len(), width);
        let mut stands_for = 1;
        let gap = !kept && {
            let mut hidden = cell.width;
            let mut run = String::from(cell.ch);
            while let Some((next, _)) = rest.next_if(|(_, kept)| !**kept) {
                hidden += next.width;
                run.push(next.ch);
                stands_for += 1;
            }
            if hidden <= mark_width {
                // No shorter for being cut.
                text.push_str(&run);
                width += hidden;
                false
            } else {
                text.push_str(ellipsis);
                width += mark_width;
                true
            }
        };
        if kept && !gap {
            text.push(cell.ch);
            width += cell.width;
        }
        for _ in 0..stands_for {
            starts.push(start);
            ends.push((text.len(), width));
        }
    }
    starts.push((text.len(), width));
    let places = spans
        .iter()
        .map(|&(from, to)| {
            let (start, column) = starts.get(from).copied().unwrap_or((text.len(), width));
            let (end, end_column) = match to > from {
                true => ends.get(to - 1).copied().unwrap_or((text.len(), width)),
                false => (start, column),
            };
            Fitted { start, end: end.max(start), column: (column + end_column.max(column)) / 2 }
        })
        .collect();
    let mut row = Row { text, places };
    part(&mut row.places);
    Layout { row, width }
}

/// Makes spans that overlap neighbours, so that each can be underlined: the outer one is cut where the inner
/// one starts, or starts where it ends.
fn part(places: &mut [Fitted]) {
    let mut order: Vec<usize> = (0..places.len()).collect();
    let key = |index: &usize| places.get(*index).map(|place| (place.start, place.end));
    order.sort_by_key(key);
    let mut reached: Option<usize> = None;
    for &index in &order {
        let Some(&Fitted { start, end, .. }) = places.get(index) else { continue };
        if let Some(before) = reached.and_then(|before| places.get_mut(before)).filter(|before| before.end > start) {
            if before.start < start {
                before.end = start;
            } else {
                let before_end = before.end;
                if let Some(place) = places.get_mut(index) {
                    place.start = before_end.min(end);
                }
            }
        }
        reached = Some(index);
    }
}

#[cfg(test)]
mod tests {
    use super::{Place, Row, fit};

    fn place(text: &str, part: &str, words: usize) -> Place {
        let start = text.find(part).unwrap();
        Place { start, end: start + part.len(), words }
    }

    fn underlined(row: &Row, index: usize) -> &str {
        &row.text[row.places[index].start..row.places[index].end]
    }

    #[test]
    fn a_line_that_fits_stays_as_it_is() {
        let text = "    rating: 30 A";
        let row = fit((0, text), &[place(text, "30 A", 10)], 73, "…");
        assert_eq!(row.text, text);
        assert_eq!(underlined(&row, 0), "30 A");
    }

    #[test]
    fn a_long_line_keeps_its_key_and_what_is_marked() {
        let text = format!("      101: {{ from: P1.1, note: {}, size: 0.75 mm2, {} }}", "a".repeat(150), "b".repeat(150));
        for ellipsis in ["…", "..."] {
            let row = fit((0, &text), &[place(&text, "0.75 mm2", 30)], 73, ellipsis);
            assert!(row.text.starts_with("      101: { fro"), "{}", row.text);
            assert!(row.text.ends_with(ellipsis), "{}", row.text);
            assert!(row.text.chars().count() <= 73, "{}", row.text);
            assert_eq!(underlined(&row, 0), "0.75 mm2");
            assert!(row.places[0].column + 4 + 28 <= 73, "{row:?}");
        }
    }

    #[test]
    fn places_far_apart_on_one_line_are_both_kept() {
        let text = format!("{{ size: 0.5 mm2, {}, length: 9 m, {} }}", "a".repeat(200), "b".repeat(50));
        let places = [place(&text, "0.5 mm2", 8), place(&text, "9 m", 8)];
        let row = fit((0, &text), &places, 73, "…");
        assert_eq!((underlined(&row, 0), underlined(&row, 1)), ("0.5 mm2", "9 m"));
        assert!(row.text.chars().count() <= 73);
    }

    #[test]
    fn a_long_marked_place_is_cut_and_stays_marked() {
        let text = format!("note: {}", "ab ".repeat(100));
        let row = fit((0, &text), &[Place { start: 6, end: 306, words: 20 }], 73, "…");
        assert!(row.text.chars().count() <= 73, "{}", row.text);
        assert!(underlined(&row, 0).starts_with("ab ab"), "{row:?}");
    }

    #[test]
    fn tabs_marks_of_order_and_controls_are_replaced() {
        let row = fit((0, "\u{feff}a:\tb\u{1b}[1m"), &[Place { start: 6, end: 7, words: 3 }], 40, "…");
        assert_eq!(row.text, "a:  b␛[1m");
        assert_eq!(underlined(&row, 0), "b");
    }

    #[test]
    fn spans_that_overlap_are_set_side_by_side() {
        let row = fit(
            (0, "{ size: 1 mm2 }"),
            &[Place { start: 0, end: 15, words: 0 }, Place { start: 8, end: 13, words: 0 }, Place { start: 8, end: 9, words: 0 }],
            40,
            "…",
        );
        assert_eq!((underlined(&row, 0), underlined(&row, 2), underlined(&row, 1)), ("{ size: ", "1", " mm2"));
    }

    #[test]
    fn a_line_of_millions_of_bytes_is_read_near_its_marks_only() {
        let text = format!("key: {}", "x".repeat(3_000_000));
        let row = fit((0, &text), &[Place { start: 1_500_000, end: 1_500_004, words: 4 }], 73, "…");
        assert!(row.text.starts_with("key: "), "{}", row.text);
        assert_eq!(underlined(&row, 0), "xxxx");
        let none = fit((0, &text), &[], 73, "…");
        assert_eq!(none.text.chars().count(), 73);
    }
}
