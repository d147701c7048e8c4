//! Ends of looms and the ports of devices that they go to.

use super::{
    Draft, EndKind, LoomEnd, Node, Pin, Place, Port, PortKind,
    names::{signed, slug},
};
use crate::{
    cell::{self, Plain},
    mapping::Mapping,
    report::Findings,
};
use std::collections::{BTreeMap, BTreeSet};

/// Which names are plugs with cavities, and to which device a plug belongs.
#[derive(Debug, Default)]
pub(crate) struct Names {
    /// Plugs of which a cavity is named somewhere.
    pub(crate) plugs: BTreeSet<String>,
    devices: BTreeMap<String, String>,
    /// What plugs mate by an export.
    given: BTreeMap<String, (String, String)>,
}

impl Names {
    pub(crate) fn of(mapping: &Mapping) -> Self {
        let devices =
            mapping.devices.iter().flat_map(|(device, plugs)| plugs.iter().map(move |plug| (slug(plug), slug(device)))).collect();
        Self { devices, ..Self::default() }
    }

    /// Takes over which port each plug of an export mates.
    pub(crate) fn take(&mut self, draft: &Draft) {
        for (end, held) in draft.looms.values().flat_map(|loom| &loom.ends) {
            if let EndKind::Mates(port) = &held.kind
                && let Some((device, port)) = port.split_once('.')
            {
                self.plugs.insert(end.clone());
                self.given.entry(end.clone()).or_insert_with(|| (device.to_owned(), port.to_owned()));
            }
        }
    }

    /// Device and port of a plug.
    pub(crate) fn port(&self, plug: &str) -> (String, String) {
        if let Some(given) = self.given.get(plug) {
            return given.clone();
        }
        match self.devices.get(plug) {
            Some(device) => (device.clone(), plug.to_owned()),
            None => (plug.to_owned(), "J".to_owned()),
        }
    }
}

/// A label of a cavity as the netlist has it.
pub(crate) fn label(written: &str) -> String {
    slug(written)
}

impl Draft {
    /// The node of a place, with the end, the device and the pin that it needs.
    pub(crate) fn node(
        &mut self,
        names: &Names,
        loom: &str,
        plain: &Plain,
        wire: &str,
        place: &Place,
        findings: &mut Findings,
    ) -> Node {
        match plain {
            Plain::Cavity { plug, cavity } => self.cavity(names, loom, plug, &label(cavity), place),
            Plain::Whole { name, fixing } => {
                let plug = slug(name);
                let is_point = fixing.is_some() || signed(name).is_some() || cell::is_ground(name) || cell::is_ground_place(name);
                if is_point && !names.plugs.contains(&plug) {
                    return self.point(names, loom, (name, fixing.as_deref()), wire, place);
                }
                let unknown = format!("?{}", wire.replace(['.', ' '], "_"));
                let node = self.cavity(names, loom, name, &unknown, place);
                let (device, port) = names.port(&plug);
                if let Some(pin) = self.ports.get_mut(&(device, port)).and_then(|port| port.pins.get_mut(&unknown)) {
                    pin.unsure.push("cavity: not in the list".to_owned());
                }
                findings.conflict("no cavity", format!("the end `{name}` of wire `{wire}` names no cavity"), vec![place.clone()]);
                node
            }
        }
    }

    /// A cavity of a plug.
    pub(crate) fn cavity(&mut self, names: &Names, loom: &str, plug: &str, label: &str, place: &Place) -> Node {
        let end = slug(plug);
        self.plug(names, loom, plug, place);
        let (device, port) = names.port(&end);
        if let Some(port) = self.ports.get_mut(&(device, port)) {
            port.pins.entry(label.to_owned()).or_insert_with(|| Pin { place: Some(place.clone()), ..Pin::default() });
        }
        Node::Cavity { end, label: label.to_owned() }
    }

    /// A plug and the port that it mates.
    pub(crate) fn plug(&mut self, names: &Names, loom: &str, plug: &str, place: &Place) {
        let end = slug(plug);
        let (device, port) = names.port(&end);
        let mates = format!("{device}.{port}");
        let notes = (end != plug).then(|| format!("in the list: {plug}")).into_iter().collect();
        self.ports.entry((device, port)).or_insert_with(|| Port {
            kind: PortKind::Plug,
            pins: BTreeMap::new(),
            notes,
            given: Vec::new(),
            place: place.clone(),
        });
        if !loom.is_empty() {
            let made = || LoomEnd::new(EndKind::Mates(mates), place.clone());
            self.looms.entry(loom.to_owned()).or_default().ends.entry(end).or_insert_with(made);
        }
    }

    /// A stud, screw or tab.
    fn point(&mut self, names: &Names, loom: &str, (name, fixing): (&str, Option<&str>), wire: &str, place: &Place) -> Node {
        let end = slug(name);
        let thread = fixing.filter(|fixing| cell::is_thread(fixing));
        let kind = match (thread, fixing) {
            (Some(thread), _) => PortKind::Stud(thread.to_owned()),
            (None, Some("tab")) => PortKind::Tab,
            _ => PortKind::Point,
        };
        let (device, port) = match signed(name) {
            Some((stem, sign)) => (names.devices.get(&stem).cloned().unwrap_or(stem), sign.to_owned()),
            None => (names.devices.get(&end).cloned().unwrap_or_else(|| end.clone()), "point".to_owned()),
        };
        let notes = (end != name).then(|| format!("in the list: {name}")).into_iter().collect();
        let made = || Port { kind: kind.clone(), pins: BTreeMap::new(), notes, given: Vec::new(), place: place.clone() };
        let key = (device.clone(), port.clone());
        let known = self.ports.entry(key).or_insert_with(made);
        if known.kind == PortKind::Point && kind != PortKind::Point {
            known.kind = kind;
        }
        let goes_to = format!("{device}.{port}");
        let (end, kind) = match &known.kind {
            PortKind::Stud(thread) => {
                (format!("{end}-{}", slug(wire)), EndKind::Ring { thread: thread.clone(), bolts_to: goes_to })
            }
            _ => (end, EndKind::Lands(goes_to)),
        };
        let made = || LoomEnd::new(kind, place.clone());
        self.looms.entry(loom.to_owned()).or_default().ends.entry(end.clone()).or_insert_with(made);
        Node::Point(end)
    }

    /// Where one row gives the thread of a stud, the wires of the others have rings on it too: a ring each.
    pub(crate) fn studs(&mut self) {
        for loom in self.looms.values_mut() {
            let bare: Vec<(String, String, String)> = loom
                .ends
                .iter()
                .filter(|(_, end)| !end.is_given)
                .filter_map(|(name, end)| {
                    let EndKind::Lands(port) = &end.kind else { return None };
                    let (device, own) = port.split_once('.')?;
                    let PortKind::Stud(thread) = &self.ports.get(&(device.to_owned(), own.to_owned()))?.kind else { return None };
                    Some((name.clone(), port.clone(), thread.clone()))
                })
                .collect();
            for (name, bolts_to, thread) in bare {
                loom.ends.remove(&name);
                for (wire, held) in &mut loom.wires {
                    let ring = format!("{name}-{}", slug(wire));
                    let place = held.place.clone();
                    for node in [&mut held.from, &mut held.to].into_iter().filter(|node| **node == Node::Point(name.clone())) {
                        *node = Node::Point(ring.clone());
                        let kind = EndKind::Ring { thread: thread.clone(), bolts_to: bolts_to.clone() };
                        loom.ends.insert(ring.clone(), LoomEnd::new(kind, place.clone()));
                    }
                }
            }
        }
    }

    /// Plugs of one name in two looms are the halves of one joint: they mate each other, and need no device.
    pub(crate) fn joints(&mut self, names: &Names, findings: &mut Findings) {
        let mut by_end: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (loom, held) in &self.looms {
            for (end, _) in held.ends.iter().filter(|(_, end)| !end.is_given && matches!(end.kind, EndKind::Mates(_))) {
                by_end.entry(end.clone()).or_default().push(loom.clone());
            }
        }
        for (end, looms) in by_end.iter().filter(|(_, looms)| looms.len() > 1) {
            let [one, two] = looms.as_slice() else {
                findings.conflict(
                    "plug in several looms",
                    format!("the plug `{end}` is in {} looms, and two halves mate: {}", looms.len(), looms.join(", ")),
                    Vec::new(),
                );
                continue;
            };
            findings.assume(format!(
                "`{end}` is in the looms `{one}` and `{two}`: taken for the two halves of one joint, which mate each other"
            ));
            for (own, other) in [(one, two), (two, one)] {
                if let Some(held) = self.looms.get_mut(own).and_then(|loom| loom.ends.get_mut(end)) {
                    held.kind = EndKind::Mates(format!("{other}.{end}"));
                }
            }
            self.ports.remove(&names.port(end));
        }
    }
}
