//! Names of the three phases of one circuit, as they are written at terminals, cores and signals.

use crate::vocabulary::Role;

/// How the phases of a circuit are named.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Letters {
    /// `U` `V` `W`, also `U1` `V1` `W1`.
    Uvw,
    /// `L1` `L2` `L3`.
    Lines,
    /// `T1` `T2` `T3`, the load side of a switching device.
    Terminals,
    /// `R` `S` `T`.
    Rst,
    /// `A` `B` `C`.
    Abc,
    /// `1` `2` `3`.
    Numbers,
    /// `1` `3` `5`, the line side of a switching device.
    Odd,
    /// `2` `4` `6`, its load side.
    Even,
}

/// One reading of a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhaseName {
    /// How the circuit's phases are named.
    pub letters: Letters,
    /// The phase: 0, 1 or 2.
    pub phase: u8,
    /// What else the name says: the same for all three of a circuit.
    pub rest: String,
}

/// Words that say nothing of which circuit it is.
const OF_PHASES: [&str; 5] = ["phase", "ph", "line", "leg", "winding"];

/// The readings of a name, the surest first; none where it names no phase. Single letters and numbers are read as phases only where the
/// role or the name says `phase`, or for terminals of alternating voltage; `L1` to `L3` only of a line, a phase or alternating voltage.
#[must_use]
pub fn phase_names(text: &str, role: Option<Role>, is_ac: bool) -> Vec<PhaseName> {
    let is_certain = is_ac || matches!(role, Some(Role::Phase | Role::Line));
    // Most names of a design: `U1` is one without a role, and so is what says `phase`.
    if !is_certain && text.len() > 3 && !text.to_ascii_lowercase().contains("ph") {
        return Vec::new();
    }
    let lower = text.trim().to_lowercase();
    let words: Vec<&str> = lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let says_phase = role == Some(Role::Phase) || words.iter().any(|word| matches!(*word, "phase" | "ph"));
    let is_power = says_phase || role == Some(Role::Line) || is_ac;
    let mut found = Vec::new();
    for (at, word) in words.iter().enumerate() {
        let others: Vec<&str> = words
            .iter()
            .enumerate()
            .filter(|(other, word)| *other != at && !OF_PHASES.contains(word))
            .map(|(_, word)| *word)
            .collect();
        for (letters, phase, suffix) in readings(word) {
            let is_bare = others.is_empty() && suffix.is_empty();
            let counts = match letters {
                Letters::Uvw => says_phase || is_power || is_bare,
                Letters::Lines => is_power,
                Letters::Terminals => is_power && is_bare,
                Letters::Rst | Letters::Abc | Letters::Numbers => says_phase && (is_bare || letters != Letters::Numbers),
                Letters::Odd | Letters::Even => is_power && is_bare,
            };
            if counts {
                let rest = others.iter().copied().chain([suffix]).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
                found.push(PhaseName { letters, phase, rest });
            }
        }
    }
    found.sort_by_key(|name| name.letters);
    found
}

/// What one word in small letters may mean, with what follows the phase in it.
fn readings(word: &str) -> Vec<(Letters, u8, &str)> {
    let mut found = Vec::new();
    let mut read = |letters: Letters, starts: [&str; 3], takes: fn(&str) -> bool| {
        for (start, phase) in starts.iter().zip(0..) {
            if let Some(rest) = word.strip_prefix(start).filter(|rest| takes(rest)) {
                found.push((letters, phase, rest));
            }
        }
    };
    let number = |rest: &str| rest.chars().all(|letter| letter.is_ascii_digit());
    let letters = |rest: &str| rest.chars().all(|letter| letter.is_ascii_alphabetic());
    let nothing = |rest: &str| rest.is_empty();
    read(Letters::Uvw, ["u", "v", "w"], number);
    read(Letters::Lines, ["l1", "l2", "l3"], letters);
    read(Letters::Terminals, ["t1", "t2", "t3"], letters);
    read(Letters::Rst, ["r", "s", "t"], nothing);
    read(Letters::Abc, ["a", "b", "c"], nothing);
    read(Letters::Numbers, ["1", "2", "3"], nothing);
    read(Letters::Odd, ["1", "3", "5"], nothing);
    read(Letters::Even, ["2", "4", "6"], nothing);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn first(text: &str, role: Option<Role>) -> Option<(Letters, u8, String)> {
        let name = phase_names(text, role, role == Some(Role::Line)).into_iter().next()?;
        Some((name.letters, name.phase, name.rest))
    }

    #[test]
    fn phases_are_read_as_workshops_write_them() {
        let line = Some(Role::Line);
        let phase = Some(Role::Phase);
        let is = |letters, at, rest: &str| Some((letters, at, rest.to_owned()));
        assert_eq!(first("U", None), is(Letters::Uvw, 0, ""));
        assert_eq!(first("W2", phase), is(Letters::Uvw, 2, "2"));
        assert_eq!(first("motor phase V", phase), is(Letters::Uvw, 1, "motor"));
        assert_eq!(first("L2", line), is(Letters::Lines, 1, ""));
        assert_eq!(first("L3a", line), is(Letters::Lines, 2, "a"));
        assert_eq!(first("T1", phase), is(Letters::Terminals, 0, ""));
        assert_eq!(first("Phase B", None), is(Letters::Abc, 1, ""));
        assert_eq!(first("phase 3", None), is(Letters::Numbers, 2, ""));
        assert_eq!(first("5", line), is(Letters::Odd, 2, ""));
        // A lamp feed of a fuse box, a pin of a plug and a hall sensor are not phases.
        assert_eq!(first("L1", None), None);
        assert_eq!(first("2", None), None);
        assert_eq!(first("A", None), None);
        assert_eq!(first("hall U", None), None);
        assert_eq!(first("pump", phase), None);
    }
}
