//! Why a point has no supply in one mode: what is open on the way, or that the reason was reported elsewhere.

use super::{Gap, Lost};
use crate::{
    arena::IdVec,
    electrical::{ModeState, connectivity::Connectivity},
    facts::{Facts, near_supply::NearSupply, open_points::DeadEnd, pins::points_of_elements},
    model::{ElementId, ElementKind, ModeSet, PointId, PointKind},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId, NetId},
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

/// What does not depend on the mode.
pub(super) struct Reported {
    /// Points at which a fault was reported that cuts off what is joined to them.
    points: Vec<PointId>,
    /// Pins of which nobody knows what is behind them: may feed, may take back.
    unknown: Vec<(PointId, bool, bool)>,
    /// Fuses and links that are left out.
    unfitted: Vec<(ElementId, Vec<PointId>)>,
    /// What conductors join, open or closed.
    clusters: Components,
    /// What anything but coils and converter inputs joins, open or closed, and whether a source is in it.
    passing: Components,
    fed: IdVec<GroupId, bool>,
}

impl Reported {
    pub(super) fn new(facts: &Facts) -> Self {
        let (model, pins) = (facts.model(), facts.pins());
        let mut points = facts.unconnected().to_vec();
        for dangling in facts.dangling() {
            points.extend(dangling.wires.iter().map(|end| end.point));
            if let DeadEnd::SparePin(point) | DeadEnd::EmptyCavity(point) = dangling.why {
                points.push(point);
            }
        }
        // Ends of wires that reading could not place.
        let half = model.wires().filter(|(_, wire)| wire.from.is_none() != wire.to.is_none());
        points.extend(half.filter_map(|(_, wire)| wire.from.or(wire.to)));
        let mut nets: Vec<NetId> = facts.mixed_signals().iter().flat_map(|mixed| mixed.nets.iter().copied()).collect();
        nets.extend(facts.role_clashes().iter().map(|clash| clash.net));
        // Not each net of several domains: grounds of class A and earths of class B meet on purpose.
        points.extend(facts.crossings().iter().flat_map(|joint| [joint.at.1, joint.at.2]));
        points.extend(nets.iter().filter_map(|net| pins.of(*net).first()).map(|pin| pin.point));
        let unfitted = model.elements().filter_map(|(id, element)| match element.kind {
            ElementKind::Fuse { fitted, .. } | ElementKind::Link { fitted, .. } => {
                (!fitted).then(|| (id, element.points.to_vec()))
            }
            ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Converter { .. } => None,
            ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) | ElementKind::Relay { .. } => None,
            ElementKind::Switch { .. } | ElementKind::Disconnect { .. } | ElementKind::Interlock { .. } => None,
        });
        let clusters = facts.network().components(|_, edge| edge.role.conducts_when_closed());
        let passing = facts.network().components(|_, edge| !edge.role.draws() || edge.role == EdgeRole::Load);
        let mut fed = passing.table(false);
        for (_, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drives()) {
            fed[passing.of(edge.b)] = true;
        }
        Self { points, unknown: unknown(facts), unfitted: unfitted.collect(), clusters, passing, fed }
    }
}

/// Pins at which no element is, with what their roles let them be.
fn unknown(facts: &Facts) -> Vec<(PointId, bool, bool)> {
    let model = facts.model();
    let drawn = points_of_elements(model);
    let pins = model.points().filter(|(id, point)| {
        let of_device = match point.kind {
            PointKind::Pin(port) | PointKind::Stud(port) => Some(&model[model[port].device]),
            PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
        };
        of_device.is_some_and(|device| !device.chassis) && !drawn[*id]
    });
    pins.map(|(id, _)| match model.role_at(id) {
        Some(Role::Supply | Role::Line | Role::Reference | Role::Phase) => (id, true, false),
        // A protective earth leads nothing from one of its pins to another, whatever is not drawn.
        Some(Role::Earth) => (id, false, false),
        Some(role) if role.takes_back() => (id, false, true),
        Some(Role::Output) | None => (id, true, true),
        Some(_) => (id, false, false),
    })
    .collect()
}

/// Why a point has no supply.
#[derive(Clone, Copy)]
pub(super) enum Why {
    /// A fault that was reported cuts it off.
    Reported,
    /// It ends at a pin of which nobody knows what is behind it.
    Unknown(PointId),
    /// The thing that is open, if any.
    Open(Option<Gap>),
}

/// One mode: for each lump of closed conductors what is known of it.
pub(super) struct Causes<'a> {
    facts: &'a Facts,
    reported: &'a Reported,
    pub(super) view: &'a Connectivity,
    pub(super) mode: Option<&'a ModeState>,
    at_fault: Marks,
    may_feed: Marks,
    may_return: Marks,
    /// Roles are named in it, and all of them are those of returns.
    ground: IdVec<GroupId, Option<bool>>,
    /// Fuses and links left out, by the lumps that they would join.
    unfitted: FxHashMap<GroupId, Vec<usize>>,
    /// How far a supply is over conductors, open or closed.
    supply: NearSupply,
}

/// Lumps of which something is known, and the clusters of conductors that hold one, each with the first point that says so.
struct Marks {
    lumps: IdVec<GroupId, Option<PointId>>,
    clusters: IdVec<GroupId, Option<PointId>>,
}

impl Marks {
    fn new(view: &Connectivity, clusters: &Components, points: impl Iterator<Item = PointId>) -> Self {
        let mut marks = Self { lumps: view.closed.table(None), clusters: clusters.table(None) };
        for point in points {
            marks.lumps[view.closed.of(point)].get_or_insert(point);
            marks.clusters[clusters.of(point)].get_or_insert(point);
        }
        marks
    }

    fn has(&self, lump: GroupId) -> bool {
        self.lumps[lump].is_some()
    }
}

impl<'a> Causes<'a> {
    pub(super) fn new(facts: &'a Facts, reported: &'a Reported, view: &'a Connectivity, mode: Option<&'a ModeState>) -> Self {
        let (model, clusters) = (facts.model(), &reported.clusters);
        let mut ground: IdVec<GroupId, Option<bool>> = view.closed.table(None);
        for (id, _) in model.points() {
            if let Some(role) = model.role_at(id) {
                let slot = &mut ground[view.closed.of(id)];
                *slot = Some(role.takes_back() && slot.unwrap_or(true));
            }
        }
        let mut unfitted: FxHashMap<GroupId, Vec<usize>> = FxHashMap::default();
        for (at, (_, points)) in reported.unfitted.iter().enumerate() {
            let mut lumps: Vec<GroupId> = points.iter().map(|point| view.closed.of(*point)).collect();
            lumps.sort_unstable();
            lumps.dedup();
            for lump in lumps {
                unfitted.entry(lump).or_default().push(at);
            }
        }
        let unknown = |feeds: bool| {
            let behind = reported.unknown.iter().filter(move |(_, feed, back)| if feeds { *feed } else { *back });
            behind.map(|(point, _, _)| *point)
        };
        Self {
            facts,
            reported,
            view,
            mode,
            at_fault: Marks::new(view, clusters, reported.points.iter().copied()),
            may_feed: Marks::new(view, clusters, unknown(true)),
            may_return: Marks::new(view, clusters, unknown(false)),
            ground,
            unfitted,
            supply: NearSupply::new(facts.network(), |point| view.is_fed(point), |_, edge| edge.role.conducts_when_closed()),
        }
    }

    /// The facts that it is of.
    pub(super) fn facts(&self) -> &'a Facts {
        self.facts
    }

    /// Whether something that is not a coil or converter input joins two points to a source, in some position of the switches.
    pub(super) fn has_supply(&self, from: PointId, to: PointId) -> bool {
        let group = self.reported.passing.of(from);
        group == self.reported.passing.of(to) && self.reported.fed[group]
    }

    /// Whether roles are named in the lump of a point and all of them are those of returns.
    pub(super) fn is_ground(&self, point: PointId) -> bool {
        self.ground[self.view.closed.of(point)] == Some(true)
    }

    /// What cuts a point off.
    pub(super) fn of(&self, lost: Lost, dead: PointId) -> Why {
        let (view, network) = (self.view, self.facts.network());
        let lump = view.closed.of(dead);
        if self.at_fault.has(lump) {
            return Why::Reported;
        }
        let unknown = match lost {
            Lost::Bridged => return Why::Open(None),
            Lost::Feed => &self.may_feed,
            Lost::Return => &self.may_return,
        };
        if let Some(pin) = unknown.lumps[lump] {
            return Why::Unknown(pin);
        }
        for (element, points) in self.unfitted.get(&lump).into_iter().flatten().filter_map(|at| self.reported.unfitted.get(*at)) {
            if points.iter().any(|point| view.closed.of(*point) != lump && view.is_fed(*point)) {
                return Why::Open(Some(Gap::Unfitted(*element)));
            }
        }
        // Its negative pole in a return that leads nowhere explains nothing: it is cut off with what hangs there.
        if let Some((converter, modes)) = self.converter_at(lump).filter(|_| lost == Lost::Feed) {
            // One that runs and gives nothing: its own input is the fault, and is judged as a load.
            let runs = self.mode.is_none_or(|mode| modes.has(mode.id));
            return if runs { Why::Reported } else { Why::Open(Some(Gap::Converter(converter))) };
        }
        let keep = |_: EdgeId, edge: &Edge| edge.role.conducts_when_closed();
        let path = if view.is_fed(dead) {
            network.path(dead, |point| view.is_fed(point) && view.closed.of(point) != lump, keep)
        } else {
            self.supply.path(dead)
        };
        let Some(path) = path else {
            // Whatever could join it through open switches is a fact of its own: something reported, or unknown.
            let cluster = self.reported.clusters.of(dead);
            return match unknown.clusters[cluster] {
                _ if self.at_fault.clusters[cluster].is_some() => Why::Reported,
                Some(pin) => Why::Unknown(pin),
                None => Why::Open(None),
            };
        };
        let open = path.iter().rev().find(|step| self.mode.is_some_and(|mode| !mode.conducts(step.edge)));
        // Only elements open: metal conducts in every mode.
        Why::Open(open.and_then(|step| network[step.edge].element().map(|element| Gap::Edge(step.edge, element))))
    }

    /// A converter with an output pole in a lump, with the modes in which it runs.
    fn converter_at(&self, lump: GroupId) -> Option<(ElementId, ModeSet)> {
        let (model, network) = (self.facts.model(), self.facts.network());
        let around = self.view.closed.members(lump).iter().flat_map(|point| network.around(*point));
        let mut outputs = around.filter(|(_, edge, _)| matches!(edge.role, EdgeRole::ConverterOutput { .. }));
        let element = outputs.next()?.1.element()?;
        let ElementKind::Converter { modes, .. } = model[element].kind else { return None };
        Some((element, modes))
    }
}
