//! Devices: their ports and pins.

use super::{
    attribute::Attribute,
    cavities::Pins,
    class,
    content::Content,
    inside::Element,
    lists::{Listed, OneOrList},
    reader::{Read, Reader},
    record::record,
    row::Row,
    shape::{FieldShape, Shape},
    values::{Choice, List, Map, OneOf},
    worded,
};
use crate::{
    quantity::{Ampere, NewtonMetre, Ohm},
    standards::rated::RatedVoltage,
    text::{At, Kind, Names, NodeId, Span, Text},
    vocabulary::{Access, Active, Case, Drive, Function, Inlet, LinNode, Need, Permission, Pull, Role, Side, Termination},
};

record! {
    /// A device: a box with ports, and what joins its pins inside.
    Device {
        /// A kind from `parts.devices`; what is written here comes on top of it. A port or element with the name of one of the kind
        /// replaces that one whole.
        device: Option<Text> = Device => alter().naming(anywhere(&[Kind::DeviceKind]));
        /// Where it sits.
        zone: Option<Text> = Zone => paper().naming(anywhere(&[Kind::Zone]));
        /// Voltage domain of its pins, studs and points that name none. It falls on no spare pin, on no stud or point of which nothing else is
        /// said, and on none of role `earth`; one of voltage class B not on signals of class A either (interlock, pilot, proximity, buses,
        /// sensors, screens). `none` at a pin or port keeps it away.
        domain: Option<Text> = Domain => paper().naming(anywhere(&[Kind::Domain]));
        /// Role of its pins, studs and points that have none, in the same way.
        role: Option<Choice<Role>> = Role => paper();
        /// Its connectors, studs and points that take a bare wire.
        ports: Map<Port> = Ports => things(Kind::Port);
        /// Points inside that are not pins, such as a bus bar.
        nodes: List<Text> = Nodes => paper().set();
        /// What joins the pins inside the box.
        inside: Map<OneOf<Element>> = Inside => things(Kind::Element);
        /// Elements that are never closed together, such as the two contactors of a reversing drive: `[up, down]`, or
        /// `[[up, down], [fast, slow]]` for several such groups. Elements of other devices as `device.element`.
        exclusive: List<OneOrList> = Exclusive => alter();
        /// The poles whose currents a residual-current device compares, as `[line, neutral]`, or `[[l1, n1], [l2, n2]]` for several such
        /// devices in one box: switches, fuses, contacts or links of this device.
        residual: List<OneOrList> = Residual => alter();
        /// Circuits that back each other up and must not be lost together, such as the two sensors of a pedal: `[J1, J2]`, each with all pins
        /// of a port, or `[[J1.1, J1.2], [J1.3, J1.4]]`, each with the pins of a list. Their wires must run apart.
        apart: List<OneOrList> = Apart => paper();
        /// Lids and covers by name: what can be opened and what is behind it.
        covers: Map<Cover> = Covers => record();
        /// What keeps two sides of the box apart: `[ { between: [HV], and: [J1], voltage: 2.5 kV } ]`.
        isolation: List<Isolation> = Isolation => paper();
        /// It watches the isolation of a domain from the chassis.
        isolation_monitor: Option<IsolationMonitor> = IsolationMonitor => record();
        /// What its case is made of, for a device with voltage class B. If the key is absent, the case is assumed conductive.
        case: Option<Choice<Case>> = Case => paper();
        /// The chassis or body of the vehicle: all its ports are one metal part.
        chassis: Option<At<bool>> = Chassis => paper();
        /// `false`: left out of this build.
        fitted: Option<At<bool>> = Fitted => through();
        /// What must be true before it gets power for the first time, each in words: `[ "coolant filled and bled" ]`.
        before_power: List<Text> = BeforePower => paper().set();
        /// What the vehicle needs it for.
        function: Option<Choice<Function>> = Function => paper();
        /// Which one it is of several alike on the vehicle.
        side: Option<Choice<Side>> = Side => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// What must still be measured or found out.
        unsure: List<Text> = Unsure => paper().set();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A lid or cover of a device.
    Cover {
        /// How it is opened; `without tool` if the key is absent.
        access: Option<Choice<Access>> = Access => paper();
        /// Points of the device that can be touched when it is open.
        reaches: List<Text> = Reaches => paper().naming(Naming::Point).set();
        /// Contacts that must be open when it is open, as `device.element`.
        opens: List<Text> = Opens => paper().set();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
    }

    /// What keeps two sides of a box apart.
    Isolation {
        /// Ports of one side.
        between: List<Text> = Between required => paper().set();
        /// Ports of the other side.
        and: List<Text> = And required => paper().set();
        /// The voltage to which it is tested.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => paper();
    }

    /// A monitor of the isolation between a domain and the chassis.
    IsolationMonitor {
        /// The point of the box at which it measures.
        at: Option<Text> = At required => paper().naming(Naming::Point);
        /// Modes in which it measures: all of them if the key is absent, none for `[]`.
        modes: Option<Listed<Text>> = In => paper().modes();
    }

    /// The lock of a charging inlet.
    InletLock {
        /// Pins of its motor.
        motor: List<Text> = Motor => paper().naming(Naming::Point).set();
        /// Pins that report whether it is locked.
        feedback: List<Text> = Feedback => paper().naming(Naming::Point).set();
    }

    /// A port of a device: a connector with pins, a stud, a point that takes a wire without a plug (screw, tab, strip, ferrule), or the body.
    Port {
        /// The housing kind; then `pins` say what its pins need.
        housing: Option<Text> = Housing => alter().naming(anywhere(&[Kind::HousingKind]));
        /// The thread of a stud, such as M8.
        stud: Option<Text> = Stud => alter();
        /// A screw that clamps a wire: a kind from `parts.points`.
        screw: Option<Text> = Screw => alter().naming(anywhere(&[Kind::PointKind]));
        /// A tab for a push-on terminal: a kind from `parts.points`.
        tab: Option<Text> = Tab => alter().naming(anywhere(&[Kind::PointKind]));
        /// One clamp of a terminal strip: a kind from `parts.points`.
        strip: Option<Text> = Strip => alter().naming(anywhere(&[Kind::PointKind]));
        /// A clamp made for a wire with a ferrule: a kind from `parts.points`.
        ferrule: Option<Text> = Ferrule => alter().naming(anywhere(&[Kind::PointKind]));
        /// The body of the device, which is a terminal of its circuit and is bolted to metal of another device, such as the engine block
        /// that a starter, a sender or a glow plug is screwed into: a stud or point of that, as `engine.E1`. It needs no wire.
        body: Option<Text> = Body => alter().naming(Naming::Mate);
        /// What its pins need, by label: one, a range such as `14..23`, or a list such as `1, 3, 5`.
        pins: Pins = Pins => things(Kind::Pin);
        /// Signal on the stud or point.
        signal: Option<Text> = Signal => label();
        /// Role of the stud or point; of a plug that of its pins which have none.
        role: Option<Choice<Role>> = Role => paper();
        /// Voltage domain of the stud or point; of a plug that of its pins which name none, as at the device. `none`: that of the device does
        /// not fall on it.
        domain: Option<Text> = Domain => paper().naming(anywhere(&[Kind::Domain]));
        /// Where it is, if elsewhere than the device: a plug on a pigtail, a stud on the other side of a bulkhead.
        zone: Option<Text> = Zone => paper().naming(anywhere(&[Kind::Zone]));
        /// The data bus of the stud or point.
        network: Option<Text> = Network => paper().naming(anywhere(&[Kind::Network]));
        /// What the signal on the stud or point permits at its active level.
        enables: Option<Choice<Permission>> = Enables => paper();
        /// What the signal on the stud or point forbids at its active level.
        inhibits: Option<Choice<Permission>> = Inhibits => paper();
        /// The level at which it permits or forbids; `high` if the key is absent.
        active: Option<Choice<Active>> = Active => paper();
        /// How its live parts can be reached. If the key is absent: a stud or point is open unless a cover reaches it, a plug is pulled
        /// without a tool.
        access: Option<Choice<Access>> = Access => paper();
        /// The charging inlet that the port is; its pins then have the names of the standard.
        inlet: Option<Choice<Inlet>> = Inlet => paper();
        /// The lock of the charging inlet, by pins of the device.
        lock: Option<InletLock> = Lock => record();
        /// Whether the buses of the port are terminated inside the box.
        termination: Option<Choice<Termination>> = Termination => paper();
        /// Whether something must be fitted to the stud or point.
        need: Option<Choice<Need>> = Need => paper();
        /// The stud or point is worth measuring at: it is easy to reach with a probe.
        test_point: Option<At<bool>> = TestPoint => paper();
        /// Tightening torque of the stud or screw.
        torque: Option<At<NewtonMetre>> = Torque above_zero => work(Work::Torque);
        /// Most rings on the stud.
        rings: Option<At<u32>> = Rings => paper();
        /// Largest current through the stud.
        current: Option<At<Ampere>> = Current above_zero => alter();
        /// Rated voltage of the stud.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => alter();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// What a pin needs.
    Pin {
        /// The signal's name; the other end of the wire names the same.
        signal: Option<Text> = Signal => label();
        /// What the pin does on its net.
        role: Option<Choice<Role>> = Role => paper();
        /// The voltage domain that it belongs to. `none`: that of the port or device does not fall on it.
        domain: Option<Text> = Domain => paper().naming(anywhere(&[Kind::Domain]));
        /// The data bus that it is on, from `networks`.
        network: Option<Text> = Network => paper().naming(anywhere(&[Kind::Network]));
        /// Whether its bus is terminated inside the box, where that differs from the port's.
        termination: Option<Choice<Termination>> = Termination => paper();
        /// What the node is on its LIN bus.
        node: Option<Choice<LinNode>> = Node => paper();
        /// What it permits at its active level: an input `drive enable`, say.
        enables: Option<Choice<Permission>> = Enables => paper();
        /// What it forbids at its active level.
        inhibits: Option<Choice<Permission>> = Inhibits => paper();
        /// The level at which it permits or forbids; `high` if the key is absent.
        active: Option<Choice<Active>> = Active => paper();
        /// The output reduces the current of a coil once it has pulled in.
        economiser: Option<At<bool>> = Economiser => paper();
        /// The most resistance of the interlock loop that the input takes for closed.
        loop_resistance: Option<At<Ohm>> = LoopResistance above_zero => paper();
        /// How an output drives.
        drive: Option<Choice<Drive>> = Drive => paper();
        /// What holds an input when nothing drives it.
        pull: Option<Choice<Pull>> = Pull => paper();
        /// The driver clamps the voltage of a coil that it switches off.
        clamped: Option<At<bool>> = Clamped => paper();
        /// Which cell or module of a string the pin measures: the pin at the negative end is tap 0, the one above the
        /// first cell tap 1.
        tap: Option<At<u32>> = Tap => paper();
        /// The pin is worth measuring at: it is easy to reach with a probe.
        test_point: Option<At<bool>> = TestPoint => paper();
        /// Whether the pin must be wired; it must if the key is absent.
        need: Option<Choice<Need>> = Need => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// What must still be measured or found out.
        unsure: List<Text> = Unsure => paper().set();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }
}

impl Port {
    /// Whether it has pins; a stud, a point or a body has none.
    #[must_use]
    pub fn is_plug(&self) -> bool {
        [self.stud, self.screw, self.tab, self.strip, self.ferrule, self.body].iter().all(Option::is_none)
    }
}

/// A pin of a housing: `spare`, or what it needs.
#[derive(Debug, Clone)]
pub enum PinUse {
    /// Nothing is behind the pin.
    Spare(Span),
    /// What the pin needs.
    Used(Box<Pin>),
}

/// What is said of a spare pin, as if it were a key of it.
static SPARE: FieldShape = FieldShape {
    key: Attribute::Use,
    class: class::paper(),
    doc: "Nothing is behind the pin.",
    required: false,
    unless: None,
    limit: None,
    is_read: true,
    shape: <PinUse as Read>::shape,
};

impl Read for PinUse {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        if let Kind::Scalar { text, .. } = reader.tree.kind(node) {
            let (text, span) = (reader.names.text(text), reader.tree.span(node));
            if text == "spare" {
                return Some(Self::Spare(span));
            }
            // Words that say more were made a map before.
            worded::doubtful(reader, text, span);
            return None;
        }
        reader.record::<Pin>(node).map(|pin| Self::Used(Box::new(pin)))
    }

    fn shape() -> Shape {
        Shape::Either(&[|| Shape::Word(&[("spare", "Nothing is behind the pin.")]), <Pin as Read>::shape])
    }

    fn tell(&self, names: &Names) -> Content {
        match self {
            Self::Spare(_) => Content::Record(vec![(&SPARE, Content::Text("spare".to_owned()))]),
            Self::Used(pin) => Read::tell(pin.as_ref(), names),
        }
    }
}
