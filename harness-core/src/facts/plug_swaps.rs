//! Two plugs on each other's ports: what looks like many wires that are shifted.
//!
//! The idea: each wired pin of the one port names what the run at the same position of the other port is for, and the other way round.
//! Cost: linear in the pins of the two ports.

use super::{
    Facts,
    pins::{PinAt, RunId},
    signals::MixedSignals,
};
use crate::model::{EndId, EndKind, PortId};

impl Facts {
    /// The two loom ends that are on each other's ports, where that is what is wrong with all runs of a group.
    ///
    /// Asked by `netlist/signal-mismatch`.
    #[must_use]
    pub fn swapped_plugs(&self, group: &MixedSignals) -> Option<(EndId, EndId)> {
        let first = self.pins().of_run(*group.runs.first()?);
        // One swapped pair of wires does not make a swapped plug.
        let candidates = first.iter().filter(|_| group.runs.len() > 1);
        candidates.flat_map(|pin| self.counterparts(group, pin)).find_map(|(one, other)| {
            let is_swap = self.trade_signals(group, one, other);
            is_swap.then(|| Some((self.end_at(one)?, self.end_at(other)?))).flatten()
        })
    }

    /// The port of a pin with each other one in the group that has, at the same position, what the pin's run is for.
    fn counterparts(&self, group: &MixedSignals, pin: &PinAt) -> Vec<(PortId, PortId)> {
        let model = self.model();
        let Some(port) = model.plug_at(pin.point) else { return Vec::new() };
        let pins = group.runs.iter().flat_map(|run| self.pins().of_run(*run));
        let beside = pins.filter(|other| model[other.point].label == model[pin.point].label);
        beside.filter_map(|other| Some((port, model.plug_at(other.point).filter(|other| *other != port)?))).collect()
    }

    /// Whether each of the wired pins of two ports is named as the other pins on the run at the same position of the other port, and
    /// all runs of the group are among them.
    fn trade_signals(&self, group: &MixedSignals, one: PortId, other: PortId) -> bool {
        let model = self.model();
        let mut seen: Vec<RunId> = Vec::new();
        for (here, there) in [(one, other), (other, one)] {
            for pin in self.pins().of_device(model[here].device).iter().filter(|pin| model.plug_at(pin.point) == Some(here)) {
                if self.wire_ends().reaching(model, pin.point).is_none() {
                    continue;
                }
                let Some(twin) = model.position_of(model[there].points, model[pin.point].label) else { return false };
                let run = self.pins().run(twin);
                let mut others =
                    self.pins().of_run(run).iter().filter(|met| met.signal.is_some() && model.plug_at(met.point) != Some(there));
                let is_home = others.clone().next().is_some() && others.all(|met| met.signal == pin.signal);
                if !is_home {
                    return false;
                }
                seen.push(run);
            }
        }
        group.runs.iter().all(|run| seen.contains(run))
    }

    /// The connector of a loom that mates a port.
    fn end_at(&self, port: PortId) -> Option<EndId> {
        let model = self.model();
        let mut ends = self.wire_ends().at_port(port);
        ends.find(|end| matches!(model[*end].kind, EndKind::Connector(_)) && model[*end].mate_span.is_some())
    }
}
