//! Fuses, switches and contacts in a protective earth: nothing may open one.
//!
//! Both sides of such an element are earths by the roles of their pins. The bond of a neutral, which a contact may open, has the neutral at one side.
//!
//! Cost: nothing without mains; else a pass over the edges and the points of the nets at fuses and contacts.

use super::{Facts, mains_sides::is_earth};
use crate::{
    model::{ElementId, PointId},
    vocabulary::Role,
};

impl Facts {
    /// What is in a protective earth and can open it, in the order of the edges.
    ///
    /// Asked by `domain/missing-bond` and `domain/chained-bond`.
    #[must_use]
    pub fn opened_earths(&self) -> &[OpenedEarth] {
        self.made.opened_earths.get_or_init(|| opened_earths(self))
    }
}

/// A fuse or contact in a protective earth.
#[derive(Debug)]
pub struct OpenedEarth {
    /// The fuse or contact.
    pub element: ElementId,
    /// It is a fuse.
    pub is_fuse: bool,
    /// The earths at the side that is farther from the chassis.
    pub behind: Vec<PointId>,
}

fn opened_earths(facts: &Facts) -> Vec<OpenedEarth> {
    let (model, network) = (facts.model(), facts.network());
    if facts.mains().is_empty() {
        return Vec::new();
    }
    let mut found: Vec<OpenedEarth> = Vec::new();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.is_fuse() || edge.role.is_switched()) {
        let Some(element) = edge.element().filter(|element| found.iter().all(|known| known.element != *element)) else {
            continue;
        };
        let [one, other] = [edge.a, edge.b].map(|point| network.net(point));
        let has = |net, is: &dyn Fn(PointId) -> bool| network.net_points(net).iter().any(|point| is(*point));
        // What gets a live conductor in its place is swapped, and no earth behind this.
        let says_earth =
            |point: PointId| model.role_at(point) == Some(Role::Earth) && !facts.is_of_swapped_earth(facts.pins().run(point));
        let is_ground = |point: PointId| is_earth(model, point) && !facts.is_of_swapped_earth(facts.pins().run(point));
        let both = one != other && has(one, &is_ground) && has(other, &is_ground);
        if !both || !(has(one, &says_earth) || has(other, &says_earth)) {
            continue;
        }
        let is_chassis = |point: PointId| model.device_at(point).is_some_and(|device| model[device].chassis);
        let far = if has(other, &is_chassis) { one } else { other };
        let behind = network.net_points(far).iter().copied().filter(|point| says_earth(*point)).collect();
        found.push(OpenedEarth { element, is_fuse: edge.role.is_fuse(), behind });
    }
    found
}
