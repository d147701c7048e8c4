//! How severe a finding is.

use std::fmt;

/// How severe a finding is. Ordered: a note is the least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Not checked, or untidy.
    Note,
    /// Outside a limit, or probably a slip.
    Warning,
    /// Cannot be built as written, will not work, or will be damaged.
    Error,
    /// May hurt someone or start a fire.
    Danger,
}

impl Level {
    /// All levels, the most severe first.
    pub const ALL: [Self; 4] = [Self::Danger, Self::Error, Self::Warning, Self::Note];

    /// The level's name as it is printed and written.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
            Self::Danger => "danger",
        }
    }

    /// The level called `name`.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|level| level.name() == name)
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
