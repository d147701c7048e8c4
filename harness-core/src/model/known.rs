//! Among which names an unknown one is looked for: gathered once for each device or loom, when its first unknown name is met.

use super::{
    among::Among,
    build::Builder,
    ids::{DeviceId, LoomId},
    items::PointKind,
    scope::unknown,
};
use crate::{
    finding::Finding,
    suggest::Candidates,
    text::{Name, Span},
};
use rustc_hash::FxHashMap;

impl Builder {
    /// The finding about a name that nothing has `among` those that it could mean.
    pub(super) fn unknown(&mut self, among: Among, what: &str, written: &str, span: Span) -> Finding {
        if !self.known.candidates.contains_key(&among) {
            let names = self.gather(among);
            let texts = names.into_iter().map(|name| self.model.names.text(name));
            let candidates = Candidates::new(texts);
            self.known.candidates.insert(among, candidates);
        }
        unknown(what, written, span, self.known.candidates.entry(among).or_default())
    }

    fn gather(&mut self, among: Among) -> Vec<Name> {
        match among {
            Among::Devices => self.devices.names().to_vec(),
            Among::DevicesAndLooms => [self.devices.names(), self.looms.names()].concat(),
            Among::Ports(device) => self.ports_of(device),
            Among::PortsAndNodes(device) => {
                // Its nodes are the points that were added last.
                let of_device = |kind| matches!(kind, PointKind::Node(owner) if owner == device);
                let last = self.model.points().rev().map(|(_, point)| point).take_while(|point| of_device(point.kind));
                let mut nodes: Vec<Name> = last.map(|point| point.label).collect();
                nodes.sort_unstable_by_key(|name| self.model.names.text(*name));
                [self.ports_of(device), nodes].concat()
            }
            Among::Ends(loom) => self.ends_of(loom),
            Among::EndsAndSplices(loom) => {
                let splices = self
                    .known
                    .splices
                    .get_or_insert_with(|| by_loom(self.model.splices().map(|(_, splice)| (splice.loom, splice.name))));
                let splices = splices.get(&loom).cloned().unwrap_or_default();
                [self.ends_of(loom), splices].concat()
            }
            Among::Cables(loom) => {
                let last = self.model.cables().rev().map(|(_, cable)| cable).take_while(|cable| cable.loom == loom);
                let mut cables: Vec<Name> = last.map(|cable| cable.name).collect();
                cables.reverse();
                cables
            }
            Among::Segments(loom) => {
                let segments = self
                    .known
                    .segments
                    .get_or_insert_with(|| by_loom(self.model.segments().map(|(_, segment)| (segment.loom, segment.name))));
                segments.get(&loom).cloned().unwrap_or_default()
            }
        }
    }

    fn ports_of(&self, device: DeviceId) -> Vec<Name> {
        self.model[device].ports.iter().map(|port| self.model[port].name).collect()
    }

    fn ends_of(&self, loom: LoomId) -> Vec<Name> {
        self.model[loom].ends.iter().map(|end| self.model[*end].name).collect()
    }
}

fn by_loom(names: impl Iterator<Item = (LoomId, Name)>) -> FxHashMap<LoomId, Vec<Name>> {
    let mut all: FxHashMap<LoomId, Vec<Name>> = FxHashMap::default();
    for (loom, name) in names {
        all.entry(loom).or_default().push(name);
    }
    all
}
