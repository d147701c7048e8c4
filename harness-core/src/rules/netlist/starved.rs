//! Loads that get no voltage in a mode in which they run: which side is cut off, and what is open on the way.
//!
//! A consequence is no fault of its own: where the cut-off side ends at a pin without a wire, a dangling wire, mixed
//! signals or clashing roles, that was reported. Where it ends at a pin of a device of which nothing inside is known,
//! nobody can tell, and nothing is said here.

use super::{
    ends::{Ends, is_fitted},
    names::{Pins, crowded, mixed},
    open_points::{Why, dangling, unconnected},
    roles::{conflicts, touched},
    views::{Connectivity, Part, nominal, part},
};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{ElementId, ElementKind, ModeId, ModeSet, PointId, PointKind},
    network::{Edge, EdgeId, GroupId, NetId, Terminal},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// Which side is cut off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Cut {
    /// No source reaches the load.
    Feed,
    /// The load is fed, and its other side does not get back.
    Return,
    /// Both sides are one conductor.
    Bridged,
}

/// Loads that one thing starves.
#[derive(Debug)]
pub(super) struct Starved {
    /// Which side.
    pub(super) cut: Cut,
    /// The loads, in the order of their edges.
    pub(super) loads: Vec<ElementId>,
    /// Modes in which the first of them runs without voltage.
    pub(super) modes: Vec<ModeId>,
    /// Its point that is cut off.
    pub(super) dead: PointId,
    /// What is open between that point and the source.
    pub(super) open: Option<Open>,
}

/// What is open on the way to a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Open {
    /// A switch, contact, disconnect or diode that carries nothing.
    Edge(EdgeId),
    /// A fuse or link that is not fitted.
    Unfitted(ElementId),
    /// A converter that does not run in this mode.
    Converter(ElementId),
}

/// What loads of one finding have in common: what is open, or the net at which they are cut off.
type Cause = Result<Open, (NetId, ElementId)>;

/// Facts that do not depend on the mode.
struct Facts {
    /// Points at which a fault was reported that cuts off what is joined to them.
    reported: Vec<PointId>,
    /// Pins of which nobody knows what is behind them: may feed, may take back.
    unknown: Vec<(PointId, bool, bool)>,
    /// Fuses and links that are left out.
    unfitted: Vec<(ElementId, Vec<PointId>)>,
}

/// A load in a mode: the edge, the element, whether it can be told to run there.
type Running = (EdgeId, Edge, ElementId);

/// What `no-source` and `no-return` both look at.
#[derive(Debug, Default)]
pub(super) struct AllStarved(pub(super) Vec<Starved>);

/// All loads without voltage. Cost: a few passes over the edges for each mode, and a walk for each finding.
pub(super) fn starved(analysis: &Analysis) -> AllStarved {
    let model = analysis.model();
    if !model.elements().any(|(_, element)| matches!(element.kind, ElementKind::Source { .. })) {
        return AllStarved::default();
    }
    let facts = facts(analysis);
    let mut found: Vec<Starved> = Vec::new();
    let mut by_cause: FxHashMap<Cause, usize> = FxHashMap::default();
    let mut fed: FxHashSet<ElementId> = FxHashSet::default();
    let mut everywhere: Vec<(ElementId, Starved)> = Vec::new();
    let modes = analysis.electrical().modes().map(Some).chain([None]);
    for mode in modes {
        let view = Connectivity::new(analysis.network(), mode);
        let marks = Marks::new(analysis, &view, &facts);
        // All loads at one lump are cut off by one thing.
        let mut causes: FxHashMap<(GroupId, Cut), Option<Option<Open>>> = FxHashMap::default();
        for (edge, item, element) in running(analysis, mode) {
            let Some((cut, dead)) = verdict(analysis, &view, &marks, mode, (edge, item, element)) else {
                fed.insert(element);
                continue;
            };
            let lump = (view.closed.of(dead), cut);
            let cause = *causes.entry(lump).or_insert_with(|| cause(analysis, &facts, &view, &marks, mode, (cut, dead)));
            let Some(open) = cause else {
                // It is explained elsewhere, or nobody can tell: no mode of this load counts.
                fed.insert(element);
                continue;
            };
            let one = Starved { cut, loads: vec![element], modes: mode.map(|mode| mode.id).into_iter().collect(), dead, open };
            if says_no_mode(analysis, element) {
                everywhere.push((element, one));
            } else {
                add(analysis, &mut found, &mut by_cause, one);
            }
        }
    }
    // A load that names no modes runs whenever it is fed; it must be fed in one of them.
    for (element, one) in everywhere {
        if !fed.contains(&element) {
            add(analysis, &mut found, &mut by_cause, one);
        }
    }
    AllStarved(found)
}

fn add(analysis: &Analysis, found: &mut Vec<Starved>, by_cause: &mut FxHashMap<Cause, usize>, one: Starved) {
    let Some(&load) = one.loads.first() else { return };
    // A load that lies bridged stands for itself; an open side is shared by all loads at it.
    let alone = if one.cut == Cut::Bridged { load } else { ElementId::from_index(0) };
    let cause = one.open.ok_or((analysis.network().net(one.dead), alone));
    let known = found.iter_mut().find(|known| known.loads.first() == Some(&load));
    if let Some(known) = known {
        known.modes.extend(one.modes.into_iter().filter(|mode| !known.modes.contains(mode)).collect::<Vec<_>>());
        return;
    }
    match by_cause.get(&cause).and_then(|at| found.get_mut(*at)) {
        Some(known) => {
            if known.loads.contains(&load) {
                return;
            }
            // Loads that lean on each other over a lost return: the one that is fed tells what is lost.
            if known.cut == Cut::Feed && one.cut == Cut::Return {
                known.loads.insert(0, load);
                *known = Starved { loads: std::mem::take(&mut known.loads), ..one };
            } else {
                known.loads.push(load);
            }
        }
        None => {
            by_cause.insert(cause, found.len());
            found.push(one);
        }
    }
}

/// Whether a load does not say in which modes it runs, though there are several.
fn says_no_mode(analysis: &Analysis, element: ElementId) -> bool {
    match analysis.model().element(element).map(|element| &element.kind) {
        Some(ElementKind::Load { modes, .. } | ElementKind::Converter { modes, .. }) => *modes == ModeSet::ALL,
        _ => false,
    }
}

/// The loads and converters that run in a mode; without a mode the coils, which are alive in some state of the switches.
fn running(analysis: &Analysis, mode: Option<&ModeState>) -> Vec<Running> {
    let model = analysis.model();
    let edges = analysis.network().edges().filter_map(|(id, edge)| {
        let (element, terminal) = edge.element()?;
        let runs = match (&model.element(element)?.kind, terminal, mode) {
            (ElementKind::Load { modes, .. }, _, Some(mode)) => modes.has(mode.id),
            (ElementKind::Converter { modes, .. }, Terminal::Input, Some(mode)) => modes.has(mode.id),
            (ElementKind::Relay { .. }, Terminal::Coil, None) => true,
            _ => false,
        };
        // Where a source is shorted nothing is fed, and the short is the fault.
        let shorted = mode.is_some_and(|mode| mode.is_shorted(edge.a) || mode.is_shorted(edge.b));
        (runs && !shorted && is_fitted(model, edge.a)).then_some((id, *edge, element))
    });
    edges.collect()
}

fn facts(analysis: &Analysis) -> Facts {
    let model = analysis.model();
    let ends = Ends::new(model);
    let pins = Pins::new(analysis);
    let mut reported = unconnected(analysis, &ends);
    for dangling in dangling(model, &ends) {
        reported.extend(dangling.wires.iter().map(|end| end.point));
        if let Why::SparePin(point) | Why::EmptyCavity(point) = dangling.why {
            reported.push(point);
        }
    }
    // Ends of wires that reading could not place.
    let half = model.wires().filter(|(_, wire)| wire.from.is_none() != wire.to.is_none());
    reported.extend(half.filter_map(|(_, wire)| wire.from.or(wire.to)));
    let mut nets: Vec<NetId> =
        mixed(analysis, &pins, &ends, &crowded(analysis, &ends)).into_iter().flat_map(|mixed| mixed.nets).collect();
    nets.extend(conflicts(analysis, &pins).into_iter().map(|conflict| conflict.net));
    nets.extend(pins.nets().filter(|net| {
        let mut domains = pins.of(*net).iter().filter_map(|pin| pin.domain);
        domains.next().is_some_and(|first| domains.any(|other| other != first))
    }));
    reported.extend(nets.iter().filter_map(|net| pins.of(*net).first()).map(|pin| pin.point));
    let unfitted = model.elements().filter_map(|(id, element)| match element.kind {
        ElementKind::Fuse { fitted: false, .. } | ElementKind::Link { fitted: false, .. } => Some((id, element.points.to_vec())),
        _ => None,
    });
    Facts { reported, unknown: unknown(analysis), unfitted: unfitted.collect() }
}

/// Pins at which no element stands, with what their roles let them be.
fn unknown(analysis: &Analysis) -> Vec<(PointId, bool, bool)> {
    use Role::{Chassis, Earth, Line, Neutral, Output, Phase, Reference, Return, SensorReturn, Supply};
    let model = analysis.model();
    let touched = touched(model);
    let pins = model.points().filter(|(id, point)| {
        let of_device = match point.kind {
            PointKind::Pin(port) | PointKind::Stud(port) => model.port(port).and_then(|port| model.device(port.device)),
            _ => None,
        };
        of_device.is_some_and(|device| !device.chassis) && touched.get(id.index()) == Some(&false)
    });
    pins.map(|(id, point)| match point.pin.and_then(|pin| model.pin(pin)).and_then(|pin| pin.role).map(|role| role.value) {
        Some(Supply | Line | Reference | Phase) => (id, true, false),
        Some(Return | Chassis | Earth | Neutral | SensorReturn) => (id, false, true),
        Some(Output) | None => (id, true, true),
        Some(_) => (id, false, false),
    })
    .collect()
}

/// For each lump of closed conductors: what the facts say of it.
struct Marks {
    reported: Vec<bool>,
    may_feed: Vec<bool>,
    may_return: Vec<bool>,
    /// Roles are named in it, and all of them are those of returns.
    ground: Vec<Option<bool>>,
}

impl Marks {
    fn new(analysis: &Analysis, view: &Connectivity, facts: &Facts) -> Self {
        let mut marks = Self {
            reported: vec![false; view.closed.len()],
            may_feed: vec![false; view.closed.len()],
            may_return: vec![false; view.closed.len()],
            ground: vec![None; view.closed.len()],
        };
        for (id, point) in analysis.model().points() {
            let role = point.pin.and_then(|pin| analysis.model().pin(pin)).and_then(|pin| pin.role).map(|role| role.value);
            if let (Some(role), Some(slot)) = (role, marks.ground.get_mut(view.closed.of(id).index())) {
                *slot = Some(is_ground(role) && slot.unwrap_or(true));
            }
        }
        let set = |list: &mut Vec<bool>, point: PointId| {
            if let Some(slot) = list.get_mut(view.closed.of(point).index()) {
                *slot = true;
            }
        };
        for point in &facts.reported {
            set(&mut marks.reported, *point);
        }
        for (point, feeds, returns) in &facts.unknown {
            if *feeds {
                set(&mut marks.may_feed, *point);
            }
            if *returns {
                set(&mut marks.may_return, *point);
            }
        }
        marks
    }
}

/// Which side of a load is cut off; `None` for a load that has its voltage.
fn verdict(
    analysis: &Analysis,
    view: &Connectivity,
    marks: &Marks,
    mode: Option<&ModeState>,
    (edge, item, element): Running,
) -> Option<(Cut, PointId)> {
    let (from, to) = (item.a, item.b);
    if view.hard.of(from) == view.hard.of(to) && view.is_fed(from) {
        // What is left of the voltage at its end is for `conductor/voltage-drop`.
        let bridged = view.closed.of(from) == view.closed.of(to) && view.poles(from) != (true, true);
        // Where both poles are one conductor too, the source is shorted, and that is the fault.
        return (bridged && mode.is_some()).then_some((Cut::Bridged, from));
    }
    // What a load gets through other loads, because the return that they share leads nowhere, is not its voltage.
    let lost = mode.is_some_and(|mode| mode.no_return.contains(&edge))
        && !view.is_fed(to)
        && marks.ground.get(view.closed.of(to).index()) == Some(&Some(true));
    if view.all.of(from) == view.all.of(to) && !lost {
        let volts = mode.map_or(f64::INFINITY, |mode| (mode.volts(from).get() - mode.volts(to).get()).abs());
        let least = nominal(analysis.model(), analysis.electrical().domains(), analysis.model().element(element)?)
            .map(|nominal| nominal.get() / 2.0);
        let carries = mode.is_none_or(|mode| mode.amps(edge).get().abs() > 1e-6);
        if least.map_or(carries, |least| volts >= least) {
            return None;
        }
    }
    let dead = match (view.is_fed(from), view.is_fed(to)) {
        (true, false) => to,
        (false, true) => from,
        (false, false) => return Some((Cut::Feed, from)),
        (true, true) => return Some((Cut::Return, to)),
    };
    let live = if dead == from { to } else { from };
    let cut = match view.poles(live) {
        (true, false) => Cut::Return,
        (false, true) => Cut::Feed,
        _ if dead == to => Cut::Return,
        _ => Cut::Feed,
    };
    Some((cut, dead))
}

fn is_ground(role: Role) -> bool {
    matches!(role, Role::Return | Role::Chassis | Role::Earth | Role::Neutral | Role::SensorReturn)
}

/// What starves a load: `None` where it is reported elsewhere or can't be told, else the thing that is open, if any.
fn cause(
    analysis: &Analysis,
    facts: &Facts,
    view: &Connectivity,
    marks: &Marks,
    mode: Option<&ModeState>,
    (cut, dead): (Cut, PointId),
) -> Option<Option<Open>> {
    let is = |list: &[bool], point: PointId| list.get(view.closed.of(point).index()) == Some(&true);
    if is(&marks.reported, dead) {
        return None;
    }
    if cut == Cut::Bridged {
        return Some(None);
    }
    let unknown = if cut == Cut::Feed { &marks.may_feed } else { &marks.may_return };
    if is(unknown, dead) {
        return None;
    }
    let lump = view.closed.of(dead);
    for (element, points) in &facts.unfitted {
        let here = points.iter().any(|point| view.closed.of(*point) == lump);
        if here && points.iter().any(|point| view.closed.of(*point) != lump && view.is_fed(*point)) {
            return Some(Some(Open::Unfitted(*element)));
        }
    }
    if let Some(converter) = converter_at(analysis, view, dead) {
        let runs = |modes: ModeSet| mode.is_none_or(|mode| modes.has(mode.id));
        return match analysis.model().element(converter)?.kind {
            // It runs and gives nothing: its own input is the fault, and is judged as a load.
            ElementKind::Converter { modes, .. } if runs(modes) => None,
            _ => Some(Some(Open::Converter(converter))),
        };
    }
    let keep = |_: EdgeId, edge: &Edge| part(analysis.model(), edge) == Part::Conductor;
    let path = analysis.network().path(dead, |point| view.is_fed(point) && view.closed.of(point) != lump, keep);
    let Some(path) = path else {
        // Whatever could join it through open switches is a fact of its own: something reported, or unknown.
        let beyond = analysis.network().path(dead, |point| is(unknown, point) || is(&marks.reported, point), keep);
        return beyond.is_none().then_some(None);
    };
    let open = path.iter().rev().find(|step| mode.is_some_and(|mode| !mode.conducts(step.edge)));
    Some(open.map(|step| Open::Edge(step.edge)))
}

/// A converter with an output pole in the lump of `dead`.
fn converter_at(analysis: &Analysis, view: &Connectivity, dead: PointId) -> Option<ElementId> {
    let members = view.closed.members(view.closed.of(dead));
    members.iter().find_map(|point| {
        analysis.network().around(*point).find_map(|(_, edge, _)| match edge.element() {
            Some((element, Terminal::Output)) => Some(element),
            _ => None,
        })
    })
}
