//! Pins that state a domain of another voltage, or of AC among DC, than everything around them.
//!
//! The idea: returns and signals of two voltages may meet on purpose, so a joint proves nothing. A pin is odd if all that it is joined to
//! states one other domain, and so does what is beside it: the pins of its connector, else those of its role in its device, or the pin at
//! the other pole of what is inside; or if two devices and more agree against it and nothing in its own device is of its domain.
//!
//! Cost: linear in the pins and elements.

use super::{
    Facts,
    pins::{PinAt, RunId, differ, is_crossing},
};
use crate::{
    model::{DomainId, Model},
    network::{Edge, NetId},
    vocabulary::{Reference, Role},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Pins whose domain contradicts what is around them, in the order of the runs.
    ///
    /// Asked by `domain/odd-domain`.
    #[must_use]
    pub fn odd_domains(&self) -> &[OddDomain] {
        self.made.odd_domains.get_or_init(|| odd_domains(self))
    }
}

/// A pin whose domain contradicts what is around it.
#[derive(Debug, Clone, Copy)]
pub struct OddDomain {
    /// The pin.
    pub pin: PinAt,
    /// A pin that it is joined to.
    pub other: PinAt,
}

/// Whether the returns of two domains are one: both are referred to the chassis.
fn share_a_ground(model: &Model, one: DomainId, other: DomainId) -> bool {
    [one, other].iter().all(|domain| model[*domain].reference == Reference::Chassis)
}

fn odd_domains(facts: &Facts) -> Vec<OddDomain> {
    // What gets a wrong voltage was reported, with the voltage.
    let judged: FxHashSet<NetId> = facts.wrong_voltages().iter().map(|wrong| wrong.net).collect();
    facts.pins().runs().filter_map(|run| odd_on(facts, run, &judged)).collect()
}

/// The pin of a run whose domain contradicts all others and what is beside it.
fn odd_on(facts: &Facts, run: RunId, judged: &FxHashSet<NetId>) -> Option<OddDomain> {
    let (model, of) = (facts.model(), facts.pins().of_run(run));
    let stated = || of.iter().filter_map(|pin| Some((pin, pin.domain?)));
    let (_, first) = stated().next()?;
    if stated().all(|(_, domain)| domain == first) {
        return None;
    }
    let net = facts.network().net(of.first()?.point);
    let is_reported = || {
        let crosses = of.iter().any(|pin| is_crossing(model, pin.domain, Some(first)));
        let at_chassis = of.iter().any(|pin| matches!(pin.role, Some(Role::Chassis | Role::Earth)));
        (crosses && !at_chassis) || judged.contains(&net)
    };
    let mut odd = stated().filter_map(|(pin, domain)| {
        let others = || stated().filter(|(other, _)| other.point != pin.point);
        let (other, meant) = others().next()?;
        let agree = others().all(|(_, domain)| !differ(model, domain, meant))
            && differ(model, domain, meant)
            && !(pin.role.is_some_and(Role::takes_back) && share_a_ground(model, domain, meant));
        let devices: FxHashSet<_> = others().map(|(other, _)| other.device).collect();
        (agree && (is_out_of_place(facts, pin, meant) || (devices.len() > 1 && is_alone_in_device(facts, pin))))
            .then_some(OddDomain { pin: *pin, other: *other })
    });
    let found = odd.next()?;
    // Two that are odd at once are two halves of a joint, which may be meant.
    (odd.next().is_none() && !is_reported()).then_some(found)
}

/// Whether the pins beside a pin are of the domain `meant`: those of its connector, else those of its role in its device.
fn is_out_of_place(facts: &Facts, pin: &PinAt, meant: DomainId) -> bool {
    let model = facts.model();
    let port = model.plug_at(pin.point);
    let of_device = || facts.pins().of_device(pin.device).iter().filter(|other| other.point != pin.point);
    let all_are = |beside: &mut dyn Iterator<Item = &PinAt>| {
        let mut domains = beside.filter_map(|other| other.domain).peekable();
        domains.peek().is_some().then(|| domains.all(|domain| !differ(model, domain, meant)))
    };
    all_are(&mut of_device().filter(|other| model.plug_at(other.point) == port))
        .or_else(|| all_are(&mut of_device().filter(|other| other.role.is_some() && other.role == pin.role)))
        .unwrap_or(false)
        || is_other_pole(facts, pin, meant)
}

/// Whether no other pin of its device is of its domain.
fn is_alone_in_device(facts: &Facts, pin: &PinAt) -> bool {
    facts.pins().of_device(pin.device).iter().all(|other| other.point == pin.point || other.domain != pin.domain)
}

/// Has both its poles in one domain: what gives or takes power, and a capacitor. A resistor may pull a signal up to another voltage.
fn has_one_domain(edge: &Edge) -> bool {
    use crate::network::EdgeRole::{
        BreakContact, Capacitor, Coil, ConverterInput, ConverterOutput, Diode, Disconnect, Fuse, Interlock, Load, MakeContact,
        Metal, Resistor, Shunt, Source, Switch,
    };
    match edge.role {
        Load | Coil | ConverterInput | ConverterOutput { .. } | Source { .. } | Capacitor => true,
        Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact => false,
        Resistor | Shunt | Diode => false,
    }
}

/// Whether something inside has its one pole at a pin and the other at one of the domain `meant`.
fn is_other_pole(facts: &Facts, pin: &PinAt, meant: DomainId) -> bool {
    let mut around = facts.network().around(pin.point).filter(|(_, edge, _)| has_one_domain(edge));
    around.any(|(_, _, other)| facts.model().pin_at(other).and_then(|pin| pin.domain).is_some_and(|(domain, _)| domain == meant))
}
