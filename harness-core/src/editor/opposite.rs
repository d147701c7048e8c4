//! From a name to the thing of the model, and to what is at its other side: its mate, the other end of a wire.

use super::{
    index::Index,
    symbols::{Sort, SymbolId},
};
use crate::{
    design::Design,
    format::Kind,
    inspect::Thing,
    model::{DeviceId, EndId, EndKind, LoomId, Mate, Model, PointId, PortId, PortKind},
    network::EdgeKind,
    text::{Name, Span},
};

/// The thing of which figures are known by a name; `None` where there are none of such a thing, or it could not be resolved.
#[must_use]
pub fn thing(index: &Index, design: &Design, symbol: SymbolId) -> Option<Thing> {
    let model = design.model();
    let parent = index.parent(symbol);
    let own = || model.names.find(index.name(symbol));
    match index.sort(symbol)? {
        Sort::Thing(Kind::Wire) => {
            let (loom, name) = (loom(index, model, parent?)?, own()?);
            model.wires().find(|(_, wire)| wire.loom == loom && wire.name == name).map(|(id, _)| Thing::Wire(id))
        }
        Sort::Thing(Kind::Cable) => {
            let (loom, name) = (loom(index, model, parent?)?, own()?);
            model.cables().find(|(_, cable)| cable.loom == loom && cable.name == name).map(|(id, _)| Thing::Cable(id))
        }
        Sort::Thing(Kind::Splice) => {
            let (loom, name) = (loom(index, model, parent?)?, own()?);
            let splice = model.splices().find(|(_, splice)| splice.loom == loom && splice.name == name);
            splice.map(|(_, splice)| Thing::Point(splice.point))
        }
        Sort::Thing(Kind::Element) => element(index, model, symbol),
        Sort::Thing(Kind::End) => end(index, model, symbol).and_then(|end| of_end(model, end)),
        Sort::Cavity => {
            let end = end(index, model, parent?)?;
            model.position_of(model[end].points, own()?).map(Thing::Point)
        }
        Sort::Thing(Kind::Port) => port(index, model, symbol).and_then(|port| of_port(model, port)),
        Sort::Thing(Kind::Pin) => {
            let port = port(index, model, parent?)?;
            model.position_of(model[port].points, own()?).map(Thing::Point)
        }
        Sort::Node => {
            let (device, name) = (device(index, model, parent?)?, own()?);
            let is_it = |kind| matches!(kind, crate::model::PointKind::Node(of) if of == device);
            model.points().find(|(_, point)| point.label == name && is_it(point.kind)).map(|(id, _)| Thing::Point(id))
        }
        _ => None,
    }
}

/// The places of what is at the other side of a thing: of an end its mate, of a cavity the pin that it meets and the other ends of its
/// wires, of a wire what it joins.
#[must_use]
pub fn opposites(index: &Index, design: &Design, symbol: SymbolId) -> Vec<Span> {
    let model = design.model();
    let mut spans = match index.sort(symbol) {
        Some(Sort::Thing(Kind::End)) => {
            end(index, model, symbol).and_then(|end| model[end].mate).map(|mate| mate_span(model, mate)).into_iter().collect()
        }
        Some(Sort::Thing(Kind::Port)) => port(index, model, symbol).map(|port| mates_of(model, port)).unwrap_or_default(),
        _ => match thing(index, design, symbol) {
            Some(Thing::Wire(wire)) => {
                [model[wire].from, model[wire].to].into_iter().flatten().map(|point| point_span(model, point)).collect()
            }
            Some(Thing::Element(element)) => model[element].points.iter().map(|point| point_span(model, *point)).collect(),
            Some(Thing::Point(point)) => beyond(design, point),
            Some(Thing::Cable(_) | Thing::Pair(_)) | None => Vec::new(),
        },
    };
    spans.dedup();
    spans
}

/// The points that a wire, a contact or a joint leads to from a point, the contacts first.
fn beyond(design: &Design, point: PointId) -> Vec<Span> {
    let model = design.model();
    let mut found: Vec<(bool, Span)> = design
        .network()
        .around(point)
        .filter_map(|(_, edge, other)| match edge.kind {
            EdgeKind::Contact(_) | EdgeKind::Joint(_) => Some((false, point_span(model, other))),
            _ => {
                let wire = edge.wire()?;
                // Where the wire names its other end.
                let wire = &model[wire];
                Some((true, if wire.from == Some(point) { wire.to_span } else { wire.from_span }))
            }
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found.into_iter().map(|(_, span)| span).collect()
}

fn point_span(model: &Model, point: PointId) -> Span {
    use crate::model::PointKind;
    // A cavity has no line of its own: the end that holds it has.
    match model[point].kind {
        PointKind::Cavity(end) | PointKind::Ring(end) => model[end].span,
        PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) | PointKind::Splice(_) => model[point].span,
    }
}

fn mate_span(model: &Model, mate: Mate) -> Span {
    match mate {
        Mate::Port(port) => model[port].span,
        Mate::End(end) => model[end].span,
    }
}

fn mates_of(model: &Model, port: PortId) -> Vec<Span> {
    model.ends().filter(|(_, end)| end.mate == Some(Mate::Port(port))).map(|(_, end)| end.span).collect()
}

fn of_end(model: &Model, id: EndId) -> Option<Thing> {
    match model[id].kind {
        EndKind::Connector(_) => Some(Thing::Pair(id)),
        EndKind::Ring(_) | EndKind::Bare => model[id].points.get(0).map(Thing::Point),
    }
}

fn of_port(model: &Model, id: PortId) -> Option<Thing> {
    match model[id].kind {
        PortKind::Connector(_) => model.ends().find(|(_, end)| end.mate == Some(Mate::Port(id))).map(|(end, _)| Thing::Pair(end)),
        PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => model[id].points.get(0).map(Thing::Point),
    }
}

fn element(index: &Index, model: &Model, symbol: SymbolId) -> Option<Thing> {
    use crate::model::Owner;
    let name = model.names.find(index.name(symbol))?;
    let holder = index.parent(symbol)?;
    let owner = match index.sort(holder)? {
        Sort::Thing(Kind::Loom) => Owner::Loom(loom(index, model, holder)?),
        _ => Owner::Device(device(index, model, holder)?),
    };
    model.elements().find(|(_, element)| element.owner == owner && element.name == name).map(|(id, _)| Thing::Element(id))
}

pub(super) fn loom(index: &Index, model: &Model, symbol: SymbolId) -> Option<LoomId> {
    let name = model.names.find(index.name(symbol))?;
    model.looms().find(|(_, loom)| loom.name == name).map(|(id, _)| id)
}

pub(super) fn end(index: &Index, model: &Model, symbol: SymbolId) -> Option<EndId> {
    let loom = loom(index, model, index.parent(symbol)?)?;
    let name = model.names.find(index.name(symbol))?;
    model.ends().find(|(_, end)| end.loom == loom && end.name == name).map(|(id, _)| id)
}

/// A device; of a kind of devices the first that is one.
pub(super) fn device(index: &Index, model: &Model, symbol: SymbolId) -> Option<DeviceId> {
    let by_name = |name: Name| model.devices().find(|(_, device)| device.name == name).map(|(id, _)| id);
    if index.sort(symbol)? == Sort::Thing(Kind::DeviceKind) {
        let sort = Sort::Thing(Kind::DeviceKind);
        let of_it = |device: &SymbolId| index.kind_of(*device, sort) == Some(symbol);
        let first = index.within(None, Sort::Thing(Kind::Device)).find(of_it)?;
        return by_name(model.names.find(index.name(first))?);
    }
    by_name(model.names.find(index.name(symbol))?)
}

pub(super) fn port(index: &Index, model: &Model, symbol: SymbolId) -> Option<PortId> {
    let device = device(index, model, index.parent(symbol)?)?;
    let name = model.names.find(index.name(symbol))?;
    model[device].ports.iter().find(|port| model[*port].name == name)
}
