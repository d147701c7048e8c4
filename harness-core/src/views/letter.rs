//! The letters at the two ends of a line that is cut.

use std::fmt;

/// A letter that both ends of a cut line bear: `a` to `z`, then `aa`, `ab` …
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Letter(pub u32);

impl fmt::Display for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut rest = self.0;
        let mut letters = Vec::new();
        loop {
            letters.push(char::from(b'a' + (rest % 26) as u8));
            match (rest / 26).checked_sub(1) {
                Some(next) => rest = next,
                None => break,
            }
        }
        letters.iter().rev().try_for_each(|letter| write!(f, "{letter}"))
    }
}

/// Hands out letters in the order in which they are asked for.
#[derive(Debug, Default)]
pub(super) struct Letters(u32);

impl Letters {
    /// The next one.
    pub(super) fn next(&mut self) -> Letter {
        let letter = Letter(self.0);
        self.0 += 1;
        letter
    }

    /// How many were handed out.
    pub(super) fn given(&self) -> u32 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::Letter;

    #[test]
    fn letters_go_on_behind_z() {
        let text = |number| Letter(number).to_string();
        assert_eq!(
            [text(0), text(25), text(26), text(51), text(52), text(701), text(702)],
            ["a", "z", "aa", "az", "ba", "zz", "aaa"]
        );
    }
}
