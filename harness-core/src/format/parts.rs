//! Kinds of parts: what the design is built from.

use super::{
    content::Content,
    devices::Device,
    reader::{Field, Read, Reader},
    record::record,
    row::Row,
    shape::Shape,
    values::{Choice, List, Map},
};
use crate::{
    quantity::{Ampere, AmpereSquaredSecond, Between, Celsius, Millimetre, NewtonMetre, Ohm, Ratio, Second, SquareMillimetre},
    standards::{colour::WireColour, rated::RatedVoltage},
    text::{At, Kind, Names, NodeId, Text},
    vocabulary::{Contacts, FaceSide, FuseBody, Insulation, Plating, Screen, Strand, Wall},
};

record! {
    /// Kinds of parts.
    Parts {
        /// Connector housings.
        housings: Map<Housing> = Housings => things(Kind::HousingKind);
        /// Crimp terminals.
        terminals: Map<Terminal> = Terminals => things(Kind::TerminalKind);
        /// Single-core wire kinds; the size is the wire's.
        conductors: Map<ConductorKind> = Conductors => things(Kind::ConductorKind);
        /// Multi-core cables.
        cables: Map<CableKind> = Cables => things(Kind::CableKind);
        /// Fuses.
        fuses: Map<FuseKind> = Fuses => things(Kind::FuseKind);
        /// Points of devices that take a wire without a plug: screws, tabs, strips of clamps, sleeves for ferrules.
        points: Map<PointKind> = Points => things(Kind::PointKind);
        /// Device kinds that are used more than once.
        devices: Map<Device> = Devices => things(Kind::DeviceKind);
    }

    /// A connector housing.
    Housing {
        /// What physically mates: same family, positions and key, opposite contacts.
        family: Option<Text> = Family required or_mated => paper();
        /// The housing kind that it mates with. What is said of one of the two holds for both: family, positions or face, key, ratings of
        /// the contacts, seal; the contacts are of the other sort. An end that mates one of them and has no `housing` has the other.
        mates_with: Option<Text> = MatesWith => files().naming(anywhere(&[Kind::HousingKind]));
        /// Number of positions, or their labels.
        positions: Option<Positions> = Positions => paper();
        /// The labels in rows, as seen from the side that `seen-from` names; replaces `positions`.
        face: List<LabelRow> = Face => paper();
        /// The side from which `face` is seen.
        seen_from: Option<Choice<FaceSide>> = SeenFrom => paper();
        /// Whether the housing holds sockets or pins.
        contacts: Option<Choice<Contacts>> = Contacts required or_mated => paper();
        /// Keyway or coding letter; absent where the family has none.
        key: Option<Text> = Key => paper();
        /// Where the key sits on the face.
        key_at: Option<Text> = KeyAt => paper();
        /// Conductors that its contacts take.
        takes: Option<Takes> = Takes => record();
        /// Current per contact with one contact loaded.
        current: Option<At<Ampere>> = Current above_zero => paper();
        /// Rated voltage: `60 V`, `250 V AC`, or U0/U as `300/500 V`.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => paper();
        /// Resistance of one mated contact.
        contact_resistance: Option<At<Ohm>> = ContactResistance above_zero => paper();
        /// Whether it keeps water out.
        sealed: Option<At<bool>> = Sealed => paper();
        /// Where its latch sits on the face.
        latch_at: Option<Text> = LatchAt => paper();
        /// The terminals of its cavities where an end names none: each gets the first of them that takes what is in it.
        terminals: List<Text> = Terminals => paper().naming(anywhere(&[Kind::TerminalKind]));
        /// The plug that closes an unused cavity.
        plug: Option<Text> = Plug => paper();
        /// Most wires in one cavity; 1 if the key is absent.
        max_wires: Option<At<u32>> = MaxWires => paper();
        /// Made for voltage class B.
        hv: Option<At<bool>> = Hv => paper();
        /// Made for contacts of voltage class A and B side by side.
        mixed: Option<At<bool>> = Mixed => paper();
        /// Labels of contacts that mate first and break last, such as that of an earth.
        mates_first: List<Text> = MatesFirst => paper().set();
        /// Labels of contacts that mate last and break first, such as that of a control pilot.
        mates_last: List<Text> = MatesLast => paper().set();
        /// Labels of its interlock contacts, which make last and break first.
        interlock: List<Text> = Interlock => paper().set();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// What must still be measured or found out.
        unsure: List<Text> = Unsure => paper().set();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// Conductors that a contact takes.
    Takes {
        /// Cross-section.
        size: Option<At<Between<SquareMillimetre>>> = Size => paper();
        /// Diameter over the insulation, for the seal.
        insulation: Option<At<Between<Millimetre>>> = Insulation => paper();
    }

    /// A crimp terminal.
    Terminal {
        /// Family of housings that it fits.
        family: Option<Text> = Family => paper();
        /// Cross-section that its crimp takes.
        size: Option<At<Between<SquareMillimetre>>> = Size => paper();
        /// Diameter over the insulation that its seal or grip takes.
        insulation: Option<At<Between<Millimetre>>> = Insulation => paper();
        /// Rated current.
        current: Option<At<Ampere>> = Current above_zero => paper();
        /// Surface of the contact.
        plating: Option<Choice<Plating>> = Plating => paper();
        /// Most wires in one crimp; 1 if the key is absent.
        max_wires: Option<At<u32>> = MaxWires => paper();
        /// Length of insulation that is taken off for it.
        strip_length: Option<At<Millimetre>> = StripLength above_zero => paper();
        /// The seal that goes on the wire before it is crimped.
        seal: Option<Text> = Seal => paper();
        /// The die or nest of the crimping tool.
        die: Option<Text> = Die => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A point of a device that takes a wire without a plug: a screw, a tab, a clamp of a strip, a sleeve for a ferrule.
    PointKind {
        /// How many wires it takes at once, and of which sizes: `[ { wires: 1, size: 0.5 mm2 .. 6 mm2 }, { wires: 2, size: 0.5 mm2 .. 4 mm2 } ]`.
        /// Fewer wires than a row gives are taken too where no row gives their number.
        takes: List<PointTakes> = Takes => paper();
        /// Rated current of the point, all its wires together.
        current: Option<At<Ampere>> = Current above_zero => paper();
        /// Rated voltage.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => paper();
        /// Tightening torque of its screw.
        torque: Option<At<NewtonMetre>> = Torque above_zero => paper();
        /// Length of insulation that is taken off for it.
        strip_length: Option<At<Millimetre>> = StripLength above_zero => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// What must still be measured or found out.
        unsure: List<Text> = Unsure => paper().set();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// So many wires of such sizes at one point.
    PointTakes {
        /// How many wires at once.
        wires: Option<At<u32>> = Wires required => paper();
        /// Cross-section of each.
        size: Option<At<Between<SquareMillimetre>>> = Size required => paper();
    }

    /// A single-core wire kind.
    ConductorKind {
        /// The standard that it is made to.
        standard: Option<Text> = Standard => paper();
        /// Highest temperature of the conductor in continuous use.
        rated: Option<At<Celsius>> = Rated => paper();
        /// Rated voltage: `60 V`, `250 V AC`, or U0/U as `300/500 V`.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => paper();
        /// How it is stranded.
        strand: Option<Choice<Strand>> = Strand => paper();
        /// Thickness of the insulation.
        wall: Option<Choice<Wall>> = Wall => paper();
        /// Material of the insulation; judged by the class of the rating if the key is absent.
        insulation: Option<Choice<Insulation>> = Insulation => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A multi-core cable.
    CableKind {
        /// Its cores by label.
        cores: Map<Core> = Cores required => record();
        /// Its screen.
        screen: Option<Choice<Screen>> = Screen => paper();
        /// The standard that it is made to.
        standard: Option<Text> = Standard => paper();
        /// Rated voltage: `60 V`, `250 V AC`, or U0/U as `300/500 V`.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => paper();
        /// Highest temperature of the conductors in continuous use.
        rated: Option<At<Celsius>> = Rated => paper();
        /// Material of the cores' insulation; judged by the class of the rating if the key is absent.
        insulation: Option<Choice<Insulation>> = Insulation => paper();
        /// How its conductors are stranded.
        strand: Option<Choice<Strand>> = Strand => paper();
        /// Cores that are twisted together.
        twist: List<LabelRow> = Twist => paper();
        /// Outer diameter.
        diameter: Option<At<Millimetre>> = Diameter above_zero => paper();
        /// Least bend radius.
        bend: Option<At<Millimetre>> = Bend above_zero => paper();
        /// Colour of the sheath.
        sheath: Option<At<WireColour>> = Sheath => paper();
        /// Made for voltage class A and B side by side.
        mixed: Option<At<bool>> = Mixed => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// One core of a cable.
    Core {
        /// Cross-section.
        size: Option<At<SquareMillimetre>> = Size required => paper();
        /// Colour.
        colour: Option<At<WireColour>> = Colour => paper();
    }

    /// A fuse.
    FuseKind {
        /// The standard that it is made to.
        standard: Option<Text> = Standard => paper();
        /// Body type of its standard, or its utilisation category; if the key is absent, every type made with its rating is considered.
        body: Option<Choice<FuseBody>> = Type => paper().moves(Current::Fuse);
        /// Rated current.
        rating: Option<At<Ampere>> = Rating required above_zero => paper().moves(Current::Fuse);
        /// Rated voltage, such as `58 V` or `250 V AC`; the standard's if the key is absent.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => paper();
        /// Rated breaking capacity; the standard's if the key is absent.
        breaking: Option<At<Ampere>> = Breaking above_zero => paper();
        /// Cold resistance.
        resistance: Option<At<Ohm>> = Resistance above_zero => paper();
        /// Operating-time rating of the datasheet; it takes the place of the gates of the standard.
        gates: List<FuseGate> = Gates => paper().moves(Current::Fuse);
        /// Melting integral `I2 t` of the datasheet: it opens no sooner than at this heat, however large the current.
        melting: Option<At<AmpereSquaredSecond>> = Melting above_zero => paper().moves(Current::Fuse);
        /// Smallest current that it is sure to break; a back-up or partial-range fuse gives one well above its rating.
        lowest_break: Option<At<Ampere>> = LowestBreak above_zero => paper().moves(Current::Fuse);
        /// Tightening torque of a bolted fuse.
        torque: Option<At<NewtonMetre>> = Torque above_zero => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// One gate of an operating-time rating: when the fuse opens at a current.
    FuseGate {
        /// The current, as a share of the rating.
        at: Option<At<Ratio>> = At required above_zero => paper();
        /// It does not open sooner.
        holds: Option<At<Second>> = Holds above_zero => paper();
        /// It has opened by then.
        opens_within: Option<At<Second>> = OpensWithin above_zero => paper();
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
