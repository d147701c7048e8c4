//! Groups of elements that something names (what is never closed together, the poles of a residual-current device, what must be open when
//! something else is), resolved.

use super::{
    build::Builder,
    contact::{Exclusive, Residual},
    element::Element,
    grouping::{Grouped, Grouping},
    ids::ElementId,
    items::{OpenedBy, Opening},
    owner::Owner,
    scope::unknown,
};
use crate::{
    format::{lists::OneOrList, rules, values::List},
    suggest::Candidates,
    text::{Name, Span, Text},
};
use rustc_hash::FxHashMap;

impl Builder {
    /// Keeps what a device says of a group of elements until all elements are there.
    pub(super) fn keep_groups<'t>(&mut self, owner: Owner, grouping: Grouping, items: impl Iterator<Item = &'t OneOrList>) {
        let mut singles = Vec::new();
        for item in items {
            match item {
                OneOrList::One(text) => singles.push(*text),
                OneOrList::List(list) => {
                    self.groups.push(Grouped { owner: Some(owner), grouping, names: list.items.clone() });
                }
            }
        }
        if !singles.is_empty() {
            self.groups.push(Grouped { owner: Some(owner), grouping, names: singles });
        }
    }

    /// Keeps which contacts something must open until all elements are there.
    pub(super) fn keep_opened(&mut self, owner: Option<Owner>, by: OpenedBy, names: &List<Text>) {
        if !names.is_empty() {
            self.groups.push(Grouped { owner, grouping: Grouping::Opened(by), names: names.clone() });
        }
    }

    /// Resolves all groups of elements.
    pub(super) fn groups(&mut self) {
        let groups = std::mem::take(&mut self.groups);
        if groups.is_empty() {
            return;
        }
        let mut elements: FxHashMap<(Owner, Name), ElementId> = FxHashMap::default();
        for (id, element) in self.model.elements() {
            elements.entry((element.owner, element.name)).or_insert(id);
        }
        for Grouped { owner, grouping, names } in groups {
            let mut found: Vec<(ElementId, Span)> = Vec::new();
            for text in &names {
                let Some(element) = self.member(owner, grouping, text, &elements) else { continue };
                if found.iter().all(|(known, _)| *known != element) {
                    found.push((element, text.span));
                }
            }
            match (found.as_slice(), names.as_slice()) {
                ([_, ..], _) if let Grouping::Opened(by) = grouping => {
                    self.model.openings.push(Opening { by, contacts: found });
                }
                ([_, _, ..], _) => match grouping {
                    Grouping::Opened(_) => {}
                    Grouping::Exclusive => self.model.exclusive.push(Exclusive { elements: found }),
                    Grouping::Residual => self.model.residual.push(Residual { poles: found }),
                },
                ([(_, span)], [_]) => {
                    if let Some((what, help)) = grouping.of_one() {
                        let finding =
                            rules::UNEXPECTED_VALUE.finding(*span, what).label("expected two elements or more").help(help);
                        self.findings.push(finding);
                    }
                }
                // The others were reported as they were looked up, or one is named twice.
                (_, _) => {}
            }
        }
    }

    /// The element that a group of `owner` names: its own, or `device.element`.
    fn member(
        &mut self,
        owner: Option<Owner>,
        grouping: Grouping,
        text: &Text,
        elements: &FxHashMap<(Owner, Name), ElementId>,
    ) -> Option<ElementId> {
        let written = self.model.names.text(text.value).to_owned();
        let own = owner.and_then(|owner| elements.get(&(owner, text.value)).copied());
        let found = own.or_else(|| {
            let (holder, name) = written.split_once('.')?;
            let name = self.model.names.find(name)?;
            let device = self.devices.find(&self.model.names, holder).map(Owner::Device);
            let loom = || self.looms.find(&self.model.names, holder).map(Owner::Loom);
            elements.get(&(device.or_else(loom)?, name)).copied()
        });
        let is_it = |element: &Element| match written.split_once('.') {
            Some((holder, name)) => self.model.owner_name(element.owner) == holder && self.model.text(element.name) == name,
            None => Some(element.owner) == owner && element.name == text.value,
        };
        if found.is_none() && self.model.left_out.iter().any(is_it) {
            return None;
        }
        let Some(found) = found else {
            let finding = match owner {
                Some(owner) => {
                    let names = self.model.elements().filter(|(_, element)| element.owner == owner);
                    let mut candidates = Candidates::new(names.map(|(_, element)| self.model.text(element.name)));
                    let what = format!("element of `{}` called", self.model.owner_name(owner));
                    unknown(&what, &written, text.span, &mut candidates)
                }
                None => {
                    let names: Vec<String> = self.model.elements().map(|(id, _)| self.model.element_name(id)).collect();
                    let mut candidates = Candidates::new(names.iter().map(String::as_str));
                    unknown("contact called", &written, text.span, &mut candidates)
                }
            };
            self.findings.push(finding);
            return None;
        };
        let Some((why, cannot, help)) = grouping.refuses(&self.model[found].kind) else { return Some(found) };
        let finding = rules::UNEXPECTED_VALUE.finding(text.span, format!("`{written}` is {why}")).label(cannot).help(help);
        self.findings.push(finding);
        None
    }
}
