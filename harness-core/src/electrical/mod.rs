//! What flows: the operating point of a design in every mode, the loading of its conductors, and which fuse sees what.
//!
//! Owns figures that are computed from the network. Knows nothing of rules. Its rooms: `modes` is what flows in each, `conductors`
//! what is known and computed of wires, `fuses` the same of fuses and which of them sees what, `faults` what shorts do; beside them
//! `alternatives`, `battery`, `coils`, `connectivity`, `current_path` and `ground_shift`, each one question over the network,
//! `who_is_beside`. Four are of changes: `what_if` says what can be changed and gives the whole state that a mode comes to then, `probe`
//! its voltages alone, `altered` what differs, each from the state of rest that `resting` keeps, `switched_off` resistances with everything
//! off; `single_faults` tries all changes that one part can bring about. What an edge is,
//! [`network`](crate::network) alone decides.
//!
//! [`Electrical`] is asked flat, `electrical.drops()` and not `electrical.conductors().drops()`: who asks wants a figure, and the
//! rooms are where it is made.
//!
//! Whoever holds an id got it from this design, so tables are indexed by it and a missing entry is loud. `None` is a fact that the
//! design does not give, and the function says which.

pub mod altered;
pub mod alternatives;
pub mod battery;
pub mod coils;
pub mod conductors;
pub mod connectivity;
pub mod current_path;
pub mod faults;
pub mod fuses;
pub mod ground_shift;
mod lookup;
mod modes;
mod nominal;
mod probe;
mod resting;
pub mod single_faults;
mod switched_off;
pub mod what_if;
mod who_is_beside;

pub use conductors::{Bundle, Given, GivenBy, Hot, Neighbour, Neighbours, WireLoad};
pub use faults::Faults;
pub use fuses::{FuseLoad, Protection, ambient_of};
pub use modes::{AlwaysOn, Charge, Charged, HeldBy, Latched, LatchedCoil, ModeState, Restless, Swing, Unlimited};
pub use nominal::Nominal;
pub use probe::{Probed, Probing};

use self::{
    alternatives::{Alternatives, possible::Possible},
    conductors::{
        conductor,
        drop::{self, Drop},
        installation::Installation,
        load::{self, BesideInModes},
        neighbours::Rankings,
        parallel::{self, Parallel, Trouble},
        thermal,
    },
    faults::{Exposure, Pass, Verdict},
    fuses::protection,
    modes::{adapting, branches::Maker, charge, latched, state::Beginning},
    resting::Resting,
};
use crate::{
    arena::IdVec,
    circuit::Circuit,
    model::{DeviceId, ElementId, ModeId, WireId},
    network::{Domains, EdgeId, Network},
    quantity::Ampere,
    standards::capacity::Capacity,
};
use std::sync::{Arc, OnceLock};

/// Up to this share of its working current a conductor carries no short, whatever elsewhere is shorted.
const WORKING: f64 = 1.1;

/// Everything electrical that is known of a design.
///
/// It holds the network that it was computed from, so its figures can't be asked for with another.
#[derive(Debug)]
pub struct Electrical {
    network: Arc<Network>,
    installation: Installation,
    edges: IdVec<WireId, Option<EdgeId>>,
    modes: Vec<ModeState>,
    latched: Vec<Latched>,
    charges: Vec<Charge>,
    restless: Vec<Restless>,
    loading: IdVec<WireId, WireLoad>,
    beside: BesideInModes,
    drops: Vec<Drop>,
    parallel: Vec<Parallel>,
    uneven: Vec<WireId>,
    ground_shifts: Vec<ground_shift::GroundShift>,
    groundless: Vec<DeviceId>,
    alternatives: Alternatives,
    possible: Possible,
    protection: Protection,
    faults: Faults,
    domains: Domains,
    nominals: IdVec<ElementId, Option<Nominal>>,
    /// Per mode, in their order.
    resting: Vec<OnceLock<Resting>>,
    rankings: Rankings,
}

/// Computes what flows in each of `modes`, and what follows from it.
///
/// Cost: two searches of the network a mode, the second from where the first ended; more where heat changes currents or relays
/// leave a choice; and a few passes over the edges.
#[must_use]
pub fn electrical(shared: &Arc<Network>, modes: &[ModeId]) -> Electrical {
    let network: &Network = shared;
    let installation = Installation::new(network);
    let mut edges = IdVec::of(None, network.model().wires().len());
    for (id, wire) in network.edges().filter_map(|(id, edge)| Some((id, edge.wire()?))) {
        edges[wire] = Some(id);
    }
    let maker = Maker::new(network, &installation);
    let modes: Vec<ModeState> = modes
        .iter()
        .map(|mode| adapting::solve(network, &installation, *mode, &maker.circuit(*mode), Beginning::Coils(&[])))
        .collect();
    let latched = latched::latched(network, &installation, &maker, &modes);
    let (charges, restless) = charge::charges(network, &installation, &maker, &modes);
    let judged: Vec<&ModeState> = modes.iter().chain(charges.iter().map(|charge| &charge.flat)).collect();
    let (loading, beside) = load::loading(network, &judged, &installation);
    let alternatives = alternatives::alternatives(network, &modes);
    let states: Vec<&ModeState> = modes.iter().chain(latched.iter().map(|latched| &latched.state)).collect();
    let possible = Possible::new(network, &states);
    let protection = protection::protection(network, &alternatives, &possible);
    let mut pass = Pass::new(network, maker.domains(), &protection);
    for (state, beside) in modes.iter().zip(beside.in_order()) {
        pass.mode(&maker.circuit(state.id), state, beside);
    }
    let faults = pass.finish();
    let (domains, nominals) = maker.into_domains();
    let drops = drop::drops(network, &domains, &nominals, &modes, &charges);
    let parallel = parallel::parallel(network, &judged, &installation);
    let is_uneven = |group: &&Parallel| group.trouble == Trouble::Uneven;
    let mut uneven: Vec<WireId> = parallel.iter().filter(is_uneven).flat_map(|group| group.wires.iter().copied()).collect();
    uneven.sort_unstable();
    let resting = modes.iter().map(|_| OnceLock::new()).collect();
    let (ground_shifts, groundless) = ground_shift::ground_shifts(network, &domains, &modes);
    Electrical {
        network: Arc::clone(shared),
        installation,
        edges,
        modes,
        latched,
        charges,
        restless,
        loading,
        beside,
        drops,
        parallel,
        uneven,
        ground_shifts,
        groundless,
        alternatives,
        possible,
        protection,
        faults,
        domains,
        nominals,
        resting,
        rankings: Rankings::default(),
    }
}

/// The circuit that a design is in each of `modes`, its conductors as warm as they are without current: nodes have the numbers
/// of the points, branches those of the edges.
///
/// For those who compute with something else than [`solve`](crate::circuit::solve).
#[must_use]
pub fn circuits(network: &Network, modes: &[ModeId]) -> Vec<Circuit> {
    let installation = Installation::new(network);
    let maker = Maker::new(network, &installation);
    modes.iter().map(|mode| maker.circuit(*mode)).collect()
}

impl Electrical {
    /// The modes that were computed, by name.
    pub fn modes(&self) -> impl ExactSizeIterator<Item = &ModeState> {
        self.modes.iter()
    }

    /// The modes that were computed, in the order written, as people read them.
    #[must_use]
    pub fn modes_as_written(&self) -> Vec<&ModeState> {
        let model = self.network.model();
        let mut modes: Vec<&ModeState> = self.modes.iter().collect();
        modes.sort_by_key(|mode| model[mode.id].span);
        modes
    }

    /// Second states of rest, in which coils stay in that were energised before; in the order of the modes.
    #[must_use]
    pub fn latched(&self) -> &[Latched] {
        &self.latched
    }

    /// In which modes each edge may be closed or on, second states among them.
    #[must_use]
    pub fn possible(&self) -> &Possible {
        &self.possible
    }

    /// The modes in which batteries are on charge, each with what flows while they are flat and full.
    #[must_use]
    pub fn charges(&self) -> &[Charge] {
        &self.charges
    }

    /// The states of charge that do not settle, so that nothing is judged in them.
    #[must_use]
    pub fn restless_charges(&self) -> &[Restless] {
        &self.restless
    }

    /// What batteries on charge do in a mode; `None` where none is charged by a source with a limit.
    #[must_use]
    pub fn charge_in(&self, mode: ModeId) -> Option<&Charge> {
        self.charges.iter().find(|charge| charge.mode == mode)
    }

    /// What charges batteries without a limit, so that nobody knows what they take while flat. Cost: a pass over the edges a mode.
    #[must_use]
    pub fn unlimited_chargers(&self) -> Vec<Unlimited> {
        charge::unlimited(&self.network, &self.modes)
    }

    /// Sources without `in` that hold a battery above its open-circuit voltage. Cost: a pass over the edges.
    #[must_use]
    pub fn always_on(&self) -> Vec<AlwaysOn> {
        charge::always_on(&self.network)
    }

    /// All states in which conductors, contacts and fuses are judged: each mode, and again with flat batteries where some are charged.
    #[must_use]
    pub fn loaded_states(&self) -> Vec<&ModeState> {
        self.modes.iter().chain(self.charges.iter().map(|charge| &charge.flat)).collect()
    }

    /// The state in which a voltage drop was found.
    #[must_use]
    pub fn state_of(&self, drop: &Drop) -> Option<&ModeState> {
        match (self.charge_in(drop.mode), drop.fed) {
            (Some(charge), drop::Fed::Battery) => Some(&charge.flat),
            (Some(charge), drop::Fed::Load) => Some(&charge.full),
            (None, _) => self.modes().find(|mode| mode.id == drop.mode),
        }
    }

    /// How a wire is loaded in its worst mode, for the size that it is given.
    #[must_use]
    pub fn loading(&self, wire: WireId) -> &WireLoad {
        &self.loading[wire]
    }

    /// How the fuse at `edge` is loaded in its worst mode; `None` where the edge is not a fuse or its rating is not known.
    #[must_use]
    pub fn fuse_loading(&self, edge: EdgeId) -> Option<FuseLoad> {
        fuses::load::fuse_loading(&self.network, &self.loaded_states(), edge)
    }

    /// What a wire may carry for long, among what is beside it in the mode in which that warms it most; `None` where its size or its
    /// surroundings are not known.
    #[must_use]
    pub fn capacity(&self, wire: WireId) -> Option<Capacity> {
        let model = self.network.model();
        conductor::capacity_of(model, &model[wire], self.loading(wire).beside)
    }

    /// The conductors nearest to the temperature that they are rated for, the worst first; at most `most` of them.
    #[must_use]
    pub fn hottest(&self, most: usize) -> Vec<Hot> {
        thermal::hottest(self.network.model(), &self.loaded_states(), most)
    }

    /// The current that the design gives for a wire that nothing loads, or that the limit of its only source does.
    #[must_use]
    pub fn given(&self, wire: WireId) -> Option<Given> {
        self.installation.given(wire)
    }

    /// What warms each wire in a mode: what flows without the current of a starter and without what a fuse ends within minutes, or more where
    /// more is given.
    #[must_use]
    pub fn lasting(&self, mode: &ModeState) -> IdVec<WireId, Ampere> {
        self.installation.with_given(mode.id, load::warming(&self.network, mode))
    }

    pub(in crate::electrical) fn network(&self) -> &Network {
        &self.network
    }

    pub(in crate::electrical) fn installation(&self) -> &Installation {
        &self.installation
    }

    pub(in crate::electrical) fn all_loading(&self) -> &IdVec<WireId, WireLoad> {
        &self.loading
    }

    /// Whether a wire joins two points of this build.
    #[must_use]
    pub fn is_wired(&self, wire: WireId) -> bool {
        self.edges[wire].is_some()
    }

    /// The edge of a wire; `None` for one that joins nothing.
    pub(in crate::electrical) fn edge_of(&self, wire: WireId) -> Option<EdgeId> {
        self.edges[wire]
    }

    /// What each load, and each battery on charge, loses in its worst mode, in the order of the elements.
    #[must_use]
    pub fn drops(&self) -> &[Drop] {
        &self.drops
    }

    /// Conductors in parallel of which one is overloaded, or would be if another opened, by their first wire.
    #[must_use]
    pub fn parallel(&self) -> &[Parallel] {
        &self.parallel
    }

    /// Whether a wire carries more than it may because it shares unevenly with others in parallel.
    #[must_use]
    pub fn is_uneven(&self, wire: WireId) -> bool {
        self.uneven.binary_search(&wire).is_ok()
    }

    /// Grounds of sensors and bus nodes that other currents lift by more than the policy, or the table, allows.
    #[must_use]
    pub fn ground_shifts(&self) -> &[ground_shift::GroundShift] {
        &self.ground_shifts
    }

    /// Devices that give or take a signal, or are on a bus, and have no pin that is their ground.
    #[must_use]
    pub fn groundless(&self) -> &[DeviceId] {
        &self.groundless
    }

    /// The voltage domain of each point.
    #[must_use]
    pub fn domains(&self) -> &Domains {
        &self.domains
    }

    /// The voltage that an element is made for; `None` where no domain is joined to its first two points.
    #[must_use]
    pub fn nominal(&self, element: ElementId) -> Option<Nominal> {
        self.nominals[element]
    }

    /// The short that would burn a wire, or the worst that it withstands; `None` where the current is what its load draws anyway,
    /// whatever elsewhere is shorted: that is a matter of its loading.
    #[must_use]
    pub fn short(&self, wire: WireId) -> Option<&Exposure> {
        let works = self.loading(wire).works;
        let is_short = |exposure: &&Exposure| exposure.verdict != Verdict::Burns || exposure.amps > works * WORKING;
        self.faults.of_wire(wire).filter(is_short)
    }

    /// How many wires carry current in one of its modes.
    #[must_use]
    pub fn loaded_wires(&self, mode: &ModeState) -> usize {
        mode.loaded_wires(&self.network)
    }

    /// What shorts do to conductors and fuses.
    #[must_use]
    pub fn faults(&self) -> &Faults {
        &self.faults
    }

    /// What is never closed together.
    #[must_use]
    pub fn alternatives(&self) -> &Alternatives {
        &self.alternatives
    }

    /// Which fuse sees what.
    #[must_use]
    pub fn protection(&self) -> &Protection {
        &self.protection
    }
}
