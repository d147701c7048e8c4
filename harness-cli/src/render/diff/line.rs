//! A difference in one line that a bot sets as the status of a change request.

use super::{Compared, effect};
use crate::{phrase::counted, render::kit::printable};
use harness_core::finding::Level;
use std::io::{self, Write};

/// Characters that hosts of change requests show of a status.
const MOST: usize = 140;

/// Writes the line: what must be known first comes first, and what goes beyond the room is left out whole.
///
/// # Errors
/// If `out` can't be written.
pub fn write(compared: &Compared, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", line(&phrases(compared)))
}

/// The phrases in the order of their weight.
fn phrases(compared: &Compared) -> Vec<String> {
    let mut phrases = Vec::new();
    if !compared.unread().is_empty() {
        phrases.push("a revision could not be read whole".to_owned());
    }
    if compared.is_same() {
        phrases.push(super::SAME.to_owned());
        return phrases;
    }
    let count = |level: Level| compared.brought().filter(|told| told.level == level).count();
    let new: Vec<String> =
        Level::ALL.into_iter().filter(|level| count(*level) > 0).map(|level| counted(count(level), level.name())).collect();
    phrases.push(if new.is_empty() { "no new finding".to_owned() } else { format!("new: {}", new.join(", ")) });
    let findings = &compared.effect.findings;
    if !findings.went.is_empty() {
        phrases.push(format!("{} gone", findings.went.len()));
    }
    phrases.push(counted(compared.changes.len(), "change"));
    for section in effect::sections(compared) {
        if !section.items.is_empty() && section.title == "loads" {
            phrases.push(format!("{} fed otherwise", counted(section.items.len(), "load")));
        }
    }
    phrases.push(compared.design());
    phrases
}

/// As many of them as there is room for.
fn line(phrases: &[String]) -> String {
    let mut line = String::new();
    for phrase in phrases {
        let phrase = printable(phrase);
        let wanted = if line.is_empty() { phrase.into_owned() } else { format!("; {phrase}") };
        if line.chars().count() + wanted.chars().count() <= MOST {
            line.push_str(&wanted);
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::{MOST, line};

    #[test]
    fn what_comes_first_is_kept_and_nothing_is_cut_in_the_middle() {
        let long = "x".repeat(120);
        assert_eq!(line(&["new: 1 danger".to_owned(), long.clone(), "3 changes".to_owned()]), format!("new: 1 danger; {long}"));
        assert_eq!(line(&["y".repeat(MOST + 1), "3 changes".to_owned()]), "3 changes");
    }
}
