//! What kinds of lines there are: each has a width or a dash of its own, so that a print without colour says as much.

use crate::Ink;

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LineKind {
    /// A conductor of voltage class A.
    ClassA,
    /// A conductor of voltage class B.
    ClassB,
    /// A bus bar or common stud of class A.
    BusA,
    /// A bus bar or common stud of class B.
    BusB,
    /// The enclosure of a device.
    Enclosure,
    /// A screen round conductors.
    Screen,
    /// A mechanical link: what drives a contact.
    Driven,
    /// A leader, the rule of a table, the mark of a limit.
    Rule,
    /// A rule that only guides the eye.
    Grid,
    /// Not fitted in this build.
    NotFitted,
    /// The outline of a shape that is not a conductor.
    Outline,
    /// A curve of a figure.
    Curve,
    /// The second curve of a figure.
    CurveDashed,
    /// The third curve of a figure.
    CurveDotted,
    /// The fourth curve of a figure.
    CurveDashDot,
    /// A bundle of wires as it is laid.
    Bundle,
    /// A bundle with voltage class B in it.
    BundleB,
    /// What is the same as before, beside what changed.
    Same,
    /// What is no longer there: dashed, with crosses along it.
    Out,
    /// What is there now: open triangles along it, which point the way it runs.
    New,
    /// What is there still, but different: a double line.
    Changed,
}

impl LineKind {
    /// All kinds.
    pub const ALL: [Self; 21] = [
        Self::ClassA,
        Self::ClassB,
        Self::BusA,
        Self::BusB,
        Self::Enclosure,
        Self::Screen,
        Self::Driven,
        Self::Rule,
        Self::Grid,
        Self::NotFitted,
        Self::Outline,
        Self::Curve,
        Self::CurveDashed,
        Self::CurveDotted,
        Self::CurveDashDot,
        Self::Bundle,
        Self::BundleB,
        Self::Same,
        Self::Out,
        Self::New,
        Self::Changed,
    ];

    /// Its width.
    #[must_use]
    pub const fn width(self) -> f64 {
        match self {
            Self::ClassA | Self::Screen | Self::NotFitted | Self::Outline | Self::Out | Self::New => 1.4,
            Self::ClassB => 2.8,
            Self::BusA | Self::BusB | Self::Bundle | Self::Changed => 4.0,
            Self::Enclosure | Self::Driven | Self::Rule | Self::Same => 1.0,
            Self::BundleB => 6.0,
            Self::Grid => 0.5,
            Self::Curve | Self::CurveDashed | Self::CurveDotted | Self::CurveDashDot => 2.0,
        }
    }

    /// Its dashes as SVG writes them; empty for a line without.
    #[must_use]
    pub const fn dashes(self) -> &'static str {
        match self {
            Self::Enclosure => "14 3 2 3",
            Self::Screen => "6 3",
            Self::Driven => "4 2",
            Self::NotFitted => "1.4 3",
            Self::Out => "8 5",
            Self::CurveDashed => "9 5",
            Self::CurveDotted => "2 4",
            Self::CurveDashDot => "14 4 2 4",
            Self::ClassA
            | Self::ClassB
            | Self::BusA
            | Self::BusB
            | Self::Rule
            | Self::Grid
            | Self::Outline
            | Self::Curve
            | Self::Bundle
            | Self::BundleB
            | Self::Same
            | Self::New
            | Self::Changed => "",
        }
    }

    /// Its colour.
    #[must_use]
    pub const fn ink(self) -> Ink {
        match self {
            Self::ClassB | Self::BusB | Self::BundleB => Ink::ClassB,
            Self::Grid => Ink::Faint,
            Self::Same => Ink::Grey,
            Self::ClassA
            | Self::BusA
            | Self::Enclosure
            | Self::Screen
            | Self::Driven
            | Self::Rule
            | Self::NotFitted
            | Self::Outline
            | Self::Curve
            | Self::CurveDashed
            | Self::CurveDotted
            | Self::CurveDashDot
            | Self::Bundle
            | Self::Out
            | Self::New
            | Self::Changed => Ink::Black,
        }
    }

    /// Whether it is metal that carries current: what crosses it is counted, and what ends on it needs a joint.
    #[must_use]
    pub const fn is_conductor(self) -> bool {
        match self {
            Self::ClassA
            | Self::ClassB
            | Self::BusA
            | Self::BusB
            | Self::NotFitted
            | Self::Same
            | Self::Out
            | Self::New
            | Self::Changed => true,
            Self::Enclosure
            | Self::Screen
            | Self::Driven
            | Self::Rule
            | Self::Grid
            | Self::Outline
            | Self::Curve
            | Self::CurveDashed
            | Self::CurveDotted
            | Self::CurveDashDot
            | Self::Bundle
            | Self::BundleB => false,
        }
    }

    /// How far it reaches to each side, with the marks along it.
    #[must_use]
    pub const fn reach(self) -> f64 {
        match self {
            Self::Out => 5.0,
            Self::New => 6.0,
            other => other.width() / 2.0,
        }
    }

    /// Whether it is drawn by one stroke, without marks along it.
    #[must_use]
    pub(crate) const fn is_plain(self) -> bool {
        !matches!(self, Self::New | Self::Out | Self::Changed)
    }

    /// Whether it is of voltage class B.
    #[must_use]
    pub const fn is_class_b(self) -> bool {
        matches!(self, Self::ClassB | Self::BusB | Self::BundleB)
    }

    /// Whether a text may be on it: a grid only guides the eye, an enclosure is interrupted by nothing else.
    #[must_use]
    pub(crate) const fn yields_to_text(self) -> bool {
        matches!(self, Self::Grid)
    }
}
