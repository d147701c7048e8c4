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
    ("for future use", State::Reserved),
    ("may be re-purposed", State::Reserved),
    ("may be repurposed", State::Reserved),
    ("optional", State::Reserved),
    ("frei", State::Spare),
    ("unbelegt", State::Spare),
    ("nicht belegt", State::Spare),
    ("libre", State::Spare),
    ("non utilisé", State::Spare),
    ("libero", State::Spare),
    ("non usato", State::Spare),
    ("no usado", State::Spare),
    ("vrij", State::Spare),
    ("ledig", State::Spare),
    ("blindstopfen", State::Plugged),
    ("bouchon", State::Plugged),
    ("réserve", State::Reserved),
    ("riserva", State::Reserved),
    ("reserva", State::Reserved),
    ("entfällt", State::Retired),
    ("entfallen", State::Retired),
    ("supprimé", State::Retired),
    ("eliminato", State::Retired),
    ("eliminado", State::Retired),
    ("vervallen", State::Retired),
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

/// What a note may say of a state: words that mean nothing else there.
const NOTES: &[&str] = &[
    "spare",
    "not used",
    "unused",
    "not connected",
    "no connection",
    "n/c",
    "plugged",
    "cavity plug",
    "sealing plug",
    "capped",
    "capped off",
    "cap and stow",
    "capped and stowed",
    "reserved",
    "future",
    "future use",
    "reserved for future use",
    "for future use",
    "reserve",
    "frei",
    "unbelegt",
    "nicht belegt",
    "libre",
    "non utilisé",
    "libero",
    "non usato",
    "no usado",
    "vrij",
    "ledig",
    "blindstopfen",
    "bouchon",
    "réserve",
    "riserva",
    "reserva",
    "entfällt",
    "entfallen",
    "supprimé",
    "eliminato",
    "eliminado",
    "vervallen",
    "retired",
    "deleted",
    "obsolete",
    "withdrawn",
    "do not use",
    "do not reuse",
];

/// The state that a note says, by itself or before or behind a comma or semicolon.
#[must_use]
pub fn state_in_note(note: &str) -> Option<State> {
    note.split([',', ';', '(', ')']).find_map(|piece| {
        let piece = piece.trim().trim_end_matches('.').to_lowercase();
        NOTES.contains(&piece.as_str()).then(|| state(&piece)).flatten()
    })
}

/// The state that a whole cell says, if it says one. An empty cell says none: where it is decides.
#[must_use]
pub fn state(cell: &str) -> Option<State> {
    let plain = cell.trim().trim_matches(['(', ')', '[', ']', '.', '!', '*']).trim().to_lowercase();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    CELLS.iter().find(|(known, _)| *known == plain || known.trim_end_matches('.') == plain).map(|(_, state)| *state)
}
