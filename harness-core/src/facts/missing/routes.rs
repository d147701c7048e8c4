//! Facts without which nobody knows whether what runs along a route reaches, goes through its passages, and takes its bends and joints.

use super::MissingFact;
use crate::{
    facts::{
        Facts,
        apart::NotApart,
        segment_members::Member,
        segment_runs::{Reaching, ShortRun},
    },
    model::{CableKindId, ConductorId, LoomId, Model, Segment, SegmentId},
    text::Span,
    wording::{agree, count, list_of_first, quoted},
};
use std::collections::BTreeMap;

/// Names that a note's headline holds.
const NAMED: usize = 3;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let mut found = midway(facts);
    found.extend(diameters(facts));
    found.extend(strands(facts));
    found.extend(bends(facts));
    found.extend(unrouted(facts));
    found
}

/// Circuits that must run apart and whose wires name no segment.
fn unrouted(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let note = |found: &NotApart| {
        let [first, second] = found.unrouted?;
        let [named, _] = found.named;
        let (one, other, loom) = (model.wire_name(first), model.wire_name(second), model.loom_name(model[first].loom));
        Some(MissingFact::new(
            named,
            format!(
                "whether `{one}` runs apart from `{other}`, as `apart` asks for, was not checked: neither names its segments"
            ),
            "unknown ways",
            format!("give `{loom}` its `route`, and `{one}` and `{other}` the segments that they run through (`via`)"),
            model.device_name(found.device).to_owned(),
        ))
    };
    let fork = |found: &NotApart| {
        let (point, more) = found.forks.first()?;
        let [named, _] = found.named;
        let (device, at) = (model.device_name(found.device), model.point_name(*point));
        Some(MissingFact::new(
            named,
            format!(
                "whether the circuits of `{device}` that `apart` names run apart behind `{at}` was not checked: {more} wires lead on from there"
            ),
            "ways that fork",
            format!(
                "look at them by hand, or name in `apart` of the box that they come from what must run apart on the way to `{at}`"
            ),
            device.to_owned(),
        ))
    };
    let all = facts.not_apart();
    all.iter().filter_map(note).chain(all.iter().filter_map(fork)).collect()
}

/// Wires that reach only if they leave their one segment midway: one note a loom.
fn midway(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut by_loom: BTreeMap<LoomId, Vec<&ShortRun>> = BTreeMap::new();
    for run in facts.short_runs().iter().filter(|run| run.reaching == Reaching::Unknown) {
        by_loom.entry(run.loom).or_default().push(run);
    }
    let note = |runs: &Vec<&ShortRun>| {
        let first = runs.first()?;
        let name = |run: &ShortRun| run.cable.map_or_else(|| model.wire_name(run.wire), |cable| model.cable_name(cable));
        let segment = first.segments.first().map(|segment| model.text(model[*segment].name))?;
        let more = match runs.len() - 1 {
            0 => String::new(),
            more => format!(", and so with {}", count(more, "more wire")),
        };
        let mut note = MissingFact::new(
            first.length.span,
            format!(
                "whether `{}` reaches was not checked: it is {} long, segment `{segment}` {}, and nothing says where it leaves it{more}",
                name(first),
                first.length.value,
                first.route
            ),
            "shorter than its segment",
            format!(
                "write `at: {segment}` at the end or splice that hangs on the segment, or give the segment its nodes (`from`, `to`)"
            ),
            name(first),
        );
        note.others = runs.iter().skip(1).map(|run| (run.length.span, name(run))).collect();
        Some(note)
    };
    by_loom.values().filter_map(note).collect()
}

/// What says how a wire or cable is made, or the loom that says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Cable(CableKindId),
    Single(ConductorId),
    Unsaid(LoomId),
}

fn kind_of(model: &Model, member: Member) -> Kind {
    match member {
        Member::Cable(cable) => model[cable].kind.map_or(Kind::Unsaid(model[cable].loom), Kind::Cable),
        Member::Wire(wire) => model[wire].kind.map_or(Kind::Unsaid(model[wire].loom), Kind::Single),
    }
}

fn named(model: &Model, kind: Kind) -> (Span, String, String) {
    match kind {
        Kind::Cable(kind) => (model[kind].span, model.text(model[kind].name).to_owned(), "the cable kind".to_owned()),
        Kind::Single(kind) => (model[kind].span, model.text(model[kind].name).to_owned(), "the kind".to_owned()),
        Kind::Unsaid(loom) => (model[loom].span, model.loom_name(loom).to_owned(), "the wires without a kind of loom".to_owned()),
    }
}

/// The kinds of what runs through the segments that ask for something, with their members that lack it and the segments.
fn lacking(
    facts: &Facts,
    asks: impl Fn(&Segment) -> bool,
    lacks: impl Fn(Member) -> bool,
) -> BTreeMap<Kind, (Vec<Member>, Vec<SegmentId>)> {
    let model = facts.model();
    let mut found: BTreeMap<Kind, (Vec<Member>, Vec<SegmentId>)> = BTreeMap::new();
    for (id, members) in facts.segment_members().iter().filter(|(id, _)| asks(&model[*id])) {
        for member in members.iter().filter(|member| lacks(**member)) {
            let (all, segments) = found.entry(kind_of(model, *member)).or_default();
            all.push(*member);
            segments.push(id);
        }
    }
    for (members, segments) in found.values_mut() {
        members.sort_unstable();
        members.dedup();
        segments.dedup();
    }
    found
}

fn places(model: &Model, segments: &[SegmentId]) -> String {
    let names: Vec<String> = segments.iter().map(|segment| quoted(model.text(model[*segment].name))).collect();
    format!("{} {}", agree(names.len(), "segment", "segments"), list_of_first(&names, NAMED, 0))
}

/// Wires and cables in passages and bends whose diameter is not known: one note a kind.
fn diameters(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let has_bend = |member: Member| match member {
        Member::Cable(cable) => model[cable].kind.is_some_and(|kind| model[kind].bend.is_some()),
        Member::Wire(_) => false,
    };
    let unknown = |member: Member| member.diameter(model).is_none();
    let mut found = lacking(facts, |segment| segment.passage.is_some(), unknown);
    for (kind, (members, segments)) in
        lacking(facts, |segment| segment.bend.is_some(), |member| unknown(member) && !has_bend(member))
    {
        let (all, places) = found.entry(kind).or_default();
        all.extend(members);
        places.extend(segments);
        all.sort_unstable();
        all.dedup();
        places.sort_unstable();
        places.dedup();
    }
    let note = |(kind, (members, segments)): (&Kind, &(Vec<Member>, Vec<SegmentId>))| {
        let (span, name, what) = named(model, *kind);
        let remedy = match kind {
            Kind::Cable(_) => format!("give `{name}` the `diameter` of its datasheet"),
            Kind::Single(_) => format!(
                "give `{name}` its `standard` and `wall`; wire of a size or standard that the tables do not hold can be a cable kind of one core, with its `diameter`"
            ),
            Kind::Unsaid(_) => format!("give the wires of `{name}` a kind"),
        };
        MissingFact::new(
            span,
            format!(
                "whether {} of {what} `{name}` {} the passage or bend of {} was not checked: {} outer diameter is not known",
                count(members.len(), "conductor"),
                agree(members.len(), "fits", "fit"),
                places(model, segments),
                agree(members.len(), "its", "their"),
            ),
            "unknown outer diameter",
            remedy,
            name,
        )
    };
    found.iter().map(note).collect()
}

/// Kinds in segments that move of which nothing says how they are stranded.
fn strands(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let unsaid = |member: Member| member.stranding(model).is_none_or(|stranding| stranding.strand.is_none());
    let note = |(kind, (members, segments)): (Kind, (Vec<Member>, Vec<SegmentId>))| {
        let (span, name, what) = named(model, kind);
        MissingFact::new(
            span,
            format!(
                "whether {} of {what} `{name}` {} being bent in {} was not checked: nothing says how {} stranded",
                count(members.len(), "conductor"),
                agree(members.len(), "takes", "take"),
                places(model, &segments),
                agree(members.len(), "it is", "they are"),
            ),
            "no `strand`",
            format!("write `strand` at `{name}` as its datasheet says: `fine` for IEC 60228 class 5, `extra fine` for class 6"),
            name,
        )
    };
    lacking(facts, |segment| segment.moves.is_some(), unsaid).into_iter().map(note).collect()
}

/// Cable kinds that give a least bend radius, in segments that say no bend.
fn bends(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let gives = |member: Member| matches!(kind_of(model, member), Kind::Cable(kind) if model[kind].bend.is_some());
    let note = |(kind, (_, segments)): (Kind, (Vec<Member>, Vec<SegmentId>))| {
        let (_, name, _) = named(model, kind);
        let first = *segments.first()?;
        let mut note = MissingFact::new(
            model[first].span,
            format!(
                "whether cable of kind `{name}` takes the bends of {} was not checked: no `bend` is given there",
                places(model, &segments)
            ),
            "no `bend`",
            "add the tightest inner radius as `bend` to the segment".to_owned(),
            model.segment_name(first),
        );
        note.others = segments.iter().skip(1).map(|segment| (model[*segment].span, model.segment_name(*segment))).collect();
        Some(note)
    };
    lacking(facts, |segment| segment.bend.is_none(), gives).into_iter().filter_map(note).collect()
}
