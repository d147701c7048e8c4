//! Facts that a design does not give, and what was not checked for want of them.
//!
//! Whoever stays silent for want of a fact relies on this room to say so; `review/missing-fact` is the one rule that reports it. One
//! file a group of questions: what flows, coils, batteries, what charges them, conductors, shorts, what is joined, positions of
//! contacts, bonds, voltages, ways through a box, what is inside one, charging inlets, inputs, peaks, ends of which nothing is given, buses,
//! screens, routes, isolation, names, plugs, lamps.

mod batteries;
mod bonds;
mod boxes;
mod buses;
mod charging;
mod coils;
mod conductors;
mod flow;
mod idle;
mod inlets;
mod inputs;
mod isolations;
mod joints;
mod lamps;
mod names;
mod peaks;
mod plugs;
mod positions;
mod routes;
mod screens;
mod shorts;
mod unknown_ends;
mod voltages;
mod ways;

use super::Facts;
use crate::text::Span;

/// A check that could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingFact {
    /// The thing that lacks the fact.
    pub place: Span,
    /// What was not checked, and why: a headline.
    pub unchecked: String,
    /// What is missing, in a few words.
    pub lacks: &'static str,
    /// What to add.
    pub remedy: String,
    /// The name of the thing.
    pub thing: String,
    /// The figure that was taken in its place, with its source.
    pub taken: Option<String>,
    /// Further things that lack the same, with their places: one cause is one note.
    pub others: Vec<(Span, String)>,
}

impl MissingFact {
    fn new(place: Span, unchecked: String, lacks: &'static str, remedy: String, thing: String) -> Self {
        Self { place, unchecked, lacks, remedy, thing, taken: None, others: Vec::new() }
    }
}

/// Everything that is missing, by the groups above.
#[must_use]
pub fn missing_facts(facts: &Facts) -> Vec<MissingFact> {
    let groups: [fn(&Facts) -> Vec<MissingFact>; 23] = [
        flow::missing,
        coils::missing,
        batteries::missing,
        charging::missing,
        inlets::missing,
        inputs::missing,
        conductors::missing,
        shorts::missing,
        joints::missing,
        positions::missing,
        bonds::missing,
        voltages::missing,
        ways::missing,
        boxes::missing,
        unknown_ends::missing,
        buses::missing,
        routes::missing,
        isolations::missing,
        screens::missing,
        names::missing,
        peaks::missing,
        plugs::missing,
        lamps::missing,
    ];
    groups.into_iter().flat_map(|group| group(facts)).collect()
}
