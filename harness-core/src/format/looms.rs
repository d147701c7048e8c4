//! Looms: ends, splices, wires, cables, routes.

use super::{
    cavities::Cavities,
    inside::Element,
    record::record,
    row::Row,
    values::{Choice, List, Map, OneOf},
};
use crate::{
    quantity::{Ampere, Metre, Millimetre, SquareMillimetre},
    standards::{colour::WireColour, rated::RatedVoltage},
    text::{At, Text},
    vocabulary::{Covering, EndTreatment, Peak},
};

record! {
    /// A loom: what is built on one board and fitted as one piece.
    Loom {
        /// Conductor kind of its wires, from `parts.conductors`.
        wire: Option<Text> = Wire => through().naming(anywhere(&[Kind::ConductorKind]));
        /// Cross-section of its wires that give none; a core has that of its cable.
        size: Option<At<SquareMillimetre>> = Size => work(Work::Cut).moves(Current::Conductor);
        /// Colour of its wires that give none. There is no colour by domain: the domain of a wire is that of what it joins, and a wire in the
        /// wrong place would have the right colour by itself.
        colour: Option<At<WireColour>> = Colour => work(Work::Cut);
        /// The zone that it runs through.
        zone: Option<Text> = Zone => paper().naming(anywhere(&[Kind::Zone]));
        /// Its connectors, rings and bare ends.
        ends: Map<End> = Ends => things(Kind::End);
        /// Its splices.
        splices: Map<Splice> = Splices => things(Kind::Splice);
        /// Its wires by number.
        wires: Map<Wire> = Wires => things(Kind::Wire);
        /// Its cables by name.
        cables: Map<Cable> = Cables => things(Kind::Cable);
        /// Its branches by name.
        route: Map<Segment> = Route => things(Kind::Segment);
        /// Added to each end of a wire whose length follows from the route: for stripping, the loop behind a plug, a second try.
        allowance: Option<At<Metre>> = Allowance => work(Work::Length);
        /// In-line fuses, resistors and diodes.
        inside: Map<OneOf<Element>> = Inside => things(Kind::Element);
        /// `false`: left out of this build.
        fitted: Option<At<bool>> = Fitted => through();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// What must still be measured or found out.
        unsure: List<Text> = Unsure => paper().set();
    }

    /// An end of a loom: a connector, a ring, or bare wire ends that go to one point of a device.
    End {
        /// The housing kind, from `parts.housings`.
        housing: Option<Text> = Housing => work(Work::Contact).naming(anywhere(&[Kind::HousingKind]));
        /// What it mates: `device.port`, or `loom.end` of another loom.
        mates: Option<Text> = Mates => work(Work::Mate).naming(Naming::Mate);
        /// Which pin of its mate each cavity meets, where the two halves number differently: `{ 1: A, 2: B }`.
        pins: Map<Text> = Pins => work(Work::Contact);
        /// Cavities closed by a plug: a list, in which there may be ranges, or one range such as `5..12`.
        plugged: Cavities = Plugged => plug().set();
        /// The thread that a ring terminal is made for, such as M8.
        ring: Option<Text> = Ring => work(Work::Contact);
        /// Rated current of the ring.
        current: Option<At<Ampere>> = Current above_zero => work(Work::Contact);
        /// Rated voltage of the ring.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => work(Work::Contact);
        /// The stud that the ring is bolted to, as `device.port`.
        bolts_to: Option<Text> = BoltsTo => work(Work::Mate).naming(Naming::Mate);
        /// The screw, tab, strip or ferrule point that the bare ends of its wires go to, as `device.port`; several wires may share an
        /// end. A push-on terminal or ferrule is its `terminal`.
        lands_on: Option<Text> = LandsOn => work(Work::Mate).naming(Naming::Mate);
        /// The terminal in its cavities, from `parts.terminals`.
        terminal: Option<Text> = Terminal => work(Work::Contact).naming(anywhere(&[Kind::TerminalKind]));
        /// Other terminals, by cavity.
        terminals: Map<Text> = Terminals => work(Work::Contact).naming(anywhere(&[Kind::TerminalKind]));
        /// The segment of the route that it hangs on.
        at: Option<Text> = At => work(Work::Tie).naming(in_loom(&[Kind::Segment]));
        /// Free length, from the last tie.
        reach: Option<At<Metre>> = Reach => work(Work::Tie);
        /// Where it is; the loom's zone if the key is absent.
        zone: Option<Text> = Zone => paper().naming(anywhere(&[Kind::Zone]));
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// What must still be measured or found out.
        unsure: List<Text> = Unsure => paper().set();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A splice.
    Splice {
        /// Where it is; the loom's zone if the key is absent.
        zone: Option<Text> = Zone => paper().naming(anywhere(&[Kind::Zone]));
        /// The segment of the route that it is in.
        at: Option<Text> = At => work(Work::Tie).naming(in_loom(&[Kind::Segment]));
        /// It is worth measuring at: it is easy to reach with a probe.
        test_point: Option<At<bool>> = TestPoint => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A wire.
    Wire {
        /// One end: `end.cavity`, a ring, a bare end, a splice, a point of an in-line element (`F9.1`), or `capped` for an end that goes
        /// nowhere and is closed off.
        from: Option<Text> = From required => wire_end();
        /// The other end, in the same way.
        to: Option<Text> = To required => wire_end();
        /// Cross-section.
        size: Option<At<SquareMillimetre>> = Size => work(Work::Cut).moves(Current::Conductor);
        /// Colour.
        colour: Option<At<WireColour>> = Colour => work(Work::Cut);
        /// Length as cut.
        length: Option<At<Metre>> = Length above_zero => work(Work::Length);
        /// Conductor kind, where it differs from the loom's.
        wire: Option<Text> = Wire => work(Work::Cut).naming(anywhere(&[Kind::ConductorKind])).moves(Current::Conductor);
        /// The core of a cable, as `cable.core`; then size and colour come from the cable.
        core: Option<Text> = Core => work(Work::Core).naming(in_loom(&[Kind::Cable])).moves(Current::Conductor);
        /// Name of the twisted group that it belongs to.
        twist: Option<Text> = Twist => work(Work::Twist);
        /// Segments of the route that it runs through.
        via: List<Text> = Via => work(Work::Lay).naming(in_loom(&[Kind::Segment])).set();
        /// How an end is treated that goes nowhere.
        end: Option<Choice<EndTreatment>> = End => work(Work::Cap);
        /// Current that it carries for long, where no element of the design draws it: a phase of a motor, a cable to a bought box.
        current: Option<At<Ampere>> = Current above_zero => paper();
        /// Largest short-time current, with its time: `40 A for 200 ms`.
        peak: Option<At<Peak>> = Peak above_zero => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// What must still be measured or found out.
        unsure: List<Text> = Unsure => paper().set();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A cable of a loom.
    Cable {
        /// The cable kind, from `parts.cables`.
        part: Option<Text> = Part required => work(Work::Cut).naming(anywhere(&[Kind::CableKind]));
        /// Length as cut.
        length: Option<At<Metre>> = Length above_zero => work(Work::Length);
        /// Current that each of its cores carries for long, but those of earth and chassis, where no element of the design draws it.
        current: Option<At<Ampere>> = Current above_zero => paper();
        /// Where its screen ends.
        screen: Option<ScreenEnds> = Screen => record();
        /// Segments of the route that it runs through.
        via: List<Text> = Via => work(Work::Lay).naming(in_loom(&[Kind::Segment])).set();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// The two ends of a screen.
    ScreenEnds {
        /// One end.
        from: Option<Text> = From => place();
        /// The other end.
        to: Option<Text> = To => place();
        /// Copper cross-section of the screen, if the screen is meant to be the bond of what it joins; a screen without it does not
        /// count as a bond.
        size: Option<At<SquareMillimetre>> = Size above_zero => paper();
    }

    /// A segment of a route.
    Segment {
        /// Length.
        length: Option<At<Metre>> = Length above_zero => work(Work::Tie);
        /// What covers the bundle.
        covering: Option<Choice<Covering>> = Covering => work(Work::Cover);
        /// The zone that it runs through.
        zone: Option<Text> = Zone => paper().naming(anywhere(&[Kind::Zone]));
        /// The node where it begins.
        from: Option<Text> = From => work(Work::Tie);
        /// The node where it ends.
        to: Option<Text> = To => work(Work::Tie);
        /// It crosses a joint or hinge: what runs through it is bent at work.
        moves: Option<At<bool>> = Moves => work(Work::Tie);
        /// The tightest bend in it: its inner radius.
        bend: Option<At<Millimetre>> = Bend above_zero => work(Work::Tie);
        /// Inner diameter of the grommet or conduit that it goes through.
        passage: Option<At<Millimetre>> = Passage above_zero => work(Work::Tie);
        /// A barrier keeps voltage class A and B apart in it.
        barrier: Option<At<bool>> = Barrier => work(Work::Tie);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
    }
}
