//! Devices with their ports and pins, resolved.

use super::{
    build::Builder,
    grouping::Grouping,
    ids::{DeviceId, PinId, PointId, PointRange, PortId, PortRange},
    items::{Device, Fixing, Guard, Landing, Pin, Point, PointKind, Port, PortKind, Thread},
    owner::Owner,
    points::sorted,
    scope::{few, unknown},
};
use crate::{
    finding::Finding,
    format::{
        Design,
        cavities::Pins,
        clip, devices as document,
        devices::PinUse,
        limits::POINTS,
        rules,
        values::{Choice, Entry},
    },
    suggest::Candidates,
    text::{At, Name, Names, Span, Text},
    vocabulary::{Active, Permission},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::hash_map::Entry as MapEntry;

impl Builder {
    /// Resolves all devices with what is inside them.
    pub(super) fn devices(&mut self, design: &Design) {
        let kinds: FxHashMap<Name, &document::Device> =
            design.parts.iter().flat_map(|parts| parts.devices.iter().map(|entry| (entry.name.value, &entry.value))).collect();
        let known = sorted(kinds.keys().map(|name| self.model.names.text(*name)));
        let mut known = Candidates::new(known.into_iter());
        for entry in &design.devices {
            self.check_label("device", &entry.name);
            let id = self.model.devices.next_id();
            self.devices.add(entry.name.value, id);
            let own = &entry.value;
            let kind = own.device.and_then(|text| {
                let kind = kinds.get(&text.value).copied();
                if kind.is_none() {
                    let written = self.model.names.text(text.value);
                    self.findings.push(unknown("device kind", written, text.span, &mut known));
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
                ports: PortRange::default(),
                chassis: flag(|device| device.chassis.map(|flag| flag.value)).unwrap_or(false),
                fitted: flag(|device| device.fitted.map(|flag| flag.value)).unwrap_or(true),
                case: own.case.or(kind.and_then(|kind| kind.case)),
                function: own.function.or(kind.and_then(|kind| kind.function)),
                side: own.side.or(kind.and_then(|kind| kind.side)),
                isolation: Vec::new(),
                monitor: None,
                apart: Vec::new(),
                before_power: kind.into_iter().flat_map(|kind| &kind.before_power).chain(&own.before_power).copied().collect(),
            });
            let name = entry.name.value;
            self.unsure(move |names: &Names| names.text(name).to_owned(), &own.unsure);
            let ports = merged(kind.map(|kind| &kind.ports.0), &own.ports.0);
            let first = self.model.ports.next_id();
            for port in ports {
                self.port(id, port);
            }
            self.model.devices[id].ports = PortRange::new(first, self.model.ports.next_id());
            for node in kind.iter().flat_map(|kind| &kind.nodes).chain(&own.nodes) {
                self.check_label("node", node);
                if !self.has_room(&POINTS, self.count_points(), 1, node.span, |_| "this node".to_owned()) {
                    break;
                }
                let point = self.add_point(PointKind::Node(id), node.value, node.span, None);
                self.nodes.insert((id, node.value), point);
            }
            let exclusive = kind.into_iter().flat_map(|kind| &kind.exclusive).chain(&own.exclusive);
            self.keep_groups(Owner::Device(id), Grouping::Exclusive, exclusive);
            let residual = kind.into_iter().flat_map(|kind| &kind.residual).chain(&own.residual);
            self.keep_groups(Owner::Device(id), Grouping::Residual, residual);
            self.safety(id, kind, own);
            let inside = merged(kind.map(|kind| &kind.inside.0), &own.inside.0);
            for element in inside {
                self.element(Owner::Device(id), element);
            }
        }
        self.join_poles();
    }

    pub(super) fn add_point(&mut self, kind: PointKind, label: Name, span: Span, pin: Option<PinId>) -> PointId {
        self.model.points.push(Point { kind, label, span, pin })
    }

    /// Notes a point that is worth measuring at.
    pub(super) fn test_point(&mut self, point: PointId, said: Option<At<bool>>) {
        // Points are made in the order of their ids, so the list is sorted.
        self.model.test_points.extend(said.filter(|said| said.value).map(|_| point));
    }

    fn port(&mut self, device: DeviceId, entry: &Entry<document::Port>) {
        self.check_label("port", &entry.name);
        if !self.has_port_room(device, entry) {
            return;
        }
        let id = self.model.ports.next_id();
        self.ports.entry((device, entry.name.value)).or_insert(id);
        let port = &entry.value;
        let first = self.model.points.next_id();
        let (kind, housing_span) = match (port.housing, port.stud, landing(port)) {
            (_, Some(stud), _) => (PortKind::Stud(Thread { name: stud.value, span: stud.span }), stud.span),
            (_, None, Some((fixing, text))) => {
                let kind = self.landing_kinds.refer(&self.model.names, &text, &mut self.findings);
                (PortKind::Landing(Landing { fixing, kind }), text.span)
            }
            (Some(housing), None, None) => {
                let found = self.housings.refer(&self.model.names, &housing, &mut self.findings);
                (PortKind::Connector(found), housing.span)
            }
            (None, None, None) => {
                port.body.map_or((PortKind::Connector(None), entry.name.span), |body| (PortKind::Body, body.span))
            }
        };
        self.one_sort(entry);
        match kind {
            PortKind::Stud(_) => self.single(id, entry, "stud"),
            PortKind::Landing(landing) => self.single(id, entry, landing.fixing.noun()),
            PortKind::Body => {
                self.bodies.extend(port.body.map(|text| (id, text)));
                self.single(id, entry, "body");
            }
            PortKind::Connector(housing) => {
                let labels = housing.map(|housing| self.model[housing].labels.clone());
                // A housing without positions was reported; its pins are not, one by one.
                let labels = labels.filter(|labels| !labels.is_empty());
                self.pins(id, (device, entry.name.value), entry, labels, housing_span);
            }
        }
        let points = PointRange::new(first, self.model.points.next_id());
        let zone = self.zone(port.zone).or(self.model[device].zone);
        self.model.ports.push(Port {
            name: entry.name.value,
            span: entry.name.span,
            device,
            zone,
            kind,
            points,
            housing_span,
            body: None,
            rings: port.rings,
            access: port.access,
            inlet: port.inlet,
            lock: None,
            torque: port.torque,
            current: port.current,
            voltage: port.voltage,
        });
        self.locks.extend(port.lock.clone().map(|lock| (id, lock)));
    }

    /// Whether a port with its pins still has room.
    fn has_port_room(&mut self, device: DeviceId, entry: &Entry<document::Port>) -> bool {
        let port = &entry.value;
        let single = port.stud.is_some() || port.body.is_some() || landing(port).is_some();
        let housing = port.housing.filter(|_| !single).and_then(|text| self.housings.get(text.value));
        let positions = housing.map_or(0, |housing| self.model[housing].labels.len());
        let points = if single { 1 } else { positions.max(port.pins.count(&self.model.names)) };
        let name = entry.name.value;
        self.has_room(&POINTS, self.count_points(), points + 1, entry.name.span, |model| {
            format!("`{}.{}`", clip(model.device_name(device)), clip(model.text(name)))
        })
    }

    /// Notes a port that is said to be of two sorts at once.
    fn one_sort(&mut self, entry: &Entry<document::Port>) {
        let port = &entry.value;
        let keys = [
            ("housing", port.housing),
            ("stud", port.stud),
            ("screw", port.screw),
            ("tab", port.tab),
            ("strip", port.strip),
            ("ferrule", port.ferrule),
            ("body", port.body),
        ];
        let mut said = keys.into_iter().filter_map(|(key, text)| Some((key, text?)));
        let (Some((first, _)), Some((second, text))) = (said.next(), said.next()) else { return };
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(text.span, format!("`{}` has both `{first}` and `{second}`", self.model.names.text(entry.name.value)))
                .label(format!("second sort of port, after `{first}`"))
                .help("give each port one of them: two places on a device are two ports"),
        );
    }

    /// The one point of a port that is not a connector.
    fn single(&mut self, id: PortId, entry: &Entry<document::Port>, what: &str) {
        let port = &entry.value;
        let guards = guards(port.enables, port.inhibits, port.active);
        let said = port.signal.is_some() || port.role.is_some() || port.domain.is_some() || port.need.is_some();
        let said = said || port.network.is_some() || port.termination.is_some() || !guards.is_empty();
        let pin = said.then(|| {
            let (domain, network) = (self.pin_domain(port.domain), self.network(port.network));
            let (signal, role, need, termination) = (port.signal, port.role, port.need, port.termination);
            self.add_pin(Pin { signal, role, domain, need, network, termination, guards, ..Pin::default() })
        });
        let point = self.add_point(PointKind::Stud(id), entry.name.value, entry.name.span, pin);
        self.test_point(point, port.test_point);
        if let Some(first) = port.pins.0.0.first() {
            self.findings.push(
                rules::UNEXPECTED_VALUE
                    .finding(
                        first.name.span,
                        format!("`{}` is a {what} and has no pins", self.model.names.text(entry.name.value)),
                    )
                    .label(format!("pin of a {what}"))
                    .help("write `signal`, `role` and `domain` of the port itself"),
            );
        }
    }

    fn pins(
        &mut self,
        id: PortId,
        owner: (DeviceId, Name),
        entry: &Entry<document::Port>,
        labels: Option<Vec<Name>>,
        housing_span: Span,
    ) {
        let mut named: FxHashMap<Name, &Entry<PinUse>> = FxHashMap::default();
        let mut pins = entry.value.pins.each(&mut self.model.names);
        pins.retain(|(label, pin)| match named.entry(*label) {
            MapEntry::Occupied(_) => false,
            MapEntry::Vacant(place) => {
                place.insert(*pin);
                true
            }
        });
        let Some(labels) = labels else {
            // The housing is not known: the pins that are named are the positions.
            for (label, pin) in pins {
                let needs = self.pin(owner, &entry.value, (label, pin));
                let point = self.add_point(PointKind::Pin(id), label, pin.name.span, Some(needs));
                self.test_point(point, test_point(pin));
            }
            return;
        };
        for label in &labels {
            match named.remove(label) {
                Some(pin) => {
                    let needs = self.pin(owner, &entry.value, (*label, pin));
                    let point = self.add_point(PointKind::Pin(id), *label, pin.name.span, Some(needs));
                    self.test_point(point, test_point(pin));
                }
                None => {
                    self.add_point(PointKind::Pin(id), *label, housing_span, None);
                }
            }
        }
        let mut known: Option<Candidates> = None;
        let mut beyond: Vec<(&Entry<PinUse>, Vec<Name>)> = Vec::new();
        for (label, pin) in pins.into_iter().filter(|(label, _)| named.contains_key(label)) {
            match beyond.last_mut().filter(|(before, _)| before.name.span == pin.name.span) {
                Some((_, labels)) => labels.push(label),
                None => beyond.push((pin, vec![label])),
            }
        }
        for (pin, missing) in beyond {
            let names = &self.model.names;
            let finding = if Pins::is_shared(pin, names) {
                beyond_housing(names, pin, &missing, &labels)
            } else {
                let known = known.get_or_insert_with(|| Candidates::new(labels.iter().map(|label| names.text(*label))));
                let written = names.text(pin.name.value);
                let mut finding = unknown("position", written, pin.name.span, known);
                let is_known = |text: &str| names.find(text).is_some_and(|name| labels.contains(&name));
                if let Some((first, last)) = written.split_once('-').filter(|(first, last)| is_known(first) && is_known(last)) {
                    finding.help = format!("write `{first}..{last}` for all from `{first}` to `{last}`");
                }
                finding
            };
            self.findings.push(finding.context(housing_span, "the housing's positions decide"));
        }
    }

    /// What a pin needs; `owner` is its device and port.
    fn pin(&mut self, (device, name): (DeviceId, Name), port: &document::Port, (label, entry): (Name, &Entry<PinUse>)) -> PinId {
        match &entry.value {
            PinUse::Spare(span) => self.add_pin(Pin { spare: Some(*span), ..Pin::default() }),
            PinUse::Used(pin) => {
                let domain = self.pin_domain(pin.domain);
                if !pin.unsure.is_empty() {
                    let names = &self.model.names;
                    let (port, label) = (names.text(name), names.text(label));
                    let name = format!("{}.{port}.{label}", self.model.device_name(device));
                    self.unsure(|_| name.clone(), &pin.unsure);
                }
                let network = self.network(pin.network);
                self.add_pin(Pin {
                    network,
                    termination: pin.termination.or(port.termination),
                    node: pin.node,
                    guards: guards(pin.enables, pin.inhibits, pin.active),
                    economiser: pin.economiser.is_some_and(|flag| flag.value),
                    loop_resistance: pin.loop_resistance,
                    signal: pin.signal,
                    role: pin.role,
                    domain,
                    drive: pin.drive,
                    pull: pin.pull,
                    clamped: pin.clamped.is_some_and(|flag| flag.value),
                    tap: pin.tap,
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

    fn network(&mut self, text: Option<Text>) -> Option<(super::NetworkId, Span)> {
        let text = text?;
        self.networks.refer(&self.model.names, &text, &mut self.findings).map(|network| (network, text.span))
    }

    fn add_pin(&mut self, pin: Pin) -> PinId {
        self.model.pins.push(pin)
    }
}

/// The finding about a word that names positions which the housing does not have.
fn beyond_housing(names: &Names, pin: &Entry<PinUse>, missing: &[Name], labels: &[Name]) -> Finding {
    let few_of = |all: &[Name]| few(all.iter().map(|label| names.text(*label)));
    let word = clip(names.text(pin.name.value));
    let noun = if missing.len() == 1 { "position" } else { "positions" };
    rules::UNKNOWN_NAME
        .finding(pin.name.span, format!("`{word}` goes beyond the housing, which has no {noun} {}", few_of(missing)))
        .label("names more than there is")
        .help(format!("end the range within the housing, whose positions are {}, or use another housing", few_of(labels)))
}

/// The point that a port is, with the kind that it names; `None` for connectors and studs.
fn test_point(pin: &Entry<PinUse>) -> Option<At<bool>> {
    match &pin.value {
        PinUse::Used(pin) => pin.test_point,
        PinUse::Spare(_) => None,
    }
}

fn landing(port: &document::Port) -> Option<(Fixing, Text)> {
    let keys =
        [(Fixing::Screw, port.screw), (Fixing::Tab, port.tab), (Fixing::Strip, port.strip), (Fixing::Ferrule, port.ferrule)];
    keys.into_iter().find_map(|(fixing, text)| Some((fixing, text?)))
}

/// The entries of a kind with those of the thing itself on top; of equal names the thing's own holds.
pub(super) fn merged<'d, T>(kind: Option<&'d Vec<Entry<T>>>, own: &'d [Entry<T>]) -> Vec<&'d Entry<T>> {
    let named: FxHashSet<Name> = own.iter().map(|entry| entry.name.value).collect();
    let inherited = kind.into_iter().flatten().filter(|entry| !named.contains(&entry.name.value));
    inherited.chain(own).collect()
}

/// What the keys of a pin or stud say that it permits or forbids.
fn guards(
    enables: Option<Choice<Permission>>,
    inhibits: Option<Choice<Permission>>,
    active: Option<Choice<Active>>,
) -> Vec<Guard> {
    let active = active.map_or(Active::High, |word| word.value);
    let guard = |word: Choice<Permission>, permits| Guard { what: word.value, permits, active, span: word.span };
    enables.map(|word| guard(word, true)).into_iter().chain(inhibits.map(|word| guard(word, false))).collect()
}
