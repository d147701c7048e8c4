//! A loom on the rig, nothing mated: its spots, what joins them, and its plugs. A small network of its own.

use crate::arena::{Id, IdVec, ids};

ids! {
    /// A place of a loom: a cavity, a ring, a bare end, a splice.
    Spot;
    /// What joins two spots.
    Join;
    /// An end of a loom.
    Plug;
}

/// A loom on the rig.
#[derive(Debug, Clone, Default)]
pub(super) struct Bare {
    pub(super) spots: IdVec<Spot, Place>,
    pub(super) joins: IdVec<Join, Joined>,
    pub(super) plugs: IdVec<Plug, End>,
    /// A screen and each of its cores where both can be reached.
    pub(super) screened: Vec<(Spot, Spot)>,
}

/// A place of a loom.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    /// As findings name it.
    pub(super) name: String,
    /// The end that it is at; `None` for a splice and for an inner point.
    pub(super) plug: Option<Plug>,
    /// Whether a probe reaches it.
    pub(super) is_open: bool,
    /// Whether a wire, a screen or an element of the loom is meant to be there.
    pub(super) is_used: bool,
    /// Most resistance of the contact or joint by which a lead is put to it, in ohm.
    pub(super) contact: f64,
}

impl Place {
    /// Whether a probe reaches it and something is meant to be there: then a lamp board has a switch and a lamp for it.
    pub(super) fn has_lamp(&self) -> bool {
        self.is_open && self.is_used
    }
}

/// What joins two spots.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Joined {
    /// As findings name it.
    pub(super) name: String,
    /// What the trade calls it: `wire`, `screen`, `fuse`, `diode` …
    pub(super) noun: &'static str,
    pub(super) from: Spot,
    pub(super) to: Spot,
    pub(super) kind: Kind,
}

/// What a join is to a meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Metal: a wire, a screen, a bar, a fuse; its most resistance in ohm, where it is known.
    Metal(Option<f64>),
    /// A resistor: ohm, and its tolerance as a share.
    Resistor(f64, f64),
    /// A diode from `from` to `to`, and its drop in volts.
    Diode(f64),
    /// Something of which nobody can say what a meter shows: a load, a coil, a switch.
    Vague,
}

impl Kind {
    /// Whether a meter reads a resistance over it.
    pub(super) fn is_ohmic(self) -> bool {
        match self {
            Self::Metal(_) | Self::Resistor(..) => true,
            Self::Diode(_) | Self::Vague => false,
        }
    }

    /// Whether it makes nets: metal.
    pub(super) fn is_metal(self) -> bool {
        match self {
            Self::Metal(_) => true,
            Self::Resistor(..) | Self::Diode(_) | Self::Vague => false,
        }
    }
}

/// An end of a loom.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct End {
    /// As findings name it.
    pub(super) name: String,
    /// What the trade calls it: `connector`, `ring`, `bare end`.
    pub(super) noun: &'static str,
    /// Its spots in the order of their labels.
    pub(super) spots: Vec<Spot>,
    /// The rows of its face, each left to right; empty where nothing is said.
    pub(super) rows: Vec<Vec<Spot>>,
}

impl Bare {
    /// The pairs of used cavities of a plug that are beside each other on its face, or where it has no face by their numbers.
    pub(super) fn neighbours(&self, plug: Plug) -> Vec<(Spot, Spot)> {
        let end = &self.plugs[plug];
        let beside = |row: &[Spot]| -> Vec<(Spot, Spot)> { row.iter().copied().zip(row.iter().copied().skip(1)).collect() };
        let mut pairs = Vec::new();
        if end.rows.is_empty() {
            pairs.extend(beside(&end.spots));
        } else {
            pairs.extend(end.rows.iter().flat_map(|row| beside(row)));
            for (upper, lower) in end.rows.iter().zip(end.rows.iter().skip(1)) {
                pairs.extend(upper.iter().copied().zip(lower.iter().copied()));
            }
        }
        pairs.retain(|(one, other)| self.spots[*one].is_used && self.spots[*other].is_used);
        pairs
    }

    /// The orders in which the cavities of a plug are filled: by number, and where its face has several rows each row.
    pub(super) fn orders(&self, plug: Plug) -> Vec<Vec<Spot>> {
        let end = &self.plugs[plug];
        let mut orders = vec![end.spots.clone()];
        for row in end.rows.iter().filter(|row| row.len() > 1) {
            if !orders.contains(row) {
                orders.push(row.clone());
            }
        }
        orders
    }

    /// The joins at each spot.
    pub(super) fn joins_at(&self) -> IdVec<Spot, Vec<Join>> {
        let mut at = IdVec::of(Vec::new(), self.spots.len());
        for (id, join) in self.joins.iter() {
            at[join.from].push(id);
            if join.to != join.from {
                at[join.to].push(id);
            }
        }
        at
    }
}

/// Sets that grow together: which things are one group.
#[derive(Debug, Clone)]
pub(super) struct Groups<I: Id> {
    parent: IdVec<I, I>,
}

impl<I: Id> Groups<I> {
    pub(super) fn new(count: usize) -> Self {
        Self { parent: (0..count).map(I::from_index).collect() }
    }

    pub(super) fn of(&self, item: I) -> I {
        let mut at = item;
        while self.parent[at] != at {
            at = self.parent[at];
        }
        at
    }

    pub(super) fn join(&mut self, one: I, other: I) {
        let (one, other) = (self.of(one), self.of(other));
        // The lower number leads, so that a group has one name whatever the order.
        let (low, high) = if one < other { (one, other) } else { (other, one) };
        self.parent[high] = low;
    }

    /// Each thing at its leader, so that questions cost nothing.
    pub(super) fn settled(mut self) -> Self {
        for item in self.parent.ids() {
            self.parent[item] = self.of(item);
        }
        self
    }
}
