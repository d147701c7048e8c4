//! What a device says of safety (covers, what keeps its sides apart, what its signals permit), and networks and the sequence of a design.

use super::{
    among::Among,
    build::Builder,
    devices::merged,
    ids::{DeviceId, PointId, PortId},
    items::{Cover, InletLock, Isolation, IsolationMonitor, Network, OpenedBy},
    owner::Owner,
};
use crate::{
    format::{Design, devices as document, lists::OneOrList, rules, values::List},
    text::{Span, Text},
};

impl Builder {
    /// Networks, and what modes say beyond themselves: the sequence and the contacts that must be open in each.
    pub(super) fn frame_of_safety(&mut self, design: &Design) {
        for entry in &design.networks {
            self.check_label("network", &entry.name);
            self.networks.add(entry.name.value, self.model.networks.next_id());
            let (kind, rate) = (entry.value.kind, entry.value.rate);
            self.model.networks.push(Network { name: entry.name.value, span: entry.name.span, kind, rate });
        }
        for text in &design.sequence {
            if let Some(mode) = self.modes.refer(&self.model.names, text, &mut self.findings) {
                self.model.sequence.push((mode, text.span));
            }
        }
        for entry in &design.modes {
            if let Some(mode) = self.modes.get(entry.name.value) {
                self.keep_opened(None, OpenedBy::Mode(mode), &entry.value.opens);
            }
        }
    }

    /// What a device says of safety; its points are there.
    pub(super) fn safety(&mut self, device: DeviceId, kind: Option<&document::Device>, own: &document::Device) {
        for entry in merged(kind.map(|kind| &kind.covers.0), &own.covers.0) {
            self.check_label("cover", &entry.name);
            let id = self.model.covers.next_id();
            let cover = &entry.value;
            let reaches = cover.reaches.iter().filter_map(|text| Some((self.point_of(device, text)?, text.span))).collect();
            self.covers.entry((device, entry.name.value)).or_insert(id);
            self.model.covers.push(Cover {
                name: entry.name.value,
                span: entry.name.span,
                device,
                access: cover.access,
                reaches,
            });
            self.keep_opened(Some(Owner::Device(device)), OpenedBy::Cover(id), &cover.opens);
        }
        let isolation = kind.into_iter().flat_map(|kind| &kind.isolation).chain(&own.isolation);
        let isolation = isolation
            .map(|item| Isolation {
                between: self.ports_named(device, &item.between),
                and: self.ports_named(device, &item.and),
                voltage: item.voltage,
                span: item.span,
            })
            .collect();
        let monitor = own.isolation_monitor.as_ref().or(kind.and_then(|kind| kind.isolation_monitor.as_ref()));
        let monitor = monitor.and_then(|monitor| {
            let modes = self.modes_in(monitor.modes.as_ref());
            let at = monitor.at?;
            Some(IsolationMonitor { at: self.point_of(device, &at)?, modes, span: at.span })
        });
        let apart = kind.into_iter().flat_map(|kind| &kind.apart).chain(&own.apart);
        let apart: Vec<(Vec<PointId>, Span)> = apart.map(|item| self.circuit(device, item)).collect();
        if let [(_, span)] = apart.as_slice() {
            let what = "one circuit alone is apart from nothing";
            let help = "name all circuits that back each other up, as in `apart: [J1, J2]`";
            self.findings.push(rules::UNEXPECTED_VALUE.finding(*span, what).label("expected two circuits or more").help(help));
        }
        let item = &mut self.model.devices[device];
        (item.isolation, item.monitor, item.apart) = (isolation, monitor, apart);
        for (port, lock) in std::mem::take(&mut self.locks) {
            let mut points =
                |texts: &List<Text>| -> Vec<PointId> { texts.iter().filter_map(|text| self.point_of(device, text)).collect() };
            let (motor, feedback) = (points(&lock.motor), points(&lock.feedback));
            self.model.ports[port].lock = Some(InletLock { motor, feedback, span: lock.span });
        }
    }

    /// The pins of a circuit: those of a port or a pin, or of each that a list names.
    fn circuit(&mut self, device: DeviceId, item: &OneOrList) -> (Vec<PointId>, Span) {
        let (texts, span) = match item {
            OneOrList::One(text) => (std::slice::from_ref(text), text.span),
            OneOrList::List(list) => (list.items.as_slice(), list.span),
        };
        let mut found: Vec<PointId> = Vec::new();
        for text in texts {
            match self.ports.get(&(device, text.value)) {
                Some(port) => found.extend(self.model[*port].points.iter()),
                None => found.extend(self.point_of(device, text)),
            }
        }
        found.sort_unstable();
        found.dedup();
        (found, span)
    }

    fn point_of(&mut self, device: DeviceId, text: &Text) -> Option<PointId> {
        self.points(Owner::Device(device), [Some(*text)])?.first().copied()
    }

    fn ports_named(&mut self, device: DeviceId, texts: &List<Text>) -> Vec<PortId> {
        let mut found = Vec::new();
        for text in texts {
            match self.ports.get(&(device, text.value)) {
                Some(port) => found.push(*port),
                None => {
                    let written = self.model.names.text(text.value).to_owned();
                    let finding = self.unknown(Among::Ports(device), "port", &written, text.span);
                    self.findings.push(finding);
                }
            }
        }
        found
    }
}
