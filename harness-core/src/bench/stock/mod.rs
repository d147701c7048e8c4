//! What must be on the shelf before work begins: counted loom by loom, with spares by the workshop's policy, and what nobody has chosen yet.

mod unchosen;

pub use unchosen::Unchosen;

use super::{Bench, CavityUse};
use crate::{
    model::{ElementKind, EndKind, LoomId, Owner, PointKind},
    quantity::Metre,
    vocabulary::Covering,
};
use std::collections::BTreeMap;

/// What sort of thing a row counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// Connector housings.
    Housing,
    /// Terminals.
    Terminal,
    /// Seals of single wires.
    Seal,
    /// Plugs of cavities.
    CavityPlug,
    /// Rings whose terminal is not chosen, by thread and cross-section.
    Ring,
    /// Single wire by the metre.
    Wire,
    /// Cable by the metre.
    Cable,
    /// Splices by the wires that meet.
    Splice,
    /// Resistors, diodes, capacitors and fuse holders in line.
    InLine,
    /// Fuses.
    Fuse,
    /// Relays and contactors.
    Relay,
    /// Coverings by the metre.
    Covering,
}

impl Sort {
    /// What it is called in a list.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Housing => "housing",
            Self::Terminal => "terminal",
            Self::Seal => "seal",
            Self::CavityPlug => "cavity plug",
            Self::Ring => "ring",
            Self::Wire => "wire",
            Self::Cable => "cable",
            Self::Splice => "splice",
            Self::InLine => "in line",
            Self::Fuse => "fuse",
            Self::Relay => "relay",
            Self::Covering => "covering",
        }
    }

    /// Whether one is easily spoilt or blown, so that spares are bought.
    #[must_use]
    pub const fn has_spares(self) -> bool {
        match self {
            Self::Terminal | Self::Seal | Self::CavityPlug | Self::Ring | Self::Fuse | Self::Splice => true,
            Self::Housing | Self::Wire | Self::Cable | Self::InLine | Self::Relay | Self::Covering => false,
        }
    }
}

/// So many of one thing.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct StockRow {
    /// The loom; empty for what is in devices, and in the totals.
    pub loom: String,
    /// What sort of thing.
    pub sort: Sort,
    /// Its kind as the design calls it; empty where it has none.
    pub name: String,
    /// Size, colour, rating: what distinguishes it beyond its kind.
    pub detail: String,
    /// How many pieces.
    pub count: usize,
    /// Their length together, of what comes by the metre.
    pub length: Option<Metre>,
    /// How many of them have no length, so that their metres are missing.
    pub without_length: usize,
    /// How many are bought beyond that.
    pub spares: usize,
}

/// The parts of a design.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Stock {
    /// Loom by loom in the order written, then devices; sorted by sort, name and detail.
    pub by_loom: Vec<StockRow>,
    /// All together.
    pub totals: Vec<StockRow>,
    /// What nobody has chosen yet.
    pub unchosen: Vec<Unchosen>,
    /// The share of spares; `None` where the workshop gives none.
    pub spares: Option<f64>,
}

type Counted = BTreeMap<(Sort, String, String), (usize, f64, usize)>;

/// What is counted in one loom.
#[derive(Default)]
struct Counting(Counted);

impl Counting {
    fn add(&mut self, sort: Sort, name: impl Into<String>, detail: impl Into<String>) {
        self.0.entry((sort, name.into(), detail.into())).or_default().0 += 1;
    }

    fn add_metres(&mut self, sort: Sort, name: impl Into<String>, detail: impl Into<String>, length: Option<Metre>) {
        let (count, metres, without) = self.0.entry((sort, name.into(), detail.into())).or_default();
        *count += 1;
        match length {
            Some(length) => *metres += length.get(),
            None => *without += 1,
        }
    }
}

impl Bench<'_> {
    /// All parts.
    ///
    /// # Cost
    /// A pass over ends, wires and elements.
    #[must_use]
    pub fn stock(&self) -> Stock {
        let model = self.model();
        let share = model.bench.spares.map(|spares| spares.value.get());
        let mut by_loom = Vec::new();
        let mut all = Counted::new();
        let looms = self.loom_ids().into_iter().map(|loom| (model.loom_name(loom).to_owned(), self.of_loom(loom)));
        for (loom, counted) in looms.chain([(String::new(), self.of_devices())]) {
            for (key, (count, metres, without)) in counted.0 {
                let total = all.entry(key.clone()).or_default();
                total.0 += count;
                total.1 += metres;
                total.2 += without;
                by_loom.push(row(loom.clone(), key, (count, metres, without), share));
            }
        }
        let totals = all.into_iter().map(|(key, counted)| row(String::new(), key, counted, share)).collect();
        Stock { by_loom, totals, unchosen: self.unchosen(), spares: share }
    }

    fn of_loom(&self, loom: LoomId) -> Counting {
        let mut counted = Counting::default();
        for end in self.ends_of(loom) {
            self.count_end(end, &mut counted);
        }
        let model = self.model();
        for id in self.wires_of(loom) {
            let wire = &model[*id];
            if wire.core.is_some() {
                continue;
            }
            let kind = wire.kind.map_or_else(String::new, |kind| model.text(model[kind].name).to_owned());
            let colour = wire.colour.map_or_else(String::new, |colour| colour.value.to_string());
            let detail = [self.size_of(wire), colour].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ");
            counted.add_metres(Sort::Wire, kind, detail, self.wire_length(wire).0);
        }
        for (id, cable) in model.cables().filter(|(_, cable)| cable.loom == loom) {
            let core = self.cores_of(id).first().map(|wire| &model[*wire]);
            let kind = cable.kind.map_or_else(String::new, |kind| model.text(model[kind].name).to_owned());
            counted.add_metres(Sort::Cable, kind, "", self.cable_length(cable, core).0);
        }
        self.count_splices(loom, &mut counted);
        for (_, segment) in model.segments().filter(|(_, segment)| segment.loom == loom) {
            let Some(covering) = segment.covering.filter(|covering| covering.value != Covering::Open) else { continue };
            counted.add_metres(Sort::Covering, covering.value.word(), "", segment.length.map(|length| length.value));
        }
        for (_, element) in model.elements().filter(|(_, element)| element.owner == Owner::Loom(loom)) {
            self.count_element(element, &mut counted);
        }
        counted
    }

    fn count_end(&self, id: crate::model::EndId, counted: &mut Counting) {
        let model = self.model();
        let end = &model[id];
        if let Some(housing) = end.housing() {
            counted.add(Sort::Housing, model.text(model[housing].name), "");
        }
        for point in end.points.iter() {
            let cavity = self.use_of(id, point);
            match cavity {
                CavityUse::Wired => match (self.terminal(point), end.kind) {
                    (Some(terminal), _) => {
                        let terminal = &model[terminal];
                        counted.add(Sort::Terminal, model.text(terminal.name), "");
                        if let Some(seal) = terminal.seal {
                            counted.add(Sort::Seal, model.text(seal.value), "");
                        }
                    }
                    (None, EndKind::Ring(thread)) => {
                        let size = self.size_in(point).map_or_else(String::new, |size| format!("{} mm2", trimmed(size.get())));
                        counted.add(Sort::Ring, model.text(thread.name), size);
                    }
                    (None, EndKind::Connector(_) | EndKind::Bare) => {}
                },
                CavityUse::Plugged => {
                    if let Some(plug) = end.housing().and_then(|housing| model[housing].plug) {
                        counted.add(Sort::CavityPlug, model.text(plug.value), "");
                    }
                }
                CavityUse::Empty => {}
            }
        }
    }

    /// Splices by how many wires meet in them; the points of elements in line and closed ends are none.
    fn count_splices(&self, loom: LoomId, counted: &mut Counting) {
        let model = self.model();
        let ends = self.analysis.facts().wire_ends();
        for (id, splice) in model.splices().filter(|(_, splice)| splice.loom == loom) {
            let wires = ends.wires(splice.point);
            let is_closed = wires.iter().all(|wire| model[wire.wire].capped);
            if wires.len() < 2
                || is_closed
                || self.in_line.contains(&splice.point)
                || model[splice.point].kind != PointKind::Splice(id)
            {
                continue;
            }
            let size =
                self.size_in(splice.point).map_or_else(String::new, |size| format!(", {} mm2 together", trimmed(size.get())));
            counted.add(Sort::Splice, format!("of {} wires", wires.len()), size.trim_start_matches(", "));
        }
    }

    fn of_devices(&self) -> Counting {
        let mut counted = Counting::default();
        for (_, element) in self.model().elements() {
            if matches!(element.owner, Owner::Device(device) if self.model()[device].fitted) {
                match element.kind {
                    ElementKind::Fuse { .. } | ElementKind::Relay { .. } => self.count_element(element, &mut counted),
                    _ => {}
                }
            }
        }
        counted
    }

    fn count_element(&self, element: &crate::model::Element, counted: &mut Counting) {
        let model = self.model();
        match &element.kind {
            ElementKind::Fuse { fitted: false, .. } => {}
            ElementKind::Fuse { kind, .. } => {
                let rating = kind.and_then(|kind| model[kind].rating).map(|rating| rating.value.to_string());
                let name = kind.map_or_else(String::new, |kind| model.text(model[kind].name).to_owned());
                counted.add(Sort::Fuse, name, rating.unwrap_or_default());
                if matches!(element.owner, Owner::Loom(_)) {
                    counted.add(Sort::InLine, "fuse holder", "");
                }
            }
            ElementKind::Relay { coil_of: Some(_), .. } => {}
            ElementKind::Relay { coil_voltage, current, .. } => {
                let coil = coil_voltage.map(|coil| format!("coil {}", coil.value));
                let current = current.map(|current| format!("contact {}", current.value));
                counted.add(Sort::Relay, "", coil.into_iter().chain(current).collect::<Vec<_>>().join(", "));
            }
            ElementKind::Resistor(resistor) => counted.add(Sort::InLine, "resistor", resistor.ohm.value.to_string()),
            ElementKind::Diode(_) => counted.add(Sort::InLine, "diode", ""),
            ElementKind::Capacitor(_) => counted.add(Sort::InLine, "capacitor", ""),
            ElementKind::Source { .. }
            | ElementKind::Load { .. }
            | ElementKind::Switch { .. }
            | ElementKind::Disconnect { .. }
            | ElementKind::Link { .. }
            | ElementKind::Converter { .. }
            | ElementKind::Interlock { .. } => {}
        }
    }
}

/// A figure without noughts that say nothing.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn row(loom: String, (sort, name, detail): (Sort, String, String), counted: (usize, f64, usize), share: Option<f64>) -> StockRow {
    let (count, metres, without_length) = counted;
    let by_metre = matches!(sort, Sort::Wire | Sort::Cable | Sort::Covering);
    let spares = share.filter(|_| sort.has_spares()).map_or(0, |share| (count as f64 * share - 1e-9).ceil().max(0.0) as usize);
    StockRow { loom, sort, name, detail, count, length: by_metre.then(|| Metre::new(metres)), without_length, spares }
}
