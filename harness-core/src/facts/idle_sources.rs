//! Sources, converters and chargers that are on in a mode and deliver nothing: not fed, not joined to anything, or cut off on the way back.
//!
//! The idea: what gives no current either has nothing to give (a fuller battery holds its bus up) or is not in a closed circuit. The
//! circuit is closed if its two poles meet without it, over everything that carries current but resistors: a leak through a voltage sense
//! or a monitor does not count. Where loads or batteries are at its positive pole and the circuit is not closed, the way back is cut.
//!
//! Cost: a few passes over the edges for each mode, and for each source that gives nothing a walk over the other sources.

use super::{Facts, pins::points_of_elements};
use crate::{
    arena::IdVec,
    electrical::{ModeState, connectivity::Connectivity},
    model::{ElementId, ElementKind, ModeId, ModeSet, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Sources and outputs that deliver nothing in a mode in which they are on, in the order of their edges.
    ///
    /// Asked by `netlist/cut-off-source` and `review/missing-fact`.
    #[must_use]
    pub fn idle_sources(&self) -> &[IdleSource] {
        self.made.idle_sources.get_or_init(|| idle_sources(self))
    }
}

/// Current that counts as none.
const NOTHING: f64 = 1e-6;
/// Share of what the loads at its positive pole take below which a source gives them nothing.
const LEAK: f64 = 1e-3;

/// A source or output and the modes in which it was looked at.
#[derive(Debug)]
pub struct IdleSource {
    /// The source or converter.
    pub element: ElementId,
    /// Its positive point.
    pub positive: PointId,
    /// Its negative point.
    pub negative: PointId,
    /// Modes in which it gets nothing; only converters have them.
    pub unfed: Vec<ModeId>,
    /// Modes in which it is on and nothing is joined to it.
    pub alone: Vec<ModeId>,
    /// Modes in which loads or batteries are at its positive pole and its negative does not lead back to them.
    pub cut: Vec<ModeId>,
    /// A load or battery at its positive pole in the first of these modes.
    pub taker: Option<ElementId>,
    /// A pin on its way back behind which nothing is drawn, so that nobody can say whether the current gets back.
    pub untraced: Option<PointId>,
    /// The modes that it names; all where it names none.
    modes: ModeSet,
    /// It names no mode, or is a battery: one mode in which it delivers is enough.
    pub names_no_mode: bool,
    /// It delivers in some mode, or could.
    works: bool,
    edge: EdgeId,
}

/// What separates a source that runs from the battery that it is there for.
#[derive(Debug, Clone, Copy)]
pub struct OpenWay {
    /// The contact that is open, or the fuse that is not fitted.
    pub open: ElementId,
    /// The battery.
    pub battery: ElementId,
}

impl IdleSource {
    /// What separates it from a battery in the first of the modes in which nothing is joined to it; `None` where nothing does, or where it
    /// names no mode.
    #[must_use]
    pub fn open_way(&self, facts: &Facts) -> Option<OpenWay> {
        let network = facts.network();
        let first = *self.alone.first().filter(|_| !self.names_no_mode)?;
        let mode = facts.electrical().modes().find(|mode| mode.id == first)?;
        let batteries = || network.edges().filter(|(_, edge)| edge.role.takes_charge() && edge.element() != Some(self.element));
        let poles: FxHashMap<PointId, ElementId> = batteries().filter_map(|(_, edge)| Some((edge.b, edge.element()?))).collect();
        let keep = |_: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode;
        let Some(steps) = network.path(self.positive, |point| poles.contains_key(&point), keep) else {
            return self.empty_holder(facts, &poles);
        };
        let battery = *poles.get(&steps.last()?.point)?;
        let mut open = steps.iter().filter(|step| !mode.conducts(step.edge));
        Some(OpenWay { open: open.find_map(|step| network[step.edge].element())?, battery })
    }

    /// A fuse that is not fitted and would join it to a battery.
    fn empty_holder(&self, facts: &Facts, poles: &FxHashMap<PointId, ElementId>) -> Option<OpenWay> {
        let model = facts.model();
        let lumps = facts.network().components(|_, edge| edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode);
        let own = lumps.of(self.positive);
        model.elements().find_map(|(fuse, element)| {
            let ([one, other], ElementKind::Fuse { fitted: false, .. }) = (&*element.points, &element.kind) else { return None };
            let beyond = match (lumps.of(*one) == own, lumps.of(*other) == own) {
                (true, false) => lumps.of(*other),
                (false, true) => lumps.of(*one),
                (true, true) | (false, false) => return None,
            };
            let battery = lumps.members(beyond).iter().find_map(|point| poles.get(point))?;
            Some(OpenWay { open: fuse, battery: *battery })
        })
    }

    /// Whether the way back of its current is cut, as far as the design says.
    #[must_use]
    pub fn is_cut(&self) -> bool {
        !self.cut.is_empty() && self.untraced.is_none()
    }
}

fn idle_sources(facts: &Facts) -> Vec<IdleSource> {
    let mut sources = sources(facts);
    if sources.is_empty() {
        return sources;
    }
    let known = Known {
        drawn: points_of_elements(facts.model()),
        lost: facts
            .supply_cuts()
            .iter()
            .flat_map(|cut| cut.loads.iter().copied())
            .chain(facts.untraced_loads().iter().map(|untraced| untraced.load))
            .collect(),
        faults: faults(facts),
    };
    for mode in facts.electrical().modes() {
        let state = State::new(facts, mode, &known);
        for source in sources.iter_mut().filter(|source| source.modes.has(mode.id)) {
            state.look(source);
        }
    }
    sources.retain(|source| {
        let idle = !(source.unfed.is_empty() && source.alone.is_empty() && source.cut.is_empty());
        idle && !(source.works && source.names_no_mode)
    });
    sources
}

/// Everything that drives: sources and the outputs of converters.
fn sources(facts: &Facts) -> Vec<IdleSource> {
    let model = facts.model();
    let found = facts.network().edges().filter(|(_, edge)| edge.role.drives()).filter_map(|(id, edge)| {
        let element = edge.element()?;
        let modes = model[element].kind.modes()?;
        Some(IdleSource {
            element,
            positive: edge.b,
            negative: edge.a,
            unfed: Vec::new(),
            alone: Vec::new(),
            cut: Vec::new(),
            taker: None,
            untraced: None,
            modes,
            names_no_mode: modes == ModeSet::ALL || edge.role.takes_charge(),
            works: false,
            edge: id,
        })
    });
    found.collect()
}

/// What does not depend on the mode.
struct Known {
    /// Whether an element is at a point.
    drawn: IdVec<PointId, bool>,
    /// Loads that have no voltage, or of which nobody can say: another rule reports them.
    lost: FxHashSet<ElementId>,
    /// Points at which a fault was reported that cuts off what is joined to them.
    faults: Vec<PointId>,
}

/// Pins without a wire, wires that end at nothing, and nets on which signals or roles meet that should not.
fn faults(facts: &Facts) -> Vec<PointId> {
    let mut points = facts.unconnected().to_vec();
    // Ends of wires that reading could not place.
    let half = facts.model().wires().filter(|(_, wire)| wire.from.is_none() != wire.to.is_none());
    points.extend(half.filter_map(|(_, wire)| wire.from.or(wire.to)));
    points.extend(facts.dangling().iter().flat_map(|dangling| dangling.wires.iter().map(|end| end.point)));
    let mixed = facts.mixed_signals().iter().flat_map(|mixed| mixed.nets.iter().copied());
    let nets = mixed.chain(facts.role_clashes().iter().map(|clash| clash.net));
    points.extend(nets.filter_map(|net| facts.network().net_points(net).first().copied()));
    points
}

/// One mode: who is joined to whom, and what takes current where.
struct State<'a> {
    facts: &'a Facts,
    mode: &'a ModeState,
    view: &'a Connectivity,
    /// What everything joins that carries current and is neither a source nor a resistor.
    around: Components,
    /// The sources that are on, by the lumps of `around` that they join.
    bridges: FxHashMap<GroupId, Vec<(EdgeId, GroupId)>>,
    known: &'a Known,
    /// The lumps of closed conductors at which a fault was reported.
    at_fault: FxHashSet<GroupId>,
}

impl<'a> State<'a> {
    fn new(facts: &'a Facts, mode: &'a ModeState, known: &'a Known) -> Self {
        let network = facts.network();
        let view = facts.joined_in(mode);
        let carries = |id: EdgeId, edge: &Edge| mode.conducts(id) && !edge.role.drives() && edge.role != EdgeRole::Resistor;
        let around = network.components(carries);
        let mut bridges: FxHashMap<GroupId, Vec<(EdgeId, GroupId)>> = FxHashMap::default();
        for (id, edge) in network.edges().filter(|(id, edge)| edge.role.drives() && mode.conducts(*id)) {
            let (a, b) = (around.of(edge.a), around.of(edge.b));
            bridges.entry(a).or_default().push((id, b));
            bridges.entry(b).or_default().push((id, a));
        }
        let at_fault = known.faults.iter().map(|point| view.closed.of(*point)).collect();
        Self { facts, mode, view, around, bridges, known, at_fault }
    }

    fn look(&self, source: &mut IdleSource) {
        let mode = self.mode;
        if mode.is_shorted(source.positive) {
            source.works = true;
            return;
        }
        if !mode.conducts(source.edge) {
            source.unfed.push(mode.id);
            return;
        }
        let amps = mode.amps(source.edge).get().abs();
        let takers = self.takers(source);
        let taken: f64 = takers.iter().map(|(edge, _)| mode.amps(*edge).get().abs()).sum();
        if amps > NOTHING.max(LEAK * taken) || self.is_closed(source) {
            source.works = true;
            return;
        }
        let is_at_fault = |point: PointId| self.at_fault.contains(&self.view.closed.of(point));
        let Some((_, taker)) = takers.first() else {
            // Nobody can say what a box takes of which nothing is drawn; that has a note of its own.
            let is_cut_off = is_at_fault(source.positive) || is_at_fault(source.negative);
            let is_unknown = source.names_no_mode && (is_cut_off || self.feeds_box(source));
            if amps > NOTHING || is_unknown || self.holds_load(source) {
                source.works = true;
            } else {
                source.alone.push(mode.id);
            }
            return;
        };
        // A load without voltage has a finding, which names what is cut; and a fault on the way back is the cause.
        if is_at_fault(source.negative) || takers.iter().any(|(_, taker)| self.known.lost.contains(taker)) {
            source.works = true;
            return;
        }
        source.untraced = source.untraced.or_else(|| self.untraced(source));
        source.taker = source.taker.or(Some(*taker));
        source.cut.push(mode.id);
    }

    /// What takes its current at its positive pole: what draws, and batteries that can be charged.
    fn takers(&self, source: &IdleSource) -> Vec<(EdgeId, ElementId)> {
        let lump = self.view.closed.of(source.positive);
        let is_battery = self.facts.network().role(source.edge).takes_charge();
        let takes = |id: EdgeId, edge: &Edge| {
            let charges = !is_battery && edge.role.takes_charge() && self.view.closed.of(edge.b) == lump;
            id != source.edge && (edge.role.draws() || charges) && self.mode.conducts(id)
        };
        let mut found: Vec<(EdgeId, ElementId)> = Vec::new();
        for point in self.view.closed.members(lump) {
            let around = self.facts.network().around(*point).filter(|(id, edge, _)| takes(*id, edge));
            found.extend(around.filter_map(|(id, edge, _)| Some((id, edge.element()?))));
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Whether a resistor at its positive pole takes something, as a pull-up does, or a load is joined there that is off in this mode.
    fn holds_load(&self, source: &IdleSource) -> bool {
        let lump = self.view.closed.members(self.view.closed.of(source.positive)).iter();
        let mut around = lump.flat_map(|point| self.facts.network().around(*point));
        around.any(|(id, edge, _)| id != source.edge && (edge.role.draws() || edge.role.drains() && self.mode.conducts(id)))
    }

    /// Whether its positive pole leads to a box of which nothing is drawn.
    fn feeds_box(&self, source: &IdleSource) -> bool {
        let lump = self.view.closed.members(self.view.closed.of(source.positive));
        lump.iter().any(|point| self.is_bare(*point))
    }

    /// Whether the poles of a source meet without it.
    fn is_closed(&self, source: &IdleSource) -> bool {
        let goal = self.around.of(source.negative);
        let mut seen: FxHashSet<GroupId> = FxHashSet::default();
        let mut waiting = vec![self.around.of(source.positive)];
        while let Some(group) = waiting.pop() {
            if group == goal {
                return true;
            }
            if seen.insert(group) {
                let next = self.bridges.get(&group).into_iter().flatten().filter(|(edge, _)| *edge != source.edge);
                waiting.extend(next.map(|(_, other)| *other));
            }
        }
        false
    }

    /// A pin at its negative pole behind which nothing is drawn though its device has another such pin, to which it may lead.
    fn untraced(&self, source: &IdleSource) -> Option<PointId> {
        let model = self.facts.model();
        let lump = self.view.closed.of(source.negative);
        let is_here = |point: &PointId| self.view.closed.of(*point) == lump;
        let bare = || model.points().map(|(point, _)| point).filter(|point| self.is_bare(*point));
        let elsewhere: FxHashSet<_> = bare().filter(|point| !is_here(point)).filter_map(|point| model.device_at(point)).collect();
        bare().filter(is_here).find(|point| model.device_at(*point).is_some_and(|device| elsewhere.contains(&device)))
    }

    /// Whether a point is a pin that may give or take back power and behind which nothing is drawn.
    fn is_bare(&self, point: PointId) -> bool {
        let model = self.facts.model();
        let is_power = model.role_at(point).is_none_or(|role| role != Role::Earth && (role.takes_back() || role.gives_supply()));
        let is_of_a_box = model.device_at(point).is_some_and(|device| !model[device].chassis);
        is_of_a_box && is_power && !self.known.drawn[point] && model.is_fitted(point)
    }
}
