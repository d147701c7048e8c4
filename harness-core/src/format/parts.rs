//! Kinds of parts: what the design is built from.

use super::{
    content::Content,
    devices::Device,
    reader::{Field, Read, Reader},
    record::record,
    shape::Shape,
    values::{Choice, List, Map},
};
use crate::{
    quantity::{Ampere, Between, Celsius, Millimetre, NewtonMetre, Ohm, Ratio, Second, SquareMillimetre, Volt},
    standards::colour::WireColour,
    text::{At, Kind, Names, NodeId, Text},
    vocabulary::{Contacts, FaceSide, FuseBody, Insulation, Plating, Screen, Wall},
};

record! {
    /// Kinds of parts.
    Parts {
        /// Connector housings.
        housings: Map<Housing> = "housings";
        /// Crimp terminals.
        terminals: Map<Terminal> = "terminals";
        /// Single-core wire kinds; the size is the wire's.
        conductors: Map<ConductorKind> = "conductors";
        /// Multi-core cables.
        cables: Map<CableKind> = "cables";
        /// Fuses.
        fuses: Map<FuseKind> = "fuses";
        /// Device kinds that are used more than once.
        devices: Map<Device> = "devices";
    }

    /// A connector housing.
    Housing {
        /// What physically mates: same family, positions and key, opposite contacts.
        family: Option<Text> = "family" required;
        /// Number of positions, or their labels.
        positions: Option<Positions> = "positions";
        /// The labels in rows, as seen from the side that `seen-from` names; stands for `positions` too.
        face: List<LabelRow> = "face";
        /// The side from which `face` is seen.
        seen_from: Option<Choice<FaceSide>> = "seen-from";
        /// Whether the housing holds sockets or pins.
        contacts: Option<Choice<Contacts>> = "contacts" required;
        /// Keyway or coding letter; absent where the family has none.
        key: Option<Text> = "key";
        /// Where the key sits on the face.
        key_at: Option<Text> = "key-at";
        /// Conductors that its contacts take.
        takes: Option<Takes> = "takes";
        /// Current per contact with one contact loaded.
        current: Option<At<Ampere>> = "current" above_zero;
        /// Rated voltage.
        voltage: Option<At<Volt>> = "voltage" above_zero;
        /// Resistance of one mated contact.
        contact_resistance: Option<At<Ohm>> = "contact-resistance" above_zero;
        /// Whether it keeps water out.
        sealed: Option<At<bool>> = "sealed";
        /// Most wires in one cavity; 1 where nothing is said.
        max_wires: Option<At<u32>> = "max-wires";
        /// Made for voltage class B.
        hv: Option<At<bool>> = "hv";
        /// Made for contacts of voltage class A and B side by side.
        mixed: Option<At<bool>> = "mixed";
        /// Labels of its interlock contacts, which mate last and part first.
        interlock: List<Text> = "interlock";
        /// Anything a reader should know.
        note: Option<Text> = "note";
        /// What must still be measured or found out.
        unsure: List<Text> = "unsure";
    }

    /// Conductors that a contact takes.
    Takes {
        /// Cross-section.
        size: Option<At<Between<SquareMillimetre>>> = "size";
        /// Diameter over the insulation, for the seal.
        insulation: Option<At<Between<Millimetre>>> = "insulation";
    }

    /// A crimp terminal.
    Terminal {
        /// Family of housings that it fits.
        family: Option<Text> = "family";
        /// Cross-section that its crimp takes.
        size: Option<At<Between<SquareMillimetre>>> = "size";
        /// Diameter over the insulation that its seal or grip takes.
        insulation: Option<At<Between<Millimetre>>> = "insulation";
        /// Rated current.
        current: Option<At<Ampere>> = "current" above_zero;
        /// Surface of the contact.
        plating: Option<Choice<Plating>> = "plating";
        /// Most wires in one crimp; 1 where nothing is said.
        max_wires: Option<At<u32>> = "max-wires";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A single-core wire kind.
    ConductorKind {
        /// The standard that it is made to.
        standard: Option<Text> = "standard";
        /// Highest temperature of the conductor in continuous use.
        rated: Option<At<Celsius>> = "rated";
        /// Rated voltage.
        voltage: Option<At<Volt>> = "voltage" above_zero;
        /// Thickness of the insulation.
        wall: Option<Choice<Wall>> = "wall";
        /// Material of the insulation; judged by the class of the rating where nothing is said.
        insulation: Option<Choice<Insulation>> = "insulation";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A multi-core cable.
    CableKind {
        /// Its cores by label.
        cores: Map<Core> = "cores" required;
        /// Its screen.
        screen: Option<Choice<Screen>> = "screen";
        /// The standard that it is made to.
        standard: Option<Text> = "standard";
        /// Rated voltage.
        voltage: Option<At<Volt>> = "voltage" above_zero;
        /// Highest temperature of the conductors in continuous use.
        rated: Option<At<Celsius>> = "rated";
        /// Material of the cores' insulation; judged by the class of the rating where nothing is said.
        insulation: Option<Choice<Insulation>> = "insulation";
        /// Cores that are twisted together.
        twist: List<LabelRow> = "twist";
        /// Outer diameter.
        diameter: Option<At<Millimetre>> = "diameter" above_zero;
        /// Least bend radius.
        bend: Option<At<Millimetre>> = "bend" above_zero;
        /// Colour of the sheath.
        sheath: Option<At<WireColour>> = "sheath";
        /// Made for voltage class A and B side by side.
        mixed: Option<At<bool>> = "mixed";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// One core of a cable.
    Core {
        /// Cross-section.
        size: Option<At<SquareMillimetre>> = "size" required;
        /// Colour.
        colour: Option<At<WireColour>> = "colour";
    }

    /// A fuse.
    FuseKind {
        /// The standard that it is made to.
        standard: Option<Text> = "standard";
        /// Body type of its standard; all types that are made with its rating are thought of where nothing is said.
        body: Option<Choice<FuseBody>> = "type";
        /// Rated current.
        rating: Option<At<Ampere>> = "rating" required above_zero;
        /// Rated voltage; the standard's where nothing is said.
        voltage: Option<At<Volt>> = "voltage" above_zero;
        /// Rated breaking capacity; the standard's where nothing is said.
        breaking: Option<At<Ampere>> = "breaking" above_zero;
        /// Cold resistance.
        resistance: Option<At<Ohm>> = "resistance" above_zero;
        /// Operating-time rating of the datasheet; goes before the gates of the standard.
        gates: List<FuseGate> = "gates";
        /// Tightening torque of a bolted fuse.
        torque: Option<At<NewtonMetre>> = "torque" above_zero;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// One gate of an operating-time rating: when the fuse opens at a current.
    FuseGate {
        /// The current, as a share of the rating.
        at: Option<At<Ratio>> = "at" required above_zero;
        /// It does not open sooner.
        holds: Option<At<Second>> = "holds" above_zero;
        /// It has opened by then.
        opens_within: Option<At<Second>> = "opens-within" above_zero;
    }
}

/// The positions of a housing: how many, or their labels.
#[derive(Debug, Clone)]
pub enum Positions {
    /// Positions 1 to the number.
    Count(At<u32>),
    /// Positions by label.
    Labels(List<Text>),
}

impl Read for Positions {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        match reader.tree.kind(node) {
            Kind::Scalar { .. } => At::<u32>::read(reader, node).map(Self::Count),
            Kind::List => {
                let mut labels = List::new();
                Field::read(&mut labels, reader, node);
                Some(Self::Labels(labels))
            }
            _ => {
                reader.unexpected(node, "a number of positions or a list of their labels");
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Either(&[<At<u32> as Read>::shape, <List<Text> as Field>::shape])
    }

    fn tell(&self, names: &Names) -> Content {
        match self {
            Self::Count(count) => count.tell(names),
            Self::Labels(labels) => Content::List(labels.iter().map(|label| label.tell(names)).collect()),
        }
    }
}

/// A row of labels.
#[derive(Debug, Clone)]
pub struct LabelRow(pub List<Text>);

impl Read for LabelRow {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let mut labels = List::new();
        Field::read(&mut labels, reader, node);
        Some(Self(labels))
    }

    fn shape() -> Shape {
        <List<Text> as Field>::shape()
    }

    fn tell(&self, names: &Names) -> Content {
        Content::List(self.0.iter().map(|label| label.tell(names)).collect())
    }
}
