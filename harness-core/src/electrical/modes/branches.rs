//! What each edge of a design is to a circuit, in one mode.
//!
//! Owns the figures that an edge has where the design gives none. What does not depend on the mode is found once.

use crate::{
    arena::IdVec,
    circuit::{Branch, BranchKind, Circuit},
    electrical::{
        conductors::{installation::Installation, joint},
        lookup::Lookup,
        nominal::{Nominal, nominals},
    },
    model::{ElementId, ElementKind, ModeId, Model},
    network::{Domains, Edge, EdgeId, EdgeKind, EdgeRole, Network, domains},
    quantity::{Ohm, Volt},
    standards::{battery, contact},
    text::At,
    vocabulary::{Demand, Economiser, Role},
};

/// Nominal voltage taken for a load whose domain is not known.
const ASSUMED_NOMINAL: f64 = 12.0;

/// What an edge is before a mode says more.
#[derive(Debug, Clone, Copy)]
enum Basis {
    /// Metal of this resistance.
    Metal(Ohm),
    /// A part of an element.
    Element(ElementId),
}

/// Makes the circuits of a design; what does not depend on the mode is found once.
#[derive(Debug)]
pub(in crate::electrical) struct Maker<'a> {
    model: &'a Model,
    network: &'a Network,
    installation: &'a Installation,
    domains: Domains,
    nominals: IdVec<ElementId, Option<Nominal>>,
    /// For each edge of a relay contact or converter input, the edge that it follows.
    partners: Lookup<EdgeId, u32>,
    bases: IdVec<EdgeId, Basis>,
    references: Vec<u32>,
}

impl<'a> Maker<'a> {
    pub(in crate::electrical) fn new(network: &'a Network, installation: &'a Installation) -> Self {
        let domains = domains(network);
        let nominals = nominals(network, &domains);
        Self::knowing(network, installation, domains, nominals)
    }

    /// The same, of a network whose domains and nominal voltages were found before.
    pub(in crate::electrical) fn knowing(
        network: &'a Network,
        installation: &'a Installation,
        domains: Domains,
        nominals: IdVec<ElementId, Option<Nominal>>,
    ) -> Self {
        let model = network.model();
        let mut maker = Self {
            model,
            network,
            installation,
            nominals,
            domains,
            partners: partners(network),
            bases: IdVec::new(),
            references: references(model),
        };
        maker.bases = network.edges().map(|(_, edge)| maker.basis(edge)).collect();
        maker
    }

    /// The domain of each point.
    pub(in crate::electrical) fn domains(&self) -> &Domains {
        &self.domains
    }

    /// The domains, and the voltage that each element is made for, once all modes are solved.
    pub(in crate::electrical) fn into_domains(self) -> (Domains, IdVec<ElementId, Option<Nominal>>) {
        (self.domains, self.nominals)
    }

    /// The circuit of `mode`: nodes have the numbers of the points, branches those of the edges.
    pub(in crate::electrical) fn circuit(&self, mode: ModeId) -> Circuit {
        let branches = self.network.edges().map(|(id, edge)| Branch {
            from: edge.a.index() as u32,
            to: edge.b.index() as u32,
            kind: match self.bases[id] {
                Basis::Metal(resistance) => BranchKind::Resistance(resistance),
                Basis::Element(element) => self.element(id, edge, element, mode),
            },
        });
        Circuit { nodes: self.network.point_count() as u32, branches: branches.collect(), references: self.references.clone() }
    }

    /// What an edge is in every mode as long as nothing flows.
    fn basis(&self, edge: &Edge) -> Basis {
        match edge.kind {
            EdgeKind::Wire(wire) => Basis::Metal(self.installation.cold(wire)),
            EdgeKind::Screen(_) => Basis::Metal(joint::screen()),
            EdgeKind::Contact(end) => Basis::Metal(joint::mated(self.model, end)),
            EdgeKind::Joint(_) => Basis::Metal(joint::bolted(self.model)),
            EdgeKind::Chassis(_) => Basis::Metal(joint::chassis()),
            EdgeKind::Element(element) => joint::bar(&self.model[element]).map_or(Basis::Element(element), Basis::Metal),
        }
    }

    fn element(&self, id: EdgeId, edge: &Edge, item: ElementId, mode: ModeId) -> BranchKind {
        let element = &self.model[item];
        let of_contact = |own: Option<At<Ohm>>| own.map_or(contact::closed_resistance().value, |at| at.value);
        let closed = |own: Option<At<Ohm>>| BranchKind::Resistance(of_contact(own));
        let when = |on: bool, kind: BranchKind| if on { kind } else { BranchKind::Open };
        match &element.kind {
            ElementKind::Source { emf, modes, .. } => {
                let resistance = element.kind.inner_resistance().map_or(battery::source_resistance().value, |inner| inner.new);
                when(modes.has(mode), BranchKind::Source { emf: *emf, resistance, limit: element.kind.limit() })
            }
            ElementKind::Load { demand, modes, .. } => {
                let nominal = self.nominal(item);
                let kind = match demand.value {
                    Demand::Current(amps) => BranchKind::CurrentLoad { amps, nominal },
                    Demand::Power(watts) => BranchKind::PowerLoad { watts, nominal },
                };
                when(modes.has(mode), kind)
            }
            ElementKind::Resistor(resistor) => BranchKind::Resistance(resistor.ohm.value),
            ElementKind::Capacitor(_) => BranchKind::Open,
            ElementKind::Diode(drop) => BranchKind::Diode { drop: drop.value, resistance: contact::diode_resistance().value },
            ElementKind::Fuse { kind, fitted } => {
                let kind = kind.map(|kind| &self.model[kind]);
                let own = kind.and_then(|kind| kind.resistance).map(|at| at.value);
                let usual = || kind.and_then(|kind| contact::fuse_resistance(kind.rating?.value)).map(|sourced| sourced.value);
                when(*fitted, BranchKind::Resistance(own.or_else(usual).unwrap_or(contact::closed_resistance().value)))
            }
            ElementKind::Switch { closed: modes, contact_resistance, .. } => when(modes.has(mode), closed(*contact_resistance)),
            ElementKind::Disconnect { out, contact_resistance, .. } => when(!out.has(mode), closed(*contact_resistance)),
            ElementKind::Interlock { resistance, .. } => closed(*resistance),
            // Metal, which `basis` has: see `joint::bar`.
            ElementKind::Link { .. } => closed(None),
            ElementKind::Relay { resistance, pull_in, hold, contact_resistance, economiser, .. } => {
                if edge.role.is_relay_contact() {
                    return BranchKind::RelayContact {
                        coil: self.partner(id),
                        closed_when_energised: edge.role == EdgeRole::MakeContact,
                        resistance: of_contact(*contact_resistance),
                    };
                }
                let nominal = self.nominal(item);
                let wound = resistance.map_or(contact::coil_resistance().value, |at| at.value);
                // The pulse at pull-in is over in less than a second.
                let share = match economiser.map(|at| at.value) {
                    Some(Economiser::BuiltIn | Economiser::External) => contact::economised().value.get(),
                    Some(Economiser::Absent) | None => 1.0,
                };
                BranchKind::Coil {
                    resistance: Ohm::new(wound.get() / share),
                    pull_in: pull_in.map_or_else(|| nominal * contact::pull_in().value, |at| at.value),
                    hold: hold.map_or_else(|| nominal * contact::hold().value, |at| at.value),
                }
            }
            ElementKind::Converter { output, limit, efficiency, resistance, modes, .. } => {
                let kind = if edge.role.drives() {
                    BranchKind::Source {
                        emf: *output,
                        resistance: resistance.map_or(battery::source_resistance().value, |at| at.value),
                        limit: limit.map(|at| at.value),
                    }
                } else {
                    let output = self.partner(id);
                    BranchKind::ConverterInput { output, efficiency: *efficiency, nominal: self.nominal(item) }
                };
                when(modes.has(mode), kind)
            }
        }
    }

    /// The coil that a contact follows, the output that an input feeds: the network makes both with it.
    fn partner(&self, id: EdgeId) -> u32 {
        self.partners[id]
    }

    /// The voltage that an element is made for.
    fn nominal(&self, element: ElementId) -> Volt {
        self.nominals[element].map_or(Volt::new(ASSUMED_NOMINAL), |nominal| nominal.volts)
    }
}

/// Contacts follow the coil and inputs the output of the same element; a further contact of a relay follows the coil of that relay.
fn partners(network: &Network) -> Lookup<EdgeId, u32> {
    let mut leaders: Lookup<ElementId, u32> = Lookup::default();
    let mut followers = Vec::new();
    for (id, edge) in network.edges() {
        let EdgeKind::Element(element) = edge.kind else { continue };
        match edge.role {
            EdgeRole::Coil | EdgeRole::ConverterOutput { .. } => {
                leaders.0.insert(element, id.index() as u32);
            }
            EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::ConverterInput => {
                followers.push((id, network.model()[element].kind.coil_of().unwrap_or(element)));
            }
            EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::Interlock => {}
            EdgeRole::Source { .. }
            | EdgeRole::Load
            | EdgeRole::Resistor
            | EdgeRole::Shunt
            | EdgeRole::Capacitor
            | EdgeRole::Diode => {}
        }
    }
    followers.into_iter().map(|(id, element)| (id, leaders[element])).collect()
}

/// Points that are preferred as zero volt: the chassis, then returns.
fn references(model: &Model) -> Vec<u32> {
    let chassis = model.devices().filter(|(_, device)| device.chassis);
    let chassis = chassis.flat_map(|(_, device)| device.ports.iter()).filter_map(|port| model[port].points.get(0));
    let returns = model.points().filter(|(_, point)| {
        let role = point.pin.and_then(|pin| model[pin].role);
        role.is_some_and(|role| matches!(role.value, Role::Return | Role::Chassis | Role::Earth | Role::Neutral))
    });
    chassis.chain(returns.map(|(id, _)| id)).map(|point| point.index() as u32).collect()
}
