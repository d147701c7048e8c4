//! What may be wrong: every single fault of the design, and what a loom suffers beside them.

use crate::{
    analysis::Analysis,
    electrical::{altered::Rest, single_faults::Fault},
    inspect::single_faults::names,
    model::PointId,
    network::{EdgeId, EdgeRole, MetalKind, NetId},
    quantity::Ohm,
    standards::{searching, supply},
};
use rustc_hash::FxHashMap;

/// A kind of fault, in the order in which equally likely ones are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CauseKind {
    /// A fuse has blown by itself, or is not in its holder.
    Blown,
    /// A conductor is broken, mostly at its crimps.
    Open,
    /// A contact is not made: its terminal is not seated, is bent, or the joint is loose.
    Apart,
    /// A contact or joint has more resistance.
    Raised,
    /// A load, coil, source, switch or converter does nothing.
    Dead,
    /// The contact of a relay does not close.
    Stuck,
    /// The contact of a relay is welded.
    Welded,
    /// What is joined to a point is shorted to ground.
    Shorted,
    /// Two neighbouring contacts are bridged.
    Bridged,
}

impl CauseKind {
    /// The kind in one word, as tables give it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Blown => "blown",
            Self::Apart => "apart",
            Self::Open => "open",
            Self::Raised => "raised",
            Self::Dead => "dead",
            Self::Stuck => "stuck",
            Self::Welded => "welded",
            Self::Shorted => "shorted",
            Self::Bridged => "bridged",
        }
    }

    fn often(self) -> f64 {
        let often = searching::often().value;
        match self {
            Self::Blown => often.blown,
            Self::Apart => often.apart,
            Self::Open => often.open,
            Self::Raised => often.raised,
            Self::Dead => often.dead,
            Self::Stuck => often.stuck,
            Self::Welded => often.welded,
            Self::Shorted => often.shorted,
            Self::Bridged => often.bridged,
        }
    }
}

/// One thing that may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Suspect {
    pub(super) kind: CauseKind,
    pub(super) fault: Fault,
    /// By how much a contact resists more: anything between the two.
    pub(super) raised: [Ohm; 2],
    /// How often it is the one, beside others.
    pub(super) often: f64,
}

impl Suspect {
    fn new(kind: CauseKind, fault: Fault) -> Self {
        Self { kind, fault, raised: [supply::corroded().value; 2], often: kind.often() }
    }

    /// A contact that is corroded by so much, of several between which nobody knows.
    fn corroded(edge: EdgeId, raised: [Ohm; 2]) -> Self {
        let kind = CauseKind::Raised;
        Self { kind, fault: Fault::Raised(edge), raised, often: kind.often() / RAISED.len() as f64 }
    }

    /// Whether it is one of several figures and not one.
    pub(super) fn is_wide(&self) -> bool {
        self.kind == CauseKind::Raised
    }

    /// Whether it makes the edge conduct nothing, where that is closed.
    pub(super) fn opens(&self, edge: EdgeId) -> bool {
        match self.fault {
            Fault::Open(own) | Fault::Blown(own) | Fault::Stuck(own) => own == edge,
            Fault::Raised(_) | Fault::Welded(_) | Fault::Bridged(..) => false,
        }
    }

    /// What it is, by the names that findings give.
    pub(super) fn named(&self, analysis: &Analysis) -> NamedFault {
        let mut names = names(analysis, self.fault);
        if self.kind == CauseKind::Shorted {
            names.truncate(1);
        }
        NamedFault { kind: self.kind, names, raised: self.is_wide().then_some(self.raised) }
    }
}

/// A fault by name.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct NamedFault {
    /// What kind it is.
    pub kind: CauseKind,
    /// What has it: one name, or the two contacts of a bridge.
    pub names: Vec<String>,
    /// Between which resistances a corroded contact has more.
    pub raised: Option<[Ohm; 2]>,
}

/// By how many times the resistance that is still found a contact is corroded: ranges that follow each other. What resists more is not made.
const RAISED: [[f64; 2]; 3] = [[1.0, 3.0], [3.0, 10.0], [10.0, 40.0]];

/// All that may be wrong: by kind, then in the order of edges and points.
pub(super) fn suspects(analysis: &Analysis, rest: &Rest<'_>) -> Vec<Suspect> {
    let network = analysis.network();
    let mut found: Vec<Suspect> = Vec::new();
    for fault in analysis.electrical().single_faults() {
        match fault {
            Fault::Raised(edge) => {
                let least = supply::corroded().value.get();
                found.extend(RAISED.map(|times| Suspect::corroded(edge, times.map(|times| Ohm::new(least * times)))));
            }
            Fault::Open(_) | Fault::Blown(_) | Fault::Bridged(..) | Fault::Welded(_) | Fault::Stuck(_) => {
                found.push(Suspect::new(kind_of(fault), fault));
            }
        }
    }
    for (id, edge) in network.edges() {
        found.extend(beside(edge.role).map(|kind| Suspect::new(kind, Fault::Open(id))));
    }
    found.extend(shorts(analysis, rest));
    found.sort_by_key(|suspect| (suspect.kind, suspect.fault));
    found
}

fn kind_of(fault: Fault) -> CauseKind {
    match fault {
        Fault::Open(_) => CauseKind::Open,
        Fault::Blown(_) => CauseKind::Blown,
        Fault::Bridged(..) => CauseKind::Bridged,
        Fault::Raised(_) => CauseKind::Raised,
        Fault::Welded(_) => CauseKind::Welded,
        Fault::Stuck(_) => CauseKind::Stuck,
    }
}

/// What an edge may suffer beside its single faults.
const fn beside(role: EdgeRole) -> Option<CauseKind> {
    match role {
        EdgeRole::Metal(MetalKind::Contact | MetalKind::Joint) => Some(CauseKind::Apart),
        EdgeRole::Metal(MetalKind::Wire | MetalKind::Screen | MetalKind::Chassis | MetalKind::Bar) => None,
        EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::Interlock | EdgeRole::Shunt => Some(CauseKind::Dead),
        EdgeRole::Coil | EdgeRole::Source { .. } | EdgeRole::ConverterInput | EdgeRole::Load => Some(CauseKind::Dead),
        EdgeRole::Resistor | EdgeRole::Diode => Some(CauseKind::Dead),
        // Its output goes with its input; a fuse and contacts of a relay have faults of their own; a capacitor shows in no state of rest.
        EdgeRole::ConverterOutput { .. } | EdgeRole::Fuse | EdgeRole::MakeContact | EdgeRole::BreakContact => None,
        EdgeRole::Capacitor => None,
    }
}

/// Each net that is live and not ground itself, shorted to the ground against which it is measured.
fn shorts(analysis: &Analysis, rest: &Rest<'_>) -> Vec<Suspect> {
    let network = analysis.network();
    let grounds = super::reference::Grounds::new(analysis, rest);
    let mut seen: FxHashMap<NetId, ()> = FxHashMap::default();
    let mut found = Vec::new();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.wire().is_some()) {
        let (point, net): (PointId, NetId) = (edge.a, network.net(edge.a));
        if !rest.is_live(point) || seen.insert(net, ()).is_some() {
            continue;
        }
        if let Some(ground) = grounds.joined(point).filter(|ground| network.net(*ground) != net) {
            found.push(Suspect::new(CauseKind::Shorted, Fault::Bridged(point, ground)));
        }
    }
    found
}
