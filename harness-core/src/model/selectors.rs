//! Selectors and exclusive elements: what is never closed together, resolved.

use super::{
    build::Builder,
    element::{Element, ElementKind, Exclusive, Owner, Selector, Throw},
    ids::{DeviceId, ElementId, ModeSet, PointId},
    scope::unknown,
};
use crate::{
    format::{
        inside::Selector as Item,
        limits::ELEMENTS,
        lists::{Listed, OneOrList},
        rules,
        values::Entry,
    },
    suggest::Candidates,
    text::{Name, Span, Text},
};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// Most positions of a selector: as many as a set of them has room for.
const MOST_POSITIONS: usize = 64;

impl Builder {
    /// Resolves a selector: one element for each pair of points that it joins in some position.
    pub(super) fn selector(&mut self, owner: Owner, name: &Text, item: &Item) {
        let positions = &item.selector.0;
        if positions.len() > MOST_POSITIONS {
            self.findings.push(
                rules::UNEXPECTED_VALUE
                    .finding(name.span, format!("this selector has {} positions", positions.len()))
                    .label(format!("more than {MOST_POSITIONS}"))
                    .help(format!("use at most {MOST_POSITIONS} positions")),
            );
            return;
        }
        let (in_position, unstated) = self.positions_by_mode(item);
        let id = self.model.selectors.push(Selector { name: name.value, span: name.span, owner, unstated });
        let mut contacts: BTreeMap<(PointId, PointId), u64> = BTreeMap::new();
        for (number, position) in positions.iter().enumerate() {
            for group in &position.value.items {
                for (a, b) in self.joined(owner, group) {
                    *contacts.entry((a, b)).or_default() |= 1 << number;
                }
            }
        }
        let value_span = positions.first().map_or(item.span, |position| position.name.span);
        for ((a, b), numbers) in contacts {
            let mut closed = ModeSet::NONE;
            for (mode, _) in self.model.modes() {
                if in_position.get(mode.index()).copied().flatten().is_some_and(|at| numbers & (1 << at) != 0) {
                    closed.add(mode);
                }
            }
            let throw = Some(Throw { selector: id, positions: numbers });
            let kind = ElementKind::Switch {
                closed,
                polarised: false,
                current: item.current,
                voltage: item.voltage,
                contact_resistance: item.contact_resistance,
                throw,
            };
            if !self.has_room(&ELEMENTS, self.elements_read, 1, name.span, |_| "a contact of this one".to_owned()) {
                return;
            }
            self.elements_read += 1;
            let points = [a, b].into_iter().collect();
            self.model.elements.push(Element { name: name.value, span: name.span, value_span, owner, points, kind });
        }
    }

    /// The number of the position in each mode, and the modes in which nothing says it.
    fn positions_by_mode(&mut self, item: &Item) -> (Vec<Option<usize>>, ModeSet) {
        let positions = &item.selector.0;
        let mut candidates = Candidates::new(positions.iter().map(|entry| self.model.names.text(entry.name.value)));
        let mut number = |builder: &mut Self, text: &Text| {
            let found = positions.iter().position(|entry| entry.name.value == text.value);
            if found.is_none() {
                let written = builder.model.names.text(text.value);
                builder.findings.push(unknown("position of this selector called", written, text.span, &mut candidates));
            }
            found
        };
        // A position that joins nothing is where a selector is at rest, if it is the only one.
        let mut idle = positions.iter().enumerate().filter(|(_, entry)| entry.value.items.is_empty()).map(|(number, _)| number);
        let idle = idle.next().filter(|_| idle.next().is_none());
        let rest = item.rest.map_or(idle, |text| number(self, &text));
        let mut by_mode = vec![rest; self.model.modes.len()];
        for Entry { name, value } in &item.at.0 {
            let position = number(self, value);
            if let Some(mode) = self.modes.refer(&self.model.names, name, &mut self.findings)
                && let Some(place) = by_mode.get_mut(mode.index())
            {
                *place = position;
            }
        }
        let mut unstated = ModeSet::NONE;
        for (mode, _) in self.model.modes() {
            if by_mode.get(mode.index()).copied().flatten().is_none() {
                unstated.add(mode);
            }
        }
        (by_mode, unstated)
    }

    /// The pairs of points that one group of a position joins, each with the lower point first.
    fn joined(&mut self, owner: Owner, group: &Listed<Text>) -> Vec<(PointId, PointId)> {
        if group.items.len() < 2 {
            self.findings.push(
                rules::UNEXPECTED_VALUE
                    .finding(group.span, "this group joins nothing: it names fewer than two points")
                    .label("expected two points or more")
                    .help("name the points that are joined in this position, as in `[[C, L]]`; write `[]` if none are"),
            );
            return Vec::new();
        }
        let Some(points) = self.points(owner, group.items.iter().copied().map(Some)) else { return Vec::new() };
        points
            .windows(2)
            .filter_map(|pair| if let [a, b] = pair { (a != b).then(|| (*a.min(b), *a.max(b))) } else { None })
            .collect()
    }

    /// Keeps what a device says of exclusive elements until all elements are there.
    pub(super) fn keep_exclusive<'t>(&mut self, device: DeviceId, items: impl Iterator<Item = &'t OneOrList>) {
        let mut singles = Vec::new();
        for item in items {
            match item {
                OneOrList::One(text) => singles.push(*text),
                OneOrList::List(list) => self.exclusive.push((device, list.items.clone())),
            }
        }
        if !singles.is_empty() {
            self.exclusive.push((device, singles));
        }
    }

    /// Resolves all groups of exclusive elements.
    pub(super) fn exclusives(&mut self) {
        let groups = std::mem::take(&mut self.exclusive);
        if groups.is_empty() {
            return;
        }
        let mut elements: FxHashMap<(Owner, Name), ElementId> = FxHashMap::default();
        for (id, element) in self.model.elements() {
            elements.entry((element.owner, element.name)).or_insert(id);
        }
        for (device, texts) in groups {
            let mut found: Vec<(ElementId, Span)> = Vec::new();
            for text in &texts {
                let Some(element) = self.excluded(device, text, &elements) else { continue };
                if found.iter().all(|(known, _)| *known != element) {
                    found.push((element, text.span));
                }
            }
            match (found.as_slice(), texts.as_slice()) {
                ([_, _, ..], _) => self.model.exclusive.push(Exclusive { elements: found }),
                ([(_, span)], [_]) => self.findings.push(
                    rules::UNEXPECTED_VALUE
                        .finding(*span, "one element alone excludes nothing")
                        .label("expected two elements or more")
                        .help("name all elements of which only one may be closed, as in `exclusive: [up, down]`"),
                ),
                // The others were reported as they were looked up, or one is named twice.
                (_, _) => {}
            }
        }
    }

    /// The element that a group of `device` names: its own, or `device.element`.
    fn excluded(&mut self, device: DeviceId, text: &Text, elements: &FxHashMap<(Owner, Name), ElementId>) -> Option<ElementId> {
        let written = self.model.names.text(text.value).to_owned();
        let own = elements.get(&(Owner::Device(device), text.value)).copied();
        let found = own.or_else(|| {
            let (owner, name) = written.split_once('.')?;
            let name = self.model.names.find(name)?;
            let device = self.devices.find(&self.model.names, owner).map(Owner::Device);
            let loom = || self.looms.find(&self.model.names, owner).map(Owner::Loom);
            elements.get(&(device.or_else(loom)?, name)).copied()
        });
        let Some(found) = found else {
            let names = self.model.elements().filter(|(_, element)| element.owner == Owner::Device(device));
            let mut candidates = Candidates::new(names.map(|(_, element)| self.model.text(element.name)));
            let what = format!("element of `{}` called", self.model.device_name(device));
            self.findings.push(unknown(&what, &written, text.span, &mut candidates));
            return None;
        };
        let why = match &self.model[found].kind {
            ElementKind::Switch { throw: None, .. } | ElementKind::Relay { .. } | ElementKind::Disconnect { .. } => {
                return Some(found);
            }
            ElementKind::Switch { throw: Some(_), .. } => "a selector, which is in one position at a time already",
            ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => {
                "not a contact"
            }
            ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Link { .. } => "not a contact",
            ElementKind::Converter { .. } | ElementKind::Interlock { .. } => "not a contact",
        };
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(text.span, format!("`{written}` is {why}"))
                .label("cannot be exclusive")
                .help("name switches, relays, contactors and disconnects here"),
        );
        None
    }
}
