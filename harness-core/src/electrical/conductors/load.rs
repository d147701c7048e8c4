//! How hard each conductor is worked in its worst mode, and what is beside it where that is worst.

use super::{bed::NOTHING, installation::Installation, passing::Passing};
use crate::{
    arena::IdVec,
    electrical::{Charged, ModeState},
    model::{ModeId, WireId},
    network::{Edge, EdgeId, Network},
    quantity::Ampere,
    standards::capacity::Beside,
};

/// A conductor in its worst mode.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WireLoad {
    /// The largest current of all modes, or the one that is given where that is more.
    pub amps: Ampere,
    /// The mode in which it flows; `None` where no mode loads the conductor, or a given current is the largest.
    pub mode: Option<ModeId>,
    /// The largest current that it works with: without what a fuse ends within minutes.
    pub works: Ampere,
    /// The largest current that it carries for long: without that of a starter, which lasts for seconds.
    pub lasting: Ampere,
    /// The mode in which that flows; `None` where none does, or a given current is the largest.
    pub lasting_in: Option<ModeId>,
    /// The state of charge, of batteries on charge in that mode, with which it does.
    pub lasting_charged: Charged,
    /// What is beside it in the mode in which that warms it most.
    pub beside: Beside,
    /// That mode; `None` where nothing beside it carries current in a mode in which it may carry some itself.
    pub beside_in: Option<ModeId>,
    /// The state of charge, of batteries on charge in that mode, with which it warms the wire most.
    pub beside_charged: Charged,
}

/// The loading of every wire, by its number.
///
/// What is beside a wire is looked for in the modes in which the wire may carry current, because a fuse lets its rating through
/// in each of them: in which it carries some, or is joined to a live pole. In those modes an idle wire that is joined to a live pole
/// counts with the largest current that it has in any mode: its load can be switched on. A return that carries nothing does not:
/// the factors are those of circuits, of which the feed counts already.
pub(in crate::electrical) fn loading(
    network: &Network,
    modes: &[&ModeState],
    installation: &Installation,
) -> (IdVec<WireId, WireLoad>, BesideInModes) {
    let model = network.model();
    let mut loading = IdVec::of(WireLoad::default(), model.wires().len());
    for mode in modes {
        let currents = currents_in(network, mode);
        for (wire, slot) in loading.iter_mut() {
            let amps = currents[wire];
            if amps > slot.amps && amps.get() > NOTHING {
                slot.amps = amps;
                slot.mode = Some(mode.id);
            }
        }
        let works = without(currents.clone(), |wire| mode.opened_amps(wire));
        let lasting = without(currents, |wire| mode.starter_amps(wire));
        for (wire, slot) in loading.iter_mut() {
            slot.works = slot.works.max(works[wire]);
            let amps = lasting[wire];
            if amps > slot.lasting && amps.get() > NOTHING {
                (slot.lasting, slot.lasting_in, slot.lasting_charged) = (amps, Some(mode.id), mode.battery);
            }
        }
    }
    for (wire, slot) in loading.iter_mut() {
        let Some(given) = installation.given(wire) else { continue };
        if given.amps > slot.amps {
            (slot.amps, slot.mode) = (given.amps, None);
        }
        slot.works = slot.works.max(given.amps);
        if given.amps > slot.lasting {
            (slot.lasting, slot.lasting_in) = (given.amps, None);
        }
    }
    let mut in_modes = BesideInModes::default();
    for mode in modes {
        let flows = warming(network, mode);
        let may: IdVec<WireId, Ampere> =
            flows.iter().map(|(wire, amps)| may_carry(network, mode, &loading, wire, *amps)).collect();
        let may = installation.with_given(mode.id, may);
        let beside = installation.beside(&may);
        for (wire, slot) in loading.iter_mut() {
            let counts = may[wire].get() > NOTHING || is_fed(network, mode, wire) || slot.amps.get() <= NOTHING;
            let found = beside[wire];
            if counts && found.conductors > 0 && (slot.beside_in.is_none() || found.rise > slot.beside.rise) {
                (slot.beside, slot.beside_in, slot.beside_charged) = (found, Some(mode.id), mode.battery);
            }
        }
        in_modes.add(mode.id, beside);
    }
    (loading, in_modes)
}

/// What is beside each wire in each mode, with what may flow there: of the states of one mode, that which warms it most.
#[derive(Debug, Default)]
pub(in crate::electrical) struct BesideInModes(Vec<(ModeId, IdVec<WireId, Beside>)>);

impl BesideInModes {
    fn add(&mut self, mode: ModeId, beside: IdVec<WireId, Beside>) {
        let Some((_, known)) = self.0.iter_mut().find(|(of, _)| *of == mode) else {
            self.0.push((mode, beside));
            return;
        };
        for (wire, slot) in known.iter_mut() {
            if beside[wire].rise > slot.rise {
                *slot = beside[wire];
            }
        }
    }

    /// What is beside each wire, mode by mode, in the order in which they were first met.
    pub(in crate::electrical) fn in_order(&self) -> impl Iterator<Item = &IdVec<WireId, Beside>> {
        self.0.iter().map(|(_, beside)| beside)
    }

    /// What is beside each wire in a mode; `None` for a mode that was not computed.
    pub(in crate::electrical) fn of(&self, mode: ModeId) -> Option<&IdVec<WireId, Beside>> {
        self.0.iter().find(|(of, _)| *of == mode).map(|(_, beside)| beside)
    }
}

fn is_fed(network: &Network, mode: &ModeState, wire: WireId) -> bool {
    let wire = &network.model()[wire];
    [wire.from, wire.to].into_iter().flatten().any(|point| mode.is_fed(point))
}

/// What a wire may carry in a mode: what flows, or where nothing flows and it is joined to a live pole, its largest current that no fuse ends.
pub(super) fn may_carry(
    network: &Network,
    mode: &ModeState,
    loading: &IdVec<WireId, WireLoad>,
    wire: WireId,
    flows: Ampere,
) -> Ampere {
    let idle = || loading[wire].lasting.min(loading[wire].works);
    if flows.get() > NOTHING || !is_fed(network, mode, wire) { flows } else { idle() }
}

/// The magnitude of the current in every wire.
fn currents(network: &Network, amps: impl Fn(EdgeId, &Edge) -> Ampere) -> IdVec<WireId, Ampere> {
    let mut currents = IdVec::of(Ampere::ZERO, network.model().wires().len());
    for (id, edge) in network.edges() {
        if let Some(wire) = edge.wire() {
            currents[wire] = amps(id, edge).abs();
        }
    }
    currents
}

/// The same in a mode.
fn currents_in(network: &Network, mode: &ModeState) -> IdVec<WireId, Ampere> {
    currents(network, |id, edge| mode.working_amps(id, edge))
}

/// The same without what starters take: what each wire has to carry for long.
pub(in crate::electrical) fn lasting(network: &Network, mode: &ModeState) -> IdVec<WireId, Ampere> {
    without(currents_in(network, mode), |wire| mode.starter_amps(wire))
}

/// The same without what fuses end within minutes too: what warms each wire, and those beside it.
pub(in crate::electrical) fn warming(network: &Network, mode: &ModeState) -> IdVec<WireId, Ampere> {
    without(currents_in(network, mode), |wire| mode.passing_amps(wire))
}

/// The same for currents of a mode that is not settled yet.
pub(in crate::electrical) fn warming_by(network: &Network, amps: impl Fn(EdgeId, &Edge) -> Ampere) -> IdVec<WireId, Ampere> {
    let passing = Passing::new(network, |id| amps(id, &network[id]));
    without(currents(network, amps), |wire| passing.of(wire))
}

fn without(mut currents: IdVec<WireId, Ampere>, taken: impl Fn(WireId) -> Ampere) -> IdVec<WireId, Ampere> {
    for (wire, slot) in currents.iter_mut() {
        *slot = (*slot - taken(wire)).max(Ampere::ZERO);
    }
    currents
}
