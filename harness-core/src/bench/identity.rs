//! Which design a paper was made from: its name, its revision and a fingerprint of its files.

use crate::{analysis::Analysis, design::Design, text::Name};
use std::fmt;

/// What every paper carries, so that two papers of one design are known as such and an old one is known as old.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Identity {
    /// The name of the design; empty where it gives none.
    pub design: String,
    /// Its revision; empty where it gives none.
    pub revision: String,
    /// A fingerprint of the text of its files.
    pub fingerprint: Fingerprint,
    /// Whether anything in it is of voltage class B.
    pub has_class_b: bool,
}

impl Identity {
    /// The identity of an analysed design. Cost: a pass over the bytes of its files.
    #[must_use]
    pub fn of(analysis: &Analysis) -> Self {
        let (design, model) = (analysis.design(), analysis.model());
        let text = |name: Option<Name>| name.map_or_else(String::new, |name| model.text(name).to_owned());
        Self {
            design: text(model.design),
            revision: text(model.revision),
            fingerprint: Fingerprint::of(design),
            has_class_b: model.domains().any(|(_, domain)| domain.is_class_b()),
        }
    }
}

impl Identity {
    /// That of a paper which no design was read for.
    #[must_use]
    pub fn of_no_design() -> Self {
        Self { design: String::new(), revision: String::new(), fingerprint: Fingerprint(0), has_class_b: true }
    }

    /// Whether a design was read.
    #[must_use]
    pub fn is_of_a_design(&self) -> bool {
        self.fingerprint != Fingerprint(0)
    }
}

/// A number that is another one as soon as a letter of a file is: 64 bits of FNV-1a (public domain, from memory) over the texts of the files, each
/// with its length. Names of files and their order do not matter. Shown as twice four hexadecimal digits of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fingerprint(pub u64);

const START: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0100_0000_01b3;

impl Fingerprint {
    fn of(design: &Design) -> Self {
        let mut files: Vec<u64> = design.sources().files().map(|(_, file)| hash(START, file.text().as_bytes())).collect();
        files.sort_unstable();
        Self(files.iter().fold(START, |so_far, file| hash(so_far, &file.to_le_bytes())))
    }
}

fn hash(start: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(start, |so_far, byte| (so_far ^ u64::from(*byte)).wrapping_mul(PRIME))
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let folded = (self.0 ^ (self.0 >> 32)) as u32;
        write!(f, "{:04x}-{:04x}", folded >> 16, folded & 0xffff)
    }
}

#[cfg(test)]
mod tests {
    use super::{START, hash};

    /// The check values that go with the definition of FNV-1a (from memory): of nothing, `a`, `foobar`.
    #[test]
    fn the_hash_is_the_published_one() {
        for (text, expected) in [("", 0xcbf2_9ce4_8422_2325), ("a", 0xaf63_dc4c_8601_ec8c), ("foobar", 0x8594_4171_f739_67e8)] {
            assert_eq!(hash(START, text.as_bytes()), expected, "{text}");
        }
    }
}
