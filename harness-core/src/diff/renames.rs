//! What was called otherwise before: dotted names of an older design in those of a newer one.
//!
//! Owns the mapping alone; who is who is found elsewhere. Knows nothing of designs.

use rustc_hash::FxHashMap;
use std::borrow::Cow;

/// Renamed things of two designs, by dotted names such as `front.P1`, `fusebox`, `front.104`.
///
/// A name is mapped by its longest part up to a dot, or its whole, that was renamed: with `front.P1` renamed to `front.X1`
/// the cavity `front.P1.3` is `front.X1.3`. So each pair gives full names: where a box and a fuse in it were renamed, the
/// fuse's pair is (`fusebox.F4`, `fuse-carrier.F9`).
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Renames {
    new_by_old: FxHashMap<String, String>,
    old_by_new: FxHashMap<String, String>,
}

impl Renames {
    /// The mapping of pairs of an old and a new name. Of pairs that give one name twice the first counts; a pair of equal
    /// names holds a name against the renaming of what it is in.
    #[must_use]
    pub fn new(pairs: impl IntoIterator<Item = (String, String)>) -> Self {
        let mut renames = Self::default();
        for (old, new) in pairs {
            if renames.new_by_old.contains_key(&old) || renames.old_by_new.contains_key(&new) {
                continue;
            }
            renames.old_by_new.insert(new.clone(), old.clone());
            renames.new_by_old.insert(old, new);
        }
        renames
    }

    /// Whether nothing was renamed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.new_by_old.is_empty()
    }

    /// The same things seen from the newer design: what it calls new is old here.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self { new_by_old: self.old_by_new.clone(), old_by_new: self.new_by_old.clone() }
    }

    /// What an old name is in the newer design; the name itself where nothing of it was renamed. Cost: one look-up a dot.
    #[must_use]
    pub fn to_new<'a>(&self, old: &'a str) -> Cow<'a, str> {
        mapped(&self.new_by_old, old)
    }

    /// What a new name was in the older design; the name itself where nothing of it was renamed.
    #[must_use]
    pub fn to_old<'a>(&self, new: &'a str) -> Cow<'a, str> {
        mapped(&self.old_by_new, new)
    }

    /// The name under which the newer design could hold what the older called `old`; `None` where something else took that
    /// name over, so that the old thing has no successor.
    #[must_use]
    pub fn successor<'a>(&self, old: &'a str) -> Option<Cow<'a, str>> {
        let new = self.to_new(old);
        (self.to_old(&new) == old).then_some(new)
    }

    /// A text of an older report with the names in backticks as they are now.
    #[must_use]
    pub fn in_ticks<'a>(&self, text: &'a str) -> Cow<'a, str> {
        if self.is_empty() || !text.contains('`') {
            return Cow::Borrowed(text);
        }
        let mut renamed = String::with_capacity(text.len());
        for (at, piece) in text.split('`').enumerate() {
            if at > 0 {
                renamed.push('`');
            }
            if at % 2 == 1 { renamed.push_str(&self.to_new(piece)) } else { renamed.push_str(piece) }
        }
        Cow::Owned(renamed)
    }
}

fn mapped<'a>(table: &FxHashMap<String, String>, name: &'a str) -> Cow<'a, str> {
    if table.is_empty() {
        return Cow::Borrowed(name);
    }
    if let Some(other) = table.get(name) {
        return Cow::Owned(other.clone());
    }
    for (dot, _) in name.rmatch_indices('.') {
        let (Some(head), Some(rest)) = (name.get(..dot), name.get(dot..)) else { continue };
        if let Some(other) = table.get(head) {
            return Cow::Owned(format!("{other}{rest}"));
        }
    }
    Cow::Borrowed(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn renames(pairs: &[(&str, &str)]) -> Renames {
        Renames::new(pairs.iter().map(|(old, new)| ((*old).to_owned(), (*new).to_owned())))
    }

    #[test]
    fn the_longest_renamed_part_at_a_dot_decides() {
        let found =
            renames(&[("front.P1", "front.X1"), ("fusebox", "carrier"), ("fusebox.F4", "carrier.F9"), ("pump.J1", "pump.J2")]);
        for (old, new) in [
            ("front.P1", "front.X1"),
            ("front.P1.3", "front.X1.3"),
            ("front.P10.3", "front.P10.3"),
            ("front.P11", "front.P11"),
            ("fusebox", "carrier"),
            ("fusebox.F5", "carrier.F5"),
            ("fusebox.F4", "carrier.F9"),
            ("fuseboxes.F4", "fuseboxes.F4"),
            ("pump.J1.2", "pump.J2.2"),
            ("rear.P1.3", "rear.P1.3"),
            ("", ""),
        ] {
            assert_eq!(found.to_new(old), new);
            assert_eq!(found.to_old(new), old);
            assert_eq!(found.inverse().to_new(new), old);
        }
    }

    #[test]
    fn names_may_change_places() {
        let found = renames(&[("front.P1", "front.P2"), ("front.P2", "front.P1")]);
        assert_eq!(found.to_new("front.P1.3"), "front.P2.3");
        assert_eq!(found.to_new("front.P2.3"), "front.P1.3");
        assert_eq!(found.successor("front.P2.3").as_deref(), Some("front.P1.3"));
    }

    #[test]
    fn what_another_thing_took_the_name_of_has_no_successor() {
        let found = renames(&[("front.104", "front.101"), ("fusebox", "carrier"), ("fusebox.F4", "carrier.F9")]);
        assert_eq!(found.successor("front.101"), None);
        assert_eq!(found.successor("front.104").as_deref(), Some("front.101"));
        assert_eq!(found.successor("fusebox.F9"), None);
        assert_eq!(found.successor("carrier.F1"), None);
        assert_eq!(found.successor("front.105").as_deref(), Some("front.105"));
    }

    #[test]
    fn only_names_in_backticks_are_mapped_in_texts() {
        let found = renames(&[("fuse", "holder"), ("front.P1", "front.X1")]);
        assert_eq!(
            found.in_ticks("a fuse before `front.P1.2`, `fuse.F1` and `front.P2`"),
            "a fuse before `front.X1.2`, `holder.F1` and `front.P2`"
        );
        assert_eq!(found.in_ticks("one `open"), "one `open");
    }
}
