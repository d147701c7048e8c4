//! Heat of a conductor and of those beside it, from the tables as printed.

use crate::published::ROAD_AT_30_DEGC;

/// BS 7671:2008 table 4C1 row 1 = IEC 60364-5-52 table B.52.17 row 1 (page of the wiring regulations, seen).
const BUNCHED: [(usize, f64); 12] = [
    (1, 1.0),
    (2, 0.8),
    (3, 0.7),
    (4, 0.65),
    (5, 0.6),
    (6, 0.57),
    (7, 0.54),
    (8, 0.52),
    (9, 0.5),
    (12, 0.45),
    (16, 0.41),
    (20, 0.38),
];

/// 33 CFR 183.425 table 5, column of 105 degC in air of 30 degC: gauge (0 to -3 are 1/0 to 4/0), A (text of the regulation, seen).
fn boat() -> Vec<(f64, f64)> {
    let rows = include_str!("../../published/gauge_tables.csv").lines().filter_map(|line| line.strip_prefix("boat,"));
    let rows = rows.filter_map(|line| {
        let cells: Vec<&str> = line.split(',').collect();
        let gauge: f64 = match cells[0].split_once("/0") {
            Some((zeros, _)) => 1.0 - zeros.parse::<f64>().unwrap(),
            None => cells[0].parse().unwrap(),
        };
        let diameter = 0.127 * 92_f64.powf((36.0 - gauge) / 39.0);
        (cells[1] == "105").then(|| (std::f64::consts::PI * diameter * diameter / 4.0, cells[3].parse().unwrap()))
    });
    let mut rows: Vec<(f64, f64)> = rows.collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    rows
}

/// Copper by its inverse coefficient at 0 degC, 234.5 (IEC).
fn copper(degc: f64) -> f64 {
    234.5 + degc
}

fn printed(rows: &[(f64, f64)], size: f64) -> f64 {
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    assert!(size <= last.0 * 1.000_001, "{size} mm2 is beyond the table");
    if size < first.0 {
        return first.1 * size / first.0;
    }
    if let Some(row) = rows.iter().find(|row| (row.0 / size - 1.0).abs() < 1e-6) {
        return row.1;
    }
    let above = rows.iter().position(|row| row.0 > size).unwrap();
    let (low, high) = (rows[above - 1], rows[above]);
    low.1 * (high.1 / low.1).powf((size / low.0).ln() / (high.0 / low.0).ln())
}

/// One conductor in its air.
pub struct Conductor {
    pub is_marine: bool,
    /// The temperature for which it is computed.
    class: f64,
    air: f64,
    /// What it may carry alone.
    alone: f64,
    /// Heat that it gives off for each kelvin, in A2 times the resistance in units of `copper`.
    cooling: f64,
}

impl Conductor {
    pub fn new(size: f64, rated: f64, air: f64, is_marine: bool) -> Self {
        // The road table was shown to be right up to 125 degC.
        let class = if is_marine { rated } else { rated.min(125.0) };
        let (amps, stated) =
            if is_marine { (printed(&boat(), size), (105.0, 30.0)) } else { (printed(&ROAD_AT_30_DEGC, size), (70.0, 30.0)) };
        // Inside engine spaces, 50 degC: 0.85 is printed (33 CFR 183.425, 105 degC wire).
        let (amps, (hot, cold)) =
            if is_marine && air == 50.0 && rated == 105.0 { (amps * 0.85, (105.0, 50.0)) } else { (amps, stated) };
        let cooling = amps * amps * copper(hot) / (hot - cold);
        let alone = (cooling * (class - air) / copper(class)).max(0.0).sqrt();
        Self { is_marine, class, air, alone, cooling }
    }

    /// The temperature for which it is computed.
    pub fn class(&self) -> f64 {
        self.class
    }

    /// Resistance over that in its air.
    pub fn copper(&self, degc: f64) -> f64 {
        copper(degc) / copper(self.air)
    }

    /// The rise that it would have alone, its copper as hot as it may be.
    pub fn heat(&self, amps: f64) -> f64 {
        if amps <= 1e-6 { 0.0 } else { (self.class - self.air) * (amps / self.alone).powi(2).min(1.0) }
    }

    /// What it may carry where others warm it by `rise`: what brings it from there to its class.
    pub fn capacity(&self, rise: f64) -> f64 {
        (self.cooling * (self.class - self.air - rise).max(0.0) / copper(self.class)).sqrt()
    }

    /// Where its heat and what it gives off are equal, by halving; `None` where they are nowhere below 5,000 degC.
    pub fn steady(&self, amps: f64, rise: f64) -> Option<f64> {
        let still = self.air + rise;
        let excess = |degc: f64| amps * amps * copper(degc) / self.cooling - (degc - still);
        let (mut low, mut high) = (still, 5_000.0);
        if excess(high) > 0.0 {
            return None;
        }
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if excess(middle) > 0.0 { low = middle } else { high = middle }
        }
        Some(low)
    }
}

/// The factor for `n` alike conductors.
fn factor(n: usize, marine: bool) -> f64 {
    let row = BUNCHED.iter().find(|(count, _)| *count >= n);
    let bunched = row.map_or_else(|| 0.38 * (20.0 / n as f64).sqrt(), |(_, factor)| *factor);
    // 33 CFR 183.425, circuits of 50 V and more (page of a marine wiring appendix, seen): 3 0.7, 4 to 6 0.6, 7 to 24 0.5, more 0.4.
    let bands = match n {
        0..=2 => 1.0,
        3 => 0.7,
        4..=6 => 0.6,
        7..=24 => 0.5,
        _ => 0.4,
    };
    if marine { bunched.min(bands) } else { bunched }
}

/// What neighbours with these heats add: slice by slice of heat, each slice common to those that have it.
pub fn layers(heats: &[f64], marine: bool) -> f64 {
    let mut levels = heats.to_vec();
    levels.sort_by(f64::total_cmp);
    let mut below = 0.0;
    let mut rise = 0.0;
    for level in levels {
        let sharing = heats.iter().filter(|heat| **heat >= level).count();
        rise += (level - below) * (factor(sharing + 1, marine).powi(-2) - 1.0);
        below = level;
    }
    rise
}
