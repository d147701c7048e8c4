//! What a vehicle is brought to life with: its batteries and where they come off, its other supplies, fuses, disconnects, and its modes in order.

use super::{pieces::Pieces, readings::Place};
use crate::{
    electrical::ModeState,
    facts::Facts,
    model::{DeviceId, ElementId, ElementKind, EndId, ModeId, Owner, PointId, PointKind},
    network::{Edge, EdgeId, EdgeKind},
    quantity::Volt,
    standards::reading::bolted_above,
    vocabulary::Reference,
};
use std::collections::{BTreeMap, BTreeSet, btree_map::Entry};

/// Power in watt from which on a mode runs something.
const RUNS: f64 = 1.0;
/// Heights in volt that differ by less are one.
const SAME: f64 = 1e-9;

/// A vehicle, as hands that bring it to life see it.
pub(super) struct Vehicle<'f> {
    pub(super) facts: &'f Facts,
    /// The mode in which hands work: touch-safe where the design has such a mode, with nothing of class B switched on and the least running.
    pub(super) quiet: ModeId,
    /// The mode in which class B comes in: disconnects in, contactors open, the least running.
    pub(super) rest: ModeId,
    pub(super) pieces: Pieces,
    /// All modes, in the order in which they are tried.
    pub(super) modes: Vec<Stage>,
    pub(super) batteries: Vec<Battery>,
    pub(super) supplies: Vec<Supply>,
    /// Fuses of class A that are fitted, in the order written.
    pub(super) fuses: Vec<Fuse>,
    pub(super) disconnects: Vec<Disconnect>,
}

/// A mode with what it switches on.
pub(super) struct Stage {
    pub(super) mode: ModeId,
    /// Contactors of class B are closed in it, or loads of class B run.
    pub(super) has_class_b: bool,
    /// Supplies from outside that are there in it and not in the quiet mode, by their place among the supplies.
    pub(super) supplies: Vec<usize>,
}

/// A battery: the cells of one device.
pub(super) struct Battery {
    pub(super) device: DeviceId,
    pub(super) class_b: bool,
    /// Where it comes off: the contacts of its negative pole and of taps, of a plug all of them.
    pub(super) lead: Vec<EdgeId>,
    /// The ends of looms that are taken off; empty where it comes off by itself.
    pub(super) ends: Vec<EndId>,
    /// They are rings and bare ends, not plugs.
    pub(super) bolted: bool,
    /// The outer poles, at ports where it has any there.
    pub(super) poles: [PointId; 2],
}

impl Battery {
    /// Where its voltage is read.
    pub(super) fn place(&self) -> Place {
        Place::Between(self.poles[1], self.poles[0])
    }
}

/// A source that is not a battery: mains, a generator, panels of cells in the sun, a converter that makes class B of class A.
pub(super) struct Supply {
    pub(super) element: ElementId,
    pub(super) edges: Vec<EdgeId>,
    pub(super) class_b: bool,
    /// It is there in the quiet mode too, so that somebody has to keep it off.
    pub(super) always: bool,
    /// It gives no more than its limit.
    pub(super) limited: bool,
}

/// A fuse of class A.
pub(super) struct Fuse {
    pub(super) element: ElementId,
    pub(super) edge: EdgeId,
    pub(super) bolted: bool,
}

/// A service disconnect or main switch.
pub(super) struct Disconnect {
    pub(super) element: ElementId,
    pub(super) edges: Vec<EdgeId>,
    pub(super) class_b: bool,
}

impl<'f> Vehicle<'f> {
    /// `None` for a design without a mode that was computed.
    pub(super) fn new(facts: &'f Facts) -> Option<Self> {
        let supplies = supplies(facts);
        let disconnects = disconnects(facts);
        let score = |state: &ModeState| (has_class_b(facts, state), power(facts, state));
        let touch_safe = |mode: ModeId| facts.model()[mode].touch_safe;
        let states = facts.electrical().modes_as_written();
        let least = |from: &mut dyn Iterator<Item = &ModeState>| {
            let key = |state: &&ModeState| (score(state), !touch_safe(state.id));
            let less = |one: &&ModeState, other: &&ModeState| {
                let ((one_b, one_power), one_unsafe) = key(one);
                let ((other_b, other_power), other_unsafe) = key(other);
                one_b.cmp(&other_b).then(one_unsafe.cmp(&other_unsafe)).then(one_power.total_cmp(&other_power))
            };
            from.min_by(less).map(|state| state.id)
        };
        let quiet = least(&mut states.iter().copied())?;
        let is_in = |mode: ModeId| {
            disconnects.iter().all(|one| match facts.model()[one.element].kind {
                ElementKind::Disconnect { out, .. } => !out.has(mode),
                _ => true,
            })
        };
        let rest = if is_in(quiet) {
            quiet
        } else {
            least(&mut states.iter().copied().filter(|state| is_in(state.id))).unwrap_or(quiet)
        };
        let mut supplies = supplies;
        for supply in &mut supplies {
            supply.always = is_on(facts, supply.element, quiet);
        }
        let mut modes: Vec<(Stage, f64, usize)> = states
            .iter()
            .enumerate()
            .map(|(at, state)| {
                let comes = |supply: &Supply| !supply.always && is_on(facts, supply.element, state.id);
                let stage = Stage {
                    mode: state.id,
                    has_class_b: has_class_b(facts, state),
                    supplies: (0..).zip(&supplies).filter(|(_, supply)| comes(supply)).map(|(at, _)| at).collect(),
                };
                (stage, power(facts, state), at)
            })
            .collect();
        // In the order that the design gives; else what runs least first, what needs a supply from outside last.
        let given = |mode: ModeId| facts.model().sequence.iter().position(|(known, _)| *known == mode).unwrap_or(usize::MAX);
        modes.sort_by(|(one, one_power, one_at), (other, other_power, other_at)| {
            let key = |stage: &Stage| (!stage.supplies.is_empty(), given(stage.mode), stage.has_class_b);
            key(one).cmp(&key(other)).then(one_power.total_cmp(other_power)).then(one_at.cmp(other_at))
        });
        let modes = modes.into_iter().map(|(stage, ..)| stage).collect();
        let pieces = Pieces::new(facts);
        let mut vehicle =
            Self { facts, quiet, rest, pieces, modes, batteries: Vec::new(), supplies, fuses: fuses(facts), disconnects };
        vehicle.batteries = vehicle.batteries();
        Some(vehicle)
    }

    /// The piece that an edge belongs to.
    pub(super) fn piece(&self, edge: EdgeId) -> u32 {
        self.pieces.of(self.facts.network()[edge].a)
    }

    /// Whether a point is of class B; one of which no domain is known is not.
    pub(super) fn is_class_b(&self, point: PointId) -> bool {
        is_class_b(self.facts, point)
    }

    /// What is open before the first step: where batteries come off, fuses of class A, disconnects, and supplies.
    pub(super) fn all_open(&self) -> BTreeSet<EdgeId> {
        let leads = self.batteries.iter().flat_map(|battery| battery.lead.iter().copied());
        let fuses = self.fuses.iter().map(|fuse| fuse.edge);
        let disconnects = self.disconnects.iter().flat_map(|one| one.edges.iter().copied());
        leads
            .chain(fuses)
            .chain(disconnects)
            .chain(self.supplies.iter().flat_map(|supply| supply.edges.iter().copied()))
            .collect()
    }

    fn batteries(&self) -> Vec<Battery> {
        let (facts, network) = (self.facts, self.facts.network());
        let mut of: BTreeMap<DeviceId, Vec<EdgeId>> = BTreeMap::new();
        for (id, edge) in network.edges().filter(|(_, edge)| is_battery(facts, edge)) {
            if let Some(device) = owner(facts, edge) {
                of.entry(device).or_default().push(id);
            }
        }
        let mut found: Vec<Battery> = Vec::new();
        for (device, mut cells) in of {
            // A box may hold several that nothing joins.
            while let Some((battery, reached)) = battery(self, device, &cells) {
                cells.retain(|cell| !reached.contains(&network[*cell].a));
                found.push(battery);
            }
        }
        // The battery of the controls before those of the drive.
        found.sort_by_key(|battery| battery.class_b);
        // A battery of class B that disconnects and contactors separate from its contacts stays plugged in.
        let opened: BTreeSet<EdgeId> = self.disconnects.iter().flat_map(|one| one.edges.iter().copied()).collect();
        let is_open = |id: EdgeId, edge: &Edge| opened.contains(&id) || edge.role.is_relay_contact();
        let joined = network.components(|id, edge| edge.role.is_galvanic() && !edge.role.draws() && !is_open(id, edge));
        for battery in found.iter_mut().filter(|battery| battery.class_b) {
            let [negative, positive] = battery.poles;
            if joined.of(negative) != joined.of(positive) {
                battery.lead.clear();
            }
        }
        found
    }
}

/// The battery of the first of some cells of a device, its outer poles and where it comes off, with the points that belong to it.
fn battery(vehicle: &Vehicle<'_>, device: DeviceId, cells: &[EdgeId]) -> Option<(Battery, BTreeSet<PointId>)> {
    let (facts, model, network) = (vehicle.facts, vehicle.facts.model(), vehicle.facts.network());
    let start = network[*cells.first()?].a;
    let is_inside = |edge: &Edge| owner(facts, edge) == Some(device);
    // What a contact separates from the cells is a pole where no other contact of the box is one.
    let all = heights(vehicle, device, start, true);
    let bare = heights(vehicle, device, start, false);
    let is_port = |point: PointId| matches!(model[point].kind, PointKind::Pin(_) | PointKind::Stud(_));
    let leaves = |point: PointId| network.around(point).any(|(_, edge, _)| !is_inside(edge));
    let outer = |sign: f64| {
        let of = |heights: &BTreeMap<PointId, f64>| {
            let rank = |point: PointId| (is_port(point) && leaves(point), is_port(point));
            let best = heights.iter().min_by(|(one, one_height), (other, other_height)| {
                let by_height = (sign * **one_height).total_cmp(&(sign * **other_height));
                by_height.then(rank(**other).cmp(&rank(**one))).then(one.cmp(other))
            });
            best.map(|(point, _)| *point)
        };
        of(&bare).filter(|point| is_port(*point)).or_else(|| of(&all))
    };
    let (negative, positive) = (outer(1.0)?, outer(-1.0)?);
    let most = all.get(&positive).copied()?;
    // All but the positive pole: a tap between the cells feeds too.
    let below = all.iter().filter(|(_, height)| **height < most - SAME).map(|(point, _)| *point);
    let mut lead: Vec<EdgeId> = below
        .filter(|point| is_port(*point))
        .flat_map(|point| network.around(point))
        .filter(|(_, edge, _)| matches!(edge.kind, EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_)))
        .map(|(id, ..)| id)
        .collect();
    let ends: BTreeSet<EndId> = lead.iter().filter_map(|id| end_of(&network[*id])).collect();
    // A plug comes off with all of its contacts.
    let plugs: BTreeSet<EndId> = lead.iter().filter_map(|id| plug_of(&network[*id])).collect();
    lead.extend(network.edges().filter(|(_, edge)| plug_of(edge).is_some_and(|end| plugs.contains(&end))).map(|(id, _)| id));
    if lead.is_empty() {
        lead.extend(cells.first());
    }
    lead.sort_unstable();
    lead.dedup();
    let class_b = all.keys().any(|point| is_class_b(facts, *point));
    Some((
        Battery {
            device,
            class_b,
            lead,
            ends: ends.into_iter().collect(),
            bolted: plugs.is_empty(),
            poles: [negative, positive],
        },
        all.into_keys().collect(),
    ))
}

/// The points of a box that its cells are joined to, each with its height over the first one in volt; past its contacts or not.
fn heights(vehicle: &Vehicle<'_>, device: DeviceId, start: PointId, past_contacts: bool) -> BTreeMap<PointId, f64> {
    let (facts, model, network) = (vehicle.facts, vehicle.facts.model(), vehicle.facts.network());
    let leads = |edge: &Edge| {
        let joins = edge.role.joins_battery() && (past_contacts || !edge.role.cuts_coils());
        owner(facts, edge) == Some(device) && (joins || is_battery(facts, edge))
    };
    let mut heights: BTreeMap<PointId, f64> = BTreeMap::from([(start, 0.0)]);
    let mut ahead = vec![(start, 0.0)];
    while let Some((at, height)) = ahead.pop() {
        for (_, edge, next) in network.around(at).filter(|(_, edge, _)| leads(edge)) {
            let emf = edge.element().and_then(|element| model[element].kind.open_voltage()).map(Volt::get);
            // From the negative point of a source to the positive one, which is its second.
            let step = emf.map_or(0.0, |emf| if at == edge.a { emf } else { -emf });
            if let Entry::Vacant(free) = heights.entry(next) {
                free.insert(height + step);
                ahead.push((next, height + step));
            }
        }
    }
    heights
}

fn end_of(edge: &Edge) -> Option<EndId> {
    match edge.kind {
        EdgeKind::Contact(end) | EdgeKind::Joint(end) => Some(end),
        EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
    }
}

fn plug_of(edge: &Edge) -> Option<EndId> {
    match edge.kind {
        EdgeKind::Contact(end) => Some(end),
        EdgeKind::Joint(_) | EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
    }
}

fn owner(facts: &Facts, edge: &Edge) -> Option<DeviceId> {
    match facts.model()[edge.element()?].owner {
        Owner::Device(device) => Some(device),
        Owner::Loom(_) => None,
    }
}

fn is_class_b(facts: &Facts, point: PointId) -> bool {
    facts.electrical().domains().of(point).is_some_and(|domain| facts.model()[domain].is_class_b())
}

/// A source without a limit, of direct voltage: cells. One of alternating voltage or against earth is the mains.
fn is_battery(facts: &Facts, edge: &Edge) -> bool {
    let domain = facts.electrical().domains().of(edge.a).or_else(|| facts.electrical().domains().of(edge.b));
    let is_supply = domain.is_some_and(|domain| facts.model()[domain].ac || facts.model()[domain].reference == Reference::Earth);
    let everywhere = edge.element().is_some_and(|element| match facts.model()[element].kind {
        ElementKind::Source { modes, .. } => facts.electrical().modes().all(|state| modes.has(state.id)),
        _ => false,
    });
    edge.role.takes_charge() && !is_supply && everywhere
}

fn supplies(facts: &Facts) -> Vec<Supply> {
    let sources = facts.network().edges().filter(|(_, edge)| edge.role.is_source() && !is_battery(facts, edge));
    let found = sources.filter_map(|(id, edge)| {
        Some(Supply {
            element: edge.element()?,
            edges: vec![id],
            class_b: is_class_b(facts, edge.a) || is_class_b(facts, edge.b),
            always: false,
            limited: !edge.role.drives_without_limit(),
        })
    });
    let mut found: Vec<Supply> = found.collect();
    // An inverter that makes class B of class A has to be off as long as class B is.
    let is_b = |edge: &Edge| is_class_b(facts, edge.a) || is_class_b(facts, edge.b);
    for (id, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drives() && !edge.role.is_source() && is_b(edge)) {
        let Some(element) = edge.element() else { continue };
        let own = || facts.network().edges().filter(|(_, other)| other.element() == Some(element));
        if own().any(|(other, edge)| other != id && is_b(edge)) {
            continue;
        }
        let edges = own().map(|(id, _)| id).collect();
        found.push(Supply { element, edges, class_b: true, always: false, limited: false });
    }
    found
}

fn is_on(facts: &Facts, source: ElementId, mode: ModeId) -> bool {
    match facts.model()[source].kind {
        ElementKind::Source { modes, .. } | ElementKind::Converter { modes, .. } => modes.has(mode),
        _ => false,
    }
}

fn disconnects(facts: &Facts) -> Vec<Disconnect> {
    let mut found: Vec<Disconnect> = Vec::new();
    for (id, edge) in facts.network().edges() {
        let is_cut = edge.role.is_switched() && !edge.role.cuts_coils();
        let Some(element) = edge.element().filter(|_| is_cut) else { continue };
        match found.iter_mut().find(|known| known.element == element) {
            Some(known) => known.edges.push(id),
            None => {
                let class_b = is_class_b(facts, edge.a) || is_class_b(facts, edge.b);
                found.push(Disconnect { element, edges: vec![id], class_b });
            }
        }
    }
    found
}

fn fuses(facts: &Facts) -> Vec<Fuse> {
    let model = facts.model();
    let found = facts.network().edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let ElementKind::Fuse { kind, fitted: true } = model[element].kind else { return None };
        if is_class_b(facts, edge.a) || is_class_b(facts, edge.b) {
            return None;
        }
        let is_stud = |point: PointId| matches!(model[point].kind, PointKind::Stud(_) | PointKind::Ring(_));
        let rating = kind.and_then(|kind| model[kind].rating).map(|rating| rating.value);
        let bolted = is_stud(edge.a) && is_stud(edge.b) || rating.is_some_and(|rating| rating > bolted_above().value);
        Some(Fuse { element, edge: id, bolted })
    });
    found.collect()
}

/// What runs in a mode, in watt.
fn power(facts: &Facts, state: &ModeState) -> f64 {
    let drawing = facts.network().edges().filter(|(id, edge)| edge.role.draws() && state.conducts(*id));
    drawing.map(|(id, edge)| ((state.volts(edge.a) - state.volts(edge.b)).get() * state.amps(id).get()).abs()).sum()
}

/// Whether a mode closes a contactor of class B, or runs something of class B.
fn has_class_b(facts: &Facts, state: &ModeState) -> bool {
    facts.network().edges().any(|(id, edge)| {
        let is_b = || is_class_b(facts, edge.a) && is_class_b(facts, edge.b);
        let works = |volts: Volt| edge.role.draws() && (volts.get() * state.amps(id).get()).abs() > RUNS;
        let closes = edge.role.is_relay_contact() && edge.role.is_outward();
        state.conducts(id) && is_b() && (closes || works(state.volts(edge.a) - state.volts(edge.b)))
    })
}
