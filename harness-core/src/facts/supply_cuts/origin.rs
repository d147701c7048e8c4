//! Where a loss begins: a contact may be open because its coil has lost its return, and a return may be lost because the metal that loads
//! share is joined to nothing.

use super::{Gap, Lost, causes::Causes, causes::Why, verdict};
use crate::{
    facts::Facts,
    model::{DeviceId, ElementId, PointId},
    network::{EdgeKind, EdgeRole},
};

/// Relays, each closed by the contact of the next, that are followed.
const MOST: usize = 8;

/// What is lost at the beginning of a row of relays.
pub(super) struct Origin {
    /// The coil that has lost its return.
    pub coil: ElementId,
    /// Where its return ends.
    pub dead: PointId,
}

/// The coil whose return leads nowhere, for a loss that is explained by an open contact; `None` where the coil has lost nothing, or
/// something that a switch, a fuse or a pin of unknown meaning explains.
pub(super) fn origin(causes: &Causes<'_>, gap: Option<Gap>) -> Option<Origin> {
    let mut gap = gap;
    for _ in 0..MOST {
        let coil = coil_behind(causes, gap?)?;
        let (lost, dead) = verdict(causes.facts(), causes, coil)?;
        let Why::Open(open) = causes.of(lost, dead) else { return None };
        match (lost, open) {
            (Lost::Return, None) => return Some(Origin { coil: coil.2, dead }),
            (Lost::Feed, open) => gap = open,
            (Lost::Return | Lost::Bridged, _) => return None,
        }
    }
    None
}

/// The coil that closes an open contact.
fn coil_behind(causes: &Causes<'_>, gap: Gap) -> Option<super::Running> {
    let network = causes.facts().network();
    let Gap::Edge(edge, element) = gap else { return None };
    if network[edge].role != EdgeRole::MakeContact {
        return None;
    }
    let own = causes.facts().model()[element].points.iter().flat_map(|point| network.around(*point));
    let mut coils = own.filter(|(_, edge, _)| edge.role == EdgeRole::Coil && edge.element() == Some(element));
    coils.next().map(|(id, edge, _)| (id, *edge, element))
}

/// The point where most conductors meet among those that are cut off together, in a device that is not a load's own: an engine block, a
/// frame, a bar. `None` where the loads share none.
pub(super) fn shared_metal(causes: &Causes<'_>, dead: PointId) -> Option<PointId> {
    let facts = causes.facts();
    let (model, network) = (facts.model(), facts.network());
    let lump = causes.view.closed.members(causes.view.closed.of(dead));
    let own = model.device_at(dead);
    let joins = |device: DeviceId, point: PointId| {
        let is_plain = |kind: EdgeKind, role: EdgeRole| match kind {
            EdgeKind::Joint(_) | EdgeKind::Contact(_) | EdgeKind::Chassis(_) => true,
            EdgeKind::Element(_) => role.is_metal(),
            EdgeKind::Wire(_) | EdgeKind::Screen(_) => false,
        };
        let around = || network.around(point).map(|(_, edge, _)| edge);
        let all_plain = around().all(|edge| is_plain(edge.kind, edge.role));
        (all_plain && Some(device) != own).then(|| around().count())
    };
    let met = lump.iter().filter_map(|point| Some((joins(model.device_at(*point)?, *point)?, *point)));
    met.reduce(|most, one| if one.0 > most.0 { one } else { most }).map(|(_, point)| point)
}

/// The negative pole to which a return that is lost at `dead` belongs: of the sources of its domain that of the first without a limit, else
/// of the first. `None` where no source is of that domain, or where its domain is not known and the design has voltage class B:
/// a strap to the wrong source would join what must keep apart.
pub(super) fn minus(facts: &Facts, dead: PointId) -> Option<(ElementId, PointId)> {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let own = domains.of(dead);
    if own.is_none() && model.domains().any(|(_, domain)| domain.is_class_b()) {
        return None;
    }
    let is_own = |point: PointId| own.is_none() || domains.of(point) == own;
    let sources = || facts.network().edges().filter(|(_, edge)| edge.role.drives() && is_own(edge.a) && is_own(edge.b));
    let mut strong = sources().filter(|(_, edge)| edge.role.drives_without_limit());
    let (_, edge) = strong.next().or_else(|| sources().next())?;
    Some((edge.element()?, edge.a))
}
