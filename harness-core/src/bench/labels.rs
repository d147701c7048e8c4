//! What is written on the labels of wires, ends, fuses and devices.

use super::{Bench, far_end};
use crate::{
    model::{ElementKind, PointId, WireId},
    text::Span,
    vocabulary::{LABEL_NAMES, template},
};

/// What a label is put on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LabelOf {
    /// One end of a wire.
    Wire,
    /// An end of a loom.
    End,
    /// A fuse.
    Fuse,
    /// A device.
    Device,
}

impl LabelOf {
    /// What it is called in a list.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wire => "wire",
            Self::End => "end",
            Self::Fuse => "fuse",
            Self::Device => "device",
        }
    }
}

/// A label.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Label {
    /// What it is put on.
    pub of: LabelOf,
    /// The loom; empty for a fuse or device that is in none.
    pub loom: String,
    /// The thing, as findings name it: `front.104`, `front.P3`.
    pub name: String,
    /// Where on it: the place at which a wire ends; empty for all else.
    pub at: String,
    /// What is written on it, line by line.
    pub lines: Vec<String>,
    /// Whether it is on something of voltage class B.
    pub is_class_b: bool,
}

/// The lines of a wire's label where the workshop gives none.
const USUAL: [&str; 2] = ["{wire}", "{here} > {there}"];

impl Bench<'_> {
    /// All labels: the two ends of each wire loom by loom, then ends, fuses and devices, each in the order written.
    ///
    /// # Cost
    /// A pass over wires, ends, elements and devices.
    #[must_use]
    pub fn labels(&self) -> Vec<Label> {
        let model = self.model();
        let mut labels = Vec::new();
        for loom in self.loom_ids() {
            let name = model.loom_name(loom).to_owned();
            for id in self.wires_of(loom).iter().copied() {
                let wire = &model[id];
                for point in [wire.from, wire.to].into_iter().flatten().filter(|point| self.end_at(*point).is_some()) {
                    labels.push(Label {
                        of: LabelOf::Wire,
                        loom: name.clone(),
                        name: model.wire_name(id),
                        at: model.point_name(point),
                        lines: self.wire_label(id, point),
                        is_class_b: self.is_class_b(point),
                    });
                }
            }
            for end in self.ends_of(loom) {
                let mate = self.analysis.facts().wire_ends().partner(end).map(|mate| model.mate_name(mate));
                let lines = [Some(model.end_name(end)), mate.map(|mate| format!("> {mate}"))];
                labels.push(Label {
                    of: LabelOf::End,
                    loom: name.clone(),
                    name: model.end_name(end),
                    at: String::new(),
                    lines: lines.into_iter().flatten().collect(),
                    is_class_b: model[end].points.iter().any(|point| self.is_class_b(point)),
                });
            }
        }
        labels.extend(self.fuse_labels());
        let mut devices: Vec<_> = model.devices().filter(|(_, device)| device.fitted && !device.chassis).collect();
        devices.sort_unstable_by_key(|(_, device)| device.span);
        labels.extend(devices.into_iter().map(|(id, device)| Label {
            of: LabelOf::Device,
            loom: String::new(),
            name: model.device_name(id).to_owned(),
            at: String::new(),
            lines: vec![model.device_name(id).to_owned()],
            is_class_b: model.points_of(device).any(|point| self.is_class_b(point)),
        }));
        labels
    }

    fn fuse_labels(&self) -> Vec<Label> {
        let model = self.model();
        let mut fuses: Vec<(Span, Label)> = Vec::new();
        for (id, element) in model.elements() {
            let ElementKind::Fuse { kind, .. } = element.kind else { continue };
            let rating = kind.and_then(|kind| model[kind].rating).map(|rating| rating.value.to_string());
            let lines = [Some(model.element_name(id)), rating];
            fuses.push((
                element.span,
                Label {
                    of: LabelOf::Fuse,
                    loom: String::new(),
                    name: model.element_name(id),
                    at: String::new(),
                    lines: lines.into_iter().flatten().collect(),
                    is_class_b: element.points.iter().any(|point| self.is_class_b(*point)),
                },
            ));
        }
        fuses.sort_by_key(|(span, _)| *span);
        fuses.into_iter().map(|(_, label)| label).collect()
    }

    /// The lines on the label of a wire at one of its ends.
    pub(super) fn wire_label(&self, id: WireId, here: PointId) -> Vec<String> {
        let model = self.model();
        let wire = &model[id];
        let there = far_end(wire, here);
        // Within its loom: a label is short.
        let local = |point: PointId| {
            let name = model.point_name(point);
            let loom = format!("{}.", model.loom_name(wire.loom));
            name.strip_prefix(&loom).map_or_else(|| name.clone(), str::to_owned)
        };
        let text = |name: Option<crate::text::Name>| name.map_or_else(String::new, |name| model.text(name).to_owned());
        let values = [
            text(model.design),
            text(model.revision),
            model.loom_name(wire.loom).to_owned(),
            model.text(wire.name).to_owned(),
            self.size_of(wire),
            wire.colour.map_or_else(String::new, |colour| colour.value.to_string()),
            self.signal_at(&[here]),
            local(here),
            there.map_or_else(|| "nowhere".to_owned(), local),
        ];
        let own: Vec<&str> = model.bench.labels.iter().map(|line| model.text(line.value)).collect();
        let lines: &[&str] = if own.is_empty() { &USUAL } else { &own };
        let value = |name: &str| LABEL_NAMES.iter().position(|known| *known == name).and_then(|at| values.get(at));
        let filled = lines.iter().map(|line| {
            let pieces = template(line).into_iter();
            let filled: String =
                pieces.map(|(is_name, text)| if is_name { value(text).map_or("", String::as_str) } else { text }).collect();
            filled.trim().to_owned()
        });
        filled.filter(|line| !line.is_empty()).collect()
    }
}
