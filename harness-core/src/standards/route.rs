//! Routes: how thick a bundle is, how tightly a cable may be bent, how a conductor must be stranded that is bent at work.

use super::source::{Source, Sourced};
use crate::quantity::Millimetre;
use std::f64::consts::PI;

static PACKED: Source = Source::memory("densest packings of equal circles in a circle, for up to 20 of them");
static AREA: Source = Source::computed("no arrangement is thinner: the two thickest side by side, the areas of all together", "");
static LAID: Source = Source::seen(
    "bundle of wires laid at random: 1.2 times the root of the sum of their squared diameters",
    "page of a calculator",
);
static AROUND: Source = Source::computed("thinner ones in one layer around the thickest", "");
static FIXED_CABLE: Source = Source::seen(
    "inner bend radius of a fixed cable: 4 diameters at least; 5, 6 and more on other pages",
    "tables of makers and standards that differ",
);
static FIXED_WIRE: Source =
    Source::second_hand("IPC/WHMA-A-620 table 14-1, single insulated wire: 2 diameters", "message of a trade list");
static MOVING: Source = Source::memory("IEC 60204-1, flexible cables in forced guiding: 6 diameters up to 20 mm, 8 above");
static FLEXIBLE: Source = Source::memory("IEC 60228: class 1 and 2 for fixed installation, class 5 and 6 flexible");

/// Diameter of the circle that holds so many equal circles, over that of one: from one to twenty.
const EQUAL: [f64; 20] = [
    1.0, 2.0, 2.1547, 2.4142, 2.7013, 3.0, 3.0, 3.3048, 3.6131, 3.8130, 3.9238, 4.0296, 4.2361, 4.3284, 4.5214, 4.6154, 4.7920,
    4.8637, 4.8637, 5.1223,
];
/// What a bundle that is laid by hand is thicker than the root of its summed squares.
const LAID_OVER_SQUARES: f64 = 1.2;
/// Least bend radius of a fixed cable and of a fixed single wire, in diameters.
const FIXED_DIAMETERS: [f64; 2] = [4.0, 2.0];
/// Least bend radius of a cable that moves, in diameters: up to a diameter, and above it.
const MOVING_DIAMETERS: [f64; 2] = [6.0, 8.0];
/// Diameter up to which the first of them holds, in mm.
const SMALL: f64 = 20.0;
/// Sums of printed figures may differ by this share and be equal.
const SAME: f64 = 1e-9;

/// How thick a bundle is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thickness {
    /// No arrangement is thinner.
    pub least: Sourced<Millimetre>,
    /// As bundles are laid.
    pub laid: Sourced<Millimetre>,
}

impl Thickness {
    /// Whether nothing would bring the bundle through a hole.
    #[must_use]
    pub fn never_passes(self, hole: Millimetre) -> bool {
        self.least.value > hole * (1.0 + SAME)
    }

    /// Whether the bundle goes through a hole as it is laid.
    #[must_use]
    pub fn passes(self, hole: Millimetre) -> bool {
        self.laid.value <= hole * (1.0 + SAME)
    }
}

/// How thick a bundle of these diameters is; `None` for none.
#[must_use]
pub fn bundle(diameters: &[Millimetre]) -> Option<Thickness> {
    let mut sorted: Vec<f64> = diameters.iter().map(|diameter| diameter.get()).collect();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let first = *sorted.first()?;
    let Some(second) = sorted.get(1).copied() else {
        let own = Sourced::new(Millimetre::new(first), &AREA);
        return Some(Thickness { least: own, laid: own });
    };
    let are_equal = sorted.last().is_some_and(|last| (first - last).abs() <= first * SAME);
    let squares = sorted.iter().map(|diameter| diameter * diameter).sum::<f64>().sqrt();
    let least = match EQUAL.get(sorted.len() - 1).filter(|_| are_equal && sorted.len() > 2) {
        Some(times) => (first * times, &PACKED),
        None => (squares.max(first + second), &AREA),
    };
    let mut laid = (squares * LAID_OVER_SQUARES, &LAID);
    // One thick cable with thin wires beside it makes no round bundle: they fit in one layer around it.
    let others = u32::try_from(sorted.len() - 1).map_or(f64::INFINITY, f64::from);
    if first + second > 0.0 && others * (second / (first + second)).asin() <= PI * (1.0 + SAME) && first + 2.0 * second < laid.0 {
        laid = (first + 2.0 * second, &AROUND);
    }
    if least.0 > laid.0 {
        laid = least;
    }
    let sourced = |(value, source): (f64, &'static Source)| Sourced::new(Millimetre::new(value), source);
    Some(Thickness { least: sourced(least), laid: sourced(laid) })
}

/// Least inner bend radius of a cable or single wire of this diameter whose own is not given, fixed or moving: the smallest that any page prints.
#[must_use]
pub fn bend_radius(diameter: Millimetre, is_cable: bool, moves: bool) -> Sourced<Millimetre> {
    let ([cable, wire], [small, large]) = (FIXED_DIAMETERS, MOVING_DIAMETERS);
    match (moves, is_cable) {
        (false, true) => Sourced::new(diameter * cable, &FIXED_CABLE),
        (false, false) => Sourced::new(diameter * wire, &FIXED_WIRE),
        (true, _) => Sourced::new(diameter * if diameter.get() > SMALL { large } else { small }, &MOVING),
    }
}

/// Whether a radius is below the least one.
#[must_use]
pub fn is_too_tight(radius: Millimetre, least: Millimetre) -> bool {
    radius < least * (1.0 - SAME)
}

/// Whether a conductor of this class of IEC 60228 is made to be bent at work.
#[must_use]
pub fn is_flexible(class: u8) -> Sourced<bool> {
    Sourced::new(class >= 5, &FLEXIBLE)
}

/// The figures that were not seen in a standard, for the list of values: what each is, the figure, and the key that replaces it.
pub(super) fn listed() -> Vec<(&'static str, Sourced<String>, &'static str)> {
    let ([cable, wire], [small, large]) = (FIXED_DIAMETERS, MOVING_DIAMETERS);
    let own = "`bend` on the cable kind";
    vec![
        (
            "circle that holds three to twenty equal ones, over one",
            Sourced::new("2.1547 to 5.1223".to_owned(), &PACKED),
            "`passage` on the segment",
        ),
        (
            "bundle over the root of the sum of its squared diameters",
            Sourced::new(LAID_OVER_SQUARES.to_string(), &LAID),
            "`passage` on the segment",
        ),
        ("inner bend radius of a fixed cable, in diameters", Sourced::new(cable.to_string(), &FIXED_CABLE), own),
        (
            "inner bend radius of a fixed single wire, in diameters",
            Sourced::new(wire.to_string(), &FIXED_WIRE),
            "`bend` on a cable kind of one core",
        ),
        (
            "inner bend radius of what moves, in diameters",
            Sourced::new(format!("{small}, above {SMALL} mm {large}"), &MOVING),
            own,
        ),
        ("strands of what moves", Sourced::new("fine or extra fine".to_owned(), &FLEXIBLE), "`strand` on the kind"),
    ]
}
