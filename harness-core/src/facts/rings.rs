//! Converters that feed each other in a ring: what each gives reaches the input of the next, and what the last gives that of the first.
//!
//! Cost: for each mode one pass over the edges; where a ring is possible, a walk from the output of each converter of it.

use super::Facts;
use crate::{
    electrical::ModeState,
    model::{ElementId, ModeId, PointId},
    network::{Edge, EdgeId, EdgeRole},
    quantity::Ampere,
};

impl Facts {
    /// Rings of converters that are on in the same mode, in the order of the first converter of each.
    ///
    /// Asked by `netlist/feeds-itself` and `netlist/no-steady-state`.
    #[must_use]
    pub fn rings(&self) -> &[Ring] {
        self.made.rings.get_or_init(|| rings(self))
    }

    /// Whether the converter is in a ring that no source feeds, or that has no steady state: a finding of the ring says why it gives nothing.
    ///
    /// Asked by `review/missing-fact`.
    #[must_use]
    pub fn is_in_dead_ring(&self, converter: ElementId) -> bool {
        let is_dead = |ring: &&Ring| !ring.alone.is_empty() || !ring.restless.is_empty();
        self.rings().iter().filter(is_dead).any(|ring| ring.converters.contains(&converter))
    }
}

/// Current in A from which a converter counts as giving something; common practice, no source.
const LEAST: f64 = 0.01;

/// Converters of which each feeds the next and the last the first; one alone feeds itself.
#[derive(Debug)]
pub struct Ring {
    /// The converters in the order in which they feed each other.
    pub converters: Vec<ElementId>,
    /// A source, or a converter outside the ring, that is at the input of one of them.
    pub feeder: Option<ElementId>,
    /// Modes in which they have no steady state.
    pub restless: Vec<ModeId>,
    /// Modes in which each of them gives something.
    pub turning: Vec<ModeId>,
    /// What each gives in the first of these modes.
    pub given: Vec<Ampere>,
    /// Modes in which nothing is at their inputs but what they give.
    pub alone: Vec<ModeId>,
}

/// A converter in one mode.
struct Converter {
    element: ElementId,
    input: PointId,
    output: PointId,
    out: EdgeId,
}

fn rings(facts: &Facts) -> Vec<Ring> {
    let mut found: Vec<Ring> = Vec::new();
    let all = converters(facts);
    if all.is_empty() {
        return found;
    }
    for mode in facts.electrical().modes() {
        let is_on = |element: ElementId| facts.model()[element].kind.modes().is_some_and(|modes| modes.has(mode.id));
        let on: Vec<&Converter> = all.iter().filter(|converter| is_on(converter.element)).collect();
        for ring in rings_in(facts, mode, &on) {
            let converters: Vec<ElementId> = ring.iter().map(|converter| converter.element).collect();
            let feeder = feeder(facts, mode, &ring, is_on);
            let at = found.iter().position(|known| known.converters == converters).unwrap_or(found.len());
            if at == found.len() {
                let (restless, turning, alone) = (Vec::new(), Vec::new(), Vec::new());
                found.push(Ring { converters, feeder, restless, turning, given: Vec::new(), alone });
            }
            let Some(known) = found.get_mut(at) else { continue };
            known.feeder = known.feeder.or(feeder);
            let given: Vec<Ampere> = ring.iter().map(|converter| mode.amps(converter.out)).collect();
            if ring.iter().any(|converter| mode.is_adrift(converter.input)) {
                known.restless.push(mode.id);
            } else if given.iter().all(|amps| amps.get() >= LEAST) {
                if known.turning.is_empty() {
                    known.given = given;
                }
                known.turning.push(mode.id);
            } else if feeder.is_none() {
                known.alone.push(mode.id);
            }
        }
    }
    found
}

/// All converters, with the positive points of their two sides.
fn converters(facts: &Facts) -> Vec<Converter> {
    let network = facts.network();
    let inputs = network.edges().filter(|(_, edge)| edge.role == EdgeRole::ConverterInput);
    let found = inputs.filter_map(|(_, input)| {
        let element = input.element()?;
        let is_its = |edge: &Edge| edge.element() == Some(element) && edge.role.drives();
        let (out, output) = network.edges().find(|(_, edge)| is_its(edge))?;
        Some(Converter { element, input: input.a, output: output.b, out })
    });
    found.collect()
}

/// Whether the edge lets current through in the mode. Which way a relay is where nothing settles is not known: its contacts count.
fn lets_through(mode: &ModeState, id: EdgeId, edge: &Edge) -> bool {
    let may_turn = edge.role.is_relay_contact() && mode.is_adrift(edge.a);
    // A diode that blocks now is one that carries nothing now: its direction is asked for where it matters.
    edge.role.conducts_when_closed() && (may_turn || edge.role == EdgeRole::Diode || mode.conducts(id))
}

/// Rings of these converters: each begins with the one that comes first in the design and is in none before.
fn rings_in<'a>(facts: &Facts, mode: &ModeState, on: &[&'a Converter]) -> Vec<Vec<&'a Converter>> {
    let network = facts.network();
    let lumps = network.components(|id, edge| lets_through(mode, id, edge));
    let is_before = |one: &Converter, next: &Converter| lumps.of(one.output) == lumps.of(next.input);
    // What no other feeds, or what feeds no other, is in no ring, nor is what only such ones feed.
    let mut left: Vec<&Converter> = on.to_vec();
    loop {
        let count = left.len();
        let feeds =
            |one: &Converter| left.iter().any(|next| is_before(one, next)) && left.iter().any(|last| is_before(last, one));
        left = left.iter().copied().filter(|one| feeds(one)).collect();
        if left.len() == count {
            break;
        }
    }
    let next: Vec<Vec<usize>> = left
        .iter()
        .map(|one| {
            let walk = network.walk_along([one.output], |point, id, edge| {
                lets_through(mode, id, edge) && (edge.role != EdgeRole::Diode || point == edge.a)
            });
            let is_reached = |point: PointId| point == one.output || walk.came(point).is_some();
            (0..left.len()).filter(|at| left.get(*at).is_some_and(|other| is_reached(other.input))).collect()
        })
        .collect();
    let mut found: Vec<Vec<&Converter>> = Vec::new();
    for start in 0..left.len() {
        let Some(path) = shortest_round(&next, start) else { continue };
        let ring: Vec<&Converter> = path.iter().filter_map(|at| left.get(*at)).copied().collect();
        let is_known = |one: &&Converter| found.iter().flatten().any(|known| known.element == one.element);
        if !ring.iter().any(is_known) {
            found.push(ring);
        }
    }
    found
}

/// The shortest way from a converter back to itself, the first of its kind.
fn shortest_round(next: &[Vec<usize>], start: usize) -> Option<Vec<usize>> {
    let mut paths = vec![vec![start]];
    let mut met = Vec::new();
    let mut at = 0;
    while let Some(path) = paths.get(at).cloned() {
        at += 1;
        for &follows in path.last().and_then(|last| next.get(*last)).into_iter().flatten() {
            if follows == start {
                return Some(path);
            }
            if !met.contains(&follows) {
                met.push(follows);
                paths.push(path.iter().copied().chain([follows]).collect());
            }
        }
    }
    None
}

/// What drives at an input of the ring and is not of it.
fn feeder(facts: &Facts, mode: &ModeState, ring: &[&Converter], is_on: impl Fn(ElementId) -> bool) -> Option<ElementId> {
    let network = facts.network();
    let walk = network.walk(ring.iter().map(|converter| converter.input), |id, edge| lets_through(mode, id, edge));
    let is_there = |point: PointId| walk.came(point).is_some() || ring.iter().any(|converter| converter.input == point);
    let drives = |edge: &Edge| edge.role.drives() && is_there(edge.b);
    network
        .edges()
        .filter(|(_, edge)| drives(edge))
        .filter_map(|(_, edge)| edge.element())
        .find(|element| is_on(*element) && !ring.iter().any(|converter| converter.element == *element))
}
