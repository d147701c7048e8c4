//! Graphs in layers from left to right, with routes at right angles.
//!
//! Boxes with ports at their left and right sides are joined by nets. A net is one trunk in each channel between two layers, not a bundle of
//! single lines, so that what is one piece of metal looks like one. Steps, each in a file of its own: `rank` says which layer a box is in,
//! `order` who is above whom, `place` where exactly, `route` where lines run. Order of importance: crossings, then bends, then length; the
//! order in which boxes were given decides between equals, so that a picture stays as it was when a box is added at the end.

mod order;
mod place;
mod rank;
mod route;
mod stitch;

use crate::Point;

/// What all places are multiples of: parallel lines are at least so far apart.
pub const GRID: f64 = 10.0;

/// A box with its ports.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Node {
    /// Its width.
    pub width: f64,
    /// Its height, with the room that its name needs.
    pub height: f64,
    /// The ports at its left side, from its upper edge, in multiples of [`GRID`], each below the one before.
    pub left: Vec<f64>,
    /// Those at its right side.
    pub right: Vec<f64>,
}

/// A side of a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The left side, where current enters.
    Left,
    /// The right side, where it leaves.
    Right,
}

/// A port of a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Port {
    /// Which box.
    pub node: usize,
    /// At which side.
    pub side: Side,
    /// Which port of that side.
    pub at: usize,
}

/// What is joined.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Net {
    /// Its ports. Ports that no box has are left out.
    pub ports: Vec<Port>,
    /// How much a straight run of it counts; the main path has most.
    pub weight: u32,
}

/// Boxes and nets.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Graph {
    /// The boxes, in the order of the design.
    pub nodes: Vec<Node>,
    /// The nets.
    pub nets: Vec<Net>,
}

/// Room between things.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spacing {
    /// Between a layer and the next, at least: the texts on lines need it.
    pub layers: f64,
    /// Between two boxes of a layer.
    pub nodes: f64,
}

/// Where the lines of a net run.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Route {
    /// Lines from ports and joints to ports and joints.
    pub lines: Vec<Vec<Point>>,
    /// Where three lines meet.
    pub joints: Vec<Point>,
}

/// A graph laid out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Placed {
    /// The upper left corner of each box.
    pub nodes: Vec<Point>,
    /// The route of each net.
    pub routes: Vec<Route>,
    /// How often lines of different nets cross.
    pub crossings: usize,
}

/// How many orders are tried, and how many of a small graph.
const TRIES: u64 = 24;
const TRIES_OF_SMALL: u64 = 200;
/// So many boxes and passing nets at most make a graph small.
const SMALL: usize = 24;
/// So many boxes and passing nets make a graph large; it is tried less often.
const LARGE: usize = 150;
/// How often a box is moved because two nets would run on one another.
const REPAIRS: usize = 40;

/// So many of them while what is joined still pulls.
const PULLED: usize = 8;

/// Lays `graph` out.
#[must_use]
pub fn laid_out(graph: &Graph, spacing: Spacing) -> Placed {
    with_tries(graph, spacing, None)
}

/// Lays it out after so many tries; `None` lets the size decide.
fn with_tries(graph: &Graph, spacing: Spacing, tries: Option<u64>) -> Placed {
    let ranks = rank::of(graph);
    let mut layers = order::Layers::new(graph, &ranks);
    let items = layers.items();
    let tries = tries.unwrap_or(if items <= SMALL {
        TRIES_OF_SMALL
    } else if items <= LARGE {
        TRIES
    } else {
        2
    });
    let mut best: Option<Placed> = None;
    for order in layers.sorted(tries) {
        layers.layers = order;
        let placed = drawn(&layers, spacing);
        if best.as_ref().is_none_or(|best| placed.crossings < best.crossings) {
            best = Some(placed);
        }
    }
    best.unwrap_or_default()
}

/// The layout of one order.
fn drawn(layers: &order::Layers<'_>, spacing: Spacing) -> Placed {
    let mut shifts = place::Shifts::default();
    let mut placed = Placed::default();
    for repair in 0..REPAIRS {
        // Two that follow each other never come apart: then nothing is pulled any more.
        let rounds = if repair < PULLED { place::ROUNDS } else { 0 };
        let heights = place::of(layers, spacing, &shifts, rounds);
        let (routed, clashes) = route::of(layers, &heights, spacing);
        placed = routed;
        if clashes.is_empty() {
            break;
        }
        shifts.add(&clashes);
    }
    placed
}

#[cfg(test)]
mod tests;
