//! Metric studs and the rings that go on them.

use super::source::{Source, Sourced};
use std::{fmt, str::FromStr};

static FOUR: Source = Source::memory("ABYC E-11, rings on one stud");
static THREE: Source = Source::seen("rings on one earth stud of a truck", "bodybuilder's note of a vehicle maker");

/// A metric thread that rings are made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stud {
    /// 4 mm.
    M4,
    /// 5 mm.
    M5,
    /// 6 mm.
    M6,
    /// 8 mm.
    M8,
    /// 10 mm.
    M10,
    /// 12 mm.
    M12,
}

impl Stud {
    /// Every stud, smallest first.
    pub const ALL: [Self; 6] = [Self::M4, Self::M5, Self::M6, Self::M8, Self::M10, Self::M12];

    /// The thread's name: `M8`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::M4 => "M4",
            Self::M5 => "M5",
            Self::M6 => "M6",
            Self::M8 => "M8",
            Self::M10 => "M10",
            Self::M12 => "M12",
        }
    }
}

impl fmt::Display for Stud {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A text that names no stud from M4 to M12.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StudError {
    /// The text.
    pub text: String,
}

impl fmt::Display for StudError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is not a metric stud; use one of", self.text)?;
        for (index, stud) in Stud::ALL.iter().enumerate() {
            write!(f, "{} `{stud}`", if index == 0 { "" } else { "," })?;
        }
        Ok(())
    }
}

impl std::error::Error for StudError {}

impl FromStr for Stud {
    type Err = StudError;

    /// Reads `M8`.
    ///
    /// # Errors
    /// A text that is none of the names, in capitals.
    fn from_str(text: &str) -> Result<Self, StudError> {
        Self::ALL.into_iter().find(|stud| stud.name() == text).ok_or_else(|| StudError { text: text.to_owned() })
    }
}

/// Most rings on one stud by the boat builders' rule, largest at the bottom; remembered.
#[must_use]
pub fn most_rings_marine() -> Sourced<usize> {
    Sourced::new(4, &FOUR)
}

/// Most rings on one stud by the only page that was read; the stricter of the two, and the one to start from.
#[must_use]
pub fn most_rings() -> Sourced<usize> {
    Sourced::new(3, &THREE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn studs_are_read_as_printed() {
        for stud in Stud::ALL {
            assert_eq!(stud.to_string().parse(), Ok(stud));
        }
        let error = "M7".parse::<Stud>().unwrap_err();
        assert_eq!(error.to_string(), "`M7` is not a metric stud; use one of `M4`, `M5`, `M6`, `M8`, `M10`, `M12`");
        assert!("m8".parse::<Stud>().is_err());
    }
}
