//! Sources that are connected the wrong way round: batteries, chargers, alternators, outputs of converters.
//!
//! The idea: what is joined to the two poles says which is which: pins whose role is that of a supply or of a return, the chassis, elements that are
//! made for one polarity. A source is reversed if returns are at its positive pole and supplies at its negative one, and nothing says the
//! opposite. What its own device says does not count, nor do the pins of other sources, of which one may be the reversed one. Sources in
//! a row are one string. First only what is always joined is asked, then what is joined in each mode.
//!
//! A ring of sources that do not cancel is the other sign: the one with whose poles swapped it would be in balance.
//!
//! Left out: a source whose own pins say that its positive pole is earthed, and the lower one of two whose middle is the chassis, unless
//! something else contradicts that: its own pins, a source of the same domain, one whose outer pole a contact joins to it.
//!
//! Cost: a pass over the points and edges, and one more for each mode while a source has nothing that says it is right.

mod ring;

use self::ring::by_ring;
use super::Facts;
use crate::{
    model::{DeviceId, DomainId, ElementId, ElementKind, Owner, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Sources that are connected the wrong way round or may be, by the order of their edges, then those of rings.
    ///
    /// Asked by `netlist/reversed-source`, and by the rules that would report what follows from it.
    #[must_use]
    pub fn reversed_sources(&self) -> &[ReversedSource] {
        self.made.reversed_sources.get_or_init(|| reversed_sources(self))
    }

    /// The reversed source that has turned round an element made for one polarity; `None` where the element itself is.
    #[must_use]
    pub fn reversed_with(&self, element: ElementId) -> Option<&ReversedSource> {
        self.reversed_sources().iter().find(|reversed| reversed.things.contains(&element))
    }
}

/// A source, or a string of them, that is connected the wrong way round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReversedSource {
    /// The sources of the string from its negative end; where nothing says which of a ring it is, those that it may be.
    pub sources: Vec<ElementId>,
    /// How it is seen.
    pub sign: Sign,
    /// Its positive and its negative end.
    pub poles: [PointId; 2],
    /// Elements made for one polarity that it has turned round, in their order.
    pub things: Vec<ElementId>,
    /// Its own pins say so too: then it is not its leads that are swapped.
    pub is_inside: bool,
    /// Which of the [`shorts`](Facts::shorts) it makes with other sources; may be empty.
    pub shorts: Vec<usize>,
}

impl ReversedSource {
    /// Whether it is the source that is reversed, and not something else on its nets.
    #[must_use]
    pub fn is_certain(&self) -> bool {
        match self.sign {
            Sign::Joined { devices, .. } => devices > 1,
            Sign::Ring => self.sources.len() == 1,
        }
    }
}

/// How it is seen that a source is reversed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// By what is joined to its poles.
    Joined {
        /// A return or a negative side at its positive pole.
        at_plus: PointId,
        /// A supply or a positive side at its negative pole.
        at_minus: PointId,
        /// How many devices say so: of one alone nobody knows whether it is the device that is reversed.
        devices: usize,
    },
    /// By the voltages of a ring alone.
    Ring,
}

/// Sources in a row.
struct Chain {
    edges: Vec<EdgeId>,
    minus: PointId,
    plus: PointId,
    owners: Vec<DeviceId>,
    /// Something says that it is connected as it should be.
    is_right: bool,
    /// Its own pins say that its positive pole is the return.
    is_earthed: bool,
    /// Its own pins say that its positive pole is the supply and its negative one the return.
    is_plain: bool,
    at_plus: Vec<Says>,
    at_minus: Vec<Says>,
    things: Vec<ElementId>,
    /// Other chains of which this one joins the outer poles in some mode.
    joins: FxHashSet<usize>,
}

/// What one point says of its net.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Says {
    device: DeviceId,
    point: PointId,
}

/// Devices that are counted at a pole: more say nothing more.
const COUNTED: usize = 4;

fn reversed_sources(facts: &Facts) -> Vec<ReversedSource> {
    let network = facts.network();
    let witnesses = witnesses(facts);
    // What opens or blocks need not be at the potential of the pole.
    let lasting = network.components(|_, edge| {
        edge.role.conducts_when_closed()
            && edge.role != EdgeRole::Diode
            && (!edge.role.is_switched() || edge.role == EdgeRole::Disconnect)
    });
    let mut chains = chains(facts, &witnesses, &lasting);
    if chains.is_empty() {
        return Vec::new();
    }
    vote(&mut chains, &witnesses, &lasting);
    for mode in facts.electrical().modes() {
        if chains.iter().all(|chain| chain.is_right) {
            break;
        }
        let joined =
            |id: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode && mode.conducts(id);
        vote(&mut chains, &witnesses, &network.components(joined));
    }
    let mut found: Vec<ReversedSource> = (0..chains.len()).filter_map(|at| by_joints(facts, &chains, at)).collect();
    let right: FxHashSet<ElementId> = (chains.iter().filter(|chain| chain.is_right))
        .flat_map(|chain| chain.edges.iter().filter_map(|edge| network[*edge].element()))
        .collect();
    for (at, short) in facts.shorts().iter().enumerate() {
        by_ring(facts, &right, at, short, &mut found);
    }
    found
}

/// The points at which a role or the chassis says which pole belongs there, and those of elements made for one polarity.
struct Witnesses {
    /// With whether a supply belongs there.
    roles: Vec<(Says, bool)>,
    /// Positive point, negative point, and what it is.
    polarised: Vec<(Says, PointId, ElementId)>,
}

fn witnesses(facts: &Facts) -> Witnesses {
    let (model, network) = (facts.model(), facts.network());
    let of_sources: FxHashSet<DeviceId> = (model.elements())
        .filter(|(_, element)| matches!(element.kind, ElementKind::Source { .. }))
        .filter_map(|(_, element)| element.owner.device())
        .collect();
    let roles = model.points().filter_map(|(point, _)| {
        let device = model.device_at(point).filter(|device| model.is_fitted(point) && !of_sources.contains(device))?;
        let is_supply = match model.role_at(point) {
            _ if model[device].chassis => false,
            Some(Role::Supply) => true,
            Some(Role::Return | Role::Chassis | Role::SensorReturn) => false,
            _ => return None,
        };
        Some((Says { device, point }, is_supply))
    });
    let polarised = network.edges().filter_map(|(_, edge)| {
        let element = facts.polarised(edge)?;
        let Owner::Device(device) = model[element].owner else { return None };
        Some((Says { device, point: edge.a }, edge.b, element))
    });
    let mut roles: Vec<(Says, bool)> = roles.collect();
    // The chassis is the plainest to show.
    roles.sort_by_key(|(says, _)| !model[says.device].chassis);
    Witnesses { roles, polarised: polarised.collect() }
}

/// The sources of direct voltage as chains: two are of one where their common metal joins nothing else that says something.
fn chains(facts: &Facts, witnesses: &Witnesses, lasting: &Components) -> Vec<Chain> {
    let (model, network) = (facts.model(), facts.network());
    let drives: Vec<(EdgeId, Edge)> = (network.edges())
        .filter(|(_, edge)| edge.role.drives() && !facts.is_alternating(edge) && lasting.of(edge.a) != lasting.of(edge.b))
        .filter(|(_, edge)| edge.element().is_some_and(|element| !facts.is_swapped(element)))
        .map(|(id, edge)| (id, *edge))
        .collect();
    let mut below: FxHashMap<GroupId, Vec<usize>> = FxHashMap::default();
    let mut above: FxHashMap<GroupId, Vec<usize>> = FxHashMap::default();
    for (at, (_, edge)) in drives.iter().enumerate() {
        below.entry(lasting.of(edge.b)).or_default().push(at);
        above.entry(lasting.of(edge.a)).or_default().push(at);
    }
    let named: FxHashSet<GroupId> = witnesses.roles.iter().map(|(says, _)| lasting.of(says.point)).collect();
    // The one source that goes on from the positive pole of another.
    let next = |at: usize| {
        let group = lasting.of(drives.get(at)?.1.b);
        match (below.get(&group).map(Vec::as_slice), above.get(&group).map(Vec::as_slice)) {
            (Some([_]), Some([next])) if !named.contains(&group) => Some(*next),
            _ => None,
        }
    };
    let follows: FxHashSet<usize> = (0..drives.len()).filter_map(next).collect();
    let mut rows: Vec<Vec<usize>> = Vec::new();
    for first in (0..drives.len()).filter(|at| !follows.contains(at)) {
        let mut all = vec![first];
        while let Some(more) = all.last().and_then(|last| next(*last)).filter(|more| !all.contains(more)) {
            all.push(more);
        }
        // Two side by side, of which one is the wrong way round, look like a row whose ends meet.
        let pole = |at: Option<&usize>, is_plus: bool| {
            let (_, edge) = drives.get(*at?)?;
            Some(lasting.of(if is_plus { edge.b } else { edge.a }))
        };
        match pole(all.first(), false) == pole(all.last(), true) {
            true => rows.extend(all.into_iter().map(|one| vec![one])),
            false => rows.push(all),
        }
    }
    let is_inside = |edge: &Edge| edge.element().is_some_and(|id| matches!(model[id].owner, Owner::Device(_)));
    let inside = facts.network().components(|_, edge| edge.role.conducts_when_closed() && is_inside(edge));
    let mut chains = Vec::new();
    for all in rows {
        let edges: Vec<(EdgeId, Edge)> = all.iter().filter_map(|at| drives.get(*at).copied()).collect();
        let (Some((_, low)), Some((_, high))) = (edges.first(), edges.last()) else { continue };
        let owner = |edge: &Edge| model[edge.element()?].owner.device();
        let owners: Vec<DeviceId> = edges.iter().filter_map(|(_, edge)| owner(edge)).collect();
        // What its wires join its pins to may be what is at fault.
        let says = |pole: PointId, suits: fn(Role) -> bool| {
            let own = owners.iter().flat_map(|device| facts.pins().of_device(*device));
            let mut at = own.filter(|pin| inside.of(pin.point) == inside.of(pole)).filter_map(|pin| pin.role);
            at.any(suits)
        };
        let is_earthed = says(high.b, Role::takes_back) || says(low.a, Role::gives_supply);
        let is_plain = says(high.b, |role| role.gives_supply() || role == Role::Output) && says(low.a, Role::takes_back);
        chains.push(Chain {
            minus: low.a,
            plus: high.b,
            edges: edges.iter().map(|(id, _)| *id).collect(),
            owners,
            is_right: false,
            is_earthed,
            is_plain,
            at_plus: Vec::new(),
            at_minus: Vec::new(),
            things: Vec::new(),
            joins: FxHashSet::default(),
        });
    }
    chains
}

/// Adds what the points say that are joined to the poles in one view.
fn vote(chains: &mut [Chain], witnesses: &Witnesses, view: &Components) {
    let asked: FxHashSet<GroupId> =
        (chains.iter().filter(|chain| !chain.is_right)).flat_map(|chain| [view.of(chain.plus), view.of(chain.minus)]).collect();
    let mut said: FxHashMap<(GroupId, bool), Vec<Says>> = FxHashMap::default();
    for (says, is_supply) in &witnesses.roles {
        let group = view.of(says.point);
        if asked.contains(&group) {
            add(said.entry((group, *is_supply)).or_default(), *says);
        }
    }
    let by_minus: Vec<(usize, GroupId, GroupId)> =
        chains.iter().enumerate().map(|(at, chain)| (at, view.of(chain.minus), view.of(chain.plus))).collect();
    for (at, chain) in chains.iter_mut().enumerate().filter(|(_, chain)| !chain.is_right) {
        let (plus, minus) = (view.of(chain.plus), view.of(chain.minus));
        if plus == minus {
            continue;
        }
        let of = |group: GroupId, is_supply: bool| {
            let all = said.get(&(group, is_supply)).map_or(&[][..], Vec::as_slice);
            all.iter().filter(|says| !chain.owners.contains(&says.device)).copied().collect::<Vec<Says>>()
        };
        let (mut at_plus, mut at_minus) = (of(plus, false), of(minus, true));
        chain.is_right = !of(plus, true).is_empty() || !of(minus, false).is_empty();
        for (says, negative, element) in &witnesses.polarised {
            let sides = (view.of(says.point), view.of(*negative));
            if chain.owners.contains(&says.device) {
                continue;
            }
            chain.is_right |= sides == (plus, minus);
            if sides == (minus, plus) {
                chain.things.push(*element);
                at_plus.push(Says { device: says.device, point: *negative });
                at_minus.push(*says);
            }
        }
        at_plus.into_iter().for_each(|says| add(&mut chain.at_plus, says));
        at_minus.into_iter().for_each(|says| add(&mut chain.at_minus, says));
        let joined = by_minus.iter().filter(|(other, low, high)| *other != at && *low == plus && *high == minus);
        chain.joins.extend(joined.map(|(other, ..)| *other));
    }
}

/// Adds what a point says, once a device.
fn add(all: &mut Vec<Says>, says: Says) {
    if all.len() < COUNTED && all.iter().all(|known| known.device != says.device) {
        all.push(says);
    }
}

fn by_joints(facts: &Facts, chains: &[Chain], at: usize) -> Option<ReversedSource> {
    let network = facts.network();
    let chain = chains.get(at).filter(|chain| !chain.is_right)?;
    let (at_plus, at_minus) = (chain.at_plus.first()?, chain.at_minus.first()?);
    // In a row with another one, of which the middle is a return: two supplies, unless they are meant to be side by side.
    let domain = |point: PointId| -> Option<DomainId> { facts.electrical().domains().of(point) };
    let net = network.net(chain.plus);
    let mut beside = chains.iter().enumerate().filter(|(other, it)| *other != at && network.net(it.minus) == net);
    let is_alike = |(other, it): (usize, &Chain)| {
        chain.joins.contains(&other) || domain(it.plus).is_some_and(|own| domain(at_minus.point) == Some(own))
    };
    if chain.is_earthed {
        // Positive earth, where nothing contradicts it.
        if chain.things.is_empty() && !beside.any(is_alike) {
            return None;
        }
    } else if !chain.is_plain && !beside.all(is_alike) {
        return None;
    }
    let devices: FxHashSet<DeviceId> = chain.at_plus.iter().chain(&chain.at_minus).map(|says| says.device).collect();
    let mut things = chain.things.clone();
    things.sort_unstable();
    things.dedup();
    Some(ReversedSource {
        sources: chain.edges.iter().filter_map(|edge| network[*edge].element()).collect(),
        sign: Sign::Joined { at_plus: at_plus.point, at_minus: at_minus.point, devices: devices.len() },
        poles: [chain.plus, chain.minus],
        things,
        is_inside: chain.is_earthed,
        shorts: Vec::new(),
    })
}
