//! Devices with their ports, pins and elements, resolved.

use super::{
    build::Builder,
    ids::{DeviceId, ElementId, ModeSet, PinId, PointId, PointRange, PortId},
    items::{Device, Element, ElementKind, Owner, Pin, Point, PointKind, Port, PortKind, Thread},
    scope::{few, unknown},
};
use crate::{
    document::{
        Design, clip,
        devices::{self as document, PinUse},
        faults,
        inside::{Element as Item, RelayKind, Rest},
        values::{Entry, List, OneOf, Text},
    },
    quantity::Ratio,
    text::{Name, Names, Span},
};
use rustc_hash::FxHashMap;

impl Builder {
    /// Resolves all devices with what is inside them.
    pub(super) fn devices(&mut self, design: &Design) {
        let kinds: FxHashMap<Name, &document::Device> =
            design.parts.iter().flat_map(|parts| parts.devices.iter().map(|entry| (entry.name.value, &entry.value))).collect();
        for entry in &design.devices {
            self.check_label("device", &entry.name);
            let id = DeviceId::from_index(self.model.devices.len());
            self.devices.add(entry.name.value, id);
            let own = &entry.value;
            let kind = own.device.and_then(|text| {
                let kind = kinds.get(&text.value).copied();
                if kind.is_none() {
                    let known = kinds.keys().map(|name| self.model.names.text(*name));
                    self.findings.push(unknown(
                        "device kind",
                        self.model.names.text(text.value),
                        text.span,
                        sorted(known).into_iter(),
                    ));
                }
                kind
            });
            let zone = own.zone.or(kind.and_then(|kind| kind.zone));
            let zone = self.zone(zone);
            let flag = |get: fn(&document::Device) -> Option<bool>| get(own).or(kind.and_then(get));
            self.model.devices.push(Device {
                name: entry.name.value,
                span: entry.name.span,
                zone,
                ports: Vec::new(),
                chassis: flag(|device| device.chassis.map(|flag| flag.value)).unwrap_or(false),
                fitted: flag(|device| device.fitted.map(|flag| flag.value)).unwrap_or(true),
                function: own.function.or(kind.and_then(|kind| kind.function)),
                side: own.side.or(kind.and_then(|kind| kind.side)),
            });
            let name = entry.name.value;
            self.unsure(move |names: &Names| names.text(name).to_owned(), &own.unsure);
            let ports = merged(kind.map(|kind| &kind.ports.0), &own.ports.0);
            for port in ports {
                self.port(id, port);
            }
            for node in kind.iter().flat_map(|kind| &kind.nodes).chain(&own.nodes) {
                self.check_label("node", node);
                let point = self.add_point(PointKind::Node(id), node.value, node.span, None);
                self.nodes.insert((id, node.value), point);
            }
            let inside = merged(kind.map(|kind| &kind.inside.0), &own.inside.0);
            for element in inside {
                self.element(Owner::Device(id), element);
            }
        }
    }

    pub(super) fn add_point(&mut self, kind: PointKind, label: Name, span: Span, pin: Option<PinId>) -> PointId {
        let id = PointId::from_index(self.model.points.len());
        self.model.points.push(Point { kind, label, span, pin });
        id
    }

    fn port(&mut self, device: DeviceId, entry: &Entry<document::Port>) {
        self.check_label("port", &entry.name);
        let id = PortId::from_index(self.model.ports.len());
        self.ports.entry((device, entry.name.value)).or_insert(id);
        let port = &entry.value;
        let first = self.model.points.len() as u32;
        let (kind, housing_span) = match (port.housing, port.stud) {
            (_, Some(stud)) => (PortKind::Stud(Thread { name: stud.value, span: stud.span }), stud.span),
            (Some(housing), None) => {
                let found = self.housings.refer(&self.model.names, &housing, &mut self.findings);
                (PortKind::Connector(found), housing.span)
            }
            (None, None) => (PortKind::Connector(None), entry.name.span),
        };
        match kind {
            PortKind::Stud(_) => self.stud(id, entry),
            PortKind::Connector(housing) => {
                let labels = housing.and_then(|housing| self.model.housing(housing)).map(|housing| housing.labels.clone());
                // A housing without positions was reported; its pins are not, one by one.
                let labels = labels.filter(|labels| !labels.is_empty());
                self.pins(id, entry, labels, housing_span);
            }
        }
        let count = self.model.points.len() as u32 - first;
        self.model.ports.push(Port {
            name: entry.name.value,
            span: entry.name.span,
            device,
            kind,
            points: PointRange { first, count },
            housing_span,
            rings: port.rings,
            torque: port.torque,
        });
        if let Some(device) = self.model.devices.get_mut(device.index()) {
            device.ports.push(id);
        }
    }

    fn stud(&mut self, id: PortId, entry: &Entry<document::Port>) {
        let port = &entry.value;
        let said = port.signal.is_some() || port.role.is_some() || port.domain.is_some() || port.need.is_some();
        let pin = said.then(|| {
            let domain = self.pin_domain(port.domain);
            self.add_pin(Pin { signal: port.signal, role: port.role, domain, need: port.need, ..Pin::default() })
        });
        self.add_point(PointKind::Stud(id), entry.name.value, entry.name.span, pin);
        if let Some(first) = port.pins.0.first() {
            self.findings.push(
                faults::UNEXPECTED_VALUE
                    .finding(first.name.span, format!("`{}` is a stud and has no pins", self.model.names.text(entry.name.value)))
                    .label("pin of a stud")
                    .help("write `signal`, `role` and `domain` beside `stud`"),
            );
        }
    }

    fn pins(&mut self, id: PortId, entry: &Entry<document::Port>, labels: Option<Vec<Name>>, housing_span: Span) {
        let pins = &entry.value.pins.0;
        let Some(labels) = labels else {
            // The housing is not known: the pins that are named are the positions.
            for pin in pins {
                let needs = self.pin(&pin.value);
                self.add_point(PointKind::Pin(id), pin.name.value, pin.name.span, Some(needs));
            }
            return;
        };
        let mut named: FxHashMap<Name, &Entry<PinUse>> = pins.iter().map(|pin| (pin.name.value, pin)).collect();
        for label in &labels {
            match named.remove(label) {
                Some(pin) => {
                    let needs = self.pin(&pin.value);
                    self.add_point(PointKind::Pin(id), *label, pin.name.span, Some(needs));
                }
                None => {
                    self.add_point(PointKind::Pin(id), *label, housing_span, None);
                }
            }
        }
        for pin in pins.iter().filter(|pin| named.contains_key(&pin.name.value)) {
            let known: Vec<&str> = labels.iter().map(|label| self.model.names.text(*label)).collect();
            let written = self.model.names.text(pin.name.value);
            self.findings.push(
                unknown("position", written, pin.name.span, known.into_iter())
                    .context(housing_span, "the housing's positions decide"),
            );
        }
    }

    fn pin(&mut self, pin: &PinUse) -> PinId {
        match pin {
            PinUse::Spare(span) => self.add_pin(Pin { spare: Some(*span), ..Pin::default() }),
            PinUse::Used(pin) => {
                let domain = self.pin_domain(pin.domain);
                self.unsure(|_| "pin".to_owned(), &pin.unsure);
                self.add_pin(Pin {
                    signal: pin.signal,
                    role: pin.role,
                    domain,
                    drive: pin.drive,
                    pull: pin.pull,
                    clamped: pin.clamped.is_some_and(|flag| flag.value),
                    need: pin.need,
                    spare: None,
                })
            }
        }
    }

    fn pin_domain(&mut self, text: Option<Text>) -> Option<(super::DomainId, Span)> {
        let text = text?;
        self.domains.refer(&self.model.names, &text, &mut self.findings).map(|domain| (domain, text.span))
    }

    fn add_pin(&mut self, pin: Pin) -> PinId {
        let id = PinId::from_index(self.model.pins.len());
        self.model.pins.push(pin);
        id
    }

    /// Resolves one element; it is left out if one of its points is nowhere.
    pub(super) fn element(&mut self, owner: Owner, entry: &Entry<OneOf<Item>>) {
        self.check_label("element", &entry.name);
        let Some((kind, points, value_span)) = self.element_kind(owner, &entry.value.0) else { return };
        let id = ElementId::from_index(self.model.elements.len());
        self.model.elements.push(Element { name: entry.name.value, span: entry.name.span, value_span, owner, points, kind });
        debug_assert_eq!(id.index() + 1, self.model.elements.len());
    }

    fn element_kind(&mut self, owner: Owner, item: &Item) -> Option<(ElementKind, Box<[PointId]>, Span)> {
        Some(match item {
            Item::Source(source) => {
                let points = self.points(owner, [source.positive, source.negative]);
                let modes = self.mode_set(&source.modes, ModeSet::ALL);
                let emf = source.source?;
                (
                    ElementKind::Source { emf: emf.value, resistance: source.resistance, limit: source.limit, modes },
                    points?,
                    emf.span,
                )
            }
            Item::Load(load) => {
                let points = self.points(owner, [load.from, load.to]);
                let modes = self.mode_set(&load.modes, ModeSet::ALL);
                let demand = load.load?;
                let kind = ElementKind::Load {
                    demand,
                    kind: load.kind.map(|kind| kind.value),
                    peak: load.peak,
                    polarised: load.polarised.is_some_and(|flag| flag.value),
                    modes,
                };
                (kind, points?, demand.span)
            }
            Item::Resistor(resistor) => {
                let points = self.points(owner, [resistor.from, resistor.to]);
                (ElementKind::Resistor(resistor.resistor?), points?, resistor.resistor?.span)
            }
            Item::Capacitor(capacitor) => {
                let points = self.points(owner, [capacitor.from, capacitor.to]);
                (ElementKind::Capacitor(capacitor.capacitor?), points?, capacitor.capacitor?.span)
            }
            Item::Diode(diode) => {
                let points = self.points(owner, [diode.from, diode.to]);
                (ElementKind::Diode(diode.diode?), points?, diode.diode?.span)
            }
            Item::Fuse(fuse) => {
                let points = self.points(owner, [fuse.from, fuse.to]);
                let named = fuse.fuse?;
                let kind = self.fuse_kinds.refer(&self.model.names, &named, &mut self.findings);
                (ElementKind::Fuse { kind, fitted: fuse.fitted.is_none_or(|flag| flag.value) }, points?, named.span)
            }
            Item::Switch(switch) => {
                let points = self.points(owner, [switch.from, switch.to]);
                let rest = switch.switch?;
                let closed = match rest.value {
                    Rest::Open => self.mode_set(&switch.closed_in, ModeSet::NONE),
                    Rest::Closed => {
                        let open = self.mode_set(&switch.open_in, ModeSet::NONE);
                        self.all_but(open)
                    }
                };
                (ElementKind::Switch { closed, current: switch.current, voltage: switch.voltage }, points?, rest.span)
            }
            Item::Relay(relay) => return self.relay(owner, relay),
            Item::Disconnect(disconnect) => {
                let points = self.points(owner, [disconnect.from, disconnect.to]);
                let out = self.mode_set(&disconnect.disconnect, ModeSet::NONE);
                let kind = ElementKind::Disconnect { out, current: disconnect.current, voltage: disconnect.voltage };
                (kind, points?, disconnect.disconnect.first().map_or(disconnect.span, |text| text.span))
            }
            Item::Link(link) => {
                let points = self.points(owner, link.link.iter().copied().map(Some));
                let kind = ElementKind::Link { resistance: link.resistance, fitted: link.fitted.is_none_or(|flag| flag.value) };
                (kind, points?, link.link.first().map_or(link.span, |text| text.span))
            }
            Item::Converter(converter) => {
                let points = self.exactly(
                    owner,
                    converter.from.iter().chain(&converter.to),
                    4,
                    "two input and two output points",
                    converter.span,
                );
                let modes = self.mode_set(&converter.modes, ModeSet::ALL);
                let output = converter.converter?;
                let kind = ElementKind::Converter {
                    output: output.value,
                    limit: converter.limit,
                    efficiency: converter.efficiency.map_or(Ratio::new(0.9), |at| at.value),
                    resistance: converter.resistance,
                    modes,
                };
                (kind, points?, output.span)
            }
            Item::Interlock(bridge) => {
                let points = self.exactly(owner, bridge.interlock.iter(), 2, "two points", bridge.span)?;
                let of = self.interlock_port(owner, bridge.of, points.first().copied());
                (ElementKind::Interlock { of }, points, bridge.interlock.first().map_or(bridge.span, |text| text.span))
            }
        })
    }

    fn relay(&mut self, owner: Owner, relay: &crate::document::inside::Relay) -> Option<(ElementKind, Box<[PointId]>, Span)> {
        let kind = relay.relay?;
        let coil = self.exactly(owner, relay.coil.iter(), 2, "two points of the coil", relay.span);
        let (count, what) = match kind.value {
            RelayKind::Changeover => (3, "three points of a changeover contact"),
            _ => (2, "two points of the contact"),
        };
        let contact = self.exactly(owner, relay.contact.iter(), count, what, relay.span);
        let points: Box<[PointId]> = coil?.iter().chain(contact?.iter()).copied().collect();
        let item = ElementKind::Relay {
            contact: kind.value,
            resistance: relay.resistance,
            pull_in: relay.pull_in,
            suppression: relay.suppression.map(|word| word.value),
            current: relay.current,
            voltage: relay.voltage,
        };
        Some((item, points, kind.span))
    }

    fn interlock_port(&mut self, owner: Owner, of: Option<Text>, first: Option<PointId>) -> Option<PortId> {
        let Some(of) = of else {
            return match first.and_then(|point| self.model.point(point))?.kind {
                PointKind::Pin(port) | PointKind::Stud(port) => Some(port),
                _ => None,
            };
        };
        let Owner::Device(device) = owner else { return None };
        let found = self.ports.get(&(device, of.value)).copied();
        if found.is_none() {
            let known = self.port_names(device);
            self.findings.push(unknown("port", self.model.names.text(of.value), of.span, known.iter().map(String::as_str)));
        }
        found
    }

    fn exactly<'t>(
        &mut self,
        owner: Owner,
        texts: impl Iterator<Item = &'t Text>,
        count: usize,
        what: &str,
        span: Span,
    ) -> Option<Box<[PointId]>> {
        let texts: Vec<Text> = texts.copied().collect();
        if texts.len() != count {
            let place = texts.first().map_or(span, |text| text.span);
            self.findings.push(
                faults::UNEXPECTED_VALUE
                    .finding(place, format!("{} points stand where {what} belong", texts.len()))
                    .label(format!("expected {what}"))
                    .help(format!("name {what}")),
            );
            return None;
        }
        self.points(owner, texts.into_iter().map(Some))
    }

    /// The points of an element; all are looked up before one missing takes the element away.
    fn points(&mut self, owner: Owner, texts: impl IntoIterator<Item = Option<Text>>) -> Option<Box<[PointId]>> {
        let found: Vec<Option<PointId>> = texts
            .into_iter()
            .map(|text| {
                let text = text?;
                match owner {
                    Owner::Device(device) => self.device_point(device, &text),
                    Owner::Loom(loom) => self.loom_point(loom, &text),
                }
            })
            .collect();
        found.into_iter().collect()
    }

    fn device_point(&mut self, device: DeviceId, text: &Text) -> Option<PointId> {
        if let Some(node) = self.nodes.get(&(device, text.value)) {
            return Some(*node);
        }
        let written = self.model.names.text(text.value);
        let (port_text, label) = match written.split_once('.') {
            Some((port, label)) => (port, Some(label)),
            None => (written, None),
        };
        let port = self.model.names.find(port_text).and_then(|name| self.ports.get(&(device, name)));
        let Some((kind, range)) = port.and_then(|port| self.model.port(*port)).map(|port| (port.kind, port.points)) else {
            let mut known = self.port_names(device);
            known.extend(self.node_names(device));
            let what = format!("port or node of `{}` called", self.model.device_name(device));
            self.findings.push(unknown(&what, port_text, text.span, known.iter().map(String::as_str)));
            return None;
        };
        let (found, finding) = match (kind, label) {
            (PortKind::Stud(_), None) => (range.get(0), None),
            (PortKind::Stud(_), Some(_)) => (None, Some(not_a_connector(port_text, text.span))),
            (PortKind::Connector(_), None) => (None, Some(needs_position(port_text, text.span))),
            (PortKind::Connector(_), Some(label)) => find_position(&self.model, range, label, port_text, text.span),
        };
        self.findings.extend(finding);
        found
    }

    /// The point of `range` that is labelled `label`; notes a mistake where there is none.
    pub(super) fn position(&mut self, range: PointRange, label: &str, place: &str, span: Span) -> Option<PointId> {
        let (found, finding) = find_position(&self.model, range, label, place, span);
        self.findings.extend(finding);
        found
    }

    pub(super) fn port_names(&self, device: DeviceId) -> Vec<String> {
        let ports = self.model.device(device).map(|device| device.ports.clone()).unwrap_or_default();
        ports.iter().filter_map(|port| self.model.port(*port)).map(|port| self.model.names.text(port.name).to_owned()).collect()
    }

    fn node_names(&self, device: DeviceId) -> Vec<String> {
        let nodes = self.nodes.keys().filter(|(owner, _)| *owner == device).map(|(_, name)| self.model.names.text(*name));
        sorted(nodes).into_iter().map(str::to_owned).collect()
    }

    fn all_but(&self, open: ModeSet) -> ModeSet {
        let mut closed = ModeSet::NONE;
        for (mode, _) in self.model.modes() {
            if !open.has(mode) {
                closed.add(mode);
            }
        }
        closed
    }
}

/// The entries of a kind with those of the thing itself on top; of equal names the thing's own holds.
fn merged<'d, T>(kind: Option<&'d Vec<Entry<T>>>, own: &'d [Entry<T>]) -> Vec<&'d Entry<T>> {
    let inherited = kind.into_iter().flatten().filter(|entry| !own.iter().any(|mine| mine.name.value == entry.name.value));
    inherited.chain(own).collect()
}

fn sorted<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut names: Vec<&str> = names.collect();
    names.sort_unstable();
    names
}

pub(super) fn not_a_connector(name: &str, span: Span) -> crate::finding::Finding {
    faults::UNKNOWN_NAME
        .finding(span, format!("`{}` has no positions", clip(name)))
        .label("a stud, ring or splice")
        .help(format!("write `{}` alone", clip(name)))
}

pub(super) fn needs_position(name: &str, span: Span) -> crate::finding::Finding {
    faults::UNKNOWN_NAME
        .finding(span, format!("`{}` is a connector and no point", clip(name)))
        .label("which position?")
        .help(format!("name the position: `{}.1`", clip(name)))
}

pub(super) fn find_position(
    model: &super::Model,
    range: PointRange,
    label: &str,
    place: &str,
    span: Span,
) -> (Option<PointId>, Option<crate::finding::Finding>) {
    if let Some(name) = model.names.find(label) {
        let at = model.position_of(range, name);
        if at.is_some() {
            return (at, None);
        }
    }
    let labels: List<&str> =
        range.iter().filter_map(|point| model.point(point)).map(|point| model.names.text(point.label)).collect();
    let finding = faults::UNKNOWN_NAME
        .finding(span, format!("`{}` has no position `{}`", clip(place), clip(label)))
        .label("no such position")
        .help(format!("its positions are {}", few(&labels)));
    (None, Some(finding))
}

impl super::Model {
    /// The point of `range` labelled `label`.
    #[must_use]
    pub fn position_of(&self, range: PointRange, label: Name) -> Option<PointId> {
        let housing = range.get(0).and_then(|first| self.point(first)).and_then(|first| self.point_housing(first.kind));
        if let Some(housing) = housing.filter(|housing| !housing.index.is_empty()) {
            let found = housing.index.binary_search_by_key(&label, |(known, _)| *known).ok()?;
            return housing.index.get(found).and_then(|(_, position)| range.get(*position as usize));
        }
        range.iter().find(|point| self.point(*point).is_some_and(|point| point.label == label))
    }

    /// The housing that a point's connector has.
    #[must_use]
    pub fn point_housing(&self, kind: PointKind) -> Option<&super::Housing> {
        let housing = match kind {
            PointKind::Pin(port) => match self.port(port)?.kind {
                PortKind::Connector(housing) => housing,
                PortKind::Stud(_) => None,
            },
            PointKind::Cavity(end) => match self.end(end)?.kind {
                super::EndKind::Connector(housing) => housing,
                super::EndKind::Ring(_) => None,
            },
            _ => None,
        };
        self.housing(housing?)
    }
}
