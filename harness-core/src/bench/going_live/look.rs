//! What is read in a step: its own thing first, then what it supplies.

use super::{
    plan::{Act, Phase, Planned},
    readings::{Place, Read, Snapshot},
    seen::{across, behind_contactors, class_b_currents, coils, is_at_pole, loop_ends, poles, source_at},
    steps::Order,
    trials::Drops,
};
use crate::network::Edge;
use std::{collections::BTreeSet, sync::Arc};

/// Readings of a step beyond which the rest is counted only.
const MOST: usize = 60;
/// Voltage across a load from which on it counts as supplied.
const SUPPLIED: f64 = 0.5;

impl Order<'_, '_> {
    /// Sets what is read in a step.
    pub(super) fn read(&mut self, step: &mut Planned) {
        let seen = if step.tried.is_empty() { Arc::clone(&step.open) } else { Arc::new(step.seen()) };
        let (Some(before), Some(after)) = (self.snapshot(step.mode, &step.before), self.snapshot(step.mode, &seen)) else {
            step.unknown = true;
            return;
        };
        step.unknown = !after.state.unsettled.is_empty();
        let mut reads = self.own(step, &before, &after);
        reads.extend(self.supplied(step, &before, &after));
        let is_mode = matches!(step.act, Act::Mode(_) | Act::PlugIn(_));
        if step.trained && step.phase >= Phase::ClassB {
            reads.extend(behind_contactors(self.vehicle, &after));
        }
        if is_mode && step.phase >= Phase::Modes {
            // What was read in this mode before is not read again, but at the poles of batteries.
            reads.retain(|read| !self.read.contains(&(step.mode, read.place)) || is_at_pole(self.vehicle, read.place));
        }
        if is_mode && step.phase >= Phase::ClassB {
            reads.extend(class_b_currents(self.vehicle, &after));
        }
        let shows_loop = is_mode || matches!(step.act, Act::Disconnect(_) | Act::Trial(_));
        if shows_loop && step.phase >= Phase::Modes {
            reads.extend(loop_ends(self.vehicle, &after));
        }
        let mut known: BTreeSet<(Place, bool)> = BTreeSet::new();
        reads.retain(|read| known.insert((read.place, read.before)));
        if step.tried.is_empty() {
            self.read.extend(reads.iter().filter(|read| !read.before).map(|read| (step.mode, read.place)));
        }
        step.more = reads.len().saturating_sub(MOST);
        reads.truncate(MOST);
        step.reads = reads;
    }

    /// What is read of the thing that a step is about.
    fn own(&self, step: &Planned, before: &Snapshot<'_, '_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
        let vehicle = self.vehicle;
        let mut reads: Vec<Read> = Vec::new();
        match step.act {
            Act::Battery(at) => reads.extend(vehicle.batteries.get(at).into_iter().flat_map(|battery| {
                let [negative, positive] = battery.poles;
                let current = battery.lead.first().and_then(|_| source_at(vehicle, negative, positive));
                let amps = current.and_then(|(edge, element)| after.read_amps(edge, element));
                before.read_volts(positive, negative, true).into_iter().chain(amps)
            })),
            Act::Fuse(at) => {
                if let Some(fuse) = vehicle.fuses.get(at) {
                    let edge = vehicle.facts.network()[fuse.edge];
                    let far = if before.state.is_fed(edge.a) { edge.b } else { edge.a };
                    let probed = vehicle.probed(far);
                    let at_far = |snapshot: &Snapshot<'_, '_>, is_before: bool| {
                        let point = probed?;
                        snapshot.read_volts(point, after.reference(point)?, is_before)
                    };
                    reads.extend(at_far(before, true));
                    reads.extend(at_far(after, false));
                    reads.extend(after.read_amps(fuse.edge, fuse.element));
                }
            }
            Act::Disconnect(_) | Act::Supply(_) | Act::Mode(_) | Act::PlugIn(_) => {
                reads.extend(poles(vehicle, after, step.phase >= Phase::ClassB));
            }
            Act::Trial(at) => {
                if let Some(trial) = vehicle.trials.get(at) {
                    for read in coils(vehicle, before, &trial.contacts) {
                        reads.push(Read { before: true, ..read });
                        // What a program drops is not computed.
                        if let (Place::Between(point, against), Drops::Circuit) = (read.place, trial.drops) {
                            reads.extend(after.read_volts(point, against, false));
                        }
                    }
                }
            }
            _ => {}
        }
        reads
    }

    /// The voltage across what gets power in a step, or has it in a mode.
    fn supplied(&self, step: &Planned, before: &Snapshot<'_, '_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
        let vehicle = self.vehicle;
        if matches!(step.act, Act::Trial(_)) {
            return Vec::new();
        }
        let is_mode = matches!(step.act, Act::Mode(_) | Act::PlugIn(_));
        let is_new = |edge: &Edge| {
            let across = |snapshot: &Snapshot<'_, '_>| snapshot.volts(edge.a, edge.b).abs();
            across(after) > SUPPLIED && (is_mode || across(before) < SUPPLIED)
        };
        let piece = match step.act {
            Act::Fuse(at) => vehicle.fuses.get(at).map(|fuse| vehicle.piece(fuse.edge)),
            Act::Battery(at) => vehicle.batteries.get(at).map(|battery| vehicle.pieces.of(battery.poles[0])),
            _ => None,
        };
        let is_near = |edge: &Edge| piece.is_none_or(|piece| vehicle.pieces.of(edge.a) == piece);
        let drawing = vehicle.facts.network().edges().filter(|(_, edge)| edge.role.draws() && is_near(edge));
        let new = drawing.filter(|(id, edge)| after.state.conducts(*id) && is_new(edge));
        new.filter_map(|(_, edge)| across(vehicle, after, edge)).collect()
    }
}
