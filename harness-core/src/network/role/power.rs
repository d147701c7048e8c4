//! What gives power and what takes it.
//!
//! Owns the predicates of sources, loads and of elements that have a side for each; what joins and what opens is in the file above.

use super::EdgeRole::{
    self, BreakContact, Capacitor, Coil, ConverterInput, ConverterOutput, Diode, Disconnect, Fuse, Interlock, Load, MakeContact,
    Metal, Resistor, Shunt, Source, Switch,
};

/// What drives.
impl EdgeRole {
    /// Drives a current: a source, or the output of a converter.
    #[must_use]
    pub const fn drives(self) -> bool {
        match self {
            Source { .. } | ConverterOutput { .. } => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | ConverterInput | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// Drives as much as its resistance lets it: what [`drives`](Self::drives) and gives no limit.
    #[must_use]
    pub const fn drives_without_limit(self) -> bool {
        match self {
            Source { limited } | ConverterOutput { limited } => !limited,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | ConverterInput | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// An element that is a source: a cell, a module, a generator. Narrower than [`drives`](Self::drives): a converter only passes
    /// on what a source gives.
    #[must_use]
    pub const fn is_source(self) -> bool {
        match self {
            Source { .. } => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }

    /// A source that can be charged: one with a limit takes no reverse current.
    #[must_use]
    pub const fn takes_charge(self) -> bool {
        match self {
            Source { limited } => !limited,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | ConverterInput | ConverterOutput { .. } | Load | Resistor | Capacitor | Diode => false,
        }
    }
}

/// What takes.
impl EdgeRole {
    /// Works with what it takes: a load, a coil, the input of a converter.
    #[must_use]
    pub const fn draws(self) -> bool {
        match self {
            Load | Coil | ConverterInput => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Source { .. } => false,
            Shunt | ConverterOutput { .. } | Resistor | Capacitor | Diode => false,
        }
    }

    /// Empties a battery: what [`draws`](Self::draws), and resistors.
    #[must_use]
    pub const fn drains(self) -> bool {
        match self {
            Load | Coil | ConverterInput | Resistor => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Source { .. } => false,
            Shunt | ConverterOutput { .. } | Capacitor | Diode => false,
        }
    }

    /// The volts that are lost on its way are held against a limit: those of a load. A coil has the voltage at which it pulls in, and
    /// a converter makes up for what its input loses.
    #[must_use]
    pub const fn has_drop_limit(self) -> bool {
        match self {
            Load => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | Source { .. } | ConverterInput | ConverterOutput { .. } | Resistor | Capacitor | Diode => false,
        }
    }

    /// Holds a supply back without being meant to use it: a resistor, a capacitor. Across a coil it takes the coil's voltage.
    #[must_use]
    pub const fn holds_back(self) -> bool {
        match self {
            Resistor | Capacitor => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Coil => false,
            Shunt | Source { .. } | ConverterInput | ConverterOutput { .. } | Load | Diode => false,
        }
    }

    /// Takes whatever its feed lets in, once it fails: a load, a coil, a converter at either side. A resistor limits its own
    /// current, a capacitor's is none, and a source without a limit is what feeds.
    #[must_use]
    pub const fn fails_short(self) -> bool {
        match self {
            Load | Coil | ConverterInput => true,
            Source { limited } | ConverterOutput { limited } => limited,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact => false,
            Shunt | Resistor | Capacitor | Diode => false,
        }
    }

    /// Makes its points an end of a battery where equal poles meet: something works there, at either side of a converter.
    #[must_use]
    pub const fn ends_strings(self) -> bool {
        match self {
            Load | Coil | ConverterInput | ConverterOutput { .. } => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Source { .. } => false,
            Shunt | Resistor | Capacitor | Diode => false,
        }
    }
}

/// What is looked at for an element that has several edges.
impl EdgeRole {
    /// The edge of a converter or relay whose current is what the element is there for.
    #[must_use]
    pub const fn is_outward(self) -> bool {
        match self {
            ConverterOutput { .. } | MakeContact => true,
            Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | BreakContact | Coil | Source { .. } => false,
            Shunt | ConverterInput | Load | Resistor | Capacitor | Diode => false,
        }
    }
}
