//! How a loom is laid out: its branches with what runs through each, what hangs where, and what is joined on the way.

use super::{Bench, far_end};
use crate::{
    facts::segment_members::Member,
    model::{EndId, LoomId, SegmentId},
    quantity::{Metre, Millimetre, SquareMillimetre},
    standards::route::bundle,
    vocabulary::Covering,
};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// A branch: a segment of the route.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Branch {
    /// Its name.
    pub name: String,
    /// The nodes of the route between which it runs; empty where they are not given.
    pub nodes: [String; 2],
    /// Its length.
    pub length: Option<Metre>,
    /// What covers it; `None` where nothing is said.
    pub covering: Option<Covering>,
    /// Its zone; empty where none is given.
    pub zone: String,
    /// Whether it crosses a joint or hinge.
    pub moves: bool,
    /// Whether a barrier keeps voltage class A and B apart in it.
    pub has_barrier: bool,
    /// The tightest bend in it.
    pub bend: Option<Millimetre>,
    /// The inner diameter of what it goes through.
    pub passage: Option<Millimetre>,
    /// The numbers of the single wires in it, in the order written.
    pub wires: Vec<String>,
    /// The cables in it.
    pub cables: Vec<String>,
    /// The ends that hang on it, each with its free length.
    pub ends: Vec<(String, Option<Metre>)>,
    /// The splices in it.
    pub splices: Vec<String>,
    /// The ends that do not say where they hang and of which wires leave through it: at its one side and at its other side, as far as its own
    /// wires say, and those of which the side is not known.
    pub reached: [Vec<Reached>; 3],
    /// How thick what runs in it is as a hand lays it, without its covering; `None` where the diameter of one is not known.
    pub diameter: Option<Millimetre>,
    /// What of it is of voltage class A, and what of class B.
    pub class_a: Strand,
    /// Each class is a bundle of its own: they are not tied together.
    pub class_b: Strand,
}

/// What runs in a branch of one voltage class.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[non_exhaustive]
pub struct Strand {
    /// Its single wires.
    pub wires: usize,
    /// Its cables.
    pub cables: usize,
    /// How thick it is as a hand lays it, without a covering; `None` where the diameter of one is not known, and for nothing.
    pub diameter: Option<Millimetre>,
}

impl Strand {
    /// Whether nothing of its class runs here.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.wires == 0 && self.cables == 0
    }
}

/// An end of which wires leave through a branch.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Reached {
    /// Its name.
    pub end: String,
    /// Its free length.
    pub reach: Option<Metre>,
    /// How many of its wires and cores leave through this branch.
    pub wires: usize,
}

/// A splice with the wires that meet in it.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct SpliceJoin {
    /// Its name as findings give it.
    pub name: String,
    /// The branch that it is in; empty where nothing is said.
    pub at: String,
    /// Its wires by number, each with the place of its other end.
    pub wires: Vec<(String, String)>,
    /// Their cross-sections together; `None` where one is not given.
    pub size: Option<SquareMillimetre>,
}

/// How one loom is laid out.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Layout {
    /// The loom.
    pub loom: String,
    /// Its branches in the order written.
    pub branches: Vec<Branch>,
    /// The wires that name no branch.
    pub unrouted: Vec<String>,
    /// The ends that name no branch.
    pub unplaced: Vec<String>,
    /// Its splices in the order written.
    pub splices: Vec<SpliceJoin>,
    /// Wires that are twisted together, by the name of their group.
    pub twists: BTreeMap<String, Vec<String>>,
    /// Whether anything in it is of voltage class B.
    pub has_class_b: bool,
    /// How many wires and cores each end has.
    pub wires_of_ends: BTreeMap<String, usize>,
    /// What each end meets: a port of a device, a stud, an end of another loom. Ends that meet nothing are not in it.
    pub mates: BTreeMap<String, String>,
}

impl Bench<'_> {
    /// How each loom of this build is laid out, in the order written.
    ///
    /// # Cost
    /// A pass over segments, ends, splices and wires.
    #[must_use]
    pub fn layouts(&self) -> Vec<Layout> {
        self.loom_ids().into_iter().map(|loom| self.layout(loom)).collect()
    }

    /// How one loom of this build is laid out; `None` where none is called so.
    #[must_use]
    pub fn layout_of(&self, loom: &str) -> Option<Layout> {
        let called = |id: &LoomId| self.model().loom_name(*id) == loom;
        self.loom_ids().into_iter().find(called).map(|id| self.layout(id))
    }

    fn layout(&self, id: LoomId) -> Layout {
        let model = self.model();
        let mut segments: Vec<(SegmentId, &crate::model::Segment)> =
            model.segments().filter(|(_, segment)| segment.loom == id).collect();
        segments.sort_unstable_by_key(|(_, segment)| segment.span);
        let places: FxHashMap<SegmentId, usize> = segments.iter().enumerate().map(|(at, (segment, _))| (*segment, at)).collect();
        let mut branches: Vec<Branch> = segments.iter().map(|(id, segment)| self.branch(*id, segment)).collect();
        let (mut unrouted, mut unplaced) = (Vec::new(), Vec::new());
        let mut twists: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for wire in self.wires_of(id).iter().map(|wire| &model[*wire]) {
            let number = model.text(wire.name).to_owned();
            if let Some(twist) = wire.twist {
                twists.entry(model.text(twist).to_owned()).or_default().push(number.clone());
            }
            if wire.core.is_some() {
                continue;
            }
            if wire.via.is_empty() {
                unrouted.push(number);
                continue;
            }
            for branch in wire.via.iter().filter_map(|segment| places.get(segment)) {
                branches.get_mut(*branch).into_iter().for_each(|branch| branch.wires.push(number.clone()));
            }
        }
        for (cable, held) in model.cables().filter(|(_, cable)| cable.loom == id) {
            for branch in held.via.iter().filter_map(|segment| places.get(segment)) {
                branches.get_mut(*branch).into_iter().for_each(|branch| branch.cables.push(model.cable_name(cable)));
            }
        }
        for end in self.ends_of(id) {
            let name = model.end_name(end);
            match model[end].at.and_then(|segment| branches.get_mut(*places.get(&segment)?)) {
                Some(branch) => branch.ends.push((name, model[end].reach.map(|reach| reach.value))),
                None => unplaced.push(name),
            }
        }
        self.reach(id, &places, &mut branches);
        let splices = self.splice_joins(id);
        for splice in &splices {
            let branch = branches.iter_mut().find(|branch| branch.name == splice.at);
            branch.into_iter().for_each(|branch| branch.splices.push(splice.name.clone()));
        }
        let points: Vec<_> = self.wires_of(id).iter().flat_map(|wire| [model[*wire].from, model[*wire].to]).flatten().collect();
        let mut wires_of_ends: BTreeMap<String, usize> = BTreeMap::new();
        for end in points.iter().filter_map(|point| self.end_at(*point)) {
            *wires_of_ends.entry(model.end_name(end)).or_default() += 1;
        }
        Layout {
            loom: model.loom_name(id).to_owned(),
            has_class_b: points.into_iter().any(|point| self.is_class_b(point)),
            branches,
            unrouted,
            unplaced,
            splices,
            twists,
            wires_of_ends,
            mates: self
                .ends_of(id)
                .into_iter()
                .filter_map(|end| Some((model.end_name(end), model.mate_name(model[end].mate?))))
                .collect(),
        }
    }

    /// Finds through which branch the wires of each end leave that does not say where it hangs.
    fn reach(&self, id: LoomId, places: &FxHashMap<SegmentId, usize>, branches: &mut [Branch]) {
        let model = self.model();
        // The wires of each end, each with its way from there.
        let mut ways: FxHashMap<EndId, Vec<Vec<SegmentId>>> = FxHashMap::default();
        let mut joined: Vec<(SegmentId, EndId, EndId)> = Vec::new();
        for wire in self.wires_of(id).iter().map(|wire| &model[*wire]) {
            let via = wire.core.map_or(&wire.via, |(cable, _)| &model[cable].via);
            let [from, to] = [wire.from, wire.to].map(|point| point.and_then(|point| self.end_at(point)));
            from.into_iter().for_each(|end| ways.entry(end).or_default().push(via.to_vec()));
            to.into_iter().for_each(|end| ways.entry(end).or_default().push(via.iter().rev().copied().collect()));
            if let (Some(from), Some(to), [segment]) = (from, to, &**via) {
                joined.push((*segment, from, to));
            }
        }
        let mut sides: FxHashMap<(SegmentId, EndId), bool> = FxHashMap::default();
        let mut torn: Vec<SegmentId> = Vec::new();
        for (segment, from, to) in joined {
            let known = [from, to].map(|end| sides.get(&(segment, end)).copied());
            let (one, other) = match known {
                [Some(one), Some(other)] => (one, other),
                [Some(one), None] => (one, !one),
                [None, Some(other)] => (!other, other),
                [None, None] => (false, true),
            };
            if one == other || from == to {
                torn.push(segment);
            }
            sides.insert((segment, from), one);
            sides.insert((segment, to), other);
        }
        for end in self.ends_of(id).into_iter().filter(|end| model[*end].at.is_none()) {
            // Lists of segments are written in either direction: of both ends of one, what more of the wires share is at this end.
            let own = || ways.get(&end).into_iter().flatten().filter_map(|way| Some((*way.first()?, *way.last()?)));
            let shared = |segment: SegmentId| own().filter(|(first, last)| [first, last].contains(&&segment)).count();
            let mut by: BTreeMap<SegmentId, usize> = BTreeMap::new();
            for (first, last) in own() {
                let leaves = if shared(last) > shared(first) { last } else { first };
                *by.entry(leaves).or_default() += 1;
            }
            for (segment, wires) in by {
                let side = sides.get(&(segment, end)).filter(|_| !torn.contains(&segment)).map_or(2, |side| usize::from(*side));
                let branch = places.get(&segment).and_then(|place| branches.get_mut(*place));
                let reached = branch.and_then(|branch| branch.reached.get_mut(side));
                let one = Reached { end: model.end_name(end), reach: model[end].reach.map(|reach| reach.value), wires };
                reached.into_iter().for_each(|reached| reached.push(one.clone()));
            }
        }
    }

    fn branch(&self, id: SegmentId, segment: &crate::model::Segment) -> Branch {
        let model = self.model();
        let members = &self.analysis.facts().segment_members()[id];
        let diameters: Option<Vec<Millimetre>> =
            members.iter().map(|member| member.diameter(model).map(|diameter| diameter.value)).collect();
        let is_class_b = |member: &Member| {
            let cores = match member {
                Member::Wire(wire) => std::slice::from_ref(wire),
                Member::Cable(cable) => self.cores.get(cable).map_or(&[][..], Vec::as_slice),
            };
            let mut points = cores.iter().flat_map(|wire| [model[*wire].from, model[*wire].to]).flatten();
            points.any(|point| self.is_class_b(point))
        };
        let (class_b, class_a): (Vec<&Member>, Vec<&Member>) = members.iter().partition(|member| is_class_b(member));
        let strand = |members: &[&Member]| {
            let wires = members.iter().filter(|member| matches!(member, Member::Wire(_))).count();
            let diameters: Option<Vec<Millimetre>> =
                members.iter().map(|member| member.diameter(model).map(|diameter| diameter.value)).collect();
            let laid = diameters.filter(|diameters| !diameters.is_empty()).and_then(|diameters| bundle(&diameters));
            Strand { wires, cables: members.len() - wires, diameter: laid.map(|thickness| thickness.laid.value) }
        };
        Branch {
            name: model.text(segment.name).to_owned(),
            nodes: segment.nodes.map(|node| node.map_or_else(String::new, |node| model.text(node.value).to_owned())),
            length: segment.length.map(|length| length.value),
            covering: segment.covering.map(|covering| covering.value),
            zone: segment.zone.map_or_else(String::new, |zone| model.text(model[zone].name).to_owned()),
            moves: segment.moves.is_some(),
            has_barrier: segment.barrier,
            bend: segment.bend.map(|bend| bend.value),
            passage: segment.passage.map(|passage| passage.value),
            wires: Vec::new(),
            cables: Vec::new(),
            ends: Vec::new(),
            splices: Vec::new(),
            reached: Default::default(),
            diameter: diameters.and_then(|diameters| bundle(&diameters)).map(|thickness| thickness.laid.value),
            class_a: strand(&class_a),
            class_b: strand(&class_b),
        }
    }

    /// The splices of a loom; the points of elements in line and closed ends are none.
    fn splice_joins(&self, loom: LoomId) -> Vec<SpliceJoin> {
        let model = self.model();
        let ends = self.analysis.facts().wire_ends();
        let mut splices: Vec<_> = model.splices().filter(|(_, splice)| splice.loom == loom).collect();
        splices.sort_unstable_by_key(|(_, splice)| splice.span);
        let join = |(_, splice): (_, &crate::model::Splice)| {
            let wires = ends.wires(splice.point);
            if self.in_line.contains(&splice.point) || wires.iter().any(|wire| model[wire.wire].capped) {
                return None;
            }
            let far =
                |wire: &crate::model::Wire| far_end(wire, splice.point).map_or_else(String::new, |point| model.point_name(point));
            Some(SpliceJoin {
                name: model.point_name(splice.point),
                at: splice.at.map_or_else(String::new, |segment| model.text(model[segment].name).to_owned()),
                wires: wires.iter().map(|wire| (model.text(model[wire.wire].name).to_owned(), far(&model[wire.wire]))).collect(),
                size: self.size_in(splice.point),
            })
        };
        splices.into_iter().filter_map(join).collect()
    }
}
