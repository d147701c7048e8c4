//! Points by their names: `J1.2`, `POS`, a node of a device.

use super::{
    Model,
    among::Among,
    build::Builder,
    ids::{DeviceId, PointId, PointList, PointRange},
    items::PortKind,
    owner::Owner,
    scope::few,
};
use crate::{
    format::{clip, rules},
    text::{Span, Text},
};

impl Builder {
    /// The points of an element; all are looked up before one missing takes the element away.
    pub(super) fn points(&mut self, owner: Owner, texts: impl IntoIterator<Item = Option<Text>>) -> Option<PointList> {
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
        let Some((kind, range)) = port.map(|port| &self.model[*port]).map(|port| (port.kind, port.points)) else {
            let what = format!("port or node of `{}` called", self.model.device_name(device));
            let port_text = port_text.to_owned();
            let finding = self.unknown(Among::PortsAndNodes(device), &what, &port_text, text.span);
            self.findings.push(finding);
            return None;
        };
        let (found, finding) = match (kind, label) {
            (PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body, None) => (range.get(0), None),
            (PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body, Some(_)) => {
                (None, Some(not_a_connector(port_text, text.span)))
            }
            (PortKind::Connector(_), None) => (None, Some(needs_position(&self.model, range, port_text, text.span))),
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
}

pub(super) fn sorted<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut names: Vec<&str> = names.collect();
    names.sort_unstable();
    names
}

/// What is said of labels that one word names and none of which is a position of `range`.
pub(super) fn no_positions(
    model: &Model,
    range: PointRange,
    labels: &[String],
    place: &str,
    span: Span,
) -> crate::finding::Finding {
    let noun = if labels.len() == 1 { "position" } else { "positions" };
    rules::UNKNOWN_NAME
        .finding(span, format!("`{}` has no {noun} {}", clip(place), few(labels.iter().map(String::as_str))))
        .label(format!("no such {noun}"))
        .help(format!("its positions are {}", few(range.iter().map(|point| model.text(model[point].label)))))
}

pub(super) fn not_a_connector(name: &str, span: Span) -> crate::finding::Finding {
    rules::UNKNOWN_NAME
        .finding(span, format!("`{}` has no positions", clip(name)))
        .label("a single point: a stud, screw, ring, bare end or splice")
        .help(format!("write `{}` alone", clip(name)))
}

/// That a connector is named where one of its positions is meant; `range` are its positions.
pub(super) fn needs_position(model: &Model, range: PointRange, name: &str, span: Span) -> crate::finding::Finding {
    let first = range.get(0).map_or("1", |point| model.names.text(model[point].label));
    rules::UNKNOWN_NAME
        .finding(span, format!("`{}` is a connector, not a point", clip(name)))
        .label("which position?")
        .help(format!("name the position, such as `{}.{}`", clip(name), clip(first)))
}

pub(super) fn find_position(
    model: &Model,
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
    let labels = range.iter().map(|point| model.text(model[point].label));
    let finding = rules::UNKNOWN_NAME
        .finding(span, format!("`{}` has no position `{}`", clip(place), clip(label)))
        .label("no such position")
        .help(format!("its positions are {}", few(labels)));
    (None, Some(finding))
}
