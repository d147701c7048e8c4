//! Loom ends and what they mate: everything that must be known before a wire can be placed.

use super::{
    among::Among,
    build::{Builder, LoomItem},
    ids::{EndId, LoomId, PointRange, SpliceId, ZoneId},
    items::{Cable, End, EndKind, Loom, Mate, PointKind, PortKind, Segment, Splice, Thread},
    points::no_positions,
};
use crate::{
    format::{
        clip,
        limits::POINTS,
        looms as document, rules,
        values::{Entry, Map},
    },
    text::{Name, Names, Span, Text},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::cell::OnceCell;

impl Builder {
    /// Looms with their ends, splices and segments, without points.
    pub(super) fn loom_frames(&mut self, looms: &Map<document::Loom>) {
        self.check_labels("loom", looms);
        for entry in looms {
            let id = self.model.looms.next_id();
            self.looms.add(entry.name.value, id);
            let loom = &entry.value;
            let zone = self.zone(loom.zone);
            let name = entry.name.value;
            self.unsure(move |names: &Names| names.text(name).to_owned(), &loom.unsure);
            self.model.looms.push(Loom {
                name,
                span: entry.name.span,
                zone,
                ends: Vec::new(),
                allowance: loom.allowance,
                fitted: loom.fitted.is_none_or(|flag| flag.value),
            });
            self.check_labels("end", &loom.ends);
            self.check_labels("splice", &loom.splices);
            for segment in &loom.route {
                let zone = self.zone(segment.value.zone).or(zone);
                let segment_id = self.model.segments.next_id();
                self.loom_segments.insert((id, segment.name.value), segment_id);
                self.model.segments.push(Segment {
                    name: segment.name.value,
                    span: segment.name.span,
                    loom: id,
                    zone,
                    length: segment.value.length,
                    covering: segment.value.covering,
                    barrier: segment.value.barrier.is_some_and(|flag| flag.value),
                    moves: segment.value.moves.filter(|flag| flag.value).map(|flag| flag.span),
                    bend: segment.value.bend,
                    passage: segment.value.passage,
                    nodes: [segment.value.from, segment.value.to],
                });
            }
            for end in &loom.ends {
                self.end_frame(id, end);
            }
            for splice in &loom.splices {
                let own = self.zone(splice.value.zone);
                let splice_id = self.joint(id, splice.name.value, splice.name.span, own.or(zone));
                self.model.splices[splice_id].at = splice.value.at.and_then(|text| self.segment(id, &text));
                let point = self.model.splices[splice_id].point;
                self.test_point(point, splice.value.test_point);
                self.item(id, &splice.name, LoomItem::Splice(splice_id));
            }
            for element in loom.inside.iter().filter(|element| element.value.0.is_in_line()) {
                let name = self.model.names.text(element.name.value).to_owned();
                let points = ["1", "2"].map(|point| {
                    let label = self.model.names.intern(&format!("{name}.{point}"));
                    self.joint(id, label, element.name.span, zone)
                });
                self.item(id, &element.name, LoomItem::InLine(points));
            }
        }
    }

    /// A point of a loom at which wires meet: a splice, one end of an element in line, the closed end of a wire.
    pub(super) fn joint(&mut self, loom: LoomId, name: Name, span: Span, zone: Option<ZoneId>) -> SpliceId {
        let id = self.model.splices.next_id();
        let point = self.add_point(PointKind::Splice(id), name, span, None);
        self.model.splices.push(Splice { name, span, loom, point, zone, at: None })
    }

    fn item(&mut self, loom: LoomId, name: &Text, item: LoomItem) {
        if let Some(first) = self.loom_items.insert((loom, name.value), item) {
            let place = match first {
                LoomItem::End(end) => self.model[end].span,
                LoomItem::Splice(splice) | LoomItem::InLine([splice, _]) => self.model[splice].span,
            };
            let text = self.model.names.text(name.value);
            self.findings.push(
                rules::REPEATED_NAME
                    .finding(name.span, format!("`{text}` is the name of two things of the loom"))
                    .label("second time")
                    .context(place, "first time")
                    .help("give one of them another name"),
            );
        }
    }

    fn end_frame(&mut self, loom: LoomId, entry: &Entry<document::End>) {
        let id = self.model.ends.next_id();
        let end = &entry.value;
        let (kind, housing_span) = match (end.housing, end.ring, end.lands_on) {
            (_, Some(ring), _) => (EndKind::Ring(Thread { name: ring.value, span: ring.span }), ring.span),
            (_, None, Some(point)) => (EndKind::Bare, point.span),
            (Some(housing), None, None) => {
                let found = self.housings.refer(&self.model.names, &housing, &mut self.findings);
                (EndKind::Connector(found), housing.span)
            }
            (None, None, None) => (EndKind::Connector(None), entry.name.span),
        };
        self.one_way(entry);
        let said = [end.housing, end.ring, end.mates, end.lands_on].iter().any(Option::is_some);
        if !said && !end.is_faulty {
            let text = self.model.names.text(entry.name.value);
            self.findings.push(
                rules::MISSING_KEY
                    .finding(entry.name.span, format!("nothing says what the end `{text}` is"))
                    .label("no `housing`, `ring` or `lands-on`")
                    .help("add `housing` for a connector, `ring` and `bolts-to` for a ring, or `lands-on` for bare wire ends"),
            );
        }
        let zone = self.zone(end.zone).or(self.model[loom].zone);
        let terminal = end.terminal.and_then(|text| {
            self.terminals.refer(&self.model.names, &text, &mut self.findings).map(|terminal| (terminal, text.span))
        });
        let at = end.at.and_then(|text| self.segment(loom, &text));
        let name = entry.name.value;
        self.unsure_in(loom, name, &end.unsure);
        self.item(loom, &entry.name, LoomItem::End(id));
        self.model.ends.push(End {
            name,
            span: entry.name.span,
            loom,
            kind,
            points: PointRange::default(),
            housing_span,
            mate: None,
            mate_span: where_to(end).map(|text| text.span),
            pins: Vec::new(),
            plugged: Vec::new(),
            terminal,
            terminals: Vec::new(),
            zone,
            reach: end.reach,
            at,
            current: end.current,
            voltage: end.voltage,
        });
        self.model.looms[loom].ends.push(id);
    }

    /// Notes an end that goes to two places, or is of two sorts at once.
    fn one_way(&mut self, entry: &Entry<document::End>) {
        let end = &entry.value;
        let Some(lands_on) = end.lands_on else { return };
        let others = [("housing", end.housing), ("mates", end.mates), ("ring", end.ring), ("bolts-to", end.bolts_to)];
        let Some((key, other)) = others.into_iter().find_map(|(key, text)| Some((key, text?))) else { return };
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(lands_on.span, format!("`{}` has both `{key}` and `lands-on`", self.model.names.text(entry.name.value)))
                .label("bare wire ends have no plug and no ring")
                .context(other.span, format!("`{key}` here"))
                .help("keep one of them: what goes to another place is another end"),
        );
    }

    /// What each end mates, is bolted to or lands on.
    pub(super) fn mates(&mut self, looms: &Map<document::Loom>) {
        // Ends are in the order in which the looms name them.
        let mut ends = self.model.ends.ids();
        for (index, loom) in looms.iter().enumerate() {
            let id = LoomId::from_index(index);
            for end in &loom.value.ends {
                let mate = where_to(&end.value).and_then(|text| self.mate(id, &text));
                if let Some(end) = ends.next() {
                    self.model.ends[end].mate = mate;
                }
            }
        }
    }

    fn mate(&mut self, loom: LoomId, text: &Text) -> Option<Mate> {
        let written = self.model.names.text(text.value).to_owned();
        let Some((first, second)) = written.split_once('.') else {
            if let Some(LoomItem::End(end)) = self.loom_items.get(&(loom, text.value)) {
                return Some(Mate::End(*end));
            }
            let mut finding = self.unknown(Among::Devices, "end of this loom called", &written, text.span);
            if self.devices.get(text.value).is_some() {
                finding.help = format!("name the port too: `{written}.PORT`");
                finding.primary.text = "a device; which port?".to_owned();
            }
            self.findings.push(finding);
            return None;
        };
        if let Some(device) = self.devices.find(&self.model.names, first) {
            let port = self.model.names.find(second).and_then(|name| self.ports.get(&(device, name)).copied());
            if port.is_some() {
                return port.map(Mate::Port);
            }
            if self.looms.find(&self.model.names, first).is_none() {
                let finding = self.unknown(Among::Ports(device), &format!("port of `{first}` called"), second, text.span);
                self.findings.push(finding);
                return None;
            }
        }
        if let Some(other) = self.looms.find(&self.model.names, first) {
            let item = self.model.names.find(second).and_then(|name| self.loom_items.get(&(other, name)));
            if let Some(LoomItem::End(end)) = item {
                return Some(Mate::End(*end));
            }
            let finding = self.unknown(Among::Ends(other), &format!("end of loom `{first}` called"), second, text.span);
            self.findings.push(finding);
            return None;
        }
        let finding = self.unknown(Among::DevicesAndLooms, "device or loom", first, text.span);
        self.findings.push(finding);
        None
    }

    /// The points of all ends: positions of the housing, else of what it mates, else what the wires name.
    pub(super) fn end_points(&mut self, looms: &Map<document::Loom>) {
        let mut next = 0;
        for loom in looms {
            let wired = OnceCell::new();
            for entry in &loom.value.ends {
                let id = EndId::from_index(next);
                next += 1;
                let end = &self.model[id];
                let (kind, span, place) = (end.kind, end.span, end.housing_span);
                let first = self.model.points.next_id();
                match kind {
                    EndKind::Ring(_) | EndKind::Bare => {
                        self.add_point(PointKind::Ring(id), entry.name.value, span, None);
                    }
                    EndKind::Connector(housing) => {
                        let labels = match housing.map(|housing| &self.model[housing]) {
                            Some(housing) if !housing.labels.is_empty() => Some(housing.labels.clone()),
                            _ => self.labels_of_mate(id),
                        };
                        let labels = labels.filter(|labels| {
                            self.has_room(&POINTS, self.count_points(), labels.len(), entry.name.span, |model| {
                                format!("`{}`", clip(&model.end_name(id)))
                            })
                        });
                        let labels = match labels {
                            Some(labels) => labels,
                            None => {
                                let wired = wired.get_or_init(|| self.wired_labels(&loom.value));
                                let plugged: Vec<String> =
                                    entry.value.plugged.each(&self.model.names).map(|(label, _)| label).collect();
                                let plugged = plugged.iter().map(|label| self.model.names.intern(label)).collect();
                                own_labels(entry, plugged, wired.get(self.model.names.text(entry.name.value)))
                            }
                        };
                        for label in labels {
                            self.add_point(PointKind::Cavity(id), label, place, None);
                        }
                    }
                }
                let points = PointRange::new(first, self.model.points.next_id());
                self.model.ends[id].points = points;
                self.cavities(id, entry, points);
            }
        }
    }

    /// The labels of the port that an end mates.
    fn labels_of_mate(&self, id: EndId) -> Option<Vec<Name>> {
        let Some(Mate::Port(port)) = self.model[id].mate else { return None };
        let PortKind::Connector(_) = self.model[port].kind else { return None };
        Some(self.model[port].points.iter().map(|point| self.model[point].label).collect())
    }

    /// The labels that wires name, by the name of the end, in the order of the wires.
    fn wired_labels(&self, loom: &document::Loom) -> FxHashMap<String, Vec<Name>> {
        let mut wired: FxHashMap<String, Vec<Name>> = FxHashMap::default();
        for text in loom.wires.iter().flat_map(|wire| [wire.value.from, wire.value.to]).flatten() {
            let parted = self.model.names.text(text.value).split_once('.');
            if let Some((end, label)) = parted
                && let Some(label) = self.model.names.find(label)
            {
                wired.entry(end.to_owned()).or_default().push(label);
            }
        }
        wired
    }

    /// Plugs and terminals by cavity.
    fn cavities(&mut self, id: EndId, entry: &Entry<document::End>, points: PointRange) {
        let name = self.model.names.text(entry.name.value).to_owned();
        let mut plugged = Vec::new();
        let each: Vec<(String, Span)> = entry.value.plugged.each(&self.model.names).collect();
        let mut beyond: Vec<(Span, Vec<String>)> = Vec::new();
        for (label, span) in each {
            let known = self.model.names.find(&label).and_then(|label| self.model.position_of(points, label));
            match (known, beyond.last_mut().filter(|(place, _)| *place == span)) {
                (Some(point), _) => plugged.push((point, span)),
                (None, Some((_, labels))) => labels.push(label),
                (None, None) => beyond.push((span, vec![label])),
            }
        }
        for (span, labels) in beyond {
            self.findings.push(no_positions(&self.model, points, &labels, &name, span));
        }
        let mut pins = Vec::new();
        for pin in &entry.value.pins {
            let label = self.model.names.text(pin.name.value).to_owned();
            let cavity = self.position(points, &label, &name, pin.name.span);
            pins.extend(cavity.map(|cavity| (cavity, pin.value.value, pin.value.span)));
        }
        let mut terminals = Vec::new();
        for exception in &entry.value.terminals {
            let label = self.model.names.text(exception.name.value).to_owned();
            let point = self.position(points, &label, &name, exception.name.span);
            let terminal = self.terminals.refer(&self.model.names, &exception.value, &mut self.findings);
            if let (Some(point), Some(terminal)) = (point, terminal) {
                terminals.push((point, terminal, exception.value.span));
            }
        }
        let end = &mut self.model.ends[id];
        (end.pins, end.plugged, end.terminals) = (pins, plugged, terminals);
    }

    /// Adds a cable of a loom; its screen is placed once all points are there.
    pub(super) fn cable(&mut self, loom: LoomId, entry: &Entry<document::Cable>) {
        let id = self.model.cables.next_id();
        let cable = &entry.value;
        let kind = cable.part.and_then(|text| self.cable_kinds.refer(&self.model.names, &text, &mut self.findings));
        let mut screen_end = |text: Option<Text>| -> Option<(super::PointId, Span)> {
            let text = text?;
            self.loom_point(loom, &text).map(|point| (point, text.span))
        };
        let screen = match &cable.screen {
            Some(ends) => [screen_end(ends.from), screen_end(ends.to)],
            None => [None, None],
        };
        let via = cable.via.iter().filter_map(|text| self.segment(loom, text)).collect();
        self.loom_cables.insert((loom, entry.name.value), id);
        self.model.cables.push(Cable {
            name: entry.name.value,
            span: entry.name.span,
            loom,
            kind,
            kind_span: cable.part.map_or(entry.name.span, |part| part.span),
            length: cable.length,
            via,
            current: cable.current,
            screen,
            screen_size: cable.screen.as_ref().and_then(|ends| ends.size),
        });
    }
}

/// Where an end goes.
fn where_to(end: &document::End) -> Option<Text> {
    end.mates.or(end.bolts_to).or(end.lands_on)
}

/// The labels of an end that nothing else gives positions: those of its own lists, then those that wires name.
fn own_labels(entry: &Entry<document::End>, plugged: Vec<Name>, wired: Option<&Vec<Name>>) -> Vec<Name> {
    let mut labels = plugged;
    labels.extend(entry.value.terminals.iter().map(|exception| exception.name.value));
    labels.sort_unstable();
    labels.dedup();
    let mut seen: FxHashSet<Name> = labels.iter().copied().collect();
    labels.extend(wired.into_iter().flatten().copied().filter(|label| seen.insert(*label)));
    labels
}
