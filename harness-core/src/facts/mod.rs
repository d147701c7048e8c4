//! What several rules and outputs ask of an analysed design: named queries, each answered once.
//!
//! Owns one file for each fact, with its query as a method of [`Facts`], and the place where the answer is kept. A fact states what is
//! so; it makes no finding, knows no rule and no limit of the workshop. An answer is made when it is first asked for and is the same for
//! all who ask, from any thread. It holds ids, never references, so that it can be kept; what needs the model to be read is handed out
//! together with the model, so that no answer can be read with another design.

pub mod allowance;
pub mod always_enabled;
pub mod apart;
mod batteries;
pub mod bonds;
pub mod borrowed_neutrals;
pub mod bridged;
pub mod bridged_fields;
pub mod buses;
pub mod cavities;
pub mod charge_stops;
pub mod charged_parts;
mod claims;
mod coils;
mod connectors;
pub mod contact_loads;
mod coverage;
pub mod crossed_twins;
pub mod discharges;
pub mod drive_gates;
pub mod economisers;
pub mod faces;
pub mod fed_coils;
pub mod feed_paths;
mod fit;
pub mod floating_inputs;
pub mod given_flow;
mod highest_domain;
pub mod idle_sources;
pub mod inlets;
pub mod inrush;
pub mod interlocks;
pub mod isolations;
mod joined;
mod joints;
pub mod landings;
pub mod live_leads;
pub mod live_parts;
pub mod live_past;
pub mod live_steps;
pub mod loaded_earths;
pub mod loop_resistance;
pub mod loops;
pub mod mains_sides;
pub mod mated_pairs;
pub mod meetings;
pub mod missing;
pub mod mixed_bundles;
pub mod names;
mod near_supply;
mod nominal;
pub mod odd_domains;
pub mod odd_names;
pub mod off_chassis;
pub mod one_pole;
pub mod one_sided;
pub mod open_points;
pub mod opened_earths;
pub mod openings;
pub mod overfed;
pub mod parallel_mains;
pub mod past_disconnects;
pub mod peaks;
mod phase_names;
pub mod phases;
pub mod pilot_circuits;
pub mod pins;
pub mod plug_slips;
mod polarised;
pub mod pole_roles;
mod potentials;
pub mod precharge;
pub mod rated_currents;
pub mod reach;
pub mod relay_loads;
pub mod residual;
mod returns;
pub mod reversed_sources;
pub mod rings;
pub mod role_clashes;
pub mod screens;
pub mod second_bonds;
pub mod segment_members;
pub mod segment_runs;
pub mod sensor_returns;
pub mod shorts;
pub mod signals;
pub mod stop_paths;
pub mod string_links;
mod stubs;
pub mod stuck_inputs;
pub mod supply_cuts;
pub mod swapped_converters;
pub mod swapped_earths;
pub mod swaps;
pub mod switched_loads;
mod taps;
mod terminals;
pub mod undrawn;
pub mod wire_ends;
pub mod wrong_side;
pub mod wrong_voltages;

pub use connectors::{Connector, ConnectorHalf, Contact};
pub use joints::Joint;
pub use taps::{Tap, TapGroup};

use crate::{
    arena::IdVec,
    design::Design,
    electrical::{Electrical, battery::Batteries, coils::Coils, fuses::protection::supply::Supply},
    model::{Model, PointId, SegmentId, WireId},
    network::{Nearest, Network, Potential},
};
use std::sync::OnceLock;

/// An analysed design and what was asked of it so far.
#[derive(Debug)]
pub struct Facts {
    design: Design,
    electrical: Electrical,
    made: Made,
}

/// The answers. A fact asks only for those above its own: two that wait for each other would wait for ever.
#[derive(Debug, Default)]
struct Made {
    views: OnceLock<joined::Views>,
    potentials: OnceLock<Nearest<Potential>>,
    crossings: OnceLock<Vec<Joint>>,
    chassis_ties: OnceLock<Vec<Joint>>,
    connectors: OnceLock<Vec<Connector>>,
    bonds: OnceLock<bonds::Bonds>,
    coils: OnceLock<Coils>,
    batteries: OnceLock<Batteries>,
    string_domains: OnceLock<batteries::StringDomains>,
    taps: OnceLock<Vec<TapGroup>>,
    undrawn: OnceLock<undrawn::Undrawn>,
    wire_ends: OnceLock<wire_ends::WireEnds>,
    terminals: OnceLock<terminals::Exceptions>,
    claims: OnceLock<claims::Claims>,
    given_flow: OnceLock<given_flow::GivenFlow>,
    landings: OnceLock<Vec<landings::LandingUse>>,
    peaks: OnceLock<peaks::Peaks>,
    rated_currents: OnceLock<Vec<rated_currents::RatedCurrent>>,
    contact_loads: OnceLock<Vec<contact_loads::ContactLoad>>,
    mated_pairs: OnceLock<mated_pairs::MatedPairs>,
    face_clashes: OnceLock<Vec<faces::FaceClash>>,
    pins: OnceLock<pins::Pins>,
    swaps: OnceLock<swaps::Swaps>,
    crowded_cavities: OnceLock<cavities::CrowdedCavities>,
    mixed_signals: OnceLock<Vec<signals::MixedSignals>>,
    crossed_phases: OnceLock<Vec<phases::CrossedPhases>>,
    swapped_earths: OnceLock<Vec<swapped_earths::SwappedEarth>>,
    role_clashes: OnceLock<Vec<role_clashes::RoleClash>>,
    odd_names: OnceLock<odd_names::OddNames>,
    pole_roles: OnceLock<Vec<pole_roles::PoleRole>>,
    mains_sides: OnceLock<Vec<mains_sides::MainsSides>>,
    opened_earths: OnceLock<Vec<opened_earths::OpenedEarth>>,
    second_bonds: OnceLock<Vec<second_bonds::SecondBond>>,
    borrowed_neutrals: OnceLock<Vec<borrowed_neutrals::BorrowedNeutral>>,
    before_residual: OnceLock<Vec<residual::BeforeResidual>>,
    swapped_converters: OnceLock<Vec<swapped_converters::SwappedConverter>>,
    rings: OnceLock<Vec<rings::Ring>>,
    mixed_bundles: OnceLock<Vec<mixed_bundles::MixedBundle>>,
    segment_members: OnceLock<IdVec<SegmentId, Vec<segment_members::Member>>>,
    not_apart: OnceLock<Vec<apart::NotApart>>,
    short_runs: OnceLock<Vec<segment_runs::ShortRun>>,
    isolations: OnceLock<isolations::Isolations>,
    shorts: OnceLock<Vec<shorts::Short>>,
    reversed_sources: OnceLock<Vec<reversed_sources::ReversedSource>>,
    unconnected: OnceLock<Vec<PointId>>,
    dangling: OnceLock<Vec<open_points::Dangling>>,
    floating_inputs: OnceLock<Vec<floating_inputs::FloatingInputs>>,
    stuck_inputs: OnceLock<Vec<stuck_inputs::StuckInput>>,
    plug_slips: OnceLock<plug_slips::PlugSlips>,
    meetings: OnceLock<Vec<meetings::Meeting>>,
    wrong_sides: OnceLock<Vec<wrong_side::WrongSide>>,
    crossed_twins: OnceLock<Vec<crossed_twins::CrossedTwins>>,
    bridged: OnceLock<Vec<bridged::Bridged>>,
    supply_cuts: OnceLock<supply_cuts::SuppliesLost>,
    idle_sources: OnceLock<Vec<idle_sources::IdleSource>>,
    fed_coils: OnceLock<Vec<fed_coils::FedCoil>>,
    supplies: OnceLock<IdVec<WireId, Option<Supply>>>,
    side_by_side: OnceLock<allowance::SideBySide>,
    leads: OnceLock<Vec<overfed::Lead>>,
    overfed: OnceLock<Vec<overfed::Overfed>>,
    loaded_earths: OnceLock<Vec<loaded_earths::LoadedEarth>>,
    high_sources: OnceLock<Vec<wrong_voltages::HighSource>>,
    wrong_voltages: OnceLock<Vec<wrong_voltages::WrongVoltage>>,
    odd_domains: OnceLock<Vec<odd_domains::OddDomain>>,
    inrushes: OnceLock<Vec<inrush::Inrush>>,
    always_enabled: OnceLock<Vec<always_enabled::AlwaysEnabled>>,
    off_chassis: OnceLock<Vec<off_chassis::OffChassis>>,
    one_sided: OnceLock<Vec<one_sided::OneSided>>,
    live_past: OnceLock<Vec<live_past::LivePast>>,
    undrawn_precharges: OnceLock<Vec<precharge::Undrawn>>,
    precharges: OnceLock<Vec<precharge::Precharge>>,
    buses: OnceLock<buses::Buses>,
    terminations: OnceLock<Vec<buses::Termination>>,
    bus_shapes: OnceLock<Vec<buses::Shape>>,
    split_networks: OnceLock<Vec<buses::SplitNetwork>>,
    unreferenced: OnceLock<Vec<buses::Unreferenced>>,
    screens: OnceLock<Vec<screens::Screen>>,
    screen_chains: OnceLock<Vec<screens::Chain>>,
    loops: OnceLock<loops::Loops>,
    unmatings: OnceLock<Vec<openings::Opened>>,
    touchable: OnceLock<Vec<reach::Touchable>>,
    bypassed_interlocks: OnceLock<Vec<interlocks::BypassedInterlock>>,
    inlets: OnceLock<Vec<inlets::ChargingInlet>>,
    at_inlets: OnceLock<pilot_circuits::AtInlets>,
    pilot_circuits: OnceLock<Vec<pilot_circuits::SignalCircuit>>,
    drive_gates: OnceLock<drive_gates::DriveGates>,
}

impl Facts {
    /// The facts of a design of which `electrical` was computed; nothing is answered yet.
    pub(crate) fn new(design: Design, electrical: Electrical) -> Self {
        Self { design, electrical, made: Made::default() }
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// The resolved design.
    #[must_use]
    pub fn model(&self) -> &Model {
        self.design.model()
    }

    /// Who is joined to whom.
    #[must_use]
    pub fn network(&self) -> &Network {
        self.design.network()
    }

    /// What flows, in every mode that was asked for.
    #[must_use]
    pub fn electrical(&self) -> &Electrical {
        &self.electrical
    }
}
