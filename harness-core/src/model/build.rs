//! From the document to the model: kinds first, then devices, loom ends, mates, and last what joins points.

use super::{
    Model,
    among::Known,
    grouping::Grouped,
    ids::{
        CableId, CableKindId, ConductorId, CoverId, DeviceId, DomainId, EndId, FuseKindId, HousingId, LandingKindId, LoomId,
        ModeId, ModeSet, NetworkId, PointId, PortId, SegmentId, SpliceId, TerminalId, ZoneId,
    },
    items::{Bench, Domain, Mode, Policy, Waiver, Zone},
    scope::Scope,
};
use crate::{
    finding::{Finding, Level},
    format::{
        Design, Findings, clip,
        devices::InletLock,
        limits::{MODES, UNSURE},
        lists::Listed,
        rules,
        values::{List, Map},
    },
    suggest::Candidates,
    text::{Name, Names, Text},
    vocabulary::{Current, LABEL_NAMES, LevelWord, Reference, template},
};
use rustc_hash::FxHashMap;

/// What a name in a loom refers to.
#[derive(Debug, Clone, Copy)]
pub(super) enum LoomItem {
    End(EndId),
    Splice(SpliceId),
    /// An element in line, by its two points.
    InLine([SpliceId; 2]),
}

/// The model in the making, with the names under which things are found.
#[derive(Debug)]
pub(super) struct Builder {
    pub(super) model: Model,
    pub(super) findings: Findings,
    /// What the limits count that were met.
    pub(super) crowded: Vec<&'static str>,
    /// Positions of all housing kinds so far.
    pub(super) positions: usize,
    /// Elements read so far, resolved or not.
    pub(super) elements_read: usize,
    /// Groups of elements that devices name, resolved when all elements are there.
    pub(super) groups: Vec<Grouped>,
    /// Bodies with what they are bolted to, resolved when all devices are there.
    pub(super) bodies: Vec<(PortId, Text)>,
    /// Locks of the inlets of the device that is being resolved.
    pub(super) locks: Vec<(PortId, InletLock)>,
    pub(super) known: Known,
    pub(super) domains: Scope<DomainId>,
    pub(super) zones: Scope<ZoneId>,
    pub(super) modes: Scope<ModeId>,
    pub(super) networks: Scope<NetworkId>,
    pub(super) housings: Scope<HousingId>,
    pub(super) terminals: Scope<TerminalId>,
    pub(super) landing_kinds: Scope<LandingKindId>,
    pub(super) conductors: Scope<ConductorId>,
    pub(super) cable_kinds: Scope<CableKindId>,
    pub(super) fuse_kinds: Scope<FuseKindId>,
    pub(super) devices: Scope<DeviceId>,
    pub(super) looms: Scope<LoomId>,
    pub(super) ports: FxHashMap<(DeviceId, Name), PortId>,
    pub(super) covers: FxHashMap<(DeviceId, Name), CoverId>,
    pub(super) nodes: FxHashMap<(DeviceId, Name), PointId>,
    pub(super) loom_items: FxHashMap<(LoomId, Name), LoomItem>,
    pub(super) loom_cables: FxHashMap<(LoomId, Name), CableId>,
    pub(super) loom_segments: FxHashMap<(LoomId, Name), SegmentId>,
}

/// Resolves a document. Never fails: what can't be resolved is left out and reported.
///
/// What was resolved is let go at once: the document of a large design is as large as its model.
#[must_use]
pub fn build(mut design: Design, names: Names) -> (Model, Vec<Finding>) {
    let mut builder = Builder {
        model: Model { names, ..Model::default() },
        findings: Findings::new(),
        crowded: Vec::new(),
        positions: 0,
        elements_read: 0,
        groups: Vec::new(),
        bodies: Vec::new(),
        locks: Vec::new(),
        known: Known::default(),
        domains: Scope::new("voltage domain"),
        zones: Scope::new("zone"),
        modes: Scope::new("mode"),
        networks: Scope::new("network"),
        housings: Scope::new("housing"),
        terminals: Scope::new("terminal"),
        landing_kinds: Scope::new("point kind"),
        conductors: Scope::new("conductor kind"),
        cable_kinds: Scope::new("cable kind"),
        fuse_kinds: Scope::new("fuse"),
        devices: Scope::new("device"),
        looms: Scope::new("loom"),
        ports: FxHashMap::default(),
        covers: FxHashMap::default(),
        nodes: FxHashMap::default(),
        loom_items: FxHashMap::default(),
        loom_cables: FxHashMap::default(),
        loom_segments: FxHashMap::default(),
    };
    builder.frame(&design);
    if let Some(parts) = &design.parts {
        builder.parts(parts);
    }
    builder.devices(&design);
    builder.bodies();
    (design.devices, design.parts) = (Map::default(), None);
    builder.loom_frames(&design.looms);
    builder.mates(&design.looms);
    builder.end_points(&design.looms);
    builder.wiring(design.looms);
    builder.groups();
    (builder.model, builder.findings.into_vec())
}

impl Builder {
    /// Domains, zones, modes, policy: what everything else is in.
    fn frame(&mut self, design: &Design) {
        self.model.design = design.design.map(|text| text.value);
        self.model.revision = design.revision.map(|text| text.value);
        self.model.retired = design.retired.iter().map(|text| (text.value, text.span)).collect();
        for waiver in &design.waivers {
            // Without one of these it says nothing; reading has reported that already.
            if let (Some(finding), Some(at), Some(reason)) = (waiver.finding, waiver.at, waiver.reason) {
                let (reviewed, by, until) = (waiver.reviewed, waiver.by, waiver.until);
                self.model.waivers.push(Waiver { span: waiver.span, finding, at, reason, reviewed, by, until });
            }
        }
        for entry in &design.domains {
            let domain = &entry.value;
            self.domains.add(entry.name.value, self.model.domains.next_id());
            let nominal = domain.nominal.map(|at| at.value).unwrap_or_default();
            if let Some(max) = domain.max.filter(|max| max.value < nominal) {
                let name = self.model.names.text(entry.name.value).to_owned();
                self.findings.push(
                    rules::QUANTITY
                        .finding(max.span, format!("the highest voltage of `{name}` is {}, below its nominal {nominal}", max.value))
                        .label("below the nominal voltage")
                        .help(format!("correct `nominal` or `max` of `{name}`: a domain may rise above its nominal voltage, not stay below it")),
                );
            }
            self.model.domains.push(Domain {
                name: entry.name.value,
                span: entry.name.span,
                nominal,
                max: domain.max.map_or(nominal, |at| at.value),
                ac: domain.kind.is_some_and(|kind| kind.value == Current::Alternating),
                reference: domain.reference.map_or(Reference::Floating, |reference| reference.value),
                colours: domain.colours.clone(),
            });
        }
        for entry in &design.zones {
            self.zones.add(entry.name.value, self.model.zones.next_id());
            self.model.zones.push(Zone {
                name: entry.name.value,
                span: entry.name.span,
                ambient: entry.value.ambient,
                wet: entry.value.wet.is_some_and(|wet| wet.value),
            });
        }
        for entry in &design.modes {
            if self.model.modes.len() == MODES.most {
                let headline = format!("the design has {} modes more than {}", design.modes.0.len() - MODES.most, MODES.most);
                self.findings.push(MODES.exceeded(entry.name.span, headline));
                break;
            }
            self.modes.add(entry.name.value, self.model.modes.next_id());
            self.model.modes.push(Mode {
                name: Some(entry.name.value),
                span: entry.name.span,
                immobile: entry.value.immobile.is_some_and(|flag| flag.value),
                touch_safe: entry.value.touch_safe.is_some_and(|flag| flag.value),
                lasts: entry.value.lasts,
                standing: entry.value.standing.filter(|flag| flag.value).map(|flag| flag.span),
            });
        }
        if self.model.modes.is_empty() {
            // It may be named as one that is written may.
            let always = self.model.names.intern("always");
            self.modes.add(always, self.model.modes.next_id());
            self.model.modes.push(Mode {
                name: None,
                span: design.span,
                immobile: false,
                touch_safe: false,
                lasts: None,
                standing: None,
            });
        }
        self.frame_of_safety(design);
        self.policy(design);
        if let Some(bench) = &design.bench {
            self.label_names(&bench.labels);
            self.model.bench = Bench {
                leads: bench.meter.as_ref().and_then(|meter| meter.leads),
                error: bench.meter.as_ref().and_then(|meter| meter.error),
                waste: bench.waste,
                spares: bench.spares,
                labels: bench.labels.to_vec(),
            };
        }
    }

    fn policy(&mut self, design: &Design) {
        let Some(policy) = &design.policy else { return };
        let levels = policy.levels.iter().map(|entry| {
            let level = match entry.value.value {
                LevelWord::Danger => Level::Danger,
                LevelWord::Error => Level::Error,
                LevelWord::Warning => Level::Warning,
                LevelWord::Note => Level::Note,
            };
            (entry.name.value, level, entry.name.span)
        });
        self.model.policy = Policy {
            unfused_length: policy.unfused_length,
            fuse_loading: policy.fuse_loading,
            handling_size: policy.handling_size,
            contact_resistance: policy.contact_resistance,
            joint_resistance: policy.joint_resistance,
            capacity: policy.capacity,
            voltage_drop: policy.voltage_drop.clone().unwrap_or_default(),
            ambient: policy.ambient,
            rated: policy.rated,
            rings_per_stud: policy.rings_per_stud,
            levels: levels.collect(),
        };
    }

    /// Names in the template of a label that mean nothing.
    fn label_names(&mut self, lines: &List<Text>) {
        let mut known = Candidates::new(LABEL_NAMES.into_iter());
        for line in lines {
            let text = self.model.names.text(line.value).to_owned();
            let names = template(&text).into_iter().filter(|(is_name, name)| *is_name && !LABEL_NAMES.contains(name));
            for (_, name) in names {
                let near = known.nearest(name).map(str::to_owned);
                let label = near.as_ref().map_or_else(|| "unknown name".to_owned(), |near| format!("did you mean `{{{near}}}`?"));
                self.findings.push(
                    rules::UNKNOWN_NAME
                        .finding(
                            line.span,
                            format!("the label has `{{{}}}`, which is the name of nothing that it can show", clip(name)),
                        )
                        .label(label)
                        .help(format!("use `{{{}}}`", LABEL_NAMES.join("}`, `{"))),
                );
            }
        }
    }

    /// The modes that `in:` names: all of them where the key is absent, none for `[]`.
    pub(super) fn modes_in(&mut self, list: Option<&Listed<Text>>) -> ModeSet {
        list.map_or(ModeSet::ALL, |list| self.mode_set(&list.items))
    }

    /// The modes of a list; none where it is empty.
    pub(super) fn mode_set(&mut self, list: &List<Text>) -> ModeSet {
        let mut set = ModeSet::NONE;
        for text in list {
            if let Some(mode) = self.modes.refer(&self.model.names, text, &mut self.findings) {
                set.add(mode);
            }
        }
        set
    }

    /// The zone that a text names.
    pub(super) fn zone(&mut self, text: Option<Text>) -> Option<ZoneId> {
        text.and_then(|text| self.zones.refer(&self.model.names, &text, &mut self.findings))
    }

    /// Notes a name that can't be referred to.
    pub(super) fn check_label(&mut self, what: &str, name: &Text) {
        let text = self.model.names.text(name.value);
        if !text.is_empty() && !text.contains('.') && !text.contains(char::is_whitespace) {
            return;
        }
        self.findings.push(
            rules::LABEL
                .finding(name.span, format!("the {what} `{}` can't be referred to", clip(text)))
                .label("holds a dot or a blank")
                .help("use letters, digits and dashes: references are written `device.port.pin`"),
        );
    }

    /// Keeps what a thing says it is unsure of.
    pub(super) fn unsure(&mut self, thing: impl Fn(&Names) -> String, facts: &List<Text>) {
        for fact in facts {
            if !self.has_room(&UNSURE, self.model.unsure.len(), 1, fact.span, |_| "this entry".to_owned()) {
                return;
            }
            let thing = thing(&self.model.names);
            self.model.unsure.push((thing, fact.value, fact.span));
        }
    }

    /// Keeps what `name`, a thing of a loom, says it is unsure of.
    pub(super) fn unsure_in(&mut self, loom: LoomId, name: Name, facts: &List<Text>) {
        if !facts.is_empty() {
            let thing = format!("{}.{}", self.model.loom_name(loom), self.model.names.text(name));
            self.unsure(|_| thing.clone(), facts);
        }
    }

    /// Notes every name of a map that can't be referred to.
    pub(super) fn check_labels<T>(&mut self, what: &str, map: &Map<T>) {
        for entry in map {
            self.check_label(what, &entry.name);
        }
    }
}
