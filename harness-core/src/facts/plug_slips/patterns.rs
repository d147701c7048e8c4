//! The ways in which a whole plug is numbered wrongly, as orders of its positions.

/// How the positions of a plug were confused as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pattern {
    /// From the other side: the last for the first.
    Reversed,
    /// Each row from the other side: the mirror image of the face.
    RowsReversed,
    /// The rows for each other, of more than two the last for the first.
    RowsSwapped,
    /// Upside down: the face turned by half a turn.
    HalfTurn,
    /// Each wire by so many positions too far; below zero, not far enough. The row is taken as a ring.
    Shifted(i32),
    /// No order that has a name.
    Other,
}

/// Rows of a connector of which nothing is said: two to four of equal length.
const ROWS: [usize; 3] = [2, 3, 4];
/// Positions of a row that can be read from the wrong side where the face is only guessed: of two it would be any pair of wires.
const LEAST_IN_ROW: usize = 3;

impl Pattern {
    /// Of the positions that are moved so many for each one that may stay by itself. An image of a known face leaves the middle where it is: of
    /// three in a row one, of three rows one. Of a face that is only guessed it would be any few wires.
    pub(super) fn moved_for_each_that_stays(self, has_face: bool) -> usize {
        match self {
            Self::Reversed | Self::RowsReversed | Self::RowsSwapped | Self::HalfTurn if has_face => 2,
            Self::Reversed | Self::RowsReversed | Self::RowsSwapped | Self::HalfTurn => super::ONE_IN,
            Self::Shifted(_) | Self::Other => super::ONE_IN,
        }
    }
}

/// For each pattern where the wire in each position belongs, for a connector of `count` positions, of which the first `used` are in use, in known `rows`
/// (as places in the order of the labels; empty where nothing is said). No order twice, the most likely first.
pub(super) fn patterns(count: usize, used: usize, rows: &[Vec<usize>]) -> Vec<(Pattern, Vec<usize>)> {
    let mut found: Vec<(Pattern, Vec<usize>)> = Vec::new();
    let mut add = |pattern, order: Option<Vec<usize>>| {
        let Some(order) = order else { return };
        if order.iter().enumerate().any(|(at, to)| at != *to) && found.iter().all(|(_, known)| *known != order) {
            found.push((pattern, order));
        }
    };
    // What is written of the face comes before what its numbers alone may mean.
    if rows.len() > 1 {
        add(Pattern::RowsReversed, turned(count, rows.iter().map(|row| (row, reversed(row)))));
        add(Pattern::HalfTurn, turned(count, rows.iter().zip(rows.iter().rev().map(|row| reversed(row)))));
        add(Pattern::RowsSwapped, turned(count, rows.iter().zip(rows.iter().rev().cloned())));
    }
    if let [row] = rows {
        add(Pattern::Reversed, turned(count, std::iter::once((row, reversed(row)))));
    }
    add(Pattern::Reversed, Some((0..count).rev().collect()));
    add(Pattern::Reversed, (used <= count).then(|| (0..used).rev().chain(used..count).collect()));
    let mut faces: Vec<Vec<Vec<usize>>> = Vec::new();
    for number in ROWS.into_iter().filter(|number| rows.is_empty() && count.is_multiple_of(*number) && count / number > 1) {
        let length = count / number;
        faces.push((0..number).map(|row| (0..length).map(|at| row * length + at).collect()).collect());
        faces.push((0..number).map(|row| (0..length).map(|at| at * number + row).collect()).collect());
    }
    for face in faces.iter().filter(|face| face.iter().all(|row| row.len() >= LEAST_IN_ROW)) {
        add(Pattern::RowsReversed, turned(count, face.iter().map(|row| (row, reversed(row)))));
    }
    for face in &faces {
        add(Pattern::RowsSwapped, turned(count, face.iter().zip(face.iter().rev().cloned())));
    }
    for ring in [count, used.min(count)] {
        let half = ring as i32 / 2;
        for by in (1..=half).flat_map(|by| [by, -by]) {
            let to = |at: usize| if at < ring { (at as i32 - by).rem_euclid(ring as i32) as usize } else { at };
            add(Pattern::Shifted(by), Some((0..count).map(to).collect()));
        }
    }
    found
}

fn reversed(row: &[usize]) -> Vec<usize> {
    row.iter().rev().copied().collect()
}

/// The order in which each position of a row goes to the same place of the other; `None` where the rows do not go together.
fn turned<'r>(count: usize, rows: impl Iterator<Item = (&'r Vec<usize>, Vec<usize>)>) -> Option<Vec<usize>> {
    let mut order: Vec<usize> = (0..count).collect();
    for (row, other) in rows {
        if row.len() != other.len() {
            return None;
        }
        for (at, to) in row.iter().zip(other) {
            *order.get_mut(*at)? = to;
        }
    }
    Some(order)
}

#[cfg(test)]
mod tests {
    use super::{Pattern, patterns};

    /// Positions from 1, as they are printed on housings.
    fn order(count: usize, rows: &[Vec<usize>], wanted: Pattern) -> Vec<Vec<usize>> {
        let all = patterns(count, count, rows).into_iter().filter(|(pattern, _)| *pattern == wanted);
        all.map(|(_, order)| order.into_iter().map(|to| to + 1).collect()).collect()
    }

    #[test]
    fn each_pattern_says_where_the_wire_in_each_position_belongs() {
        assert_eq!(order(5, &[], Pattern::Reversed), [[5, 4, 3, 2, 1]]);
        assert!(order(8, &[], Pattern::RowsReversed).contains(&vec![4, 3, 2, 1, 8, 7, 6, 5]));
        assert!(order(8, &[], Pattern::RowsReversed).contains(&vec![7, 8, 5, 6, 3, 4, 1, 2]));
        assert!(order(4, &[], Pattern::RowsReversed).is_empty());
        assert!(order(8, &[], Pattern::RowsSwapped).contains(&vec![5, 6, 7, 8, 1, 2, 3, 4]));
        assert!(order(8, &[], Pattern::RowsSwapped).contains(&vec![2, 1, 4, 3, 6, 5, 8, 7]));
        assert_eq!(order(6, &[], Pattern::Shifted(1)), [[6, 1, 2, 3, 4, 5]]);
        assert_eq!(order(6, &[], Pattern::Shifted(-1)), [[2, 3, 4, 5, 6, 1]]);
    }

    #[test]
    fn the_rows_of_a_face_count_where_they_are_given() {
        let face = [vec![0, 1, 2], vec![3, 4, 5]];
        assert_eq!(order(6, &face, Pattern::RowsReversed), [[3, 2, 1, 6, 5, 4]]);
        assert_eq!(order(6, &face, Pattern::RowsSwapped), [[4, 5, 6, 1, 2, 3]]);
        assert!(patterns(8, 6, &[]).contains(&(Pattern::Reversed, vec![5, 4, 3, 2, 1, 0, 6, 7])));
        // Of rows of different length none takes the place of the other.
        assert!(order(5, &[vec![0, 1, 2], vec![3, 4]], Pattern::RowsSwapped).is_empty());
        // Numbered to and fro: upside down the first of the one row takes the place of the first of the other.
        let snake = [vec![0, 1, 2], vec![5, 4, 3]];
        assert_eq!(order(6, &snake, Pattern::HalfTurn), [[4, 5, 6, 1, 2, 3]]);
        assert_eq!(order(6, &snake, Pattern::RowsSwapped), [[6, 5, 4, 3, 2, 1]]);
        assert_eq!(order(6, &snake, Pattern::RowsReversed), [[3, 2, 1, 6, 5, 4]]);
        // By columns, two positions wide.
        let narrow = [vec![0, 3], vec![1, 4], vec![2, 5]];
        assert_eq!(order(6, &narrow, Pattern::RowsReversed), [[4, 5, 6, 1, 2, 3]]);
        assert_eq!(order(6, &narrow, Pattern::RowsSwapped), [[3, 2, 1, 6, 5, 4]]);
    }

    #[test]
    fn no_order_is_there_twice_and_each_has_every_position_once() {
        for count in 0..=24 {
            let all = patterns(count, count / 2, &[]);
            for (at, (_, order)) in all.iter().enumerate() {
                let mut sorted = order.clone();
                sorted.sort_unstable();
                assert_eq!(sorted, (0..count).collect::<Vec<_>>());
                assert!(all.iter().skip(at + 1).all(|(_, other)| other != order));
            }
        }
    }
}
