//! Looms: ends, splices, wires, cables, routes.

use super::{
    inside::Element,
    record::record,
    values::{Choice, List, Map, OneOf},
};
use crate::{
    quantity::{Ampere, Metre, Millimetre, SquareMillimetre},
    standards::colour::WireColour,
    text::{At, Text},
    vocabulary::{Covering, EndTreatment},
};

record! {
    /// A loom: what is built on one board and fitted as one piece.
    Loom {
        /// Conductor kind of its wires, from `parts.conductors`.
        wire: Option<Text> = "wire";
        /// Where it lies.
        zone: Option<Text> = "zone";
        /// Its connectors and rings.
        ends: Map<End> = "ends";
        /// Its splices.
        splices: Map<Splice> = "splices";
        /// Its wires by number.
        wires: Map<Wire> = "wires";
        /// Its cables by name.
        cables: Map<Cable> = "cables";
        /// Its branches by name.
        route: Map<Segment> = "route";
        /// In-line fuses, resistors and diodes.
        inside: Map<OneOf<Element>> = "inside";
        /// `false`: left out of this build.
        fitted: Option<At<bool>> = "fitted";
        /// Anything a reader should know.
        note: Option<Text> = "note";
        /// What must still be measured or found out.
        unsure: List<Text> = "unsure";
    }

    /// An end of a loom: a connector or a ring.
    End {
        /// The housing kind, from `parts.housings`.
        housing: Option<Text> = "housing";
        /// What it mates: `device.port`, or `loom.end` of another loom.
        mates: Option<Text> = "mates";
        /// Cavities closed by a plug.
        plugged: List<Text> = "plugged";
        /// The thread that a ring terminal is made for, such as M8.
        ring: Option<Text> = "ring";
        /// The stud that the ring is bolted to, as `device.port`.
        bolts_to: Option<Text> = "bolts-to";
        /// The terminal in its cavities, from `parts.terminals`.
        terminal: Option<Text> = "terminal";
        /// Other terminals, by cavity.
        terminals: Map<Text> = "terminals";
        /// The segment of the route that it hangs on.
        at: Option<Text> = "at";
        /// Free length, from the last tie.
        reach: Option<At<Metre>> = "reach";
        /// Where it sits; the loom's zone where nothing is said.
        zone: Option<Text> = "zone";
        /// Anything a reader should know.
        note: Option<Text> = "note";
        /// What must still be measured or found out.
        unsure: List<Text> = "unsure";
    }

    /// A splice.
    Splice {
        /// Where it sits; the loom's zone where nothing is said.
        zone: Option<Text> = "zone";
        /// The segment of the route that it lies in.
        at: Option<Text> = "at";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A wire.
    Wire {
        /// One end: `end.cavity`, a ring, a splice, or the point of an element.
        from: Option<Text> = "from" required;
        /// The other end.
        to: Option<Text> = "to" required;
        /// Cross-section.
        size: Option<At<SquareMillimetre>> = "size";
        /// Colour.
        colour: Option<At<WireColour>> = "colour";
        /// Length as cut.
        length: Option<At<Metre>> = "length" above_zero;
        /// Conductor kind, where it differs from the loom's.
        wire: Option<Text> = "wire";
        /// The core of a cable, as `cable.core`; then size and colour come from the cable.
        core: Option<Text> = "core";
        /// Name of the twisted group that it belongs to.
        twist: Option<Text> = "twist";
        /// Segments of the route that it runs through.
        via: List<Text> = "via";
        /// How an end is treated that goes nowhere.
        end: Option<Choice<EndTreatment>> = "end";
        /// Largest short-time current.
        peak: Option<At<Ampere>> = "peak" above_zero;
        /// Anything a reader should know.
        note: Option<Text> = "note";
        /// What must still be measured or found out.
        unsure: List<Text> = "unsure";
    }

    /// A cable of a loom.
    Cable {
        /// The cable kind, from `parts.cables`.
        part: Option<Text> = "part" required;
        /// Length as cut.
        length: Option<At<Metre>> = "length" above_zero;
        /// Where its screen ends.
        screen: Option<ScreenEnds> = "screen";
        /// Segments of the route that it runs through.
        via: List<Text> = "via";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// The two ends of a screen.
    ScreenEnds {
        /// One end.
        from: Option<Text> = "from";
        /// The other end.
        to: Option<Text> = "to";
    }

    /// A segment of a route.
    Segment {
        /// Length.
        length: Option<At<Metre>> = "length" above_zero;
        /// What covers the bundle.
        covering: Option<Choice<Covering>> = "covering";
        /// Where it lies.
        zone: Option<Text> = "zone";
        /// The node where it begins.
        from: Option<Text> = "from";
        /// The node where it ends.
        to: Option<Text> = "to";
        /// Inner diameter of the grommet or conduit that it goes through.
        passage: Option<At<Millimetre>> = "passage" above_zero;
        /// A barrier keeps voltage class A and B apart in it.
        barrier: Option<At<bool>> = "barrier";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }
}
