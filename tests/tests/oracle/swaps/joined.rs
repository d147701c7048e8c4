//! What a swap does, by joining all points as it would and looking at each two things that meet there and did not before.

use super::random::{Drawn, HIGH, Point, Thing, VOLTS};
use harness_core::inspect::Grade;
use std::collections::BTreeMap;

/// Points that are one when all lines between them conduct.
struct Nets<'d> {
    numbers: BTreeMap<&'d str, usize>,
    of: Vec<usize>,
}

impl<'d> Nets<'d> {
    /// All lines but those of connectors that are open; contacts of switches count as closed.
    fn new(drawn: &'d Drawn, open: &[usize]) -> Self {
        let mut nets = Self { numbers: BTreeMap::new(), of: Vec::new() };
        for line in drawn.lines.iter().filter(|line| line.of.is_none_or(|of| !open.contains(&of))) {
            nets.join(&line.ends[0], &line.ends[1]);
        }
        nets
    }

    fn number(&mut self, point: &'d str) -> usize {
        let next = self.of.len();
        let number = *self.numbers.entry(point).or_insert(next);
        if number == next {
            self.of.push(next);
        }
        number
    }

    fn join(&mut self, one: &'d Point, other: &'d Point) {
        let (one, other) = (self.number(one), self.number(other));
        let (from, to) = (self.of[one], self.of[other]);
        self.of.iter_mut().filter(|net| **net == from).for_each(|net| *net = to);
    }

    fn are_one(&self, one: &str, other: &str) -> bool {
        let net = |point: &str| self.numbers.get(point).map(|number| self.of[*number]);
        one == other || net(one).is_some() && net(one) == net(other)
    }
}

/// What two connectors in each other's place do at their worst; `None` where no half of the one goes on a half of the other.
pub fn grade(drawn: &Drawn, one: usize, other: usize) -> Option<Grade> {
    let (first, second) = (&drawn.connectors[one], &drawn.connectors[other]);
    let is_apart = first.zone.zip(second.zone).is_some_and(|(one, other)| one != other);
    let is_keyed = first.key.zip(second.key).is_some_and(|(one, other)| one != other);
    if is_apart || is_keyed {
        return None;
    }
    [(&first.socket, &second.pin), (&second.socket, &first.pin)]
        .into_iter()
        .map(|(socket, pin)| insertion(drawn, [one, other], socket, pin))
        .max()
}

fn insertion<'d>(drawn: &'d Drawn, open: [usize; 2], socket: &'d [Point], pin: &'d [Point]) -> Grade {
    let before = Nets::new(drawn, &[]);
    let mut after = Nets::new(drawn, &open);
    for (own, other) in socket.iter().zip(pin) {
        after.join(own, other);
    }
    let mut worst = Grade::Harmless;
    for (at, (one, thing)) in drawn.things.iter().enumerate() {
        for (other, its) in drawn.things.iter().skip(at + 1) {
            if after.are_one(one, other) && !before.are_one(one, other) {
                worst = worst.max(meeting(drawn, *thing, *its).max(meeting(drawn, *its, *thing)));
            }
        }
    }
    worst.max(backwards(drawn, &before, &after))
}

/// Loads with a plus at their minus side and a minus at their plus side.
fn backwards(drawn: &Drawn, before: &Nets<'_>, after: &Nets<'_>) -> Grade {
    let poles = |wanted: bool| {
        drawn.things.iter().filter_map(move |(point, thing)| match thing {
            Thing::Pole { source, is_plus, .. } if *is_plus == wanted => Some((point, *source)),
            _ => None,
        })
    };
    let side = |load: usize, is_plus: bool| {
        drawn
            .things
            .iter()
            .find(|(_, thing)| *thing == Thing::Side { load, is_plus })
            .map(|(point, _)| point)
            .expect("it has two")
    };
    let mut worst = Grade::Harmless;
    for (number, load) in drawn.loads.iter().enumerate() {
        for (plus, source) in poles(true) {
            let has_plus = after.are_one(plus, side(number, false)) && !before.are_one(plus, side(number, false));
            let has_minus = poles(false).any(|(minus, _)| after.are_one(minus, side(number, true)));
            if has_plus && has_minus && (load.is_polarised || VOLTS[source] > VOLTS[load.source]) {
                worst = worst.max(Grade::Damage);
            }
        }
    }
    worst
}

fn is_high(drawn: &Drawn, thing: Thing) -> bool {
    match thing {
        Thing::Pole { source, .. } => source == HIGH,
        Thing::Side { load, .. } => drawn.loads[load].source == HIGH,
        Thing::Output | Thing::Input | Thing::Bus => false,
    }
}

/// What follows where two things meet, seen from the first.
fn meeting(drawn: &Drawn, one: Thing, other: Thing) -> Grade {
    if is_high(drawn, one) != is_high(drawn, other) {
        return Grade::Danger;
    }
    let damage = |is: bool| if is { Grade::Damage } else { Grade::Mixed };
    match (one, other) {
        (Thing::Pole { source, is_plus: true, is_fused }, Thing::Pole { is_plus: false, .. }) => {
            if is_fused && source != HIGH {
                Grade::Damage
            } else {
                Grade::Danger
            }
        }
        (Thing::Pole { source, is_plus: true, .. }, Thing::Pole { source: its, is_plus: true, .. }) => {
            damage(VOLTS[source] != VOLTS[its])
        }
        (Thing::Pole { source, is_plus: true, .. }, Thing::Side { load, is_plus: true }) => {
            damage(VOLTS[source] > VOLTS[drawn.loads[load].source])
        }
        (Thing::Pole { source, is_plus: true, .. }, Thing::Input) => damage(VOLTS[source] > 12),
        (Thing::Pole { is_plus: true, .. }, Thing::Bus) => Grade::Damage,
        (Thing::Output, Thing::Pole { .. } | Thing::Output) => Grade::Damage,
        _ => Grade::Mixed,
    }
}
