//! A drawing that is larger than a sheet of paper, cut into sheets that are laid edge to edge.

use crate::{
    Anchor, Drawing, Ink, LineKind, Point, Rect,
    drawing::{Item, Shape},
    measure::extent,
};

/// How far a sheet reaches into the next: the strip that is glued.
const GLUED: f64 = 40.0;
/// Room below each sheet for its number.
const FOOT: f64 = 24.0;
/// More sheets than this nobody lays together.
const MOST: usize = 60;

impl Drawing {
    /// The drawing itself where it fits into `width` and `height`, else in sheets of that size, row by row, each with its number and with the
    /// edges up to which the next one covers it. In the scale of the drawing: nothing is made smaller, unless it would be more than sixty sheets.
    #[must_use]
    pub fn sheets(&self, width: f64, height: f64) -> Vec<Self> {
        let (own_width, own_height) = self.size();
        let (step, rise) = ((width - GLUED).max(GLUED), (height - FOOT - GLUED).max(GLUED));
        let count = |own: f64, step: f64| ((own - GLUED) / step).ceil().max(1.0) as usize;
        let (columns, rows) = (count(own_width, step), count(own_height, rise));
        if own_width <= width && own_height <= height || columns.saturating_mul(rows) > MOST {
            return vec![self.clone()];
        }
        let corner = |row: usize, column: usize| self.frame.least.by(column as f64 * step, row as f64 * rise);
        let places = (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column)));
        places.map(|(row, column)| self.sheet((row, column), (rows, columns), corner(row, column), (width, height))).collect()
    }

    fn sheet(
        &self,
        (row, column): (usize, usize),
        (rows, columns): (usize, usize),
        corner: Point,
        (width, height): (f64, f64),
    ) -> Self {
        let paper = Rect::at(corner, width, height);
        let used = Rect::at(corner, width, height - FOOT);
        let meets = |item: &&Item| extent(&item.shape).is_some_and(|rect| rect.meets(&used));
        let mut items: Vec<Item> = self.items.iter().filter(meets).cloned().collect();
        let mut put = |shape: Shape| items.push(Item { shape, of: None });
        // What runs on beyond the used room is covered, so that the number can be read.
        put(Shape::Cover { rect: Rect::between(Point::new(paper.least.x, used.most.y), paper.most) });
        let line = |a: Point, b: Point| Shape::Line { kind: LineKind::Driven, points: vec![a, b] };
        if column + 1 < columns {
            let x = used.most.x - GLUED;
            put(line(Point::new(x, used.least.y), Point::new(x, used.most.y)));
        }
        if row + 1 < rows {
            let y = used.most.y - GLUED;
            put(line(Point::new(used.least.x, y), Point::new(used.most.x, y)));
        }
        let number = row * columns + column + 1;
        let words = format!("sheet {number} of {}: row {}, column {}", rows * columns, row + 1, column + 1);
        put(Shape::Text {
            at: Point::new(paper.least.x + 8.0, paper.most.y - 8.0),
            anchor: Anchor::Start,
            size: 12.0,
            is_bold: false,
            ink: Ink::Black,
            upright: false,
            words,
        });
        Self {
            name: format!("{}-{number}", self.name),
            title: format!("{}, sheet {number} of {}", self.title, rows * columns),
            items,
            frame: paper,
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{Anchor, LineKind, Links, Point, Sheet, Text};

    fn wide(length: f64) -> crate::Drawing {
        let mut sheet = Sheet::new("wide", "Wide", "");
        sheet.line(LineKind::Bundle, &[Point::new(0.0, 0.0), Point::new(length, 0.0)], None);
        sheet.text(Point::new(0.0, 30.0), Anchor::Start, Text::plain("left end"), None);
        sheet.text(Point::new(length, 30.0), Anchor::End, Text::plain("right end"), None);
        sheet.finish()
    }

    #[test]
    fn what_fits_is_one_sheet_and_what_does_not_is_whole_on_several() {
        assert_eq!(wide(900.0).sheets(1036.0, 760.0).len(), 1);
        let drawing = wide(2500.0);
        let sheets = drawing.sheets(1036.0, 760.0);
        assert_eq!(sheets.len(), 3);
        for (at, sheet) in sheets.iter().enumerate() {
            assert_eq!(sheet.size(), (1036.0, 760.0));
            let svg = sheet.svg(&Links::none());
            assert!(svg.contains(&format!("sheet {} of 3", at + 1)));
            assert_eq!(svg.contains("left end"), at == 0);
            assert_eq!(svg.contains("right end"), at == 2);
        }
        // Each begins in the glued strip of the one before.
        let starts: Vec<f64> = sheets.iter().map(|sheet| sheet.frame.least.x).collect();
        assert_eq!(starts, [-14.0, 982.0, 1978.0]);
    }
}
