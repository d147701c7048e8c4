//! What is in line with a wire, and the cables that wires are cores of.

use super::{
    super::{CableKind, FuseKind, InLine, InLineKind, Node, Place, RowWire, Wire, names::slug},
    Builder,
};
use crate::cell::{Element, End};

impl Builder<'_> {
    /// A fuse where a wire begins or ends: a device with two pins.
    pub(super) fn fuse_end(&mut self, element: &Element, loom: &str, is_from: bool, place: &Place) -> Option<Node> {
        let Element::Fuse { name: Some(name), rating } = element else { return None };
        let device = slug(name);
        let known = self.draft.looms.get(loom).is_some_and(|held| held.inside.contains_key(&device));
        if known {
            return Some(Node::Side(device, if is_from { 2 } else { 1 }));
        }
        let kind = self.fuse_kind(&device, rating.as_deref(), place);
        let node = self.draft.cavity(self.names, loom, name, if is_from { "out" } else { "in" }, place);
        for side in ["in", "out"] {
            self.draft.cavity(self.names, loom, name, side, place);
            if let Some(pin) = self.draft.ports.get_mut(&self.names.port(&device)).and_then(|port| port.pins.get_mut(side)) {
                pin.is_optional = true;
            }
        }
        self.draft.fuse_devices.entry(device).or_insert((kind, place.clone()));
        Some(node)
    }

    /// The kind of a fuse: by its rating; by its name, to be completed, if nothing gives one.
    pub(super) fn fuse_kind(&mut self, name: &str, rating: Option<&str>, place: &Place) -> String {
        let rating = rating.map(str::to_owned).or_else(|| self.ratings.get(name).cloned());
        let kind = rating.clone().unwrap_or_else(|| name.to_owned());
        if rating.is_none() {
            self.findings.conflict("no rating", format!("no list gives the rating of the fuse `{name}`"), vec![place.clone()]);
        }
        self.draft.fuses.entry(kind.clone()).or_insert_with(|| FuseKind { rating, place: place.clone() });
        kind
    }

    /// What is in line between two pieces of a wire.
    pub(super) fn in_line(&mut self, element: &Element, loom: &str, base: &str, at: usize, place: &Place) -> String {
        let more = if at > 1 { format!("-{at}") } else { String::new() };
        let (name, kind, note) = match element {
            Element::Fuse { name, rating } => {
                let name = name.as_deref().map_or_else(|| format!("F-{base}{more}"), slug);
                let kind = self.fuse_kind(&name, rating.as_deref(), place);
                (name, InLineKind::Fuse(kind), None)
            }
            Element::Resistor(value) => (format!("R-{base}{more}"), InLineKind::Resistor(value.clone()), None),
            Element::Capacitor(value) => (format!("C-{base}{more}"), InLineKind::Capacitor(value.clone()), None),
            Element::Diode => {
                self.findings.assume(format!(
                    "the diode in wire `{base}` drops 0.7 V and conducts from its first end to its second: the list says neither"
                ));
                (
                    format!("D-{base}{more}"),
                    InLineKind::Diode,
                    Some("forward voltage and direction are not in the list".to_owned()),
                )
            }
        };
        self.draft.looms.entry(loom.to_owned()).or_default().inside.entry(name.clone()).or_insert_with(|| InLine {
            kind,
            note,
            place: place.clone(),
        });
        name
    }

    /// A cable whose row names one end for each core on both sides.
    pub(super) fn cable_by_core(&mut self, row: &RowWire, base: &str, stations: &[End]) -> bool {
        let [End::Several(from), End::Several(to)] = stations else { return false };
        let cores = row.size.as_ref().map_or(1, |size| size.cores as usize);
        if from.len() != to.len() || (cores > 1 && cores != from.len()) {
            return false;
        }
        let place = row.place();
        for (at, (one, two)) in from.iter().zip(to).enumerate() {
            let from = self.draft.node(self.names, &row.loom, one, base, &place, self.findings);
            let to = self.draft.node(self.names, &row.loom, two, base, &place, self.findings);
            let mut wire = self.wire(row, from, to, &place);
            let name = format!("{base}-{}", at + 1);
            if cores > 1 {
                self.cabled(row, base, &mut wire, at as u32 + 1, &place);
            }
            self.add((&row.loom, row.number.is_some()), &name, wire);
        }
        true
    }

    /// Makes a wire the core of a cable.
    pub(super) fn cabled(&mut self, row: &RowWire, name: &str, wire: &mut Wire, core: u32, place: &Place) {
        let Some(size) = &row.size else { return };
        let Some(cross) = size.sizes.first() else {
            wire.notes.push(format!("cable of {} cores, size not in the list", size.cores));
            wire.unsure.push("size: not in the list".to_owned());
            return;
        };
        let words =
            format!("{}{}", if size.is_twisted { " twisted" } else { "" }, if size.is_screened { " screened" } else { "" });
        let kind = format!("{cross} x {}{words}", size.cores);
        let made = || CableKind {
            size: cross.clone(),
            cores: size.cores,
            is_twisted: size.is_twisted,
            is_screened: size.is_screened,
            place: place.clone(),
        };
        self.draft.cables.entry(kind.clone()).or_insert_with(made);
        let cable = format!("C-{}", name.replace('.', "_"));
        self.draft.looms.entry(row.loom.clone()).or_default().cables.entry(cable.clone()).or_insert((kind, place.clone()));
        wire.core = Some(format!("{cable}.{core}"));
        wire.size = None;
        // The length and colour of a core are those of its cable, which has one.
        if let Some(colour) = wire.colour.take() {
            wire.notes.push(format!("colour: {colour}"));
        }
        if let Some(length) = wire.length.take() {
            wire.notes.push(format!("length: {length}"));
        }
    }
}
