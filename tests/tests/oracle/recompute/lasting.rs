//! When a fuse opens and how long a conductor lasts, from the tables as printed and the published laws.

use super::{
    reading::{FuseLink, Lies},
    warmth::Conductor,
};

/// Operating times of blade fuses C and F, ISO 8820-3: share of the rating, latest time in s. 135 % quoted, the rest from memory.
const BLADE: [(f64, f64); 5] = [(1.35, 600.0), (1.6, 50.0), (2.0, 5.0), (3.5, 0.5), (6.0, 0.1)];
/// High-current blade fuse E, ISO 8820-3, from memory.
const LARGE_BLADE: [(f64, f64); 5] = [(1.35, 1800.0), (1.6, 300.0), (2.0, 60.0), (3.5, 7.0), (6.0, 1.0)];
/// Strip fuses SF 30 and SF 51, ISO 8820-5, from memory.
const STRIP: [(f64, f64); 4] = [(1.35, 1800.0), (2.0, 15.0), (3.5, 5.0), (6.0, 1.0)];
/// Ratings that type E is made in, and beyond which C and F are not: ISO 8820-3, list on a trade page (seen).
const E_RATINGS: [f64; 10] = [20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0];

/// Cold resistance of a blade fuse: rating, milliohm (ISO 8820-3 type C, quoted).
const COLD: [(f64, f64); 4] = [(1.0, 123.0), (2.0, 53.5), (4.0, 22.8), (10.0, 7.7)];

impl FuseLink {
    /// The tables that may be those of the fuse; none where nothing is printed for it.
    fn tables(&self) -> Vec<Vec<(f64, f64)>> {
        let own: Vec<(f64, f64)> = self.promises.iter().filter_map(|gate| Some((gate.share, gate.opens?))).collect();
        if !self.promises.is_empty() {
            return vec![own];
        }
        match (self.standard.split(':').next().unwrap(), self.body.as_deref()) {
            ("ISO 8820-3", Some("C" | "F")) => vec![BLADE.to_vec()],
            ("ISO 8820-3", Some("E")) => vec![LARGE_BLADE.to_vec()],
            ("ISO 8820-3", None) if self.rating <= 15.0 => vec![BLADE.to_vec()],
            ("ISO 8820-3", None) if self.rating > 40.0 => vec![LARGE_BLADE.to_vec()],
            ("ISO 8820-3", None) if E_RATINGS.contains(&self.rating) => vec![BLADE.to_vec(), LARGE_BLADE.to_vec()],
            ("ISO 8820-5", _) => vec![STRIP.to_vec()],
            _ => Vec::new(),
        }
    }

    /// The latest time in s at which it has opened; infinite where it may never, `None` where nothing is printed.
    ///
    /// Between two gates as much `I2 t` lets through as at the lower one (common practice), but no gate is passed later than printed
    /// for a smaller current than its own.
    pub fn opens(&self, amps: f64) -> Option<f64> {
        let each = self.tables().into_iter().map(|table| {
            let share = amps / self.rating;
            let below = table.iter().rev().find(|gate| gate.0 <= share * (1.0 + 1e-9));
            let above = table.iter().find(|gate| gate.0 > share * (1.0 + 1e-9));
            match (below, above) {
                (None, _) => f64::INFINITY,
                (Some(below), above) => {
                    let heat = below.1 * below.0 * below.0;
                    (heat / (share * share)).max(above.map_or(0.0, |gate| gate.1))
                }
            }
        });
        each.reduce(f64::max)
    }

    /// Cold resistance: its own, else on a straight line between logarithms of the rows; beyond 10 A four fifths of the last row's drop.
    pub fn cold(&self) -> f64 {
        if let Some(ohms) = self.ohms {
            return ohms;
        }
        let row = |at: usize| (COLD[at].0, COLD[at].1 * 1e-3);
        match COLD.iter().position(|row| row.0 >= self.rating) {
            None => 0.8 * row(3).0 * row(3).1 / self.rating,
            Some(0) => row(0).0 * row(0).1 / self.rating,
            Some(above) => {
                let (low, high) = (row(above - 1), row(above));
                let way = (self.rating / low.0).log10() / (high.0 / low.0).log10();
                10_f64.powf(low.1.log10() + way * (high.1 / low.1).log10())
            }
        }
    }
}

/// What heats a conductor in a short: IEC 60949, copper 226 A sqrt(s)/mm2 and 234.5 K, less what its surroundings take.
pub struct Heating<'a> {
    pub lies: &'a Lies,
    pub conductor: &'a Conductor,
    /// What it may carry for ever where it is, in A.
    pub capacity: f64,
}

impl Heating<'_> {
    /// Kelvin a second.
    fn rate(&self, amps: f64, degc: f64) -> f64 {
        let heat = |amps: f64, degc: f64| (amps / (226.0 * self.lies.size)).powi(2) * (234.5 + degc);
        let (class, air) = (self.conductor.class(), self.lies.air);
        heat(amps, degc) - heat(self.capacity, class) * (degc - air) / (class - air)
    }

    /// Final temperature of a short circuit of up to 5 s: IEC 60364-5-54 (seen).
    fn last(&self) -> f64 {
        match (self.lies.insulation.as_deref(), self.lies.size, self.lies.rated) {
            (Some("XLPE" | "EPR"), ..) => 250.0,
            (Some("rubber"), _, rated) if rated >= 85.0 => 220.0,
            (Some("rubber"), ..) => 200.0,
            (Some("silicone"), ..) => 350.0,
            (Some("PVC"), size, _) if size > 300.0 => 140.0,
            (Some("PVC"), ..) => 160.0,
            // Not given: PVC up to 150 degC, silicone above (our own choice, no source).
            (None, _, rated) if rated > 150.0 => 350.0,
            (None, size, _) if size > 300.0 => 140.0,
            (None, ..) => 160.0,
            (Some(other), ..) => panic!("{other} is not known here"),
        }
    }

    /// Time from the rated temperature to `limit` in s, slice by slice of temperature; infinite where it is never reached.
    fn reaches(&self, amps: f64, limit: f64) -> f64 {
        const SLICES: u32 = 2_000;
        let start = self.lies.rated;
        let step = (limit - start) / f64::from(SLICES);
        if step <= 0.0 {
            return if self.rate(amps, start) > 0.0 { 0.0 } else { f64::INFINITY };
        }
        let mut time = 0.0;
        for slice in 0..SLICES {
            let at = |share: f64| self.rate(amps, start + (f64::from(slice) + share) * step);
            let rates = [at(0.0), at(0.5), at(1.0)];
            if rates.iter().any(|rate| *rate <= 1e-12) {
                return f64::INFINITY;
            }
            // Simpson's rule.
            time += step / 6.0 * (1.0 / rates[0] + 4.0 / rates[1] + 1.0 / rates[2]);
        }
        time
    }

    /// How long it lasts in s: to the final temperature of a short circuit within 5 s, to 50 K above its rating within 6 h, to 25 K
    /// within 240 h (ISO 6722-1, from memory), for ever at its rating.
    pub fn lasts(&self, amps: f64) -> f64 {
        let (last, rated) = (self.last(), self.lies.rated);
        let bands = [(5.0, last), (21_600.0, last.min(rated + 50.0)), (864_000.0, last.min(rated + 25.0)), (f64::MAX, rated)];
        let mut from = 0.0;
        for (until, limit) in bands {
            let reached = self.reaches(amps, limit);
            if reached <= until {
                return f64::max(reached, from);
            }
            from = until;
        }
        f64::INFINITY
    }
}
