//! Devices: their ports and pins.

use super::{
    content::Content,
    inside::Element,
    reader::{Read, Reader},
    record::record,
    shape::Shape,
    values::{Choice, List, Map, OneOf},
};
use crate::{
    quantity::NewtonMetre,
    text::{At, Kind, Names, NodeId, Span, Text},
    vocabulary::{Drive, Function, Hand, Need, Pull, Role},
};

record! {
    /// A device: a box with ports, and what joins its pins inside.
    Device {
        /// A kind from `parts.devices`; what is written here comes on top of it.
        device: Option<Text> = "device";
        /// Where it sits.
        zone: Option<Text> = "zone";
        /// Its connectors and studs.
        ports: Map<Port> = "ports";
        /// Points inside that are no pins, such as a bus bar.
        nodes: List<Text> = "nodes";
        /// What joins the pins inside the box.
        inside: Map<OneOf<Element>> = "inside";
        /// The chassis or body of the vehicle: all its ports are one metal part.
        chassis: Option<At<bool>> = "chassis";
        /// `false`: left out of this build.
        fitted: Option<At<bool>> = "fitted";
        /// What the vehicle needs it for.
        function: Option<Choice<Function>> = "function";
        /// Side of the vehicle.
        side: Option<Choice<Hand>> = "side";
        /// Anything a reader should know.
        note: Option<Text> = "note";
        /// What must still be measured or found out.
        unsure: List<Text> = "unsure";
    }

    /// A port of a device: a connector with pins, or a stud.
    Port {
        /// The housing kind; then `pins` say what its pins need.
        housing: Option<Text> = "housing";
        /// The thread of a stud, such as M8.
        stud: Option<Text> = "stud";
        /// What its pins need, by label.
        pins: Map<PinUse> = "pins";
        /// Signal on the stud.
        signal: Option<Text> = "signal";
        /// Role of the stud.
        role: Option<Choice<Role>> = "role";
        /// Voltage domain of the stud.
        domain: Option<Text> = "domain";
        /// Whether something must be fitted to the stud.
        need: Option<Choice<Need>> = "need";
        /// Tightening torque of the stud.
        torque: Option<At<NewtonMetre>> = "torque" above_zero;
        /// Most rings on the stud.
        rings: Option<At<u32>> = "rings";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// What a pin needs.
    Pin {
        /// The signal's name; the other end of the wire names the same.
        signal: Option<Text> = "signal";
        /// What the pin does on its net.
        role: Option<Choice<Role>> = "role";
        /// The voltage domain that it belongs to.
        domain: Option<Text> = "domain";
        /// How an output drives.
        drive: Option<Choice<Drive>> = "drive";
        /// What holds an input when nothing drives it.
        pull: Option<Choice<Pull>> = "pull";
        /// The driver clamps the voltage of a coil that it switches off.
        clamped: Option<At<bool>> = "clamped";
        /// Which cell or module of a string the pin measures: the pin at the negative end is tap 0, the one above the
        /// first cell tap 1.
        tap: Option<At<u32>> = "tap";
        /// Whether the pin must be wired; it must where nothing is said.
        need: Option<Choice<Need>> = "need";
        /// Anything a reader should know.
        note: Option<Text> = "note";
        /// What must still be measured or found out.
        unsure: List<Text> = "unsure";
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

impl Read for PinUse {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        if let Kind::Scalar { text, .. } = reader.tree.kind(node) {
            if reader.names.text(text) == "spare" {
                return Some(Self::Spare(reader.tree.span(node)));
            }
            reader.unexpected(node, "`spare` or a map such as { signal: NAME, role: input }");
            return None;
        }
        reader.record::<Pin>(node).map(|pin| Self::Used(Box::new(pin)))
    }

    fn shape() -> Shape {
        Shape::Either(&[|| Shape::Word(&[("spare", "Nothing is behind the pin.")]), <Pin as Read>::shape])
    }

    fn tell(&self, names: &Names) -> Content {
        match self {
            Self::Spare(_) => Content::record([("use", Some(Content::Text("spare".to_owned())))]),
            Self::Used(pin) => Read::tell(pin.as_ref(), names),
        }
    }
}
