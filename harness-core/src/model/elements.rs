//! Elements inside devices and looms, resolved.

use super::{
    among::Among,
    build::{Builder, LoomItem},
    element::{Capacitor, Element, ElementKind, Resistor},
    ids::{ElementId, ModeSet, PointId, PointList},
    items::{OpenedBy, Opener, PointKind},
    owner::Owner,
};
use crate::{
    format::{
        inside::Element as Item,
        limits::ELEMENTS,
        rules,
        values::{Entry, OneOf},
    },
    quantity::Ratio,
    text::{Span, Text},
    vocabulary::RelayKind,
};
use rustc_hash::FxHashMap;

impl Builder {
    /// Resolves one element; it is left out if one of its points is nowhere.
    pub(super) fn element(&mut self, owner: Owner, entry: &Entry<OneOf<Item>>) {
        self.check_label("element", &entry.name);
        if !self.has_room(&ELEMENTS, self.elements_read, 1, entry.name.span, |_| "this one".to_owned()) {
            return;
        }
        // One that can't be resolved costs its findings.
        self.elements_read += 1;
        if let Item::Selector(selector) = &entry.value.0 {
            return self.selector(owner, &entry.name, selector);
        }
        let Some((kind, points, value_span)) = self.element_kind(owner, &entry.name, &entry.value.0) else { return };
        let element = Element { name: entry.name.value, span: entry.name.span, value_span, owner, points, kind };
        if !entry.value.0.fitted() {
            self.model.left_out.push(element);
            return;
        }
        let id = self.model.elements.push(element);
        if let Some(opens) = entry.value.0.opens() {
            self.keep_opened(Some(owner), OpenedBy::Element(id), opens);
        }
    }

    fn element_kind(&mut self, owner: Owner, name: &Text, item: &Item) -> Option<(ElementKind, PointList, Span)> {
        Some(match item {
            Item::Source(source) => {
                let points = self.points(owner, [source.positive, source.negative]);
                let modes = self.modes_in(source.modes.as_ref());
                let emf = source.source?;
                let (new, aged) = source.resistance.as_ref().map_or((None, None), |given| (given.unworn(), given.aged()));
                if let (Some(new), Some(aged)) = (new, aged)
                    && aged.value < new.value
                {
                    self.findings.push(
                        rules::UNEXPECTED_VALUE
                            .finding(aged.span, format!("`aged` is {}, below `new`, {}", aged.value, new.value))
                            .label("a battery's resistance rises with age and cold")
                            .context(new.span, "of the new battery")
                            .help("swap `new` and `aged` if they are swapped, or correct them from the datasheet"),
                    );
                }
                (
                    ElementKind::Source {
                        emf: emf.value,
                        resistance: new,
                        aged,
                        limit: source.limit,
                        capacity: source.capacity,
                        modes,
                    },
                    points?,
                    emf.span,
                )
            }
            Item::Load(load) => {
                let points = self.two_points(owner, name, load.from, load.to, load.is_faulty);
                let modes = self.modes_in(load.modes.as_ref());
                let demand = load.load?;
                let kind = ElementKind::Load {
                    demand,
                    kind: load.kind.map(|kind| kind.value),
                    peak: load.peak,
                    polarised: load.polarised.is_some_and(|flag| flag.value),
                    suppression: load.suppression.map(|word| word.value),
                    voltage: load.voltage,
                    modes,
                };
                (kind, points?, demand.span)
            }
            Item::Resistor(resistor) => {
                let points = self.two_points(owner, name, resistor.from, resistor.to, resistor.is_faulty);
                let ohm = resistor.resistor?;
                let terminator = resistor.terminator.filter(|flag| flag.value).map(|flag| flag.span);
                let kind = Resistor { ohm, power: resistor.power, energy: resistor.energy, terminator };
                (ElementKind::Resistor(kind), points?, ohm.span)
            }
            Item::Capacitor(capacitor) => {
                let points = self.two_points(owner, name, capacitor.from, capacitor.to, capacitor.is_faulty);
                let farad = capacitor.capacitor?;
                let polarised = capacitor.polarised.is_some_and(|flag| flag.value);
                (
                    ElementKind::Capacitor(Capacitor { farad, polarised, discharged_in: capacitor.discharged_in }),
                    points?,
                    farad.span,
                )
            }
            Item::Diode(diode) => {
                let points = self.two_points(owner, name, diode.from, diode.to, diode.is_faulty);
                (ElementKind::Diode(diode.diode?), points?, diode.diode?.span)
            }
            Item::Fuse(fuse) => {
                let points = self.two_points(owner, name, fuse.from, fuse.to, fuse.is_faulty);
                let named = fuse.fuse?;
                let kind = self.fuse_kinds.refer(&self.model.names, &named, &mut self.findings);
                (ElementKind::Fuse { kind, fitted: fuse.fitted.is_none_or(|flag| flag.value) }, points?, named.span)
            }
            Item::Switch(switch) => {
                let points = self.two_points(owner, name, switch.from, switch.to, switch.is_faulty);
                let rest = switch.switch?;
                let closed = self.closed(name, rest, &switch.closed_in, &switch.open_in);
                let polarised = switch.polarised.is_some_and(|flag| flag.value);
                let kind = ElementKind::Switch {
                    closed,
                    polarised,
                    current: switch.current,
                    voltage: switch.voltage,
                    contact_resistance: switch.contact_resistance,
                    throw: None,
                };
                (kind, points?, rest.span)
            }
            // Its contacts are elements of their own.
            Item::Selector(_) => return None,
            Item::Relay(relay) => return self.relay(owner, relay),
            Item::Disconnect(disconnect) => {
                let points = self.two_points(owner, name, disconnect.from, disconnect.to, disconnect.is_faulty);
                let out = self.mode_set(&disconnect.disconnect);
                let kind = ElementKind::Disconnect {
                    out,
                    current: disconnect.current,
                    voltage: disconnect.voltage,
                    contact_resistance: disconnect.contact_resistance,
                };
                (kind, points?, disconnect.disconnect.first().map_or(disconnect.span, |text| text.span))
            }
            Item::Link(link) => {
                let points = self.points(owner, link.link.iter().copied().map(Some));
                let kind = ElementKind::Link {
                    resistance: link.resistance,
                    current: link.current,
                    fitted: link.fitted.is_none_or(|flag| flag.value),
                };
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
                let modes = self.modes_in(converter.modes.as_ref());
                let output = converter.converter?;
                let kind = ElementKind::Converter {
                    output: output.value,
                    limit: converter.limit,
                    efficiency: converter.efficiency.map_or(Ratio::new(0.9), |at| at.value),
                    resistance: converter.resistance,
                    current: converter.current,
                    voltage: converter.voltage,
                    modes,
                };
                (kind, points?, output.span)
            }
            Item::Interlock(bridge) => {
                let points = self.exactly(owner, bridge.interlock.iter(), 2, "two points", bridge.span)?;
                let of = self.interlock_port(owner, bridge.of, points.first().copied());
                (
                    ElementKind::Interlock { of, resistance: bridge.resistance },
                    points,
                    bridge.interlock.first().map_or(bridge.span, |text| text.span),
                )
            }
        })
    }

    fn relay(&mut self, owner: Owner, relay: &crate::format::inside::Relay) -> Option<(ElementKind, PointList, Span)> {
        let kind = relay.relay?;
        let coil = self.exactly(owner, relay.coil.iter(), 2, "two points of the coil", relay.span);
        let (count, what) = match kind.value {
            RelayKind::Changeover => (3, "three points of a changeover contact"),
            RelayKind::NormallyOpen | RelayKind::NormallyClosed => (2, "two points of the contact"),
        };
        let contact = self.exactly(owner, relay.contact.iter(), count, what, relay.span);
        let points: PointList = coil?.iter().chain(contact?.iter()).copied().collect();
        let item = ElementKind::Relay {
            contact: kind.value,
            resistance: relay.resistance,
            coil_of: None,
            coil_voltage: relay.coil_voltage,
            pull_in: relay.pull_in,
            hold: relay.hold,
            closing_delay: relay.closing_delay,
            economiser: relay.economiser,
            suppression: relay.suppression.map(|word| word.value),
            current: relay.current,
            voltage: relay.voltage,
            contact_resistance: relay.contact_resistance,
        };
        Some((item, points, kind.span))
    }

    /// Finds the relays that are further contacts of another one: the coil has the same two points of the same box, and only that of the
    /// other has a resistance.
    pub(super) fn join_poles(&mut self) {
        let mut coils: FxHashMap<(Owner, [PointId; 2]), ElementId> = FxHashMap::default();
        let coil = |element: &Element| match (&element.kind, element.points.first(), element.points.get(1)) {
            (ElementKind::Relay { resistance, .. }, Some(plus), Some(minus)) => {
                Some(((element.owner, [*plus, *minus]), resistance.is_some()))
            }
            _ => None,
        };
        for id in self.model.elements.ids() {
            if let Some((points, true)) = coil(&self.model.elements[id]) {
                coils.entry(points).or_insert(id);
            }
        }
        for id in self.model.elements.ids() {
            let Some((points, false)) = coil(&self.model.elements[id]) else { continue };
            if let ElementKind::Relay { coil_of, .. } = &mut self.model.elements[id].kind {
                *coil_of = coils.get(&points).copied();
            }
        }
    }

    fn interlock_port(&mut self, owner: Owner, of: Option<Text>, first: Option<PointId>) -> Option<Opener> {
        let Some(of) = of else {
            return match self.model[first?].kind {
                PointKind::Pin(port) | PointKind::Stud(port) => Some(Opener::Port(port)),
                PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
            };
        };
        let Owner::Device(device) = owner else { return None };
        let cover = self.covers.get(&(device, of.value)).copied().map(Opener::Cover);
        let found = self.ports.get(&(device, of.value)).copied().map(Opener::Port).or(cover);
        if found.is_none() {
            let written = self.model.names.text(of.value).to_owned();
            let finding = self.unknown(Among::Ports(device), "port or cover", &written, of.span);
            self.findings.push(finding);
        }
        found
    }

    /// The two points of an element; of one in line in a loom that names neither, its own.
    fn two_points(
        &mut self,
        owner: Owner,
        name: &Text,
        from: Option<Text>,
        to: Option<Text>,
        is_faulty: bool,
    ) -> Option<PointList> {
        if let (None, None, Owner::Loom(loom)) = (from, to, owner)
            && let Some(LoomItem::InLine(points)) = self.loom_items.get(&(loom, name.value))
        {
            return Some(points.iter().map(|splice| self.model[*splice].point).collect());
        }
        let missing = if from.is_none() { "from" } else { "to" };
        if (from.is_none() || to.is_none()) && !is_faulty {
            let written = self.model.names.text(name.value).to_owned();
            let help = match owner {
                Owner::Device(_) => "name the two points that it joins",
                Owner::Loom(_) => "name both points, or neither: then it is in line and its points are `NAME.1` and `NAME.2`",
            };
            self.findings.push(
                rules::MISSING_KEY
                    .finding(name.span, format!("nothing says what `{written}` joins"))
                    .label(format!("no `{missing}`"))
                    .help(help),
            );
        }
        self.points(owner, [from, to])
    }

    fn exactly<'t>(
        &mut self,
        owner: Owner,
        texts: impl Iterator<Item = &'t Text>,
        count: usize,
        what: &str,
        span: Span,
    ) -> Option<PointList> {
        let texts: Vec<Text> = texts.copied().collect();
        if texts.len() != count {
            let place = texts.first().map_or(span, |text| text.span);
            self.findings.push(
                rules::UNEXPECTED_VALUE
                    .finding(place, format!("{} points are written where {what} belong", texts.len()))
                    .label(format!("expected {what}"))
                    .help(format!("name {what}")),
            );
            return None;
        }
        self.points(owner, texts.into_iter().map(Some))
    }

    pub(super) fn all_but(&self, open: ModeSet) -> ModeSet {
        let mut closed = ModeSet::NONE;
        for (mode, _) in self.model.modes() {
            if !open.has(mode) {
                closed.add(mode);
            }
        }
        closed
    }
}
