//! Fuses of a choice that are in series, and over which currents the one nearer the fault is sure to open first.

use super::TimeCurrent;
use crate::{
    analysis::Analysis,
    electrical::{faults::StrikingModes, fuses::protection::Feed},
    model::{ElementId, ModeId},
    quantity::{Ampere, Second},
};

/// How much more a fuse may carry than one in series with it: rounding.
const SERIES: f64 = 1.001;

/// Two fuses of which one carries the current of a short at the other.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Selective {
    /// The fuse nearer the source, by its place in the choice.
    pub upper: usize,
    /// The fuse nearer the fault, by its place in the choice.
    pub lower: usize,
    /// The current of a short at the lower one's terminals: no larger one flows in it.
    pub most: Ampere,
    /// What the upper one carries of it.
    pub upper_amps: Ampere,
    /// The mode in which it flows.
    pub mode: ModeId,
    /// The currents, the same in both, at which the upper one may open before the lower one is sure to have; up to that of the short. `None`:
    /// the lower one always opens first.
    pub unsure: Option<(Ampere, Ampere)>,
}

/// Which of the `fuses` are in series, each pair once, in the order of the choice; `curves` are their pictures in the same order.
///
/// Fuses that carry each other's shorts, as those of two sources side by side do, are left out, and so are two with nothing between.
///
/// # Cost
/// A short for each fuse.
#[must_use]
pub fn selective(analysis: &Analysis, fuses: &[ElementId], curves: &[TimeCurrent]) -> Vec<Selective> {
    let electrical = analysis.electrical();
    let modes = StrikingModes::new(electrical);
    let shorts: Vec<Vec<(ElementId, Ampere)>> = fuses
        .iter()
        .map(|fuse| {
            let carried = electrical.faults().of_fuse(*fuse).and_then(|duty| {
                let (point, back) = duty.short;
                let (strike, _) = modes.mode(duty.mode)?.strike((point, Some(back)))?;
                strike.stages().first().map(|stage| stage.fuses.clone())
            });
            carried.unwrap_or_default()
        })
        .collect();
    let carries = |short: usize, fuse: ElementId| {
        let (_, amps) = shorts.get(short)?.iter().find(|(of, _)| *of == fuse)?;
        (amps.get() > 0.0).then_some(*amps)
    };
    let feed = |fuse: ElementId| electrical.protection().feeds().iter().find(|feed: &&Feed| feed.fuse == fuse);
    let mut found = Vec::new();
    for (lower, below) in fuses.iter().enumerate() {
        let Some(own) = carries(lower, *below) else { continue };
        let Some(duty) = electrical.faults().of_fuse(*below) else { continue };
        for (upper, above) in fuses.iter().enumerate().filter(|(_, above)| *above != below) {
            let Some(amps) = carries(lower, *above).filter(|amps| amps.get() <= own.get() * SERIES) else { continue };
            let is_mutual = carries(upper, *below).is_some();
            let is_one = feed(*above)
                .zip(feed(*below))
                .is_some_and(|(above, below)| electrical.protection().in_series(above.edge, below.edge));
            if is_mutual || is_one {
                continue;
            }
            let unsure = curves.get(upper).zip(curves.get(lower)).and_then(|(upper, lower)| unsure(upper, lower, own));
            found.push(Selective { upper, lower, most: own, upper_amps: amps, mode: duty.mode, unsure });
        }
    }
    found.sort_by_key(|pair| (pair.upper, pair.lower));
    found
}

/// The currents up to `most` at which `upper` may open before `lower` is sure to have.
fn unsure(upper: &TimeCurrent, lower: &TimeCurrent, most: Ampere) -> Option<(Ampere, Ampere)> {
    let mut amps: Vec<Ampere> = [&upper.fastest, &lower.slowest].into_iter().flatten().map(|(amps, _)| *amps).collect();
    amps.push(most);
    amps.retain(|amps| *amps <= most);
    amps.sort_by(|a, b| a.get().total_cmp(&b.get()));
    let mut unsure = amps.into_iter().filter(|amps| {
        let opens = time_at(&upper.fastest, *amps);
        opens.is_some_and(|opens| time_at(&lower.slowest, *amps).is_none_or(|sure| opens < sure))
    });
    let first = unsure.next()?;
    Some((first, unsure.next_back().unwrap_or(first)))
}

/// The time of a curve at a current, straight between its points on scales of decades; `None` below its first, that of its last point beyond it.
fn time_at(curve: &[(Ampere, Second)], amps: Ampere) -> Option<Second> {
    let after = curve.partition_point(|(at, _)| *at < amps);
    let next = curve.get(after);
    if let Some((_, time)) = next.filter(|(at, _)| *at <= amps) {
        return Some(*time);
    }
    let (from, early) = after.checked_sub(1).and_then(|before| curve.get(before))?;
    let Some((to, late)) = next else { return Some(*early) };
    let share = (amps.get() / from.get()).ln() / (to.get() / from.get()).ln();
    Some(Second::new((early.get().ln() + share * (late.get() / early.get()).ln()).exp()))
}

#[cfg(test)]
mod tests {
    use super::{selective, time_at};
    use crate::{
        Analysis, Design, MemoryFiles,
        inspect::{Found, Names, Thing, TimeCurrent},
        quantity::{Ampere, Second},
    };

    const NETLIST: &str = "format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }
  fuses:
    main: { standard: ISO 8820-3, type: C, rating: UPPER }
    blade-10: { standard: ISO 8820-3, type: C, rating: 10 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 12 mohm, positive: POS, negative: NEG }
  box:
    nodes: [BUS]
    ports: { IN: { stud: M6 }, OUT: { stud: M6 }, OUT2: { stud: M6 } }
    inside:
      F1: { fuse: main, from: IN, to: BUS }
      F2: { fuse: blade-10, from: BUS, to: OUT }
      F3: { fuse: blade-10, from: BUS, to: OUT2 }
looms:
  deck:
    wire: thin
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: box.IN }
    wires:
      1: { from: R1, to: R2, size: 6 mm2, colour: RD, length: 150 mm }
";

    fn pairs(upper: &str) -> Vec<(usize, usize, bool)> {
        let netlist = NETLIST.replace("UPPER", upper);
        let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("lift.yaml", netlist.as_str()), "lift.yaml"));
        let fuses: Vec<_> = ["box.F2", "box.F1", "box.F3"]
            .into_iter()
            .map(|name| match Names::new(analysis.model()).find(name) {
                Found::One(Thing::Element(fuse)) => fuse,
                other => panic!("{other:?}"),
            })
            .collect();
        let curves: Vec<TimeCurrent> = fuses.iter().map(|fuse| TimeCurrent::of(&analysis, *fuse).unwrap()).collect();
        selective(&analysis, &fuses, &curves).iter().map(|pair| (pair.upper, pair.lower, pair.unsure.is_some())).collect()
    }

    /// The bands of two neighbouring ratings of one type overlap (ISO 8820-3, operating times, from memory as in `standards`).
    #[test]
    fn the_fuse_before_two_others_is_paired_with_each() {
        assert_eq!(pairs("15 A"), [(1, 0, true), (1, 2, true)]);
    }

    #[test]
    fn a_time_is_read_between_two_points() {
        let curve = [(Ampere::new(10.0), Second::new(100.0)), (Ampere::new(1000.0), Second::new(1.0))];
        assert!((time_at(&curve, Ampere::new(100.0)).unwrap().get() - 10.0).abs() < 1e-9);
        assert_eq!(time_at(&curve, Ampere::new(9.0)), None);
        assert_eq!(time_at(&curve, Ampere::new(2000.0)), Some(Second::new(1.0)));
        assert_eq!(time_at(&curve, Ampere::new(10.0)), Some(Second::new(100.0)));
    }
}
