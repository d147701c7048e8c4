//! What each edge of a design is to a circuit, in one mode.
//!
//! Owns the figures that an edge has where the design gives none. What does not depend on the mode is found once.

use crate::{
    circuit::{Branch, BranchKind, Circuit},
    electrical::conductors::{joint::joint, thermal::Installation},
    model::{Element, ElementKind, ModeId, Model},
    network::{Domains, Edge, EdgeId, EdgeKind, Network, Terminal, domains},
    quantity::{Ohm, Volt},
    standards::contact,
    vocabulary::{Demand, Role},
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

/// Makes the circuits of a design; what does not depend on the mode is found once.
#[derive(Debug)]
pub(in crate::electrical) struct Maker<'a> {
    model: &'a Model,
    network: &'a Network,
    installation: &'a Installation,
    domains: Domains,
    /// For each edge of a relay contact or converter input, the edge that it follows.
    partners: FxHashMap<EdgeId, u32>,
    fixed: Vec<Option<Ohm>>,
    references: Vec<u32>,
}

impl<'a> Maker<'a> {
    pub(in crate::electrical) fn new(network: &'a Network, installation: &'a Installation) -> Self {
        let model = network.model();
        let mut maker = Self {
            model,
            network,
            installation,
            domains: domains(network),
            partners: partners(network),
            fixed: Vec::new(),
            references: references(model),
        };
        maker.fixed = network.edges().map(|(_, edge)| maker.metal(edge)).collect();
        maker
    }

    /// The domain of each point.
    pub(in crate::electrical) fn domains(&self) -> &Domains {
        &self.domains
    }

    /// The domains, once all modes are solved.
    pub(in crate::electrical) fn into_domains(self) -> Domains {
        self.domains
    }

    /// The circuit of `mode`: nodes have the numbers of the points, branches those of the edges.
    pub(in crate::electrical) fn circuit(&self, mode: ModeId) -> Circuit {
        let branches = self.network.edges().map(|(id, edge)| Branch {
            from: edge.a.index() as u32,
            to: edge.b.index() as u32,
            kind: match self.fixed.get(id.index()).copied().flatten() {
                Some(resistance) => BranchKind::Resistance(resistance),
                None => self.branch(id, edge, mode),
            },
        });
        Circuit { nodes: self.network.point_count() as u32, branches: branches.collect(), references: self.references.clone() }
    }

    /// The resistance of an edge that is the same in every mode as long as nothing flows.
    fn metal(&self, edge: &Edge) -> Option<Ohm> {
        match edge.kind {
            EdgeKind::Wire(wire) => self.installation.cold(wire),
            _ => joint(self.model, edge),
        }
    }

    fn branch(&self, id: EdgeId, edge: &Edge, mode: ModeId) -> BranchKind {
        let EdgeKind::Element(element, terminal) = edge.kind else { return BranchKind::Open };
        let Some(element) = self.model.element(element) else { return BranchKind::Open };
        let closed = BranchKind::Resistance(contact::closed_resistance().value);
        let when = |on: bool, kind: BranchKind| if on { kind } else { BranchKind::Open };
        match &element.kind {
            ElementKind::Source { emf, resistance, limit, modes, .. } => {
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
            ElementKind::Relay { resistance, pull_in, hold, .. } => match (terminal, self.partners.get(&id)) {
                (Terminal::Coil, _) => BranchKind::Coil {
                    resistance: resistance.map_or(contact::coil_resistance().value, |at| at.value),
                    pull_in: pull_in
                        .map_or_else(|| Volt::new(self.nominal(element).get() * contact::pull_in().value.get()), |at| at.value),
                    hold: hold
                        .map_or_else(|| Volt::new(self.nominal(element).get() * contact::hold().value.get()), |at| at.value),
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
