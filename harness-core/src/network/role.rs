//! What an edge is, decided once, when the network is built.
//!
//! Owns every question of the kind "does current of this sort pass an edge of that kind". Each question is a predicate with its
//! reason, and each names every role: a new kind of element does not compile until all of them have an answer. Where two questions
//! sound alike and differ in an answer, both are here and say in what.

mod power;

use EdgeRole::{
    BreakContact, Capacitor, Coil, ConverterInput, ConverterOutput, Diode, Disconnect, Fuse, Interlock, Load, MakeContact, Metal,
    Resistor, Shunt, Source, Switch,
};

/// Metal that is always there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum MetalKind {
    /// A wire or a core.
    Wire,
    /// The screen of a cable.
    Screen,
    /// A mated contact of a loom end.
    Contact,
    /// A ring on its stud, or bare wire ends at their point.
    Joint,
    /// The metal of the chassis.
    Chassis,
    /// A fitted link between two of its points.
    Bar,
}

/// What an edge is to a current.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum EdgeRole {
    /// Plain metal.
    Metal(MetalKind),
    /// A fuse in its holder.
    Fuse,
    /// The contact of a switch.
    Switch {
        /// Closed in some mode.
        closes: bool,
    },
    /// A service disconnect.
    Disconnect,
    /// The bridge that closes the interlock loop.
    Interlock,
    /// The contact of a relay that closes when the coil is energised.
    MakeContact,
    /// The contact of a relay that opens when the coil is energised.
    BreakContact,
    /// The coil of a relay.
    Coil,
    /// A source, from its negative to its positive point.
    Source {
        /// Gives no more than its limit and takes no reverse current.
        limited: bool,
    },
    /// The input of a converter, from positive to negative.
    ConverterInput,
    /// The output of a converter, from negative to positive.
    ConverterOutput {
        /// Gives no more than its limit.
        limited: bool,
    },
    /// A load.
    Load,
    /// A resistor.
    Resistor,
    /// A resistor of so few milliohms that it measures a current and does not limit one.
    Shunt,
    /// A capacitor.
    Capacitor,
    /// A diode, from anode to cathode.
    Diode,
}

/// What joins.
impl EdgeRole {
    /// Plain metal, at which nothing is lost but over its own resistance: it makes the nets.
    #[must_use]
    pub const fn is_metal(self) -> bool {
        match self {
            Metal(_) => true,
            Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil | Source { .. } => false,
            Shunt | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Joins two points that are one place: a contact with its mate, a ring with its stud.
    #[must_use]
    pub const fn is_place(self) -> bool {
        match self {
            Metal(metal) => match metal {
                MetalKind::Contact | MetalKind::Joint => true,
                MetalKind::Wire | MetalKind::Screen | MetalKind::Chassis | MetalKind::Bar => false,
            },
            Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil | Source { .. } => false,
            Shunt | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Goes on as one run of wire, whose two ends have one name: wire, contact, joint, screen; in a loom also what is in the line of a
    /// wire. Narrower than [`is_metal`](Self::is_metal): what a device or the chassis joins hides no swap of the wires at it.
    #[must_use]
    pub const fn runs_on(self, is_in_loom: bool) -> bool {
        match self {
            Metal(MetalKind::Wire | MetalKind::Screen | MetalKind::Contact | MetalKind::Joint) => true,
            Metal(MetalKind::Bar) | Fuse | Shunt | Disconnect => is_in_loom,
            Metal(MetalKind::Chassis) | Switch { .. } | Interlock | MakeContact | BreakContact | Coil | Source { .. } => false,
            ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Metal that somebody fits between a live part and the chassis on purpose: a wire, a screen, a ring. A mated contact belongs
    /// to the wire behind it, a bar and the chassis to the device that they are in.
    #[must_use]
    pub const fn ties_to_chassis(self) -> bool {
        match self {
            Metal(metal) => match metal {
                MetalKind::Wire | MetalKind::Screen | MetalKind::Joint => true,
                MetalKind::Contact | MetalKind::Chassis | MetalKind::Bar => false,
            },
            Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil | Source { .. } => false,
            Shunt | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Joins its two points galvanically. The two sides of a converter, and coil and contact of a relay, are edges of their own
    /// that do not meet.
    #[must_use]
    pub const fn is_galvanic(self) -> bool {
        match self {
            Shunt
            | Metal(_)
            | Fuse
            | Switch { .. }
            | Disconnect
            | Interlock
            | MakeContact
            | BreakContact
            | Coil
            | Source { .. } => true,
            ConverterInput | ConverterOutput { .. } | Load | Resistor | Diode => true,
            Capacitor => false,
        }
    }

    /// Joins its two points galvanically with no resistor between: what [`is_galvanic`](Self::is_galvanic), but resistors. What is
    /// behind such an edge is at one potential with what is before it, as far as domains go.
    #[must_use]
    pub const fn joins_directly(self) -> bool {
        match self {
            Shunt
            | Metal(_)
            | Fuse
            | Switch { .. }
            | Disconnect
            | Interlock
            | MakeContact
            | BreakContact
            | Coil
            | Source { .. } => true,
            ConverterInput | ConverterOutput { .. } | Load | Diode => true,
            Resistor | Capacitor => false,
        }
    }

    /// Lets a supply through when closed. A diode counts: turned the right way it conducts.
    #[must_use]
    pub const fn conducts_when_closed(self) -> bool {
        match self {
            Shunt | Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Diode => true,
            Coil | Source { .. } | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor => false,
        }
    }

    /// Lets a fault current through and does not end it: what [`conducts_when_closed`](Self::conducts_when_closed), but fuses. Such
    /// edges make the clusters of protection.
    #[must_use]
    pub const fn passes_faults(self) -> bool {
        match self {
            Shunt | Metal(_) | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Diode => true,
            Fuse | Coil | Source { .. } | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor => false,
        }
    }

    /// Joins the modules of a battery, with everything fitted and in. Narrower than
    /// [`leads_to_battery`](Self::leads_to_battery): a switch must close in some mode, and a contact that opens when its relay works
    /// is a discharge path, no part of the battery.
    #[must_use]
    pub const fn joins_battery(self) -> bool {
        match self {
            Shunt | Metal(_) | Fuse | Disconnect | MakeContact => true,
            Switch { closes } => closes,
            BreakContact | Interlock | Coil | Source { .. } | ConverterInput | ConverterOutput { .. } => false,
            Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Leads a measuring pin to the pole that it measures: whatever conducts when it is closed and drops nothing that would
    /// falsify the reading. Interlock bridges belong to another circuit.
    #[must_use]
    pub const fn leads_to_battery(self) -> bool {
        match self {
            Shunt | Metal(_) | Fuse | Switch { .. } | Disconnect | MakeContact | BreakContact => true,
            Interlock | Coil | Source { .. } | ConverterInput | ConverterOutput { .. } => false,
            Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Leads the pin of a monitor to what it measures: what [`leads_to_battery`](Self::leads_to_battery), and the resistors that
    /// guard the pin, over which next to nothing flows.
    #[must_use]
    pub const fn leads_measurement(self) -> bool {
        match self {
            Shunt | Metal(_) | Fuse | Switch { .. } | Disconnect | MakeContact | BreakContact | Resistor => true,
            Interlock | Coil | Source { .. } | ConverterInput | ConverterOutput { .. } | Load | Capacitor | Diode => false,
        }
    }

    /// Volts along the edge are lost, not used: what [`conducts_when_closed`](Self::conducts_when_closed), but diodes, whose drop is
    /// meant.
    #[must_use]
    pub const fn loses_volts(self) -> bool {
        match self {
            Shunt | Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact => true,
            Coil | Source { .. } | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// A current goes back through it from a thing to the source, where no figure says which way: a load or a resistor. Coils and
    /// converter inputs end the way, for what they lead to is another circuit's return.
    #[must_use]
    pub const fn leads_back(self) -> bool {
        match self {
            Load | Resistor => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | Source { .. } | ConverterInput | ConverterOutput { .. } | Capacitor | Diode => false,
        }
    }
}

/// What opens.
impl EdgeRole {
    /// Opens by itself when the current is too large.
    #[must_use]
    pub const fn is_fuse(self) -> bool {
        match self {
            Fuse => true,
            Metal(_) | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil | Source { .. } => false,
            Shunt | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Open in one mode and closed in another.
    #[must_use]
    pub const fn is_switched(self) -> bool {
        match self {
            Switch { .. } | Disconnect | MakeContact | BreakContact => true,
            Metal(_) | Fuse | Interlock | Coil | Source { .. } | ConverterInput | ConverterOutput { .. } => false,
            Shunt | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Cuts the current of a coil in use. Narrower than [`is_switched`](Self::is_switched): a service disconnect is pulled with
    /// nothing running.
    #[must_use]
    pub const fn cuts_coils(self) -> bool {
        match self {
            Switch { .. } | MakeContact | BreakContact => true,
            Metal(_) | Fuse | Disconnect | Interlock | Coil | Source { .. } | ConverterInput | ConverterOutput { .. } => false,
            Shunt | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Conducts in one direction alone: a diode.
    #[must_use]
    pub const fn is_one_way(self) -> bool {
        match self {
            Diode => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | Source { .. } | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor => false,
        }
    }

    /// At two pins of an interlock loop it closes the loop inside a plug: a bar, or a resistor by which the controller knows how many plugs
    /// are mated. A contact is a switch in the loop, which may be open.
    #[must_use]
    pub const fn may_bridge_loop(self) -> bool {
        match self {
            Metal(metal) => match metal {
                MetalKind::Bar => true,
                MetalKind::Wire | MetalKind::Screen | MetalKind::Contact | MetalKind::Joint | MetalKind::Chassis => false,
            },
            Interlock | Resistor | Shunt => true,
            Fuse | Switch { .. } | Disconnect | MakeContact | BreakContact | Coil | Source { .. } => false,
            ConverterInput | ConverterOutput { .. } | Load | Capacitor | Diode => false,
        }
    }

    /// The contact of a relay, which follows its coil.
    #[must_use]
    pub const fn is_relay_contact(self) -> bool {
        match self {
            MakeContact | BreakContact => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | Coil | Source { .. } | ConverterInput => false,
            Shunt | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }
}

#[cfg(test)]
mod tests;
