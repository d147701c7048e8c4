//! Kinds of fuse-links and circuit breakers: the ratings that they are made in and when they open.

use super::{
    data::{Row, breaker, fuse as table},
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Ratio, Second};
use std::fmt;

/// Body type of a fuse-link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FuseType {
    /// Type A, female contacts (ISO 8820-4).
    A,
    /// Type B, bolt-in (ISO 8820-4).
    B,
    /// Type C, medium blade (ISO 8820-3).
    C,
    /// Type E, high-current blade (ISO 8820-3).
    E,
    /// Type F, miniature blade (ISO 8820-3).
    F,
    /// Type SF 30, strip with 30 mm hole spacing (ISO 8820-5).
    Strip30,
    /// Type SF 51, strip with 51 mm hole spacing (ISO 8820-5).
    Strip51,
    /// Single-bolt (ISO 8820-6).
    SingleBolt,
    /// Type H, bolt-in, 450 V (ISO 8820-8).
    H,
    /// Type J, bolt-in, 450 V (ISO 8820-8).
    J,
    /// Type L, high-current miniature (ISO 8820-10).
    L,
    /// Type N, sub-miniature (ISO 8820-12).
    N,
    /// Type P, sub-miniature with three tabs (ISO 8820-13).
    P,
    /// Category gG, full range, for conductors (IEC 60269-2).
    General,
    /// Category gR, full range, for semiconductors (IEC 60269-4).
    Semiconductor,
    /// Category gPV, full range, for photovoltaic strings (IEC 60269-6).
    Solar,
    /// Category aM, back-up for motors (IEC 60269-2).
    MotorBackUp,
    /// Category aR, back-up for semiconductors (IEC 60269-4).
    SemiconductorBackUp,
    /// Circuit breaker of characteristic B (IEC 60898-1).
    BreakerB,
    /// Circuit breaker of characteristic C (IEC 60898-1).
    BreakerC,
    /// Circuit breaker of characteristic D (IEC 60898-1).
    BreakerD,
}

static FULL_RANGE: Source = Source::memory(
    "IEC 60364-4-43 433.1 and BS 7671 433.1.202: a full-range fuse rated up to the conductor's capacity satisfies the 1.45 rule",
);
static MOTOR_BACK_UP: Source = Source::memory("IEC 60269-2, gate of category aM: opens within 60 s at 6.3 times its rating");
static NO_LATER: Source = Source::practice(
    "a fuse for semiconductors opens no later than one of category gG of its rating, whose gates are from memory",
);
static BACK_UP: Source =
    Source::memory("IEC 60269-4, category aR without a datasheet: taken to break from four times its rating on");

impl FuseType {
    fn rows(self) -> &'static [Row] {
        match self {
            Self::C => table::TYPE_C,
            Self::E => table::TYPE_E,
            Self::F => table::TYPE_F,
            Self::Strip30 => table::STRIP_30,
            Self::Strip51 => table::STRIP_51,
            Self::A | Self::B | Self::SingleBolt | Self::H | Self::J | Self::L | Self::N | Self::P => &[],
            Self::General => table::GG_RATINGS,
            Self::BreakerB | Self::BreakerC | Self::BreakerD => breaker::RATINGS,
            Self::Semiconductor | Self::Solar | Self::MotorBackUp | Self::SemiconductorBackUp => &[],
        }
    }

    /// Its designation, as a netlist has it: `C`, `SF 30`, `gG`.
    #[must_use]
    pub const fn designation(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B | Self::BreakerB => "B",
            Self::C | Self::BreakerC => "C",
            Self::BreakerD => "D",
            Self::E => "E",
            Self::F => "F",
            Self::Strip30 => "SF 30",
            Self::Strip51 => "SF 51",
            Self::SingleBolt => "single-bolt",
            Self::H => "H",
            Self::J => "J",
            Self::L => "L",
            Self::N => "N",
            Self::P => "P",
            Self::General => "gG",
            Self::Semiconductor => "gR",
            Self::Solar => "gPV",
            Self::MotorBackUp => "aM",
            Self::SemiconductorBackUp => "aR",
        }
    }

    /// The ratings the type is made in, rising; empty where no list is known.
    pub fn ratings(self) -> impl Iterator<Item = Sourced<Ampere>> {
        self.rows().iter().map(|row| Sourced::new(Ampere::new(row.value), row.source))
    }

    /// Smallest rating of the type that is at least `least`; `None` if there is none or no list is known.
    #[must_use]
    pub fn rating_at_least(self, least: Ampere) -> Option<Sourced<Ampere>> {
        self.ratings().find(|rating| rating.value >= least)
    }

    /// Gates of the operating-time rating, rising by current; empty where none is known.
    ///
    /// Most gates are remembered and say so: a datasheet of the fuse in hand takes their place. Those of gG are the ones of all
    /// ratings from 16 A, those of a circuit breaker the ones up to 32 A; [`gates_of`](Self::gates_of) has those of one rating.
    pub fn gates(self) -> impl Iterator<Item = Gate> {
        self.gate_rows().iter().map(gate)
    }

    fn gate_rows(self) -> &'static [table::GateRow] {
        match self {
            Self::C | Self::F => table::BLADE_GATES,
            Self::E => table::HIGH_CURRENT_GATES,
            Self::Strip30 | Self::Strip51 => table::STRIP_GATES,
            Self::N | Self::P => table::SUBMINIATURE_GATES,
            Self::General | Self::Semiconductor => table::GG_GATES,
            Self::Solar => table::GPV_GATES,
            Self::MotorBackUp => table::AM_GATES,
            Self::BreakerB => breaker::GATES_B,
            Self::BreakerC => breaker::GATES_C,
            Self::BreakerD => breaker::GATES_D,
            Self::A | Self::B | Self::SingleBolt | Self::H | Self::J | Self::L | Self::SemiconductorBackUp => &[],
        }
    }

    /// The gates of one rating: those of [`gates`](Self::gates), for gG with what IEC 60269-1 gives by rating, for a circuit breaker
    /// with the longer thermal times of large ratings. A gG rating that the table lacks opens no later than the next larger one in it,
    /// and holds as long as the next smaller one.
    #[must_use]
    pub fn gates_of(self, rating: Ampere) -> Vec<Gate> {
        let amps = rating.get();
        match self {
            Self::General | Self::Semiconductor if amps > 0.0 && amps < 16.0 => {
                let rows = if amps <= 4.0 { table::GG_GATES_TO_4 } else { table::GG_GATES_TO_16 };
                let by_rating = by_rating(amps).into_iter().filter_map(|gate| match self {
                    Self::General => Some(gate),
                    _ => gate.most.map(|_| Gate { least: None, source: &NO_LATER, ..gate }),
                });
                rows.iter().map(gate).chain(by_rating).collect()
            }
            Self::General => self.gates().chain(by_rating(amps)).collect(),
            // Made to be faster than gG: it opens no later, and when it holds is not known.
            Self::Semiconductor => {
                let opens = by_rating(amps).into_iter().filter(|gate| gate.most.is_some());
                self.gates().chain(opens.map(|gate| Gate { least: None, source: &NO_LATER, ..gate })).collect()
            }
            Self::BreakerB | Self::BreakerC | Self::BreakerD => {
                let thermal = breaker::thermal_of(amps);
                thermal
                    .iter()
                    .chain(self.gate_rows().iter().filter(|row| row.percent > breaker::THERMAL_UP_TO))
                    .map(gate)
                    .collect()
            }
            _ => self.gates().collect(),
        }
    }

    /// Whether it may carry its full rating for long: the fuses and breakers of building installations, by design current at most
    /// rating.
    #[must_use]
    pub fn carries_its_rating(self) -> bool {
        match self {
            Self::General | Self::MotorBackUp | Self::BreakerB | Self::BreakerC | Self::BreakerD => true,
            Self::A | Self::B | Self::C | Self::E | Self::F | Self::Strip30 | Self::Strip51 | Self::SingleBolt => false,
            Self::H | Self::J | Self::L | Self::N | Self::P => false,
            Self::Semiconductor | Self::Solar | Self::SemiconductorBackUp => false,
        }
    }

    /// Of a category of IEC 60269 whose plain rated voltage is by tradition one for alternating voltage. From memory, not seen.
    #[must_use]
    pub fn is_of_buildings(self) -> bool {
        match self {
            Self::General | Self::MotorBackUp | Self::Semiconductor | Self::SemiconductorBackUp => true,
            Self::A | Self::B | Self::C | Self::E | Self::F | Self::Strip30 | Self::Strip51 | Self::SingleBolt => false,
            Self::H | Self::J | Self::L | Self::N | Self::P | Self::Solar => false,
            // Their standard says it.
            Self::BreakerB | Self::BreakerC | Self::BreakerD => false,
        }
    }

    /// Breaks short circuits only: below a multiple of its rating it may melt without breaking.
    #[must_use]
    pub fn is_back_up(self) -> bool {
        match self {
            Self::MotorBackUp | Self::SemiconductorBackUp => true,
            Self::A | Self::B | Self::C | Self::E | Self::F | Self::Strip30 | Self::Strip51 | Self::SingleBolt => false,
            Self::H | Self::J | Self::L | Self::N | Self::P | Self::General | Self::Semiconductor | Self::Solar => false,
            Self::BreakerB | Self::BreakerC | Self::BreakerD => false,
        }
    }

    /// From which current it is sure to end an overload, as a share of its rating, where its category alone says so.
    ///
    /// A full-range fuse of IEC 60269 satisfies the 1.45 rule of IEC 60364-4-43 by its conventional current; a back-up fuse breaks
    /// short circuits only. `None` for types whose gates say it.
    #[must_use]
    pub fn overload(self) -> Option<Sourced<Ratio>> {
        match self {
            Self::General | Self::Semiconductor | Self::Solar => Some(Sourced::new(Ratio::new(1.45), &FULL_RANGE)),
            Self::BreakerB | Self::BreakerC | Self::BreakerD => Some(Sourced::new(Ratio::new(1.45), &FULL_RANGE)),
            Self::MotorBackUp => Some(Sourced::new(Ratio::new(6.3), &MOTOR_BACK_UP)),
            Self::SemiconductorBackUp => Some(Sourced::new(Ratio::new(4.0), &BACK_UP)),
            Self::A | Self::B | Self::C | Self::E | Self::F | Self::Strip30 | Self::Strip51 | Self::SingleBolt => None,
            Self::H | Self::J | Self::L | Self::N | Self::P => None,
        }
    }
}

impl fmt::Display for FuseType {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::A => "type A, female contacts",
            Self::B => "type B, bolt-in",
            Self::C => "type C, medium blade",
            Self::E => "type E, high-current blade",
            Self::F => "type F, miniature blade",
            Self::Strip30 => "type SF 30, strip",
            Self::Strip51 => "type SF 51, strip",
            Self::SingleBolt => "single-bolt",
            Self::H => "type H, bolt-in",
            Self::J => "type J, bolt-in",
            Self::L => "type L, high-current miniature",
            Self::N => "type N, sub-miniature",
            Self::P => "type P, sub-miniature with three tabs",
            Self::General => "category gG",
            Self::Semiconductor => "category gR",
            Self::Solar => "category gPV",
            Self::MotorBackUp => "category aM, back-up",
            Self::SemiconductorBackUp => "category aR, back-up",
            Self::BreakerB => "circuit breaker, characteristic B",
            Self::BreakerC => "circuit breaker, characteristic C",
            Self::BreakerD => "circuit breaker, characteristic D",
        })
    }
}

/// The gates that IEC 60269-1 gives for one gG rating. Of a rating between two of its table: when it holds by the smaller, when it opens
/// by the larger one, for fuses of one category do not cross.
fn by_rating(amps: f64) -> Vec<Gate> {
    let rows = table::GG_BY_RATING;
    let own = rows.iter().find(|row| (row.rating - amps).abs() < 1e-3);
    let smaller = own.or_else(|| rows.iter().rev().find(|row| row.rating < amps));
    let larger = own.or_else(|| rows.iter().find(|row| row.rating > amps));
    let source = match own {
        None => &table::GG_BETWEEN,
        Some(row) if row.rating < 16.0 => &table::GG_SMALL_TIMES,
        Some(_) => &table::GG_TIMES,
    };
    let point = |at: f64, least: Option<f64>, most: Option<f64>| Gate {
        current: Ratio::new(at / amps),
        least: least.map(Second::new),
        most: most.map(Second::new),
        source,
    };
    let holds = smaller.map(|row| [point(row.holds_10_s, Some(10.0), None), point(row.holds_100_ms, Some(0.1), None)]);
    let opens = larger.map(|row| [point(row.opens_5_s, None, Some(5.0)), point(row.opens_100_ms, None, Some(0.1))]);
    let mut gates: Vec<Gate> = holds.into_iter().chain(opens).flatten().collect();
    gates.sort_by(|one, other| one.current.get().total_cmp(&other.current.get()));
    gates
}

fn gate(row: &table::GateRow) -> Gate {
    Gate {
        current: Ratio::new(row.percent / 100.0),
        least: row.least.map(Second::new),
        most: row.most.map(Second::new),
        source: row.source,
    }
}

/// One gate of an operating-time rating: at this current the fuse-link opens within these times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Current as a share of the rating.
    pub current: Ratio,
    /// It does not open before; `None` if the gate sets no such limit.
    pub least: Option<Second>,
    /// It has opened by; `None` if it need not open.
    pub most: Option<Second>,
    /// Where the gate comes from.
    pub source: &'static Source,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gates_fall_in_time_as_the_current_rises() {
        for kind in [FuseType::C, FuseType::E, FuseType::F, FuseType::Strip30, FuseType::Strip51, FuseType::N] {
            let gates: Vec<Gate> = kind.gates().collect();
            assert!(gates.len() >= 4);
            for pair in gates.windows(2) {
                assert!(pair[0].current < pair[1].current && pair[0].least > pair[1].least);
                assert!(pair[0].most.is_none() || pair[0].most > pair[1].most);
            }
        }
    }
}
