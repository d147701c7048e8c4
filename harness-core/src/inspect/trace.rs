//! All that is known of one thing.

mod element;
mod way;
mod wire;

use super::{
    Charge, Duty, Fact, Guards, Margin, Member, ModeRow, Outcome, Short, Thing,
    charge::charges,
    facts, loads,
    mates::{members, names},
    modes, rated, short,
};
use crate::{
    analysis::Analysis,
    electrical::{faults::StrikingModes, fuses::fuse::kind_of},
    finding::{Judged, Level},
    model::{ElementId, Model},
    quantity::{Ampere, Kelvin},
    standards::capacity::Capacity,
    text::Span,
};
use std::collections::{BTreeMap, BTreeSet};

/// What is known of one wire, element or point.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Trace {
    /// Its name in findings.
    pub name: String,
    /// What it is: `wire`, `fuse`, `pin`.
    pub kind: &'static str,
    /// Where it is written.
    pub span: Span,
    /// What the design says of it.
    pub facts: Vec<Fact>,
    /// The nets of its points: one for a wire or a point, one for each side of an element.
    pub nets: Vec<Net>,
    /// The way of the current through it.
    pub way: Way,
    /// What flows, one row a mode.
    pub modes: Vec<ModeRow>,
    /// Its continuous capacity; `None` where it is not a conductor or a fact is missing.
    pub capacity: Option<Capacity>,
    /// What is beside a conductor and warms it, where its capacity is least: the one that warms most first.
    pub neighbours: Vec<Neighbour>,
    /// The fuses before it, any of which may have to clear a fault in it; for a fuse, the fuse itself.
    pub fuses: Vec<Fuse>,
    /// For a fuse, the conductor behind it that carries least, and how many there are.
    pub protects: Option<(loads::Thinnest, usize)>,
    /// The worst short of a conductor; for a fuse, that of the conductors behind it.
    pub short: Option<Short>,
    /// For a fuse, the largest current that it may have to break.
    pub duty: Option<Duty>,
    /// How far its figures stay from their limits.
    pub margins: Vec<Margin>,
    /// Findings that concern it or what it mates with, the most severe first.
    pub concerns: Vec<Concern>,
    /// For a battery, the modes in which it is charged: what it takes and what the loads take.
    pub charges: Vec<Charge>,
    /// For a cable its cores, for a mated pair its contacts: what each carries at most.
    pub members: Vec<Member>,
    /// What has to be known beside the figures.
    pub notes: Vec<String>,
    /// What could not be computed, and why.
    pub unknown: Vec<String>,
}

/// A conductor that is beside another.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbour {
    /// Its name.
    pub name: String,
    /// What it carries there.
    pub amps: Ampere,
    /// The mode.
    pub mode: String,
    /// What its heat adds to the temperature of the traced conductor, in K.
    pub adds: Kelvin,
    /// It carries nothing in that mode and counts with its largest current, because it is live.
    pub is_idle: bool,
}

/// Points that are one piece of metal.
#[derive(Debug, Clone, PartialEq)]
pub struct Net {
    /// Its voltage domain.
    pub domain: Option<String>,
    /// Its points, in the order written.
    pub points: Vec<String>,
    /// Its wires, in the order written.
    pub wires: Vec<String>,
}

/// The way of the current.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Way {
    /// The mode whose current it follows; `None` where none flows and it follows what joins.
    pub mode: Option<String>,
    /// From the source to the thing.
    pub feed: Option<Vec<String>>,
    /// From the thing back to the source.
    pub back: Option<Vec<String>>,
}

/// A fuse before a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuse {
    /// `fuse-box.F4`.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// Its rating.
    pub rating: Option<Ampere>,
    /// Its kind and standard.
    pub kind: String,
}

/// A finding that concerns a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Concern {
    /// The rule.
    pub rule: &'static str,
    /// Its level.
    pub level: Level,
    /// Its headline.
    pub headline: String,
    /// What distinguishes it from all others of the run.
    pub fingerprint: String,
    /// Its place.
    pub span: Span,
    /// A waiver accepts it.
    pub waived: bool,
}

/// Gathers what is known of `thing`; `findings` are those of the same run.
///
/// Cost: linear in the design. For many things make one [`Tracer`].
#[must_use]
pub fn trace(analysis: &Analysis, findings: &[Judged], thing: Thing) -> Trace {
    Tracer::new(analysis, findings).trace(thing)
}

/// What the traces of one design share.
#[derive(Debug)]
pub struct Tracer<'a> {
    analysis: &'a Analysis,
    guards: Guards<'a>,
    /// The findings by what they concern.
    concerning: BTreeMap<&'a str, Vec<usize>>,
    findings: &'a [Judged],
    /// Per mode, what all shorts in it share.
    striking: StrikingModes<'a>,
}

impl<'a> Tracer<'a> {
    /// What all traces ask; `findings` are those of the same run. Cost: linear in the design.
    #[must_use]
    pub fn new(analysis: &'a Analysis, findings: &'a [Judged]) -> Self {
        let mut concerning: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (at, finding) in findings.iter().enumerate() {
            for name in &finding.concerns {
                concerning.entry(name).or_default().push(at);
            }
        }
        let striking = StrikingModes::new(analysis.electrical());
        Self { analysis, guards: Guards::new(analysis), concerning, findings, striking }
    }

    /// Gathers what is known of `thing`. Cost: what its nets and the way of its current take.
    #[must_use]
    pub fn trace(&self, thing: Thing) -> Trace {
        let (analysis, guards) = (self.analysis, &self.guards);
        let model = analysis.model();
        let name = thing.name(model);
        let mut modes = modes::rows(analysis, thing);
        if let Thing::Point(point) = thing {
            for row in &mut modes {
                row.short = self.striking.mode(row.id).and_then(|mode| short::at_point(model, mode, point));
            }
        }
        let mut trace = Trace {
            kind: facts::kind(model, thing),
            span: facts::span(model, thing),
            facts: facts::facts(analysis, thing),
            nets: way::nets(analysis, thing),
            way: way::way(analysis, thing, &modes),
            modes,
            capacity: None,
            neighbours: Vec::new(),
            fuses: Vec::new(),
            protects: None,
            short: None,
            duty: None,
            margins: Vec::new(),
            concerns: self.concerns(&names(analysis, thing, &name)),
            charges: if let Thing::Element(id) = thing { charges(analysis, id) } else { Vec::new() },
            members: members(analysis, thing),
            notes: Vec::new(),
            unknown: Vec::new(),
            name,
        };
        match thing {
            Thing::Wire(id) => wire::of_wire(analysis, guards, id, &mut trace),
            Thing::Element(id) => element::of_element(analysis, guards, id, &mut trace),
            Thing::Point(id) => {
                let (before, more) = guards.before_point(id);
                trace.notes.extend(more_fuses(more));
                trace.fuses = before.iter().map(|fuse| fuse_of(model, *fuse)).collect();
            }
            Thing::Cable(_) | Thing::Pair(_) => {}
        }
        trace.margins.extend(rated::margins(analysis, thing));
        for mode in analysis.electrical().modes_as_written().into_iter().filter(|mode| !mode.is_settled()) {
            let name = model.mode_name(mode.id);
            trace.unknown.push(format!("mode `{name}` has no steady state: its currents are not known"));
        }
        if analysis.electrical().modes().len() == 0 {
            trace.unknown.push("no current was computed: none of the modes asked for exists".to_owned());
        }
        if trace.modes.iter().any(|row| row.shorted) {
            trace.notes.push("in some mode a source of its circuit is shorted: that current is the fault current".to_owned());
        }
        trace
    }

    /// The findings that concern one of `names`, the most severe first.
    fn concerns(&self, names: &BTreeSet<String>) -> Vec<Concern> {
        let found = names.iter().filter_map(|name| self.concerning.get(name.as_str())).flatten().copied();
        let found: BTreeSet<usize> = found.collect();
        let mut concerns: Vec<Concern> = found
            .into_iter()
            .filter_map(|at| self.findings.get(at))
            .map(|finding| Concern {
                rule: finding.rule,
                level: finding.level,
                headline: finding.headline.clone(),
                fingerprint: finding.fingerprint.clone(),
                span: finding.primary.span,
                waived: finding.waived.is_some(),
            })
            .collect();
        concerns.sort_by_key(|concern| std::cmp::Reverse(concern.level));
        concerns
    }
}

/// Says where a short can't be judged for want of a fuse's times.
fn untimed(trace: &mut Trace) {
    if let Some(Outcome::Unknown(fuse)) = trace.short.as_ref().map(|short| &short.outcome) {
        trace
            .unknown
            .push(format!("whether `{fuse}` opens in time: the operating times of its kind are not known; give it `gates`"));
    }
}

/// Says that fuses were left out of a list.
fn more_fuses(more: usize) -> Option<String> {
    (more > 0).then(|| format!("{more} more fuses before it are not listed"))
}

fn fuse_of(model: &Model, id: ElementId) -> Fuse {
    let element = &model[id];
    let kind = kind_of(model, id);
    let standard = kind.and_then(|kind| kind.standard).map(|standard| model.text(standard.value));
    let words: Vec<&str> = kind.map(|kind| model.text(kind.name)).into_iter().chain(standard).collect();
    let rating = kind.and_then(|kind| kind.rating).map(|rating| rating.value);
    Fuse { name: model.element_name(id), span: element.span, rating, kind: words.join(", ") }
}
