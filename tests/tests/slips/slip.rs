//! What a slip of the hand is, and what the program may say of it.

use super::netlist::{Netlist, Way};
use serde_yaml::Value;

/// One change of a design.
#[derive(Clone)]
pub enum Edit {
    /// Another value, or a new one.
    Set(Way, Value),
    /// Left out.
    Remove(Way),
    /// Another name.
    Rename(Way, String),
}

/// One slip at one place.
#[derive(Clone)]
pub struct Slip {
    /// Where, as a failing test prints it.
    pub place: String,
    /// Names of which one must be in a finding: what the hand touched, and what that names.
    pub names: Vec<String>,
    /// The changes.
    pub edits: Vec<Edit>,
}

impl Slip {
    /// A slip that sets one value.
    pub fn set(place: impl Into<String>, way: Way, value: impl Into<String>) -> Self {
        Self::with(place, vec![Edit::Set(way, Value::String(value.into()))])
    }

    /// A slip of several changes.
    pub fn with(place: impl Into<String>, edits: Vec<Edit>) -> Self {
        let place = place.into();
        Self { names: vec![place.clone()], place, edits }
    }

    /// Also looked for in findings.
    pub fn naming(mut self, names: impl IntoIterator<Item = impl Into<String>>) -> Self {
        self.names.extend(names.into_iter().map(Into::into));
        self
    }

    /// The design with the slip in it.
    pub fn made(&self, design: &Netlist) -> Netlist {
        let mut slipped = design.clone();
        for edit in &self.edits {
            match edit {
                Edit::Set(way, value) => slipped.set(way, value.clone()),
                Edit::Remove(way) => slipped.remove(way),
                Edit::Rename(way, name) => slipped.rename(way, name),
            }
        }
        slipped
    }
}

/// What the program must say of a kind of slip.
#[derive(Clone, Copy, PartialEq)]
pub enum Owed {
    /// A warning, an error or a danger that names it, for each.
    All,
    /// The same for at least this share, in percent; the rest is quiet for the reason given.
    Share(u32, &'static str),
    /// A warning, an error or a danger wherever its effect shows, for at least this share; the rest is quiet for the reason given.
    Somewhere(u32, &'static str),
    /// At least a note, for at least this share: a fact is missing, and that is said. The rest is quiet for the reason given.
    Note(u32, &'static str),
    /// A warning, an error or a danger that names it for at least this share, and a note for all others, which is enough for the reason given.
    Noted(u32, &'static str),
}

impl Owed {
    /// The share that is owed, in percent, and why the rest may be quiet.
    pub fn share(self) -> (u32, &'static str) {
        match self {
            Self::All => (100, "none may be quiet"),
            Self::Share(percent, why) | Self::Somewhere(percent, why) => (percent, why),
            Self::Note(percent, why) | Self::Noted(percent, why) => (percent, why),
        }
    }

    /// Whether none may be without at least a note.
    pub fn is_never_silent(self) -> bool {
        matches!(self, Self::Noted(..))
    }
}

/// A kind of slip.
pub struct Kind {
    /// What the hand did.
    pub name: &'static str,
    /// What is owed.
    pub owed: Owed,
    /// Every place of a design at which it can be made.
    pub places: fn(&Netlist) -> Vec<Slip>,
}
