//! The papers of the bench as data: what is cut, pinned, bought, labelled, rung out, brought to life and searched for.
//!
//! Owns everything that hands do with a checked design, as typed tables: each file of this room gives one paper, with its units, its sources
//! and what it does not know. Lays nothing out, and judges nothing that a rule judges. Every figure is computed from the design that was
//! checked, in the state in which it is read.

mod branches;
mod cut;
pub mod diagnose;
mod ends;
pub mod going_live;
mod identity;
pub mod isolation;
mod joints;
mod labels;
mod lengths;
mod ring_out;
mod stock;

pub use crate::vocabulary::{Contacts, Covering};
pub use branches::{Branch, Layout, Reached, SpliceJoin, Strand};
pub use cut::{Changes, Crimp, CutCable, CutList, CutWire, Spool};
pub use ends::{CavityUse, EndKindSheet, EndSheet, Faces, LookAlike, SheetCavity, SheetMate, SheetWire};
pub use identity::{Fingerprint, Identity};
pub use joints::{Joint, JointKind, JointRing};
pub use labels::{Label, LabelOf};
pub use lengths::LengthFrom;
pub use ring_out::{
    Code, Covered, Failing, FoundBy, InsulationTest, LampBoard, LampPattern, LampRow, MeasuredRow, Meter, NamedCause,
    OtherCauses, Purpose, RingOut, RingOutStep, RingOutVerdict, Serves, SlipKind, Unseen, UnseenLamps, UnseenSlips,
};
pub use stock::{Sort, Stock, StockRow, Unchosen};

use crate::{
    analysis::Analysis,
    inspect::{Signals, size_as_written},
    model::{CableId, EndId, LoomId, Mate, Model, Owner, PointId, PointKind, TerminalId, Wire, WireId},
    quantity::SquareMillimetre,
    text::Text,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// The end of a wire that is not here.
fn far_end(wire: &Wire, here: PointId) -> Option<PointId> {
    [wire.from, wire.to].into_iter().flatten().find(|point| *point != here)
}

/// The papers of one analysed design.
#[derive(Debug)]
pub struct Bench<'a> {
    analysis: &'a Analysis,
    signals: Signals,
    /// The wires and cores of each loom, in the order written.
    wires: FxHashMap<LoomId, Vec<WireId>>,
    /// The cores of each cable, in the order written.
    cores: FxHashMap<CableId, Vec<WireId>>,
    /// The points of elements that are in line with wires.
    in_line: FxHashSet<PointId>,
}

impl<'a> Bench<'a> {
    /// The papers of a design. None is made before it is asked for. Cost: a sort of its wires, and a pass over the
    /// points of its nets.
    #[must_use]
    pub fn of(analysis: &'a Analysis) -> Self {
        let model = analysis.model();
        let mut written: Vec<_> = model.wires().map(|(id, wire)| (wire.span, id)).collect();
        written.sort_unstable();
        let mut wires: FxHashMap<LoomId, Vec<WireId>> = FxHashMap::default();
        let mut cores: FxHashMap<CableId, Vec<WireId>> = FxHashMap::default();
        for (_, id) in written {
            wires.entry(model[id].loom).or_default().push(id);
            if let Some((cable, _)) = model[id].core {
                cores.entry(cable).or_default().push(id);
            }
        }
        let in_line = model.elements().filter(|(_, element)| matches!(element.owner, Owner::Loom(_)));
        let in_line = in_line.flat_map(|(_, element)| element.points.iter().copied()).collect();
        Self { analysis, signals: Signals::of(analysis), wires, cores, in_line }
    }

    /// The design with what was computed for it.
    #[must_use]
    pub const fn analysis(&self) -> &'a Analysis {
        self.analysis
    }

    /// Which design they are of.
    #[must_use]
    pub fn identity(&self) -> Identity {
        Identity::of(self.analysis)
    }

    /// The names of the looms of this build, in the order written.
    #[must_use]
    pub fn looms(&self) -> Vec<String> {
        self.loom_ids().into_iter().map(|loom| self.model().loom_name(loom).to_owned()).collect()
    }

    fn model(&self) -> &'a Model {
        self.analysis.model()
    }

    /// The looms of this build, in the order written.
    fn loom_ids(&self) -> Vec<LoomId> {
        let mut looms: Vec<_> = self.model().looms().filter(|(_, loom)| loom.fitted).collect();
        looms.sort_unstable_by_key(|(_, loom)| loom.span);
        looms.into_iter().map(|(id, _)| id).collect()
    }

    /// The wires and cores of a loom, in the order written.
    fn wires_of(&self, loom: LoomId) -> &[WireId] {
        self.wires.get(&loom).map(Vec::as_slice).unwrap_or_default()
    }

    /// The cores of a cable that are used, in the order written.
    fn cores_of(&self, cable: CableId) -> &[WireId] {
        self.cores.get(&cable).map(Vec::as_slice).unwrap_or_default()
    }

    /// The ends of a loom, in the order written.
    fn ends_of(&self, loom: LoomId) -> Vec<EndId> {
        let mut ends = self.model()[loom].ends.clone();
        ends.sort_unstable_by_key(|end| self.model()[*end].span);
        ends
    }

    /// Whether a point is of voltage class B.
    fn is_class_b(&self, point: PointId) -> bool {
        self.analysis.electrical().domains().of(point).is_some_and(|domain| self.model()[domain].is_class_b())
    }

    /// The signal at points of one net, in a few words: what the pins or studs name which they meet, else what the whole net names. A net that
    /// joins many signals is called a ground if the chassis is among its points.
    fn signal_at(&self, points: &[PointId]) -> String {
        let model = self.model();
        let stud = |point: &PointId| {
            let end = self.end_at(*point).filter(|end| !model[*end].is_connector())?;
            match model[end].mate? {
                Mate::Port(port) => model.pin_at(model[port].points.get(0)?)?.signal,
                Mate::End(_) => None,
            }
        };
        let named = self.signals.at(self.analysis, points);
        let is_of_net = named.split("; ").count() > 2;
        if let Some(signal) = points.iter().find_map(stud).filter(|_| is_of_net || named.is_empty()) {
            return model.text(signal.value).to_owned();
        }
        let Some(point) = points.first().copied() else { return named };
        if !is_of_net {
            return named;
        }
        let network = self.analysis.network();
        let is_chassis = |point: &PointId| model.device_at(*point).is_some_and(|device| model[device].chassis);
        if network.net_points(network.net(point)).iter().any(is_chassis) { "ground".to_owned() } else { named }
    }

    /// The size of a wire as written; empty where none is given.
    fn size_of(&self, wire: &Wire) -> String {
        size_as_written(wire, self.analysis.design().sources())
    }

    /// The end of a loom that a point is of.
    fn end_at(&self, point: PointId) -> Option<EndId> {
        match self.model()[point].kind {
            PointKind::Cavity(end) | PointKind::Ring(end) => Some(end),
            PointKind::Splice(_) | PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) => None,
        }
    }

    /// A text of the design; empty where none is given.
    fn text(&self, text: Option<Text>) -> String {
        text.map_or_else(String::new, |text| self.model().text(text.value).to_owned())
    }

    /// The core that a wire is, as `cable.core`; empty for a wire.
    fn core_of(&self, wire: &Wire) -> String {
        let model = self.model();
        wire.core.map_or_else(String::new, |(cable, core)| {
            let kind = model[cable].kind.map(|kind| &model[kind]);
            let label = kind.and_then(|kind| kind.cores.get(core as usize)).map_or("", |core| model.text(core.label));
            format!("{}.{label}", model.text(model[cable].name))
        })
    }

    /// What is in a cavity, or at the one point of a ring or bare end.
    fn use_of(&self, end: EndId, point: PointId) -> CavityUse {
        let is_plugged = self.model()[end].plugged.iter().any(|(plugged, _)| *plugged == point);
        match (self.analysis.facts().wire_ends().count(point), is_plugged) {
            (1.., _) => CavityUse::Wired,
            (0, true) => CavityUse::Plugged,
            (0, false) => CavityUse::Empty,
        }
    }

    /// The cross-sections at a point together; `None` where one of them is not given, or nothing is there.
    fn size_in(&self, point: PointId) -> Option<SquareMillimetre> {
        self.analysis.facts().size_in(point)
    }

    /// The terminal in a cavity, of a ring or of a bare end.
    fn terminal(&self, point: PointId) -> Option<TerminalId> {
        self.analysis.facts().terminal_in(point).map(|(terminal, _)| terminal)
    }
}
