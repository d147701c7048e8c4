//! Where two branches collide in what they mean, though their texts merge.
//!
//! Both branches are compared with what they come from, and their changes are put in its names (`branch`). What they say of the same things is held
//! together in `facts`; what they put in one place in `places`; what one does to a fuse and the other to the metal behind it in
//! `fuses`. Identical edits do not collide. Cost: linear in the three inventories, times a logarithm.

mod branch;
mod facts;
mod fuses;
mod places;

use self::branch::Branch;
use super::{Revision, inventory::Key};

/// How sure it is that both can't stay as they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// Both can't hold.
    Certain,
    /// Both can hold, but were decided without knowing of each other.
    Look,
}

impl Grade {
    /// The word that is printed.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Certain => "certain",
            Self::Look => "look",
        }
    }
}

/// One collision.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Collision {
    /// How sure it is.
    pub grade: Grade,
    /// The things that it is about, in the names of the base or, for what is new, of the branch that has it.
    pub concerns: Vec<Key>,
    /// What collides, in one line that makes sense by itself.
    pub headline: String,
    /// What our branch did.
    pub ours: Vec<String>,
    /// What theirs did.
    pub theirs: Vec<String>,
    /// What to do.
    pub help: String,
}

/// The collisions of two branches that come from `base`: what can't hold first, then by thing.
///
/// The same for swapped branches, with `ours` and `theirs` swapped. That nothing collides does not prove the merged design right:
/// check it.
#[must_use]
pub fn collisions(base: Revision<'_>, ours: Revision<'_>, theirs: Revision<'_>) -> Vec<Collision> {
    let design = base.design;
    let base = base.inventory;
    let (ours, theirs) = (Branch::new(base, ours), Branch::new(base, theirs));
    let mut found = Found::default();
    for (mine, other, turned) in [(&ours, &theirs, false), (&theirs, &ours, true)] {
        found.turned = turned;
        facts::one_way(base, mine, other, &mut found);
        places::one_way(base, mine, other, &mut found);
        fuses::one_way((design, base), mine, other, &mut found);
    }
    found.turned = false;
    facts::both_ways(base, &ours, &theirs, &mut found);
    places::both_ways(base, &ours, &theirs, &mut found);
    found.all.sort();
    found.all.dedup();
    found.all
}

/// What was found so far.
#[derive(Debug, Default)]
struct Found {
    all: Vec<Collision>,
    /// Whether the first of the two branches is theirs.
    turned: bool,
}

impl Found {
    /// Adds a collision; `mine` and `other` are what the first and the second branch did.
    fn add(&mut self, grade: Grade, concerns: Vec<Key>, headline: String, did: (Vec<String>, Vec<String>), help: String) {
        let (ours, theirs) = if self.turned { (did.1, did.0) } else { did };
        self.all.push(Collision { grade, concerns, headline, ours, theirs, help });
    }
}
