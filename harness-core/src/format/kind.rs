//! What a thing of a design is, and which records say so.

use super::{
    Attribute, Class, design, devices, inside, looms, parts,
    reader::{Record, Variants},
    shape::RecordShape,
};

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
        matches!(self, Self::Domain | Self::Zone | Self::Mode)
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

    /// The records in which such a thing is written; of an element one for each that it may be.
    fn records(self) -> Vec<&'static RecordShape> {
        vec![match self {
            Self::Design => design::Design::SHAPE,
            Self::Policy => design::Policy::SHAPE,
            Self::Domain => design::Domain::SHAPE,
            Self::Zone => design::Zone::SHAPE,
            Self::Mode => design::Mode::SHAPE,
            Self::HousingKind => parts::Housing::SHAPE,
            Self::TerminalKind => parts::Terminal::SHAPE,
            Self::PointKind => parts::PointKind::SHAPE,
            Self::ConductorKind => parts::ConductorKind::SHAPE,
            Self::CableKind => parts::CableKind::SHAPE,
            Self::FuseKind => parts::FuseKind::SHAPE,
            Self::DeviceKind | Self::Device => devices::Device::SHAPE,
            Self::Port => devices::Port::SHAPE,
            Self::Pin => devices::Pin::SHAPE,
            Self::Element => return inside::Element::SHAPE.variants.iter().map(|(_, record)| *record).collect(),
            Self::Loom => looms::Loom::SHAPE,
            Self::End => looms::End::SHAPE,
            Self::Splice => looms::Splice::SHAPE,
            Self::Wire => looms::Wire::SHAPE,
            Self::Cable => looms::Cable::SHAPE,
            Self::Segment => looms::Segment::SHAPE,
            Self::Waiver => design::Waiver::SHAPE,
        }]
    }

    /// What a key of such a thing means; `None` if it has no such key.
    #[must_use]
    pub fn class(self, attribute: Attribute) -> Option<&'static Class> {
        let fields = self.records().into_iter().flat_map(|record| record.fields);
        fields.filter(|field| field.key == attribute).map(|field| &field.class).next()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_of_an_element_means_the_same_whatever_the_element_is() {
        // An element that becomes another keeps the facts that both have.
        for record in Kind::Element.records() {
            for field in record.fields {
                assert_eq!(Kind::Element.class(field.key), Some(&field.class), "`{}` of {}", field.key, record.name);
            }
        }
    }
}
