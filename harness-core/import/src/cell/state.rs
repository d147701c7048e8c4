//! What a cell says of the state of a cavity or wire.

/// A state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// The cavity is free.
    Spare,
    /// The cavity is closed by a plug.
    Plugged,
    /// The wire ends nowhere and is closed off.
    Capped,
    /// Kept for later: it need not be wired.
    Reserved,
    /// The number must not be used again.
    Retired,
}

impl State {
    /// The word of the netlist and of reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Spare => "spare",
            Self::Plugged => "plugged",
            Self::Capped => "capped",
            Self::Reserved => "reserved",
            Self::Retired => "retired",
        }
    }
}

/// Whole cells with what they say; conventions seen.
const CELLS: &[(&str, State)] = &[
    ("n/c", State::Spare),
    ("nc", State::Spare),
    ("n.c.", State::Spare),
    ("-", State::Spare),
    ("--", State::Spare),
    ("---", State::Spare),
    ("–", State::Spare),
    ("—", State::Spare),
    ("empty", State::Spare),
    ("spare", State::Spare),
    ("not connected", State::Spare),
    ("no connection", State::Spare),
    ("no connect", State::Spare),
    ("unused", State::Spare),
    ("not used", State::Spare),
    ("free", State::Spare),
    ("none", State::Spare),
    ("x", State::Spare),
    ("n/a", State::Spare),
    ("open", State::Spare),
    ("plug", State::Plugged),
    ("plugged", State::Plugged),
    ("cavity plug", State::Plugged),
    ("sealing plug", State::Plugged),
    ("blank", State::Plugged),
    ("blanked", State::Plugged),
    ("blind plug", State::Plugged),
    ("sealed", State::Plugged),
    ("dummy plug", State::Plugged),
    ("capped", State::Capped),
    ("cap", State::Capped),
    ("capped off", State::Capped),
    ("capped end", State::Capped),
    ("cap and stow", State::Capped),
    ("insulated", State::Capped),
    ("capped and stowed", State::Capped),
    ("end cap", State::Capped),
    ("reserved", State::Reserved),
    ("reserve", State::Reserved),
    ("future", State::Reserved),
    ("future use", State::Reserved),
    ("reserved for future use", State::Reserved),
    ("may be re-purposed", State::Reserved),
    ("may be repurposed", State::Reserved),
    ("optional", State::Reserved),
    ("retired", State::Retired),
    ("deleted", State::Retired),
    ("removed", State::Retired),
    ("obsolete", State::Retired),
    ("withdrawn", State::Retired),
    ("cancelled", State::Retired),
    ("void", State::Retired),
    ("do not use", State::Retired),
    ("do not reuse", State::Retired),
];

/// The state that a whole cell says, if it says one. An empty cell says none: where it is decides.
#[must_use]
pub fn state(cell: &str) -> Option<State> {
    let plain = cell.trim().trim_matches(['(', ')', '[', ']', '.', '!', '*']).trim().to_lowercase();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    CELLS.iter().find(|(known, _)| *known == plain || known.trim_end_matches('.') == plain).map(|(_, state)| *state)
}
