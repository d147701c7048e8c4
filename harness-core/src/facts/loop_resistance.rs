//! The resistance of interlock loops against what their controllers take for closed.
//!
//! Cost: nothing without `loop-resistance`; else a walk for each such pin.

use super::{Facts, reach::device_at};
use crate::{
    model::PointId,
    network::{Edge, EdgeId, Step},
    quantity::Ohm,
    text::At,
    vocabulary::Role,
};

impl Facts {
    /// Loops with more resistance than the pin of their controller accepts, in the order of the pins.
    ///
    /// Asked by `interlock/high-resistance`.
    #[must_use]
    pub fn resistive_loops(&self) -> Vec<ResistiveLoop> {
        resistive_loops(self)
    }
}

/// A loop with too much resistance.
#[derive(Debug)]
pub struct ResistiveLoop {
    /// The pin.
    pub pin: PointId,
    /// The most that it accepts.
    pub accepts: At<Ohm>,
    /// The resistance of the loop, cold.
    pub ohms: Ohm,
    /// The edge with the largest share of it.
    pub most: EdgeId,
    /// Its share.
    pub most_ohms: Ohm,
    /// The way around the loop.
    pub path: Vec<Step>,
}

fn resistive_loops(facts: &Facts) -> Vec<ResistiveLoop> {
    let (model, network) = (facts.model(), facts.network());
    let pins: Vec<(PointId, At<Ohm>)> =
        model.points().filter_map(|(point, item)| Some((point, model[item.pin?].loop_resistance?))).collect();
    if pins.is_empty() {
        return Vec::new();
    }
    let mut found: Vec<ResistiveLoop> = Vec::new();
    for (pin, accepts) in pins {
        // The loop is closed in the mode that has the most of it.
        let worst = facts.electrical().modes().filter_map(|mode| {
            let device = device_at(facts, pin);
            let ends = |point: PointId| {
                point != pin && model.role_at(point) == Some(Role::Interlock) && device_at(facts, point) == device
            };
            let is_pole = |point: PointId| network.around(point).any(|(id, edge, _)| edge.role.drives() && mode.conducts(id));
            let ohms = facts.electrical().resistances(mode.id);
            let keep = |id: EdgeId, edge: &Edge| {
                let leads = edge.role.conducts_when_closed() || edge.role.may_bridge_loop();
                leads && (mode.conducts(id) || edge.role.is_one_way()) && edge.element().is_none_or(|_| !touches(edge, pin))
            };
            let path = network.path(pin, ends, keep).or_else(|| network.path(pin, is_pole, keep))?;
            let of = |step: &Step| ohms.get(step.edge.index()).copied().flatten().map_or(0.0, Ohm::get);
            let sum: f64 = path.iter().map(of).sum();
            let most = path.iter().max_by(|one, other| of(one).total_cmp(&of(other)))?;
            let (most, most_ohms) = (most.edge, Ohm::new(of(most)));
            (sum > accepts.value.get()).then_some(ResistiveLoop { pin, accepts, ohms: Ohm::new(sum), most, most_ohms, path })
        });
        found.extend(worst.max_by(|one, other| one.ohms.get().total_cmp(&other.ohms.get())));
    }
    found
}

/// Whether an element is at the pin itself: what is inside the controller does not count.
fn touches(edge: &Edge, pin: PointId) -> bool {
    edge.a == pin || edge.b == pin
}
