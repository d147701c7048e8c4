//! What is written once for many things, put at each of them as if it were written there.
//!
//! Owns which default falls on what: `domain` and `role` of a device or port on its pins, `size` and `colour` of a loom on its wires. It is
//! done to the document, before names are resolved and before anything is compared: two ways to write one design are the same design from
//! here on. A default that falls on nothing is noted.

use super::{
    collect::Findings,
    design::Design,
    devices::{Device, PinUse, Port},
    looms::Loom,
    reader::clip,
    rules,
    values::{Choice, Map},
};
use crate::{
    finding::{Finding, Level},
    standards::voltage::{VoltageClass, class},
    text::{At, Name, Names, Span, Text},
    vocabulary::{Current, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// The word for a domain that is none: it keeps a default away.
const NONE: &str = "none";

/// What is written once for the pins of a port: a domain, the one for those that belong to class A whatever the plug carries, and a role.
#[derive(Debug, Default, Clone, Copy)]
struct Defaults {
    domain: Option<Text>,
    low: Option<Text>,
    role: Option<Choice<Role>>,
}

impl Defaults {
    /// What falls on a pin that says nothing of it: its domain and its role.
    fn of(&self, domain: Option<Text>, role: Option<Choice<Role>>) -> (Option<Text>, Option<Choice<Role>>) {
        let role = role.or(self.role);
        let own = match role.map(|role| role.value) {
            // Protective earth is of no domain: it stays at the chassis whatever is at fault.
            Some(Role::Earth) => None,
            Some(role) if is_of_class_a(role) => self.low,
            Some(_) | None => self.domain,
        };
        (domain.or(own), role)
    }
}

/// Whether a pin of this role is a signal of voltage class A in a plug that carries class B too.
fn is_of_class_a(role: Role) -> bool {
    match role {
        Role::Interlock | Role::Pilot | Role::Proximity | Role::CanHigh | Role::CanLow | Role::Lin | Role::Screen => true,
        Role::Reference | Role::SensorReturn => true,
        Role::Supply | Role::Return | Role::Chassis | Role::Earth | Role::Line | Role::Neutral | Role::Phase => false,
        Role::Input | Role::Output | Role::Bidirectional => false,
    }
}

/// Puts each default at what it falls on.
pub(super) fn lay(design: &mut Design, findings: &mut Findings, names: &Names) {
    for loom in &mut design.looms.0 {
        wires(&mut loom.value, names.text(loom.name.value), findings);
    }
    let none = names.find(NONE).filter(|none| !design.domains.iter().any(|domain| domain.name.value == *none));
    let high = design.domains.iter().filter(|domain| {
        let ac = domain.value.kind.is_some_and(|kind| kind.value == Current::Alternating);
        let volts = domain.value.max.or(domain.value.nominal).map(|at| at.value);
        volts.is_some_and(|volts| class(volts, ac) == VoltageClass::B)
    });
    let high: FxHashSet<Name> = high.map(|domain| domain.name.value).collect();
    let mut laying = Laying { none, high, names, findings };
    let mut kinds: FxHashMap<Name, Map<Port>> = FxHashMap::default();
    // Only devices that have a default ask for the ports of their kind.
    let asks = |device: &Device| device.domain.is_some() || device.role.is_some();
    let asked: FxHashSet<Name> = design
        .devices
        .iter()
        .filter(|device| asks(&device.value))
        .filter_map(|device| Some(device.value.device?.value))
        .collect();
    if let Some(parts) = &mut design.parts {
        for kind in &mut parts.devices.0 {
            laying.device(kind.name.value, &mut kind.value, None);
            if asked.contains(&kind.name.value) {
                kinds.insert(kind.name.value, kind.value.ports.clone());
            }
        }
    }
    for device in &mut design.devices.0 {
        let kind = device.value.device.and_then(|kind| kinds.get(&kind.value));
        laying.device(device.name.value, &mut device.value, kind);
    }
}

/// Whether something is said of a stud or point: a default falls on no other, or it would look as if it had to be joined to something.
fn is_said(port: &Port) -> bool {
    port.signal.is_some() || port.role.is_some() || port.domain.is_some() || port.network.is_some() || port.need.is_some()
}

struct Laying<'a> {
    /// The word that keeps a default away, unless a domain is called so.
    none: Option<Name>,
    /// The domains of voltage class B.
    high: FxHashSet<Name>,
    names: &'a Names,
    findings: &'a mut Findings,
}

impl Laying<'_> {
    /// Lays the defaults of a device; `kind` has the ports of its kind. One of these on which a default falls is then a port of its own.
    fn device(&mut self, name: Name, device: &mut Device, kind: Option<&Map<Port>>) {
        let own = self.defaults(Defaults::default(), device.domain, device.role);
        let mut taken = FxHashSet::default();
        for port in &mut device.ports.0 {
            self.port((name, port.name.value), &mut port.value, own, &mut taken);
        }
        for port in kind.into_iter().flat_map(|ports| &ports.0) {
            if device.ports.iter().any(|other| other.name.value == port.name.value) {
                continue;
            }
            let (mut filled, mut here) = (port.clone(), FxHashSet::default());
            self.port((name, port.name.value), &mut filled.value, own, &mut here);
            if !here.is_empty() {
                device.ports.0.push(filled);
            }
            taken.extend(here);
        }
        let what = format!("device `{}`", clip(self.names.text(name)));
        let (domain, role) = (device.domain.take(), device.role.take());
        self.unused(domain, role, &taken, &what);
    }

    /// Lays the defaults of a port over those of its device; `taken` are the places of those that fall on something.
    fn port(&mut self, (device, name): (Name, Name), port: &mut Port, own: Defaults, taken: &mut FxHashSet<Span>) {
        if !port.is_plug() {
            let keeps_off = self.take_none(&mut port.domain);
            if is_said(port) {
                let own = if keeps_off { Defaults { domain: None, low: None, ..own } } else { own };
                fill(own, &mut port.domain, &mut port.role, taken);
            }
            return;
        }
        let defaults = self.defaults(own, port.domain, port.role);
        let mut here = FxHashSet::default();
        for pin in &mut port.pins.0.0 {
            let PinUse::Used(pin) = &mut pin.value else { continue };
            let keeps_off = self.take_none(&mut pin.domain);
            let defaults = if keeps_off { Defaults { domain: None, low: None, ..defaults } } else { defaults };
            fill(defaults, &mut pin.domain, &mut pin.role, &mut here);
        }
        let (domain, role) = (port.domain.take(), port.role.take());
        // Without a domain above it `none` is said in vain, but hides nothing.
        let domain = domain.filter(|domain| Some(domain.value) != self.none);
        let what = format!("`{}.{}`", clip(self.names.text(device)), clip(self.names.text(name)));
        self.unused(domain, role, &here, &what);
        for (key, said) in [("signal", port.signal), ("network", port.network)] {
            if let Some(text) = said {
                self.findings.push(unused(text.span, key, &what, "a plug has it at each pin"));
            }
        }
        taken.extend(here);
    }

    /// Whether a domain is the word for none, which is then taken out.
    fn take_none(&self, domain: &mut Option<Text>) -> bool {
        let is_none = self.none.is_some() && domain.map(|domain| domain.value) == self.none;
        if is_none {
            *domain = None;
        }
        is_none
    }

    /// Defaults over others.
    fn defaults(&self, above: Defaults, domain: Option<Text>, role: Option<Choice<Role>>) -> Defaults {
        let role = role.or(above.role);
        match domain {
            None => Defaults { role, ..above },
            Some(domain) if Some(domain.value) == self.none => Defaults { domain: None, low: None, role },
            Some(domain) if self.high.contains(&domain.value) => Defaults { domain: Some(domain), low: above.low, role },
            Some(domain) => Defaults { domain: Some(domain), low: Some(domain), role },
        }
    }

    /// Notes defaults that fall on nothing.
    fn unused(&mut self, domain: Option<Text>, role: Option<Choice<Role>>, taken: &FxHashSet<Span>, what: &str) {
        for (key, span) in [("domain", domain.map(|text| text.span)), ("role", role.map(|role| role.span))] {
            if let Some(span) = span.filter(|span| !taken.contains(span)) {
                self.findings.push(unused(span, key, what, "each pin, stud and point has its own, or is spare"));
            }
        }
    }
}

/// Puts on a pin what falls on it.
fn fill(defaults: Defaults, domain: &mut Option<Text>, role: &mut Option<Choice<Role>>, taken: &mut FxHashSet<Span>) {
    let (its_domain, its_role) = defaults.of(*domain, *role);
    if domain.is_none() {
        taken.extend(its_domain.map(|text| text.span));
    }
    if role.is_none() {
        taken.extend(its_role.map(|role| role.span));
    }
    (*domain, *role) = (its_domain, its_role);
}

/// Lays size and colour of a loom on its wires. A core has those of its cable.
fn wires(loom: &mut Loom, name: &str, findings: &mut Findings) {
    let (size, colour) = (loom.size.take(), loom.colour.take());
    if size.is_none() && colour.is_none() {
        return;
    }
    let (mut sized, mut coloured) = (false, false);
    for wire in loom.wires.0.iter_mut().filter(|wire| wire.value.core.is_none()) {
        let own = wire.name.span;
        let wire = &mut wire.value;
        // An edit of one wire must not change the others: what is its own by default is behind its ends, where a key of its own can be put.
        let behind = |end: Option<Text>| end.map_or(own, |text| Span::new(text.span.file, text.span.end, text.span.end));
        if let Some(size) = size.filter(|_| wire.size.is_none()) {
            wire.size = Some(At { value: size.value, span: behind(wire.to) });
            sized = true;
        }
        if let Some(colour) = colour.filter(|_| wire.colour.is_none()) {
            wire.colour = Some(At { value: colour.value, span: behind(wire.from) });
            coloured = true;
        }
    }
    let what = format!("loom `{}`", clip(name));
    for (key, span) in
        [("size", size.map(|at| at.span).filter(|_| !sized)), ("colour", colour.map(|at| at.span).filter(|_| !coloured))]
    {
        findings.extend(span.map(|span| unused(span, key, &what, "each wire has its own, or is the core of a cable")));
    }
}

fn unused(span: Span, key: &str, what: &str, why: &str) -> Finding {
    let finding = rules::UNUSED_DEFAULT
        .finding(span, format!("the `{key}` of {what} falls on nothing"))
        .label(why)
        .help(format!("take it out, or take `{key}` out where it says the same"));
    Finding { stated: Level::Warning, ..finding }
}
