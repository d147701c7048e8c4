//! What meets what: the contacts of a mated pair, the cores of a cable, and the names under which findings concern either side.

use super::{Thing, modes};
use crate::{
    analysis::Analysis,
    model::{EndId, PointId, PointKind, WireId},
    network::EdgeKind,
    quantity::Ampere,
};
use std::collections::BTreeSet;

/// A core of a cable or a contact of a mated pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// `traction.211`, `front.P1.3`.
    pub name: String,
    /// For a core its ends, for a contact the one that it meets and the wires in it.
    pub joins: String,
    /// The largest current in it.
    pub amps: Ampere,
    /// The mode in which it flows; `None` where no current flows in any.
    pub mode: Option<String>,
}

/// The names by which findings concern a thing: its own, for a pin or cavity also the connector that it is in and what both meet.
pub(super) fn names(analysis: &Analysis, thing: Thing, name: &str) -> BTreeSet<String> {
    let model = analysis.model();
    let mut names = BTreeSet::from([name.to_owned()]);
    let pair = |names: &mut BTreeSet<String>, id: EndId| {
        names.insert(model.end_name(id));
        names.extend(model[id].mate.map(|mate| model.mate_name(mate)));
    };
    match thing {
        Thing::Wire(_) | Thing::Element(_) => {}
        Thing::Cable(id) => names.extend(modes::cores(model, id).map(|core| model.wire_name(core))),
        Thing::Pair(id) => {
            pair(&mut names, id);
            for point in model[id].points.iter() {
                names.insert(model.point_name(point));
                names.extend(met(analysis, point).map(|other| model.point_name(other)));
            }
        }
        Thing::Point(id) => {
            let met: Vec<PointId> = met(analysis, id).collect();
            names.extend(met.iter().map(|other| model.point_name(*other)));
            for point in met.into_iter().chain([id]) {
                if let PointKind::Cavity(end) | PointKind::Ring(end) = model[point].kind {
                    pair(&mut names, end);
                }
            }
        }
    }
    names
}

/// The points that a point meets in a mated contact or a bolted joint.
fn met<'a>(analysis: &'a Analysis, point: PointId) -> impl Iterator<Item = PointId> + 'a {
    let is_joint = |kind: EdgeKind| matches!(kind, EdgeKind::Contact(_) | EdgeKind::Joint(_));
    analysis.network().around(point).filter(move |(_, edge, _)| is_joint(edge.kind)).map(|(_, _, other)| other)
}

/// The cores of a cable or the contacts of a mated pair.
pub(super) fn members(analysis: &Analysis, thing: Thing) -> Vec<Member> {
    let model = analysis.model();
    let worst = |thing: Thing| {
        let rows = modes::rows(analysis, thing);
        rows.into_iter().filter(|row| row.amps.get() > 1e-6).reduce(|worst, row| if row.amps > worst.amps { row } else { worst })
    };
    let member = |name: String, joins: String, thing: Thing| {
        let (amps, mode) = worst(thing).map_or((Ampere::ZERO, None), |row| (row.amps, Some(row.mode)));
        Member { name, joins, amps, mode }
    };
    match thing {
        Thing::Cable(id) => {
            let end = |point: Option<PointId>| point.map_or_else(|| "nothing".to_owned(), |point| model.point_name(point));
            let core = |id: WireId| {
                member(model.wire_name(id), format!("{} to {}", end(model[id].from), end(model[id].to)), Thing::Wire(id))
            };
            modes::cores(model, id).map(core).collect()
        }
        Thing::Pair(id) => {
            let contact = |point: PointId| {
                let met: Vec<String> = met(analysis, point).map(|other| model.point_name(other)).collect();
                let wires =
                    analysis.network().around(point).filter_map(|(_, edge, _)| edge.wire()).map(|wire| model.wire_name(wire));
                let wires: Vec<String> = wires.collect();
                let meets = if met.is_empty() { "nothing".to_owned() } else { met.join(", ") };
                let holds = if wires.is_empty() { "no wire".to_owned() } else { format!("wire {}", wires.join(", ")) };
                member(model.point_name(point), format!("{meets}; {holds}"), Thing::Point(point))
            };
            model[id].points.iter().map(contact).collect()
        }
        Thing::Wire(_) | Thing::Element(_) | Thing::Point(_) => Vec::new(),
    }
}
