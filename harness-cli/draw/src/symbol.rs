//! Graphic symbols after IEC 60617, on a grid, drawn at rest.
//!
//! Unturned, the current enters at the left on `y = 0`. Each symbol says how far its leads reach and which box it fills, so that lines end where it
//! begins and labels stay clear of it.

use crate::{Point, Rect, Turn};

/// A kind of current at a side of a converter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Current {
    /// Direct current.
    Direct,
    /// Alternating current.
    Alternating,
}

/// A symbol.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symbol {
    /// A battery of cells; plus is right.
    Battery,
    /// A source of voltage; plus is right.
    Source,
    /// A source of alternating voltage.
    Alternating,
    /// A fuse.
    Fuse,
    /// A make contact, open.
    Switch,
    /// The power contact of a contactor, open.
    Contactor,
    /// A disconnector, open.
    Disconnector,
    /// A disconnector that is a plug with a link in it, in.
    PullPlug,
    /// A change-over contact; the common side is right, at rest it touches the upper contact.
    Changeover,
    /// The coil of a relay or contactor.
    Coil,
    /// A motor.
    Motor,
    /// A lamp.
    Lamp,
    /// A heater.
    Heater,
    /// A horn or buzzer.
    Horn,
    /// The coil of a valve, or another actuator.
    Actuator,
    /// Electronics, or a load of which no more is said.
    Electronics,
    /// A socket outlet.
    Socket,
    /// A resistor.
    Resistor,
    /// A capacitor.
    Capacitor,
    /// A diode; it conducts to the right.
    Diode,
    /// A diode that limits a voltage.
    Zener,
    /// A converter, what it takes and what it gives.
    Converter(Current, Current),
    /// A pair of contacts; the pin is left.
    Pair,
    /// A contact that a mated plug closes.
    Link,
    /// A splice.
    Splice,
    /// Where lines of class A are joined.
    Joint,
    /// Where lines of class B, or of a bus bar, are joined.
    WideJoint,
    /// A stud, an open end, a cut end.
    Stud,
    /// Earth; the lead comes from the left.
    Earth,
    /// Chassis; the lead comes from the left.
    Chassis,
}

/// How a stroke of a symbol is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stroke {
    /// Black, as thick as an outline.
    Outline,
    /// Black and thick.
    Thick,
    /// Black with short dashes.
    Dashed,
    /// As the conductor that the symbol is in.
    Conductor,
    /// Filled with black.
    Filled,
    /// Filled with the colour of the conductor.
    FilledAsConductor,
    /// White inside, a black outline.
    White,
}

impl Symbol {
    /// All symbols, a converter in each of its four forms.
    pub const ALL: [Self; 33] = [
        Self::Battery,
        Self::Source,
        Self::Alternating,
        Self::Fuse,
        Self::Switch,
        Self::Contactor,
        Self::Disconnector,
        Self::PullPlug,
        Self::Changeover,
        Self::Coil,
        Self::Motor,
        Self::Lamp,
        Self::Heater,
        Self::Horn,
        Self::Actuator,
        Self::Electronics,
        Self::Socket,
        Self::Resistor,
        Self::Capacitor,
        Self::Diode,
        Self::Zener,
        Self::Converter(Current::Direct, Current::Direct),
        Self::Converter(Current::Direct, Current::Alternating),
        Self::Converter(Current::Alternating, Current::Direct),
        Self::Converter(Current::Alternating, Current::Alternating),
        Self::Pair,
        Self::Link,
        Self::Splice,
        Self::Joint,
        Self::WideJoint,
        Self::Stud,
        Self::Earth,
        Self::Chassis,
    ];

    /// How far the leads reach from the middle, at both sides.
    #[must_use]
    pub const fn reach(self) -> f64 {
        match self {
            Self::Battery | Self::Source | Self::Alternating | Self::Fuse | Self::Heater | Self::Resistor => 15.0,
            Self::Switch | Self::Contactor | Self::Disconnector | Self::Changeover => 10.0,
            Self::PullPlug | Self::Converter(..) => 20.0,
            Self::Coil | Self::Actuator | Self::Diode | Self::Zener | Self::Horn | Self::Socket => 6.0,
            Self::Motor => 14.0,
            Self::Lamp => 10.0,
            Self::Electronics => 17.0,
            Self::Capacitor | Self::Stud => 3.0,
            Self::Pair => 8.0,
            Self::Link => 12.6,
            Self::Splice | Self::Joint | Self::WideJoint | Self::Earth | Self::Chassis => 0.0,
        }
    }

    /// The box that it fills, unturned, its middle at the origin.
    #[must_use]
    pub fn extent(self) -> Rect {
        let (left, up, right, down) = match self {
            Self::Battery => (-29.0, -17.0, 29.0, 14.0),
            Self::Source | Self::Alternating => (-15.0, -15.0, 15.0, 15.0),
            Self::Fuse | Self::Resistor | Self::Heater => (-15.0, -5.0, 15.0, 5.0),
            Self::Switch => (-10.0, -10.0, 10.0, 1.4),
            Self::Contactor => (-16.0, -10.0, 10.0, 1.4),
            Self::Disconnector => (-11.0, -10.0, 10.0, 5.0),
            Self::PullPlug => (-20.0, -30.0, 20.0, 1.4),
            Self::Changeover => (-16.0, -19.0, 10.0, 1.4),
            Self::Coil | Self::Actuator => (-6.0, -12.0, 6.0, 12.0),
            Self::Motor => (-14.0, -14.0, 14.0, 14.0),
            Self::Lamp => (-10.0, -10.0, 10.0, 10.0),
            Self::Horn | Self::Socket => (-6.0, -12.0, 7.0, 12.0),
            Self::Electronics => (-17.0, -9.0, 17.0, 9.0),
            Self::Capacitor => (-4.0, -10.0, 4.0, 10.0),
            Self::Diode => (-6.0, -6.0, 6.0, 6.0),
            Self::Zener => (-6.0, -6.0, 9.0, 6.0),
            Self::Converter(..) => (-20.0, -20.0, 20.0, 20.0),
            Self::Pair => (-8.0, -6.0, 8.0, 6.0),
            Self::Link => (-12.6, -10.0, 12.6, 2.6),
            Self::Splice | Self::Stud => (-3.0, -3.0, 3.0, 3.0),
            Self::Joint => (-2.5, -2.5, 2.5, 2.5),
            Self::WideJoint => (-4.0, -4.0, 4.0, 4.0),
            Self::Earth => (-1.0, -12.0, 9.0, 12.0),
            Self::Chassis => (-1.0, -11.0, 9.0, 17.0),
        };
        Rect { least: Point::new(left, up), most: Point::new(right, down) }
    }

    /// The box that it fills at `at` after `turn`.
    #[must_use]
    pub fn extent_at(self, at: Point, turn: Turn) -> Rect {
        let Rect { least, most } = self.extent();
        let (a, b) = (turn.of(least), turn.of(most));
        Rect::between(at.by(a.x, a.y), at.by(b.x, b.y))
    }

    /// Where its leads end at `at` after `turn`: where the current enters, and where it leaves.
    #[must_use]
    pub fn ends(self, at: Point, turn: Turn) -> [Point; 2] {
        [-1.0, 1.0].map(|side| {
            let end = turn.of(Point::new(side * self.reach(), 0.0));
            at.by(end.x, end.y)
        })
    }

    /// Whether it marks where conductors are joined.
    #[must_use]
    pub const fn is_joint(self) -> bool {
        matches!(self, Self::Splice | Self::Joint | Self::WideJoint | Self::Stud)
    }

    /// The letter in the middle, which is never turned.
    pub(crate) const fn letter(self) -> Option<&'static str> {
        match self {
            Self::Motor => Some("M"),
            _ => None,
        }
    }

    /// The signs of its poles, which are never turned: where each is, and whether it is plus.
    pub(crate) const fn signs(self) -> &'static [(Point, bool)] {
        const OF_BATTERY: [(Point, bool); 2] = [(Point::new(25.0, -12.0), true), (Point::new(-25.0, -12.0), false)];
        match self {
            Self::Battery => &OF_BATTERY,
            _ => &[],
        }
    }

    /// Its strokes as path data.
    pub(crate) fn strokes(self) -> &'static [(Stroke, &'static str)] {
        use Stroke::{Conductor, Dashed, Filled, FilledAsConductor, Outline, Thick, White};
        match self {
            Self::Battery => &[(Thick, "M-15,-6V6M9,-6V6"), (Outline, "M-9,-14V14M15,-14V14"), (Dashed, "M-9,0H9")],
            Self::Source => &[(Outline, "M-15,0A15,15 0 1 1 15,0A15,15 0 1 1 -15,0"), (Conductor, "M-15,0H15")],
            Self::Alternating => &[(White, "M-15,0A15,15 0 1 1 15,0A15,15 0 1 1 -15,0"), (Outline, "M-8,0q4,-9 8,0t8,0")],
            Self::Fuse => &[(White, "M-15,-5H15V5H-15Z"), (Conductor, "M-15,0H15")],
            Self::Switch => &[(Conductor, "M10,0L-9,-9")],
            Self::Contactor => &[(Conductor, "M10,0L-9,-9"), (Outline, "M-16,0A3,3 0 0 1 -10,0")],
            Self::Disconnector => &[(Conductor, "M10,0L-9,-9"), (Outline, "M-10,-5V5")],
            Self::PullPlug => &[
                (Conductor, "M-20,0H-12V-6M20,0H12V-6M-12,-18V-28H12V-18"),
                (Filled, "M-14.2,-16H-9.8V-6H-14.2ZM9.8,-16H14.2V-6H9.8Z"),
                (Outline, "M-18,-14A6,6 0 0 1 -6,-14M6,-14A6,6 0 0 1 18,-14"),
            ],
            Self::Changeover => &[(Conductor, "M10,0L-10,-18"), (Outline, "M-10,-18H-16M-10,0H-16")],
            Self::Coil | Self::Actuator => &[(White, "M-6,-12H6V12H-6Z")],
            Self::Motor => &[(White, "M-14,0A14,14 0 1 1 14,0A14,14 0 1 1 -14,0")],
            Self::Lamp => {
                &[(White, "M-10,0A10,10 0 1 1 10,0A10,10 0 1 1 -10,0"), (Outline, "M-7.07,-7.07L7.07,7.07M-7.07,7.07L7.07,-7.07")]
            }
            Self::Heater => &[(White, "M-15,-5H15V5H-15Z"), (Outline, "M-7.5,-5V5M0,-5V5M7.5,-5V5")],
            Self::Horn => &[(White, "M6,-12A12,12 0 0 0 6,12Z")],
            Self::Electronics => &[(White, "M-17,-9H17V9H-17Z")],
            Self::Socket => &[(Outline, "M6,-12A12,12 0 0 0 6,12")],
            Self::Resistor => &[(White, "M-15,-5H15V5H-15Z")],
            Self::Capacitor => &[(Thick, "M-3,-10V10M3,-10V10")],
            Self::Diode => &[(White, "M-6,-6L6,0L-6,6Z"), (Outline, "M6,-6V6")],
            Self::Zener => &[(White, "M-6,-6L6,0L-6,6Z"), (Outline, "M3,-6H6V6H9")],
            Self::Converter(Current::Direct, Current::Direct) => {
                &[(White, "M-20,-20H20V20H-20Z"), (Outline, "M-20,20L20,-20M-15,-12H-3M3,10H15"), (Dashed, "M-15,-8H-3M3,14H15")]
            }
            Self::Converter(Current::Direct, Current::Alternating) => &[
                (White, "M-20,-20H20V20H-20Z"),
                (Outline, "M-20,20L20,-20M-15,-12H-3M3,11q3,-6 6,0t6,0"),
                (Dashed, "M-15,-8H-3"),
            ],
            Self::Converter(Current::Alternating, Current::Direct) => {
                &[(White, "M-20,-20H20V20H-20Z"), (Outline, "M-20,20L20,-20M-15,-10q3,-6 6,0t6,0M3,10H15"), (Dashed, "M3,14H15")]
            }
            Self::Converter(Current::Alternating, Current::Alternating) => {
                &[(White, "M-20,-20H20V20H-20Z"), (Outline, "M-20,20L20,-20M-15,-10q3,-6 6,0t6,0M3,11q3,-6 6,0t6,0")]
            }
            Self::Pair => &[(Filled, "M-8,-2.2H2V2.2H-8Z"), (Outline, "M2,-6A6,6 0 0 1 2,6")],
            Self::Link => &[
                (White, "M-12.6,0A2.6,2.6 0 1 1 -7.4,0A2.6,2.6 0 1 1 -12.6,0M7.4,0A2.6,2.6 0 1 1 12.6,0A2.6,2.6 0 1 1 7.4,0"),
                (Outline, "M-8,-2.6H8M0,-2.6V-10"),
            ],
            Self::Splice => &[(FilledAsConductor, "M-3,0A3,3 0 1 1 3,0A3,3 0 1 1 -3,0")],
            Self::Joint => &[(FilledAsConductor, "M-2.5,0A2.5,2.5 0 1 1 2.5,0A2.5,2.5 0 1 1 -2.5,0")],
            Self::WideJoint => &[(FilledAsConductor, "M-4,0A4,4 0 1 1 4,0A4,4 0 1 1 -4,0")],
            Self::Stud => &[(White, "M-3,0A3,3 0 1 1 3,0A3,3 0 1 1 -3,0")],
            Self::Earth => &[(Outline, "M0,-12V12M4,-8V8M8,-4V4")],
            Self::Chassis => &[(Outline, "M0,-10V10M0,-10l8,6M0,0l8,6M0,10l8,6")],
        }
    }
}
