//! Selectors, resolved: switches of several positions, of which one is closed at a time.

use super::{
    build::Builder,
    contact::{Selector, Throw},
    element::{Element, ElementKind},
    ids::{ModeSet, PointId},
    owner::Owner,
    scope::unknown,
};
use crate::{
    format::{inside::Selector as Item, limits::ELEMENTS, lists::Listed, rules, values::Entry},
    suggest::Candidates,
    text::Text,
};
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
        if item.fitted.is_some_and(|flag| !flag.value) {
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
}
