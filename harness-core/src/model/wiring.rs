//! Wires, cores and loom elements: what joins the points of a loom.

use super::{
    among::Among,
    build::{Builder, LoomItem},
    ids::{CableId, ConductorId, LoomId, PointId},
    items::{EndKind, PortKind, Wire},
    owner::Owner,
    points::{needs_position, not_a_connector},
    scope::few,
};
use crate::{
    finding::Finding,
    format::{
        clip, looms as document, rules,
        values::{Entry, Map},
    },
    text::{Name, Text},
    vocabulary::EndTreatment,
};

impl Builder {
    /// Wires, cables and elements of all looms; each loom is let go when it is done.
    pub(super) fn wiring(&mut self, looms: Map<document::Loom>) {
        self.model.wires.reserve_exact(looms.iter().map(|loom| loom.value.wires.0.len()).sum());
        for (index, entry) in looms.0.into_iter().enumerate() {
            let id = LoomId::from_index(index);
            let loom = &entry.value;
            let kind = loom.wire.and_then(|text| self.conductors.refer(&self.model.names, &text, &mut self.findings));
            for cable in &loom.cables {
                self.cable(id, cable);
            }
            for wire in &loom.wires {
                self.wire(id, kind, wire);
            }
            for element in &loom.inside {
                self.element(Owner::Loom(id), element);
            }
        }
    }

    fn wire(&mut self, loom: LoomId, kind: Option<ConductorId>, entry: &Entry<document::Wire>) {
        let wire = &entry.value;
        let from = wire.from.and_then(|text| self.wire_end(loom, entry.name.value, &text));
        let to = wire.to.and_then(|text| self.wire_end(loom, entry.name.value, &text));
        let capped = [wire.from, wire.to].into_iter().flatten().any(|text| self.is_capped(loom, &text));
        let own = wire.wire.and_then(|text| self.conductors.refer(&self.model.names, &text, &mut self.findings));
        let core = wire.core.and_then(|text| self.core(loom, &text));
        let mut via: Vec<_> = wire.via.iter().filter_map(|text| self.segment(loom, text)).collect();
        let name = entry.name.value;
        self.unsure_in(loom, name, &wire.unsure);
        let cable = core.and_then(|(cable, position)| {
            let cable = &self.model[cable];
            if via.is_empty() {
                via = cable.via.to_vec();
            }
            let core = self.model[cable.kind?].cores.get(position as usize)?;
            Some((cable.length, core.size, core.colour))
        });
        let (cable_length, cable_size, cable_colour) = cable.unwrap_or((None, None, None));
        self.model.wires.push(Wire {
            name,
            span: entry.name.span,
            loom,
            from,
            to,
            from_span: wire.from.map_or(entry.name.span, |text| text.span),
            to_span: wire.to.map_or(entry.name.span, |text| text.span),
            size: wire.size.or(cable_size),
            colour: wire.colour.or(cable_colour),
            length: wire.length.or(cable_length),
            kind: own.or(if core.is_some() { None } else { kind }),
            core,
            core_span: wire.core.map(|text| text.span),
            twist: wire.twist.map(|text| text.value),
            via: via.into_boxed_slice(),
            capped: capped || wire.end.is_some(),
            current: wire.current,
            peak: wire.peak,
        });
    }

    /// Where one end of a wire is; a closed end is a point of its own.
    fn wire_end(&mut self, loom: LoomId, wire: Name, text: &Text) -> Option<PointId> {
        if !self.is_capped(loom, text) {
            return self.loom_point(loom, text);
        }
        let label = format!("capped end of {}", self.model.names.text(wire));
        let label = self.model.names.intern(&label);
        let zone = self.model[loom].zone;
        let joint = self.joint(loom, label, text.span, zone);
        Some(self.model[joint].point)
    }

    /// Whether a text says that an end of a wire is closed off; a thing of that name comes first.
    fn is_capped(&self, loom: LoomId, text: &Text) -> bool {
        self.model.names.text(text.value) == EndTreatment::Capped.word() && !self.loom_items.contains_key(&(loom, text.value))
    }

    pub(super) fn segment(&mut self, loom: LoomId, text: &Text) -> Option<super::SegmentId> {
        let found = self.loom_segments.get(&(loom, text.value)).copied();
        if found.is_none() {
            let written = self.model.names.text(text.value).to_owned();
            let finding = self.unknown(Among::Segments(loom), "segment of this loom called", &written, text.span);
            self.findings.push(finding);
        }
        found
    }

    fn core(&mut self, loom: LoomId, text: &Text) -> Option<(CableId, u32)> {
        let written = self.model.names.text(text.value).to_owned();
        let Some((cable_text, label)) = written.split_once('.') else {
            self.findings.push(
                rules::UNKNOWN_NAME
                    .finding(text.span, format!("`{written}` names no core"))
                    .label("which core?")
                    .help("write `cable.core`, such as `C1.2`"),
            );
            return None;
        };
        let Some(&cable) = self.model.names.find(cable_text).and_then(|name| self.loom_cables.get(&(loom, name))) else {
            let finding = self.unknown(Among::Cables(loom), "cable of this loom called", cable_text, text.span);
            self.findings.push(finding);
            return None;
        };
        let cores = &self.model[self.model[cable].kind?].cores;
        let label_name = self.model.names.find(label);
        let position = cores.iter().position(|core| Some(core.label) == label_name);
        if position.is_none() {
            let known = cores.iter().map(|core| self.model.names.text(core.label));
            let finding = rules::UNKNOWN_NAME
                .finding(text.span, format!("the cable `{cable_text}` has no core `{label}`"))
                .label("no such core")
                .help(format!("its cores are {}", few(known)));
            self.findings.push(finding);
        }
        position.map(|position| (cable, position as u32))
    }

    /// The point of a loom that a text names: `P1.4`, `R1` or `S1`.
    pub(super) fn loom_point(&mut self, loom: LoomId, text: &Text) -> Option<PointId> {
        match find_loom_point(self, loom, text) {
            Ok(point) => Some(point),
            Err(Some(finding)) => {
                self.findings.push(*finding);
                None
            }
            Err(None) => {
                let finding = self.no_such_item(loom, text);
                self.findings.push(finding);
                None
            }
        }
    }

    /// The finding about a text whose first part is neither an end nor a splice of the loom.
    fn no_such_item(&mut self, loom: LoomId, text: &Text) -> Finding {
        let written = self.model.names.text(text.value).to_owned();
        let (item, _) = parted(&written);
        let what = format!("end or splice of loom `{}` called", self.model.loom_name(loom));
        let mut finding = self.unknown(Among::EndsAndSplices(loom), &what, item, text.span);
        if let Some(device) = self.devices.find(&self.model.names, item) {
            let port =
                parted(&written).1.and_then(|port| self.model.names.find(port)).and_then(|port| self.ports.get(&(device, port)));
            let key = match port.map(|port| self.model[*port].kind) {
                Some(PortKind::Landing(_)) => "lands-on",
                Some(PortKind::Stud(_) | PortKind::Body) => "bolts-to",
                Some(PortKind::Connector(_)) | None => "mates",
            };
            let written = clip(&written);
            finding.help = match key {
                "mates" => format!("a wire joins ends of its own loom: add an end that mates `{written}` and wire that"),
                key => {
                    format!("a wire joins ends of its own loom: add an end with `{key}: {written}` and lead the wire to that end")
                }
            };
            finding.primary.text = "a device, not an end of this loom".to_owned();
        }
        finding
    }
}

/// The end and the cavity: a ring or splice is one name, only a connector's cavity has a dot.
fn parted(written: &str) -> (&str, Option<&str>) {
    match written.split_once('.') {
        Some((item, label)) => (item, Some(label)),
        None => (written, None),
    }
}

/// The point that a text names in a loom; else what is said of it, and nothing where its first part is unknown.
fn find_loom_point(builder: &Builder, loom: LoomId, text: &Text) -> Result<PointId, Option<Box<Finding>>> {
    let model = &builder.model;
    let (item, label) = parted(model.names.text(text.value));
    let found = model.names.find(item).and_then(|name| builder.loom_items.get(&(loom, name)));
    let said = |finding| Err(Some(Box::new(finding)));
    match (found, label) {
        (Some(LoomItem::Splice(splice)), None) => Ok(model[*splice].point),
        (Some(LoomItem::InLine([one, _])), Some("1")) => Ok(model[*one].point),
        (Some(LoomItem::InLine([_, other])), Some("2")) => Ok(model[*other].point),
        (Some(LoomItem::InLine(_)), _) => said(
            rules::UNKNOWN_NAME
                .finding(text.span, format!("`{}` is in line and has the points `1` and `2`", clip(item)))
                .label("which point?")
                .help(format!("write `{0}.1` or `{0}.2`", clip(item))),
        ),
        (Some(LoomItem::Splice(_)), Some(_)) => said(not_a_connector(item, text.span)),
        (Some(LoomItem::End(end)), label) => {
            let end = &model[*end];
            match (end.kind, label) {
                (EndKind::Ring(_) | EndKind::Bare, None) => end.points.get(0).ok_or(None),
                (EndKind::Ring(_) | EndKind::Bare, Some(_)) => said(not_a_connector(item, text.span)),
                (EndKind::Connector(_), None) => said(needs_position(model, end.points, item, text.span)),
                (EndKind::Connector(_), Some(label)) => {
                    let (point, finding) = super::points::find_position(model, end.points, label, item, text.span);
                    point.ok_or(finding.map(Box::new))
                }
            }
        }
        (None, _) => Err(None),
    }
}
