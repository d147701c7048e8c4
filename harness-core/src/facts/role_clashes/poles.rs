//! Where the poles of sources are, and where two sources are in series.

use crate::{
    model::{DeviceId, ElementKind, Owner, PointId},
    network::{Components, GroupId, NetId, Network},
};
use petgraph::{algo::tarjan_scc, graph::DiGraph};
use rustc_hash::{FxHashMap, FxHashSet};

/// The poles of all sources of a design.
#[derive(Debug)]
pub(super) struct Poles {
    /// Nets of negative poles.
    pub(super) minus: FxHashSet<NetId>,
    /// Devices with a source.
    pub(super) devices: FxHashSet<DeviceId>,
    /// Positive poles of sources and outputs of converters.
    pub(super) outputs: FxHashSet<PointId>,
    /// What fuses, disconnects and contactors of a battery box join to a pole of its cells.
    leads: Components,
    /// Groups in which the minus of one source meets the plus of the next, and no string is closed to a ring.
    joints: FxHashSet<GroupId>,
}

impl Poles {
    /// Whether the minus of one source meets the plus of the next at a point.
    pub(super) fn are_in_series(&self, point: PointId) -> bool {
        self.joints.contains(&self.leads.of(point))
    }

    pub(super) fn new(network: &Network) -> Self {
        let sources = || {
            network.model().elements().filter_map(|(_, element)| match (&element.kind, &*element.points) {
                (ElementKind::Source { .. }, [plus, minus]) => Some((element.owner, *plus, *minus)),
                _ => None,
            })
        };
        let boxes: FxHashSet<DeviceId> = sources().filter_map(|(owner, ..)| owner.device()).collect();
        let of_box = |owner: Owner| owner.device().is_some_and(|device| boxes.contains(&device));
        let leads = network.components(|_, edge| {
            let owner = || edge.element().map(|element| network.model()[element].owner);
            edge.is_metal() || edge.role.joins_battery() && owner().is_some_and(of_box)
        });
        let (mut minus_nets, mut devices) = (FxHashSet::default(), FxHashSet::default());
        let mut from_plus: FxHashMap<GroupId, Vec<GroupId>> = FxHashMap::default();
        let mut minus_groups = FxHashSet::default();
        for (owner, plus, minus) in sources() {
            // A source with both poles on one net is shorted, not in series with another.
            if network.net(plus) == network.net(minus) {
                continue;
            }
            minus_nets.insert(network.net(minus));
            devices.extend(owner.device());
            let (plus, minus) = (leads.of(plus), leads.of(minus));
            if plus != minus {
                from_plus.entry(plus).or_default().push(minus);
                minus_groups.insert(minus);
            }
        }
        let rings = rings(&from_plus);
        let joints = from_plus.keys().filter(|group| minus_groups.contains(group) && !rings.contains(group));
        let joints = joints.copied().collect();
        let outputs = network.edges().filter(|(_, edge)| edge.role.drives()).map(|(_, edge)| edge.b).collect();
        Self { minus: minus_nets, devices, outputs, leads, joints }
    }
}

/// The groups from which sources lead, plus to minus, back to where they began: what is joined there shorts them all.
fn rings(from_plus: &FxHashMap<GroupId, Vec<GroupId>>) -> FxHashSet<GroupId> {
    let pairs = || from_plus.iter().flat_map(|(plus, all)| all.iter().map(|minus| (*plus, *minus)));
    let mut graph = DiGraph::new();
    let mut nodes = FxHashMap::default();
    for group in pairs().flat_map(|(plus, minus)| [plus, minus]) {
        nodes.entry(group).or_insert_with(|| graph.add_node(group));
    }
    for (plus, minus) in pairs() {
        if let (Some(plus), Some(minus)) = (nodes.get(&plus), nodes.get(&minus)) {
            graph.add_edge(*plus, *minus, ());
        }
    }
    tarjan_scc(&graph).iter().filter(|ring| ring.len() > 1).flatten().map(|node| graph[*node]).collect()
}
