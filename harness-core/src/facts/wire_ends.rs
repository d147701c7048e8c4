//! What hangs at each point of a loom, and what is at the other side of each loom end.

use super::Facts;
use crate::{
    arena::IdVec,
    model::{End, EndId, EndKind, Mate, Model, Owner, PointId, PointKind, PointRange, PortId, WireId},
    text::{Name, Span},
};
use rustc_hash::FxHashMap;

impl Facts {
    /// What ends where, and what is opposite.
    ///
    /// Asked by the rules of the netlist and by other facts.
    #[must_use]
    pub fn wire_ends(&self) -> &WireEnds {
        self.made.wire_ends.get_or_init(|| WireEnds::new(self.model()))
    }

    /// Whether two wires or more meet at a point, so that what comes in by one goes on by the other, as at an inlet or a terminal.
    #[must_use]
    pub fn goes_on(&self, point: PointId) -> bool {
        let network = self.network();
        let ends = network.around(point).filter(|(_, edge, _)| edge.role.is_place());
        ends.flat_map(|(_, _, end)| network.around(end).filter_map(|(_, edge, _)| edge.wire())).nth(1).is_some()
    }
}

/// One end of a wire at a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct WireEnd {
    /// The point.
    pub point: PointId,
    /// The wire.
    pub wire: WireId,
    /// Where the file places it there.
    pub span: Span,
}

/// What ends where. Cost: linear in wires, cables, elements and ends, and a sort.
#[derive(Debug)]
pub struct WireEnds {
    wires: Vec<WireEnd>,
    others: IdVec<PointId, u32>,
    partners: IdVec<EndId, Option<Mate>>,
    of_port: Vec<(PortId, EndId)>,
    /// Positions of connectors without a housing, which nothing else finds by label: by the first point of the connector.
    loose: FxHashMap<(PointId, Name), PointId>,
}

impl WireEnds {
    /// Indexes a design; a wire counts at each end that could be placed, even if the other could not.
    fn new(model: &Model) -> Self {
        let mut wires = Vec::with_capacity(model.wires().len() * 2);
        for (id, wire) in model.wires() {
            let places = [(wire.from, wire.from_span), (wire.to, wire.to_span)];
            wires.extend(places.into_iter().filter_map(|(point, span)| Some(WireEnd { point: point?, wire: id, span })));
        }
        wires.sort_unstable();
        let mut others = IdVec::of(0, model.points().len());
        let screens = model.cables().flat_map(|(_, cable)| cable.screen).flatten().map(|(point, _)| point);
        let in_line = model.elements().filter(|(_, element)| matches!(element.owner, Owner::Loom(_)));
        for point in screens.chain(in_line.flat_map(|(_, element)| element.points.iter().copied())) {
            others[point] += 1;
        }
        let mut partners: IdVec<EndId, Option<Mate>> = model.ends().map(|(_, end)| end.mate).collect();
        let mut of_port = Vec::new();
        for (id, end) in model.ends() {
            match end.mate {
                Some(Mate::Port(port)) => of_port.push((port, id)),
                Some(Mate::End(other)) => {
                    partners[other].get_or_insert(Mate::End(id));
                }
                None => {}
            }
        }
        of_port.sort_unstable();
        Self { wires, others, partners, of_port, loose: loose(model) }
    }

    /// The point of a connector that is labelled `label`.
    fn position(&self, model: &Model, range: PointRange, label: Name) -> Option<PointId> {
        let first = range.iter().next()?;
        if is_loose(model, first) { self.loose.get(&(first, label)).copied() } else { model.position_of(range, label) }
    }

    /// The cavity of an end that meets the position `label` of a port.
    fn meeting(&self, model: &Model, end: &End, label: Name) -> Option<PointId> {
        if end.pins.is_empty() {
            return self.position(model, end.points, label);
        }
        end.points.iter().find(|cavity| model.met_label(end, None, *cavity) == label)
    }

    /// The wires that end at `point`, in the order written; none where only screens and in-line elements hang there.
    #[must_use]
    pub fn wires(&self, point: PointId) -> &[WireEnd] {
        let first = self.wires.partition_point(|end| end.point < point);
        let (_, rest) = self.wires.split_at(first);
        rest.split_at(rest.partition_point(|end| end.point == point)).0
    }

    /// The positions of an end with neither wire nor plug whose opposite pin is meant for nothing else: none is kept for a signal.
    #[must_use]
    pub fn free_positions(&self, model: &Model, end: EndId) -> Vec<PointId> {
        let plugged = |point: PointId| model[end].plugged.iter().any(|(at, _)| *at == point);
        let is_kept = |point: PointId| {
            let pin = self.opposite(model, point).and_then(|pin| model[pin].pin);
            pin.is_some_and(|pin| model[pin].signal.is_some() || model[pin].role.is_some())
        };
        model[end].points.iter().filter(|point| self.count(*point) == 0 && !plugged(*point) && !is_kept(*point)).collect()
    }

    /// How many wires, screens and in-line elements hang at `point`.
    #[must_use]
    pub fn count(&self, point: PointId) -> usize {
        self.wires(point).len() + self.others[point] as usize
    }

    /// What `end` is joined to, whichever of the two says so.
    #[must_use]
    pub fn partner(&self, end: EndId) -> Option<Mate> {
        self.partners[end]
    }

    /// The loom ends at a port of a device, in the order written.
    pub fn at_port(&self, port: PortId) -> impl Iterator<Item = EndId> {
        let first = self.of_port.partition_point(|(of, _)| *of < port);
        self.of_port.iter().skip(first).take_while(move |(of, _)| *of == port).map(|(_, end)| *end)
    }

    /// The point that meets a cavity when its end is mated; `None` for other points, for an end that mates nothing and for a
    /// position that its partner does not have.
    #[must_use]
    pub fn opposite(&self, model: &Model, cavity: PointId) -> Option<PointId> {
        let point = &model[cavity];
        let PointKind::Cavity(end) = point.kind else { return None };
        let (range, other) = match self.partner(end)? {
            Mate::Port(port) => (model[port].points, None),
            Mate::End(other) => (model[other].points, Some(&model[other])),
        };
        self.position(model, range, model.met_label(&model[end], other, cavity))
    }

    /// The cavity or ring of a loom that meets a pin or stud and that something hangs at.
    #[must_use]
    pub fn reaching(&self, model: &Model, pin: PointId) -> Option<PointId> {
        let point = &model[pin];
        let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { return None };
        self.at_port(port)
            .filter_map(|end| {
                let end = &model[end];
                match end.kind {
                    EndKind::Ring(_) | EndKind::Bare => end.points.get(0),
                    EndKind::Connector(_) => self.meeting(model, end, point.label),
                }
            })
            .find(|point| self.count(*point) > 0)
    }

    /// The wire end in the cavity that meets a pin: the first one written.
    #[must_use]
    pub fn wire_at(&self, model: &Model, pin: PointId) -> Option<WireEnd> {
        self.wires(self.reaching(model, pin)?).first().copied()
    }

    /// The cavity that meets a pin, whether a wire is in it or not; `None` where no end is there.
    #[must_use]
    pub fn cavity_at(&self, model: &Model, pin: PointId) -> Option<PointId> {
        let at_first_end = || {
            let point = &model[pin];
            let PointKind::Pin(port) = point.kind else { return None };
            self.meeting(model, &model[self.at_port(port).next()?], point.label)
        };
        self.reaching(model, pin).or_else(at_first_end)
    }
}

/// Whether no housing says which positions the connector has that begins with the point `first`.
fn is_loose(model: &Model, first: PointId) -> bool {
    model.point_housing(model[first].kind).is_none_or(|housing| housing.index.is_empty())
}

/// The positions of all connectors without a housing. Of two with one label the first counts.
fn loose(model: &Model) -> FxHashMap<(PointId, Name), PointId> {
    let ranges = model.ends().map(|(_, end)| end.points).chain(model.ports().map(|(_, port)| port.points));
    let mut loose = FxHashMap::default();
    for range in ranges {
        let Some(first) = range.iter().next().filter(|first| is_loose(model, *first)) else { continue };
        for point in range.iter() {
            loose.entry((first, model[point].label)).or_insert(point);
        }
    }
    loose
}
