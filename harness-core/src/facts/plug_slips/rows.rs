//! The rows of a plug, as places in the order of its positions: those of its face, of its mate's, or those that the labels name.

use super::Plug;
use crate::{
    facts::{Facts, mated_pairs::Half},
    model::Mate,
    text::Name,
};
use std::collections::BTreeMap;

/// The rows of a plug; none where nothing says them. Seen from the one side or the other is the same to who turns them over.
pub(super) fn rows(facts: &Facts, plug: &Plug) -> Vec<Vec<usize>> {
    let model = facts.model();
    // The own face has the own labels, that of the mate those which `pins` leads to.
    let own = |label: &Name| plug.own.iter().position(|own| own.point.is_some_and(|point| model[point].label == *label));
    let met = |label: &Name| plug.own.iter().position(|own| own.label == Some(*label));
    let face = |half: Mate, place: &dyn Fn(&Name) -> Option<usize>| {
        let rows: Option<Vec<Vec<usize>>> =
            Half::of(model, half)?.housing.face.iter().map(|row| row.iter().map(place).collect()).collect();
        rows.filter(|rows| rows.iter().map(Vec::len).sum::<usize>() == plug.own.len())
    };
    let named = || {
        let labels: Option<Vec<&str>> =
            plug.own.iter().map(|own| own.point.map(|point| model.text(model[point].label))).collect();
        by_labels(&labels?)
    };
    face(Mate::End(plug.end), &own).or_else(|| face(plug.mate, &met)).or_else(named).unwrap_or_default()
}

/// Rows by labels such as `A1` or `b12`: a row for each letter, in it the numbers in their order. `None` where the labels are others, or the rows
/// are not alike.
fn by_labels(labels: &[&str]) -> Option<Vec<Vec<usize>>> {
    let mut rows: BTreeMap<&str, Vec<(u32, usize)>> = BTreeMap::new();
    for (at, label) in labels.iter().enumerate() {
        let digits = label.find(|letter: char| letter.is_ascii_digit()).filter(|first| *first > 0)?;
        let (row, number) = label.split_at_checked(digits)?;
        if !row.chars().all(char::is_alphabetic) {
            return None;
        }
        rows.entry(row).or_default().push((number.parse().ok()?, at));
    }
    let mut numbers: Option<Vec<u32>> = None;
    let mut found = Vec::new();
    for mut row in rows.into_values() {
        row.sort_unstable();
        let own: Vec<u32> = row.iter().map(|(number, _)| *number).collect();
        if *numbers.get_or_insert_with(|| own.clone()) != own {
            return None;
        }
        found.push(row.into_iter().map(|(_, at)| at).collect());
    }
    (found.len() > 1).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::by_labels;

    #[test]
    fn letters_are_rows_and_numbers_places_in_them() {
        assert_eq!(by_labels(&["A1", "B1", "A2", "B2"]), Some(vec![vec![0, 2], vec![1, 3]]));
        assert_eq!(by_labels(&["b10", "b9", "a9", "a10"]), Some(vec![vec![2, 3], vec![1, 0]]));
        // Numbers, letters, one row, and rows that are not alike.
        for labels in [
            vec!["1", "2", "3", "4"],
            vec!["A", "B", "C"],
            vec!["A1", "A2"],
            vec!["A1", "A2", "B1"],
            vec!["A1", "A2", "B1", "B3"],
        ] {
            assert_eq!(by_labels(&labels), None, "{labels:?}");
        }
    }
}
