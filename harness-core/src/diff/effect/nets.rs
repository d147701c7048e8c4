//! Nets that were split or joined, by the points that both designs have.
//!
//! Points that one design alone has go with their things: only what happened to those that stayed is reported here.

use super::{Pair, twins};
use crate::{
    analysis::Analysis,
    diff::renames::Renames,
    model::{ElementKind, Model, PointId, PointKind},
    network::NetId,
};
use rustc_hash::FxHashMap;
use std::{borrow::Cow, cmp::Reverse, fmt};

/// What happened to a net.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NetTurn {
    /// A net of the older design is in several of the newer one.
    Split,
    /// Several nets of the older design are in one of the newer one.
    Joined,
}

/// A net that was split or joined. Where a net was split and a piece of it joined to another, both are reported.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NetChange {
    /// What happened.
    pub turn: NetTurn,
    /// The net as a whole, named by the design that has it as a whole: the older where it was split, the newer where
    /// it was joined.
    pub whole: NetName,
    /// The pieces, at least two, named by the other design; the one with the most points first, then by name.
    pub parts: Vec<NetName>,
}

/// A net, or a piece of one, given by one of its points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NetName {
    /// The signal of a pin in it; `None` where no pin has one.
    pub signal: Option<String>,
    /// A point of it: at a source or a fuse before others, then a pin or stud, then a splice, then an end of a loom.
    pub point: String,
    /// How many points of it both designs have.
    pub points: usize,
}

impl fmt::Display for NetName {
    /// `fusebox.J2.3 with 5 more points (signal `pump feed`)`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.point)?;
        match self.points.saturating_sub(1) {
            0 => {}
            1 => f.write_str(" with 1 more point")?,
            more => write!(f, " with {more} more points")?,
        }
        match &self.signal {
            Some(signal) => write!(f, " (signal `{signal}`)"),
            None => Ok(()),
        }
    }
}

/// Whether people call a net by a point of such an element: that of a battery or a fuse.
fn leads(kind: &ElementKind) -> bool {
    match kind {
        ElementKind::Source { .. } | ElementKind::Fuse { .. } => true,
        ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => false,
        ElementKind::Switch { .. } | ElementKind::Relay { .. } | ElementKind::Disconnect { .. } => false,
        ElementKind::Link { .. } | ElementKind::Converter { .. } | ElementKind::Interlock { .. } => false,
    }
}

/// Points by their numbers with how well each names a net: the best first.
struct Ranks(Vec<u8>);

impl Ranks {
    fn new(model: &Model) -> Self {
        let mut ranks: Vec<u8> = model
            .points()
            .map(|(_, point)| match point.kind {
                PointKind::Pin(_) | PointKind::Stud(_) => 1,
                PointKind::Node(_) => 2,
                PointKind::Splice(_) => 3,
                PointKind::Cavity(_) | PointKind::Ring(_) => 4,
            })
            .collect();
        for (_, element) in model.elements() {
            if !leads(&element.kind) {
                continue;
            }
            for point in element.points.iter() {
                if let Some(rank) = ranks.get_mut(point.index())
                    && *rank == 1
                {
                    *rank = 0;
                }
            }
        }
        Self(ranks)
    }

    /// How a piece of a net is named in the report.
    fn name(&self, model: &Model, points: &[PointId]) -> NetName {
        let rank = |point: &PointId| self.0.get(point.index()).copied().unwrap_or(u8::MAX);
        let best = points.iter().map(rank).min().unwrap_or(u8::MAX);
        let leading = points.iter().filter(|point| rank(point) == best).map(|point| model.point_name(*point)).min();
        let signal_of = |point: &PointId| model[model[*point].pin?].signal.map(|signal| model.text(signal.value));
        NetName {
            signal: points.iter().filter_map(signal_of).min().map(str::to_owned),
            point: leading.unwrap_or_default(),
            points: points.len(),
        }
    }
}

pub(super) fn compare(designs: Pair<&Analysis>, renames: &Renames) -> Vec<NetChange> {
    fn named<'a>(analysis: &'a Analysis) -> impl Iterator<Item = (Cow<'a, str>, PointId)> {
        analysis.model().points().map(|(id, _)| (Cow::Owned(analysis.model().point_name(id)), id))
    }
    let points: Vec<Pair<PointId>> =
        twins(named(designs.old), named(designs.new), renames).into_iter().map(|(_, old, new)| Pair { old, new }).collect();
    let ranks = Pair { old: Ranks::new(designs.old.model()), new: Ranks::new(designs.new.model()) };
    let mut changes: Vec<NetChange> = Vec::new();
    let turned = points.iter().map(|pair| Pair { old: pair.new, new: pair.old });
    let split = broken(&points, designs);
    let joined = broken(&turned.collect::<Vec<_>>(), Pair { old: designs.new, new: designs.old });
    for (turn, whole, parts, found) in [
        (NetTurn::Split, (designs.old, &ranks.old), (designs.new, &ranks.new), split),
        (NetTurn::Joined, (designs.new, &ranks.new), (designs.old, &ranks.old), joined),
    ] {
        for pieces in found {
            let all: Vec<PointId> = pieces.iter().flatten().map(|pair| pair.old).collect();
            let mut named: Vec<NetName> = pieces
                .iter()
                .map(|piece| parts.1.name(parts.0.model(), &piece.iter().map(|pair| pair.new).collect::<Vec<_>>()))
                .collect();
            named.sort_by(|a, b| (Reverse(a.points), &a.point).cmp(&(Reverse(b.points), &b.point)));
            changes.push(NetChange { turn, whole: whole.1.name(whole.0.model(), &all), parts: named });
        }
    }
    changes.sort_by(|a, b| {
        let rank = |change: &NetChange| (change.turn, Reverse(change.whole.points));
        rank(a).cmp(&rank(b)).then_with(|| a.whole.point.cmp(&b.whole.point))
    });
    changes
}

/// The pieces of each old net whose points are in more than one new net.
fn broken(points: &[Pair<PointId>], designs: Pair<&Analysis>) -> Vec<Vec<Vec<Pair<PointId>>>> {
    let mut pieces: FxHashMap<(NetId, NetId), Vec<Pair<PointId>>> = FxHashMap::default();
    let mut counts: FxHashMap<NetId, u32> = FxHashMap::default();
    for pair in points {
        let nets = (designs.old.network().net(pair.old), designs.new.network().net(pair.new));
        let piece = pieces.entry(nets).or_default();
        if piece.is_empty() {
            *counts.entry(nets.0).or_default() += 1;
        }
        piece.push(*pair);
    }
    let mut broken: Vec<_> = pieces.into_iter().filter(|((old, _), _)| counts.get(old).is_some_and(|count| *count > 1)).collect();
    broken.sort_unstable_by_key(|(nets, _)| *nets);
    let mut grouped: Vec<Vec<Vec<Pair<PointId>>>> = Vec::new();
    let mut before: Option<NetId> = None;
    for ((old, _), piece) in broken {
        match grouped.last_mut() {
            Some(last) if before == Some(old) => last.push(piece),
            _ => grouped.push(vec![piece]),
        }
        before = Some(old);
    }
    grouped
}
