//! The outlines of devices: round all that is drawn in one, whatever form that has.
//!
//! A device is boxes that may touch or overlap. What touches is one outline, with its corners where the boxes have theirs; a hole in it with
//! nothing else inside is filled. Each outline has the name of its device once.

use harness_draw::{Anchor, LineKind, Point, Rect, Sheet, Text};
use std::collections::BTreeMap;

/// Boxes of devices, and where their names may be.
#[derive(Default)]
pub(super) struct Frames {
    boxes: BTreeMap<String, Vec<Rect>>,
    /// Boxes that belong to no device.
    free: Vec<Rect>,
    titles: Vec<(String, Point, Rect)>,
}

impl Frames {
    /// A box of a device, or of none.
    pub(super) fn add(&mut self, device: Option<&str>, rect: Rect) {
        if rect.width() <= 0.0 || rect.height() <= 0.0 {
            return;
        }
        match device {
            Some(device) => self.boxes.entry(device.to_owned()).or_default().push(rect),
            None => self.free.push(rect),
        }
    }

    /// A place for the name of a device, at the outline that `at` is in.
    pub(super) fn title(&mut self, device: &str, place: Point, at: Rect) {
        self.titles.push((device.to_owned(), place, at));
    }

    /// Draws all outlines and names.
    pub(super) fn draw(&self, sheet: &mut Sheet) {
        for (device, boxes) in &self.boxes {
            let others: Vec<&Rect> =
                self.boxes.iter().filter(|(other, _)| *other != device).flat_map(|(_, boxes)| boxes).chain(&self.free).collect();
            let area = Area::of(&bridged(boxes), &others);
            for outline in area.outlines() {
                sheet.line(LineKind::Enclosure, &outline, None);
            }
            let mut named: Vec<usize> = Vec::new();
            for (_, place, at) in self.titles.iter().filter(|(title, ..)| title == device) {
                let Some(part) = area.part_at(at) else { continue };
                if !named.contains(&part) {
                    named.push(part);
                    sheet.text(*place, Anchor::Start, Text::bold(device).within(super::look::WIDEST + 30.0), None);
                }
            }
        }
    }
}

/// Boxes of one device side by side that are nearer to each other than this are one.
const NEAR: f64 = 6.0;

/// The boxes with what is between two that nearly touch.
fn bridged(boxes: &[Rect]) -> Vec<Rect> {
    let mut all = boxes.to_vec();
    for one in boxes {
        for other in boxes {
            let gap = other.least.x - one.most.x;
            let (top, bottom) = (one.least.y.max(other.least.y), one.most.y.min(other.most.y));
            if gap > 0.0 && gap <= NEAR && top < bottom {
                all.push(Rect::between(Point::new(one.most.x, top), Point::new(other.least.x, bottom)));
            }
        }
    }
    all
}

/// Squares between the sides of all boxes: which are filled, and which of them hang together.
struct Area {
    xs: Vec<f64>,
    ys: Vec<f64>,
    /// By row and column: the part that a square belongs to.
    parts: Vec<Vec<Option<usize>>>,
}

fn edges(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut all: Vec<f64> = values.collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    all
}

impl Area {
    fn of(boxes: &[Rect], others: &[&Rect]) -> Self {
        let xs = edges(boxes.iter().flat_map(|rect| [rect.least.x, rect.most.x]));
        let ys = edges(boxes.iter().flat_map(|rect| [rect.least.y, rect.most.y]));
        let (columns, rows) = (xs.len().saturating_sub(1), ys.len().saturating_sub(1));
        let mut filled = vec![vec![false; columns]; rows];
        for rect in boxes {
            for (row, line) in filled.iter_mut().enumerate() {
                for (column, square) in line.iter_mut().enumerate() {
                    let Some(middle) = middle(&xs, &ys, row, column) else { continue };
                    *square |=
                        rect.least.x < middle.x && middle.x < rect.most.x && rect.least.y < middle.y && middle.y < rect.most.y;
                }
            }
        }
        let mut area = Self { xs, ys, parts: Vec::new() };
        area.fill_holes(&mut filled, others);
        area.parts = parts(&filled);
        area
    }

    fn square(&self, row: usize, column: usize) -> Option<Rect> {
        let corner = Point::new(*self.xs.get(column)?, *self.ys.get(row)?);
        Some(Rect::between(corner, Point::new(*self.xs.get(column + 1)?, *self.ys.get(row + 1)?)))
    }

    /// Fills what is enclosed and holds nothing else.
    fn fill_holes(&self, filled: &mut [Vec<bool>], others: &[&Rect]) {
        let empty: Vec<Vec<bool>> = filled.iter().map(|row| row.iter().map(|square| !square).collect()).collect();
        let holes = parts(&empty);
        let (rows, columns) = (filled.len(), filled.first().map_or(0, Vec::len));
        let mut open: Vec<usize> = Vec::new();
        for (row, line) in holes.iter().enumerate() {
            for (column, hole) in line.iter().enumerate() {
                let Some(hole) = hole else { continue };
                let is_edge = row == 0 || column == 0 || row + 1 == rows || column + 1 == columns;
                let holds = || self.square(row, column).is_some_and(|square| others.iter().any(|other| other.meets(&square)));
                if is_edge || holds() {
                    open.push(*hole);
                }
            }
        }
        for (line, holes) in filled.iter_mut().zip(&holes) {
            for (square, hole) in line.iter_mut().zip(holes) {
                *square |= hole.is_some_and(|hole| !open.contains(&hole));
            }
        }
    }

    /// The part that a box is in.
    fn part_at(&self, rect: &Rect) -> Option<usize> {
        let at = Point::new((rect.least.x + rect.most.x) / 2.0, (rect.least.y + rect.most.y) / 2.0);
        let column = self.xs.iter().rposition(|x| *x <= at.x + 1e-6)?;
        let row = self.ys.iter().rposition(|y| *y <= at.y + 1e-6)?;
        self.parts.get(row)?.get(column).copied().flatten()
    }

    fn part(&self, row: Option<usize>, column: Option<usize>) -> Option<usize> {
        self.parts.get(row?)?.get(column?).copied().flatten()
    }

    /// The closed outlines, each from its first corner.
    fn outlines(&self) -> Vec<Vec<Point>> {
        // Sides of squares with the filled one at the right hand.
        let mut next: BTreeMap<(usize, usize), Vec<(usize, usize)>> = BTreeMap::new();
        for (row, line) in self.parts.iter().enumerate() {
            for (column, part) in line.iter().enumerate() {
                if part.is_none() {
                    continue;
                }
                let is_free = |row: Option<usize>, column: Option<usize>| self.part(row, column).is_none();
                let mut side = |from, to| next.entry(from).or_default().push(to);
                if is_free(row.checked_sub(1), Some(column)) {
                    side((row, column), (row, column + 1));
                }
                if is_free(Some(row), Some(column + 1)) {
                    side((row, column + 1), (row + 1, column + 1));
                }
                if is_free(Some(row + 1), Some(column)) {
                    side((row + 1, column + 1), (row + 1, column));
                }
                if is_free(Some(row), column.checked_sub(1)) {
                    side((row + 1, column), (row, column));
                }
            }
        }
        let mut outlines = Vec::new();
        while let Some((start, _)) = next.iter().find(|(_, ends)| !ends.is_empty()).map(|(at, ends)| (*at, ends.clone())) {
            let mut corners = vec![start];
            let mut at = start;
            while let Some(to) = next.get_mut(&at).and_then(Vec::pop) {
                corners.push(to);
                at = to;
                if at == start {
                    break;
                }
            }
            let points: Vec<Point> = corners
                .iter()
                .filter_map(|(row, column)| Some(Point::new(*self.xs.get(*column)?, *self.ys.get(*row)?)))
                .collect();
            outlines.push(straight(&points));
        }
        outlines
    }
}

fn middle(xs: &[f64], ys: &[f64], row: usize, column: usize) -> Option<Point> {
    let between = |values: &[f64], at: usize| Some((values.get(at)? + values.get(at + 1)?) / 2.0);
    Some(Point::new(between(xs, column)?, between(ys, row)?))
}

/// Numbers the filled squares that hang together.
fn parts(filled: &[Vec<bool>]) -> Vec<Vec<Option<usize>>> {
    let mut parts: Vec<Vec<Option<usize>>> = filled.iter().map(|row| vec![None; row.len()]).collect();
    let mut count = 0;
    for row in 0..filled.len() {
        for column in 0..filled.get(row).map_or(0, Vec::len) {
            let mut waiting = vec![(row, column)];
            let mut is_new = false;
            while let Some((row, column)) = waiting.pop() {
                let is_filled = filled.get(row).and_then(|line| line.get(column)).copied().unwrap_or(false);
                let Some(slot) = parts.get_mut(row).and_then(|line| line.get_mut(column)) else { continue };
                if !is_filled || slot.is_some() {
                    continue;
                }
                *slot = Some(count);
                is_new = true;
                waiting.extend([(row + 1, column), (row, column + 1)]);
                waiting.extend(row.checked_sub(1).map(|row| (row, column)));
                waiting.extend(column.checked_sub(1).map(|column| (row, column)));
            }
            count += usize::from(is_new);
        }
    }
    parts
}

/// Without corners on a straight line.
fn straight(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    for point in points {
        if let [.., a, b] = kept.as_slice()
            && ((a.x == b.x && b.x == point.x) || (a.y == b.y && b.y == point.y))
        {
            kept.pop();
        }
        kept.push(*point);
    }
    kept
}
