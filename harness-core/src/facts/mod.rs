//! What several rules and outputs ask of an analysed design: named questions, each answered once, by the first who asks.
//!
//! Owns what is neither a figure (`electrical`) nor a verdict (`rules`): what ends where, which pins share a net, which halves are
//! mated, what shorts a source, what cuts a load off. Knows no rule. A fact is a pure function of the design, so it does not
//! matter who asks first; a question that does not exist does not compile.

pub mod cavities;
pub mod claims;
pub mod fed_coils;
pub mod feed_paths;
pub mod mated_pairs;
pub mod meetings;
pub mod missing;
mod near_supply;
pub mod open_points;
pub mod pins;
pub mod relay_loads;
pub mod role_clashes;
pub mod shorts;
pub mod signals;
pub mod supply_cuts;
pub mod switched_loads;
pub mod wire_ends;
pub mod wording;
pub mod wrong_side;

use crate::{
    electrical::{
        Electrical,
        coils::{self, Coil},
    },
    model::{ElementId, Model, PointId},
    network::Network,
    quantity::Volt,
};
use std::sync::{Arc, OnceLock};

/// The questions. Each line is one: what is asked, the type of the answer, how it is found.
macro_rules! facts {
    ($($(#[$doc:meta])+ $name:ident: $answer:ty = $made:expr;)+) => {
        /// Facts about an analysed design.
        #[derive(Debug)]
        pub struct Facts {
            network: Arc<Network>,
            electrical: Electrical,
            $($name: OnceLock<$answer>,)+
        }

        impl Facts {
            /// Nothing is computed before it is asked for.
            #[must_use]
            pub fn new(network: Arc<Network>, electrical: Electrical) -> Self {
                Self { network, electrical, $($name: OnceLock::new(),)+ }
            }

            $($(#[$doc])+
            #[must_use]
            pub fn $name(&self) -> &$answer {
                let made: fn(&Self) -> $answer = $made;
                self.$name.get_or_init(|| made(self))
            })+
        }
    };
}

facts! {
    /// What ends where, and what is opposite.
    wire_ends: wire_ends::WireEnds = |facts| wire_ends::WireEnds::new(facts.model());
    /// Which ends name which ports and ends.
    claims: claims::Claims = |facts| claims::Claims::new(facts.model());
    /// Connectors that are mated with each other and with nothing else.
    mated_pairs: mated_pairs::MatedPairs = |facts| mated_pairs::MatedPairs::new(facts.model(), facts.claims());
    /// Pins by net, device and signal.
    pins: pins::Pins = |facts| pins::Pins::new(facts.network());
    /// Cavities with more wires than they take.
    crowded_cavities: cavities::CrowdedCavities =
        |facts| cavities::CrowdedCavities::new(facts.network(), facts.wire_ends());
    /// Nets whose pins name different signals.
    mixed_signals: Vec<signals::MixedSignals> =
        |facts| signals::mixed_signals(facts.network(), facts.pins(), facts.wire_ends(), facts.crowded_cavities());
    /// Pins of one net whose roles exclude each other.
    role_clashes: Vec<role_clashes::RoleClash> = |facts| role_clashes::role_clashes(facts.network(), facts.pins());
    /// Signals and roles that meet and should not, one of each fault.
    meetings: Vec<meetings::Meeting> = meetings::meetings;
    /// Devices on one side of the vehicle that meet a signal of the other.
    wrong_sides: Vec<wrong_side::WrongSide> =
        |facts| wrong_side::wrong_sides(facts.model(), facts.pins(), facts.meetings());
    /// Pins and studs that need a wire and have none, in order.
    unconnected: Vec<PointId> = |facts| open_points::unconnected(facts.model(), facts.wire_ends());
    /// Wires that end at nothing.
    dangling: Vec<open_points::Dangling> = |facts| open_points::dangling(facts.model(), facts.wire_ends());
    /// Sources whose poles are joined.
    shorts: Vec<shorts::Short> = |facts| shorts::shorts(facts.network(), facts.electrical());
    /// Coils, what switches them and what takes their voltage.
    coils: Vec<Coil> = |facts| coils::coils(facts.network()).0;
    /// Coils that pull in through what is no feed of their own.
    fed_coils: Vec<fed_coils::FedCoil> = fed_coils::fed_coils;
    /// Loads that run without voltage, by what cuts them off.
    supply_cuts: Vec<supply_cuts::SupplyCut> = supply_cuts::supply_cuts;
}

impl Facts {
    /// The resolved design.
    #[must_use]
    pub fn model(&self) -> &Model {
        self.network.model()
    }

    /// Who is joined to whom.
    #[must_use]
    pub fn network(&self) -> &Network {
        &self.network
    }

    /// What flows.
    #[must_use]
    pub fn electrical(&self) -> &Electrical {
        &self.electrical
    }

    /// Nominal voltage at the first two points of an element; `None` where no domain with a direct one is joined to them.
    #[must_use]
    pub fn nominal(&self, element: ElementId) -> Option<Volt> {
        let model = self.model();
        let domain = model[element].points.iter().take(2).find_map(|point| self.electrical.domains().of(*point))?;
        Some(model[domain].nominal).filter(|nominal| nominal.get() > 0.0)
    }
}
