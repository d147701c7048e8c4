//! What a thing of a design is.

/// What a thing is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The design itself: its name, revision, retired numbers.
    Design,
    /// The workshop's own limits.
    Policy,
    /// A voltage domain.
    Domain,
    /// A place on the vehicle.
    Zone,
    /// An operating state.
    Mode,
    /// A data bus.
    Network,
    /// A kind of housing.
    HousingKind,
    /// A kind of terminal.
    TerminalKind,
    /// A kind of point that takes a bare wire.
    PointKind,
    /// A kind of wire.
    ConductorKind,
    /// A kind of cable.
    CableKind,
    /// A kind of fuse.
    FuseKind,
    /// A kind of device.
    DeviceKind,
    /// A device.
    Device,
    /// A connector, stud or point of a device.
    Port,
    /// A pin of a port.
    Pin,
    /// What joins points inside a device or in a loom.
    Element,
    /// A loom.
    Loom,
    /// A connector, ring or bare end of a loom.
    End,
    /// A splice.
    Splice,
    /// A wire.
    Wire,
    /// A cable of a loom.
    Cable,
    /// A segment of a loom's route.
    Segment,
    /// A finding that was accepted.
    Waiver,
}

impl Kind {
    /// Whether it says what to buy. Such a thing is what its facts say, whoever uses it.
    #[cfg(feature = "diff")]
    pub(crate) fn is_part(self) -> bool {
        matches!(
            self,
            Self::HousingKind
                | Self::TerminalKind
                | Self::PointKind
                | Self::ConductorKind
                | Self::CableKind
                | Self::FuseKind
                | Self::DeviceKind
        )
    }

    /// Whether it is a setting in which other things are.
    #[cfg(feature = "diff")]
    pub(crate) fn is_setting(self) -> bool {
        matches!(self, Self::Domain | Self::Zone | Self::Mode | Self::Network)
    }

    /// What the trade calls it.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Design => "design",
            Self::Policy => "policy",
            Self::Domain => "domain",
            Self::Zone => "zone",
            Self::Mode => "mode",
            Self::Network => "network",
            Self::HousingKind => "housing kind",
            Self::TerminalKind => "terminal kind",
            Self::PointKind => "point kind",
            Self::ConductorKind => "conductor kind",
            Self::CableKind => "cable kind",
            Self::FuseKind => "fuse kind",
            Self::DeviceKind => "device kind",
            Self::Device => "device",
            Self::Port => "port",
            Self::Pin => "pin",
            Self::Element => "element",
            Self::Loom => "loom",
            Self::End => "end",
            Self::Splice => "splice",
            Self::Wire => "wire",
            Self::Cable => "cable",
            Self::Segment => "segment",
            Self::Waiver => "waiver",
        }
    }
}
