//! Kinds of parts, resolved.

use super::{
    build::Builder,
    fuses::insulation,
    ids::TerminalId,
    kinds::{CableKind, Conductor, Core, Housing, LandingKind, LandingTakes, Terminal},
    scope::unknown,
};
use crate::{
    format::{clip, limits::POSITIONS, parts as document, parts::Positions, rules, values::List},
    suggest::Candidates,
    text::{Name, Names, Span, Text},
};
use rustc_hash::FxHashMap;

impl Builder {
    /// Resolves all kinds of parts but devices, which are resolved where they are used.
    pub(super) fn parts(&mut self, parts: &document::Parts) {
        for entry in &parts.terminals {
            self.terminals.add(entry.name.value, self.model.terminals.next_id());
            let terminal = &entry.value;
            self.model.terminals.push(Terminal {
                name: entry.name.value,
                span: entry.name.span,
                family: terminal.family,
                size: terminal.size,
                insulation: terminal.insulation,
                current: terminal.current,
                plating: terminal.plating,
                max_wires: terminal.max_wires,
                strip_length: terminal.strip_length,
                seal: terminal.seal,
                die: terminal.die,
            });
        }
        for entry in &parts.housings {
            self.check_label("housing", &entry.name);
            self.housings.add(entry.name.value, self.model.housings.next_id());
            let housing = self.housing(entry.name.value, entry.name.span, &entry.value);
            self.model.housings.push(housing);
        }
        for entry in &parts.points {
            self.landing_kinds.add(entry.name.value, self.model.landing_kinds.next_id());
            let name = entry.name.value;
            self.unsure(move |names: &Names| names.text(name).to_owned(), &entry.value.unsure);
            let takes = entry.value.takes.iter().filter_map(|row| Some(LandingTakes { wires: row.wires?, size: row.size? }));
            self.model.landing_kinds.push(LandingKind {
                name,
                span: entry.name.span,
                takes: takes.collect(),
                current: entry.value.current,
                voltage: entry.value.voltage,
                torque: entry.value.torque,
                strip_length: entry.value.strip_length,
            });
        }
        for entry in &parts.conductors {
            self.conductors.add(entry.name.value, self.model.conductors.next_id());
            let conductor = &entry.value;
            self.model.conductors.push(Conductor {
                name: entry.name.value,
                span: entry.name.span,
                standard: conductor.standard,
                rated: conductor.rated,
                voltage: conductor.voltage,
                strand: conductor.strand,
                wall: conductor.wall,
                insulation: conductor.insulation.map(insulation),
            });
        }
        for entry in &parts.cables {
            self.cable_kinds.add(entry.name.value, self.model.cable_kinds.next_id());
            let cable = self.cable_kind(entry.name.value, entry.name.span, &entry.value);
            self.model.cable_kinds.push(cable);
        }
        for entry in &parts.fuses {
            self.fuse_kinds.add(entry.name.value, self.model.fuse_kinds.next_id());
            let fuse = self.fuse_kind(entry.name.value, entry.name.span, &entry.value);
            self.model.fuse_kinds.push(fuse);
        }
    }

    fn housing(&mut self, name: Name, span: Span, housing: &document::Housing) -> Housing {
        let (labels, labels_span) = self.positions(name, span, housing);
        let mut index: Vec<(Name, u32)> = labels.iter().enumerate().map(|(at, label)| (*label, at as u32)).collect();
        index.sort_unstable();
        let interlock = self.own_labels(&index, &housing.interlock);
        let (mates_first, mates_last) =
            (self.own_labels(&index, &housing.mates_first), self.own_labels(&index, &housing.mates_last));
        Housing {
            name,
            span,
            family: housing.family,
            labels,
            labels_span,
            index,
            face: housing.face.iter().map(|row| row.0.iter().map(|text| text.value).collect()).collect(),
            seen_from: housing.seen_from,
            contacts: housing.contacts,
            key: housing.key,
            key_at: housing.key_at,
            takes_size: housing.takes.as_ref().and_then(|takes| takes.size),
            takes_insulation: housing.takes.as_ref().and_then(|takes| takes.insulation),
            current: housing.current,
            voltage: housing.voltage,
            contact_resistance: housing.contact_resistance,
            sealed: housing.sealed,
            latch_at: housing.latch_at,
            terminals: self.usual_terminals(&housing.terminals),
            plug: housing.plug,
            max_wires: housing.max_wires.map_or(1, |most| most.value.max(1)),
            hv: housing.hv.is_some_and(|flag| flag.value),
            mixed: housing.mixed.is_some_and(|flag| flag.value),
            interlock,
            mates_first,
            mates_last,
        }
    }

    /// The terminals that a housing names; others are reported.
    fn usual_terminals(&mut self, named: &List<Text>) -> Vec<(TerminalId, Span)> {
        let found = named.iter().map(|text| (self.terminals.refer(&self.model.names, text, &mut self.findings), text.span));
        found.filter_map(|(terminal, span)| Some((terminal?, span))).collect()
    }

    /// The labels of a housing, from `positions` or from the rows of its face.
    fn positions(&mut self, name: Name, span: Span, housing: &document::Housing) -> (Vec<Name>, Span) {
        let mut labels = Vec::new();
        let mut place = span;
        let listed: Vec<_> = match &housing.positions {
            Some(Positions::Count(count)) => {
                if !self.has_room(&POSITIONS, self.positions, count.value as usize, count.span, |model| {
                    format!("housing `{}`", clip(model.text(name)))
                }) {
                    return (labels, count.span);
                }
                self.positions += count.value as usize;
                labels = (1..=count.value).map(|number| self.model.names.intern(&number.to_string())).collect();
                return (labels, count.span);
            }
            Some(Positions::Labels(list)) => list.clone(),
            None => housing.face.iter().flat_map(|row| row.0.iter().copied()).collect(),
        };
        if listed.is_empty() && !housing.is_faulty {
            self.findings.push(
                rules::MISSING_KEY
                    .finding(span, format!("the housing `{}` has no positions", self.model.names.text(name)))
                    .label("no `positions`")
                    .help("add `positions`: a number, or a list of labels"),
            );
        }
        let mut seen: FxHashMap<Name, Span> = FxHashMap::default();
        for text in &listed {
            place = text.span;
            if let Some(first) = seen.insert(text.value, text.span) {
                self.findings.push(
                    rules::REPEATED_NAME
                        .finding(text.span, format!("the position `{}` is written twice", self.model.names.text(text.value)))
                        .label("second time")
                        .context(first, "first time")
                        .help("give each position its own label"),
                );
                continue;
            }
            labels.push(text.value);
        }
        let place = listed.first().map_or(place, |first| first.span.to(place));
        (labels, place)
    }

    /// The labels of a list that are positions of the housing; others are reported.
    fn own_labels(&mut self, index: &[(Name, u32)], labels: &List<Text>) -> Vec<Name> {
        let mut own = Vec::new();
        let mut known: Option<Candidates> = None;
        for text in labels {
            if index.binary_search_by_key(&text.value, |(label, _)| *label).is_ok() {
                own.push(text.value);
            } else {
                let names = &self.model.names;
                let known = known.get_or_insert_with(|| Candidates::new(index.iter().map(|(label, _)| names.text(*label))));
                self.findings.push(unknown("position", names.text(text.value), text.span, known));
            }
        }
        own
    }

    fn cable_kind(&mut self, name: Name, span: Span, cable: &document::CableKind) -> CableKind {
        let twist_of = |label: Name| {
            cable.twist.iter().position(|group| group.0.iter().any(|text| text.value == label)).map(|group| group as u32)
        };
        let cores = cable.cores.iter().map(|entry| Core {
            label: entry.name.value,
            span: entry.name.span,
            size: entry.value.size,
            colour: entry.value.colour,
            twist: twist_of(entry.name.value),
        });
        CableKind {
            name,
            span,
            cores: cores.collect(),
            screen: cable.screen,
            standard: cable.standard,
            voltage: cable.voltage,
            rated: cable.rated,
            insulation: cable.insulation.map(insulation),
            strand: cable.strand,
            diameter: cable.diameter,
            bend: cable.bend,
            sheath: cable.sheath,
            mixed: cable.mixed.is_some_and(|flag| flag.value),
        }
    }
}
