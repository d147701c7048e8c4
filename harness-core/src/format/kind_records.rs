//! Which records say what a thing of a design is, and what its keys mean.

use super::{
    Attribute, Class, design, devices, inside,
    kind::Kind,
    looms, parts,
    reader::{Record, Variants},
    shape::RecordShape,
};

impl Kind {
    /// The records in which such a thing is written; of an element one for each that it may be.
    fn records(self) -> Vec<&'static RecordShape> {
        vec![match self {
            Self::Design => design::Design::SHAPE,
            Self::Policy => design::Policy::SHAPE,
            Self::Domain => design::Domain::SHAPE,
            Self::Zone => design::Zone::SHAPE,
            Self::Mode => design::Mode::SHAPE,
            Self::Network => design::Network::SHAPE,
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
