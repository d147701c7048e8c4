//! What a field of a record means when two designs are compared, and when what is built to one is rebuilt to the other.
//!
//! Every field declares its class where it is in its record, or it does not compile. Comparison, collisions and rework ask the
//! class; none of them keeps a list of keys.

use super::kind::Kind;

/// What a field means for a comparison and at the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Class {
    /// What the key holds.
    pub holds: Holds,
    /// What it names.
    pub naming: Naming,
    /// Whether the order of its items says something.
    pub order: Order,
    /// What changes at the bench when it does.
    pub bench: Bench,
    /// What it does to the balance of fuse and conductor.
    pub current: Current,
}

/// What a key holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Holds {
    /// A fact of the thing.
    Fact,
    /// More keys, each with a class of its own: a record, or records by label.
    Record,
    /// Further things.
    Things(Kind),
    /// Files: how a design is spread over them is not a fact of it.
    Files,
}

/// What a fact names, and where that is looked up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Naming {
    /// Nothing: it is a figure, a word, a text.
    Nothing,
    /// A thing of one of these kinds by its whole name.
    Anywhere(&'static [Kind]),
    /// A thing of one of these kinds in the same loom.
    InLoom(&'static [Kind]),
    /// A port of a device or an end of a loom.
    Mate,
    /// A point of the same device or loom.
    Point,
    /// Whatever a finding can concern.
    Concerned,
}

/// Whether the order of the items of a fact says something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Order {
    /// It does, or there is one item alone.
    Listed,
    /// It does not.
    Set,
    /// It does not, and where no mode is named all count.
    Modes,
}

/// What changes at the bench when a fact does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bench {
    /// Nothing: it is on paper only.
    Paper,
    /// The things in it, each by facts of its own.
    Through,
    /// Where one of the two ends of a wire is; which is written first says nothing.
    WireEnd,
    /// Where an end of a screen is.
    Place,
    /// Which cavities have a plug.
    Plug,
    /// A name that is written on something.
    Label,
    /// Something that hands change.
    Work(Work),
}

/// How hands change something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Work {
    /// A lead is cut new.
    Cut,
    /// A lead is cut back where it becomes shorter, and cut new where it becomes longer.
    Length,
    /// Another core of a cable is taken.
    Core,
    /// A lead is laid another way.
    Lay,
    /// A wire comes to a twisted group or leaves one.
    Twist,
    /// A loose end is capped.
    Cap,
    /// Contacts are set anew: another housing, ring or terminal.
    Contact,
    /// An end is mated or bolted elsewhere.
    Mate,
    /// Something is tied at another place.
    Tie,
    /// The covering of a segment is another.
    Cover,
    /// A nut is tightened otherwise.
    Torque,
    /// Something is put into its holder or taken out of it.
    Insert,
    /// A device or element is altered, or swapped for another.
    Alter,
}

/// What a fact does to the balance of fuse and conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Current {
    /// Nothing.
    Nothing,
    /// A fuse opens at another current, or protects something else.
    Fuse,
    /// A conductor withstands another current, or carries one elsewhere.
    Conductor,
    /// A load takes another current.
    Load,
    /// An element is elsewhere, whatever it is.
    Element,
}

impl Class {
    const PAPER: Self = Self {
        holds: Holds::Fact,
        naming: Naming::Nothing,
        order: Order::Listed,
        bench: Bench::Paper,
        current: Current::Nothing,
    };

    const fn at_the_bench(bench: Bench) -> Self {
        Self { bench, ..Self::PAPER }
    }

    pub(super) const fn naming(self, naming: Naming) -> Self {
        Self { naming, ..self }
    }

    pub(super) const fn set(self) -> Self {
        Self { order: Order::Set, ..self }
    }

    pub(super) const fn modes(self) -> Self {
        Self { order: Order::Modes, ..self }.naming(Naming::Anywhere(&[Kind::Mode]))
    }

    pub(super) const fn moves(self, current: Current) -> Self {
        Self { current, ..self }
    }

    /// Whether it joins the thing to what it names; other facts say what the thing is.
    #[must_use]
    pub fn joins(self) -> bool {
        match self.bench {
            Bench::WireEnd | Bench::Place | Bench::Work(Work::Core) => true,
            Bench::Paper | Bench::Through | Bench::Plug | Bench::Label | Bench::Work(_) => {
                matches!(self.naming, Naming::Mate | Naming::Point)
            }
        }
    }

    /// How hands change it; `None` where they do not.
    #[must_use]
    pub fn work(self) -> Option<Work> {
        match self.bench {
            Bench::Work(work) => Some(work),
            Bench::Paper | Bench::Through | Bench::WireEnd | Bench::Place | Bench::Plug | Bench::Label => None,
        }
    }
}

/// On paper only.
pub(super) const fn paper() -> Class {
    Class::PAPER
}

/// Done by what it changes of the things in it.
pub(super) const fn through() -> Class {
    Class::at_the_bench(Bench::Through)
}

/// One of the two ends of a wire.
pub(super) const fn wire_end() -> Class {
    Class::at_the_bench(Bench::WireEnd).naming(Naming::InLoom(JOINED)).set().moves(Current::Conductor)
}

/// An end of a screen.
pub(super) const fn place() -> Class {
    Class::at_the_bench(Bench::Place).naming(Naming::InLoom(JOINED))
}

/// Cavities with a plug.
pub(super) const fn plug() -> Class {
    Class::at_the_bench(Bench::Plug)
}

/// A name on a label.
pub(super) const fn label() -> Class {
    Class::at_the_bench(Bench::Label)
}

/// Changed by hand.
pub(super) const fn work(work: Work) -> Class {
    Class::at_the_bench(Bench::Work(work))
}

/// A device or element is another.
pub(super) const fn alter() -> Class {
    work(Work::Alter)
}

/// More keys behind this one.
pub(super) const fn record() -> Class {
    Class { holds: Holds::Record, ..Class::PAPER }
}

/// Further things behind it.
pub(super) const fn things(kind: Kind) -> Class {
    Class { holds: Holds::Things(kind), ..Class::PAPER }
}

/// Files behind it.
pub(super) const fn files() -> Class {
    Class { holds: Holds::Files, ..Class::PAPER }
}

/// A thing by its whole name.
pub(super) const fn anywhere(kinds: &'static [Kind]) -> Naming {
    Naming::Anywhere(kinds)
}

/// A thing of the same loom.
pub(super) const fn in_loom(kinds: &'static [Kind]) -> Naming {
    Naming::InLoom(kinds)
}

/// What wires and screens of a loom join.
const JOINED: &[Kind] = &[Kind::End, Kind::Splice, Kind::Element];
