//! A design in one mode as a circuit, and what flows in it.

use super::{
    circuit::{Branch, BranchKind, Circuit},
    conductor::resistance_of,
    solve,
};
use crate::{
    document::{devices::Role, inside::Demand},
    model::{Element, ElementKind, EndId, Mate, ModeId, Model, PointId},
    network::{Domains, Edge, EdgeId, EdgeKind, Network, Terminal, domains},
    quantity::{Ampere, Ohm, Volt},
    standards::contact,
};
use rustc_hash::FxHashMap;

/// Internal resistance taken for a source that gives none.
const ASSUMED_SOURCE: f64 = 0.01;
/// Output resistance taken for a converter that gives none.
const ASSUMED_OUTPUT: f64 = 0.01;
/// Nominal voltage taken for a load whose domain is not known.
const ASSUMED_NOMINAL: f64 = 12.0;
/// Resistance of a conducting diode beside its drop.
const DIODE: f64 = 0.01;
/// Worst relative error of Kirchhoff's laws at which a mode counts as solved.
const WORST_RESIDUAL: f64 = 1e-9;
/// Resistance from which a resistor counts as a load and not as a joint.
const LEAST_LOAD: f64 = 0.5;
/// Current from which a conductor counts as loaded.
const LOADED: f64 = 1e-6;

/// What flows in one mode.
#[derive(Debug)]
pub struct ModeState {
    /// The mode.
    pub id: ModeId,
    amps: Vec<Ampere>,
    volts: Vec<Volt>,
    live: Vec<bool>,
    conducts: Vec<bool>,
    /// Points whose island holds a shorted source; empty where there is no short.
    shorted: Vec<bool>,
    /// Edges whose state did not settle: a relay that opens its own coil's supply, for example.
    pub unsettled: Vec<EdgeId>,
    /// Elements that could not be computed with and were left out.
    pub refused: Vec<EdgeId>,
    /// Loads that run in this mode and whose terminals nothing but loads joins.
    pub no_return: Vec<EdgeId>,
    /// Worst relative error of Kirchhoff's laws.
    pub residual: f64,
}

impl ModeState {
    /// Current in an edge, positive from its first point to its second.
    #[must_use]
    pub fn amps(&self, edge: EdgeId) -> Ampere {
        self.amps.get(edge.index()).copied().unwrap_or_default()
    }

    /// Current in an edge while the design does what it is meant to: none where a source of the island is shorted.
    ///
    /// A short is one fault of its own; the currents that it drives say nothing about conductors, contacts and fuses.
    #[must_use]
    pub fn working_amps(&self, edge: EdgeId, at: &Edge) -> Ampere {
        if self.is_shorted(at.a) { Ampere::default() } else { self.amps(edge) }
    }

    /// Whether a source that is joined to the point has its own poles joined.
    #[must_use]
    pub fn is_shorted(&self, point: PointId) -> bool {
        self.shorted.get(point.index()).copied().unwrap_or(false)
    }

    /// Voltage of a point against the reference of its island.
    #[must_use]
    pub fn volts(&self, point: PointId) -> Volt {
        self.volts.get(point.index()).copied().unwrap_or_default()
    }

    /// Whether a source that is on is joined to the point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.live.get(point.index()).copied().unwrap_or(false)
    }

    /// Whether an edge is closed in this mode: metal, a closed switch or contact, a fitted fuse, a conducting diode, a
    /// source that is on, a load that runs. An open edge carries nothing.
    #[must_use]
    pub fn conducts(&self, edge: EdgeId) -> bool {
        self.conducts.get(edge.index()).copied().unwrap_or(false)
    }

    /// Whether Kirchhoff's laws hold to one part in a thousand million.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        self.residual <= WORST_RESIDUAL
    }

    /// Whether every relay, diode and source came to rest, nothing was left out, and the figures are exact.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.unsettled.is_empty() && self.refused.is_empty() && self.is_exact()
    }

    /// How many wires carry current.
    #[must_use]
    pub fn loaded_wires(&self, network: &Network) -> usize {
        network.edges().filter(|(id, edge)| edge.wire().is_some() && self.amps(*id).get().abs() > LOADED).count()
    }
}

/// Makes the circuits of a design; what does not depend on the mode is found once.
#[derive(Debug)]
pub(super) struct Maker<'a> {
    model: &'a Model,
    network: &'a Network,
    domains: Domains,
    /// For each edge of a relay contact or converter input, the edge that it follows.
    partners: FxHashMap<EdgeId, u32>,
    fixed: Vec<Option<Ohm>>,
    references: Vec<u32>,
}

impl<'a> Maker<'a> {
    pub(super) fn new(model: &'a Model, network: &'a Network) -> Self {
        let mut maker = Self {
            model,
            network,
            domains: domains(model, network),
            partners: partners(network),
            fixed: Vec::new(),
            references: references(model),
        };
        maker.fixed = network.edges().map(|(_, edge)| maker.metal(edge)).collect();
        maker
    }

    /// The domains, once all modes are solved.
    pub(super) fn into_domains(self) -> Domains {
        self.domains
    }

    /// What flows in `mode`.
    pub(super) fn solve(&self, mode: ModeId) -> ModeState {
        let branches = self.network.edges().map(|(id, edge)| Branch {
            from: edge.a.index() as u32,
            to: edge.b.index() as u32,
            kind: match self.fixed.get(id.index()).copied().flatten() {
                Some(resistance) => BranchKind::Resistance(resistance),
                None => self.branch(id, edge, mode),
            },
        });
        let circuit = Circuit {
            nodes: self.network.point_count() as u32,
            branches: branches.collect(),
            references: self.references.clone(),
        };
        let operating = solve::solve(&circuit);
        let conducts = circuit.branches.iter().enumerate().map(|(at, branch)| match branch.kind {
            BranchKind::Open => false,
            BranchKind::RelayContact { coil, closed_when_energised, .. } => {
                operating.energised.get(coil as usize).copied().unwrap_or(false) == closed_when_energised
            }
            BranchKind::Diode { .. } => operating.amps.get(at).is_some_and(|amps| amps.get() > 0.0),
            _ => true,
        });
        let conducts: Vec<bool> = conducts.collect();
        let shorted = shorted(self.network, &circuit, &conducts, &operating.island);
        let edges = |list: Vec<u32>| list.into_iter().map(EdgeId).collect();
        ModeState {
            id: mode,
            amps: operating.amps,
            volts: operating.volts,
            live: operating.live,
            conducts,
            shorted,
            unsettled: edges(operating.unsettled),
            refused: operating.refused.iter().map(|refusal| EdgeId(refusal.branch)).collect(),
            no_return: edges(operating.no_return),
            residual: operating.residual,
        }
    }

    /// The resistance of an edge that is the same in every mode.
    fn metal(&self, edge: &Edge) -> Option<Ohm> {
        match edge.kind {
            EdgeKind::Wire(wire) => self.model.wire(wire).map(|wire| resistance_of(self.model, wire)),
            EdgeKind::Screen(_) => Some(contact::plug_resistance().value),
            EdgeKind::Contact(end) => Some(self.contact(end)),
            EdgeKind::Joint(_) => {
                let own = self.model.policy.joint_resistance.map(|at| at.value);
                Some(own.unwrap_or(contact::bolted_resistance().value))
            }
            EdgeKind::Chassis(_) => Some(contact::closed_resistance().value),
            EdgeKind::Element(element, Terminal::Bar) => match &self.model.element(element)?.kind {
                ElementKind::Link { resistance, .. } => {
                    Some(resistance.map_or(contact::closed_resistance().value, |at| at.value)).filter(|ohm| ohm.get() > 0.0)
                }
                _ => None,
            },
            EdgeKind::Element(..) => None,
        }
    }

    /// Resistance of a mated contact: its housing's, else its partner's, else the policy's, else the usual one.
    fn contact(&self, end: EndId) -> Ohm {
        let Some(end) = self.model.end(end) else { return contact::plug_resistance().value };
        let own = end.housing().and_then(|housing| self.model.housing(housing));
        let partner = match end.mate {
            Some(Mate::Port(port)) => self.model.port(port).and_then(|port| self.model.housing(port.housing()?)),
            _ => None,
        };
        let said = own.and_then(|housing| housing.contact_resistance).or(partner.and_then(|housing| housing.contact_resistance));
        let said = said.or(self.model.policy.contact_resistance).map(|at| at.value);
        said.filter(|ohm| ohm.get() > 0.0).unwrap_or(contact::plug_resistance().value)
    }

    fn branch(&self, id: EdgeId, edge: &Edge, mode: ModeId) -> BranchKind {
        let EdgeKind::Element(element, terminal) = edge.kind else { return BranchKind::Open };
        let Some(element) = self.model.element(element) else { return BranchKind::Open };
        let closed = BranchKind::Resistance(contact::closed_resistance().value);
        let when = |on: bool, kind: BranchKind| if on { kind } else { BranchKind::Open };
        match &element.kind {
            ElementKind::Source { emf, resistance, limit, modes } => {
                let resistance = resistance.map_or(Ohm::new(ASSUMED_SOURCE), |at| at.value);
                when(modes.has(mode), BranchKind::Source { emf: *emf, resistance, limit: limit.map(|at| at.value) })
            }
            ElementKind::Load { demand, modes, .. } => {
                let nominal = self.nominal(element);
                let kind = match demand.value {
                    Demand::Current(amps) => BranchKind::CurrentLoad { amps, nominal },
                    Demand::Power(watts) => BranchKind::PowerLoad { watts, nominal },
                };
                when(modes.has(mode), kind)
            }
            ElementKind::Resistor(ohm) => BranchKind::Resistance(ohm.value),
            ElementKind::Capacitor(_) => BranchKind::Open,
            ElementKind::Diode(drop) => BranchKind::Diode { drop: drop.value, resistance: Ohm::new(DIODE) },
            ElementKind::Fuse { kind, fitted } => {
                let kind = kind.and_then(|kind| self.model.fuse_kind(kind));
                let own = kind.and_then(|kind| kind.resistance).map(|at| at.value);
                let usual = || kind.and_then(|kind| contact::fuse_resistance(kind.rating?.value)).map(|sourced| sourced.value);
                when(*fitted, BranchKind::Resistance(own.or_else(usual).unwrap_or(contact::closed_resistance().value)))
            }
            ElementKind::Switch { closed: modes, .. } => when(modes.has(mode), closed),
            ElementKind::Disconnect { out, .. } => when(!out.has(mode), closed),
            ElementKind::Interlock { .. } => closed,
            ElementKind::Link { .. } => BranchKind::Open,
            ElementKind::Relay { resistance, pull_in, .. } => match (terminal, self.partners.get(&id)) {
                (Terminal::Coil, _) => BranchKind::Coil {
                    resistance: resistance.map_or(contact::coil_resistance().value, |at| at.value),
                    pull_in: pull_in
                        .map_or_else(|| Volt::new(self.nominal(element).get() * contact::pull_in().value.get()), |at| at.value),
                },
                (Terminal::Make | Terminal::Break, Some(&coil)) => BranchKind::RelayContact {
                    coil,
                    closed_when_energised: terminal == Terminal::Make,
                    resistance: contact::closed_resistance().value,
                },
                _ => BranchKind::Open,
            },
            ElementKind::Converter { output, limit, efficiency, resistance, modes } => match (terminal, self.partners.get(&id)) {
                (Terminal::Input, Some(&output)) => when(
                    modes.has(mode),
                    BranchKind::ConverterInput { output, efficiency: *efficiency, nominal: self.nominal(element) },
                ),
                (Terminal::Output, _) => when(
                    modes.has(mode),
                    BranchKind::Source {
                        emf: *output,
                        resistance: resistance.map_or(Ohm::new(ASSUMED_OUTPUT), |at| at.value),
                        limit: limit.map(|at| at.value),
                    },
                ),
                _ => BranchKind::Open,
            },
        }
    }

    /// Nominal voltage at the first two points of an element.
    fn nominal(&self, element: &Element) -> Volt {
        let domain = element.points.iter().take(2).find_map(|point| self.domains.of(*point));
        let nominal = domain.and_then(|domain| self.model.domain(domain)).map(|domain| domain.nominal);
        nominal.filter(|volt| volt.get() > 0.0).unwrap_or(Volt::new(ASSUMED_NOMINAL))
    }
}

/// Marks the islands in which closed edges other than loads and sources join the two poles of a source.
fn shorted(network: &Network, circuit: &Circuit, conducts: &[bool], island: &[u32]) -> Vec<bool> {
    let joins = |id: EdgeId, edge: &Edge| {
        let closed = conducts.get(id.index()).copied().unwrap_or(false);
        let kind = circuit.branches.get(id.index()).map(|branch| branch.kind);
        let small = matches!(kind, Some(BranchKind::Resistance(_) | BranchKind::RelayContact { .. } | BranchKind::Diode { .. }));
        let resistor = edge.element().is_some_and(|(_, terminal)| terminal == Terminal::Whole)
            && matches!(kind, Some(BranchKind::Resistance(ohm)) if ohm.get() >= LEAST_LOAD);
        closed && small && !resistor
    };
    let lumps = network.components(joins);
    let shorts = network
        .edges()
        .zip(&circuit.branches)
        .filter(|((_, edge), branch)| matches!(branch.kind, BranchKind::Source { .. }) && lumps.of(edge.a) == lumps.of(edge.b));
    let mut islands: Vec<u32> = shorts.filter_map(|((_, edge), _)| island.get(edge.a.index()).copied()).collect();
    if islands.is_empty() {
        return Vec::new();
    }
    islands.sort_unstable();
    island.iter().map(|number| islands.binary_search(number).is_ok()).collect()
}

/// Contacts follow the coil and inputs the output of the same element.
fn partners(network: &Network) -> FxHashMap<EdgeId, u32> {
    let mut leaders = FxHashMap::default();
    for (id, edge) in network.edges() {
        if let EdgeKind::Element(element, Terminal::Coil | Terminal::Output) = edge.kind {
            leaders.insert(element, id.index() as u32);
        }
    }
    let mut partners = FxHashMap::default();
    for (id, edge) in network.edges() {
        if let EdgeKind::Element(element, Terminal::Make | Terminal::Break | Terminal::Input) = edge.kind
            && let Some(leader) = leaders.get(&element)
        {
            partners.insert(id, *leader);
        }
    }
    partners
}

/// Points that are preferred as zero volt: the chassis, then returns.
fn references(model: &Model) -> Vec<u32> {
    let chassis = model.devices().filter(|(_, device)| device.chassis);
    let chassis = chassis.flat_map(|(_, device)| device.ports.iter()).filter_map(|port| model.port(port)?.points.get(0));
    let returns = model.points().filter(|(_, point)| {
        let role = point.pin.and_then(|pin| model.pin(pin)).and_then(|pin| pin.role);
        role.is_some_and(|role| matches!(role.value, Role::Return | Role::Chassis | Role::Earth | Role::Neutral))
    });
    chassis.chain(returns.map(|(id, _)| id)).map(|point| point.index() as u32).collect()
}
