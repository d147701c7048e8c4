//! A vehicle worked out the long way: who is joined to whom by trying, voltages by Gaussian elimination.

use super::drawing::{Item, Kind, Vehicle};
use std::collections::{BTreeMap, BTreeSet};

/// Ohms per volt of the pack from which on a resistor is insulation; UN R100 5.1.3.2.
const INSULATION: f64 = 500.0 * 340.0;
/// Volts at which the coils of these vehicles pull in.
const PULL_IN: f64 = 8.0;
const CELL: f64 = 0.05;
const COIL: f64 = 48.0;

/// Things that are opened: connectors and items by their places in the lists.
#[derive(Debug, Clone, Default)]
pub struct Opened {
    pub connectors: Vec<usize>,
    pub items: Vec<usize>,
}

/// A state of a vehicle.
pub struct State<'a> {
    vehicle: &'a Vehicle,
    closed: Vec<bool>,
    /// Groups of places that metal joins, by the place.
    metal: BTreeMap<&'a str, usize>,
    /// Groups that anything but insulation joins.
    islands: BTreeMap<&'a str, usize>,
    volts: BTreeMap<&'a str, f64>,
    pub energised: [bool; 2],
}

/// A number for each group of places that the items of `keep` join.
fn groups(vehicle: &Vehicle, keep: impl Fn(usize, &Item) -> bool) -> BTreeMap<&str, usize> {
    let mut group: BTreeMap<&str, usize> = BTreeMap::new();
    let places = vehicle.items.iter().flat_map(|item| [item.from.as_str(), item.to.as_str()]);
    for (at, place) in places.collect::<BTreeSet<&str>>().into_iter().enumerate() {
        group.insert(place, at);
    }
    loop {
        let mut is_same = true;
        for (_, item) in vehicle.items.iter().enumerate().filter(|(at, item)| keep(*at, item)) {
            let (one, other) = (group[item.from.as_str()], group[item.to.as_str()]);
            if one != other {
                is_same = false;
                group.values_mut().filter(|at| **at == one.max(other)).for_each(|at| *at = one.min(other));
            }
        }
        if is_same {
            return group;
        }
    }
}

/// Solves `matrix x = right` with pivots.
fn solved(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let count = right.len();
    for column in 0..count {
        let pivot = (column..count).max_by(|one, other| matrix[*one][column].abs().total_cmp(&matrix[*other][column].abs()));
        let pivot = pivot.expect("a row");
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        for row in column + 1..count {
            let share = matrix[row][column] / matrix[column][column];
            let above = matrix[column].clone();
            for (value, above) in matrix[row].iter_mut().zip(above).skip(column) {
                *value -= share * above;
            }
            right[row] -= share * right[column];
        }
    }
    for column in (0..count).rev() {
        let sum: f64 = (column + 1..count).map(|at| matrix[column][at] * right[at]).sum();
        right[column] = (right[column] - sum) / matrix[column][column];
    }
    right
}

/// The volts of each group of metal, those of each part of the network against its first group.
fn potentials(groups: &BTreeMap<&str, usize>, edges: &[(usize, usize, f64, f64)]) -> BTreeMap<usize, f64> {
    let nodes: Vec<usize> = groups.values().copied().collect::<BTreeSet<usize>>().into_iter().collect();
    let index: BTreeMap<usize, usize> = nodes.iter().enumerate().map(|(at, node)| (*node, at)).collect();
    let mut part: Vec<usize> = (0..nodes.len()).collect();
    for _ in 0..nodes.len() {
        for (from, to, ..) in edges {
            let least = part[index[from]].min(part[index[to]]);
            (part[index[from]], part[index[to]]) = (least, least);
        }
    }
    let count = nodes.len();
    let (mut matrix, mut right) = (vec![vec![0.0; count]; count], vec![0.0; count]);
    for (from, to, emf, ohms) in edges {
        let (from, to, siemens) = (index[from], index[to], 1.0 / ohms);
        matrix[from][from] += siemens;
        matrix[to][to] += siemens;
        matrix[from][to] -= siemens;
        matrix[to][from] -= siemens;
        right[to] += emf * siemens;
        right[from] -= emf * siemens;
    }
    for at in (0..count).filter(|at| part[*at] == *at) {
        matrix[at] = (0..count).map(|column| f64::from(u8::from(column == at))).collect();
        right[at] = 0.0;
    }
    let volts = solved(matrix, right);
    nodes.into_iter().zip(volts).collect()
}

impl<'a> State<'a> {
    pub fn new(vehicle: &'a Vehicle, mode: usize, opened: &Opened) -> Self {
        let mut energised = [false; 2];
        // No coil of these vehicles is fed past its own contact: the second pass settles.
        for _ in 0..2 {
            let state = Self::with(vehicle, mode, opened, energised);
            energised = state.coils();
        }
        Self::with(vehicle, mode, opened, energised)
    }

    fn with(vehicle: &'a Vehicle, mode: usize, opened: &Opened, energised: [bool; 2]) -> Self {
        let is_closed = |(at, item): (usize, &Item)| {
            !opened.items.contains(&at)
                && match &item.kind {
                    Kind::Contact(connector) => !opened.connectors.contains(connector),
                    Kind::Switch(modes) => modes[mode],
                    Kind::Relay(coil) => energised[*coil],
                    Kind::Capacitor(_) => false,
                    Kind::Metal | Kind::Coil(_) | Kind::Source(_) | Kind::Resistor(_) => true,
                }
        };
        let closed: Vec<bool> = vehicle.items.iter().enumerate().map(is_closed).collect();
        let is_metal = |kind: &Kind| matches!(kind, Kind::Metal | Kind::Contact(_) | Kind::Switch(_) | Kind::Relay(_));
        let metal = groups(vehicle, |at, item| closed[at] && is_metal(&item.kind));
        let islands = groups(vehicle, |at, item| closed[at] && !matches!(item.kind, Kind::Resistor(ohms) if ohms >= INSULATION));
        let edges: Vec<(usize, usize, f64, f64)> = vehicle
            .items
            .iter()
            .zip(&closed)
            .filter(|(_, closed)| **closed)
            .filter_map(|(item, _)| {
                let (emf, ohms) = match item.kind {
                    Kind::Source(emf) => (emf, CELL),
                    Kind::Resistor(ohms) => (0.0, ohms),
                    Kind::Coil(_) => (0.0, COIL),
                    _ => return None,
                };
                Some((metal[item.from.as_str()], metal[item.to.as_str()], emf, ohms))
            })
            .collect();
        let by_group = potentials(&metal, &edges);
        let volts = metal.iter().map(|(place, group)| (*place, by_group[group])).collect();
        Self { vehicle, closed, metal, islands, volts, energised }
    }

    fn coils(&self) -> [bool; 2] {
        let mut energised = [false; 2];
        for item in &self.vehicle.items {
            if let Kind::Coil(coil) = item.kind {
                let island = self.islands[item.from.as_str()] == self.islands[item.to.as_str()];
                let volts = (self.volts[item.from.as_str()] - self.volts[item.to.as_str()]).abs();
                energised[coil] = island && volts >= PULL_IN;
            }
        }
        energised
    }

    /// The most between a place and any other of these that it is joined to, or the chassis.
    pub fn most(&self, place: &str, exposed: &[String]) -> f64 {
        let frame = "frame.G".to_owned();
        let others = exposed.iter().chain([&frame]).filter(|other| self.islands[other.as_str()] == self.islands[place]);
        others.map(|other| (self.volts[place] - self.volts[other.as_str()]).abs()).fold(0.0, f64::max)
    }

    /// Whether metal joins two places.
    pub fn are_one(&self, one: &str, other: &str) -> bool {
        self.metal[one] == self.metal[other]
    }

    /// Whether anything that conducts joins two places, sources and coils too.
    pub fn are_in_one_ring(&self, one: &str, other: &str) -> bool {
        self.islands[one] == self.islands[other]
    }

    /// The volts across an item, if it is joined to anything at both its ends.
    pub fn across(&self, item: &Item) -> f64 {
        let (from, to) = (item.from.as_str(), item.to.as_str());
        let all = groups(self.vehicle, |at, _| self.closed[at]);
        if all[from] == all[to] { (self.volts[from] - self.volts[to]).abs() } else { 0.0 }
    }

    /// The ohms through which a capacitor empties, and the farads beside it.
    pub fn discharge(&self, item: &Item) -> (Option<f64>, f64) {
        let ends = [self.metal[item.from.as_str()], self.metal[item.to.as_str()]];
        let mut edges: Vec<(usize, usize, f64, f64)> = Vec::new();
        let mut farads = 0.0;
        for (other, closed) in self.vehicle.items.iter().zip(&self.closed) {
            let own = (self.metal[other.from.as_str()], self.metal[other.to.as_str()]);
            match other.kind {
                Kind::Resistor(ohms) if *closed => edges.push((own.0, own.1, 0.0, ohms)),
                Kind::Coil(_) if *closed => edges.push((own.0, own.1, 0.0, COIL)),
                Kind::Capacitor(farad) if own == (ends[0], ends[1]) || own == (ends[1], ends[0]) => farads += farad,
                _ => {}
            }
        }
        // A volt with an ohm of its own: what is missing across it flows.
        edges.push((ends[0], ends[1], 1.0, 1.0));
        let volts = potentials(&self.metal, &edges);
        let amps = 1.0 - (volts[&ends[1]] - volts[&ends[0]]).abs();
        ((amps > 1e-9).then(|| (1.0 - amps) / amps), farads)
    }
}
