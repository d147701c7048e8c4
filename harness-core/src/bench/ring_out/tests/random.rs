//! Looms at random: plugs with one or two rows, nets with splices and double crimps, wires side by side, diodes, resistors, spares.

use crate::{
    arena::IdVec,
    bench::ring_out::bare::{Bare, End, Joined, Kind, Place, Plug, Spot},
};
use proptest::prelude::*;

/// What a loom is made from: so many plugs, and numbers from which everything else follows.
#[derive(Debug, Clone)]
pub(super) struct Recipe {
    plugs: Vec<(usize, bool)>,
    nets: Vec<(Vec<usize>, u8)>,
}

pub(super) fn recipe() -> impl Strategy<Value = Recipe> {
    let plugs = prop::collection::vec((1usize..13, any::<bool>()), 2..6);
    let nets = prop::collection::vec((prop::collection::vec(0usize..1000, 2..6), any::<u8>()), 1..18);
    (plugs, nets).prop_map(|(plugs, nets)| Recipe { plugs, nets })
}

struct Maker {
    bare: Bare,
    free: Vec<Spot>,
}

impl Maker {
    fn join(&mut self, noun: &'static str, from: Spot, to: Spot, kind: Kind) {
        for spot in [from, to] {
            self.bare.spots[spot].is_used = true;
        }
        let name = format!("{}", 100 + self.bare.joins.len());
        self.bare.joins.push(Joined { name, noun, from, to, kind });
    }

    fn wire(&mut self, from: Spot, to: Spot) {
        let ohm = 0.005 + 0.003 * (self.bare.joins.len() % 17) as f64;
        self.join("wire", from, to, Kind::Metal(Some(ohm)));
    }

    fn splice(&mut self) -> Spot {
        let name = format!("S{}", self.bare.spots.len());
        self.bare.spots.push(Place { name, plug: None, is_open: false, is_used: true, contact: 0.0 })
    }

    fn take(&mut self, pick: usize) -> Option<Spot> {
        if self.free.is_empty() { None } else { Some(self.free.remove(pick % self.free.len())) }
    }
}

impl Recipe {
    pub(super) fn loom(&self) -> Bare {
        let mut maker = Maker { bare: Bare { spots: IdVec::new(), ..Bare::default() }, free: Vec::new() };
        for (index, (count, has_rows)) in self.plugs.iter().enumerate() {
            let spots: Vec<Spot> = (0..*count)
                .map(|at| {
                    let name = format!("P{}.{}", index + 1, at + 1);
                    let plug = Some(Plug(index as u32));
                    maker.bare.spots.push(Place { name, plug, is_open: true, is_used: false, contact: 0.002 })
                })
                .collect();
            maker.free.extend(&spots);
            let rows =
                if *has_rows && count % 2 == 0 { spots.chunks(count / 2).map(<[Spot]>::to_vec).collect() } else { Vec::new() };
            maker.bare.plugs.push(End { name: format!("P{}", index + 1), noun: "connector", spots, rows });
        }
        for (picks, sort) in &self.nets {
            net(&mut maker, picks, *sort);
        }
        maker.bare
    }
}

fn net(maker: &mut Maker, picks: &[usize], sort: u8) {
    // A cavity in three stays free on the whole, so that wires can be misplaced.
    let wanted = match sort % 4 {
        0 | 1 => 2,
        2 => 3,
        _ => picks.len(),
    };
    let places: Vec<Spot> = picks.iter().take(wanted).filter_map(|pick| maker.take(*pick)).collect();
    let [first, others @ ..] = places.as_slice() else { return };
    match sort / 4 % 16 {
        // A spare wire that ends nowhere.
        0 => maker.bare.spots[*first].is_used = true,
        1 if others.len() == 1 => maker.join("resistor", *first, others[0], Kind::Resistor(120.0, 0.05)),
        2 if others.len() == 1 => maker.join("diode", *first, others[0], Kind::Diode(0.7)),
        3 if others.len() == 1 => {
            let inner = maker.splice();
            maker.wire(*first, inner);
            maker.join("resistor", inner, others[0], Kind::Resistor(1000.0, 0.05));
        }
        4 => {
            for other in others {
                maker.wire(*first, *other);
                maker.wire(*first, *other);
            }
        }
        5 | 6 => {
            for pair in places.windows(2) {
                maker.wire(pair[0], pair[1]);
            }
        }
        _ if others.len() > 1 => {
            let splice = maker.splice();
            for place in &places {
                maker.wire(*place, splice);
            }
        }
        _ => {
            for other in others {
                maker.wire(*first, *other);
            }
        }
    }
}
