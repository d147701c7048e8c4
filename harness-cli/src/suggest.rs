//! Nearest names, for a name that does not exist.

/// At most this many names are suggested.
const MOST: usize = 3;

/// The known names nearest to `name`, the nearest first: those within a third of its length in single edits
/// (a letter more, less, other, or two exchanged), and those that contain it. May be empty.
#[must_use]
pub fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let reach = (name.chars().count() / 3).max(1);
    let mut near: Vec<(usize, &str)> = known
        .into_iter()
        .filter_map(|candidate| {
            let edits = strsim::damerau_levenshtein(&name.to_lowercase(), &candidate.to_lowercase());
            let inside = name.len() >= 3 && candidate.contains(name);
            (edits <= reach || inside).then_some((if inside { reach.min(edits) } else { edits }, candidate))
        })
        .collect();
    near.sort_unstable();
    near.dedup();
    near.into_iter().map(|(_, candidate)| candidate).take(MOST).collect()
}

/// `; did you mean `a` or `b`?`, or nothing if no name is near.
#[must_use]
pub fn did_you_mean<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    let near: Vec<String> = nearest(name, known).into_iter().map(|name| format!("`{name}`")).collect();
    match near.split_last() {
        None => String::new(),
        Some((only, [])) => format!("; did you mean {only}?"),
        Some((last, rest)) => format!("; did you mean {} or {last}?", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::{did_you_mean, nearest};

    const KNOWN: [&str; 4] = ["conductor/undersized", "conductor/overheated", "contact/unsealed", "bus/long-bus"];

    #[test]
    fn slips_and_parts_find_their_name() {
        assert_eq!(nearest("conductor/undersised", KNOWN), ["conductor/undersized"]);
        assert_eq!(nearest("undersized", KNOWN), ["conductor/undersized"]);
        assert_eq!(nearest("Bus/Long-Bus", KNOWN), ["bus/long-bus"]);
        assert!(nearest("x", KNOWN).is_empty());
    }

    #[test]
    fn the_question_lists_all_that_are_near() {
        assert_eq!(did_you_mean("parket", ["parked", "drive"]), "; did you mean `parked`?");
        assert_eq!(did_you_mean("long", ["long-bus", "long-stub"]), "; did you mean `long-bus` or `long-stub`?");
        assert_eq!(did_you_mean("zz", KNOWN), "");
    }
}
