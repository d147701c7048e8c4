//! Elements: what joins the pins inside a device, or stands in a loom.

use super::{
    content::Content,
    reader::{Limited, Read, Reader},
    record::{record, variants},
    shape::Shape,
    values::{Choice, List},
};
use crate::{
    quantity::{self, Ampere, AmpereHour, Farad, Ohm, Ratio, Unit, Volt, Watt},
    text::{At, Names, NodeId, Text},
    vocabulary::{Demand, LoadKind, RelayKind, Rest, Suppression},
};

variants! {
    /// An element inside a device or in a loom.
    Element {
        Source(Source) = "source";
        Load(Load) = "load";
        Resistor(Resistor) = "resistor";
        Capacitor(Capacitor) = "capacitor";
        Diode(Diode) = "diode";
        Fuse(Fuse) = "fuse";
        Switch(Switch) = "switch";
        Relay(Relay) = "relay";
        Disconnect(Disconnect) = "disconnect";
        Link(Link) = "link";
        Converter(Converter) = "converter";
        Interlock(Interlock) = "interlock";
    }
}

record! {
    /// A source: EMF with internal resistance. Several in series make a pack.
    Source {
        /// Open-circuit voltage.
        source: Option<At<Volt>> = "source" required above_zero;
        /// Internal resistance.
        resistance: Option<At<Ohm>> = "resistance" above_zero;
        /// Largest current that it can deliver.
        limit: Option<At<Ampere>> = "limit" above_zero;
        /// Charge that it gives from full to flat.
        capacity: Option<At<AmpereHour>> = "capacity" above_zero;
        /// Point of its positive pole.
        positive: Option<Text> = "positive" required;
        /// Point of its negative pole.
        negative: Option<Text> = "negative" required;
        /// Modes in which it is there; all where nothing is said.
        modes: List<Text> = "in";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A load.
    Load {
        /// Constant current (A) or constant power (W).
        load: Option<At<Demand>> = "load" required above_zero;
        /// Point at which the current goes in.
        from: Option<Text> = "from" required;
        /// Point at which it comes out.
        to: Option<Text> = "to" required;
        /// Modes in which it runs; all where nothing is said.
        modes: List<Text> = "in";
        /// Largest short-time current, such as starting or inrush.
        peak: Option<At<Ampere>> = "peak" above_zero;
        /// What it is.
        kind: Option<Choice<LoadKind>> = "kind";
        /// Damaged or without function when the poles are exchanged.
        polarised: Option<At<bool>> = "polarised";
        /// What limits the voltage of a coil when it is switched off.
        suppression: Option<Choice<Suppression>> = "suppression";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A resistor.
    Resistor {
        /// Its resistance.
        resistor: Option<At<Ohm>> = "resistor" required above_zero;
        /// One end.
        from: Option<Text> = "from" required;
        /// The other end.
        to: Option<Text> = "to" required;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A capacitor.
    Capacitor {
        /// Its capacitance.
        capacitor: Option<At<Farad>> = "capacitor" required above_zero;
        /// One end.
        from: Option<Text> = "from" required;
        /// The other end.
        to: Option<Text> = "to" required;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A diode; conducts from `from` to `to`.
    Diode {
        /// Forward voltage.
        diode: Option<At<Volt>> = "diode" required;
        /// Anode.
        from: Option<Text> = "from" required;
        /// Cathode.
        to: Option<Text> = "to" required;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A fuse in its holder.
    Fuse {
        /// The fuse kind, from `parts.fuses`.
        fuse: Option<Text> = "fuse" required;
        /// One side.
        from: Option<Text> = "from" required;
        /// The other side.
        to: Option<Text> = "to" required;
        /// `false`: the holder is empty in this build.
        fitted: Option<At<bool>> = "fitted";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A switch.
    Switch {
        /// Rest position.
        switch: Option<Choice<Rest>> = "switch" required;
        /// One side.
        from: Option<Text> = "from" required;
        /// The other side.
        to: Option<Text> = "to" required;
        /// Modes in which it is closed, though it rests open.
        closed_in: List<Text> = "closed-in";
        /// Modes in which it is open, though it rests closed.
        open_in: List<Text> = "open-in";
        /// `from` must be its positive side.
        polarised: Option<At<bool>> = "polarised";
        /// Rated current.
        current: Option<At<Ampere>> = "current" above_zero;
        /// Rated voltage.
        voltage: Option<At<Volt>> = "voltage" above_zero;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A relay or contactor: the contact follows the coil.
    Relay {
        /// Kind of contact.
        relay: Option<Choice<RelayKind>> = "relay" required;
        /// The two points of the coil, positive first.
        coil: List<Text> = "coil" required;
        /// The points of the contact; for a changeover: common, closed when energised, closed at rest.
        contact: List<Text> = "contact" required;
        /// Resistance of the coil.
        resistance: Option<At<Ohm>> = "resistance" above_zero;
        /// Coil voltage at which it pulls in.
        pull_in: Option<At<Volt>> = "pull-in" above_zero;
        /// Coil voltage at which it still holds.
        hold: Option<At<Volt>> = "hold" above_zero;
        /// What limits the coil's voltage when it is switched off.
        suppression: Option<Choice<Suppression>> = "suppression";
        /// Rated current of the contact.
        current: Option<At<Ampere>> = "current" above_zero;
        /// Rated voltage of the contact.
        voltage: Option<At<Volt>> = "voltage" above_zero;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A service disconnect.
    Disconnect {
        /// Modes in which it is out.
        disconnect: List<Text> = "disconnect" required;
        /// One side.
        from: Option<Text> = "from" required;
        /// The other side.
        to: Option<Text> = "to" required;
        /// Rated current.
        current: Option<At<Ampere>> = "current" above_zero;
        /// Rated voltage.
        voltage: Option<At<Volt>> = "voltage" above_zero;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A bus bar, jumper or shorting plug: joins its points.
    Link {
        /// The points that it joins.
        link: List<Text> = "link" required;
        /// Resistance between neighbouring points.
        resistance: Option<At<Ohm>> = "resistance" above_zero;
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = "fitted";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A galvanically isolated transfer from one domain to another.
    Converter {
        /// Output voltage.
        converter: Option<At<Volt>> = "converter" required above_zero;
        /// Input points, positive first.
        from: List<Text> = "from" required;
        /// Output points, positive first.
        to: List<Text> = "to" required;
        /// Largest output current.
        limit: Option<At<Ampere>> = "limit" required above_zero;
        /// Output power over input power; 90 % where nothing is said.
        efficiency: Option<At<Ratio>> = "efficiency" share;
        /// Output resistance; 10 mohm where nothing is said.
        resistance: Option<At<Ohm>> = "resistance" above_zero;
        /// Modes in which it runs; all where nothing is said.
        modes: List<Text> = "in";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// The bridge inside a connector or lid that closes the interlock loop.
    Interlock {
        /// The two points that it bridges.
        interlock: List<Text> = "interlock" required;
        /// The port or lid that opens it; the port of its first point where nothing is said.
        of: Option<Text> = "of";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }
}

impl Limited for Demand {
    fn stored(self) -> f64 {
        match self {
            Self::Current(amps) => amps.get(),
            Self::Power(watts) => watts.get(),
        }
    }

    fn measured(self) -> &'static str {
        match self {
            Self::Current(_) => Ampere::MEASURES,
            Self::Power(_) => Watt::MEASURES,
        }
    }
}

impl Read for At<Demand> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a current or a power with its unit")?;
        if let Ok(power) = quantity::parse::<Watt>(text) {
            return Some(Self { value: Demand::Power(power), span: reader.tree.span(node) });
        }
        let current = <At<Ampere> as Read>::read(reader, node)?;
        Some(Self { value: Demand::Current(current.value), span: current.span })
    }

    fn shape() -> Shape {
        Shape::Either(&[<At<Ampere> as Read>::shape, <At<Watt> as Read>::shape])
    }

    fn tell(&self, _: &Names) -> Content {
        match self.value {
            Demand::Current(amps) => Content::quantity(amps),
            Demand::Power(watts) => Content::quantity(watts),
        }
    }
}
